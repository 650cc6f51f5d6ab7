// A run's marks as tables and texts for other programs: CSV (RFC 4180), JSON and WebVTT. What comes in are
// plain values (review/mark_list.h collects them); what goes out are bytes. The form in which marks are taken
// in again is another one: docs/marks.md.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/table.h"
#include "meet/values.h"

namespace plumbmark::report {

/// A frame of a clip, and when it is.
struct ListedInstant {
    std::int64_t frame = 0;
    std::int64_t pts = 0;  ///< in ticks of the clip's time base: the exact time
    base::Time shown;      ///< on the file's own clock, rounded down to the nanosecond
    base::Time taken;      ///< on the clock of its capture; the same for an ordinary clip
    friend bool operator==(const ListedInstant&, const ListedInstant&) = default;
};

/// Where a mark was seen: a bracket; of a contact statement early is late. None: before the clip, after it.
struct ListedSighting {
    std::size_t clip = 0;  ///< index into MarkList::clips
    std::optional<ListedInstant> early, late;
};

/// Where a mark was pointed at, in pixels of the upright picture from its upper left corner.
struct ListedPoint {
    std::size_t clip = 0;  ///< index into MarkList::clips
    ListedInstant frame;
    std::array<double, 2> at{};
    std::optional<std::int64_t> followed_from = {};  ///< frame from which it was followed to this one
};

/// What a measurement gave: between 'from' and 'to' after the frame, on the clip's clock of capture.
struct ListedMoment {
    std::size_t clip = 0;  ///< index into MarkList::clips
    ListedInstant frame;
    base::Duration from, to;
};

enum class ListedKind : std::uint8_t { event, contact, watched };

struct ListedMark {
    ruling::MarkId id;
    ListedKind kind = ListedKind::event;
    std::vector<meet::Event> alternatives;  ///< of an event, at least one
    std::vector<std::string> words;  ///< one for each alternative, else one: "left foot touches quay deck"
    bool possible = false;
    std::vector<ListedSighting> sightings;        ///< at least one
    course::Part part = course::Part::left_foot;  ///< of a contact statement, as are the next two
    std::string surface;
    bool on = true;
    meet::Scope scope;  ///< of a watched span
    std::string note;
    std::optional<std::array<double, 2>>
        spot;  ///< pixels of the upright picture of the first sighting's clip
    std::vector<ListedPoint> pointed;
    std::optional<ListedMoment> measured;
};

/// Time on the run's clock, which begins with the start signal, minus time on a clip's capture clock: more
/// than low and at most high.
struct RunClock {
    base::Duration low, high;
    friend bool operator==(const RunClock&, const RunClock&) = default;
};

struct ListedClip {
    std::string name;
    std::string file;  ///< without the folders of the machine it was reviewed on
    std::string fingerprint, sha256;
    std::int64_t frames = 0;
    base::Rational time_base{0, 1};  ///< seconds per tick
    std::string capture;             ///< what is to be said of its capture time; usually empty
    std::optional<RunClock> run;     ///< where marks tie it to the start signal
};

struct MarkList {
    std::string program_version, meet_name, run_label, course_name, course_revision;
    std::vector<ListedClip> clips;
    std::vector<ListedMark> marks;  ///< events, then contact statements, then watched spans, each by id
};

/// One row for each sighting of a mark, for each contact statement and watched span; columns as
/// docs/marks-export.md lists them. store::write_csv makes the file of it. Pure.
[[nodiscard]] base::Table marks_table(const MarkList& list);

/// One object, "plumbmark-mark-list/1" (docs/mark-list.schema.json), with a line end. Bytes that are not
/// UTF-8 become U+FFFD. Pure.
[[nodiscard]] std::string marks_json(const MarkList& list);

/// WebVTT (W3C) for one clip, on the clock of its file: a cue for each mark seen there, in the order of their
/// times. A cue begins while the mark's late frame is on the screen: its time rounded up to the millisecond,
/// WebVTT's smallest. 'clip' is an index into list.clips; else the program stops. Pure.
[[nodiscard]] std::string marks_vtt(const MarkList& list, std::size_t clip);

/// "3.533333333": seconds with nine decimals, exactly the nanoseconds.
[[nodiscard]] std::string decimal_seconds(std::int64_t ns);

}  // namespace plumbmark::report
