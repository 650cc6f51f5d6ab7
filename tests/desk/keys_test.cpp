// The key table: no clashes on any keyboard, everything in the help, and changed keys.
#include "desk/keys.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <map>
#include <set>
#include <string>

#include "support/test_places.h"

using namespace plumbmark::desk;

namespace {

/// What the places of an unshifted keyboard type, as the X keyboard data of these layouts give it
/// (xkeyboard-config, symbols/de, fr, us(dvorak), ru; from memory).
LayoutName layout(std::map<int, std::string> differing) {
    return [differing = std::move(differing)](int key) {
        if (const auto found = differing.find(key); found != differing.end()) return found->second;
        if (key >= 'A' && key <= 'Z') return std::string(1, static_cast<char>(key + 32));
        return std::string(1, static_cast<char>(key));
    };
}

LayoutName german() {
    return layout({{'Y', "z"},
                   {'Z', "y"},
                   {'-', "ß"},
                   {'=', "´"},
                   {'/', "-"},
                   {']', "+"},
                   {'[', "ü"},
                   {';', "ö"},
                   {'\'', "ä"},
                   {'`', "^"},
                   {'\\', "#"}});
}
LayoutName french() {
    return layout({{'A', "q"}, {'Q', "a"}, {'W', "z"}, {'Z', "w"}, {';', "m"},  {'M', ","}, {',', ";"},
                   {'.', ":"}, {'/', "!"}, {'1', "&"}, {'2', "é"}, {'3', "\""}, {'4', "'"}, {'5', "("},
                   {'6', "-"}, {'7', "è"}, {'8', "_"}, {'9', "ç"}, {'0', "à"},  {'-', ")"}});
}
LayoutName dvorak() {
    return layout({{'Q', "'"}, {'W', ","},  {'E', "."}, {'R', "p"}, {'T', "y"}, {'Y', "f"}, {'U', "g"},
                   {'I', "c"}, {'O', "r"},  {'P', "l"}, {'[', "/"}, {']', "="}, {'A', "a"}, {'S', "o"},
                   {'D', "e"}, {'F', "u"},  {'G', "i"}, {'H', "d"}, {'J', "h"}, {'K', "t"}, {'L', "n"},
                   {';', "s"}, {'\'', "-"}, {'Z', ";"}, {'X', "q"}, {'C', "j"}, {'V', "k"}, {'B', "x"},
                   {'N', "b"}, {'M', "m"},  {',', "w"}, {'.', "v"}, {'/', "z"}, {'-', "["}, {'=', "]"}});
}
LayoutName russian() {
    return layout({{'T', "е"}, {'W', "ц"}, {'Z', "я"}, {'X', "ч"}, {'S', "ы"}, {'P', "з"},
                   {'R', "к"}, {'Q', "й"}, {'A', "ф"}, {'B', "и"}, {'C', "с"}, {'D', "в"},
                   {'E', "у"}, {'F', "а"}, {'G', "п"}, {'H', "р"}, {'I', "ш"}, {'J', "о"},
                   {'K', "л"}, {'L', "д"}, {'M', "ь"}, {'N', "т"}, {'O', "щ"}, {'U', "г"},
                   {'V', "м"}, {'Y', "н"}, {',', "б"}, {'.', "ю"}, {'/', "."}});
}

}  // namespace

TEST_CASE("no two actions share a key on any of five keyboards") {
    const std::map<std::string, LayoutName> boards{{"US", layout({})},
                                                   {"German", german()},
                                                   {"French", french()},
                                                   {"Dvorak", dvorak()},
                                                   {"Russian", russian()}};
    for (const auto& [name, board] : boards) {
        CAPTURE(name);
        Keymap keys;
        keys.set_layout(board);
        CHECK(keys.clashes() == std::vector<std::string>{});
    }
}

TEST_CASE("every action stands in the table, with words for the help") {
    std::set<int> seen;
    for (const KeyBinding& binding : default_keys()) {
        CAPTURE(binding.name);
        CHECK(seen.insert(static_cast<int>(binding.action)).second);
        CHECK(std::string(binding.words).size() > 3);
        CHECK(std::string(group_words(binding.group)).size() > 3);
        CHECK_FALSE(Keymap().label(binding.action).empty());
    }
    // The last action of the enumeration closes it, so that none can be left out.
    CHECK(seen.size() == static_cast<std::size_t>(Action::leave) + 1);
}

TEST_CASE("a key is found by its letter where the keyboard has it, and says so") {
    Keymap keys;
    keys.set_layout(french());
    // On a French board the letter W is where Z is on a US board.
    CHECK(keys.find('Z', 0) == Action::watched);
    CHECK(keys.find('W', 0) == Action::zoom_in);
    CHECK(keys.find('W', kCtrl) == Action::undo);
    CHECK(keys.label(Action::watched) == "W");
    // Its full stop needs Shift, so both ends of a bracket go by place, with that board's names.
    CHECK(keys.find(',', 0) == Action::early_back);
    CHECK(keys.find('.', kShift) == Action::late_on);
    CHECK(keys.label(Action::early_back) == ";");
    CHECK(keys.label(Action::late_on) == "Shift :");
    CHECK(keys.label(Action::left_hand) == "1");
}

TEST_CASE(
    "where the keyboard writes another script the letter keys go by place and are called by their own "
    "names") {
    Keymap keys;
    keys.set_layout(russian());
    CHECK(keys.find('T', 0) == Action::touch);
    CHECK(keys.label(Action::touch) == "Е");  // the capital Cyrillic letter
}

TEST_CASE("the keys of the desk's design are the ones that come") {
    const Keymap keys;
    using enum Action;
    CHECK(keys.find(key_right, 0) == step_on);
    CHECK(keys.find(key_right, kShift) == ten_on);
    CHECK(keys.find(key_left, kCtrl) == mark_before);
    CHECK(keys.find(' ', 0) == play);
    CHECK(keys.find('3', 0) == left_foot);
    CHECK(keys.find('T', 0) == touch);
    CHECK(keys.find('R', 0) == release);
    CHECK(keys.find('X', 0) == cross);
    CHECK(keys.find('S', 0) == signal);
    CHECK(keys.find('P', 0) == possible);
    CHECK(keys.find('W', 0) == watched);
    CHECK(keys.find('Z', 0) == zoom_in);
    CHECK(keys.find('.', 0) == early_on);
    CHECK(keys.find(',', kShift) == late_back);
    CHECK(keys.find(key_enter, 0) == take);
    CHECK(keys.find('Z', kCtrl | kShift) == redo);
    CHECK(keys.find(key_f1, 0) == help);
    CHECK(keys.find('T', kAlt) == std::nullopt);
}

TEST_CASE("a keys file changes keys, and one that does not fit says what, where and what to do") {
    const auto read = read_keys("# mine\ntouch = F9\nsmaller = Ctrl Shift F4\n", "keys.txt");
    REQUIRE(read);
    const Keymap keys(*read);
    CHECK(keys.find(key_f1 + 8, 0) == Action::touch);
    CHECK(keys.find('T', 0) == std::nullopt);
    CHECK(keys.find(key_f1 + 3, kCtrl | kShift) == Action::smaller);

    const auto wrong = [](const char* text) { return read_keys(text, "keys.txt").error().text(); };
    CHECK(wrong("\nrelaese = F9") ==
          "keys.txt:2: 'relaese' is nothing a key can do; did you mean 'release'?");
    CHECK(wrong("touch = Hyper T") ==
          "keys.txt:1: 'Hyper T' is not a key; write it like 'T', 'Shift Left' or 'Ctrl F5'");
    CHECK(wrong("touch") == "keys.txt:1: expected a line like 'touch = T', found 'touch'");
    CHECK(wrong("touch = R") == "keys.txt: two actions share a key: touch and release");
}

TEST_CASE("the table written as a keys file reads back the same") {
    const auto read = read_keys(write_keys(default_keys()), "keys.txt");
    REQUIRE(read);
    REQUIRE(read->size() == default_keys().size());
    for (std::size_t i = 0; i < read->size(); ++i) {
        CAPTURE((*read)[i].name);
        CHECK((*read)[i].press == default_keys()[i].press);
    }
}

TEST_CASE("the handbook's page on the desk lists every action with its key") {
    std::ifstream file(plumbmark::test::source_folder() / "docs/desk.md");
    const std::string page((std::istreambuf_iterator<char>(file)), {});
    const std::string table = write_keys(default_keys());
    const std::string lines = table.substr(table.find('\n') + 1);
    CHECK(page.find("```\n" + lines + "```\n") != std::string::npos);
}
