// docs/course-book.md is held to the reader: its example reads, and its tables name every key, word and
// check.
#include <catch2/catch.hpp>
#include <span>

#include "course/check.h"
#include "course/internal/sections.h"
#include "course/internal/vocabulary.h"
#include "course/read.h"
#include "course/test_text.h"

using namespace plumbmark::course;

namespace {

std::string document() {
    return file_text("docs/course-book.md");
}

// The text of the first ```toml block.
std::string worked_example() {
    const std::string text = document();
    const std::string open = "```toml\n";
    const std::size_t from = text.find(open);
    REQUIRE(from != std::string::npos);
    const std::size_t to = text.find("```", from + open.size());
    REQUIRE(to != std::string::npos);
    return text.substr(from + open.size(), to - from - open.size());
}

// The part under a heading that begins with these words, up to the next heading of the same or a higher rank.
std::string section(const std::string& heading) {
    const std::string text = document();
    const std::size_t from = text.find("\n" + heading);
    INFO(heading);
    REQUIRE(from != std::string::npos);
    const std::size_t to = text.find("\n#", from + heading.size());
    return text.substr(from, to == std::string::npos ? to : to - from);
}

// A row of a table in the section whose first cell is the key, as `key`, `[key]` or `[[... .key]]`.
bool has_row(const std::string& text, const std::string& key) {
    for (const std::string& cell : {"| `" + key + "` |", "| `[" + key + "]` |", "| `[[" + key + "]]` |",
                                    "." + key + "]` |", "." + key + "]]` |"}) {
        if (text.find(cell) != std::string::npos) return true;
    }
    return false;
}

void check_rows(const std::string& heading, std::span<const std::string_view> keys) {
    const std::string text = section(heading);
    for (std::string_view key : keys) {
        INFO(heading << ": " << key);
        CHECK(has_row(text, std::string(key)));
    }
}

template <class Value, std::size_t N>
void check_words(const std::array<internal::Word<Value>, N>& words) {
    const std::string text = document();
    for (const auto& known : words) {
        INFO(known.word);
        CHECK(text.find("`\"" + std::string(known.word) + "\"`") != std::string::npos);
    }
}

}  // namespace

TEST_CASE("the worked example of the course book's description reads and has nothing to check twice") {
    const auto book = read_book_or_error(worked_example(), "docs/course-book.md");
    INFO((book.ok() ? "" : book.error().text()));
    REQUIRE(book.ok());
    CHECK(check_book(*book).empty());
}

TEST_CASE("the worked example is the sample meet's book") {
    CHECK(worked_example() == file_text("sample_clips/pier-nine.course"));
}

TEST_CASE("the description has a row for every key that the reader takes") {
    using namespace internal;
    check_rows("### At the top: the course", kCourseKeys);
    check_rows("### `[surfaces]`", kSurfaceKeys);
    check_rows("### `[[station]]`", kStationKeys);
    check_rows("### `[[station]]`", kStartPlaneKeys);
    check_rows("### Items", kItemKeys);
    check_rows("### `[station.landing]`", kLandingKeys);
    check_rows("### `[station.landing]`", kPlaneConditionKeys);
    check_rows("### `[[station.checkpoint]]`", kCheckpointKeys);
    check_rows("### `[finish]`", kFinishKeys);
    check_rows("### `[[division]]`", kDivisionKeys);
    check_rows("### `[[lane]]`", kLaneKeys);
    check_rows("### `[plan]`", kPlanKeys);
    check_rows("#### A line of `[plan.surfaces]`", kSurfacePlanKeys);
    check_rows("#### A line of `[plan.planes]`", kPlanePlanKeys);
}

TEST_CASE("the description has every word that can be chosen") {
    using namespace internal;
    check_words(kFormatWords);
    check_words(kFalseStartWords);
    check_words(kExitWords);
    check_words(kUntilWords);
    check_words(kLandingWords);
    check_words(kPartWords);
}

TEST_CASE("the description lists every check with its severity and what it looks for") {
    const std::string text = section("## What is checked beyond reading");
    for (const CheckInfo& info : book_checks()) {
        INFO(info.code);
        const std::string severity = info.severity == Severity::error ? "error" : "warning";
        CHECK(text.find("| `" + info.code + "` | " + severity + " | " + info.about + " |") !=
              std::string::npos);
    }
}
