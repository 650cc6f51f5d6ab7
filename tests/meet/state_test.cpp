// What a change may and may not do, case by case.
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "meet/changes.h"

namespace plumbmark {
namespace {

using meet::Change;
using meet::Entity;
using meet::State;

Change adding(const Entity& thing) {
    return {"add", {{std::nullopt, thing}}, 0};
}

meet::Clip camera_a() {
    meet::Clip clip;
    clip.id = {1};
    clip.name = "camera A";
    clip.time_base = {1, 90'000};
    return clip;
}

meet::Mark foot_on_deck() {
    meet::Mark mark;
    mark.id = {1};
    mark.run = {1};
    meet::Event touch;
    touch.part = course::Part::left_foot;
    touch.surface = "deck";
    mark.alternatives = {touch};
    mark.sightings = {{meet::ClipId{1}, meet::FrameRef{41, 4100}, meet::FrameRef{42, 4200}}};
    return mark;
}

State with_run() {
    State state;
    REQUIRE(state.apply(adding(camera_a())).ok());
    meet::Run run;
    run.id = {1};
    run.clips = {meet::ClipId{1}};
    REQUIRE(state.apply(adding(run)).ok());
    return state;
}

std::string refusal(State state, const Change& change) {
    const State before = state;
    const base::Result<void> outcome = state.apply(change);
    REQUIRE_FALSE(outcome.ok());
    CHECK(outcome.error().category == base::Category::bad_input);
    CHECK(state == before);
    return outcome.error().text();
}

TEST_CASE("a mark on footage of its run is taken") {
    State state = with_run();
    REQUIRE(state.apply(adding(foot_on_deck())).ok());
    CHECK(state.marks().at(meet::MarkId{1}) == foot_on_deck());
    CHECK(state.find({meet::Kind::mark, 1}) == Entity{foot_on_deck()});
    CHECK_FALSE(state.find({meet::Kind::mark, 2}));
}

TEST_CASE("marks, contacts and watched spans share one sequence of ids") {
    State state = with_run();
    CHECK(state.next_id(meet::Kind::watched) == 1);
    REQUIRE(state.apply(adding(foot_on_deck())).ok());
    CHECK(state.next_id(meet::Kind::mark) == 2);
    CHECK(state.next_id(meet::Kind::contact) == 2);
    CHECK(state.next_id(meet::Kind::watched) == 2);
    CHECK(state.next_id(meet::Kind::drawing) == 1);
    const meet::ContactStatement clash{{1}, {1}, {1}, {5, 500}, course::Part::left_foot, "deck", true};
    CHECK(refusal(state, adding(clash)) == "contact statement 1: its id is that of mark 1");
}

TEST_CASE("what is named must exist, and the message says what is missing") {
    CHECK(refusal({}, adding(foot_on_deck())) == "mark 1: it names run 1, which does not exist");
    State state = with_run();
    meet::Mark elsewhere = foot_on_deck();
    elsewhere.sightings[0].clip = {2};
    CHECK(refusal(state, adding(elsewhere)) == "mark 1: it names clip 2, which does not exist");
    meet::Clip other = camera_a();
    other.id = {2};
    REQUIRE(state.apply(adding(other)).ok());
    CHECK(refusal(state, adding(elsewhere)) ==
          "mark 1: it lies on clip 2, which is not among the footage of run 1");
    meet::Run orphan;
    orphan.id = {2};
    orphan.athlete = {7};
    CHECK(refusal(state, adding(orphan)) == "run 2: it names athlete 7, which does not exist");
    meet::FloorCall call;
    call.id = {1};
    call.run = {9};
    call.station = "bell-plate";
    CHECK(refusal(state, adding(call)) == "floor call 1: it names run 9, which does not exist");
}

TEST_CASE("a run cannot go while its marks stay, and goes with them in any order") {
    State state = with_run();
    REQUIRE(state.apply(adding(foot_on_deck())).ok());
    const Entity run = *state.find({meet::Kind::run, 1});
    CHECK(refusal(state, {"remove", {{run, std::nullopt}}, 0}) ==
          "mark 1: it names run 1, which does not exist");
    meet::Run without_footage = std::get<meet::Run>(run);
    without_footage.clips.clear();
    CHECK(refusal(state, {"drop clip", {{run, without_footage}}, 0}) ==
          "mark 1: it lies on clip 1, which is not among the footage of run 1");
    const Change both{"remove", {{run, std::nullopt}, {foot_on_deck(), std::nullopt}}, 0};
    REQUIRE(state.apply(both).ok());
    REQUIRE(state.apply(meet::inverse(both)).ok());
    CHECK(state.marks().size() == 1);
}

TEST_CASE("an edit must know what it changes") {
    State state = with_run();
    REQUIRE(state.apply(adding(foot_on_deck())).ok());
    meet::Mark other = foot_on_deck();
    other.possible = true;
    CHECK(refusal(state, adding(other)) == "mark 1: it exists already; its id cannot be given again");
    CHECK(refusal(state, {"change", {{other, foot_on_deck()}}, 0}) ==
          "mark 1: it is not what the edit says it was before");
    meet::Mark missing = foot_on_deck();
    missing.id = {8};
    CHECK(refusal(state, {"remove", {{missing, std::nullopt}}, 0}) == "mark 8: it does not exist (any more)");
    CHECK(refusal(state, {"mix", {{foot_on_deck(), camera_a()}}, 0}) ==
          "mark 1: its edit turns it into clip 1");
    CHECK(refusal(state, {"nothing", {{std::nullopt, std::nullopt}}, 0}) ==
          "an edit has neither a before nor an after");
    CHECK(refusal(state, {"no meet", {{state.info(), std::nullopt}}, 0}) ==
          "the meet: the meet itself can neither come nor go");
}

TEST_CASE("a change of several edits is refused whole when its last edit is bad") {
    State state = with_run();
    meet::Mark second = foot_on_deck();
    second.id = {2};
    second.alternatives.clear();
    CHECK(refusal(state, {"two", {{std::nullopt, foot_on_deck()}, {std::nullopt, second}}, 0}) ==
          "mark 2: it names no event");
    CHECK(state.next_id(meet::Kind::mark) == 1);
}

TEST_CASE("values that make no sense are refused with the reason") {
    const auto reason = [](const Entity& thing) {
        const base::Result<void> outcome = meet::check_values(thing);
        return outcome ? std::string("taken") : outcome.error().sentence.english();
    };
    meet::Mark mark = foot_on_deck();
    CHECK(reason(mark) == "taken");
    mark.sightings[0].early = mark.sightings[0].late;
    CHECK(reason(mark) == "its early frame is not before its late frame");
    mark.sightings[0].early.reset();
    CHECK(reason(mark) == "taken");  // not yet before the clip began
    mark.sightings.push_back(mark.sightings[0]);
    CHECK(reason(mark) == "it has two brackets on one clip");
    mark.sightings.clear();
    CHECK(reason(mark) == "it is on no clip");

    mark = foot_on_deck();
    mark.alternatives[0] = meet::Event{};
    mark.alternatives[0].kind = meet::EventKind::moment;
    CHECK(reason(mark) == "taken");
    mark.possible = true;
    CHECK(reason(mark) ==
          "a moment that clips share can be neither possible nor one of several alternatives");
    mark.possible = false;
    mark.alternatives.push_back(foot_on_deck().alternatives[0]);
    CHECK(reason(mark) ==
          "a moment that clips share can be neither possible nor one of several alternatives");
    mark.alternatives.pop_back();
    mark.alternatives[0].part = course::Part::left_foot;
    CHECK(reason(mark) == "a part of the body has no place in such an event");
    mark.alternatives[0].part.reset();
    mark.alternatives[0].surface = "pier_deck";
    CHECK(reason(mark) == "a surface has no place in such an event");

    mark = foot_on_deck();
    mark.alternatives.push_back(mark.alternatives[0]);
    CHECK(reason(mark) == "two of its alternatives are the same");
    mark.alternatives.pop_back();
    mark.alternatives[0].plane = "line";
    CHECK(reason(mark) == "a plane has no place in such an event");
    mark = foot_on_deck();
    mark.alternatives[0].part.reset();
    CHECK(reason(mark) == "it names no part of the body");
    mark = foot_on_deck();
    mark.spot = {1.0, std::numeric_limits<double>::quiet_NaN()};
    CHECK(reason(mark) == "its spot is not a finite point");
    mark = foot_on_deck();
    mark.note = "caf\xE9";
    CHECK(reason(mark) == "its note is not UTF-8 text");
    mark.note = std::string("a\0b", 3);
    CHECK(reason(mark) == "its note holds the character U+0000");
    mark = foot_on_deck();
    mark.sightings[0].late->number = meet::kLargestWholeNumber + 1;
    CHECK(reason(mark) == "its late frame 9007199254740992 is not between 0 and 9007199254740991");
    mark.id = {-1};
    CHECK(reason(mark) == "its id -1 is not between 0 and 9007199254740991");

    meet::WatchedSpan span{{1}, {1}, {1}, {9, 900}, {9, 900}, {}};
    CHECK(reason(span) == "its first frame is not before its last frame");
    span.to = {10, 1000};
    CHECK(reason(span) == "taken");
    span.scope.whole_athlete = false;
    CHECK(reason(span) == "its scope is empty");

    meet::Drawing drawing{{1}, {1}, meet::DrawingKind::surface, "deck", {{0, 0}, {1, 0}}, {}};
    CHECK(reason(drawing) == "a surface's outline needs three points");
    drawing.kind = meet::DrawingKind::plane;
    CHECK(reason(drawing) == "taken");
    meet::Clip clip = camera_a();
    clip.time_base.den = 0;
    CHECK(reason(clip) == "its time base is not a fraction of a second");
}

TEST_CASE("a key, a seal and a cover that make no sense are refused with a reason") {
    const auto reason = [](const meet::Entity& thing) {
        const auto checked = meet::check_values(thing);
        return checked ? std::string() : checked.error().sentence.english();
    };
    const meet::SigningKey key{{2}, std::string(64, 'a'), "", meet::Capacity::jury, {0},
                               {1}, std::string(128, 'b')};
    CHECK(reason(key).empty());
    meet::SigningKey bad_key = key;
    bad_key.public_key = std::string(64, 'A');
    CHECK(reason(bad_key) == "its public key is not 64 lower-case hexadecimal digits");
    bad_key = key;
    bad_key.signature.pop_back();
    CHECK(reason(bad_key) == "its signature is not 128 lower-case hexadecimal digits");
    bad_key = key;
    bad_key.replaces = {};
    CHECK(reason(bad_key) == "it is signed by a key that it does not replace");
    bad_key.signature.clear();
    CHECK(reason(bad_key).empty());
    bad_key.replaces = bad_key.id;
    CHECK(reason(bad_key) == "it replaces itself");
    const meet::Seal seal{{1}, 1, std::string(64, 'c'), {2}, {0}, std::string(128, 'd'), {}};
    CHECK(reason(seal).empty());
    meet::Seal bad_seal = seal;
    bad_seal.row = 0;
    CHECK(reason(bad_seal) == "its row is not 1 or more");
    bad_seal = seal;
    bad_seal.row_sha256.clear();
    CHECK(reason(bad_seal) == "its row's SHA-256 is not 64 lower-case hexadecimal digits");
    const meet::Cover cover{{1}, {1}, {4, 40}, {4, 40}, {0.75, 0.5, 0.25, 0.5}, ""};
    CHECK(reason(cover).empty());
    using Box = std::array<double, 4>;
    const double none = std::numeric_limits<double>::quiet_NaN();
    for (const Box& box :
         {Box{0, 0, 0, 1}, Box{0, 0, 1, 0}, Box{-0.1, 0, 0.5, 0.5}, Box{none, 0, 1, 1}, Box{0, 0, none, 1}}) {
        meet::Cover bad = cover;
        bad.box = box;
        CHECK(reason(bad) == "its box is empty, or begins outside the picture");
    }
    for (const Box& box : {Box{0.75, 0, 0.26, 1}, Box{0, 0.75, 1, 0.26}, Box{0, 0, 1, 1e300}}) {
        meet::Cover bad = cover;
        bad.box = box;
        CHECK(reason(bad) == "its box goes beyond the picture");
    }
    meet::Cover backwards = cover;
    backwards.last = {3, 30};
    CHECK(reason(backwards) == "its last frame is before its first");
}

TEST_CASE("each kind has a word, and the word leads back to it") {
    for (std::size_t i = 0; i < meet::kKinds; ++i) {
        const auto kind = static_cast<meet::Kind>(i);
        CHECK(meet::kind_from_word(meet::kind_word(kind)) == kind);
    }
    CHECK_FALSE(meet::kind_from_word("marks"));
}

}  // namespace
}  // namespace plumbmark
