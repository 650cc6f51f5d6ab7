#include "course/read.h"

#include <exception>

#include "base/worded.h"
#include "course/internal/document.h"
#include "course/internal/scan.h"
#include "course/internal/sections.h"

namespace plumbmark::course {
namespace {

using namespace internal;

void read_settings(const Fields& fields, CourseBook& book) {
    book.name = fields.name("course", "Pier Nine Youth Open, harbour hall");
    book.revision = fields.name("revision", "2");
    book.format = fields.choice("format", kFormatWords, Format::first_fail_ends);
    book.brush_counts = fields.truth("brush_counts", true);
    book.loose_counts = fields.truth("loose_counts", true);
    book.at_cap_is_in_time = fields.truth("at_cap_is_in_time", true);
    book.false_start = fields.choice("false_start", kFalseStartWords, FalseStart::fails_first_station);
    book.run_cap = fields.length_of_time("run_cap");
}

void read_stations(const Fields& fields, Reading& reading) {
    const Sentence expected = worded("[[station]] tables in the order in which they are run");
    if (!fields.has("station")) fields.missing("station", expected);
    const auto tables = fields.tables("station", kMostStations, expected);
    for (std::size_t i = 0; i < tables.size(); ++i) {
        Station station = read_station(*tables[i], i + 1, i == 0, reading);
        tell_repeated_key(reading.book.stations, station, worded("station"), *tables[i], reading.problems);
        reading.book.stations.push_back(std::move(station));
    }
}

void read_all(std::string_view text, CourseBook& book, Problems& problems) {
    if (!within_limits(text, problems)) return;
    const std::optional<Document> document = Document::parse(text, problems);
    if (!document) return;
    Reading reading{*document, problems, book};
    const Fields fields(document->root(), {1, 1}, worded_in("of which something is told", "the course book"),
                        kCourseKeys, reading);
    read_settings(fields, book);
    read_surfaces(fields, reading);
    read_planes(fields, reading);
    read_stations(fields, reading);
    book.finish = read_finish(fields, reading);
    read_divisions(fields, reading);
    read_lanes(fields, reading);
    read_plan(fields, reading);
}

}  // namespace

namespace {

std::string at_place(std::string_view file, Place place) {
    std::string text(file);
    if (!file.empty()) text += ":";
    return text + std::to_string(place.line) + ":" + std::to_string(place.column);
}

Sentence told(const BookProblem& problem, std::string_view file) {
    const std::string at = at_place(file, problem.place);
    const Sentence& found = problem.found;
    const Sentence& expected = problem.expected;
    if (expected.empty() && problem.suggestion.empty()) return worded("{}: {}.", at, found);
    if (expected.empty()) return worded("{}: {}. Did you mean '{}'?", at, found, problem.suggestion);
    if (problem.suggestion.empty()) return worded("{}: {}; expected {}.", at, found, expected);
    return worded("{}: {}; expected {}. Did you mean '{}'?", at, found, expected, problem.suggestion);
}

}  // namespace

std::string BookProblem::text(std::string_view file) const {
    return told(*this, file).english();
}

std::string BookProblem::spoken(std::string_view file) const {
    return told(*this, file).spoken();
}

ReadBook read_book(std::string_view toml_text) {
    Problems problems;
    CourseBook book;
    try {
        read_all(toml_text, book, problems);
    } catch (const std::exception& error) {  // memory, as far as we know
        problems.add({1, 1}, worded("the text could not be taken in ({})", error.what()),
                     worded("a shorter course book"));
    }
    ReadBook result;
    if (problems.empty()) {
        result.book = std::move(book);
    } else {
        result.problems = std::move(problems).in_file_order();
    }
    return result;
}

base::Result<CourseBook> read_book_or_error(std::string_view toml_text, std::string_view file) {
    ReadBook read = read_book(toml_text);
    if (read.book) return std::move(*read.book);
    std::string lines, spoken;
    for (const BookProblem& problem : read.problems) {
        lines += (lines.empty() ? "" : "\n") + problem.text(file);
        spoken += (spoken.empty() ? "" : "\n") + problem.spoken(file);
    }
    return base::Error{base::Category::bad_input, {std::move(lines), std::move(spoken)}, ""};
}

}  // namespace plumbmark::course
