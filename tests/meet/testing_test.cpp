// What is kept of trying a course out, and what coaches note: what is refused, and what holds what.
#include <catch2/catch.hpp>
#include <functional>

#include "meet/changes.h"
#include "meet/personal.h"
#include "meet/testing_words.h"

namespace plumbmark {
namespace {

using meet::Change;
using meet::Entity;
using meet::State;

Change adding(const Entity& thing) {
    return {"add", {{std::nullopt, thing}}, 0};
}
Change removing(const Entity& thing) {
    return {"remove", {{thing, std::nullopt}}, 0};
}

meet::Tester tester() {
    meet::Tester made;
    made.id = {1};
    made.name = "Runa";
    return made;
}
meet::RigState rig(std::int64_t id, const std::string& station) {
    return {{id}, station, {{"hawser", "hook 3", 2'400}}, {{"rig/a.jpg", std::string(64, 'a'), 5}}, ""};
}
meet::Trial trial() {
    meet::Trial made;
    made.id = {1};
    made.station = "hop";
    made.tester = {1};
    made.rig = {1};
    made.start = "pier_deck";
    made.landing = "coil_deck";
    made.seen = meet::TrialOutcome::cleared;
    return made;
}
meet::Closing closing(std::int64_t id) {
    return {{id}, "hop", "reach:u10", "measured on site"};
}
meet::Release release() {
    return {{1}, "hop", std::string(64, 'd'), {1}, "Runa", "", 7};
}
meet::CoachNote note() {
    return {{1}, {1}, {1}, {3, 300}, "arms first", true};
}

// One of each, on a run with one clip of two.
State with_all() {
    State state;
    for (const std::int64_t id : {1, 2}) {
        meet::Clip clip;
        clip.id = {id};
        clip.time_base = {1, 90'000};
        REQUIRE(state.apply(adding(clip)).ok());
    }
    meet::Run run;
    run.id = {1};
    run.clips = {{1}};
    meet::Trial filmed = trial();
    filmed.run = {1};
    filmed.seen = meet::TrialOutcome::not_said;
    for (const Entity& thing : std::vector<Entity>{run, tester(), rig(1, "hop"), rig(2, "swing"), filmed,
                                                   closing(1), release(), note()})
        REQUIRE(state.apply(adding(thing)).ok());
    return state;
}

std::string reason(const Entity& thing) {
    const auto checked = meet::check_values(thing);
    return checked ? std::string() : checked.error().text();
}

/// What is said of the value after a change to it.
template <class T>
std::string refused_with(T value, const std::function<void(T&)>& spoil) {
    REQUIRE(reason(value).empty());
    spoil(value);
    return reason(value);
}

std::string refusal(State state, const Change& change) {
    const State before = state;
    const auto outcome = state.apply(change);
    CHECK(state == before);
    return outcome ? std::string() : outcome.error().text();
}

TEST_CASE("a tester without a name or with a body that nobody has is refused") {
    const auto with = [](const std::function<void(meet::Tester&)>& spoil) {
        return refused_with<meet::Tester>(tester(), spoil);
    };
    CHECK(with([](auto& it) { it.name.clear(); }) == "tester 1: it has no name");
    CHECK(with([](auto& it) { it.name = "caf\xE9"; }) == "tester 1: its name is not UTF-8 text");
    CHECK(with([](auto& it) { it.level = std::string("a\0b", 3); }) ==
          "tester 1: its level holds the character U+0000");
    using Length = std::optional<std::int32_t> meet::Tester::*;
    const std::map<std::string, Length> lengths{{"stature", &meet::Tester::stature_mm},
                                                {"span", &meet::Tester::span_mm},
                                                {"reach", &meet::Tester::reach_mm}};
    for (const auto& [word, length] : lengths) {
        for (const std::int32_t mm : {299, 3'001, -1})
            CHECK(with([&, which = length](auto& it) { it.*which = mm; }) ==
                  "tester 1: its " + word + " is not between 300 and 3,000 mm");
        for (const std::int32_t mm : {300, 3'000})
            CHECK(with([&, which = length](auto& it) { it.*which = mm; }).empty());
    }
    for (const std::int32_t years : {2, 121})
        CHECK(with([&](auto& it) { it.age_years = years; }) ==
              "tester 1: its age is not between 3 and 120 years");
    for (const std::int32_t years : {3, 120})
        CHECK(with([&](auto& it) { it.age_years = years; }).empty());
}

TEST_CASE("a rig of no station or with heights and hashes that are none is refused") {
    const auto with = [](const std::function<void(meet::RigState&)>& spoil) {
        return refused_with<meet::RigState>(rig(1, "hop"), spoil);
    };
    CHECK(with([](auto& it) { it.station.clear(); }) == "rig 1: it names no station");
    CHECK(with([](auto& it) { it.note = "\xFF"; }) == "rig 1: its note is not UTF-8 text");
    CHECK(with([](auto& it) { it.items[0].what = "\xFF"; }) == "rig 1: its item's name is not UTF-8 text");
    CHECK(with([](auto& it) { it.items[0].where = "\xFF"; }) == "rig 1: its item's place is not UTF-8 text");
    for (const std::int32_t mm : {-1, 100'001})
        CHECK(with([&](auto& it) { it.items[0].height_mm = mm; }) ==
              "rig 1: a height in it is not between 0 and 100,000 mm");
    CHECK(with([](auto& it) { it.items[0].height_mm = 100'000; }).empty());
    CHECK(with([](auto& it) { it.photos[0].path = "\xFF"; }) == "rig 1: its photo's path is not UTF-8 text");
    CHECK(with([](auto& it) { it.photos[0].sha256.pop_back(); }) ==
          "rig 1: its photo's SHA-256 is not 64 lower-case hexadecimal digits");
    CHECK(with([](auto& it) { it.photos[0].taken_at_ms = -1; }) ==
          "rig 1: its photo's time -1 is not between 0 and 9007199254740991");
}

TEST_CASE("a trial that names too little or says nothing of how it came out is refused") {
    const auto with = [](const std::function<void(meet::Trial&)>& spoil) {
        return refused_with<meet::Trial>(trial(), spoil);
    };
    CHECK(with([](auto& it) { it.station.clear(); }) == "trial 1: it names no station");
    CHECK(with([](auto& it) { it.start.clear(); }) == "trial 1: it names no start surface");
    CHECK(with([](auto& it) { it.landing = "\xFF"; }) == "trial 1: its landing surface is not UTF-8 text");
    CHECK(with([](auto& it) { it.landing.clear(); }) ==
          "trial 1: it was cleared, and names no landing surface");
    CHECK(with([](auto& it) {
              it.landing.clear();
              it.seen = meet::TrialOutcome::failed;
          }).empty());
    CHECK(with([](auto& it) { it.items = {"bar", ""}; }) == "trial 1: it names no item");
    for (const std::vector<std::string>& items :
         {std::vector<std::string>{"ring", "bar"}, std::vector<std::string>{"bar", "bar"}})
        CHECK(with([&](auto& it) { it.items = items; }) == "trial 1: its items are not in order, each once");
    CHECK(with([](auto& it) { it.items = {"bar", "ring"}; }).empty());
    CHECK(with([](auto& it) { it.seen = meet::TrialOutcome::not_said; }) ==
          "trial 1: it has no run, and does not say how it came out");
    CHECK(with([](auto& it) {
              it.seen = meet::TrialOutcome::not_said;
              it.run = {1};
              it.landing.clear();
          }).empty());
    CHECK(with([](auto& it) { it.how = "\xFF"; }) == "trial 1: its description is not UTF-8 text");
}

TEST_CASE("a closing without a plain item or a reason is refused") {
    const auto with = [](const std::function<void(meet::Closing&)>& spoil) {
        return refused_with<meet::Closing>(closing(1), spoil);
    };
    CHECK(with([](auto& it) { it.station.clear(); }) == "closing 1: it names no station");
    CHECK(with([](auto& it) { it.item.clear(); }) == "closing 1: it names no item");
    for (const char* item : {"Reach", "reach u10", "reach/u10", "höhe"})
        CHECK(with([&](auto& it) { it.item = item; }) ==
              "closing 1: its item has other characters than a to z, 0 to 9, ':', '.', '_' and '-'");
    CHECK(with([](auto& it) { it.item = "a-z_0.9:b"; }).empty());
    CHECK(with([](auto& it) { it.reason.clear(); }) == "closing 1: it gives no reason");
    CHECK(with([](auto& it) { it.reason = "\xFF"; }) == "closing 1: its reason is not UTF-8 text");
}

TEST_CASE("a release that nobody signed or that says not of what is refused") {
    const auto with = [](const std::function<void(meet::Release&)>& spoil) {
        return refused_with<meet::Release>(release(), spoil);
    };
    CHECK(with([](auto& it) { it.station.clear(); }) == "release 1: it names no station");
    CHECK(with([](auto& it) { it.definition[0] = 'D'; }) ==
          "release 1: its definition's SHA-256 is not 64 lower-case hexadecimal digits");
    CHECK(with([](auto& it) { it.tester.clear(); }) == "release 1: nobody has signed it");
    CHECK(with([](auto& it) { it.tester = "\xFF"; }) == "release 1: its signature is not UTF-8 text");
    CHECK(with([](auto& it) { it.note = "\xFF"; }) == "release 1: its note is not UTF-8 text");
    CHECK(with([](auto& it) { it.signed_at_ms = -1; }) ==
          "release 1: its time -1 is not between 0 and 9007199254740991");
}

TEST_CASE("a coach's note on no frame or with a broken text is refused") {
    const auto with = [](const std::function<void(meet::CoachNote&)>& spoil) {
        return refused_with<meet::CoachNote>(note(), spoil);
    };
    CHECK(with([](auto& it) { it.frame.number = -1; }) ==
          "coach's note 1: its frame -1 is not between 0 and 9007199254740991");
    CHECK(with([](auto& it) { it.text = "\xFF"; }) == "coach's note 1: its text is not UTF-8 text");
    CHECK(with([](auto& it) { it.text.clear(); }).empty());
}

TEST_CASE("what a trial or a release or a coach's note names must be there and fit") {
    const State state = with_all();
    const auto of_trial = [&](const std::function<void(meet::Trial&)>& spoil) {
        meet::Trial made = trial();
        made.id = {2};
        spoil(made);
        return refusal(state, adding(made));
    };
    CHECK(of_trial([](auto& it) { it.tester = {9}; }) == "trial 2: it names tester 9, which does not exist");
    CHECK(of_trial([](auto& it) { it.tester = {}; }) == "trial 2: it names tester -1, which does not exist");
    CHECK(of_trial([](auto& it) { it.rig = {9}; }) == "trial 2: it names rig 9, which does not exist");
    CHECK(of_trial([](auto& it) { it.rig = {2}; }) == "trial 2: it names rig 2, which is of another station");
    CHECK(of_trial([](auto& it) { it.run = {9}; }) == "trial 2: it names run 9, which does not exist");
    meet::Release other = release();
    other.id = {2};
    other.rig = {9};
    CHECK(refusal(state, adding(other)) == "release 2: it names rig 9, which does not exist");
    other.rig = {2};
    CHECK(refusal(state, adding(other)) == "release 2: it names rig 2, which is of another station");
    meet::CoachNote elsewhere = note();
    elsewhere.id = {2};
    elsewhere.clip = {2};
    CHECK(refusal(state, adding(elsewhere)) ==
          "coach's note 2: it lies on clip 2, which is not among the footage of run 1");
    elsewhere.run = {9};
    CHECK(refusal(state, adding(elsewhere)) == "coach's note 2: it names run 9, which does not exist");
}

TEST_CASE("a station has one closing for an item") {
    State state = with_all();
    CHECK(refusal(state, adding(closing(2))) == "closing 2: its item of the station is that of closing 1");
    meet::Closing second = closing(2);
    second.station = "swing";
    REQUIRE(state.apply(adding(second)).ok());
    meet::Closing moved = second;
    moved.station = "hop";
    CHECK(refusal(state, {"move", {{second, moved}}, 0}) ==
          "closing 2: its item of the station is that of closing 1");
    CHECK(state.apply({"instead", {{second, moved}, {closing(1), std::nullopt}}, 0}).ok());
}

TEST_CASE("what a trial or a release or a coach's note names can neither go nor change under it") {
    State state = with_all();
    const auto now = [&](meet::Kind kind) { return *state.find({kind, 1}); };
    const meet::Trial filmed = state.trials().at({1});
    CHECK(refusal(state, removing(now(meet::Kind::tester))) ==
          "trial 1: it names tester 1, which does not exist");
    CHECK(refusal(state, removing(now(meet::Kind::rig))) == "trial 1: it names rig 1, which does not exist");
    CHECK(refusal(state, removing(now(meet::Kind::run))) == "trial 1: it names run 1, which does not exist");
    const Change moved{"move", {{rig(1, "hop"), rig(1, "swing")}}, 0};
    CHECK(refusal(state, moved) == "trial 1: it names rig 1, which is of another station");
    REQUIRE(state.apply(removing(filmed)).ok());
    CHECK(refusal(state, removing(now(meet::Kind::rig))) ==
          "release 1: it names rig 1, which does not exist");
    CHECK(refusal(state, moved) == "release 1: it names rig 1, which is of another station");
    CHECK(refusal(state, removing(now(meet::Kind::run))) ==
          "coach's note 1: it names run 1, which does not exist");
    const auto run = std::get<meet::Run>(now(meet::Kind::run));
    meet::Run without = run;
    without.clips = {{2}};
    CHECK(refusal(state, {"drop clip", {{run, without}}, 0}) ==
          "coach's note 1: it lies on clip 1, which is not among the footage of run 1");
    const Change all{"all",
                     {{run, std::nullopt},
                      {note(), std::nullopt},
                      {rig(1, "hop"), std::nullopt},
                      {release(), std::nullopt},
                      {tester(), std::nullopt}},
                     0};
    REQUIRE(state.apply(all).ok());
    CHECK((state.testers().empty() && state.releases().empty() && state.notes().empty()));
    REQUIRE(state.apply(meet::inverse(all)).ok());
    CHECK(state.releases().at({1}) == release());
}

TEST_CASE("the trials and notes of a run are found by it, and a trial judged by eye is of none") {
    State state = with_all();
    meet::Trial by_eye = trial();
    by_eye.id = {2};
    REQUIRE(state.apply(adding(by_eye)).ok());
    const auto ids = [](const auto& listed) {
        std::vector<std::int64_t> found;
        for (const auto& thing : listed)
            found.push_back(thing.id.value);
        return found;
    };
    CHECK(ids(state.trials_of({1})) == std::vector<std::int64_t>{1});
    CHECK(ids(state.notes_of({1})) == std::vector<std::int64_t>{1});
    CHECK(ids(state.trials_of({})).empty());
    meet::Trial filmed = by_eye;
    filmed.run = {1};
    REQUIRE(state.apply({"film", {{by_eye, filmed}}, 0}).ok());
    CHECK(ids(state.trials_of({1})) == std::vector<std::int64_t>{1, 2});
    REQUIRE(state.apply({"unfilm", {{filmed, by_eye}}, 0}).ok());
    CHECK(ids(state.trials_of({1})) == std::vector<std::int64_t>{1});
}

TEST_CASE("every text of a tester or a rig or a trial that a person types is personal") {
    const State state = with_all();
    std::map<std::string, std::vector<std::string>> words;
    for (std::size_t kind = static_cast<std::size_t>(meet::Kind::tester); kind < meet::kKinds; ++kind) {
        const auto thing = state.find({static_cast<meet::Kind>(kind), 1});
        REQUIRE(thing);
        const auto its = meet::personal_words(*thing);
        CHECK(meet::personal_members(*thing).size() == its.size());
        words[meet::kind_word(static_cast<meet::Kind>(kind))] = {its.begin(), its.end()};
    }
    const std::map<std::string, std::vector<std::string>> expected{
        {"tester", {"name of a tester", "level of a tester"}},
        {"rig", {"note on a rig", "thing in a rig", "place in a rig", "photo's path"}},
        {"trial", {"word on a trial"}},
        {"closing", {"reason of a closing"}},
        {"release", {"name at a release", "note on a release"}},
        {"coach_note", {"coach's note"}}};
    CHECK(words == expected);
}

}  // namespace
}  // namespace plumbmark
