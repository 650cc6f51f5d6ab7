// What is written reads back as the same book.
#include <rapidcheck.h>

#include <catch2/catch.hpp>
#include <tuple>

#include "course/check.h"
#include "course/random_book.h"
#include "course/read.h"
#include "course/test_text.h"
#include "course/write.h"

using namespace plumbmark::course;

namespace {

std::string problems_text(const ReadBook& read) {
    std::string text;
    for (const BookProblem& problem : read.problems)
        text += problem.text("") + "\n";
    return text;
}

CourseBook written_and_read(const CourseBook& book) {
    const std::string text = write_book(book);
    const ReadBook read = read_book(text);
    INFO(text << "\n" << problems_text(read));
    REQUIRE(read.book.has_value());
    return *read.book;
}

}  // namespace

TEST_CASE("a random book that is written and read again is the same book") {
    // Compared with the book itself; the seed is printed and can be given as RC_PARAMS.
    CHECK(rc::check("write, then read", [] {
        const CourseBook book = testing::random_book();
        const std::string text = write_book(book);
        const ReadBook read = read_book(text);
        RC_LOG() << text << problems_text(read);
        RC_ASSERT(read.book.has_value());
        RC_ASSERT(without_places(*read.book) == book);
        RC_ASSERT(write_book(*read.book) == text);
    }));
}

TEST_CASE("a random book can be checked, and every finding is whole and in the order of the file") {
    CHECK(rc::check("check", [] {
        const CourseBook book = *read_book(write_book(testing::random_book())).book;
        Place last;
        for (const Finding& finding : check_book(book)) {
            RC_ASSERT(std::tie(last.line, last.column) <= std::tie(finding.place.line, finding.place.column));
            RC_ASSERT(finding.sentence.english().back() == '.');
            RC_ASSERT(finding.repair.english().back() == '.');
            RC_ASSERT(finding.place.line > 0 || finding.code == "no-stations");
            last = finding.place;
        }
    }));
}

TEST_CASE("the books of the project are written as they read") {
    for (const char* file : {"sample_clips/pier-nine.course", "tests/course/cases/good.course"}) {
        INFO(file);
        const ReadBook read = read_book(file_text(file));
        REQUIRE(read.book.has_value());
        CHECK(without_places(written_and_read(*read.book)) == without_places(*read.book));
    }
}

TEST_CASE("what is the default is not written") {
    CourseBook book;
    book.name = "trial";
    book.revision = "1";
    book.surfaces = {{"deck", "deck", {}, {}}, {"quay", "quay \"nine\"", {}, {}}};
    Station station;
    station.key = "hop";
    station.name = "hop";
    station.start = {SurfaceId{0}};
    station.landing.surfaces = {SurfaceId{1}};
    station.landing.hold = plumbmark::base::Duration{1'250'000'000};
    book.stations = {station};
    CHECK(write_book(book) ==
          "course = \"trial\"\nrevision = \"1\"\nformat = \"first fail ends\"\n\n"
          "[surfaces]\ndeck = \"deck\"\nquay = \"quay \\\"nine\\\"\"\n\n"
          "[[station]]\nkey = \"hop\"\nname = \"hop\"\nstart = \"deck\"\n\n"
          "[station.landing]\nsurface = \"quay\"\nparts = \"any foot\"\nhold = 1.25\n");
}
