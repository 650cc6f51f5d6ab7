// Exact time: compared with hand-computed fractions and with 128-bit arithmetic.
#include "base/time.h"

#include <rapidcheck.h>

#include <catch2/catch.hpp>

using namespace plumbmark::base;

TEST_CASE("a frame's time is rounded down to the nanosecond once") {
    CHECK(floor_to_time(1, {1, 30}).ns == 33'333'333);
    CHECK(floor_to_time(2, {1, 30}).ns == 66'666'666);
    CHECK(floor_to_time(3, {1, 30}).ns == 100'000'000);
    CHECK(floor_to_time(1, {1001, 30000}).ns == 33'366'666);
    CHECK(floor_to_time(1, {1001, 24000}).ns == 41'708'333);
    CHECK(floor_to_time(0, {1, 90000}).ns == 0);
}

TEST_CASE("times before zero are rounded down too, not towards zero") {
    CHECK(floor_to_time(-1, {1, 30}).ns == -33'333'334);
    CHECK(floor_to_time(-3, {1, 30}).ns == -100'000'000);
}

TEST_CASE("equal instants in different time bases are equal") {
    // 24000/1001 frames per second against a 1/90000 time base: frame 24 is at 1.001 s in both.
    CHECK(floor_to_time(24, {1001, 24000}) == floor_to_time(90'090, {1, 90'000}));
    CHECK(exact_seconds(24, {1001, 24000}) == exact_seconds(90'090, {1, 90'000}));
}

TEST_CASE("an exact time is a fraction in lowest terms with a positive denominator") {
    CHECK(exact_seconds(24, {1001, 24000}) == Rational{1001, 1000});
    CHECK(exact_seconds(0, {1, 90000}) == Rational{0, 1});
    CHECK(exact_seconds(-6, {1, 4}) == Rational{-3, 2});
    CHECK(reduced({6, -4}) == Rational{-3, 2});
    CHECK(reduced({0, -7}) == Rational{0, 1});
}

TEST_CASE("large tick counts do not overflow on the way to a time") {
    // 100 years of 90 kHz ticks.
    const std::int64_t seconds = std::int64_t{100} * 365 * 86'400;
    CHECK(floor_to_time(seconds * 90'000, {1, 90'000}).ns == seconds * 1'000'000'000);
}

TEST_CASE("the time of a frame never decreases with its tick and is never above the exact time") {
    CHECK(rc::check("floor", [] {
        const auto ticks = *rc::gen::inRange<std::int64_t>(-1'000'000'000, 1'000'000'000);
        const Rational base{*rc::gen::inRange<std::int64_t>(1, 2'000),
                            *rc::gen::inRange<std::int64_t>(1, 100'000)};
        const std::int64_t ns = floor_to_time(ticks, base).ns;
        RC_ASSERT(floor_to_time(ticks + 1, base).ns >= ns);
        // ns <= ticks * num / den * 10^9 < ns + 1, without division.
        __extension__ typedef __int128 Wide;
        const Wide exact = Wide{ticks} * base.num * 1'000'000'000;
        RC_ASSERT(Wide{ns} * base.den <= exact);
        RC_ASSERT(exact < (Wide{ns} + 1) * base.den);
    }));
}

TEST_CASE("a time is the same on both sides of what 64 bits hold on the way to it") {
    // 2^63 / 10^9 / 1001 ticks of 1001/240000: computed in 64 bits below, in 128 above.
    for (const std::int64_t sign : {1, -1}) {
        for (std::int64_t ticks = 9'214'100; ticks < 9'214'250; ++ticks) {
            const std::int64_t ns = floor_to_time(sign * ticks, {1001, 240'000}).ns;
            __extension__ typedef __int128 Wide;
            const Wide exact = Wide{sign * ticks} * 1001 * 1'000'000'000;
            CHECK(Wide{ns} * 240'000 <= exact);
            CHECK(exact < (Wide{ns} + 1) * 240'000);
        }
    }
}

TEST_CASE("instants and lengths add and subtract as integers") {
    const Time t{1'500'000'000};
    CHECK((t + Duration{1}).ns == 1'500'000'001);
    CHECK((t - Duration{1'500'000'001}).ns == -1);
    CHECK((t - Time{500'000'000}) == Duration{1'000'000'000});
    CHECK(-Duration{5} < Duration{0});
    CHECK(Duration{2} + Duration{3} - Duration{4} == Duration{1});
}

TEST_CASE("a clock shows minutes, seconds and milliseconds, rounded down") {
    CHECK(clock_text({18'317'999'999}) == "0:18.317");
    CHECK(clock_text({0}) == "0:00.000");
    CHECK(clock_text({61'000'000'000}) == "1:01.000");
    CHECK(clock_text({3'600'000'000'000}) == "1:00:00.000");
    CHECK(clock_text({3'599'999'999'999}) == "59:59.999");
    CHECK(clock_text({-1}) == "-0:00.001");
    CHECK(clock_text({-500'000'000}) == "-0:00.500");
}

TEST_CASE("a length of time reads in milliseconds below a second and in seconds above") {
    CHECK(duration_text({41'000'000}) == "41 ms");
    CHECK(duration_text({41'499'999}) == "41 ms");
    CHECK(duration_text({41'500'000}) == "42 ms");
    CHECK(duration_text({999'499'999}) == "999 ms");
    CHECK(duration_text({999'500'000}) == "1.000 s");
    CHECK(duration_text({3'000'000'000}) == "3.000 s");
    CHECK(duration_text({-41'500'000}) == "-42 ms");
    CHECK(duration_text({-400'000}) == "0 ms");
}

TEST_CASE("seconds in decimals are exact nanoseconds") {
    CHECK(parse_seconds("2").value().ns == 2'000'000'000);
    CHECK(parse_seconds("0.5").value().ns == 500'000'000);
    CHECK(parse_seconds("0.1").value().ns == 100'000'000);
    CHECK(parse_seconds("1.000000001").value().ns == 1'000'000'001);
    CHECK(parse_seconds("00.25").value().ns == 250'000'000);
    CHECK(parse_seconds("999999999.999999999").value().ns == 999'999'999'999'999'999);
}

TEST_CASE("what is no length of time in seconds is refused with what it should look like") {
    for (const char* text : {"", ".", ".5", "5.", "-1", "+1", "1e3", "1.2.3", "1,5", " 1", "1 ", "0x1",
                             "1.0000000001", "1000000000", "inf", "nan", "٣"}) {
        INFO(text);
        const auto parsed = parse_seconds(text);
        REQUIRE_FALSE(parsed.ok());
        CHECK(parsed.error().category == Category::bad_input);
        CHECK(parsed.error().sentence ==
              "'" + std::string(text) + "' is not a length of time in seconds, such as 2 or 0.5");
    }
}
