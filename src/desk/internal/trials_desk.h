// The course tester's book, worked out beside the window, and the page that shows it.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "desk/internal/panels.h"
#include "desk/internal/trials_state.h"
#include "report/trials_document.h"
#include "review/latest_job.h"

namespace plumbmark::desk {

/// UI thread only; nothing here waits but close(), for as long as a look into a ruling or a photograph takes.
class TrialsDesk {
  public:
    explicit TrialsDesk(std::function<void()> wake) : wake_(std::move(wake)) {}

    /// Asks for the book where the meet has changed since it was asked for, and for the photographs of the
    /// chosen station, and takes in what has come. Once per drawn frame while the page is open.
    void update(const review::Session& session, const TrialsView& view);
    /// The page is closed: what is not finished is stopped, and all is forgotten.
    void close();

    /// The last book that was worked out; null before, and where it could not be.
    [[nodiscard]] const report::TrialsDocument* document() const { return document_ ? &*document_ : nullptr; }
    [[nodiscard]] const std::optional<base::Error>& trouble() const { return trouble_; }
    /// The meet has changed since, and the book is being worked out anew.
    [[nodiscard]] bool working() const { return asked_ && *asked_ != answered_; }
    [[nodiscard]] double progress() const { return share_ ? share_->load(std::memory_order_relaxed) : 0; }

    /// The station and the open item that are chosen; null where there is none.
    [[nodiscard]] const report::TrialsStation* station(const TrialsView& view) const;
    [[nodiscard]] const study::Question* question(const TrialsView& view) const;

    /// The photographs of a rig, one for each; null while they are being read.
    [[nodiscard]] const std::vector<report::RigPicture>* pictures(meet::RigId rig) const;
    /// The picture of one of them for drawing; null where it has none. With the GL context current.
    [[nodiscard]] const Texture* texture(meet::RigId rig, std::size_t photo) const;

  private:
    using Book = base::Result<report::TrialsDocument>;
    using Pictures = base::Result<std::vector<report::RigPicture>>;
    void ask(const review::Session& session);
    void ask_for_pictures(const review::Session& session, const TrialsView& view);
    void take();

    std::function<void()> wake_;
    std::optional<std::uint64_t> asked_, answered_;  ///< the session's counter of changes
    std::shared_ptr<std::atomic<double>> share_;     ///< of the book that was asked for last
    std::optional<report::TrialsDocument> document_;
    std::optional<base::Error> trouble_;
    std::optional<meet::RigId> reading_;
    std::map<meet::RigId, std::vector<report::RigPicture>> pictures_;
    mutable std::map<std::pair<meet::RigId, std::size_t>, Texture> textures_;
    // Last: their work reports to what stands above.
    std::unique_ptr<review::LatestJob<Book>> job_;
    std::unique_ptr<review::LatestJob<Pictures>> pictures_job_;
};

/// A key on the page: what it asks for; none: it has no meaning there, or only moved the view.
[[nodiscard]] std::optional<TrialsCommand> trials_key(TrialsView& view, const TrialsDesk& desk, int key,
                                                      int mods);
/// The next station, or the next open item of the chosen one, round and round for items.
void walk_trials_stations(TrialsView& view, const TrialsDesk& desk, int by);
void walk_questions(TrialsView& view, const TrialsDesk& desk, int by);

/// The shape that stands for a state, as the sheet has it.
[[nodiscard]] ruling::Verdict standing_shape(study::Standing standing);
[[nodiscard]] ruling::Verdict way_shape(report::WayState state);
/// Whether the item can be looked at in a run's review: at its moment where it names one.
[[nodiscard]] bool has_footage(const study::Question& question);

/// What the page is drawn with.
struct TrialsPaint {
    const Look& look;
    const Keymap& keys;
    const TrialsDesk& desk;
    Commands& commands;
    std::string run;  ///< the label of the run on the screen; empty: none
};
/// A click outside closes it, by PageKind::none.
void draw_trials(const TrialsPaint& paint, const Box& box, TrialsView& view, PageView& page);
/// The chosen station, in a region of its own.
void draw_trials_station(const TrialsPaint& paint, const Box& box, const report::TrialsStation& station,
                         TrialsView& view);

}  // namespace plumbmark::desk
