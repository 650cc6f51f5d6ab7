// The state behind a Session, shared by the files that implement its groups of commands.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "review/course_revision.h"
#include "review/internal/clip_desk.h"
#include "review/internal/content_job.h"
#include "review/internal/earlier.h"
#include "review/internal/history.h"
#include "review/internal/ruling_job.h"
#include "review/session.h"
#include "store/meet_file.h"

namespace plumbmark::review {

/// What was found by reading the pictures of a clip, before another stream of its file is read.
void forget_pictures(meet::Clip& clip);

struct Session::Inner {
    Inner(store::MeetFile opened, SessionOptions chosen);

    // --- changes ---
    /// Applies to the state and queues for the disk. 'undoable' puts it on the history.
    base::Result<void> commit(meet::Change change, bool undoable = true);
    /// One edit of one thing: made anew (no before), changed, or removed (no after).
    base::Result<void> commit_one(const std::string& label, std::optional<meet::Entity> before,
                                  std::optional<meet::Entity> after);
    /// An undo or redo: each edit starts from what is stored now, since facts of clips are added behind the
    /// reviewer.
    base::Result<std::int64_t> turn_round(meet::Change change);
    void after_change(const meet::Change& change);

    // --- places ---
    [[nodiscard]] const meet::Run* current_run() const;
    /// The clip of other runs that has the same path, where the current one has none of that path; or none.
    [[nodiscard]] meet::ClipId clip_of_others(const meet::Clip& placed) const;
    [[nodiscard]] ClipDesk* desk_of(meet::ClipId id);
    [[nodiscard]] ClipDesk* current_desk() { return desk_of(clip); }
    [[nodiscard]] const meet::Mark* selected_mark() const;
    void open_clips();
    void read_book();
    /// The division of the run's book that its athlete's is named like, by key or name; empty where there is
    /// none.
    [[nodiscard]] std::string division_of(const meet::Run& run) const;
    /// Puts the book among the change's edits, unless the meet holds it already.
    meet::BookId put_book(meet::Change& change, const NewBook& book) const;
    void refresh_views();
    void ask_ruling();
    base::Result<void> take_clip_facts(ClipDesk& desk);
    /// Writes down where the clip's file is.
    void put_at(meet::Clip& moved, const std::filesystem::path& place_of_file) const;
    [[nodiscard]] bool wants_content_of(const ClipDesk& desk) const;
    /// Asks for the contents of files and takes in what came. True when something to draw changed.
    bool look_after_contents();
    bool take_content(const ContentFound& found);
    /// Stores what was found of repeated pictures: a row of the program's own, which no undo takes back.
    base::Result<void> take_repeats(ClipDesk& desk);
    /// The first clip nobody has looked through yet; null while another one is being looked through.
    [[nodiscard]] ClipDesk* next_to_look_through();
    void look_through_clips();

    /// The frame on the screen of the current clip, when it is exact and may be marked; the sentence
    /// otherwise.
    base::Result<meet::FrameRef> frame_to_mark();
    base::Result<meet::FrameRef> frame_ref(std::int64_t frame);
    /// The event is complete and names things of the book.
    base::Result<void> check_event(const meet::Event& event) const;
    /// Moves one end of the selected mark or watched span on the current clip.
    base::Result<void> move_end(bool early, std::int64_t frames);

    store::MeetFile file;
    SessionOptions options;
    meet::State state;
    std::uint64_t changes = 0;  ///< of 'state', counted
    History history;
    /// What is kept of all clips, within one budget.
    std::shared_ptr<media::PictureStore> pictures = std::make_shared<media::PictureStore>();
    std::int64_t rows_at_open = 0;
    Earlier earlier;  ///< what was done before this opening
    std::map<meet::EntityKey, store::Ticket> last_ticket;

    meet::RunId run;
    meet::ClipId clip;
    meet::MarkId selected;
    Hand hand;
    std::map<meet::ClipId, std::unique_ptr<ClipDesk>> desks;
    std::vector<ClipView> views;
    PictureView no_picture;

    meet::BookId book_id;
    std::string division;  ///< of the run, as 'book' was made
    std::string lane;
    std::shared_ptr<const course::CourseBook> whole_book;  ///< as its author wrote it
    std::shared_ptr<const course::CourseBook> book;        ///< of the run's division, in its lane
    std::vector<course::BookProblem> book_problems;
    std::optional<base::Error> book_error;  ///< it has no such division or lane

    RulingView ruling;
    std::uint64_t ruling_number = 0;
    std::vector<meet::ClipId> asked_clips;
    store::Ticket last_committed = 0;
    std::unique_ptr<RulingJob> ruling_job;
    const std::shared_ptr<HandMovement> hand_movement = std::make_shared<HandMovement>();
    std::unique_ptr<ContentJob> content_job;
};

}  // namespace plumbmark::review
