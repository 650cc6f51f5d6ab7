// The briefing: what a course book asks of the athlete, station by station, in plain sentences that say what
// the ruling engine rules (docs/rulings.md, section 4).
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/result.h"
#include "course/book.h"
#include "meet/competition.h"
#include "report/paper_size.h"

namespace plumbmark::report {

/// What is said on one matter. In sentences the book's names stand in isolates (Unicode Standard Annex 9, FSI
/// and PDI), so that a name's direction of writing does not turn the sentence round.
struct BriefingPoint {
    std::string topic;  ///< "start", "in_play", "row", "landing", ...: the word used in JSON
    std::string title;  ///< "Start"
    std::vector<std::string> sentences;
};

/// One thing of a station's drawing, seen from above, as the book's plan has it (course/plan.h): metres.
struct BriefingPlace {
    enum class Form : std::uint8_t { area, line, plane };
    Form form = Form::area;
    std::string name;
    std::vector<std::string> roles;         ///< "start", "in play", "landing" ...: at least one
    std::vector<course::PlanPoint> points;  ///< of a line and a plane from end to end; one: it is upright
    course::PlanPoint past{};               ///< of a plane: a point beyond it
};

/// Where the things of a station are. No places: the plan has none of them.
struct BriefingPlan {
    std::vector<BriefingPlace> places;
    std::vector<std::string> missing;  ///< names of what the station has and the plan does not
};

struct BriefingStation {
    std::int32_t number = 1;  ///< in the order in which they are run
    std::string key;
    std::string name;
    std::vector<BriefingPoint> points;
    BriefingPlan plan;
};

struct BriefingDocument {
    std::string program_version;
    std::string meet_name, venue, date;  ///< empty where it is made from a course book alone
    std::string course, revision;
    std::string division, lane;         ///< names; empty: the course as it stands, as it is written
    std::vector<std::string> foremost;  ///< what holds on every station, first of all: what is out of play
    std::vector<BriefingPoint> course_points;  ///< format, start, caps, finish
    std::vector<BriefingStation> stations;
    std::vector<std::string> appeals;  ///< the meet's rules of appeals; empty without a meet
};

/// Puts a book into words: of one division and in one lane (course::run_book()), whose stations are those to
/// run. Every member of every station, and of the book, is spoken of, also where it stands at its default.
/// Sentences only; the names and places of the meet are the caller's to add. Pure; any thread.
[[nodiscard]] BriefingDocument briefing_of(const course::CourseBook& book);

/// The rules of appeals in sentences. Pure; any thread.
[[nodiscard]] std::vector<std::string> appeal_sentences(const meet::AppealRules& rules);

/// For a terminal; names are put through internal/plain.h. Pure; any thread.
[[nodiscard]] std::string briefing_text(const BriefingDocument& document);

/// As JSON (docs/briefing.schema.json): UTF-8, members always in the same order, one line feed at the end;
/// without isolates. Pure; any thread.
[[nodiscard]] std::string briefing_json(const BriefingDocument& document);

/// One page of HTML that needs nothing but itself: no script, nothing fetched; all names are inert text.
/// Pure; any thread.
[[nodiscard]] std::string briefing_html(const BriefingDocument& document);

/// The same as a PDF, as ruling_sheet_pdf() makes one: the same document, the same bytes. Error io. Any
/// thread.
[[nodiscard]] base::Result<std::string> briefing_pdf(const BriefingDocument& document,
                                                     PaperSize size = PaperSize::a4);

}  // namespace plumbmark::report
