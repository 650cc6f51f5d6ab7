// Giving out from the desk: what there is to give out, under which name, and how far it is.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "desk/internal/state.h"
#include "review/export_job.h"

namespace plumbmark::desk {

/// UI thread only; nothing here waits.
class ExportDesk {
  public:
    explicit ExportDesk(std::function<void()> wake) : wake_(std::move(wake)) {}

    /// What can be given out of the present run, with the clip around the station's decision first. 'station'
    /// is the one with the accent; -1: none, and clips are of the second before and after this frame.
    [[nodiscard]] static Chooser offers(const review::Session& session, int station);

    /// Looks the wish over, and keeps it until its file has a name. Gives the name that is offered: beside
    /// the meet, and not taken yet. Error: why it cannot be.
    [[nodiscard]] base::Result<std::filesystem::path> prepare(const review::Session& session, int station,
                                                              ExportKind what);
    /// Begins to write under this name, from the meet's folder where it is relative. Errors: bad_input
    /// (no name, another ending), io (a file of that name is there).
    [[nodiscard]] base::Result<void> begin(const review::Session& session, const std::string& name);

    /// This path where nothing is there, else "STEM-2.pdf" beside it, and so on.
    [[nodiscard]] static std::filesystem::path free_name(const std::filesystem::path& wanted);

    /// A sheet that needs no meet: what 'make' gives, which is asked for on another thread. A relative name
    /// is in 'folder', and ends as 'ending' says. Errors as begin().
    [[nodiscard]] base::Result<void> begin_sheet(const std::filesystem::path& folder, const std::string& name,
                                                 const std::string& ending, review::ExportJob::Make make,
                                                 const std::string& words);

    [[nodiscard]] bool busy() const { return job_ != nullptr; }
    /// Lets go what is being written; false: nothing is.
    bool stop();
    /// What came of it, once.
    [[nodiscard]] std::optional<base::Result<review::Exported>> take();
    /// "writing run-4-swing.mp4, 34 %"; empty while nothing is written.
    [[nodiscard]] std::string words() const;

  private:
    [[nodiscard]] base::Result<std::filesystem::path> free_file(const std::filesystem::path& folder,
                                                                const std::string& name,
                                                                const std::string& ending) const;
    [[nodiscard]] static review::ExportWish wish_of(const review::Session& session, int station,
                                                    ExportKind what);
    [[nodiscard]] base::Result<void> begin_marks(const review::Session& session,
                                                 const std::filesystem::path& out);

    std::function<void()> wake_;
    ExportKind what_ = ExportKind::still;
    review::ExportWish wish_;  ///< as it was prepared: a playing clip goes on meanwhile
    std::unique_ptr<review::ExportJob> job_;
};

}  // namespace plumbmark::desk
