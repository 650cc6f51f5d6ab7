// The headless application: one open meet, where the reviewer is in it, the commands with undo, and the jobs
// that run beside. The window and the command line both stand on it, so everything here works without a
// screen.
//
// Threads: a Session belongs to one owner thread (the window's). Nothing here waits for a disk, a decoder or
// the ruling engine, except where a comment says so. Workers report by the wake callback; the owner then
// calls poll().
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "course/book.h"
#include "course/read.h"
#include "media/frame_table.h"
#include "media/picture.h"
#include "meet/changes.h"
#include "ruling/ruling.h"

namespace plumbmark::review {

struct SessionOptions {
    bool read_only = false;
    /// Looks through the run's clips for repeated pictures, one clip at a time, where nobody has yet.
    bool look_for_repeats = false;
    /// Called from worker threads when poll() has something new; must return at once.
    std::function<void()> wake;
    /// Wall clock and random source for the store (see store::OpenOptions); empty: the system's.
    std::function<std::int64_t()> clock;
    std::function<void(unsigned char*, std::size_t)> random;
    /// Asked by poll() before a picture of a clip takes the place of the one before. False: it is being made
    /// ready for the screen; the one before stays, and poll() asks again (whoever makes it calls 'wake').
    /// Empty: always.
    std::function<bool(const std::shared_ptr<const media::Picture>&)> may_show = {};
    /// Take the SHA-256 of each clip's whole file in the background, keep it with the meet, and hold the file
    /// to it where it was written to since. Not for what ends before such a reading would.
    bool read_whole_files = false;
};

/// How a clip of the current run stands.
struct ClipView {
    meet::ClipId id;
    std::string name;
    std::filesystem::path file;                      ///< where it was found; empty when it was not
    std::shared_ptr<const media::FrameTable> table;  ///< none while it is being scanned or when it failed
    double scan_progress = 0;                        ///< 0 to 1
    std::optional<base::Error> error;                ///< the clip cannot be opened: what, where, what to do
    meet::StreamChoice streams = {};                 ///< of its file, as chosen (Session::choose_streams)
    /// The file is not what it was when it was opened (gone, replaced, written to), as far as is known. What
    /// is shown as exact still is; other frames may not come any more.
    std::optional<base::Error> file_trouble = std::nullopt;
    double content_progress = -1;  ///< share of the whole file that is read, 0 to 1; negative: not being read
    /// Why the file could not be read whole; the clip can be used all the same.
    std::optional<base::Error> content_error = std::nullopt;
    double repeats_progress = -1;  ///< of looking for repeated pictures, 0 to 1; -1 while nobody looks
};

/// The picture to show now.
struct PictureView {
    std::shared_ptr<const media::Picture> picture;  ///< none: nothing yet
    std::int64_t frame = -1;                        ///< the frame that 'picture' is
    bool exact = false;                             ///< it is the frame asked for; only then may it be marked
    bool nearly = false;  ///< the frame asked for is decoded, and being made ready for the screen
    std::optional<base::Error> error;  ///< the frame asked for cannot be decoded
};

/// The ruling of the current run.
struct RulingView {
    std::shared_ptr<const ruling::RunRuling> ruling;   ///< the last one reached; none while there is none
    std::optional<base::Error> error;                  ///< why there is none for the present marks
    bool current = false;                              ///< it belongs to the present marks
    std::shared_ptr<const ruling::Evidence> evidence;  ///< what it was reached on (clip indices refer to it)
    std::vector<meet::ClipId> clips;                   ///< by ruling::ClipIndex
};

/// What the marking keys act with.
struct Hand {
    std::optional<course::Part> part = course::Part::left_foot;  ///< none: the whole athlete (planes only)
    std::string surface;  ///< chosen surface's key; empty while none was pointed at
    std::string plane;    ///< chosen plane's key
};

/// A course book as it comes from a file.
struct NewBook {
    std::string file_name;       ///< for messages: "pier-nine.course"
    std::string text;            ///< the TOML
    std::filesystem::path file;  ///< where it came from; empty where nobody knows
};

class Session {
  public:
    /// Makes a new meet file and opens it. Waits for the disk.
    [[nodiscard]] static base::Result<std::unique_ptr<Session>> create(const std::filesystem::path& path,
                                                                       const meet::MeetInfo& info,
                                                                       SessionOptions options = {});
    /// Opens a meet file. Waits for the disk. Selects the first run and its first clip when there are any.
    [[nodiscard]] static base::Result<std::unique_ptr<Session>> open(const std::filesystem::path& path,
                                                                     SessionOptions options = {});
    ~Session();

    /// Takes in what workers have finished. Call once per drawn frame. True when something to draw changed.
    bool poll();

    // --- the meet ---
    [[nodiscard]] const std::filesystem::path& path() const;
    [[nodiscard]] bool read_only() const;
    [[nodiscard]] const meet::State& state() const;  ///< with changes not yet on the disk
    /// Counts the changes of state(), so that what is worked out from it is worked out once for each. The
    /// state's address stays.
    [[nodiscard]] std::uint64_t changes() const;
    /// True when the last change of this thing is on the disk for good; draw it hollow until then.
    [[nodiscard]] bool solid(meet::EntityKey key) const;
    [[nodiscard]] bool all_solid() const;
    [[nodiscard]] std::optional<base::Error> save_failure() const;
    void retry_save();
    /// Waits until all is on the disk or failed.
    [[nodiscard]] base::Result<void> flush();

    /// Reads a course book from its text, stores it as a new revision and puts the current run (if any) under
    /// it. 'file': where the text came from; empty where nobody knows.
    [[nodiscard]] base::Result<meet::BookId> add_book(const std::string& file_name, const std::string& text,
                                                      const std::filesystem::path& file = {});
    /// Takes in a revision of the course book and puts every run under it but those of 'keep', in one change
    /// with undo. A text that the meet holds already is not stored again. Errors: bad_input where the text
    /// has problems, where another text of the meet has the same revision, and where a run that does not keep
    /// its book names what the new one does not have (course_revision.h), each named; the sentence lists all.
    [[nodiscard]] base::Result<meet::BookId> take_in_book(const NewBook& book,
                                                          const std::vector<meet::RunId>& keep = {});
    /// Puts the current run under the stations of a division and into a lane of its book, by key; empty:
    /// none. One change with undo. Errors: not_found (no run, no book, no such division or lane).
    [[nodiscard]] base::Result<void> set_division_and_lane(const std::string& division,
                                                           const std::string& lane);
    /// Adds a clip file to the current run; makes a run when there is none. Scanning starts in the
    /// background. A file that is the clip of other runs already is the same clip in this one (its drawings,
    /// capture time and name are shared, marks and watched spans are each run's own); 'name' is for a new
    /// one.
    [[nodiscard]] base::Result<meet::ClipId> add_clip(const std::filesystem::path& file,
                                                      const std::string& name = {});
    /// A run under the newest course book, of the division that its athlete's is named like, on these clips
    /// of the meet; it becomes the current one.
    [[nodiscard]] base::Result<meet::RunId> add_run(const std::string& label, meet::AthleteId athlete = {},
                                                    const std::vector<meet::ClipId>& clips = {});
    [[nodiscard]] base::Result<meet::AthleteId> add_athlete(const meet::Athlete& athlete);
    [[nodiscard]] base::Result<void> put_floor_call(const std::string& station, meet::Call call,
                                                    bool under_appeal, const std::string& judge);

    // --- where the reviewer is ---
    [[nodiscard]] meet::RunId run() const;  ///< none when the meet has no run
    void select_run(meet::RunId run);
    [[nodiscard]] meet::ClipId clip() const;
    void select_clip(meet::ClipId clip);
    /// The reviewer's word on a clip's capture time, as meet::read_capture gives it: time stamps and shown
    /// rates that are missing are taken from the frame table. An empty map takes the word back. Errors:
    /// not_found; busy while the clip is being read; bad_input as completed() in review/capture_time.h.
    [[nodiscard]] base::Result<void> set_capture(meet::ClipId clip, const meet::CaptureMap& given);
    /// The clips of the current run, in its order.
    [[nodiscard]] const std::vector<ClipView>& clips() const;
    [[nodiscard]] const ClipView* current_clip() const;  ///< null when none
    [[nodiscard]] std::int64_t frame() const;            ///< 0 while there is no clip
    void go_to_frame(std::int64_t frame);                ///< clamped to the clip
    void step(std::int64_t frames);
    [[nodiscard]] base::Time time() const;  ///< of the current frame, on the clip's clock
    [[nodiscard]] const PictureView& picture() const;
    /// Where another clip of the run was left, and its picture there; each clip keeps its own place.
    [[nodiscard]] std::int64_t frame_of(meet::ClipId clip) const;
    [[nodiscard]] const PictureView& picture_of(meet::ClipId clip) const;
    /// Moves another clip of the run to a frame (clamped), without going to that clip.
    void place_clip(meet::ClipId clip, std::int64_t frame);
    /// A picture other than the one shown (the two frames of a bracket side by side); none until it has come,
    /// asks for it in the background.
    [[nodiscard]] std::shared_ptr<const media::Picture> side_picture(std::int64_t frame);
    /// Takes other streams of a clip's file (media::ClipInfo::streams and sounds, by ordinal). Everything
    /// that follows is about them: the frame table, pictures, sound and evidence; other pictures are read
    /// anew, in the background. One change with undo. Errors: not_found (no such clip in the run), busy (not
    /// read yet), bad_input: no such stream; or other pictures are asked for while marks, contact statements,
    /// watched spans or drawings rest on these, since a frame has its number within its stream. Sound may be
    /// changed at any time: no mark rests on it.
    [[nodiscard]] base::Result<void> choose_streams(meet::ClipId clip, const meet::StreamChoice& choice);
    /// Stops reading the current clip's frame table; the clip then says that it was cancelled.
    void cancel_scan();

    // --- the course ---
    /// The book of the current run as the run is ruled under it: of its division, in its lane. Null when it
    /// has none, when it does not read, or when it has no such division or lane.
    [[nodiscard]] const course::CourseBook* book() const;
    /// The same book with all its divisions and lanes, as its author wrote it. Null when the run has none or
    /// it does not read.
    [[nodiscard]] const course::CourseBook* whole_book() const;
    [[nodiscard]] const std::vector<course::BookProblem>& book_problems() const;

    // --- marking; every call is one change with undo ---
    [[nodiscard]] const Hand& hand() const;
    void set_hand(const Hand& hand);

    /// Marks an event at the frame on the screen: not yet at the frame before, it had at this one. Errors:
    /// the picture is not exact yet; no clip; the event names nothing of the book.
    [[nodiscard]] base::Result<meet::MarkId> mark(const meet::Event& event,
                                                  std::optional<std::array<double, 2>> spot = {});
    /// States that the part is on (or off) the surface at the frame on the screen.
    [[nodiscard]] base::Result<meet::MarkId> state_contact(course::Part part, const std::string& surface,
                                                           bool on);
    /// Vouches for a span of the current clip. Errors when 'from' is not before 'to'.
    [[nodiscard]] base::Result<meet::MarkId> watch(std::int64_t from, std::int64_t to,
                                                   const meet::Scope& scope);
    /// Says that the clip's present picture was put on the screen: a picture that is decoded has not been
    /// looked at yet. Nothing happens while it is not the exact frame, or for a clip that is not of the run.
    void note_shown(meet::ClipId clip);
    /// Frames from..to of the current clip that were never displayed, counted; for the warning before
    /// watch().
    [[nodiscard]] std::int64_t frames_not_displayed(std::int64_t from, std::int64_t to) const;
    /// Displayed frames of the current clip as ascending [first, last] stretches; for the run strip.
    [[nodiscard]] std::vector<std::array<std::int64_t, 2>> displayed() const;

    /// The mark, contact statement or watched span that the editing keys act on; none when nothing is
    /// selected.
    [[nodiscard]] meet::MarkId selected() const;
    void select(meet::MarkId id);
    /// Moves the selected mark's ends on the current clip by frames (negative: earlier). Early stays before
    /// late; moving past the clip's ends makes it 'before the clip' or 'after it'.
    [[nodiscard]] base::Result<void> move_early(std::int64_t frames);
    [[nodiscard]] base::Result<void> move_late(std::int64_t frames);
    [[nodiscard]] base::Result<void> toggle_possible();
    [[nodiscard]] base::Result<void> set_grade(ruling::Grade grade);
    [[nodiscard]] base::Result<void> set_note(const std::string& note);
    /// Adds the present hand's surface (or plane) as an alternative of the selected mark.
    [[nodiscard]] base::Result<void> add_alternative(const meet::Event& event);
    /// Brackets the selected event on the current clip too, at the frame on the screen.
    [[nodiscard]] base::Result<void> sight_here();
    /// Brackets the selected event on another clip of the run, from frame 'early' to frame 'late' there;
    /// below 0 and past the end: before the clip, after it. A bracket that it has there is replaced. Errors:
    /// not_found (nothing selected, no such clip), busy (it is being read), bad_input (early is not before
    /// late, or both lie outside on one side).
    [[nodiscard]] base::Result<void> sight_on(meet::ClipId clip, std::int64_t early, std::int64_t late);
    [[nodiscard]] base::Result<void> remove_selected();
    /// The next (direction > 0) or previous frame of the current clip at which something is marked; none at
    /// the end.
    [[nodiscard]] std::optional<std::int64_t> neighbour_mark(int direction) const;
    /// Goes to where a ruling points: selects the clip and the frame.
    void go_to(const ruling::Shown& shown);
    /// Goes to a mark's late frame (a span's first), selecting its clip and it.
    void go_to_mark(meet::MarkId id);

    /// The points lie so in the current frame, which becomes the drawing's still; error busy while the clip
    /// is being read.
    [[nodiscard]] base::Result<meet::DrawingId> put_drawing(meet::DrawingKind kind, const std::string& key,
                                                            const std::vector<std::array<double, 2>>& points,
                                                            std::optional<std::array<double, 2>> towards);
    [[nodiscard]] base::Result<void> remove_drawing(meet::DrawingId id);

    /// Applies a change made elsewhere (imports). Undoable like any other.
    [[nodiscard]] base::Result<void> apply(const meet::Change& change);

    [[nodiscard]] std::optional<std::string> undo_label() const;
    [[nodiscard]] std::optional<std::string> redo_label() const;
    /// Where nothing of this opening can be undone: reads back from the journal what was done before it,
    /// until there is something that can. True when there is. Waits for the disk.
    [[nodiscard]] base::Result<bool> recall_earlier();
    /// undo() would take back what was done before this opening.
    [[nodiscard]] bool undo_reaches_earlier() const;
    [[nodiscard]] base::Result<void> undo();
    [[nodiscard]] base::Result<void> redo();

    // --- the ruling ---
    [[nodiscard]] const RulingView& ruling() const;
    /// Rules the run again as it stands: for sentences in another language after base::choose_language. The
    /// last ruling is kept until then.
    void rule_anew();
    /// Waits until clips are scanned and the ruling belongs to the present marks (for the command line and
    /// tests).
    [[nodiscard]] base::Result<void> settle();
    /// Waits until all clips of the run that can be read were looked through for repeated pictures, whatever
    /// the options say, and their rows are on the disk. 'progress': the share done, 0 to 1, now and then.
    [[nodiscard]] base::Result<void> find_repeats(const std::function<void(double)>& progress = {});

  private:
    struct Inner;
    explicit Session(std::unique_ptr<Inner> inner);
    std::unique_ptr<Inner> inner_;
};

}  // namespace plumbmark::review
