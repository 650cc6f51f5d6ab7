// How far two instants can lie apart, against every placing of all events on the whole nanoseconds of small
// reviews, tried one by one.
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>

#include "oracle/random_case.h"
#include "ruling/spans.h"

namespace {

using namespace plumbmark;

/// The random reviews of the oracle with a unit of so few nanoseconds that all can be tried; no drift.
constexpr std::int64_t kUnit = 3;
constexpr std::int64_t kFar = 40;  ///< how far two clocks may lie apart

ruling::Evidence small(const oracle::Case& one) {
    ruling::Evidence evidence = one.evidence;
    const auto shrink = [&](std::int64_t& ns) { ns = ns / one.unit_ns * kUnit; };
    for (ruling::ClipFacts& clip : evidence.clips)
        shrink(clip.row_delay.ns);
    for (ruling::Mark& mark : evidence.marks) {
        for (ruling::Sighting& seen : mark.sightings) {
            if (seen.after) shrink(seen.after->ns);
            if (seen.until) shrink(seen.until->ns);
        }
    }
    return evidence;
}

struct Range {
    std::optional<std::int64_t> after, until;
    [[nodiscard]] bool empty() const { return after && until && *after >= *until; }
};
/// What a mark's sightings leave, on the first clip's clock, when the second's stands so far off.
Range range_of(const ruling::Evidence& evidence, const ruling::Mark& mark, std::int64_t offset) {
    Range range;
    for (const ruling::Sighting& seen : mark.sightings) {
        const std::int64_t clock = seen.clip.value == 0 ? 0 : offset;
        const std::int64_t rows =
            seen.row_known ? 0 : evidence.clips[seen.clip.value == 0 ? 0 : 1].row_delay.ns;
        if (seen.after)
            range.after = std::max(range.after.value_or(seen.after->ns + clock), seen.after->ns + clock);
        if (seen.until)
            range.until =
                std::min(range.until.value_or(seen.until->ns + rows + clock), seen.until->ns + rows + clock);
    }
    return range;
}

struct Tried {
    std::optional<std::int64_t> least, most;
    bool no_least = false, no_most = false;
};

/// Over all offsets of the clocks at which every certain mark has a time.
Tried try_all(const ruling::Evidence& evidence, const ruling::Mark& from, const ruling::Mark& to) {
    Tried tried;
    const std::int64_t far = evidence.clips.size() > 1 ? kFar : 0;
    for (std::int64_t offset = -far; offset <= far; ++offset) {
        const bool fits =
            std::all_of(evidence.marks.begin(), evidence.marks.end(), [&](const ruling::Mark& mark) {
                return mark.possible || !range_of(evidence, mark, offset).empty();
            });
        const Range a = range_of(evidence, from, offset), b = range_of(evidence, to, offset);
        if (!fits || a.empty() || b.empty()) continue;
        if (b.after && a.until)
            tried.least = std::min(tried.least.value_or(*b.after + 1 - *a.until), *b.after + 1 - *a.until);
        else
            tried.no_least = true;
        if (b.until && a.after)
            tried.most = std::max(tried.most.value_or(*b.until - *a.after - 1), *b.until - *a.after - 1);
        else
            tried.no_most = true;
    }
    return tried;
}

}  // namespace

TEST_CASE("bounds of a length are those of all placings tried one by one") {
    ruling::Settings settings;
    settings.drift_parts_per_million = 0;
    std::size_t one_clip = 0, two_clips = 0, tied = 0;
    for (std::uint64_t seed = 1; seed <= 3'000; ++seed) {
        const ruling::Evidence evidence = small(oracle::random_case(seed));
        if (std::any_of(evidence.clips.begin(), evidence.clips.end(),
                        [](const auto& c) { return !c.durations_known; }))
            continue;
        const auto spans = ruling::Spans::make(evidence, settings);
        INFO("case " << seed);
        if (!spans.ok()) continue;
        const bool two = evidence.clips.size() > 1;
        for (const ruling::Mark& from : evidence.marks) {
            for (const ruling::Mark& to : evidence.marks) {
                if (from.id == to.id) continue;
                const Tried tried = try_all(evidence, from, to);
                if (!tried.most && !tried.no_most) continue;  // no placing at all
                const ruling::SpanBounds bounds = spans->between(from.id, to.id);
                const ruling::SpanBounds back = spans->between(to.id, from.id);
                CHECK(back.low.has_value() == bounds.high.has_value());
                if (bounds.high) CHECK(back.low == -*bounds.high);
                if (!two) {
                    ++one_clip;
                    CHECK(bounds.high.has_value() == !tried.no_most);
                    CHECK(bounds.low.has_value() == !tried.no_least);
                    if (bounds.high) CHECK(bounds.high->ns == *tried.most);
                    if (bounds.low) CHECK(bounds.low->ns == *tried.least);
                    continue;
                }
                ++two_clips;
                // Nothing bounds the offset: the trial alone stopped at the end of what it tried.
                if (!bounds.high || !bounds.low) continue;
                ++tied;
                REQUIRE(tried.most);
                REQUIRE(tried.least);
                CHECK(bounds.high->ns >= *tried.most);
                CHECK(bounds.low->ns <= *tried.least);
                // Clocks need not differ by whole nanoseconds: that much more is possible, and no more.
                CHECK(bounds.high->ns <= *tried.most + 1);
                CHECK(bounds.low->ns >= *tried.least - 1);
            }
        }
    }
    CHECK(one_clip > 5'000);
    CHECK(tied > 500);
}

TEST_CASE("a length across two clips takes the tie once and one on a clip does not take it") {
    ruling::Evidence evidence;
    evidence.clips = {{"A", {}, true, {}}, {"B", {}, true, {}}};
    const auto mark = [&](std::int64_t id, std::vector<ruling::Sighting> seen) {
        evidence.marks.push_back({ruling::MarkId{id}, {ruling::Control{}}, false, std::move(seen)});
    };
    const ruling::ClipIndex a{0}, b{1};
    mark(1, {{a, base::Time{0}, base::Time{10}}, {b, base::Time{1'000}, base::Time{1'007}}});  // the tie
    mark(2, {{a, base::Time{100}, base::Time{110}}});
    mark(3, {{b, base::Time{1'200}, base::Time{1'207}}});
    mark(4, {{b, base::Time{1'300}, base::Time{1'307}}});
    ruling::Settings settings;
    settings.drift_parts_per_million = 0;
    const auto spans = ruling::Spans::make(evidence, settings);
    REQUIRE(spans.ok());
    // B's zero lies between -1007 and -990 on A: from 2 to 3 it is 1200 - 1007 - 110 to 1207 - 990 - 100.
    CHECK(spans->between(ruling::MarkId{2}, ruling::MarkId{3}) ==
          ruling::SpanBounds{base::Duration{84}, base::Duration{116}});
    CHECK(spans->between(ruling::MarkId{3}, ruling::MarkId{4}) ==
          ruling::SpanBounds{base::Duration{94}, base::Duration{106}});
    // What was seen on both needs no tie for either.
    CHECK(spans->between(ruling::MarkId{1}, ruling::MarkId{3}) ==
          ruling::SpanBounds{base::Duration{194}, base::Duration{206}});
}

TEST_CASE("drift widens a length and never its order") {
    ruling::Evidence evidence;
    evidence.clips = {{"A", {}, true, {}}};
    const ruling::ClipIndex a{0};
    const auto second = [](std::int64_t ns) { return base::Time{ns}; };
    evidence.marks = {{ruling::MarkId{1}, {ruling::Control{}}, false, {{a, second(0), second(1)}}},
                      {ruling::MarkId{2}, {ruling::Control{}}, false, {{a, second(1), second(2)}}},
                      {ruling::MarkId{3},
                       {ruling::Control{}},
                       false,
                       {{a, second(10'000'000'000), second(10'000'000'001)}}}};
    const auto spans = ruling::Spans::make(evidence);
    REQUIRE(spans.ok());
    CHECK(spans->between(ruling::MarkId{1}, ruling::MarkId{2}).low == base::Duration{1});
    // 50 parts in a million of ten seconds are half a millisecond.
    CHECK(spans->between(ruling::MarkId{1}, ruling::MarkId{3}) ==
          ruling::SpanBounds{base::Duration{10'000'000'000 - 500'000},
                             base::Duration{10'000'000'000 + 500'000}});
}

TEST_CASE("on a clip that shows order only there is order and no length") {
    ruling::Evidence evidence;
    evidence.clips = {{"A", {}, true, {}}, {"slow", {}, false, {}}};
    const ruling::ClipIndex a{0}, slow{1};
    const auto mark = [&](std::int64_t id, std::vector<ruling::Sighting> seen) {
        evidence.marks.push_back({ruling::MarkId{id}, {ruling::Control{}}, false, std::move(seen)});
    };
    mark(1, {{a, base::Time{0}, base::Time{10}}, {slow, base::Time{0}, base::Time{100}}});
    mark(2, {{slow, base::Time{100}, base::Time{200}}});
    mark(3, {{slow, base::Time{150}, base::Time{300}}});
    mark(4, {{a, base::Time{90}, base::Time{100}}, {slow, base::Time{300}, base::Time{400}}});
    mark(5, {{slow, base::Time{400}, base::Time{500}}});
    const auto spans = ruling::Spans::make(evidence);
    REQUIRE(spans.ok());
    CHECK_FALSE(spans->durations_known());
    const auto between = [&](std::int64_t from, std::int64_t to) {
        return spans->between(ruling::MarkId{from}, ruling::MarkId{to});
    };
    CHECK(between(1, 2).low == base::Duration{1});
    // Between two that A shows, too: not before the first of them began, nor after the last ended.
    CHECK(between(1, 2).high == base::Duration{100});
    CHECK(between(1, 4) == ruling::SpanBounds{base::Duration{80}, base::Duration{100}});
    CHECK(between(2, 3).low == base::Duration{-99 - 1});
    CHECK(between(4, 5).low == base::Duration{1});
    CHECK_FALSE(between(4, 5).high);
}
