// What a meet file holds, as plain values. Surfaces, planes and stations are named by their keys in the
// course book, so that a mark outlives a new revision of the book. Frames are named by number and by
// presentation time stamp.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/time.h"
#include "course/parts.h"
#include "meet/camera.h"
#include "meet/capture.h"
#include "meet/ids.h"
#include "ruling/evidence.h"

namespace plumbmark::meet {

/// An instant as people count it: milliseconds since 1970-01-01 UTC.
struct WallTime {
    std::int64_t ms = 0;
    friend auto operator<=>(const WallTime&, const WallTime&) = default;
};

/// The meet itself; its key is always 0.
struct MeetInfo {
    std::string name;
    std::string venue;
    std::string date;  ///< "2026-05-02", as the meet writes it
    friend bool operator==(const MeetInfo&, const MeetInfo&) = default;
};

/// Whether pictures of an athlete may leave the meet as they are. Without a yes faces are blurred.
enum class Consent : std::uint8_t { unknown, given, refused };

/// Name, club, year of birth and category are personal: the store keeps them apart from the journal's chain.
struct Athlete {
    AthleteId id;
    std::string number;  ///< as on the bib; not a name
    std::string name;
    std::string club;
    std::string division;
    std::string born = {};      ///< year: "2012"; empty: not known
    std::string category = {};  ///< in the meet's own words: "girls"
    Consent consent = Consent::unknown;
    friend bool operator==(const Athlete&, const Athlete&) = default;
};

/// One revision of the course book, as its author wrote it.
struct BookRevision {
    BookId id;
    std::string file_name;  ///< for messages: "pier-nine.course"
    std::string text;       ///< the TOML
    std::string path = {};  ///< the file it came from: from the meet file's folder, with '/', where it is
                            ///< below it, else whole; empty where nobody knows
    friend bool operator==(const BookRevision&, const BookRevision&) = default;
};

/// Which streams of a clip's file are taken, counted from 0 among those of their kind. A file holds no more
/// than kMostStreams of one kind.
struct StreamChoice {
    std::optional<int> video = {};  ///< none: the first
    std::optional<int> sound = {};  ///< none: the one that belongs to the pictures by the file's own word
    friend bool operator==(const StreamChoice&, const StreamChoice&) = default;
};
inline constexpr int kMostStreams = 100'000;

/// The whole of a clip's file: not proof of where it comes from, but that it has not changed since.
struct ClipContent {
    std::string sha256;  ///< FIPS 180-4, 64 lower-case hexadecimal digits
    std::int64_t changed_at =
        0;  ///< when the file was last changed, as its file system told it: ns since 1970
    friend bool operator==(const ClipContent&, const ClipContent&) = default;
};

/// The form of a clip's picture as the file shows it: rows of a rolling shutter are those of the stored
/// picture, which is turned to stand upright.
struct ClipPicture {
    int width = 0, height = 0;  ///< upright, pixels; 1 to kLargestPicture
    int quarter_turns = 0;      ///< clockwise, 0 to 3, to stand upright
    friend bool operator==(const ClipPicture&, const ClipPicture&) = default;
};

struct Clip {
    ClipId id;
    std::string name;             ///< "camera A"
    std::string relative_path;    ///< from the meet file's folder, with '/'; empty when not below it
    std::string last_known_path;  ///< where it was when it was last opened
    std::string fingerprint;      ///< of its content (media/fingerprint.h)
    std::int64_t frame_count = 0;
    base::Rational time_base{0, 1};
    std::optional<base::Duration> row_delay;  ///< none: the stated default
    StreamChoice streams = {};
    std::optional<ClipContent> content = {};  ///< none: nobody has read the whole file yet
    CaptureMap capture = {};                  ///< the reviewer's word; empty: none
    std::optional<Rates> slowed = {};  ///< where the file says that it shows its pictures at another rate
    /// What was found, ascending; none: nobody has looked through the clip yet.
    std::optional<std::vector<RepeatedPictures>> repeated = {};
    std::optional<ClipPicture> picture = {};  ///< none: taken in before it was kept
    friend bool operator==(const Clip&, const Clip&) = default;
};

struct Run {
    RunId id;
    AthleteId athlete;          ///< none while nobody was named
    BookId book;                ///< the revision in force when it was run
    std::string label;          ///< "run 4"
    std::vector<ClipId> clips;  ///< the footage of this run, in the order the reviewer sees it
    std::string question;       ///< what was asked, as the sheet prints it; may be empty
    std::string division = {};  ///< key in the book; empty: the course as it stands
    std::string lane = {};      ///< key in the book; empty: the course as it is written
    EntryId entry = {};         ///< whose run it is, in which round; none: outside the competition
    RunId rerun_of = {};        ///< the run that it was granted for; none: it is no re-run
    friend bool operator==(const Run&, const Run&) = default;
};

/// 'moment': one that several clips show (a hand clap, a door, a light going on). It ties their clocks and is
/// no event of the run; its mark is neither possible nor one of several alternatives.
enum class EventKind : std::uint8_t { touch, release, cross, signal, infraction, control, moment };

/// What a mark names. Fields that its kind does not use keep their defaults.
struct Event {
    EventKind kind = EventKind::touch;
    std::optional<course::Part> part;  ///< none on a cross: the whole athlete
    std::string surface;               ///< key, for touch and release; empty: undeclared
    std::string plane;                 ///< key, for cross
    ruling::Direction direction = ruling::Direction::forward;
    ruling::Grade grade = ruling::Grade::ungraded;
    ruling::SignalKind signal = ruling::SignalKind::start_given;
    ruling::InfractionKind infraction = ruling::InfractionKind::assistance;
    friend bool operator==(const Event&, const Event&) = default;
};

/// Where on one clip: at frame 'early' not yet, at frame 'late' it had. None: before the clip, after it.
struct Sighting {
    ClipId clip;
    std::optional<FrameRef> early;
    std::optional<FrameRef> late;
    friend bool operator==(const Sighting&, const Sighting&) = default;
};

/// The pictures were followed to a frame from where the reviewer pointed on frame 'from' of the same clip.
struct FollowedFrom {
    std::int64_t from = 0;
    /// Pixels: standard deviation of the way there, the same along x and y; 0 to kLargestFollowedStandard.
    double standard = 0;
    friend bool operator==(const FollowedFrom&, const FollowedFrom&) = default;
};
inline constexpr double kLargestFollowedStandard = 1'000;

/// Where the reviewer pointed at the thing itself on one frame, to have it measured: in pixels of the upright
/// picture, from its upper left corner (camera.h).
struct Pointed {
    ClipId clip;
    FrameRef frame;
    std::array<double, 2> at{};
    std::optional<FollowedFrom> followed = {};  ///< none: pointed at on this very frame
    friend bool operator==(const Pointed&, const Pointed&) = default;
};

/// An instant that a measurement gives, accepted by the reviewer: between 'from' and 'to' after frame
/// 'frame', on the clip's clock of capture. 0 <= from <= to <= kLargestWholeNumber nanoseconds (changes.h).
struct MeasuredMoment {
    ClipId clip;  ///< one on which the mark has a sighting
    FrameRef frame;
    base::Duration from, to;
    friend bool operator==(const MeasuredMoment&, const MeasuredMoment&) = default;
};

struct Mark {
    MarkId id;
    RunId run;
    std::vector<Event> alternatives;  ///< at least one; exactly one is true
    bool possible = false;
    std::vector<Sighting> sightings;  ///< at least one, each on another clip
    std::string note;                 ///< free text; kept apart from the chain
    /// Where the reviewer pointed, in pixels of the upright picture of the first sighting's clip.
    std::optional<std::array<double, 2>> spot;
    /// On footage of its run; at most one for each clip and frame, and kMostPointed of them.
    std::vector<Pointed> pointed = {};
    std::optional<MeasuredMoment> measured = {};
    friend bool operator==(const Mark&, const Mark&) = default;
};

struct ContactStatement {
    MarkId id;
    RunId run;
    ClipId clip;
    FrameRef frame;
    course::Part part = course::Part::left_foot;
    std::string surface;
    bool on = true;
    friend bool operator==(const ContactStatement&, const ContactStatement&) = default;
};

struct Scope {
    bool whole_athlete = true;
    std::vector<std::string> surfaces;
    std::vector<std::string> planes;
    bool finish_signal = false;
    friend bool operator==(const Scope&, const Scope&) = default;
};

/// The reviewer's word that from frame 'from' to frame 'to' the view of the scope was clear and all is
/// marked.
struct WatchedSpan {
    MarkId id;
    RunId run;
    ClipId clip;
    FrameRef from;
    FrameRef to;
    Scope scope;
    friend bool operator==(const WatchedSpan&, const WatchedSpan&) = default;
};

/// A surface's outline (closed polygon) or a plane's line (open polyline with a far side) over one clip's
/// picture, in pixels of the upright picture, x right, y down. It was made on the frame 'still'; where the
/// camera moved, it lies elsewhere on the clip's other frames. Without a still it holds for all of them.
struct Drawing {
    DrawingId id;
    ClipId clip;
    DrawingKind kind = DrawingKind::surface;
    std::string key;  ///< of the surface or plane in the course book
    std::vector<std::array<double, 2>> points;
    std::optional<std::array<double, 2>> towards;  ///< a point on the plane's far side
    std::optional<FrameRef> still = {};
    friend bool operator==(const Drawing&, const Drawing&) = default;
};

enum class Call : std::uint8_t { clear, fail };

/// What the judge at the station gave.
struct FloorCall {
    FloorCallId id;
    RunId run;
    std::string station;  ///< key
    Call call = Call::clear;
    std::string judge;  ///< personal; kept apart from the chain
    bool under_appeal = false;
    std::optional<WallTime> at = {};          ///< when it was entered
    std::optional<std::int32_t> points = {};  ///< of the checkpoints that a fail came to; none: not counted
    friend bool operator==(const FloorCall&, const FloorCall&) = default;
};

}  // namespace plumbmark::meet
