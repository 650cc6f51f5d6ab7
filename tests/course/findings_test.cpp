// What the fuzzer found, and its corpus, read by the ordinary build as well.
#include <catch2/catch.hpp>
#include <filesystem>

#include "base/text.h"
#include "course/check.h"
#include "course/read.h"
#include "course/test_text.h"
#include "course/write.h"
#include "support/test_places.h"

using namespace plumbmark::course;

namespace {

std::vector<std::string> files_in(const std::string& folder) {
    std::vector<std::string> files;
    for (const auto& entry : std::filesystem::directory_iterator(plumbmark::test::source_folder() / folder)) {
        if (entry.is_regular_file()) files.push_back(folder + "/" + entry.path().filename().string());
    }
    return files;
}

void expect_read_or_told(const std::string& text) {
    const ReadBook read = read_book(text);
    CHECK(read.book.has_value() == read.problems.empty());
    for (const BookProblem& problem : read.problems) {
        CHECK(problem.place.line >= 1);
        CHECK(problem.place.column >= 1);
        CHECK(plumbmark::base::is_utf8(problem.text("")));
    }
    if (!read.book) return;
    const ReadBook again = read_book(write_book(*read.book));
    REQUIRE(again.book.has_value());
    CHECK(without_places(*again.book) == without_places(*read.book));
    for (const Finding& finding : check_book(*read.book))
        CHECK_FALSE(finding.sentence.empty());
}

}  // namespace

TEST_CASE("everything the fuzzer starts from or has found is read or told") {
    std::size_t seen = 0;
    for (const char* folder : {"tests/fuzz/corpus/course", "tests/fuzz/findings/course"}) {
        for (const std::string& file : files_in(folder)) {
            INFO(file);
            expect_read_or_told(file_text(file));
            ++seen;
        }
    }
    CHECK(seen >= 4);
}
