// Capture time: the map's arithmetic against exact fractions, and the reviewer's way of writing it.
#include "meet/capture.h"

#include <catch2/catch.hpp>
#include <random>

using namespace plumbmark;
using namespace plumbmark::meet;

namespace {

__extension__ typedef __int128 Wide;

constexpr std::int64_t kSecond = 1'000'000'000;

CaptureMap read(const std::string& text) {
    base::Result<CaptureMap> map = read_capture(text);
    INFO((map.ok() ? "" : map.error().text()));
    REQUIRE(map.ok());
    return *map;
}

/// Time stamps of frames that lie 'ticks' apart.
CaptureMap placed(CaptureMap map, std::int64_t ticks, std::int64_t first = 0) {
    for (CaptureStretch& stretch : map)
        stretch.from.pts = first + stretch.from.number * ticks;
    return map;
}

}  // namespace

TEST_CASE("a clip without a word, and one shown as it was taken, have the file's own times") {
    std::mt19937_64 random(11);
    for (const base::Rational base : {base::Rational{1, 90'000}, {1'001, 30'000}, {1, 1'000}, {0, 1}}) {
        for (int i = 0; i < 200; ++i) {
            const std::int64_t pts =
                std::uniform_int_distribution<std::int64_t>(-1'000'000, 90'000'000)(random);
            CHECK(CaptureClock({}, base).time(pts) == base::floor_to_time(pts, base));
            CHECK(CaptureClock(placed(read("as shown"), 1, 77), base).time(pts) ==
                  base::floor_to_time(pts, base));
        }
    }
}

TEST_CASE("240 pictures a second shown at 30 pass in an eighth of the time") {
    const CaptureClock clock(placed(read("240 shown 30"), 3'000, 900), {1, 90'000});
    const std::int64_t zero = clock.time(900).ns;
    CHECK(zero == 10'000'000);
    for (std::int64_t n = 0; n < 1'000; ++n)
        CHECK(clock.time(900 + n * 3'000).ns == zero + n * kSecond / 240);
    // A frame that the camera dropped leaves its gap in the file, and so in capture time.
    CHECK(clock.time(900 + 2 * 3'000) - clock.time(900) == base::Duration{2 * kSecond / 240});
}

TEST_CASE("stretches join without a step, each frame less than a nanosecond a stretch from the exact time") {
    // 60000/1001 ticks; the exact time is summed as a fraction over 1001 * 240 * 7.
    const CaptureMap map =
        placed(read("as shown; @7 240 shown 59.94; @100 700/3 shown 60000/1001; @150 as shown"), 1'001);
    const base::Rational base{1, 60'000};
    const CaptureClock clock(map, base);
    long double exact = 0;  // 64 bits of mantissa: good to far below a nanosecond here
    std::int64_t last = -1;
    for (std::int64_t n = 0; n < 400; ++n) {
        const std::int64_t now = clock.time(n * 1'001).ns;
        CHECK(now > last);
        const long double off = exact * 1e9L - static_cast<long double>(now);
        CHECK(off > -1e-3L);
        CHECK(off < 4);
        last = now;
        const long double gap = 1'001.0L / 60'000;
        if (n >= 7 && n < 100)
            exact += gap * 59.94L / 240;
        else if (n >= 100 && n < 150)
            exact += gap * (60'000.0L / 1'001) * 3 / 700;
        else
            exact += gap;
    }
}

TEST_CASE("frames keep their order at every rate that may be given, and no time stamp stops the program") {
    std::mt19937_64 random(5);
    const auto number = [&](std::int64_t from, std::int64_t to) {
        return std::uniform_int_distribution<std::int64_t>(from, to)(random);
    };
    for (int i = 0; i < 300; ++i) {
        CaptureMap map;
        std::int64_t frame = 0, pts = number(-1'000, 1'000);
        for (int s = 0; s < 4; ++s) {
            CaptureStretch stretch{{frame, pts}, static_cast<Pace>(number(0, 2)), {}};
            if (stretch.pace == Pace::retimed)
                stretch.rates = {{number(1, 10'000), number(1, 2)}, {number(1, 240), 1}};
            map.push_back(stretch);
            frame += number(1, 9);
            pts += number(1, 9'000);
        }
        REQUIRE(problem_of(map).empty());
        const CaptureClock clock(map, {1, 90'000});
        for (std::int64_t t = -2'000; t < pts; t += number(1, 400))
            CHECK(clock.time(t) < clock.time(t + 1));
        for (const std::int64_t far :
             {std::numeric_limits<std::int64_t>::min(), std::numeric_limits<std::int64_t>::max()})
            CHECK((clock.time(far).ns < 0) == (far < 0));
        const CaptureClock odd(map, {9'007'199'254'740'993, 3});
        CHECK(odd.time(std::numeric_limits<std::int64_t>::min()) <=
              odd.time(std::numeric_limits<std::int64_t>::max()));
    }
}

TEST_CASE("an unknown stretch takes the durations across it, and no others") {
    const CaptureClock clock(placed(read("as shown; @10 unknown; @20 as shown"), 100), {1, 1'000});
    CHECK_FALSE(clock.unknown_between(0, 1'000));
    CHECK(clock.unknown_between(0, 1'001));
    CHECK(clock.unknown_between(1'200, 1'300));
    CHECK(clock.unknown_between(1'999, 2'001));
    CHECK_FALSE(clock.unknown_between(2'000, 9'000));
    CHECK_FALSE(clock.unknown_between(1'500, 1'500));
    CHECK(CaptureClock(read("unknown"), {1, 1'000}).unknown_between(-5, -4));
    CHECK_FALSE(CaptureClock({}, {1, 1'000}).unknown_between(0, 9));
}

TEST_CASE("what a reviewer writes is read, written and read back equal") {
    for (const std::string text :
         {"240", "240 shown 30", "as shown", "unknown", "as shown; @120 240; @480 as shown",
          "59.94 shown 29.97", "240000/1001 shown 30000/1001", "unknown; @1 0.5 shown 30; @2 unknown",
          "0.125"}) {
        CAPTURE(text);
        CHECK(capture_text(read(text)) == text);
    }
    CHECK(read("  @0 240/1   shown  30.0 ;@12\t as shown") == read("240 shown 30; @12 as shown"));
    CHECK(read("").empty());
    CHECK(read("none").empty());
    CHECK(read("960/4") == read("240"));
}

TEST_CASE("what cannot be read is refused with what is wrong and what is expected") {
    for (const auto& [text, part] : {std::pair<std::string, std::string>{"fast", "'fast': this is no rate"},
                                     {"0", "this is no rate"},
                                     {"100001", "this is no rate"},
                                     {"0.0001", "this is no rate"},
                                     {"240/0", "this is no rate"},
                                     {"-3", "this is no rate"},
                                     {"240 shown", "'240 shown': this is no rate"},
                                     {"240 shown x", "'x': this is no rate"},
                                     {"240;", "every stretch but the first begins with its frame"},
                                     {"240; 30", "every stretch but the first begins with its frame"},
                                     {"@5 240", "the first stretch begins with frame 0"},
                                     {"240; @x 30", "after '@' comes a frame number"},
                                     {"240; @ 30", "after '@' comes a frame number"},
                                     {"240; @-1 30", "after '@' comes a frame number"},
                                     {"240; @5", "a rate is missing"},
                                     {"240; @5 30; @5 60", "its frame is not after frame 5"},
                                     {"240; @9 30; @5 60", "its frame is not after frame 9"},
                                     {"99999999999999999999", "this is no rate"}}) {
        CAPTURE(text);
        const auto map = read_capture(text);
        REQUIRE_FALSE(map.ok());
        CHECK(map.error().category == base::Category::bad_input);
        CHECK(map.error().sentence.english().find(part) != std::string::npos);
    }
}

TEST_CASE("a stretch slowed beyond all measure is refused") {
    CHECK_FALSE(problem_of(read("100000 shown 9")).empty());
    CHECK(problem_of(read("100000 shown 10")).empty());
    CHECK_FALSE(problem_of(read("0.001 shown 24")).empty());
}

TEST_CASE("rates that differ by a clock's error only are no slow motion") {
    CHECK_FALSE(rates_differ({{30, 1}, {30'000, 1'001}}));
    CHECK_FALSE(rates_differ({{30, 1}, {59, 2}}));
    CHECK(rates_differ({{240, 1}, {30, 1}}));
    CHECK(rates_differ({{30, 1}, {24, 1}}));
    CHECK(rates_differ({{1, 2}, {30, 1}}));
}

TEST_CASE("a repeated frame stands for the first of the equal ones") {
    const std::vector<RepeatedPictures> repeats{{{2, 20}, 3, true}, {{3, 30}, 5, false}, {{9, 90}, 12, true}};
    CHECK(first_shown(repeats, {5, 50}) == FrameRef{2, 20});
    CHECK(first_shown(repeats, {5, 50}, true) == FrameRef{5, 50});
    CHECK(first_shown(repeats, {3, 30}, true) == FrameRef{2, 20});
    CHECK(first_shown(repeats, {12, 120}) == FrameRef{9, 90});
    for (const std::int64_t n : {0, 2, 6, 9, 13})
        CHECK(first_shown(repeats, {n, n * 10}) == FrameRef{n, n * 10});
}

TEST_CASE("words for people name the rates") {
    CHECK(capture_words(read("240 shown 30")) == "240 pictures a second, shown at 30");
    CHECK(capture_words(read("as shown; @120 240 shown 30; @480 unknown")) ==
          "from f 0 as shown; from f 120 240 pictures a second, shown at 30; from f 480 unknown");
    CHECK(rate_text({30'000, 1'001}) == "30000/1001");
    CHECK(rate_text({2'997, 100}) == "29.97");
}
