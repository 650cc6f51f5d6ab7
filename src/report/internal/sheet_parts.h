// What a ruling sheet says in each of its parts, as printable text (internal/plain.h): the same on a page and
// on paper.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "report/ruling_document.h"
#include "report/stills.h"

namespace plumbmark::report {

/// The question, or "Ruling on run 4".
[[nodiscard]] std::string sheet_title(const RulingDocument& document);

/// A sentence in three parts: the strong beginning, the rest.
struct Answer {
    ruling::Verdict verdict;
    std::string strong;  ///< "Net traverse: NOT SHOWN."
    std::string rest;    ///< "The floor call was fail. The call stands: ..."
};
/// Each station under appeal with what becomes of its call.
[[nodiscard]] std::vector<Answer> answers(const RulingDocument& document);
/// "three cleared, split 14.21 to 14.24 s."
[[nodiscard]] std::string run_answer(const RulingDocument& document);

/// When a station was decided, how surely, and on what; empty when nothing is known of that.
[[nodiscard]] std::string facts_words(const RulingDocument& document, const ruling::StationRuling& station);
/// A clause by its sentence, with a full stop.
[[nodiscard]] std::string clause_sentence(const ruling::ClauseFinding& finding);
/// "Kept: start; landing."; empty when none was.
[[nodiscard]] std::string kept_words(const ruling::StationRuling& station);
/// True where a sheet shows a station's clauses: it is ruled FAIL or NOT SHOWN, or is under appeal.
[[nodiscard]] bool contested(const RulingDocument& document, const ruling::StationRuling& station);

/// "net traverse: left foot touches quay deck · camera A".
[[nodiscard]] std::string still_heading(const RulingDocument& document, const Still& still);
/// "not yet" or "it is".
[[nodiscard]] const char* side_words(StillSide side);
/// " · f 117 · 0:03.900" behind it.
[[nodiscard]] std::string still_when(const RulingDocument& document, const Still& still);
/// Whether two stills stand side by side.
[[nodiscard]] bool belong_together(const Still& a, const Still& b);

/// A number and what it stands for.
using Numbered = std::pair<std::int64_t, std::string>;
[[nodiscard]] std::vector<Numbered> watched_entries(const RulingDocument& document);
/// Every mark a verdict rests on or that would settle one, once, by its number; watched spans stand in their
/// own list.
[[nodiscard]] std::vector<Numbered> relied_on_entries(const RulingDocument& document);
/// What was measured, by the number of its mark.
[[nodiscard]] std::vector<Numbered> measured_entries(const RulingDocument& document);

/// What was asked and decided by people, a sentence or two for each appeal; the strong part names the appeal.
struct AppealWords {
    std::string strong;  ///< "Appeal 3 about net traverse, by T. Coach (coach)."
    std::string rest;    ///< "Lodged ...: ... Decided ... Signed: ..."
};
[[nodiscard]] std::vector<AppealWords> appeal_words(const RulingDocument& document);
/// Who signed what was decided here, each once: "A. Judge (head judge)".
[[nodiscard]] std::vector<std::string> signers(const RulingDocument& document);

/// The course book, each clip with what identifies it, and the settings; whole sentences.
[[nodiscard]] std::vector<std::string> foot_sentences(const RulingDocument& document);

inline constexpr const char* kNothingWatched =
    "No stretch of the footage was vouched for, so what was not marked is not ruled out.";
inline constexpr const char* kHowReached =
    "Video never shows when something happened, only that it had not by one frame and had by another. So "
    "each "
    "time here is a pair of frames: not yet at the first, it had at the second. The course book's rules were "
    "held against every order and time of events that fits all pairs. CLEAR or FAIL: all of them give the "
    "same "
    "answer. NOT SHOWN: they do not, and the footage decides nothing. What was not marked counts as absent "
    "only where a reviewer vouched for having watched. Margin: how many frames wider, at both ends, every "
    "mark "
    "could be with the same ruling.";
inline constexpr const char* kHowToVerify =
    "Whoever has the meet file and the clips can check this sheet. 'plumbmark verify MEETFILE --clips' "
    "recomputes the journal's chain and holds each clip's whole file against its hash; 'plumbmark rule "
    "MEETFILE' reaches the ruling anew from the marks. The frames can be counted with any player: they are "
    "numbered from 0 in the order shown.";
inline constexpr const char* kWhoDecides =
    "The people who sign here decide; the program shows what the footage supports.";

}  // namespace plumbmark::report
