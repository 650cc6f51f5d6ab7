// Every key of the key map, pressed where it is meant to be pressed: each does what its words say, or at
// least something that can be seen. An action that is new in the table and not in the lists here fails.
#include <catch2/catch.hpp>
#include <functional>
#include <map>

#include "desk/key_bench.h"

using namespace plumbmark;
using namespace plumbmark::desk;
using test::KeyBench;

namespace {

/// What is done first, for the keys that need more than the usual state.
using Before = std::function<void(KeyBench&)>;

void then(KeyBench& bench, std::initializer_list<Action> actions) {
    for (const Action action : actions)
        bench.press(action);
    bench.settle();
}

const std::map<Action, Before>& special() {
    using enum Action;
    static const auto after = [](std::initializer_list<Action> actions) -> Before {
        return [list = std::vector<Action>(actions)](KeyBench& bench) {
            for (const Action action : list)
                bench.press(action);
            bench.settle();
        };
    };
    static const Before tied = [](KeyBench& bench) {
        // A mark that is on this camera alone, of a run whose cameras are tied.
        bench.session().select_run(meet::RunId{5});
        REQUIRE(bench.session().settle());
        bench.session().go_to_frame(300);
        bench.settle();
        then(bench, {touch});
    };
    static const std::map<Action, Before> list{
        {redo, after({undo})},
        {late_back, after({late_on})},
        {early_on, after({early_back})},
        {darker, {}},
        {plain_tone, after({brighter})},
        {zoom_out, after({zoom_in})},
        {fit, after({zoom_in})},
        {pan_left, after({zoom_in})},
        {pan_right, after({zoom_in})},
        {pan_up, after({zoom_in})},
        {pan_down, after({zoom_in})},
        {strip_out, after({strip_in})},
        {usual_size, after({larger})},
        {let_go, after({touching_yet})},
        {left_foot, after({right_foot})},
        {sight_here, after({step_on})},
        {plane_after, [](KeyBench& bench) { bench.session().set_hand({}); }},
        {plane_before, [](KeyBench& bench) { bench.session().set_hand({}); }},
        {copy_mark, tied},
    };
    return list;
}

/// Seen otherwise than in seen().
bool seen_elsewhere(KeyBench& bench, Action action) {
    return action == Action::full_screen && bench.take_full_screen_wish();
}

}  // namespace

TEST_CASE("every key of a run's review does something that can be seen") {
    KeyBench bench;
    if (!bench.can_run()) return;
    int walked = 0;
    for (const KeyBinding& binding : default_keys()) {
        if (!works_in(binding.group, KeyPlace::run)) continue;
        INFO(binding.name);
        bench.go_to_the_run();
        const auto changes = bench.session().changes();
        const auto found = special().find(binding.action);
        if (found != special().end() && found->second) found->second(bench);
        const std::string before = bench.seen();
        bench.press(binding.action);
        CHECK((bench.seen() != before || seen_elsewhere(bench, binding.action)));
        bench.draw();
        // What the key wrote down is taken back: the next one begins where this one did.
        for (auto n = bench.session().changes(); n > changes && binding.action != Action::undo; --n)
            (void)bench.session().undo();
        ++walked;
        if (binding.action == Action::leave) break;
    }
    CHECK(walked > 100);
}

TEST_CASE("every key of the meet's own view does something that can be seen") {
    KeyBench bench;
    if (!bench.can_run()) return;
    // The page on which a key is meant, and what is pressed there before.
    using enum Action;
    struct Place {
        const char* page;
        std::vector<Action> before;
        std::string typed = {};  ///< what the key lets one write, kept with Enter
    };
    const std::map<Action, Place> places{
        {floor_entry, {"standings", {}}},
        {appeals, {"floor-entry", {}}},
        {standings, {"floor-entry", {}}},
        {start_list, {"floor-entry", {}}},
        {review_run, {"appeals", {}}},
        {which_rows, {"floor-entry", {}}},
        {call_clear, {"floor-entry", {no_call}}},
        {call_fail, {"floor-entry", {no_call}}},
        {no_call, {"floor-entry", {call_clear}}},
        {station_time, {"floor-entry", {}, "12.5"}},
        {call_points, {"floor-entry", {call_fail}, "2"}},
        {judge_name, {"floor-entry", {}}},
        {give_rerun, {"floor-entry", {}}},
        {entry_status, {"floor-entry", {}}},
        {lodge_appeal, {"appeals", {}}},
        {decide_appeal, {"appeals", {}}},
        {withdraw_appeal, {"appeals", {}}},
        {announce, {"standings", {}}},
        {publish, {"standings", {}}},
        {seal, {"standings", {}}},
    };
    for (const KeyBinding& binding : default_keys()) {
        if (!works_in(binding.group, KeyPlace::meet) || works_in(binding.group, KeyPlace::run)) continue;
        INFO(binding.name);
        const auto place = places.find(binding.action);
        REQUIRE(place != places.end());
        bench.go_to_the_meet(place->second.page);
        for (const Action action : place->second.before)
            bench.press(action);
        bench.close_lists();
        bench.draw();
        bench.core().views().messages.clear();
        const std::string before = bench.seen();
        bench.press(binding.action);
        for (const char letter : place->second.typed)
            bench.core().text(static_cast<unsigned char>(letter));
        if (!place->second.typed.empty()) bench.core().key(key_enter, 0, false);
        bench.draw();
        CHECK(bench.seen() != before);
    }
}
