// A line being written takes every script, and shows what is typed although the window's own type lacks its
// letters.
#include <algorithm>
#include <catch2/catch.hpp>
#include <set>

#include "base/text.h"
#include "desk/key_bench.h"

using namespace plumbmark;
using namespace plumbmark::desk;

namespace {

/// As the window hands letters on: first to the desk, then to the toolkit's field.
void type(test::KeyBench& bench, const std::string& text) {
    for (const char32_t letter : base::code_points(text)) {
        bench.core().key(0, 0, false);  // a key that has no name on this board
        if (const auto taken = bench.core().text(letter))
            ImGui::GetIO().AddInputCharacter(static_cast<unsigned>(*taken));
        bench.draw();
    }
}

/// Within the line's field, which lies in the middle of the window: the rest may still be coming.
std::size_t pixels_that_differ(const media::RgbaImage& a, const media::RgbaImage& b) {
    std::size_t count = 0;
    for (int y = a.height / 2 - 10; y < a.height / 2 + 40; ++y)
        for (int x = a.width / 2 - 240; x < a.width / 2 + 240; ++x) {
            const auto at = static_cast<std::ptrdiff_t>(4) * (static_cast<std::ptrdiff_t>(y) * a.width + x);
            count += !std::equal(a.pixels.begin() + at, a.pixels.begin() + at + 3, b.pixels.begin() + at);
        }
    return count;
}

/// Together with the control key, as the toolkit hears of it from its window.
void press_in_toolkit(ImGuiKey key, bool down) {
    ImGuiIO& io = ImGui::GetIO();
#if IMGUI_VERSION_NUM >= 18700
    io.AddKeyEvent(ImGuiMod_Ctrl, down);
    io.AddKeyEvent(key, down);
#else
    io.KeyMap[key] = key;
    io.KeysDown[key] = down;
    io.KeyCtrl = down;
#endif
}

}  // namespace

TEST_CASE("a note in six scripts is kept as it was typed") {
    test::KeyBench bench;
    if (!bench.can_run()) return;
    // Beyond 16 bits: a way to write the first ideograph of a common family name, a gull made of signs.
    const std::string note = "Zoë Łukasik, Κορμοράνος, Чайка, かもめ, النورس, 갈매기, 𠮷田, 🐦𠮷";
    bench.press(Action::note);
    REQUIRE(bench.core().writing());
    for (int frame = 0; frame < 12 && !bench.core().line_is_ready(); ++frame)
        bench.draw();
    REQUIRE(bench.core().line_is_ready());
    type(bench, note);
    bench.draw();
    bench.core().key(key_enter, 0, false);
    const meet::Mark& mark = bench.session().state().marks().at(bench.session().selected());
    CHECK(mark.note == note);
}

TEST_CASE("letters that the window's type lacks are seen while they are typed, each as itself") {
    test::KeyBench bench;
    if (!bench.can_run()) return;
    const auto shown = [&](const std::string& text) {
        bench.press(Action::note);
        for (int frame = 0; frame < 12 && !bench.core().line_is_ready(); ++frame)
            bench.draw();
        type(bench, text);
        for (int frame = 0; frame < 3; ++frame)
            bench.draw();
        REQUIRE(bench.core().writing());
        CHECK(bench.core().views().entry->words() == text);
        bench.core().key(key_escape, 0, false);
        return bench.picture();
    };
    (void)shown("のの");  // what is drawn for the first time may take another frame
    const auto gull = shown("かもめ"), other = shown("めもか"), again = shown("かもめ");
    // With a sign for 'no such letter' in their places the two would be alike.
    CHECK(pixels_that_differ(gull, other) > 60);
    CHECK(pixels_that_differ(gull, again) == 0);
}

TEST_CASE("what is pasted into a line or copied out of it keeps every letter") {
    test::KeyBench bench;
    if (!bench.can_run()) return;
    ImGuiIO& io = ImGui::GetIO();
    static std::string board;
    io.GetClipboardTextFn = [](void*) { return board.c_str(); };
    io.SetClipboardTextFn = [](void*, const char* text) { board = text; };
    const std::string note = "𠮷田 🐦 \uE000\uFDD0 gull";  // two are for private use and no letter at all
    board = note;
    bench.press(Action::note);
    for (int frame = 0; frame < 12 && !bench.core().line_is_ready(); ++frame)
        bench.draw();
    const auto with_control = [&](ImGuiKey key) {
        for (const bool down : {true, false}) {
            press_in_toolkit(key, down);
            bench.draw();
        }
        bench.draw();
    };
    with_control(ImGuiKey_V);
    CHECK(bench.core().views().entry->words() == note);
    board.clear();
    with_control(ImGuiKey_A);
    with_control(ImGuiKey_C);
    CHECK(board == note);
    bench.core().key(key_enter, 0, false);
    CHECK(bench.session().state().marks().at(bench.session().selected()).note == note);
    // Written again it begins with what it was.
    bench.press(Action::note);
    CHECK(bench.core().views().entry->words() == note);
    bench.core().key(key_escape, 0, false);
}

TEST_CASE("a line has stand-ins for 32 letters and says where there are more") {
    FieldLetters letters;
    std::u32string seen;
    for (char32_t letter = 0x20000; letter < 0x20020; ++letter)
        seen += letters.for_field(letter);
    CHECK(std::set<char32_t>(seen.begin(), seen.end()).size() == 32);
    CHECK(*std::max_element(seen.begin(), seen.end()) < 0x10000);
    CHECK(letters.for_field(char32_t{0x20020}) == 0xFFFD);
    CHECK(letters.for_field(char32_t{0x20005}) == seen[5]);
    CHECK(letters.for_field(U'Z') == U'Z');
    CHECK(letters.meant(letters.for_field("a𠀀b𠀟")) == "a𠀀b𠀟");
}
