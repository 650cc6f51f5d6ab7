// The page of the run laid open: what its keys ask for, which frames it puts beside each other, and that
// nothing beneath it is changed.
#include <chrono>
#include <cmath>
#include <thread>

#include "desk/internal/study_desk.h"
#include "desk/key_bench.h"
#include "desk/screen.h"
#include "review/capture_time.h"

using namespace plumbmark;
using namespace plumbmark::desk;
using test::KeyBench;

namespace {

meet::RunId run_called(const meet::State& state, const std::string& label) {
    for (const auto& [id, run] : state.runs())
        if (run.label == label) return id;
    FAIL("no run " << label);
    return {};
}

void wait(KeyBench& bench) {
    double now = 1000;
    // What a key asked for is only seen to in the next round.
    for (int i = 0; i < 6'000 && (i < 2 || !bench.core().study().settled()); ++i) {
        bench.core().update(now += 0.01);
        if (i % 20 == 0) bench.draw();
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    INFO((bench.core().study().trouble() ? bench.core().study().trouble()->text() : ""));
    REQUIRE(bench.core().study().settled());
    bench.draw();
}

void hold_against(KeyBench& bench, const std::string& label) {
    bench.press(Action::choose_run);
    REQUIRE(bench.core().views().chooser);
    Chooser& list = *bench.core().views().chooser;
    const meet::RunId wanted = run_called(bench.session().state(), label);
    for (std::size_t i = 0; i < list.choices.size(); ++i) {
        const auto* of = std::get_if<OfStudy>(&list.choices[i].command);
        REQUIRE(of != nullptr);
        if (std::get<StudyAgainst>(of->command).other == wanted) list.cursor = static_cast<int>(i);
    }
    list.filter.clear();
    bench.press(Action::take);
    REQUIRE_FALSE(bench.core().views().chooser);
    CHECK(bench.core().views().study.other == wanted);
    wait(bench);
}

/// The frame of run 1's clip that belongs to the frame on the screen, worked out from the meet alone.
std::int64_t expected_frame(KeyBench& bench, review::Together how) {
    const review::LaidBeside& laid = *bench.core().study().laid();
    const review::ClipView& clip = *bench.session().current_clip();
    const review::ClipView& other = *bench.core().study().other_clip();
    const auto map = review::together(laid.document, 0, 0, how);
    REQUIRE(map);
    const auto& clips = bench.session().state().clips();
    const base::Time now = review::captured_at(clips.at(clip.id), *clip.table, bench.session().frame());
    return review::frame_captured_at(clips.at(other.id), *other.table, map->to_b(now));
}

}  // namespace

TEST_CASE("the run laid open is read and left with keys, and nothing beneath it changes") {
    KeyBench bench({1280, 760});
    if (!bench.can_run()) return;
    bench.settle();
    const auto before = bench.picture();
    bench.press(Action::study_run);
    REQUIRE(bench.core().views().page.kind == PageKind::study);
    wait(bench);
    REQUIRE(bench.core().study().laid() != nullptr);
    const review::LaidBeside& laid = *bench.core().study().laid();
    REQUIRE(laid.document.runs.size() == 1);
    CHECK(laid.document.runs[0]->name.label == "run 4");
    const bool covered = bench.picture().pixels != before.pixels;
    CHECK(covered);
    const auto with_words = bench.picture();
    const auto changes = bench.session().changes();
    bench.press(Action::touch);
    bench.press(Action::remove);
    CHECK(bench.session().changes() == changes);
    bench.core().key('W', 0, false);
    bench.draw();
    const bool wider = bench.picture().pixels != with_words.pixels;
    CHECK(wider);
    // The keys of two runs say nothing of one.
    const StudyView view = bench.core().views().study;
    bench.core().key('G', 0, false);
    bench.core().key('P', 0, false);
    CHECK(bench.core().views().study.ghost == view.ghost);
    CHECK(bench.core().views().study.together == view.together);
    bench.press(Action::let_go);
    CHECK(bench.core().views().page.kind == PageKind::none);
    CHECK(bench.core().study().laid() == nullptr);
}

TEST_CASE("two runs stand beside each other at the same moment, and at the same phase") {
    KeyBench bench({1280, 760});
    if (!bench.can_run()) return;
    bench.press(Action::study_run);
    hold_against(bench, "run 1");
    REQUIRE(bench.core().study().laid()->document.two);
    REQUIRE(bench.core().study().other_picture() != nullptr);
    CHECK(bench.core().study().other_picture()->exact);
    CHECK(bench.core().study().other_frame() == expected_frame(bench, review::Together::same_moment));
    const auto clocks = bench.core().study().clocks();
    REQUIRE((clocks.mine && clocks.other));
    // Not nearer than a frame, and both since the start.
    CHECK(*clocks.mine == *clocks.other);

    const std::int64_t before = bench.core().study().other_frame();
    bench.press(Action::ten_on);
    wait(bench);
    CHECK(std::abs(bench.core().study().other_frame() - before - 10) <= 1);

    bench.core().key('P', 0, false);
    wait(bench);
    const std::int64_t by_phase = expected_frame(bench, review::Together::same_phase);
    CHECK(bench.core().study().other_frame() == by_phase);
    CHECK(by_phase != expected_frame(bench, review::Together::same_moment));
    bench.core().key('P', 0, false);
    wait(bench);

    const auto beside = bench.picture();
    bench.core().key('G', 0, false);
    bench.draw();
    const bool over = bench.picture().pixels != beside.pixels;
    CHECK(over);
    bench.core().key('G', 0, false);

    // From one thing that both show to the next, and there the page is left.
    const auto spots = bench.core().study().spots(bench.session());
    REQUIRE(spots.size() > 5);
    bench.session().go_to_frame(0);
    bench.settle();
    bench.press(Action::mark_after);
    CHECK(bench.session().frame() == spots.front().frame);
    bench.settle();
    bench.press(Action::take);
    CHECK(bench.core().views().page.kind == PageKind::none);
    CHECK(bench.session().frame() == spots.front().frame);
}

TEST_CASE("two runs lie over each other at what was chosen from what both show") {
    KeyBench bench({1280, 760});
    if (!bench.can_run()) return;
    bench.press(Action::study_run);
    hold_against(bench, "run 1");
    bench.core().key('A', 0, false);
    REQUIRE(bench.core().views().chooser);
    const auto& choices = bench.core().views().chooser->choices;
    CHECK(choices.size() == bench.core().study().laid()->can_lie_at.size());
    REQUIRE(choices.size() > 1);
    const std::string wish = std::get<StudyAlign>(std::get<OfStudy>(choices[1].command).command).wish;
    bench.core().views().chooser->cursor = 1;
    bench.press(Action::take);
    wait(bench);
    CHECK(bench.core().views().study.align == wish);
    CHECK(bench.core().study().laid()->document.two->anchor->wish == wish);
    // Held against the best of others again, nothing is left of it.
    bench.press(Action::choose_run);
    bench.core().views().chooser->cursor = 0;
    bench.press(Action::take);
    wait(bench);
    CHECK_FALSE(bench.core().study().laid()->document.two);
    CHECK(bench.core().views().study.align.empty());
}
