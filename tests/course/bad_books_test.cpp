// The table of bad course books: what a setter is told, word for word and place for place.
#include <catch2/catch.hpp>
#include <sstream>

#include "course/read.h"
#include "course/test_text.h"
#include "support/in_language.h"

using namespace plumbmark::course;

namespace {

struct Change {
    std::string out;
    std::string in;
};

struct BadBook {
    std::string title;
    std::vector<Change> changes;
    std::optional<std::string> whole;
    std::vector<std::string> messages;
};

// The rest of a table line behind its sign and one blank.
std::string rest_of(const std::string& line) {
    return line.size() > 2 ? line.substr(2) : std::string{};
}

void take_change_line(BadBook& book, const std::string& line) {
    const bool takes_out = line[0] == '-';
    const bool starts_change = book.changes.empty() || (takes_out && !book.changes.back().in.empty());
    if (starts_change) book.changes.emplace_back();
    std::string& side = takes_out ? book.changes.back().out : book.changes.back().in;
    side += (side.empty() ? "" : "\n") + rest_of(line);
}

std::vector<BadBook> bad_books() {
    std::istringstream lines(file_text("tests/course/cases/bad-books.txt"));
    std::vector<BadBook> books;
    for (std::string line; std::getline(lines, line);) {
        if (line.empty() || line[0] == '#') continue;
        if (line[0] == '=') {
            books.push_back({line.substr(3), {}, std::nullopt, {}});
        } else if (line[0] == '>') {
            books.back().messages.push_back(rest_of(line));
        } else if (line[0] == '|') {
            books.back().whole = books.back().whole.value_or("") + rest_of(line);
        } else {
            REQUIRE((line[0] == '-' || line[0] == '+'));
            take_change_line(books.back(), line);
        }
    }
    return books;
}

std::string text_of(const BadBook& bad) {
    if (bad.whole) return *bad.whole;
    std::string text = file_text("tests/course/cases/good.course");
    for (const Change& change : bad.changes) {
        const std::size_t at = change.out.empty() ? text.size() : text.find(change.out);
        REQUIRE(at != std::string::npos);
        text.replace(at, change.out.size(), change.in);
    }
    return text;
}

}  // namespace

TEST_CASE("every bad course book of the table is told as the table says") {
    const std::vector<BadBook> books = bad_books();
    CHECK(books.size() >= 80);
    for (const BadBook& bad : books) {
        DYNAMIC_SECTION(bad.title) {
            const ReadBook read = read_book(text_of(bad));
            CHECK_FALSE(read.book.has_value());
            std::vector<std::string> told;
            for (const BookProblem& problem : read.problems)
                told.push_back(problem.text(""));
            CHECK(told == bad.messages);
        }
    }
}

TEST_CASE("every bad course book of the table is told in German with the same English") {
    const plumbmark::test::InLanguage german("de");
    for (const BadBook& bad : bad_books()) {
        INFO(bad.title);
        std::vector<std::string> told;
        for (const BookProblem& problem : read_book(text_of(bad)).problems) {
            told.push_back(problem.text(""));
            INFO(problem.spoken());
            CHECK(problem.found.spoken() != problem.found.english());
            CHECK(problem.spoken().find("expected") == std::string::npos);
        }
        CHECK(told == bad.messages);
    }
}

TEST_CASE("the book that the table changes reads without problems") {
    const ReadBook read = read_book(file_text("tests/course/cases/good.course"));
    CHECK(read.problems.empty());
    CHECK(read.book.has_value());
}

TEST_CASE("an error for a whole file has every problem on its own line behind the file's name") {
    const auto book = read_book_or_error("course = 1\nrevision = 2\n", "hall.course");
    REQUIRE_FALSE(book.ok());
    CHECK(book.error().category == plumbmark::base::Category::bad_input);
    CHECK(
        book.error().sentence ==
        "hall.course:1:1: the course book has no 'surfaces'; expected a [surfaces] table with lines such as "
        "pier_deck = \"pier deck\".\n"
        "hall.course:1:1: the course book has no 'station'; expected [[station]] tables in the order in "
        "which "
        "they are run.\n"
        "hall.course:1:10: 'course' is the number 1; expected a name in quotes, such as \"Pier Nine Youth "
        "Open, "
        "harbour hall\".\n"
        "hall.course:2:12: 'revision' is the number 2; expected a name in quotes, such as \"2\".");
}
