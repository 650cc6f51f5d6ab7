// The search and what is asked of it: when it stops, how often it asks, which marks decided, and the calls of
// an appeal.
#include "ruling/internal/decide.h"

#include <catch2/catch.hpp>

#include "ruling/prepared_case.h"

using namespace plumbmark;
using namespace plumbmark::ruling;
using base::Category;
using test::PreparedCase;
using test::RuleCase;

namespace {

constexpr const char* kTwo = R"(--- course
course = "two"
revision = "1"
[surfaces]
deck = "deck"
quay = "quay deck"
pier = "pier deck"
floor = { name = "floor", out_of_play = true }
[[station]]
key = "hop"
name = "hop"
start = "deck"
landing = { surface = "quay", parts = "both feet" }
[[station]]
key = "leap"
name = "leap"
start = "quay"
landing = { surface = "pier" }
--- case: one
)";

RuleCase two(const std::string& lines) {
    RuleCase one = test::read_cases(kTwo + lines, "text").front();
    one.settings.explain = false;
    return one;
}

RuleCase cleared() {
    return two(R"(at 0 left foot on deck
signal start @ 0..1
release left foot deck @ 5..6
touch right foot quay @ 20..21
touch left foot quay @ 22..23
release left foot quay @ 30..31
release right foot quay @ 32..33
touch left foot pier @ 40..41
watch 0..120 everything
)");
}

CoursePtr course_of(const RuleCase& one) {
    return std::make_shared<const CourseRoles>(one.book);
}

/// The index of the mark on this line of a case, counted from its first.
std::int16_t mark(const RuleCase& one, std::int64_t line) {
    for (std::size_t m = 0; m < one.evidence.marks.size(); ++m) {
        if (one.evidence.marks[m].id.value == line) return static_cast<std::int16_t>(m);
    }
    FAIL("no such mark");
    return -1;
}

base::Result<RunRuling> appealed(const RuleCase& one, const std::vector<bool>& calls) {
    return rule_appeal(one.book, one.evidence, course::StationId{static_cast<std::int64_t>(calls.size())},
                       calls, one.settings);
}

}  // namespace

TEST_CASE("each station names the seen events by which it was decided, clear or fail", "[parts]") {
    const RuleCase one = cleared();
    const auto decided = decide(course_of(one), one.evidence, one.settings);
    REQUIRE(decided.ok());
    CHECK(decided->stations[0].marks == std::vector<std::int16_t>{mark(one, 5)});
    CHECK(decided->stations[1].marks == std::vector<std::int16_t>{mark(one, 8)});
    const RuleCase failed = two(R"(at 0 left foot on deck
signal start @ 0..1
release left foot deck @ 5..6
touch right foot floor @ 20..21
touch left hand floor @ 22..23
watch 0..120 everything
)");
    const auto fell = decide(course_of(failed), failed.evidence, failed.settings);
    REQUIRE(fell.ok());
    CHECK(fell->stations[0].marks == std::vector<std::int16_t>{mark(failed, 4)});
    CHECK(fell->stations[1].marks.empty());
    const RuleCase overlapping = two(R"(at 0 left foot on deck
signal start @ 0..1
release left foot deck @ 5..6
touch right foot floor @ 20..23
touch left hand floor @ 21..22
watch 0..120 everything
)");
    const auto either = decide(course_of(overlapping), overlapping.evidence, overlapping.settings);
    REQUIRE(either.ok());
    CHECK(either->stations[0].marks == std::vector<std::int16_t>{mark(overlapping, 4), mark(overlapping, 5)});
}

TEST_CASE("clocks that cannot be tied together are found before any state is made", "[parts]") {
    const PreparedCase one(std::string(kTwo) +
                           "clip A 30 fps 121\nclip B 30 fps 121\n"
                           "touch left foot quay @ A 20..21 @ B 20..21\n"
                           "touch right foot quay @ A 30..31 @ B 40..41\n");
    const AsCalled nobody;
    Search search(one.roles, one.prepared, one.review.settings, nobody);
    REQUIRE(search.run().ok());
    CHECK(search.states() == 0);
    CHECK(search.run_ends().empty());
    const PreparedCase order(std::string(kTwo) +
                             "clip A 30 fps 121\nclip B 30 fps 121 order only\n"
                             "touch left foot quay @ A 20..21 @ B 30..31\n"
                             "touch right foot quay @ A 30..31 @ B 20..21\n");
    Search of_order(order.roles, order.prepared, order.review.settings, nobody);
    REQUIRE(of_order.run().ok());
    CHECK(of_order.states() == 0);
}

TEST_CASE("a budget is what a review may need, and one less is refused", "[parts]") {
    RuleCase one = two("");
    one.evidence = {};
    one.settings.budget_states = 1;
    CHECK(rule_run(one.book, one.evidence, one.settings).ok());
    one.settings.budget_states = 0;
    const auto refused = rule_run(one.book, one.evidence, one.settings);
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().category == Category::too_tangled);
}

TEST_CASE("a ruling is cancelled when it is no longer wanted, and not before", "[parts]") {
    RuleCase one = cleared();
    one.settings.stopped = [] { return false; };
    CHECK(decide(course_of(one), one.evidence, one.settings).ok());
    one.settings.stopped = [] { return true; };
    const auto stopped = decide(course_of(one), one.evidence, one.settings);
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().category == Category::cancelled);
}

TEST_CASE("a search goes on until it is told that it has enough, and asks only when it found something new",
          "[parts]") {
    const RuleCase one = cleared();
    const auto whole = decide(course_of(one), one.evidence, one.settings);
    REQUIRE(whole.ok());
    std::int64_t asked = 0;
    const auto never = decide(course_of(one), one.evidence, one.settings, {}, [&](std::span<const Met>) {
        ++asked;
        return false;
    });
    REQUIRE(never.ok());
    CHECK(never->work == whole->work);
    CHECK(never->stations[0].verdict == Verdict::clear);
    CHECK(never->stations[1].verdict == Verdict::clear);
    CHECK(asked == 1);  // there is one world
    // Clear, or a fail by the floor: whichever is found first is enough for whoever asks for one world.
    RuleCase doubt = two(R"(at 0 left foot on deck
signal start @ 0..1
release left foot deck @ 5..6
possible touch right foot floor @ 10..11
touch right foot quay @ 20..21
touch left foot quay @ 22..23
watch 0..120 everything
)");
    const auto both = decide(course_of(doubt), doubt.evidence, doubt.settings);
    REQUIRE(both.ok());
    CHECK(both->stations[0].verdict == Verdict::not_shown);
    const auto first = decide(course_of(doubt), doubt.evidence, doubt.settings, {},
                              [](std::span<const Met>) { return true; });
    REQUIRE(first.ok());
    CHECK(first->stations[0].verdict != Verdict::not_shown);
    CHECK(first->work.steps < both->work.steps);
    asked = 0;
    const auto until_both =
        decide(course_of(doubt), doubt.evidence, doubt.settings, {}, [&](std::span<const Met> met) {
            ++asked;
            return met[0].cleared && met[0].failed;
        });
    REQUIRE(until_both.ok());
    CHECK(until_both->stations[0].verdict == Verdict::not_shown);
    CHECK(asked < until_both->work.states);
}

TEST_CASE("calls that the marks leave no way for are refused, with the station and its call", "[parts]") {
    RuleCase one = cleared();
    const auto failed = appealed(one, {false});
    REQUIRE_FALSE(failed.ok());
    CHECK(failed.error().category == Category::unsupported);
    CHECK_THAT(failed.error().sentence, Catch::Contains("no way in which hop was a fail, as it was called"));
    one = two(R"(at 0 left foot on deck
signal start @ 0..1
release left foot deck @ 5..6
touch right foot floor @ 20..21
watch 0..120 everything
)");
    const auto clear = appealed(one, {true});
    REQUIRE_FALSE(clear.ok());
    CHECK_THAT(clear.error().sentence, Catch::Contains("no way in which hop was clear, as it was called"));
    // Marks that cannot all be true are that, whatever was called.
    one = two("at 0 left foot on deck\ntouch left foot deck @ 5..6\nwatch 0..120 everything\n");
    const auto untrue = appealed(one, {true});
    REQUIRE_FALSE(untrue.ok());
    CHECK(untrue.error().category == Category::contradiction);
}

TEST_CASE("a stop that comes while the calls are tried one by one is told as a stop", "[parts]") {
    RuleCase one = cleared();
    Calls calls;
    calls.clear = {false};
    int most = 0;
    for (int allowed = 0;; ++allowed) {
        int asked = 0;
        bool was_stopped = false;
        one.settings.stopped = [&] { return was_stopped = ++asked > allowed; };
        const auto tried = decide_as_called(course_of(one), one.evidence, one.settings, calls);
        REQUIRE_FALSE(tried.ok());
        CHECK(tried.error().category == (was_stopped ? Category::cancelled : Category::unsupported));
        most = allowed;
        if (!was_stopped) break;
    }
    CHECK(most > 10);
}

TEST_CASE("of several calls the one that leaves no way is named", "[parts]") {
    RuleCase one = cleared();
    one.book.stations.push_back(one.book.stations[1]);
    one.book.stations[2].key = one.book.stations[2].name = "jump";
    one.book.stations[2].start = one.book.stations[1].landing.surfaces;
    one.book.stations[2].landing.surfaces = {course::SurfaceId{0}};
    const auto second = appealed(one, {true, false});
    REQUIRE_FALSE(second.ok());
    CHECK(second.error().category == Category::unsupported);
    CHECK_THAT(second.error().sentence, Catch::Contains("leap was a fail"));
    CHECK(appealed(one, {true, true}).ok());
}

TEST_CASE("a call completed by a mark leaves no world that ends while it still waits for that mark",
          "[parts]") {
    const RuleCase one =
        two("at 0 left foot on deck\nsignal start @ 0..1\nrelease left foot deck @ 5..6\n"
            "watch 0..60 everything\n");
    // The hop can be cleared unseen after the clip, but no mark comes that could have been its completion.
    CHECK(decide(course_of(one), one.evidence, one.settings, {{true}, -1}).ok());
    const auto waits = decide(course_of(one), one.evidence, one.settings, {{true}, mark(one, 3)});
    REQUIRE_FALSE(waits.ok());
    CHECK(waits.error().category == Category::contradiction);
}

TEST_CASE("the mark that completed a call is held to that station alone, whichever mark of the review it is",
          "[parts]") {
    RuleCase one = cleared();
    const CoursePtr course = course_of(one);
    CHECK(decide(course, one.evidence, one.settings, {{true, true}, mark(one, 8)}).ok());
    CHECK_FALSE(decide(course, one.evidence, one.settings, {{true, true}, mark(one, 5)}).ok());
    // The first mark of all: the start signal completes nothing, and a landing does wherever it is listed.
    CHECK_FALSE(decide(course, one.evidence, one.settings, {{true}, 0}).ok());
    std::swap(one.evidence.marks[0], one.evidence.marks[static_cast<std::size_t>(mark(one, 5))]);
    REQUIRE(mark(one, 5) == 0);
    CHECK(decide(course, one.evidence, one.settings, {{true}, 0}).ok());
}

TEST_CASE("a call that a deadline completed is told by the very next mark", "[parts]") {
    RuleCase one = two(R"(at 0 left foot on deck
signal start @ 0..1
release left foot deck @ 5..6
touch left foot quay @ 20..21
touch right hand quay @ 50..51
touch left hand quay @ 60..61
watch 0..120 everything
)");
    one.book.stations[0].landing.parts = course::LandingParts::any_foot;
    one.book.stations[0].landing.hold = base::Duration{500'000'000};
    const CoursePtr course = course_of(one);
    CHECK(decide(course, one.evidence, one.settings, {{true}, mark(one, 5)}).ok());
    CHECK_FALSE(decide(course, one.evidence, one.settings, {{true}, mark(one, 4)}).ok());
    CHECK_FALSE(decide(course, one.evidence, one.settings, {{true}, mark(one, 6)}).ok());
}

TEST_CASE("a tangle is the marks whose brackets on one clip overlap one of them, the first of the largest",
          "[parts]") {
    const auto tangle = [](const std::string& lines, std::size_t unseen = 99) {
        RuleCase review = test::read_cases(kTwo + lines, "text").front();
        if (unseen < review.evidence.marks.size()) review.evidence.marks[unseen].sightings.clear();
        const PreparedCase one(review);
        const AsCalled nobody;
        return Search(one.roles, one.prepared, one.review.settings, nobody).tangle();
    };
    const std::string clips = "clip A 30 fps 121\nclip B 30 fps 121\n";
    const std::string all = clips +
                            "touch left hand quay @ A 10..20\n"   // 0
                            "touch right hand quay @ A 19..30\n"  // 1
                            "touch left foot quay @ A 20..22\n"   // 2: begins as 0 ends
                            "touch right foot quay @ A 28..40\n"  // 3: overlaps 1 and 4
                            "touch other quay @ A 30..31\n"       // 4: begins as 1 ends
                            "touch other pier @ B 19..30\n"       // 5 and 6: another clip
                            "touch left hand pier @ B 29..60\n"
                            "touch right hand pier @ A before..5\n"
                            "touch left foot deck @ A 5..19\n"   // 8: ends as 1 begins, overlaps 0
                            "touch left hand deck @ A 60..70\n"  // 9 to 12: as many once more
                            "touch right hand deck @ A 60..70\n"
                            "touch right foot deck @ A 60..70\n"
                            "touch other deck @ A 60..70\n";
    CHECK(tangle(all) == std::vector<int>{0, 1, 2, 3});
    CHECK(tangle(all, 2) == std::vector<int>{9, 10, 11, 12});
    const auto ends = tangle(clips +
                             "touch left hand quay @ A before..20\n"
                             "touch right hand quay @ A 30..after\n"
                             "touch left foot quay @ A 15..32\n"
                             "touch right foot quay @ B 40..50\n");
    CHECK(ends == std::vector<int>{0, 1, 2});
}

TEST_CASE("the mark that completed the last call says nothing of the calls before it", "[parts]") {
    const RuleCase one = cleared();
    Calls calls;
    calls.clear = {true, false};
    calls.completed_by = MarkId{8};  // the leap's landing
    const auto refused = decide_as_called(course_of(one), one.evidence, one.settings, calls);
    REQUIRE_FALSE(refused.ok());
    CHECK_THAT(refused.error().sentence, Catch::Contains("leap was a fail"));
}

TEST_CASE("calls are tried one by one only where all of them together leave no way", "[parts]") {
    RuleCase one = cleared();
    int asked = 0;
    one.settings.stopped = [&asked] { return ++asked < 0; };
    const auto work_of = [&](auto&& ruled) {
        asked = 0;
        static_cast<void>(ruled());
        return asked;
    };
    Calls calls;
    calls.clear = {true};
    CHECK(work_of([&] { return decide_as_called(course_of(one), one.evidence, one.settings, calls); }) ==
          work_of([&] {
              return decide(course_of(one), one.evidence, one.settings, {{true}, -1});
          }));
    // Marks that cannot all be true, and nothing was called.
    one.evidence.marks.push_back(one.evidence.marks.back());
    one.evidence.marks.back().id = MarkId{99};
    const int once = work_of([&] { return decide(course_of(one), one.evidence, one.settings); });
    CHECK(once > 1);
    CHECK(work_of([&] { return decide_as_called(course_of(one), one.evidence, one.settings, {}); }) == once);
}

TEST_CASE("a book without stations is ruled, with nothing cleared, whatever the signals", "[parts]") {
    RuleCase one = two("signal start @ 0..1\ninfraction false-start @ 2..3\nsignal over @ 9..10\n");
    one.book.stations.clear();
    const auto ruled = rule_run(one.book, one.evidence, one.settings);
    REQUIRE(ruled.ok());
    CHECK(ruled->stations.empty());
    REQUIRE(ruled->results.size() == 1);
    CHECK(ruled->results[0].cleared == 0);
}
