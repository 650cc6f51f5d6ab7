// The course book on the desk: what is to be looked at in the one in force, and its file while somebody
// writes it; and what another one would change.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "desk/internal/state.h"
#include "desk/keys.h"
#include "review/book_watch.h"
#include "review/what_if_job.h"

namespace plumbmark::desk {

/// UI thread only; nothing here waits.
class CourseDesk {
  public:
    explicit CourseDesk(std::function<void()> wake) : wake_(std::move(wake)) {}

    /// Takes in what was read and ruled. Once per drawn frame.
    void update(const review::Session& session);
    /// The language is another one now: what is to be looked at is read again. An answer to what another book
    /// would change keeps its reasons as they were ruled.
    void say_anew();

    /// For the top bar: "hall.course changed: 2 mistakes", "course book: 3 to look at"; empty when all is
    /// well.
    [[nodiscard]] std::string summary() const;
    /// The file was changed, and does not read as a course book any more.
    [[nodiscard]] bool changed_with_mistakes() const { return changed() && !file_->book; }
    /// Something there is an error: no run can be ruled as it should.
    [[nodiscard]] bool trouble() const;
    /// The page about it.
    [[nodiscard]] std::vector<PageLine> lines(const Keymap& keys) const;
    /// The file as it is now, where the meet does not hold that text and it reads.
    [[nodiscard]] std::optional<review::NewBook> changed_book() const;

    // --- what another book would change ---
    void ask(const review::Session& session, review::WhatIf change);
    /// Stops asking, and forgets the answer.
    void stop_asking();
    [[nodiscard]] bool asking() const { return job_ != nullptr; }
    /// The answer, or how far it is.
    [[nodiscard]] std::vector<PageLine> what_if_lines(const Keymap& keys) const;

  private:
    [[nodiscard]] bool changed() const { return file_ && !held_ && !file_->error; }

    std::function<void()> wake_;
    meet::BookId book_;
    std::shared_ptr<const review::BookFile> in_force_;
    std::unique_ptr<review::BookWatch> watch_;
    std::shared_ptr<const review::BookFile> file_;
    bool held_ = true;          ///< the meet holds the file's text
    bool only_guessed_ = true;  ///< the meet does not know the file; one of that name lies beside it
    std::unique_ptr<review::WhatIfJob> job_;
    std::optional<base::Result<report::WhatIfDocument>> answer_;
};

}  // namespace plumbmark::desk
