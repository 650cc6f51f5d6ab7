// Texts that are hostile, damaged or far too large: told with a place, and told quickly.
#include <catch2/catch.hpp>

#include "course/read.h"

using namespace plumbmark::course;

namespace {

std::vector<std::string> told(const std::string& text) {
    std::vector<std::string> lines;
    for (const BookProblem& problem : read_book(text).problems)
        lines.push_back(problem.text(""));
    return lines;
}

using Lines = std::vector<std::string>;

}  // namespace

TEST_CASE("a text above one mebibyte is one problem") {
    CHECK(told(std::string(1048577, '#')) ==
          Lines{"1:1: the text has 1048577 bytes; expected a course book of at most 1048576 bytes (1 MiB)."});
}

TEST_CASE("a text of exactly one mebibyte is read") {
    std::string text;
    while (text.size() + 64 <= 1048576)
        text += std::string(63, '#') + "\n";
    REQUIRE(text.size() == 1048576);
    CHECK(told(text).size() == 4);  // course, revision, surfaces and station are missing
}

TEST_CASE("a line that is too long is told with its place") {
    CHECK(told("course = \"a\"\nrevision = \"" + std::string(10'000, 'x') + "\"\n") ==
          Lines{"2:1: this line is longer than 10000 bytes; expected shorter lines (a list may go on over "
                "several)."});
}

TEST_CASE("bytes that are not UTF-8 are told with the place of the first of them") {
    const std::string expected =
        ": this byte is not UTF-8 text; expected a file saved as UTF-8 (in the editor: save with encoding "
        "UTF-8).";
    CHECK(told("course = \"caf\xE9\"\n") == Lines{"1:14" + expected});
    CHECK(told("# \xCF\x80 and \xC0\x80\n") == Lines{"1:9" + expected});
    CHECK(told("a = 1\n\xFF") == Lines{"2:1" + expected});
    CHECK(told("\xEF\xBB\xBF\xFF") == Lines{"1:1" + expected});
    CHECK(told("# cut off \xE3\x81") == Lines{"1:11" + expected});
}

TEST_CASE("control characters are a problem and no more") {
    CHECK(told(std::string("a\0b = 1", 7)).size() == 1);
    CHECK(told("\x01").size() == 1);
    CHECK(told("name = \"a\x1b[31mred\"").size() == 1);
}

TEST_CASE("depth is refused before a parser goes down it") {
    const std::string deep(200'000, '[');
    CHECK(told("x = \n" + deep.substr(0, 9'000)).size() == 1);
    std::string dots = "a";
    while (dots.size() < 9'000)
        dots += ".a";
    CHECK(told(dots + " = 1") == Lines{"1:18: a key has more than 8 dots; expected keys without dots."});
    std::string braces;
    for (int i = 0; i < 1'000; ++i)
        braces += "{a=";
    CHECK(told("x = " + braces).size() == 1);
}

TEST_CASE("dots and brackets inside texts and comments are no depth") {
    const std::string text =
        "# a.b.c.d.e.f.g.h.i.j.k [[[[[[[[[[[[[[[[[[[[\n"
        "course = \"a.b.c.d.e.f.g.h.i.j.k [[[[[[[[[[[[[[[[[[[[ \\\" {{{{{{{{{{{{{{{{{{\"\n"
        "revision = 'a.b.c.d.e.f.g.h.i.j.k {{{{{{{{{{{{{{{{{{{{'\n";
    for (const std::string& line : told(text)) {
        CHECK(line.find("dots") == std::string::npos);
        CHECK(line.find("nested") == std::string::npos);
    }
}

TEST_CASE("more problems than anyone reads at once are counted, not listed") {
    std::string text;
    for (int i = 0; i < 5'000; ++i)
        text += "unknown_key_" + std::to_string(i) + " = 1\n";
    const Lines lines = told(text);
    REQUIRE(lines.size() == 201);
    CHECK(lines.back() == "200:1: there are 4804 more problems; expected the ones above to be mended first.");
}

TEST_CASE("a book with more surfaces than any hall is told once") {
    std::string text = "course = \"a\"\nrevision = \"1\"\n[surfaces]\n";
    for (int i = 0; i < 30'000; ++i)
        text += "s" + std::to_string(i) + " = \"x\"\n";
    const Lines lines = told(text);
    REQUIRE(lines.size() == 2);
    CHECK(lines[1] == "1004:1: there are more than 1000 surfaces and faces; expected at most 1000.");
}

TEST_CASE("a message stays one line of bearable length whatever stands in the file") {
    const Lines lines = told("course = 5\nrevision = \"1\"\n\"" + std::string(5'000, 'k') + "\\n\" = 1\n");
    for (const std::string& line : lines) {
        CHECK(line.size() < 500);
        CHECK(line.find('\n') == std::string::npos);
    }
}
