// The list of a run's marks, and how its clips lie to the run's clock, on the sample meet.
#include "review/mark_list.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <stdexcept>

#include "review/evidence.h"
#include "review/session.h"
#include "support/test_places.h"

namespace {

using namespace plumbmark;
namespace fs = std::filesystem;

std::unique_ptr<review::Session> sample() {
    review::SessionOptions options;
    options.read_only = true;
    auto session = review::Session::open(test::source_folder() / "sample_clips/pier-nine.meet", options);
    REQUIRE(session.ok());
    return std::move(*session);
}

meet::RunId run_named(const meet::State& state, const std::string& label) {
    for (const auto& [id, run] : state.runs())
        if (run.label == label) return id;
    FAIL("no " << label);
    return {};
}

}  // namespace

TEST_CASE("a list of marks holds every mark of the run once with the times of its frames") {
    const auto session = sample();
    const meet::State& state = session->state();
    for (const auto& [id, run] : state.runs()) {
        session->select_run(id);
        const auto list = review::mark_list(state, id, session->book());
        REQUIRE(list.ok());
        CHECK(list->run_label == run.label);
        CHECK(list->clips.size() == run.clips.size());
        const auto count = [](const auto& listed) {
            std::size_t found = 0;
            for ([[maybe_unused]] const auto& one : listed)
                ++found;
            return found;
        };
        CHECK(list->marks.size() ==
              count(state.marks_of(id)) + count(state.contacts_of(id)) + count(state.watched_of(id)));
        for (const report::ListedMark& mark : list->marks)
            for (const report::ListedSighting& seen : mark.sightings)
                for (const auto& end : {seen.early, seen.late}) {
                    if (!end) continue;
                    const meet::Clip& clip = state.clips().at(run.clips[seen.clip]);
                    CHECK(end->taken == review::frame_time(clip, {end->frame, end->pts}));
                    CHECK(end->shown == base::floor_to_time(end->pts, clip.time_base));
                }
    }
    CHECK(review::mark_list(state, meet::RunId{999}, nullptr).error().category == base::Category::not_found);
}

TEST_CASE("a list of marks holds what a mark points at and had measured with the times of its frames") {
    const auto session = sample();
    meet::State state = session->state();
    const meet::RunId run = run_named(state, "run 4, both cameras");
    const meet::Mark mark = *state.marks_of(run).begin();
    const meet::ClipId second = state.runs().at(run).clips.at(1);
    const meet::Sighting seen = mark.sightings.front();
    meet::Mark measured = mark;
    measured.pointed = {{second, {7, 6'000}, {412.0625, 1.0 / 3}}};
    measured.measured = meet::MeasuredMoment{seen.clip, *seen.late, {5}, {9}};
    REQUIRE(state.apply({"measure", {{mark, measured}}, 0}).ok());
    const auto list = review::mark_list(state, run, session->book());
    REQUIRE(list.ok());
    const report::ListedMark& listed = list->marks.front();
    REQUIRE(listed.pointed.size() == 1);
    CHECK(listed.pointed[0].clip == 1);
    CHECK(listed.pointed[0].at == std::array<double, 2>{412.0625, 1.0 / 3});
    CHECK(listed.pointed[0].frame.taken == review::frame_time(state.clips().at(second), {7, 6'000}));
    REQUIRE(listed.measured);
    CHECK(listed.measured->frame == listed.sightings[0].late);
    CHECK(listed.measured->clip == listed.sightings[0].clip);
    CHECK(listed.measured->to == base::Duration{9});
    for (std::size_t i = 1; i < list->marks.size(); ++i)
        CHECK((list->marks[i].pointed.empty() && !list->marks[i].measured));
}

TEST_CASE("the run's clock begins within the bracket of the start signal and reaches a clip that is tied") {
    const auto session = sample();
    meet::State state = session->state();
    const meet::RunId run = run_named(state, "run 4");
    const auto clips = state.runs().at(run).clips;
    REQUIRE(clips.size() == 2);
    // Nothing ties the second camera yet.
    const auto untied = review::run_clocks(state, run);
    CHECK(untied.count(clips[0]) == 1);
    CHECK(untied.count(clips[1]) == 0);
    // It began half a second before the first, as two touches say.
    session->select_run(run);
    REQUIRE(session->settle().ok());
    const auto table = [&](meet::ClipId id) -> const media::FrameTable& {
        for (const review::ClipView& view : session->clips())
            if (view.id == id) return *view.table;
        throw std::runtime_error("no such clip");
    };
    const media::FrameTable &here = table(clips[0]), &there = table(clips[1]);
    meet::Change tie{"tie", {}, 0};
    for (const meet::Mark& mark : state.marks_of(run)) {
        const meet::Sighting& seen = mark.sightings.front();
        if (mark.alternatives.front().kind != meet::EventKind::touch || !seen.early || !seen.late) continue;
        if (tie.edits.size() == 2) break;
        const auto beside = [&](std::int64_t frame, std::int64_t more) {
            const std::int64_t n = there.frame_at(here.time(frame) + base::Duration{500'000'000}) + more;
            return meet::FrameRef{n, there[n].pts};
        };
        meet::Mark after = mark;
        after.sightings.push_back({clips[1], beside(seen.early->number, 0), beside(seen.late->number, 1)});
        tie.edits.push_back({mark, after});
    }
    REQUIRE(tie.edits.size() == 2);
    REQUIRE(state.apply(tie).ok());
    const auto clocks = review::run_clocks(state, run);
    REQUIRE(clocks.size() == 2);
    for (const meet::Mark& mark : state.marks_of(run)) {
        const meet::Event& event = mark.alternatives.front();
        if (event.kind != meet::EventKind::signal || event.signal != ruling::SignalKind::start_given)
            continue;
        for (const meet::Sighting& seen : mark.sightings) {
            // More than low: at the late end of the signal's bracket the run's clock is at most 0 or later.
            const base::Time late = review::frame_time(state.clips().at(seen.clip), *seen.late);
            const base::Time early = review::frame_time(state.clips().at(seen.clip), *seen.early);
            CHECK((late + clocks.at(seen.clip).high).ns >= 0);
            CHECK((early + clocks.at(seen.clip).low).ns <= 0);
        }
    }
    // Half a second apart, within what the brackets leave open.
    CHECK(clocks.at(clips[1]).low.ns <= clocks.at(clips[0]).high.ns - 500'000'000);
    CHECK(clocks.at(clips[1]).high.ns >= clocks.at(clips[0]).low.ns - 500'000'000);
    CHECK(clocks.at(clips[1]).high.ns - clocks.at(clips[1]).low.ns < 200'000'000);
    // An event that both clips show lies on the run's clock where both say it can lie.
    for (const meet::Mark& mark : state.marks_of(run)) {
        if (mark.sightings.size() < 2 || mark.possible) continue;
        std::int64_t from = INT64_MIN, to = INT64_MAX;
        for (const meet::Sighting& seen : mark.sightings) {
            const meet::Clip& clip = state.clips().at(seen.clip);
            from = std::max(from, (review::frame_time(clip, *seen.early) + clocks.at(seen.clip).low).ns);
            to = std::min(to, (review::frame_time(clip, *seen.late) + clocks.at(seen.clip).high).ns);
        }
        CHECK(from < to);
    }
}

TEST_CASE("without a start signal there is no run's clock and a clip of unknown capture time has none") {
    const auto session = sample();
    meet::State state = session->state();
    const meet::RunId run = run_named(state, "run 4");
    const meet::ClipId second = state.runs().at(run).clips[1];
    meet::Clip clip = state.clips().at(second);
    const meet::Clip before = clip;
    clip.capture = {{{0, 0}, meet::Pace::unknown, {}}};
    REQUIRE(state.apply({"unknown", {{before, clip}}, 0}).ok());
    CHECK(review::run_clocks(state, run).count(second) == 0);
    meet::Change away{"start away", {}, 0};
    for (const meet::Mark& mark : state.marks_of(run))
        if (mark.alternatives.front().kind == meet::EventKind::signal)
            away.edits.push_back({mark, std::nullopt});
    REQUIRE(state.apply(away).ok());
    CHECK(review::run_clocks(state, run).empty());
}
