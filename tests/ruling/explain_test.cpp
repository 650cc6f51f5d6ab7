#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <iostream>
#include <set>
#include <sstream>

#include "ruling/case_file.h"
#include "ruling/ruling.h"
#include "support/sanitized.h"

namespace plumbmark {
namespace {

using ruling::MarkId;
using ruling::RunRuling;
using ruling::StationRuling;
using ruling::Verdict;

constexpr const char* kRungs = R"(--- course
course = "Pier Nine rungs"
revision = "1"
[surfaces]
pier_deck = "pier deck"
rung_1 = "rung 1"
rung_2 = "rung 2"
gantry_deck = "gantry deck"
floor = { name = "floor", out_of_play = true }
[planes]
front = "front plane"
[[station]]
key = "rungs"
name = "gantry rungs"
start = "pier_deck"
in_play = [{ surface = ["rung_1", "rung_2"], parts = "hands" }]
landing = { surface = "gantry_deck", parts = "both feet" }
--- case: one
)";

constexpr const char* kTwo = R"(--- course
course = "Pier Nine pair"
revision = "1"
[surfaces]
pier_deck = "pier deck"
coil_deck = "coil deck"
quay_deck = "quay deck"
bell = "bell plate"
floor = { name = "floor", out_of_play = true }
[[station]]
key = "hop"
name = "bollard hop"
start = "pier_deck"
landing = { surface = "coil_deck" }
[[station]]
key = "swing"
name = "hawser swing"
start = "coil_deck"
landing = { surface = "quay_deck" }
[finish]
name = "bell plate"
surface = "bell"
required = true
--- case: two
)";

test::RuleCase case_of(const std::string& course, const std::string& lines) {
    return test::read_cases(course + lines, "explain").front();
}

RunRuling ruled(const test::RuleCase& one) {
    base::Result<RunRuling> ruling = ruling::rule_run(one.book, one.evidence, one.settings);
    REQUIRE(ruling.ok());
    return std::move(ruling).value();
}

std::vector<std::int64_t> ids(const std::vector<MarkId>& marks) {
    std::vector<std::int64_t> numbers;
    for (const MarkId id : marks)
        numbers.push_back(id.value);
    std::sort(numbers.begin(), numbers.end());
    return numbers;
}

std::string told(const RunRuling& ruling) {
    std::ostringstream out;
    out << ruling.sentence << "\n";
    for (const StationRuling& station : ruling.stations) {
        out << "  " << ruling::verdict_words(station.verdict) << (station.if_reached ? " if reached" : "")
            << ": " << station.sentence << "\n";
        for (const ruling::ClauseFinding& finding : station.clauses)
            out << "    - " << finding.sentence << "\n";
        out << "    mark " << station.deciding_mark.value << ", rests on";
        for (const std::int64_t id : ids(station.rests_on))
            out << " " << id;
        if (station.margin)
            out << ", margin " << station.margin->frames << " frames " << station.margin->time.ns
                << (station.margin->unlimited ? " unlimited" : "");
        out << "\n";
        for (const ruling::World& world : station.worlds) {
            out << "    world: " << world.sentence << "\n";
            for (const ruling::WorldEvent& event : world.events)
                out << "      " << base::clock_text(event.at) << " " << event.sentence
                    << (event.unseen ? " (unseen)" : "") << "\n";
        }
        for (const ruling::SettleStep& step : station.settle) {
            out << "    settle: " << step.sentence << " ->";
            for (const Verdict verdict : step.leads_to)
                out << " " << ruling::verdict_words(verdict);
            out << "\n";
        }
    }
    return out.str();
}

std::vector<test::RuleCase> all_cases() {
    static const std::set<std::string> explained_whole{
        "between-attempts", "free-exit-and-attempts", "holds-and-control", "order-caps-finish",
        "planes",           "shared-landing"};
    std::vector<test::RuleCase> cases;
    for (test::CaseFile& file : test::case_files()) {
        // To explain some of the later ones takes a second each: of those every third will do.
        std::vector<test::RuleCase>& all = file.cases;
        const std::size_t step = (explained_whole.contains(file.name) ? 1 : 3) * (test::kSanitized ? 8 : 1);
        for (std::size_t i = 0; i < all.size(); i += step)
            cases.push_back(std::move(all[i]));
    }
    return cases;
}

template <class T>
void keep(std::vector<T>& items, const std::set<MarkId>& ids) {
    std::erase_if(items, [&](const T& item) { return !ids.contains(item.id); });
}

ruling::Evidence only(ruling::Evidence evidence, const std::set<MarkId>& ids) {
    keep(evidence.marks, ids);
    keep(evidence.contacts, ids);
    keep(evidence.spans, ids);
    return evidence;
}

/// The station's verdict under this evidence; none when it contradicts itself.
std::optional<StationRuling> again(const test::RuleCase& one, const ruling::Evidence& evidence,
                                   std::size_t k) {
    ruling::Settings verdicts = one.settings;
    verdicts.explain = verdicts.sentences = false;
    // Without what it rests on a review may be far more open than it is: then no more is asked than that the
    // ruling is not simply shown again.
    verdicts.budget_states = 10'000;
    base::Result<RunRuling> ruling = ruling::rule_run(one.book, evidence, verdicts);
    if (!ruling.ok()) return std::nullopt;
    return ruling.value().stations[k];
}

bool same(const StationRuling& a, const std::optional<StationRuling>& b) {
    return b && a.verdict == b->verdict && a.failing_clauses == b->failing_clauses &&
           (a.if_reached || !b->if_reached);
}

ruling::Evidence widened(ruling::Evidence evidence, std::int64_t k) {
    for (ruling::Mark& mark : evidence.marks) {
        for (ruling::Sighting& seen : mark.sightings) {
            const auto& frames = evidence.clips[static_cast<std::size_t>(seen.clip.value)].frame_times;
            const auto at = [&](base::Time t) {
                return std::find(frames.begin(), frames.end(), t) - frames.begin();
            };
            if (seen.after) {
                const auto early = at(*seen.after) - k;
                seen.after =
                    early < 0 ? std::nullopt : std::optional(frames[static_cast<std::size_t>(early)]);
            }
            if (seen.until) {
                const auto late = at(*seen.until) + k;
                seen.until = late >= static_cast<std::ptrdiff_t>(frames.size())
                                 ? std::nullopt
                                 : std::optional(frames[static_cast<std::size_t>(late)]);
            }
        }
    }
    return evidence;
}

/// The review with every event of a world at its time, and watched from one end to the other.
ruling::Evidence pinned(const ruling::Evidence& evidence, const ruling::World& world) {
    ruling::Evidence exact{evidence.clips, {}, evidence.contacts, {}};
    std::int64_t next = 1'000'000;
    const auto before = [](base::Time t) { return t - base::Duration{1}; };
    for (const ruling::WorldEvent& event : world.events) {
        ruling::Mark mark;
        mark.id = event.unseen ? MarkId{next++} : event.mark;
        mark.alternatives = {event.what};
        mark.sightings = {{event.clip, before(event.at), event.at}};
        exact.marks.push_back(mark);
    }
    ruling::WatchedSpan span{MarkId{next}, ruling::ClipIndex{0}, {}, {}, {}};
    const auto& frames = evidence.clips.front().frame_times;
    span.after = frames.front() - base::Duration{1'000'000'000};
    span.until = frames.back() + base::Duration{1'000'000'000};
    span.scope.whole_athlete = span.scope.finish_signal = true;
    exact.spans.push_back(span);
    return exact;
}

}  // namespace

TEST_CASE("rulings are told (for reading)", "[.tell]") {
    for (const test::RuleCase& one : all_cases()) {
        const auto begin = std::chrono::steady_clock::now();
        base::Result<RunRuling> ruling = ruling::rule_run(one.book, one.evidence, one.settings);
        const auto took = std::chrono::steady_clock::now() - begin;
        std::cout << "== " << one.title << " ["
                  << std::chrono::duration_cast<std::chrono::microseconds>(took).count() << " us]\n"
                  << (ruling.ok() ? told(ruling.value()) : ruling.error().sentence.english() + "\n");
    }
}

TEST_CASE("what a ruling rests on shows it, and without any one of it nothing does", "[explain]") {
    std::size_t looked_at = 0;
    for (const test::RuleCase& one : all_cases()) {
        base::Result<RunRuling> ruling = ruling::rule_run(one.book, one.evidence, one.settings);
        if (!ruling.ok()) continue;
        for (std::size_t k = 0; k < ruling.value().stations.size(); ++k) {
            const StationRuling& station = ruling.value().stations[k];
            if (station.rests_on.empty()) continue;
            INFO(one.title << ", station " << k);
            ++looked_at;
            const std::set<MarkId> all(station.rests_on.begin(), station.rests_on.end());
            CHECK(same(station, again(one, only(one.evidence, all), k)));
            for (const MarkId id : all) {
                std::set<MarkId> fewer = all;
                fewer.erase(id);
                INFO("without " << id.value);
                CHECK_FALSE(same(station, again(one, only(one.evidence, fewer), k)));
            }
        }
    }
    CHECK(looked_at > (test::kSanitized ? 3 : 20));
}

TEST_CASE("a margin holds, and one frame more does not", "[explain]") {
    std::size_t looked_at = 0;
    for (const test::RuleCase& one : all_cases()) {
        base::Result<RunRuling> ruling = ruling::rule_run(one.book, one.evidence, one.settings);
        if (!ruling.ok()) continue;
        for (std::size_t k = 0; k < ruling.value().stations.size(); ++k) {
            const StationRuling& station = ruling.value().stations[k];
            if (!station.margin) continue;
            INFO(one.title << ", station " << k << ", margin " << station.margin->frames);
            ++looked_at;
            const std::set<MarkId> all(station.rests_on.begin(), station.rests_on.end());
            const ruling::Evidence base = only(one.evidence, all);
            const auto holds = [&](std::int64_t frames) {
                const std::optional<StationRuling> wide = again(one, widened(base, frames), k);
                return wide && wide->verdict == station.verdict && (station.if_reached || !wide->if_reached);
            };
            CHECK(holds(station.margin->frames));
            if (!station.margin->unlimited) CHECK_FALSE(holds(station.margin->frames + 1));
        }
    }
    CHECK(looked_at > (test::kSanitized ? 3 : 20));
}

TEST_CASE("each world of a NOT SHOWN keeps every bracket and comes to its verdict when its times are pinned",
          "[explain]") {
    std::size_t looked_at = 0;
    for (const test::RuleCase& one : all_cases()) {
        base::Result<RunRuling> ruling = ruling::rule_run(one.book, one.evidence, one.settings);
        if (!ruling.ok()) continue;
        for (std::size_t k = 0; k < ruling.value().stations.size(); ++k) {
            const StationRuling& station = ruling.value().stations[k];
            if (station.verdict != Verdict::not_shown) continue;
            INFO(one.title << ", station " << k << "\n" << told(ruling.value()));
            CHECK_FALSE(station.worlds.empty());
            for (const ruling::World& world : station.worlds) {
                ++looked_at;
                INFO(world.sentence);
                for (const ruling::WorldEvent& event : world.events) {
                    const auto mark = std::find_if(one.evidence.marks.begin(), one.evidence.marks.end(),
                                                   [&](const ruling::Mark& m) { return m.id == event.mark; });
                    CHECK(event.unseen == (mark == one.evidence.marks.end()));
                    if (event.unseen) continue;
                    const std::int64_t rows =
                        one.evidence.clips[static_cast<std::size_t>(event.clip.value)].row_delay.ns;
                    for (const ruling::Sighting& seen : mark->sightings) {
                        if (seen.clip != event.clip) continue;
                        if (seen.after) CHECK(event.at > *seen.after);
                        if (seen.until) CHECK(event.at <= *seen.until + base::Duration{rows});
                    }
                }
                for (std::size_t i = 1; i < world.events.size(); ++i) {
                    if (world.events[i].clip == world.events[i - 1].clip)
                        CHECK(world.events[i].at > world.events[i - 1].at);
                }
                if (one.evidence.clips.size() != 1) continue;
                base::Result<RunRuling> exact =
                    ruling::rule_run(one.book, pinned(one.evidence, world), one.settings);
                INFO((exact.ok() ? told(exact.value()) : exact.error().sentence.english()));
                const bool comes_to_it =
                    exact.ok() && (exact.value().stations[k].verdict == world.verdict ||
                                   exact.value().stations[k].verdict == Verdict::not_shown);
                CHECK(comes_to_it);
            }
        }
    }
    CHECK(looked_at > (test::kSanitized ? 2 : 10));
}

TEST_CASE("the same review gives the same words", "[explain]") {
    for (const test::RuleCase& one : all_cases()) {
        base::Result<RunRuling> first = ruling::rule_run(one.book, one.evidence, one.settings);
        base::Result<RunRuling> second = ruling::rule_run(one.book, one.evidence, one.settings);
        REQUIRE(first.ok() == second.ok());
        if (first.ok()) CHECK(told(first.value()) == told(second.value()));
        if (!first.ok()) CHECK(first.error() == second.error());
    }
}

TEST_CASE("a fail names who touched what, by when and why not", "[explain]") {
    const RunRuling ruling = ruled(case_of(kRungs, R"(at 0 left foot on pier_deck
signal start @ 0..1
touch left hand rung_1 @ 10..11
release left foot pier_deck @ 14..15
touch right foot rung_2 @ 20..21
watch 0..120 everything finish
)"));
    const StationRuling& station = ruling.stations.front();
    INFO(told(ruling));
    CHECK(station.verdict == Verdict::fail);
    CHECK(station.sentence == "The right foot touched rung 2, which is for hands only, by 0:00.700.");
    CHECK(station.deciding_clause == ruling::Clause::part);
    CHECK(station.deciding_mark == MarkId{5});
    REQUIRE(station.decided_at);
    CHECK(base::clock_text(*station.decided_at->until) == "0:00.700");
    REQUIRE(station.begins_at);
    CHECK(base::clock_text(*station.begins_at->until) == "0:00.033");
    const std::vector<std::int64_t> rests = ids(station.rests_on);
    CHECK(std::find(rests.begin(), rests.end(), 5) != rests.end());
    CHECK(std::find(rests.begin(), rests.end(), 6) != rests.end());
    CHECK(std::find(rests.begin(), rests.end(), 3) == rests.end());
    CHECK(ruling.sentence == "No station cleared.");
}

TEST_CASE("a clear names the landing and the margin counts frames to the next mark", "[explain]") {
    const RunRuling ruling = ruled(case_of(kRungs, R"(at 0 left foot on pier_deck
signal start @ 0..1
touch left hand rung_1 @ 10..11
release left foot pier_deck @ 14..15
touch left foot gantry_deck @ 60..61
touch right foot gantry_deck @ 63..64
touch right hand floor @ 70..71
watch 0..120 everything finish
)"));
    const StationRuling& station = ruling.stations.front();
    INFO(told(ruling));
    CHECK(station.verdict == Verdict::clear);
    CHECK(station.sentence ==
          "Both feet were on the gantry deck by 0:02.133; nothing out of play was touched before.");
    CHECK(station.deciding_mark == MarkId{6});
    CHECK(ruling.sentence == "The one station cleared; 2.066 to 2.134 s.");
    REQUIRE(station.margin);
}

TEST_CASE("an order that one gap between frames hides calls for another angle", "[explain]") {
    const RunRuling ruling = ruled(case_of(kRungs, R"(at 0 left foot on pier_deck
signal start @ 0..1
touch left hand rung_1 @ 10..11
release left foot pier_deck @ 14..15
touch left foot gantry_deck @ 60..61
touch right foot gantry_deck @ 70..71
touch right hand floor @ 70..71
watch 0..120 everything finish
)"));
    const StationRuling& station = ruling.stations.front();
    INFO(told(ruling));
    CHECK(station.verdict == Verdict::not_shown);
    CHECK(station.sentence ==
          "The footage does not show whether the right foot touched the gantry deck before the right hand "
          "touched "
          "the floor.");
    REQUIRE(station.worlds.size() == 2);
    CHECK(station.worlds[0].sentence ==
          "clear if the right foot touched the gantry deck before the right hand touched the floor");
    CHECK(station.worlds[1].sentence ==
          "fail if the right hand touched the floor before the right foot touched the gantry deck");
    REQUIRE_FALSE(station.settle.empty());
    CHECK(station.settle[0].kind == ruling::SettleKind::another_angle);
    CHECK(station.settle[0].leads_to == std::vector<Verdict>{Verdict::clear, Verdict::fail});
}

TEST_CASE("a possible touch is to be settled first", "[explain]") {
    const RunRuling ruling = ruled(case_of(kTwo, R"(at 0 left foot on pier_deck
signal start @ 0..1
release left foot pier_deck @ 5..6
possible touch right foot floor @ 10..14
touch left foot coil_deck @ 20..21
release left foot coil_deck @ 30..31
touch left foot quay_deck @ 40..41
signal finish @ 50..51
watch 0..120 everything finish
)"));
    INFO(told(ruling));
    const StationRuling& hop = ruling.stations[0];
    CHECK(hop.verdict == Verdict::not_shown);
    REQUIRE(hop.worlds.size() == 2);
    CHECK(hop.worlds[0].sentence ==
          "clear unless the right foot touched the floor between 0:00.333 and 0:00.466");
    CHECK(hop.worlds[1].sentence == "fail if the right foot touched the floor between 0:00.333 and 0:00.466");
    REQUIRE_FALSE(hop.settle.empty());
    CHECK(hop.settle[0].sentence ==
          "settle whether the right foot touched the floor between 0:00.333 and 0:00.466");
    CHECK(hop.settle[0].leads_to == std::vector<Verdict>{Verdict::clear, Verdict::fail});
    CHECK(ruling.stations[1].sentence.english().rfind("If reached: a foot was on the quay deck by 0:01.366",
                                                      0) == 0);
    CHECK(ruling.sentence == "None or two of two stations cleared.");
}

TEST_CASE("an unwatched gap is to be watched", "[explain]") {
    const RunRuling ruling = ruled(case_of(kTwo, R"(at 0 left foot on pier_deck
signal start @ 0..1
release left foot pier_deck @ 5..6
touch left foot coil_deck @ 20..21
release left foot coil_deck @ 30..31
touch left foot quay_deck @ 40..41
signal finish @ 50..51
watch 0..10 everything finish
watch 12..120 everything finish
)"));
    INFO(told(ruling));
    const StationRuling& hop = ruling.stations[0];
    CHECK(hop.verdict == Verdict::not_shown);
    REQUIRE_FALSE(hop.settle.empty());
    CHECK(hop.settle[0].kind == ruling::SettleKind::watch_span);
    CHECK(hop.settle[0].sentence == "watch the whole athlete from 0:00.333 to 0:00.400");
    CHECK(hop.settle[0].leads_to == std::vector<Verdict>{Verdict::clear});
}

TEST_CASE("marks that cannot all be true are named with their times, and no others", "[explain]") {
    const test::RuleCase one = case_of(kTwo, R"(at 0 left foot on pier_deck
signal start @ 0..1
release left foot pier_deck @ 5..6
touch left foot coil_deck @ 20..21
touch left foot coil_deck @ 30..31
touch left foot quay_deck @ 40..41
watch 0..120 everything finish
)");
    base::Result<RunRuling> ruling = ruling::rule_run(one.book, one.evidence, one.settings);
    REQUIRE_FALSE(ruling.ok());
    CHECK(ruling.error().category == base::Category::contradiction);
    CHECK(ruling.error().sentence ==
          "These cannot all be true: 'the left foot touches the coil deck' (A, 0:00.666 to 0:00.700), 'the "
          "left foot "
          "touches the coil deck' (A, 0:01.000 to 0:01.033) and 'watched: the whole athlete and the bell "
          "plate' (A, 0:00.000 to "
          "0:04.000). "
          "Look at them again; one of them is wrong.");
}

TEST_CASE("a station after a fail is told as not reached", "[explain]") {
    const RunRuling ruling = ruled(case_of(kTwo, R"(at 0 left foot on pier_deck
signal start @ 0..1
release left foot pier_deck @ 5..6
touch right foot floor @ 10..11
watch 0..120 everything finish
)"));
    INFO(told(ruling));
    CHECK(ruling.stations[0].sentence ==
          "The right foot touched the floor, which is out of play, by 0:00.366.");
    CHECK(ruling.stations[1].sentence == "Not reached: the run ended at bollard hop.");
}

TEST_CASE("an appeal takes the earlier stations as called", "[explain]") {
    const test::RuleCase one = case_of(kTwo, R"(at 0 left foot on pier_deck
signal start @ 0..1
release left foot pier_deck @ 5..6
possible touch right foot floor @ 10..14
touch left foot coil_deck @ 20..21
release left foot coil_deck @ 30..31
touch left foot quay_deck @ 40..41
signal finish @ 50..51
watch 0..120 everything finish
)");
    const course::StationId swing{1};
    base::Result<RunRuling> clear = ruling::rule_appeal(one.book, one.evidence, swing, {true}, one.settings);
    REQUIRE(clear.ok());
    CHECK(clear.value().stations[1].verdict == Verdict::clear);
    CHECK_FALSE(clear.value().stations[1].if_reached);
    base::Result<RunRuling> fail = ruling::rule_appeal(one.book, one.evidence, swing, {false}, one.settings);
    REQUIRE(fail.ok());
    CHECK(fail.value().stations[1].verdict == Verdict::not_reached);
    CHECK_FALSE(ruling::rule_appeal(one.book, one.evidence, swing, {}, one.settings).ok());
}

namespace {

constexpr const char* kThree = R"(--- course
course = "Pier Nine three"
revision = "1"
[surfaces]
pier_deck = "pier deck"
bollard_1 = "bollard 1"
bollard_2 = "bollard 2"
bollard_3 = "bollard 3"
bollard_4 = "bollard 4"
coil_deck = "coil deck"
rung_1 = "rung 1"
rung_2 = "rung 2"
rung_3 = "rung 3"
rung_4 = "rung 4"
gantry_deck = "gantry deck"
beam = "keel beam"
quay_deck = "quay deck"
bell = "bell plate"
floor = { name = "floor", out_of_play = true }
[planes]
front = "front plane"
[[station]]
key = "hop"
name = "bollard hop"
start = "pier_deck"
in_play = [{ row = ["bollard_1", "bollard_2", "bollard_3", "bollard_4"], parts = "feet", max_skipped = 1 }]
landing = { surface = "coil_deck", parts = "both feet" }
[[station]]
key = "rungs"
name = "gantry rungs"
start = "coil_deck"
in_play = [{ surface = ["rung_1", "rung_2", "rung_3", "rung_4"], parts = "hands" }]
landing = { surface = "gantry_deck", parts = "both feet", plane = { plane = "front", by = "whole athlete" } }
[[station]]
key = "beam"
name = "keel beam"
start = "gantry_deck"
in_play = [{ surface = "beam", parts = "feet", required = true }]
landing = { surface = "quay_deck" }
[finish]
name = "bell plate"
surface = "bell"
required = true
--- case: three
clip A 60 fps 1801
)";

/// A run over three stations in some sixty marks, one frame to a bracket.
std::string full_run() {
    std::ostringstream out;
    int frame = 20;
    const auto mark = [&](const std::string& what, int later) {
        frame += later;
        out << what << " @ " << frame << ".." << frame + 1 << "\n";
    };
    out << "at 0 left foot on pier_deck\nat 0 right foot on pier_deck\n";
    mark("signal start", 5);
    mark("release right foot pier_deck", 20);
    const char* feet[] = {"right foot", "left foot"};
    std::string behind = "pier_deck";
    for (int i = 1; i <= 4; ++i) {
        const std::string bollard = "bollard_" + std::to_string(i);
        mark("touch " + std::string(feet[(i - 1) % 2]) + " " + bollard, 10);
        mark("release " + std::string(feet[i % 2]) + " " + behind, 5);
        behind = bollard;
    }
    mark("touch right foot coil_deck", 10);
    mark("release left foot bollard_4", 5);
    mark("touch left foot coil_deck", 10);
    const char* hands[] = {"left hand", "right hand"};
    for (int i = 1; i <= 4; ++i) {
        const std::string rung = "rung_" + std::to_string(i);
        mark("touch " + std::string(hands[i % 2]) + " " + rung, 20);
        if (i == 1) {
            mark("release left foot coil_deck", 10);
            mark("release right foot coil_deck", 1);
        }
        mark("touch " + std::string(hands[(i + 1) % 2]) + " " + rung, 15);
        mark("release " + std::string(hands[i % 2]) + " " + rung, 12);
        mark("release " + std::string(hands[(i + 1) % 2]) + " " + rung, 1);
    }
    mark("cross whole athlete front forward", 5);
    mark("touch left foot gantry_deck", 5);
    mark("touch right foot gantry_deck", 4);
    for (int i = 0; i < 6; ++i) {
        mark("touch " + std::string(feet[i % 2]) + " beam", 15);
        if (i < 2) mark("release " + std::string(feet[(i + 1) % 2]) + " gantry_deck", 9);
        if (i >= 1) mark("release " + std::string(feet[(i + 1) % 2]) + " beam", 8);
    }
    mark("touch right foot quay_deck", 20);
    mark("release left foot beam", 10);
    mark("touch left foot quay_deck", 10);
    mark("touch right hand bell", 30);
    mark("signal finish", 1);
    mark("release right hand bell", 20);
    return out.str();
}

}  // namespace

TEST_CASE("a full run is told in the book's names", "[explain]") {
    const test::RuleCase one = case_of(kThree, full_run() + "watch 0..1800 everything finish\n");
    const auto begin = std::chrono::steady_clock::now();
    const RunRuling ruling = ruled(one);
    const auto took = std::chrono::steady_clock::now() - begin;
    std::cout << one.evidence.marks.size()
              << " marks, watched: " << std::chrono::duration_cast<std::chrono::microseconds>(took).count()
              << " us\n";
    INFO(told(ruling));
    CHECK(ruling.sentence.english().rfind("All three stations cleared and the bell plate registered; ", 0) ==
          0);
    for (const StationRuling& station : ruling.stations) {
        CHECK(station.verdict == Verdict::clear);
        CHECK_FALSE(station.rests_on.empty());
        CHECK(station.margin);
    }
}

TEST_CASE("an unwatched full run is still explained in bounded time", "[explain]") {
    test::RuleCase one = case_of(kThree, full_run());
    one.settings.budget_states = 20'000;
    const auto begin = std::chrono::steady_clock::now();
    base::Result<RunRuling> ruling = ruling::rule_run(one.book, one.evidence, one.settings);
    const auto took = std::chrono::steady_clock::now() - begin;
    std::cout << one.evidence.marks.size()
              << " marks, unwatched: " << std::chrono::duration_cast<std::chrono::microseconds>(took).count()
              << " us\n";
    if (!ruling.ok()) {
        CHECK(ruling.error().category == base::Category::too_tangled);
        CHECK_FALSE(ruling.error().sentence.empty());
        return;
    }
    for (const StationRuling& station : ruling.value().stations) {
        if (station.verdict == Verdict::not_shown) CHECK_FALSE(station.worlds.empty());
    }
}

}  // namespace plumbmark
