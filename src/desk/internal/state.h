// What the panels keep for themselves and what they ask for. Panels read the session, keep their own view,
// and emit commands; only the desk (internal/desk_core.h) carries commands out.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "desk/internal/camera_state.h"
#include "desk/internal/field_letters.h"
#include "desk/internal/meet_commands.h"
#include "desk/internal/placing_state.h"
#include "desk/internal/season_state.h"
#include "desk/internal/study_state.h"
#include "desk/internal/tone.h"
#include "desk/internal/trials_state.h"
#include "desk/keys.h"
#include "desk/strip_model.h"
#include "desk/theme.h"
#include "media/picture.h"
#include "review/session.h"
#include "store/secret_text.h"

namespace plumbmark::desk {

using Point = std::array<double, 2>;  ///< pixels of the upright picture, x right, y down

// --- what panels ask for ---
struct Do {
    Action action;
};
struct GoFrame {
    std::int64_t frame;
};
struct GoShown {
    ruling::Shown shown;
};
struct GoMark {
    meet::MarkId mark;
};
struct ChooseMark {
    meet::MarkId mark;
};
struct TakeClip {
    meet::ClipId clip;
};
struct TakeStreams {
    meet::StreamChoice streams;  ///< of the current clip
};
struct TakeRun {
    meet::RunId run;
};
struct TakeSurface {
    std::string key;
    bool undeclared = false;
};
struct TakePlane {
    std::string key;
};
struct TakePart {
    std::optional<course::Part> part;
};
struct MarkEvent {
    meet::Event event;
};
struct StateContact {
    bool on;
};
struct AddAlternative {
    meet::Event event;
};
struct SetGrade {
    ruling::Grade grade;
};
/// Writes down the ties by sound that were offered.
struct KeepTies {};
struct StartDrawing {
    meet::DrawingKind kind;
    std::string key;
};
struct SaveDrawing {
    meet::DrawingKind kind;
    std::string key;
    std::vector<Point> points;
    std::optional<Point> towards;
};
struct DropDrawing {
    meet::DrawingId id;
};
/// Takes this clip's drawings over to the current clip, at the frame on the screen.
struct CopyDrawingsOf {
    meet::ClipId clip;
};
struct Vouch {
    std::int64_t from, to;
    meet::Scope scope;
};
struct GiveFloorCall {
    std::string station;
    meet::Call call;
    bool under_appeal;
};
struct FocusStation {
    int station;
    bool toggle;
};
struct OpenPath {
    std::filesystem::path path;
};
/// Puts the current run into a division and a lane, by key.
struct TakeCourse {
    std::string division, lane;
};
/// Takes the changed course book in, for every run or the current one alone.
struct TakeInBook {
    bool this_run_alone;
};
/// Asks what this course book would change.
struct TryBook {
    std::filesystem::path path;
};
/// Something for the page of the meet's own view.
struct OfMeet {
    MeetCommand command;
};
/// Something for the page of the run laid open, of a season, or of the trials.
struct OfStudy {
    StudyCommand command;
};
struct OfSeason {
    SeasonCommand command;
};
struct OfTrials {
    TrialsCommand command;
};
struct Settle {
    int step;
};
/// A preference changed from its list, which stays open.
struct Prefer {
    Action action;
    int row;
    bool files = false;  ///< whose window chooses files, for which there is no action
};
/// The keys themselves: which is to change, or what else is to be done with them.
struct OfKeys {
    enum class What : std::uint8_t { change, usual, back, print } what;
    Action action;  ///< to change
};
/// Takes back what was done before this opening, after asking.
struct UndoEarlier {};
/// A copy of the sample meet, and the guided first ruling on it.
struct OpenSampleForGuide {};
/// The window's language, from the list of preferences, which stays open.
struct TakeLanguage {
    std::string code;
    int row;
};
struct RetrySave {};
struct StopReading {};
struct StopSound {};
/// The pointer's own list of what can be marked here; screen pixels.
struct MarkMenu {
    float x, y;
};
/// Asks for the name of a file that leaves the meet: a clip at a speed, this frame, the marks.
enum class ExportKind : std::uint8_t {
    real_speed,
    with_sound,  ///< at real speed
    half,
    quarter,
    eighth,
    still,
    plain_still,
    csv,
    json,
    vtt
};

using Command =
    std::variant<Do, GoFrame, GoShown, GoMark, ChooseMark, TakeClip, TakeStreams, TakeRun, TakeSurface,
                 TakePlane, TakePart, MarkEvent, StateContact, AddAlternative, SetGrade, KeepTies,
                 StartDrawing, SaveDrawing, DropDrawing, CopyDrawingsOf, Vouch, GiveFloorCall, FocusStation,
                 OpenPath, TakeCourse, TakeInBook, TryBook, OfMeet, OfStudy, OfSeason, OfTrials, Settle,
                 Prefer, OfKeys, OpenSampleForGuide, UndoEarlier, TakeLanguage, RetrySave, StopReading,
                 StopSound, MarkMenu, OfCamera, ExportKind>;

/// Collected while drawing, carried out after it.
class Commands {
  public:
    void add(Command command) { list_.push_back(std::move(command)); }
    [[nodiscard]] std::vector<Command> take() { return std::exchange(list_, {}); }

  private:
    std::vector<Command> list_;
};

// --- what panels keep ---
enum class PictureTool : std::uint8_t { none, touching_yet, which_way, same_place };

/// A surface or plane being drawn or mended.
struct DrawingMode {
    bool active = false;
    meet::DrawingKind kind = meet::DrawingKind::surface;
    std::string key;
    std::vector<Point> points;
    std::optional<Point> towards;
    bool closed = false;  ///< the outline is whole; points are now moved, not added
    int chosen = -1;      ///< the point that keys move; -1: none
    bool dragging = false;
    Point cross{0, 0};  ///< where Enter sets the next point
};

struct SidePictures {
    std::int64_t early = -1, late = -1;
    std::shared_ptr<const media::Picture> early_picture, late_picture;
    std::vector<std::shared_ptr<const media::Picture>> ghosts;  ///< the frames before this one, nearest first
    std::shared_ptr<const media::Picture> before_picture;       ///< what 'same place?' flips to
    std::int64_t before_frame = -1;
};

struct PicturesView {
    float zoom = 1;                ///< times the size at which the whole picture fits
    Point centre{0.5, 0.5};        ///< what lies in the middle, in parts of the picture
    std::optional<Point> pointer;  ///< in picture pixels, while the pointer is over the picture
    std::optional<Point> spot;     ///< where was clicked last on this frame
    std::int64_t spot_frame = -1;
    std::string hovered_key;  ///< surface or plane under the pointer
    PictureTool tool = PictureTool::none;
    bool difference = false;  ///< 'same place?': what differs instead of the other frame
    SidePictures side;
    DrawingMode drawing;
    CameraMode camera;
    PointMode point;
    /// One of these is under way: clicks and arrows are its own.
    [[nodiscard]] bool busy() const { return drawing.active || camera.active || point.active; }
    int width = 0, height = 0;           ///< of the picture drawn last
    bool alone = false;                  ///< the other angles are hidden
    bool apart = false;                  ///< the other angles stay where they are when this one moves
    std::map<meet::ClipId, Tone> tones;  ///< of clips that are not shown as they are
    double pixel_aspect = 1;             ///< of that picture, upright: a pixel's width by its height
    std::vector<meet::ClipId> shown;     ///< clips whose pictures stand in the drawing that was made last
    float largest_scale = 1;  ///< there: of any angle, pixels of the display for one of the picture
};

/// The strip's model, and what it was made from: ten thousand marks are not gone through for each drawing.
struct StripModelKept {
    std::shared_ptr<const StripModel> model;
    std::uint64_t changes = 0;
    meet::RunId run;
    meet::ClipId clip;
    std::shared_ptr<const ruling::RunRuling> ruling;
    std::shared_ptr<const media::FrameTable> table;
    bool solid = false;  ///< all of it was on the disk
};

struct StripView {
    std::int64_t from_ns = 0, to_ns = 0;  ///< visible stretch of the clip's time; equal: all
    meet::ClipId clip;                    ///< that the stretch belongs to
    bool folded = false;
    bool dragging = false;
    StripModelKept kept;
};

struct SheetView {
    int focus = -1;    ///< station with the accent; -1: the one that needs most
    bool open = true;  ///< the focused station shows its clauses
    bool scroll_to_focus = false;
    std::size_t rests_on = 0;  ///< next of the marks it rests on
};

/// A question that Enter accepts and Esc drops.
struct Offer {
    std::string text;
    Command accept;
};

struct Choice {
    std::string label;
    std::string detail;
    Command command;
};
/// A list to choose from, over everything else.
struct Chooser {
    std::string title;
    std::vector<Choice> choices;
    int cursor = 0;
    std::string filter;                      ///< typed letters narrow the list
    bool typed = false;                      ///< the filter may be typed (long lists); else digits choose
    bool wide = false;                       ///< for whole sentences
    std::optional<std::array<float, 2>> at;  ///< screen place; none: in the middle
    [[nodiscard]] std::vector<int> shown() const;
};

enum class EntryKind : std::uint8_t { note, frame, capture, tie, meet, give_out, key_sheet, trials };
struct TextEntry {
    EntryKind kind = EntryKind::note;
    std::string title;
    std::string hint;               ///< how to write it, below the line; may be empty
    std::array<char, 2048> text{};  ///< as the field holds it
    FieldLetters letters;
    bool active = false;              ///< the field takes letters
    int frames_without_keyboard = 0;  ///< drawn since it asked to
    bool takes_key = false;           ///< the key that opened it is its first letter
    void put(const std::string& words);
    /// As put(), also while the line is open.
    void replace(const std::string& words);
    [[nodiscard]] std::string words() const;
};

/// A passphrase being typed; a dot stands for each character.
struct SecretEntry {
    std::string title;
    std::string problem;  ///< why it is asked for again; may be empty
    std::string hint;
    store::SecretText text;
};

/// The next key pressed becomes that of an action.
struct NewKey {
    Action action;
    std::optional<KeyPress> press;  ///< somebody's already: Enter exchanges the two
    std::string problem;            ///< what came of the last one; may be empty
};

enum class PageInk : std::uint8_t { heading, body, soft, trouble };
struct PageLine {
    std::string text;  ///< broken into lines where it is wider than the page
    PageInk ink = PageInk::body;
    int depth = 0;
};
/// A page over everything else: of text, the map of where to put a camera, a run laid open, a season, or the
/// trials.
enum class PageKind : std::uint8_t { none, course_book, what_if, placing, study, season, trials };
struct PageView {
    PageKind kind = PageKind::none;
    float scroll = 0;  ///< rows to move by when it is drawn next
};

struct Message {
    std::string text;
    bool trouble = false;
    double until = 0;  ///< seconds on the desk's clock
};

/// What W covers.
enum class ScopeChoice : std::uint8_t { whole_athlete, surface, plane, surface_and_plane, finish_signal };

struct MarkingView {
    std::optional<std::int64_t> watch_from;
    meet::ClipId watch_clip;
    ScopeChoice scope = ScopeChoice::whole_athlete;
    bool undeclared = false;  ///< the hand is on something the book does not name
};

struct PlayView {
    bool playing = false;
    int speed = 3;     ///< index into kSpeeds
    double since = 0;  ///< desk clock when the present frame was shown
};
struct Speed {
    double factor;
    const char* words;
};
inline constexpr std::array<Speed, 5> kSpeeds{
    {{0.125, "1/8"}, {0.25, "1/4"}, {0.5, "1/2"}, {1, "1"}, {2, "2"}}};

struct Views {
    KeyPlace place = KeyPlace::run;  ///< the review of a run, or the meet's own view
    PicturesView pictures;
    StripView strip;
    SheetView sheet;
    MarkingView marking;
    PlayView play;
    bool muted = false;  ///< no sound while playing
    bool help = false;
    float help_scroll = 0;
    PageView page;
    PlacingView placing;
    StudyView study;
    SeasonView season;
    TrialsView trials;
    std::optional<Chooser> chooser;
    std::optional<TextEntry> entry;
    std::optional<SecretEntry> secret;
    std::optional<NewKey> new_key;
    std::optional<Offer> offer;
    std::vector<Message> messages;
    std::string listening;   ///< how far the tying by sound is; empty: nobody listens
    std::string giving_out;  ///< what is being written and how far it is; usually empty
};

}  // namespace plumbmark::desk
