// What an athlete's page says in each of its parts, as plain sentences: the same in a terminal, on a page and
// on paper.
#pragma once

#include <string>
#include <vector>

#include "base/sentence.h"
#include "report/athlete_page.h"
#include "report/plots.h"

namespace plumbmark::report {

/// A word at the left and what is said to it.
struct PageFact {
    base::Sentence title;
    std::vector<base::Sentence> says;
};

struct PageStation {
    std::size_t number = 0;  ///< from 1
    std::string name;        ///< plain
    ruling::Verdict verdict = ruling::Verdict::not_reached;
    base::Sentence verdict_words;
    base::Sentence because;  ///< the ruling's own sentence; may be empty
    std::vector<PageFact> facts;
};
[[nodiscard]] std::vector<PageStation> page_stations(const AthletePage& page);
/// Grips, hangs, flights and rests that lie in no station.
[[nodiscard]] std::vector<PageFact> page_between(const AthletePage& page);

/// "run 4, number 41, Petrel".
[[nodiscard]] base::Sentence page_title(const AthletePage& page);

/// What was lost where against one: the largest first, what these frames cannot tell apart, and what is not
/// known.
[[nodiscard]] std::vector<PageFact> page_losses(const AthletePage& page);
/// What could not be held against the run or is to be known of it; whole sentences.
[[nodiscard]] std::vector<base::Sentence> page_remarks(const AthletePage& page);

/// "camera A, f 212, 0:03.533".
[[nodiscard]] std::string note_where(const PageNote& note);

/// The times of the stations against what the first run is held against, and its rhythm.
[[nodiscard]] TimesPlot times_plot(const CompareDocument& figures);
[[nodiscard]] RhythmPlot rhythm_plot(const CompareDocument& figures);
/// Beside one other run, with its events by the numbers that they have in the plot.
struct PageSplit {
    base::Sentence title;
    SplitPlot plot;
    std::vector<base::Sentence> events;
};
[[nodiscard]] PageSplit page_split(const CompareDocument& beside);

inline constexpr const char* kHowToRead =
    "Video shows that something had not happened by one frame and had by another. So every length here is "
    "given "
    "by the least and the most that it can have been by what was marked, and a difference is told only where "
    "it "
    "holds for every time that fits the frames: else it says 'no difference that these frames can show'. "
    "What "
    "stands in brackets behind a figure is in doubt.";
inline constexpr const char* kWhatIsWhat =
    "Time of a station: from the event with which the ruling has it begin to the one that completes it. "
    "Grip: a "
    "hand on something, from touch to leaving. Hang: both feet off everything and a hand on something. Rest: "
    "a foot "
    "on a start or landing. Flight: no part of the body on anything. Beat: from one touch of a hand (or "
    "foot) to the "
    "next of either.";

}  // namespace plumbmark::report
