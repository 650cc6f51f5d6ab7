// A line being written takes every script, and shows what is typed although the window's own type lacks its
// letters.
#include <algorithm>
#include <catch2/catch.hpp>

#include "base/text.h"
#include "desk/key_bench.h"

using namespace plumbmark;
using namespace plumbmark::desk;

namespace {

/// As the window hands letters on: first to the desk, then to the toolkit's field.
void type(test::KeyBench& bench, const std::string& text) {
    for (const char32_t letter : base::code_points(text)) {
        bench.core().key(0, 0, false);  // a key that has no name on this board
        if (bench.core().text(static_cast<unsigned>(letter)))
            ImGui::GetIO().AddInputCharacter(static_cast<unsigned>(letter));
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

}  // namespace

TEST_CASE("a note in six scripts is kept as it was typed") {
    test::KeyBench bench;
    if (!bench.can_run()) return;
    const std::string note = "Zoë Łukasik, Κορμοράνος, Чайка, かもめ, النورس, 갈매기";
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
        CHECK(std::string(bench.core().views().entry->text.data()) == text);
        bench.core().key(key_escape, 0, false);
        return bench.picture();
    };
    (void)shown("のの");  // what is drawn for the first time may take another frame
    const auto gull = shown("かもめ"), other = shown("めもか"), again = shown("かもめ");
    // With a sign for 'no such letter' in their places the two would be alike.
    CHECK(pixels_that_differ(gull, other) > 60);
    CHECK(pixels_that_differ(gull, again) == 0);
}
