// A run laid open (study/run_figures.h) with what names it and its parts, and how its figures are said.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "base/sentence.h"
#include "course/book.h"
#include "study/compare.h"
#include "study/run_figures.h"

namespace plumbmark::report {

/// Where a run is from and whose it is. Texts as the meet has them; empty where it does not say.
struct RunName {
    std::string file;  ///< of the meet, without folders
    std::string meet, date;
    std::string label;  ///< "run 4"
    std::string number, athlete;
};

/// Figures and evidence in terms of 'book', which is the course of the run's division, in its lane.
struct LaidOpen {
    RunName name;
    std::string revision;  ///< of the course book
    std::shared_ptr<const course::CourseBook> book;
    study::StudiedRun run;
    /// What is to be said of the whole run: a clip whose times nobody can vouch for.
    std::vector<base::Sentence> notes = {};
};

/// "run 4, number 41, Petrel": what is known.
[[nodiscard]] base::Sentence run_words(const RunName& name);

/// "2.38 to 2.43 s", "at least 2.38 s", "not known": hundredths of a second, outward. Without its doubts.
[[nodiscard]] base::Sentence length_words(const study::Length& length);
/// Each doubt as a phrase: "not watched all through".
[[nodiscard]] std::vector<base::Sentence> doubt_words(const study::Doubt& doubt);
/// "2.38 to 2.43 s (if it was cleared, not watched all through)".
[[nodiscard]] base::Sentence with_doubts(const base::Sentence& figure, const study::Doubt& doubt);
/// "3", "2 or 3", "2 to 5", "2 or more".
[[nodiscard]] base::Sentence count_words(const study::TouchCount& count);
/// What the mark says, by the run's own book: "left foot touches coil deck"; "not seen" for none.
[[nodiscard]] std::string event_of(const LaidOpen& run, ruling::MarkId mark);

/// "possible", "not_watched" ...: the words used in JSON, in a fixed order.
[[nodiscard]] std::vector<std::string> doubt_keys(const study::Doubt& doubt);
/// "longer", "shorter", "no_difference", "not_known".
[[nodiscard]] const char* told_key(study::Told told);

/// A line of a report on the terminal, or of a list on the desk: so many steps in.
struct StudyLine {
    int depth = 0;
    base::Sentence text;
};
/// Their English: three spaces for each step in; an empty one is an empty line.
[[nodiscard]] std::string study_text(const std::vector<StudyLine>& lines);

}  // namespace plumbmark::report
