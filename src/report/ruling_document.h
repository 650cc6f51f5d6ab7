// Everything one ruling is printed from, as plain values: no database, no clip and no clock. The three forms
// of a ruling (report/ruling_json.h, report/ruling_text.h, report/ruling_sheet.h) are written from the same
// document, so that they cannot say different things.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/time.h"
#include "course/book.h"
#include "meet/competition.h"
#include "meet/values.h"
#include "ruling/evidence.h"
#include "ruling/ruling.h"

namespace plumbmark::report {

/// What a judge at a station gave on the floor.
struct FloorCallEntry {
    std::string station;  ///< key in the course book
    meet::Call call = meet::Call::clear;
    std::string judge;  ///< as the meet writes it; may be empty
    bool under_appeal = false;
};

/// What the clip behind one ruling::ClipIndex is.
struct ClipEntry {
    meet::ClipId id;
    std::string name;         ///< "camera A"
    std::string file;         ///< file name, without the folders of the machine it was reviewed on
    std::string fingerprint;  ///< of its content (media/fingerprint.h)
    std::int64_t frame_count = 0;
    std::string sha256 = {};  ///< of its whole file, hexadecimal; empty while it is not known
    int video_stream = 0;     ///< which of the file's video streams, from 0
    /// What is to be said of its capture time and of its repeated pictures, clauses without a full stop
    /// ("capture time: as given by the reviewer, 240 pictures a second, shown at 30"); usually empty.
    std::string capture = {};
    std::string repeated = {};
};

/// An appeal about the run, and what was decided on it.
struct AppealEntry {
    meet::Appeal appeal;
    std::optional<meet::Decision> decision;  ///< none: it waits, or was refused or withdrawn
};

/// Something of a mark that was measured, with what it is worth.
struct MeasureEntry {
    ruling::MarkId mark;
    std::string says;      ///< "41 mm past the front plane, 95 % between 22 and 60 mm past"
    std::string rests_on;  ///< what it rests on, a sentence
    /// Of a distance to a plane; an instant has none.
    struct Distance {
        std::string plane;      ///< key in the course book
        std::string how;        ///< "on_surface", "in_the_air" or "seen_by_two"
        std::string side;       ///< "before", "on", "past" or "cannot_tell"
        double best[2]{};       ///< metres past the plane: the ends of what the picture leaves
        double likely[2]{};     ///< the interval at 95 %
        double sure[2]{};       ///< at 99.9 %, which the side is said by
        bool by_draws = false;  ///< by the Monte Carlo method, as the law of propagation does not hold
    };
    std::optional<Distance> distance = std::nullopt;
};

/// What a meet has laid down for a call that the footage can neither uphold nor overturn.
enum class WhenNotShown : std::uint8_t {
    call_stands,      ///< the default
    athletes_favour,  ///< ruled in the athlete's favour
    run_again,        ///< the athlete runs again
};

struct RulingDocument {
    std::string meet_name;
    std::string venue;
    std::string date;            ///< as the meet writes it
    std::string run_label;       ///< "run 4"
    std::string athlete_number;  ///< as on the bib; may be empty
    std::string athlete_name;    ///< may be empty
    std::string question;        ///< what was asked; may be empty
    std::vector<FloorCallEntry> floor_calls;
    course::CourseBook book;       ///< the revision in force when it was run, of its division, in its lane
    std::string division = {};     ///< the division's name in the book; empty: the course as it stands
    std::string lane = {};         ///< the lane's name in the book; empty: none
    ruling::Evidence evidence;     ///< what was ruled on
    ruling::RunRuling ruling;      ///< one station ruling per station of 'book', in its order
    std::vector<ClipEntry> clips;  ///< by ruling::ClipIndex
    /// What each mark says, without clip and bracket: "left foot touches quay deck". One that is missing is
    /// worded from the evidence.
    std::map<ruling::MarkId, std::string> mark_words;
    /// Which frames of a mark, contact statement or watched span stood for an earlier one, whose picture they
    /// show again; only those of which there is something to say.
    std::map<ruling::MarkId, std::string> repeats;
    std::string program_version;
    ruling::Settings settings;  ///< what the engine ran with
    WhenNotShown when_not_shown = WhenNotShown::call_stands;
    std::vector<AppealEntry> appeals = {};  ///< in the order in which they were lodged
    /// How faces were kept from the stills, a sentence; empty: they were not looked for.
    std::string faces = {};
    /// By mark, in the order of their ids. The ruling rests on none of them but for instants, which the
    /// evidence has already.
    std::vector<MeasureEntry> measures = {};
};

/// The frame on screen at a clip's time: the last one whose time is <= t, counted from 0; exact for the ends
/// of brackets, which are frame times. None before the first frame, and for a clip the evidence does not
/// hold.
[[nodiscard]] std::optional<std::int64_t> frame_at(const ruling::Evidence& evidence, ruling::ClipIndex clip,
                                                   base::Time t);

/// What the footage does to a floor call (docs/rulings.md, 'The floor call and an appeal').
enum class CallOutcome : std::uint8_t {
    upheld,           ///< the ruling is shown and the same
    overturned,       ///< the ruling is shown and differs
    stands,           ///< NOT SHOWN: the call on the floor stands
    athletes_favour,  ///< NOT SHOWN, and the meet rules in the athlete's favour: clear
    run_again,        ///< NOT SHOWN, and the meet has the run repeated
    falls_away,       ///< NOT REACHED: the run was over before this station, so the call has no object
};

/// Compares a call with the ruling of its station. A verdict that holds 'if reached' counts as shown: a call
/// on a station that was never reached is no call.
[[nodiscard]] CallOutcome outcome_of(meet::Call call, const ruling::StationRuling& ruling,
                                     WhenNotShown when_not_shown);
/// "upheld", "overturned", "stands", "athletes_favour", "run_again", "falls_away": the words used in JSON.
[[nodiscard]] const char* outcome_key(CallOutcome outcome);

}  // namespace plumbmark::report
