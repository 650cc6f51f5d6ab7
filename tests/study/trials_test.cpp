// What trials of a station come to: the ways there are, what is proven, what is open, and when a release no
// longer stands. Rates are held to published intervals; ways are counted by hand or by trying all of them.
#include "study/trials.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <set>

#include "course/read.h"

using namespace plumbmark;
using namespace plumbmark::study;

namespace {

const std::string kDigest(64, 'a'), kOtherDigest(64, 'b');

/// A station 'crossing' whose table says 'more'; other stations follow.
course::CourseBook book_of(const std::string& station, const std::string& after = "") {
    std::string text =
        "course = \"Trial course\"\nrevision = \"1\"\n[surfaces]\nfloor = { name = \"floor\", "
        "out_of_play = true }\nnet = \"net\"\n";
    for (const char* key : {"pier_a", "pier_b", "deck_a", "deck_b", "far_deck"})
        text += std::string(key) + " = \"" + key + "\"\n";
    for (int i = 0; i < 12; ++i)
        text += "post_" + std::to_string(i) + " = \"post " + std::to_string(i) + "\"\n";
    text += "[[station]]\nkey = \"crossing\"\nname = \"crossing\"\nexit = \"free\"\n" + station + after;
    const course::ReadBook read = course::read_book(text);
    for (const auto& problem : read.problems)
        UNSCOPED_INFO(problem.text("book"));
    REQUIRE(read.book.has_value());
    return *read.book;
}
const std::string kTwoByTwo =
    "start = [\"pier_a\", \"pier_b\"]\n[station.landing]\nsurface = [\"deck_a\", \"deck_b\"]\n";
std::string posts(int count, const std::string& asks = "parts = \"feet\"") {
    std::string list;
    for (int i = 0; i < count; ++i)
        list += (i > 0 ? ", " : "") + ("\"post_" + std::to_string(i) + "\"");
    return "start = \"pier_a\"\nin_play = [ { " + asks + ", surface = [" + list +
           "] } ]\n[station.landing]\nsurface = \"deck_a\"\n";
}

Ways ways_of_first(const course::CourseBook& book, std::size_t most = kMostWays) {
    return ways_of(book, {0}, most);
}

TrialResult trial(std::int64_t id, const std::string& start, const std::string& landing, TrialCame came) {
    TrialResult result;
    result.id = {id};
    result.tester = {1};
    result.rig = {1};
    result.start = start;
    result.landing = landing;
    result.came = came;
    result.by_eye = true;
    return result;
}

meet::RigState rig(std::int64_t id, std::optional<std::int32_t> height) {
    return {{id}, "crossing", {{"rope", "hook 3", height}}, {}, ""};
}

/// What holds together for the tests below.
struct Scene {
    course::CourseBook book = book_of(kTwoByTwo);
    std::string digest = kDigest;
    std::vector<TrialResult> results;
    std::vector<meet::RigState> rigs{rig(1, 2'250)};
    std::vector<meet::Closing> closings;
    std::vector<meet::Release> releases;
    std::map<meet::TesterId, meet::Tester> testers{{{1}, {{1}, "Tern", 1'620, {}, {}, {}, {}, "club"}}};
    TrialsWish wish;

    [[nodiscard]] StationReport report() const {
        const auto made =
            station_report({book, {0}, digest, results, testers, rigs, closings, releases}, wish);
        REQUIRE(made.ok());
        return *made;
    }
    void close(const std::string& question) {
        const auto id = static_cast<std::int64_t>(closings.size()) + 1;
        closings.push_back({{id}, "crossing", closing_item(question, digest), "looked at"});
    }
    void close_all() {
        const StationReport now = report();
        for (const Question* question : now.open())
            close(question->key);
    }
    void release() { releases.push_back({{1}, "crossing", digest, rigs.back().id, "Tern", "", 1}); }
};

std::set<std::string> open_keys(const StationReport& report) {
    std::set<std::string> keys;
    for (const Question* question : report.open())
        keys.insert(question->key);
    return keys;
}

/// All pairs of choices that a way brings together, by their words.
std::set<std::pair<std::string, std::string>> pairs_of(const Ways& ways, const Way& way) {
    std::vector<std::string> choices{"from " + way.start, "to " + way.landing};
    for (const std::string& item : ways.optional_items) {
        const bool used = std::count(way.items.begin(), way.items.end(), item) > 0;
        choices.push_back((used ? "with " : "without ") + item);
    }
    std::set<std::pair<std::string, std::string>> pairs;
    for (std::size_t a = 0; a < choices.size(); ++a) {
        for (std::size_t b = a + 1; b < choices.size(); ++b)
            pairs.emplace(choices[a], choices[b]);
    }
    return pairs;
}

}  // namespace

TEST_CASE("ways are starts by landings by choices of what may be left out") {
    const Ways two = ways_of_first(book_of(kTwoByTwo));
    CHECK(two.count == 4);
    CHECK(two.every);
    CHECK(two.ways == std::vector<Way>{{"pier_a", "deck_a", {}},
                                       {"pier_a", "deck_b", {}},
                                       {"pier_b", "deck_a", {}},
                                       {"pier_b", "deck_b", {}}});
    CHECK(ways_of_first(book_of(posts(3))).count == 8);
    CHECK(ways_of_first(book_of(posts(3, "parts = \"feet\", required = true"))).count == 1);
    // A row of four of which one may be skipped: all, or one of four left out.
    const Ways row = ways_of_first(
        book_of("start = \"pier_a\"\nin_play = [ { row = [\"post_0\", \"post_1\", \"post_2\", \"post_3\"], "
                "parts = \"hands\", max_skipped = 1 } ]\n[station.landing]\nsurface = \"deck_a\"\n"));
    CHECK(row.count == 5);
    CHECK(row.ways.front().items.size() == 4);
    // Of two that may be used one after the other: neither, the first, both.
    CHECK(ways_of_first(
              book_of("start = \"pier_a\"\nin_play = [ { surface = \"post_0\", parts = \"feet\" }, { surface "
                      "= \"post_1\", parts = \"feet\", after = \"post_0\" } ]\n[station.landing]\nsurface = "
                      "\"deck_a\"\n"))
              .count == 3);
}

TEST_CASE("where there are too many ways each two choices that go together are in one of those listed") {
    const course::CourseBook book = book_of(posts(12));
    const Ways cover = ways_of_first(book);
    CHECK(cover.count == 4096);
    CHECK(cover.counted);
    CHECK_FALSE(cover.every);
    CHECK(cover.ways.size() < 20);
    const Ways all = ways_of_first(book, 5000);
    REQUIRE(all.ways.size() == 4096);
    std::set<std::pair<std::string, std::string>> wanted, there;
    for (const Way& way : all.ways)
        wanted.merge(pairs_of(all, way));
    for (const Way& way : cover.ways) {
        CHECK(std::count(all.ways.begin(), all.ways.end(), way) == 1);
        there.merge(pairs_of(cover, way));
    }
    CHECK(there == wanted);
    CHECK(still_unproven(cover, cover.ways) == std::vector<bool>(cover.ways.size(), false));
    // Rows hold in the cover as well: 12 in a row, two may be skipped.
    std::string list;
    for (int i = 0; i < 12; ++i)
        list += (i > 0 ? ", " : "") + ("\"post_" + std::to_string(i) + "\"");
    const Ways row = ways_of_first(
        book_of("start = \"pier_a\"\nin_play = [ { row = [" + list +
                "], parts = \"hands\", max_skipped = 2 } ]\n[station.landing]\nsurface = \"deck_a\"\n"),
        20);
    CHECK(row.count == 1 + 12 + 66);
    CHECK_FALSE(row.every);
    for (const Way& way : row.ways)
        CHECK(way.items.size() >= 10);
}

TEST_CASE("a station of two starts and two landings is proven way by way") {
    Scene scene;
    scene.results = {
        trial(1, "pier_a", "deck_a", TrialCame::cleared), trial(2, "pier_a", "deck_b", TrialCame::failed),
        trial(3, "pier_a", "deck_b", TrialCame::cleared), trial(4, "pier_b", "deck_a", TrialCame::failed),
        trial(5, "pier_b", "", TrialCame::failed)};
    const StationReport report = scene.report();
    REQUIRE(report.lines.size() == 4);
    CHECK(report.lines[0].tally == Tally{1, 1, 0, 0, 1});
    CHECK(report.lines[1].tally == Tally{2, 1, 1, 0, 2});
    CHECK_FALSE(report.lines[1].unproven);
    CHECK(report.lines[2].unproven);
    CHECK(report.lines[3].tally == Tally{});
    CHECK(report.elsewhere == Tally{1, 0, 1, 0, 1});
    CHECK(report.all == Tally{5, 2, 3, 0, 5});
    CHECK(open_keys(report) == std::set<std::string>{"way:pier_b:deck_a", "way:pier_b:deck_b", "clause:start",
                                                     "clause:out_of_play", "clause:landing"});
}

TEST_CASE("rates have the published intervals and groups go by size and level") {
    Scene scene;
    scene.testers[{2}] = {{2}, "Wigeon", 1'599, {}, {}, {}, {}, ""};
    for (std::int64_t i = 0; i < 20; ++i) {
        scene.results.push_back(
            trial(i + 1, "pier_a", "deck_a", i < 18 ? TrialCame::cleared : TrialCame::failed));
        if (i % 2 == 0) scene.results.back().tester = {2};
    }
    scene.wish.bound = 0.8;
    const StationReport report = scene.report();
    // R's binom package: 18 of 20 at 95 %.
    CHECK(report.rate.wilson.low == Approx(0.6989663548).margin(1e-9));
    CHECK(report.rate.wilson.high == Approx(0.9721335188).margin(1e-9));
    CHECK(report.rate.clopper_pearson.low == Approx(0.6830172860).margin(1e-9));
    CHECK(report.rate.clopper_pearson.high == Approx(0.9876514728).margin(1e-9));
    REQUIRE(report.groups.size() == 4);
    CHECK(report.groups[0].from_mm == 1'400);
    CHECK(report.groups[1].from_mm == 1'600);
    CHECK(report.groups[0].tally.tried == 10);
    CHECK(report.groups[2].name == "club");
    CHECK(report.groups[3].name == "level not known");
    REQUIRE(report.if_all_clear.has_value());
    REQUIRE(report.if_all_clear->found == FurtherTrials::Found::yes);
    const std::int64_t more = report.if_all_clear->further;
    CHECK(rate({18 + more, 20 + more}, 0.95)->wilson.low >= 0.8);
    CHECK(rate({17 + more, 19 + more}, 0.95)->wilson.low < 0.8);
    scene.wish.bound = 1.0;
    CHECK_FALSE(station_report({scene.book, {0}, kDigest, {}, {}, {}, {}, {}}, scene.wish).ok());
}

TEST_CASE("what a trial touched that no definition names is open until it is closed with a reason") {
    Scene scene;
    scene.results = {trial(7, "pier_a", "deck_a", TrialCame::cleared)};
    scene.results[0].by_eye = false;
    scene.results[0].run = {4};
    scene.results[0].definition = kDigest;
    scene.results[0].strays = {{{31}, "", "left hand touches something undeclared", Still{{2}, {118, 0}}},
                               {{32}, "net", "left hand touches net", {}}};
    scene.results.push_back(trial(8, "net", "far_deck", TrialCame::cleared));
    StationReport report = scene.report();
    const std::set<std::string> before = open_keys(report);
    for (const char* key : {"undeclared:mark.31", "undeclared:net", "start:net", "landing:far_deck"})
        CHECK(before.count(key) == 1);
    const Question& first = report.questions.front();
    CHECK(first.key == "undeclared:mark.31");
    CHECK(first.trial == meet::TrialId{7});
    CHECK(first.run == meet::RunId{4});
    CHECK(first.mark == meet::MarkId{31});
    CHECK(first.still == Still{{2}, {118, 0}});
    scene.close("undeclared:mark.31");
    report = scene.report();
    CHECK(open_keys(report).count("undeclared:mark.31") == 0);
    CHECK(report.questions.back().closed == "looked at");
    // Under another definition the reason no longer counts, and is told.
    scene.digest = kOtherDigest;
    scene.results[0].definition = kOtherDigest;
    report = scene.report();
    CHECK(open_keys(report) == before);
    CHECK(report.questions.front().closed_before == "looked at");
}

TEST_CASE("an open item goes to the frame that shows it and a way to where it failed last") {
    Scene scene;
    TrialResult filmed = trial(7, "net", "far_deck", TrialCame::cleared);
    filmed.run = {4};
    filmed.still = Still{{2}, {300, 0}};
    filmed.deciding = {40};
    filmed.touched = {{"far_deck", {{38}, {{2}, {290, 0}}}}};
    scene.results = {filmed, trial(8, "pier_b", "deck_a", TrialCame::failed)};
    for (const std::int64_t id : {9, 10, 11}) {
        TrialResult failed =
            trial(id, "pier_b", "deck_a", id == 11 ? TrialCame::not_shown : TrialCame::failed);
        failed.run = {id};
        failed.still = Still{{2}, {id, 0}};
        scene.results.push_back(failed);
    }
    const StationReport report = scene.report();
    const auto item = [&](const std::string& key) {
        const auto found = std::find_if(report.questions.begin(), report.questions.end(),
                                        [&](const Question& one) { return one.key == key; });
        REQUIRE(found != report.questions.end());
        return *found;
    };
    CHECK(item("landing:far_deck").still == Still{{2}, {290, 0}});
    CHECK(item("landing:far_deck").mark == meet::MarkId{38});
    // Nothing shows it on the net: where its trial was decided is the next best.
    CHECK(item("start:net").still == Still{{2}, {300, 0}});
    CHECK(item("start:net").mark == meet::MarkId{40});
    CHECK(item("way:pier_b:deck_a").still == Still{{2}, {10, 0}});
    CHECK(item("way:pier_b:deck_a").trial == meet::TrialId{10});
    CHECK_FALSE(item("way:pier_a:deck_b").still.has_value());
    const auto tried = std::find_if(report.lines.begin(), report.lines.end(), [](const WayLine& line) {
        return line.way.start == "pier_b" && line.way.landing == "deck_a";
    });
    REQUIRE(tried != report.lines.end());
    CHECK(tried->trials == std::vector<meet::TrialId>{{8}, {9}, {10}, {11}});
}

TEST_CASE("a trial that is not shown says whether a camera or a definition would settle it") {
    Scene scene;
    const auto remedy = [&](std::vector<ruling::SettleKind> kinds, bool ruled = true) {
        scene.results = {trial(1, "pier_a", "deck_a", TrialCame::not_shown)};
        scene.results[0].definition = kDigest;
        if (ruled) scene.results[0].clauses.emplace_back();
        for (const ruling::SettleKind kind : kinds)
            scene.results[0].settle.push_back({kind, "do so", {{5}}, {}, {}});
        const StationReport report = scene.report();
        const auto found = std::find_if(report.questions.begin(), report.questions.end(),
                                        [](const Question& one) { return one.key == "not-shown:trial.1"; });
        REQUIRE(found != report.questions.end());
        CHECK(report.rate.count.trials == 0);
        return found->remedy;
    };
    using Kind = ruling::SettleKind;
    CHECK(remedy({}) == Remedy::better_definition);
    // Of a run that could not be ruled the reason says all there is to say.
    CHECK(remedy({}, false) == Remedy::none);
    CHECK(remedy({Kind::another_angle}) == Remedy::better_camera);
    CHECK(remedy({Kind::watch_span, Kind::another_angle}) == Remedy::look_again);
}

TEST_CASE("clauses are exercised where a ruling kept or broke them") {
    Scene scene;
    scene.results = {trial(1, "pier_a", "deck_a", TrialCame::failed)};
    scene.results[0].definition = kDigest;
    using ruling::Clause;
    using ruling::ClauseState;
    scene.results[0].clauses = {{Clause::start, ClauseState::kept, ""},
                                {Clause::out_of_play, ClauseState::broken, ""},
                                {Clause::landing, ClauseState::not_tested, ""}};
    const std::set<std::string> open = open_keys(scene.report());
    CHECK(open.count("clause:start") == 0);
    CHECK(open.count("clause:out_of_play") == 0);
    CHECK(open.count("clause:landing") == 1);
}

TEST_CASE("a release stands until the definition or the rig is another one or something comes up") {
    Scene scene;
    scene.results = {trial(1, "pier_a", "deck_a", TrialCame::cleared)};
    CHECK(scene.report().release.standing == Standing::never_released);
    scene.close_all();
    scene.release();
    CHECK(scene.report().release.standing == Standing::proven);

    SECTION("another definition") {
        scene.digest = kOtherDigest;
        const StationReport report = scene.report();
        CHECK(report.release.standing == Standing::changed);
        CHECK(report.release.definition_changed);
        CHECK_FALSE(report.release.rig_changed);
        CHECK_FALSE(report.open().empty());
    }
    SECTION("another rig") {
        scene.rigs.push_back(rig(2, 2'300));
        const StationReport report = scene.report();
        CHECK(report.release.standing == Standing::changed);
        CHECK(report.release.rig_changed);
        CHECK(report.release.changes.size() == 3);
        // What was tried on the other rig proves nothing of this one.
        CHECK(report.set_aside.tried == 1);
        CHECK(report.all.tried == 0);
    }
    SECTION("a rig written down anew with the same items") {
        scene.rigs.push_back(rig(2, 2'250));
        const StationReport report = scene.report();
        CHECK(report.release.standing == Standing::changed);
        CHECK(report.all.tried == 1);
    }
    SECTION("a new question") {
        scene.results.push_back(trial(2, "pier_a", "far_deck", TrialCame::cleared));
        CHECK(scene.report().release.standing == Standing::open);
    }
    SECTION("a trial of another definition is set aside") {
        scene.results[0].definition = kOtherDigest;
        CHECK(scene.report().set_aside.tried == 1);
    }
}

TEST_CASE("a definition's text is that of the station and of nothing else") {
    const std::string next = "[[station]]\nkey = \"next\"\nname = \"next\"\nstart = \"deck_a\"\n";
    const std::string plan =
        "[plan]\ntolerance = 0.01\n[plan.surfaces]\npier_a = { outline = [[0, 0], [1, "
        "0], [1, 1]], top = 0.6 }\n";
    const auto text = [](const course::CourseBook& book) { return definition_text(book, {0}); };
    const std::string alone = text(book_of(kTwoByTwo));
    CHECK(text(book_of(kTwoByTwo, next + "[station.landing]\nsurface = \"far_deck\"\n")) == alone);
    CHECK(text(book_of(kTwoByTwo + "hold = 2\n")) != alone);
    CHECK(text(book_of(kTwoByTwo, plan)) != alone);
    CHECK(course::read_book(alone).book.has_value());
    course::CourseBook loose = book_of(kTwoByTwo);
    loose.loose_counts = false;
    CHECK(text(loose) != alone);
    course::CourseBook revised = book_of(kTwoByTwo);
    revised.revision = "9";
    CHECK(text(revised) == alone);
}

TEST_CASE("keys of any script become keys of questions, each another one") {
    CHECK(plain_key("coil_deck-2") == "coil_deck-2");
    CHECK(plain_key("beam.top") == "beam.2etop");
    CHECK(plain_key("Ab:c") == ".41b.3ac");
    CHECK(plain_key("ω") == ".cf.89");
}
