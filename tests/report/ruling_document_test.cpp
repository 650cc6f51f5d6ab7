#include "report/ruling_document.h"

#include <catch2/catch.hpp>

#include "documents.h"

using namespace plumbmark;
using meet::Call;
using report::CallOutcome;
using report::WhenNotShown;
using ruling::Verdict;

namespace {

CallOutcome outcome(Call call, Verdict verdict, WhenNotShown rule = WhenNotShown::call_stands) {
    ruling::StationRuling station;
    station.verdict = verdict;
    return report::outcome_of(call, station, rule);
}

}  // namespace

TEST_CASE("the footage upholds or overturns a call only where the ruling is shown") {
    // docs/rulings.md, 'The floor call and an appeal'.
    CHECK(outcome(Call::clear, Verdict::clear) == CallOutcome::upheld);
    CHECK(outcome(Call::fail, Verdict::fail) == CallOutcome::upheld);
    CHECK(outcome(Call::clear, Verdict::fail) == CallOutcome::overturned);
    CHECK(outcome(Call::fail, Verdict::clear) == CallOutcome::overturned);
    CHECK(outcome(Call::clear, Verdict::not_shown) == CallOutcome::stands);
    CHECK(outcome(Call::fail, Verdict::not_shown) == CallOutcome::stands);
    CHECK(outcome(Call::clear, Verdict::not_reached) == CallOutcome::falls_away);
}

TEST_CASE(
    "a meet may rule in the athlete's favour or have the run repeated, but only where nothing is shown") {
    CHECK(outcome(Call::fail, Verdict::not_shown, WhenNotShown::athletes_favour) ==
          CallOutcome::athletes_favour);
    CHECK(outcome(Call::fail, Verdict::not_shown, WhenNotShown::run_again) == CallOutcome::run_again);
    CHECK(outcome(Call::fail, Verdict::fail, WhenNotShown::athletes_favour) == CallOutcome::upheld);
    CHECK(outcome(Call::fail, Verdict::clear, WhenNotShown::run_again) == CallOutcome::overturned);
}

TEST_CASE("the frame at a time is the one on screen then") {
    ruling::Evidence evidence;
    evidence.clips = {{"a", {{100}, {200}, {350}}, true, {}}};
    const ruling::ClipIndex a{0};
    CHECK(report::frame_at(evidence, a, {99}) == std::nullopt);
    CHECK(report::frame_at(evidence, a, {100}) == 0);
    CHECK(report::frame_at(evidence, a, {199}) == 0);
    CHECK(report::frame_at(evidence, a, {200}) == 1);
    CHECK(report::frame_at(evidence, a, {350}) == 2);
    CHECK(report::frame_at(evidence, a, {1'000'000}) == 2);
    CHECK(report::frame_at(evidence, ruling::ClipIndex{1}, {200}) == std::nullopt);
    CHECK(report::frame_at(evidence, ruling::ClipIndex{}, {200}) == std::nullopt);
}
