// Changing a key: who has it then, what stands in the keys file, and the same in the window.
#include "desk/own_keys.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>

#include "desk/key_bench.h"
#include "desk/screen.h"
#include "support/file_bytes.h"
#include "support/own_folders.h"

using namespace plumbmark;
using namespace plumbmark::desk;

namespace {

KeyPress press_of(const std::vector<KeyBinding>& table, Action action) {
    return std::find_if(table.begin(), table.end(), [&](const auto& b) { return b.action == action; })->press;
}

const Choice& choice_of(Views& views, const std::string& words) {
    const auto& list = views.chooser->choices;
    const auto found = std::find_if(list.begin(), list.end(), [&](const Choice& choice) {
        return choice.label.find(words) != std::string::npos;
    });
    REQUIRE(found != list.end());
    return *found;
}

/// Chooses it as a person does: by typing letters of it, and Enter.
void choose(DeskCore& core, const std::string& words) {
    REQUIRE(core.views().chooser);
    (void)choice_of(core.views(), words);
    core.views().chooser->filter = words;
    core.views().chooser->cursor = 0;
    core.key(key_enter, 0, false);
}

}  // namespace

TEST_CASE("a key that nobody has is taken, and a key that somebody has is exchanged") {
    const Keymap keys;
    const auto free = with_key(keys, Action::touch, key_f1 + 8, 0);
    REQUIRE(free);
    CHECK(free->exchanged.empty());
    CHECK(press_of(free->bindings, Action::touch) == KeyPress{key_f1 + 8, 0});
    const auto taken = with_key(keys, Action::touch, 'R', 0);
    REQUIRE(taken);
    CHECK(taken->exchanged == std::vector{Action::release});
    CHECK(press_of(taken->bindings, Action::touch) == KeyPress{'R', 0});
    CHECK(press_of(taken->bindings, Action::release) == KeyPress{'T', 0});
    CHECK(Keymap(taken->bindings).clashes().empty());
}

TEST_CASE("a key of the meet's view and one of a run's review may be the same, and the desk's may not") {
    const Keymap keys;
    // F5 is 'to what would settle it' in a run and 'calls and times' in the meet.
    const auto desk = with_key(keys, Action::theme, key_f1 + 4, 0);
    REQUIRE(desk);
    CHECK(desk->exchanged == std::vector{Action::settle_first, Action::floor_entry});
    CHECK(press_of(desk->bindings, Action::settle_first) == KeyPress{key_f1 + 1, 0});
    CHECK(press_of(desk->bindings, Action::floor_entry) == KeyPress{key_f1 + 1, 0});
    CHECK(Keymap(desk->bindings).clashes().empty());
    // T in the meet's view is its own: the run's touch keeps its key.
    const auto apart = with_key(keys, Action::judge_name, 'Y', 0);
    REQUIRE(apart);
    CHECK(apart->exchanged.empty());
}

TEST_CASE("keys that no keys file could name are refused") {
    const Keymap keys;
    for (const int key : {340, 341, 280, 284, 348, 0}) {
        INFO(key);
        const auto refused = with_key(keys, Action::touch, key, 0);
        REQUIRE_FALSE(refused);
        CHECK(refused.error().text().find("cannot be given") != std::string::npos);
    }
}

TEST_CASE("a letter is given by what is printed on the key of this keyboard") {
    Keymap keys;
    // The French keyboard types 'a' where the American one has Q.
    keys.set_layout([](int key) -> std::string {
        if (key == 'Q') return "a";
        if (key == 'A') return "q";
        if (key == 'W') return "z";
        if (key == 'Z') return "w";
        return key >= 'A' && key <= 'Z' ? std::string(1, static_cast<char>(key + 32)) : std::string();
    });
    const auto given = with_key(keys, Action::moment, 'Q', kAlt);
    REQUIRE(given);
    CHECK(press_of(given->bindings, Action::moment) == KeyPress{'A', kAlt});
    keys.take_bindings(given->bindings);
    CHECK(keys.find('Q', kAlt) == Action::moment);
    CHECK(keys.label(Action::moment) == "Alt A");
}

TEST_CASE("whoever gets the usual key back has the keypad's too") {
    const Keymap keys;
    const auto away = with_key(keys, Action::left_hand, key_f1 + 8, 0);
    REQUIRE(away);
    Keymap changed = keys;
    changed.take_bindings(away->bindings);
    CHECK_FALSE(has_usual_key(changed.binding(Action::left_hand)));
    const auto back = with_key(changed, Action::left_hand, '1', 0);
    REQUIRE(back);
    CHECK(std::all_of(back->bindings.begin(), back->bindings.end(), has_usual_key));
}

TEST_CASE("every key can be given to every action, and the table has no clash then") {
    const Keymap keys;
    int given = 0, refused = 0;
    for (const KeyBinding& binding : keys.bindings())
        for (const KeyBinding& other : keys.bindings()) {
            const auto change = with_key(keys, binding.action, other.press.key, other.press.mods);
            if (!change) {
                ++refused;
                continue;
            }
            ++given;
            if (Keymap(change->bindings).clashes().empty()) continue;
            INFO(binding.name << " gets the key of " << other.name);
            CHECK(Keymap(change->bindings).clashes().empty());
        }
    CHECK(given > 20 * refused);
    CHECK(given > 10000);
}

TEST_CASE("the keys file names what is changed, keeps its remarks, and reads back the same") {
    const auto changed = with_key(Keymap(), Action::touch, 'R', 0);
    REQUIRE(changed);
    const std::string fresh = own_keys_text("", changed->bindings);
    CHECK(fresh.find("touch = R\n") != std::string::npos);
    CHECK(fresh.find("release = T\n") != std::string::npos);
    CHECK(std::count(fresh.begin(), fresh.end(), '\n') == 3);
    const auto read = read_keys(fresh, "keys.txt");
    REQUIRE(read);
    for (const KeyBinding& binding : *read)
        CHECK(binding.press == press_of(changed->bindings, binding.action));
    const std::string kept = own_keys_text(
        "# of the left hand\ntouch = F9  # was T\n\nplay = Ctrl F9\nrelease = F12\n", changed->bindings);
    CHECK(kept == "# of the left hand\ntouch = R  # was T\n\nrelease = T\n");
    CHECK(own_keys_text("touch = F9\n", default_keys()).empty());
}

TEST_CASE("a key is changed in the window: asked for, exchanged after a question, taken back") {
    test::KeyBench bench;
    if (!bench.can_run()) return;
    DeskCore& core = bench.core();
    bench.press(Action::change_keys);
    choose(core, "touch: it comes");
    REQUIRE(core.views().new_key);
    core.key(340, kShift, false);  // Shift alone is on the way to something
    CHECK(core.views().new_key->problem.empty());
    core.key('R', 0, false);
    bench.draw();
    REQUIRE(core.views().new_key);
    CHECK(
        core.views().new_key->problem ==
        "R is 'release: it leaves the surface' so far. Enter exchanges the two; another key tries that one.");
    CHECK(core.keys().label(Action::touch) == "T");
    core.key(key_enter, 0, false);
    CHECK_FALSE(core.views().new_key);
    CHECK(core.keys().label(Action::touch) == "R");
    CHECK(core.keys().label(Action::release) == "T");
    REQUIRE(core.views().chooser);
    CHECK(choice_of(core.views(), "touch: it comes").detail == "R  (comes as T)");
    bench.draw();

    const auto before = bench.session().state().marks().size();
    core.key(key_escape, 0, false);
    core.key('R', 0, false);
    CHECK(bench.session().state().marks().size() == before + 1);

    bench.press(Action::change_keys);
    choose(core, "take the last change of keys back");
    CHECK(core.keys().label(Action::touch) == "T");
    choose(core, "touch: it comes");
    core.key(key_escape, 0, false);
    CHECK(core.keys().label(Action::touch) == "T");
    CHECK(core.views().chooser);
}

TEST_CASE("changed keys are kept in the person's own file, and are there at the next opening") {
    const test::TemporaryFolder folder;
    auto screen = test::screen_or_skip(240);
    if (!screen) return;
    DeskOptions options;
    options.keys_file = folder / "keys.txt";
    options.language = "en";
    const test::OwnFolders own(folder.path());
    {
        DeskCore core(options, [] {});
        core.key(key_f1, kShift, false);
        choose(core, "the whole screen");
        core.key(key_f1 + 8, 0, false);
        CHECK(test::bytes_of(options.keys_file).find("full_screen = F9") != std::string::npos);
    }
    DeskCore core(options, [] {});
    CHECK(core.keys().label(Action::full_screen) == "F9");
    core.key(key_f1, kShift, false);
    choose(core, "all keys as they come");
    CHECK(core.keys().label(Action::full_screen) == "F11");
    CHECK(test::bytes_of(options.keys_file).find("full_screen") == std::string::npos);
}

TEST_CASE("the keys are printed to a file of their own, from a desk without a meet as well") {
    const test::TemporaryFolder folder;
    auto screen = test::screen_or_skip(240);
    if (!screen) return;
    DeskOptions options;
    options.keys_file = "/dev/null";
    options.language = "en";
    options.remember = false;
    DeskCore core(options, [] {});
    core.key(key_f1, kShift, false);
    choose(core, "print all keys");
    REQUIRE(core.views().entry);
    core.views().entry->put((folder / "keys.pdf").string());
    core.key(key_enter, 0, false);
    for (int wait = 0; wait < 2000 && core.views().messages.empty(); ++wait) {
        core.update(1);
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    REQUIRE(core.views().messages.size() == 1);
    CHECK(core.views().messages.front().text.starts_with("Written: "));
    CHECK(test::bytes_of(folder / "keys.pdf").starts_with("%PDF-"));
}
