// The sentences that the terminal's form and the sheet share. All of them are plain text (internal/plain.h).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/ruling_document.h"

namespace plumbmark::report {

/// Names by id; "an undeclared surface" and the like where the id names nothing of the book.
[[nodiscard]] std::string surface_words(const course::CourseBook& book, course::SurfaceId id);
[[nodiscard]] std::string plane_words(const course::CourseBook& book, course::PlaneId id);
[[nodiscard]] std::string station_words(const course::CourseBook& book, course::StationId id);
[[nodiscard]] std::string clip_words(const RulingDocument& document, ruling::ClipIndex clip);

/// ", division Under 12, lane north lane": what a run had of the course book, behind its revision, each name
/// put through 'shown'; empty for the whole course as it is written.
template <class Show>
std::string course_part(const RulingDocument& document, const Show& shown) {
    std::string part;
    if (!document.division.empty()) part += ", division " + shown(document.division);
    if (!document.lane.empty()) part += ", lane " + shown(document.lane);
    return part;
}

/// "left foot touches coil deck".
[[nodiscard]] std::string happening_words(const ruling::Happening& what, const course::CourseBook& book);

/// "the whole athlete", "net and floor", "quay deck and the finish signal".
[[nodiscard]] std::string scope_words(const ruling::Scope& scope, const RulingDocument& document);

/// "f 117 to 118", "before the clip to f 3", "f 90 to after the clip"; a bracket's ends as frames.
[[nodiscard]] std::string frames_words(const RulingDocument& document, const ruling::Shown& shown);
/// "camera A, f 117 to 118 (0:03.900 to 0:03.933)".
[[nodiscard]] std::string shown_words(const RulingDocument& document, const ruling::Shown& shown);
/// A watched span as an interval of its clip.
[[nodiscard]] ruling::Shown span_shown(const ruling::WatchedSpan& span);

/// What the mark, contact statement or span says, without clip and bracket.
[[nodiscard]] std::string mark_says(const RulingDocument& document, ruling::MarkId id);
/// The same with each clip and bracket it was seen on, and which of its frames only repeat an earlier one.
[[nodiscard]] std::string mark_line(const RulingDocument& document, ruling::MarkId id);
/// "Left foot touches gantry deck: 41 mm past ..., 95 % between .... Measured in ...."
[[nodiscard]] std::string measure_sentences(const RulingDocument& document, const MeasureEntry& one);

/// "CLEAR", "FAIL if reached".
[[nodiscard]] std::string verdict_line(const ruling::StationRuling& ruling);
/// "clear", "fail": the word in the middle of a sentence.
[[nodiscard]] const char* call_words(meet::Call call);
/// "the call is upheld: the footage shows the same", without a full stop.
[[nodiscard]] std::string outcome_words(const FloorCallEntry& call, const ruling::StationRuling& ruling,
                                        WhenNotShown when_not_shown);
/// How much the marks may be wrong; a whole sentence.
[[nodiscard]] std::string margin_sentence(const ruling::Margin& margin);

/// "clear if the left foot came onto the quay deck first"; the verdict alone when the world has no sentence.
[[nodiscard]] std::string world_sentence(const ruling::World& world);
/// What happens in this world from where the worlds part, in order, at most five events: "in this order: ...;
/// ...". Empty when it has no event of its own.
[[nodiscard]] std::string differing_events(const RulingDocument& document,
                                           const std::vector<ruling::World>& worlds,
                                           const ruling::World& world);

/// What is to be said of the times of a clip, beside its name: its capture time and repeated pictures, as
/// sentences. Empty for an ordinary clip.
[[nodiscard]] std::string clip_times_sentences(const ClipEntry& clip);

/// "bib 41, Aiko Tanaka": what is known of the athlete; empty when nothing is.
[[nodiscard]] std::string athlete_words(const RulingDocument& document);
/// The floor calls given for this station.
[[nodiscard]] std::vector<FloorCallEntry> calls_for(const RulingDocument& document,
                                                    course::StationId station);
/// True when a floor call of this station is under appeal.
[[nodiscard]] bool under_appeal(const RulingDocument& document, course::StationId station);

/// The text ending in one full stop (or the ? or ! it has); empty stays empty.
[[nodiscard]] std::string full_stop(std::string text);

}  // namespace plumbmark::report
