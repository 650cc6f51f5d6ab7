// Fuzzes the course book reader: any bytes must be read or told, never crash; and what reads must check, and
// must read back equal once it is written. Findings are kept in tests/fuzz/findings/course.
#include <cstdint>
#include <cstdlib>
#include <string_view>
#include <tuple>

#include "base/check.h"
#include "base/text.h"
#include "course/check.h"
#include "course/read.h"
#include "course/write.h"

using namespace plumbmark;

namespace {

void expect_whole_problems(const course::ReadBook& read) {
    course::Place last{1, 1};
    for (const course::BookProblem& problem : read.problems) {
        PLUMBMARK_CHECK(std::tie(last.line, last.column) <=
                        std::tie(problem.place.line, problem.place.column));
        const std::string line = problem.text("fuzz.course");
        PLUMBMARK_CHECK(!problem.found.empty() && !problem.expected.empty());
        PLUMBMARK_CHECK(base::is_utf8(line) && line.find('\n') == std::string::npos);
        last = problem.place;
    }
}

void expect_round_trip(const course::CourseBook& book) {
    const std::string text = course::write_book(book);
    const course::ReadBook again = course::read_book(text);
    PLUMBMARK_CHECK(again.book.has_value());
    PLUMBMARK_CHECK(course::without_places(*again.book) == course::without_places(book));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    const course::ReadBook read = course::read_book(text);
    PLUMBMARK_CHECK(read.book.has_value() == read.problems.empty());
    expect_whole_problems(read);
    if (read.book) {
        for (const course::Finding& finding : course::check_book(*read.book)) {
            PLUMBMARK_CHECK(base::is_utf8(finding.text("fuzz.course")));
        }
        expect_round_trip(*read.book);
    }
    return 0;
}
