// Times of officials: reading, rounding, combining and writing them, against published rules and examples.
#include "meet/official_time.h"

#include <catch2/catch.hpp>
#include <random>

using namespace plumbmark;
using namespace plumbmark::meet;

namespace {

base::Duration time(const std::string& text) {
    const base::Result<base::Duration> read = read_time(text);
    INFO(text);
    REQUIRE(read.ok());
    return *read;
}

constexpr base::Duration kWhole{1'000'000'000}, kTenth{100'000'000}, kHundredth{10'000'000};

std::string written(const std::string& exact, base::Duration unit, Rounding rounding) {
    return time_text(rounded(time(exact), {unit, rounding}), unit);
}

std::string of_watches(const std::vector<std::string>& watches, TwoWatches two, base::Duration unit) {
    std::vector<base::Duration> times;
    for (const std::string& watch : watches)
        times.push_back(time(watch));
    const base::Result<base::Duration> one = combined(times, {unit, Rounding::up, two});
    REQUIRE(one.ok());
    return time_text(*one, unit);
}

}  // namespace

TEST_CASE("athletics rounds up to the next longer unit") {
    // IAAF rule 165.24(e), transponders; USATF rule 165 (2013); IAAF rule 165 (2006-07).
    CHECK(written("2:09:44.3", kWhole, Rounding::up) == "2:09:45");
    CHECK(written("2:09:44.32", kWhole, Rounding::up) == "2:09:45");
    CHECK(written("2:25:08.1", kWhole, Rounding::up) == "2:25:09");
    CHECK(written("2:25:08", kWhole, Rounding::up) == "2:25:08");
    // World Athletics TR 19, from memory.
    CHECK(written("26:17.533", kHundredth, Rounding::up) == "26:17.54");
    CHECK(written("59:26.322", kTenth, Rounding::up) == "59:26.4");
    CHECK(written("2:09:44.322", kWhole, Rounding::up) == "2:09:45");
    CHECK(written("10.11", kTenth, Rounding::up) == "10.2");
}

TEST_CASE("swimming and skiing leave digits beyond the hundredth out") {
    // FINA SW 11.2.
    CHECK(written("21.074", kHundredth, Rounding::down) == "21.07");
    CHECK(written("21.079", kHundredth, Rounding::down) == "21.07");
    // FIS ICR 611.3.5: the difference of the full times of day, then cut off; cut off before, it is another.
    const base::Duration net = time("8:45:32.127026") - time("8:44:17.827998");
    CHECK(time_text(net, {1'000}) == "1:14.299028");
    CHECK(time_text(rounded(net, {kHundredth, Rounding::down}), kHundredth) == "1:14.29");
    const base::Duration late = time("8:45:32.127") - time("8:44:17.827");
    CHECK(time_text(rounded(late, {kHundredth, Rounding::down}), kHundredth) == "1:14.30");
}

TEST_CASE("halves go up where a meet rounds to the nearest unit") {
    CHECK(written("61.204", kHundredth, Rounding::nearest) == "1:01.20");
    CHECK(written("61.205", kHundredth, Rounding::nearest) == "1:01.21");
    CHECK(written("59.9999", kHundredth, Rounding::nearest) == "1:00.00");
    CHECK(written("59:59.5", kWhole, Rounding::nearest) == "1:00:00");
}

TEST_CASE("two of three watches that agree give the time, else the middle one") {
    // FINA SW 11.3; for the three watches World Athletics TR 19 (from memory) says the same.
    CHECK(of_watches({"25.31", "25.31", "25.40"}, TwoWatches::mean, kHundredth) == "25.31");
    CHECK(of_watches({"25.40", "25.31", "25.35"}, TwoWatches::mean, kHundredth) == "25.35");
    CHECK(of_watches({"25.31", "25.40"}, TwoWatches::mean, {1'000'000}) == "25.355");
    // Two watches: the slower one in athletics (common practice; a local guideline was read).
    CHECK(of_watches({"25.31", "25.40"}, TwoWatches::slower, kHundredth) == "25.40");
    CHECK(of_watches({"25.31"}, TwoWatches::mean, kHundredth) == "25.31");
    CHECK_FALSE(combined({}, {}).ok());
    CHECK_FALSE(combined(std::vector<base::Duration>(4), {}).ok());
}

TEST_CASE("a rounded time is whole, no more than a unit away, on the side that the rule says, and stays") {
    std::mt19937_64 random(23);
    for (int i = 0; i < 5'000; ++i) {
        const base::Duration exact{std::uniform_int_distribution<std::int64_t>(0, 9'000'000'000'000)(random)};
        for (const base::Duration unit : time_units()) {
            for (const Rounding rounding : {Rounding::up, Rounding::down, Rounding::nearest}) {
                const TimeForm form{unit, rounding};
                const base::Duration given = rounded(exact, form);
                CHECK(given.ns % unit.ns == 0);
                CHECK(rounded(given, form) == given);
                const std::int64_t more = (given - exact).ns;
                CHECK((rounding == Rounding::up     ? more >= 0 && more < unit.ns
                       : rounding == Rounding::down ? more <= 0 && more > -unit.ns
                                                    : 2 * more <= unit.ns && 2 * more > -unit.ns));
                CHECK(time(time_text(given, unit)) == given);
            }
        }
    }
}

TEST_CASE("a time is read as people write it") {
    CHECK(time("61.20").ns == 61'200'000'000);
    CHECK(time(" 1:01,2 ").ns == 61'200'000'000);
    CHECK(time("0:59.123456789").ns == 59'123'456'789);
    CHECK(time("90:00").ns == 5'400'000'000'000);
    CHECK(time("2:09:44").ns == 7'784'000'000'000);
}

TEST_CASE("what is no time is refused with the text") {
    for (const std::string text :
         {"",       " ",         "-1",      "+1",           "1.",    ".5",    "1:60",
          "1:60.0", "1:2:3:4",   "1::2",    "1:002",        "1.2.3", "1,2.3", "1e3",
          "61.2s",  "100:00:00", "9999999", "1.0123456789", "nan",   "1 2",   "１"}) {
        const base::Result<base::Duration> read = read_time(text);
        INFO("'" << text << "'");
        REQUIRE_FALSE(read.ok());
        CHECK(read.error().category == base::Category::bad_input);
        CHECK(read.error().sentence.english().find("'" + text + "'") != std::string::npos);
    }
}
