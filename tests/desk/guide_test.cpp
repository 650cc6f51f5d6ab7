// The guided first ruling, walked with the keys that each step names.
#include "desk/internal/guide.h"

#include <catch2/catch.hpp>

#include "desk/key_bench.h"

using namespace plumbmark;
using namespace plumbmark::desk;

namespace {

bool named(const Guide& guide, Action action) {
    const auto keys = guide.keys();
    return std::find(keys.begin(), keys.end(), action) != keys.end();
}

}  // namespace

TEST_CASE("the seven steps are done with the keys that they name, and end with the ruling there was") {
    test::KeyBench bench;
    if (!bench.can_run()) return;
    review::Session& session = bench.session();
    DeskCore& core = bench.core();
    Guide guide;
    REQUIRE(guide.begin(session));
    const auto at = [&](int step) {
        bench.settle();
        INFO("expected step " << step << ", is at " << guide.step() << ": " << guide.words(session));
        const bool last = guide.update(session, core.views());
        REQUIRE(guide.step() == step);
        CHECK(last == (step == Guide::kSteps));
        if (last) return;
        CHECK(guide.words(session).size() > 40);
        CHECK_FALSE(guide.keys().empty());
    };
    at(0);
    CHECK(guide.words(session).find("bib 23") != std::string::npos);
    REQUIRE(named(guide, Action::choose_run));
    session.select_run(meet::RunId{2});
    REQUIRE(session.settle());
    const auto fails_by = [&] {
        REQUIRE(session.settle());
        REQUIRE(session.ruling().ruling);
        const ruling::StationRuling& swing = session.ruling().ruling->stations.at(1);
        CHECK(swing.verdict == ruling::Verdict::fail);
        return swing.deciding_mark;
    };
    const meet::MarkId first = fails_by();
    at(1);
    REQUIRE(named(guide, Action::deciding_frames));
    bench.press(Action::deciding_frames);
    at(2);
    REQUIRE(named(guide, Action::step_back));
    bench.press(Action::step_back);
    bench.settle();
    (void)guide.update(session, core.views());
    bench.press(Action::step_on);
    at(3);
    REQUIRE(named(guide, Action::remove));
    bench.press(Action::remove);
    // The athlete fell: the touch that came next ends the run now.
    CHECK_FALSE(session.state().marks().contains(first));
    const meet::MarkId next = fails_by();
    CHECK(next != first);
    at(4);
    REQUIRE(named(guide, Action::left_foot));
    bench.press(Action::left_foot);
    REQUIRE(named(guide, Action::surface_list));
    bench.press(Action::surface_list);
    core.views().chooser->filter = "floor";
    core.key(key_enter, 0, false);
    at(5);

    // A mark at another place is not it, and the card says so.
    const std::int64_t right = session.frame();
    session.go_to_frame(right + 30);
    bench.settle();
    REQUIRE(named(guide, Action::touch));
    bench.press(Action::touch);
    at(5);
    CHECK(guide.words(session).find("undo") != std::string::npos);
    REQUIRE(named(guide, Action::undo));
    bench.press(Action::undo);
    session.go_to_frame(right);
    bench.settle();
    bench.press(Action::touch);
    CHECK(fails_by() == session.selected());
    CHECK(fails_by() != next);
    at(6);
    REQUIRE(named(guide, Action::rests_on));
    bench.press(Action::rests_on);
    at(7);
    CHECK_FALSE(guide.on());
}

TEST_CASE("the guide is on the desk: its card is drawn at every step, and its key leaves it") {
    test::KeyBench bench;
    if (!bench.can_run()) return;
    bench.press(Action::guide);
    bench.settle();
    bench.draw();
    CHECK(bench.core().views().messages.empty());
    bench.press(Action::guide);
    REQUIRE(bench.core().views().messages.size() == 1);
    CHECK(bench.core().views().messages.front().text.find("are left") != std::string::npos);
}

TEST_CASE("a meet without such a mark is not begun on, nor one that is only read") {
    test::KeyBench bench;
    if (!bench.can_run()) return;
    review::Session& session = bench.session();
    std::vector<meet::MarkId> gone;
    for (const auto& [id, mark] : session.state().marks())
        if (mark.alternatives.front().surface == "floor") gone.push_back(id);
    REQUIRE_FALSE(gone.empty());
    for (const meet::MarkId id : gone) {
        session.select_run(session.state().marks().at(id).run);
        session.select(id);
        REQUIRE(session.remove_selected());
    }
    Guide guide;
    CHECK_FALSE(guide.begin(session));
    CHECK_FALSE(guide.on());
    CHECK(guide.words(session).empty());
    CHECK(guide.keys().empty());
}
