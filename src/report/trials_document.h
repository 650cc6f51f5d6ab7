// The course tester's book of a meet as it is told: in a terminal, on the desk, and on the sheet of releases
// (report/release_sheet.h). Plain values: no database, no file and no clock. Every text of the meet is put
// through internal/plain.h; sentences are in English and in the chosen language. Pure; any thread.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/sentence.h"
#include "media/picture.h"
#include "report/laid_open.h"
#include "report/stills.h"
#include "study/reach_gap.h"
#include "study/trials.h"

namespace plumbmark::report {

/// A photograph of a rig.
struct RigPicture {
    std::string file;    ///< its path as the meet keeps it; empty where it was erased
    std::string sha256;  ///< as it was noted, 64 hexadecimal digits
    /// Where it is wanted, can be read and is the one that was noted; made smaller.
    std::optional<media::RgbaImage> picture;
    base::Sentence no_picture;  ///< why there is none where it is wanted
    std::string looked_for;     ///< the file that was to be read, whole; no sheet prints it
};

struct TrialsRig {
    meet::RigState rig;
    std::vector<RigPicture> pictures;  ///< one for each of rig.photos
};

/// What open items of a station are about: one picture for all that are about the same frame and mark.
struct QuestionStill {
    study::Still still;
    meet::MarkId mark;                        ///< none: no one mark
    std::optional<course::Part> part;         ///< that it touches with
    std::optional<media::RgbaImage> picture;  ///< where it is wanted and can be had; made smaller
    std::vector<StillOutline> outlines;       ///< in pixels of the picture
    std::optional<std::array<double, 2>> spot;
    base::Sentence no_picture;  ///< why there is none where it is wanted
};

/// Names by the keys of the course book. A key without one stands as it is.
using SurfaceNames = std::map<std::string, std::string>;

struct TrialsStation {
    study::StationReport report;
    std::vector<study::TrialResult> results;  ///< every trial, those set aside as well
    std::vector<study::CourseStep> steps;
    std::vector<TrialsRig> rigs;             ///< in the order they were written down: the last one holds
    std::vector<meet::Release> releases;     ///< in the order they were signed
    std::vector<QuestionStill> stills = {};  ///< those of open items, where they are wanted
};
/// The one of this item; null: it has none, or none is wanted.
[[nodiscard]] const QuestionStill* still_of(const TrialsStation& station, const study::Question& question);

struct TrialsDocument {
    std::string program_version;
    std::string meet_name, venue, date;
    std::string book_name, book_revision;
    study::TrialsWish wish;
    bool people_told = false;  ///< ages were told, for gaps and reaches
    std::vector<TrialsStation> stations;
    /// Stations that something was entered for and that the course book does not have (any more).
    std::vector<std::string> unknown_stations;
    std::map<meet::RunId, std::string> runs;        ///< their labels
    std::map<meet::ClipId, std::string> clips;      ///< their names
    std::map<meet::TesterId, std::string> testers;  ///< their names
    SurfaceNames surfaces;
    /// How faces were kept from the pictures, sentences; empty: no pictures.
    std::string faces;
};

/// "PROVEN", "CHANGED SINCE PROVEN".
[[nodiscard]] base::Sentence standing_words(study::Standing standing);
/// "never tried", "tried 3: 2 cleared, 1 failed, 0 not shown (1 by eye)".
[[nodiscard]] base::Sentence tally_words(const study::Tally& tally);
/// "18 of 20 cleared, 0.900, 95 % within 0.699 to 0.972 (Wilson)".
[[nodiscard]] base::Sentence trial_rate_words(const study::Rate& rate, study::Method method);
/// How many trials more it takes until the lower end of the rate is at the bound of the wish; empty without.
[[nodiscard]] std::vector<base::Sentence> outlook_words(const study::StationReport& report,
                                                        const study::TrialsWish& wish);
/// The outlook of every station for another bound, between 0 and 1. Errors as study::further_trials().
[[nodiscard]] base::Result<void> set_bound(TrialsDocument& document, double bound);

/// How one way stands.
enum class WayState : std::uint8_t {
    cleared,          ///< at least once
    failed,           ///< tried, and failed whenever it was shown
    not_shown,        ///< tried, and never shown either way
    never_tried,      ///< and still to be shown
    shown_by_others,  ///< never tried, and other ways have shown each two choices of it together
};
[[nodiscard]] WayState way_state(const study::WayLine& line);
/// "cleared", "only failed", "not shown", "never tried", "shown by others".
[[nodiscard]] base::Sentence way_state_words(WayState state);
/// "the planes" where the way asks for no surface.
[[nodiscard]] base::Sentence landing_words(const study::Way& way, const SurfaceNames& names);
/// Of the things that may be left out, those that this way leaves out: "first rung and third rung"; "none".
[[nodiscard]] base::Sentence left_out_words(const study::Ways& ways, const study::Way& way,
                                            const SurfaceNames& names);
/// "5 ways", "more than 1000000 ways; each two choices ...".
[[nodiscard]] base::Sentence ways_words(const study::Ways& ways);

/// "run 4, camera A, f 12": where it is to be looked at; empty where nowhere.
[[nodiscard]] base::Sentence question_place(const TrialsDocument& document, const study::Question& question);

/// "gap from pier deck to coil deck: 2.23 to 2.27 m apart, +0.00 m in height".
[[nodiscard]] base::Sentence step_words(const study::CourseStep& step, const SurfaceNames& names);
/// What is published of people for the step, each with its source, or that no table serves.
[[nodiscard]] std::vector<base::Sentence> step_figures(const study::CourseStep& step);

/// "hawser, hook 3, 2.25 m".
[[nodiscard]] base::Sentence rig_item_words(const meet::RigItem& item);
/// "2026-05-02 09:30 UTC".
[[nodiscard]] std::string utc_words(std::int64_t ms);
/// "released by Tern on 2026-05-02 09:30 UTC, rig 3: dry".
[[nodiscard]] base::Sentence release_words(const meet::Release& release);

/// All of it, station after station; an empty line before each. Ways and steps stand by their keys.
[[nodiscard]] std::vector<StudyLine> trials_lines(const TrialsDocument& document);
[[nodiscard]] std::string trials_text(const TrialsDocument& document);

}  // namespace plumbmark::report
