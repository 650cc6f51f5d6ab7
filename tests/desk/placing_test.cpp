// The page of where to put a camera: what its keys ask for, the map that comes, and how it is drawn.
#include <chrono>
#include <cmath>
#include <set>
#include <thread>

#include "course/read.h"
#include "desk/internal/placing_desk.h"
#include "desk/internal/placing_map.h"
#include "desk/key_bench.h"
#include "desk/screen.h"
#include "support/file_bytes.h"

using namespace plumbmark;
using namespace plumbmark::desk;
using test::KeyBench;

namespace {

/// The sample's course, with a second plane.
course::CourseBook pier_nine() {
    std::string text = test::bytes_of(test::source_folder() / "sample_clips/pier-nine.course");
    const std::string planes = "[planes]\n";
    text.insert(text.find(planes) + planes.size(), "quay_front = \"front plane of the quay deck\"\n");
    text += "quay_front = { line = [[9.3, -0.62], [9.3, 0.62]], past = [9.5, 0] }\n";
    auto read = course::read_book_or_error(text, "pier-nine.course");
    INFO((read ? "" : read.error().text()));
    REQUIRE(read);
    return *read;
}

/// Until there is a map, be it a rough one.
void wait_for_map(PlacingDesk& desk, const course::CourseBook& book, const PlacingView& view) {
    for (int i = 0; i < 60'000 && desk.map() == nullptr && !desk.trouble(); ++i) {
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
        desk.update(&book, view);
    }
    REQUIRE(desk.map() != nullptr);
}

struct Page {
    course::CourseBook book = pier_nine();
    PlacingView view;
    PlacingDesk desk{{}};
    Page() {
        desk.update(&book, view);
        wait_for_map(desk, book, view);
    }
    void key(int key, int mods = 0) { CHECK(placing_key(view, desk, 2, key, mods)); }
};

std::set<std::size_t> steps_of(const report::PlacingPicture& picture) {
    std::set<std::size_t> out;
    for (const double width : picture.widths)
        out.insert(static_cast<std::size_t>(report::placing_step(width, picture.bound)));
    return out;
}

}  // namespace

TEST_CASE("a map comes roughly at first and another bound works nothing out anew") {
    Page page;
    CHECK(page.desk.placing()->plane == "front plane of the gantry deck");
    // The rough map is there in a tenth of the time, and the fine one is still being worked out.
    CHECK(page.desk.map()->each.size() * 6 < page.desk.placing()->plan.floor.count());
    CHECK(page.desk.working());
    CHECK(page.desk.progress() < 1);
    const sight::PlacingMap* map = page.desk.map();
    const report::PlacingPicture before = page.desk.picture(page.view);
    page.key(key_down);
    CHECK(kPlacingBounds[page.view.bound] == 0.02);
    page.key(' ');
    CHECK(page.view.wanted == sight::Wanted::in_air);
    page.key(' ');
    CHECK(page.view.wanted == sight::Wanted::on_level);
    page.desk.update(&page.book, page.view);
    if (page.desk.working()) CHECK(page.desk.map() == map);
    const report::PlacingPicture after = page.desk.picture(page.view);
    CHECK(after.bound == 0.02);
    const bool others = after.widths != before.widths;
    CHECK(others);
    CHECK(steps_of(before).size() >= 3);
    // Closed before it is whole: nothing is kept, and nobody works on.
    page.desk.close();
    CHECK_FALSE(page.desk.working());
    CHECK(page.desk.map() == nullptr);
    CHECK(page.desk.placing() == nullptr);
}

TEST_CASE("another plane or height or lens asks for a map anew") {
    Page page;
    page.key(key_right);
    page.desk.update(&page.book, page.view);
    CHECK(page.desk.map() == nullptr);
    CHECK(page.desk.working());
    CHECK(page.desk.placing()->plane == "front plane of the quay deck");
    // Without a map the plan is shown, and its floor.
    CHECK(page.desk.picture(page.view).widths.empty());
    CHECK(page.desk.picture(page.view).x_to > 18);
    wait_for_map(page.desk, page.book, page.view);
    page.key(key_right);
    CHECK(page.view.plane == 0);
    page.key(key_left);
    CHECK(page.view.plane == 1);
    page.key(key_up, kShift);
    CHECK(page.view.height == Approx(1.7));
    page.desk.update(&page.book, page.view);
    CHECK(page.desk.placing()->wish.camera_height == Approx(1.7));
    page.key('L');
    page.desk.update(&page.book, page.view);
    CHECK(review::degrees_across(page.desk.placing()->wish) == Approx(80));
    page.key('L', kShift);
    page.key('L', kShift);
    CHECK(placing_lens_words(page.view) == "50° wide, not measured");
}

TEST_CASE("what is asked for stays within its bounds") {
    PlacingView view;
    for (int i = 0; i < 30; ++i)
        change_placing_bound(view, 1);
    CHECK(kPlacingBounds[view.bound] == 0.2);
    for (int i = 0; i < 30; ++i)
        change_placing_bound(view, -1);
    CHECK(kPlacingBounds[view.bound] == 0.01);
    for (int i = 0; i < 300; ++i)
        change_placing_height(view, 1);
    CHECK(view.height == Approx(12));
    for (int i = 0; i < 300; ++i)
        change_placing_height(view, -1);
    CHECK(view.height == Approx(0.1));
    meet::CameraLens lens;
    lens.camera = "phone at the pier end";
    lens.width = 1280;
    lens.height = 720;
    lens.fx = lens.fy = 640;
    lens.cx = 640;
    lens.cy = 360;
    view.lenses = {lens};
    view.lens = kPlacingAcross.size() - 1;
    change_placing_lens(view, 1);
    CHECK(placing_lens_words(view) == "phone at the pier end");
    CHECK(placing_wish(pier_nine(), view).knowledge == sight::LensKnowledge::measured);
    change_placing_lens(view, 1);
    CHECK(view.lens == 0);
}

TEST_CASE("the cursor goes through the best places and from cell to cell and stays on the floor") {
    Page page;
    CHECK_FALSE(page.view.cursor);
    page.key(key_tab);
    REQUIRE(page.view.cursor);
    const auto best = page.desk.picture(page.view).best;
    REQUIRE(best.size() > 1);
    CHECK(page.view.cursor->x == best[0].at[0]);
    CHECK(page.view.cursor->y == best[0].at[1]);
    page.key(key_tab);
    CHECK(page.view.cursor->y == best[1].at[1]);
    page.key(key_tab, kShift);
    CHECK(page.view.cursor->y == best[0].at[1]);
    CHECK(placing_worth_words(page.desk, *page.view.cursor).find(best[0].says.english()) !=
          std::string::npos);
    const sight::FloorGrid& floor = page.desk.map()->floor;
    const double cell = (floor.x_to - floor.x_from) / floor.columns;
    const double x = page.view.cursor->x;
    page.key(key_right, kCtrl);
    CHECK(page.view.cursor->x == Approx(x + cell));
    CHECK(page.view.best == -1);
    for (int i = 0; i < 40; ++i) {
        page.key(key_right, kCtrl | kShift);
        page.key(key_up, kCtrl | kShift);
    }
    CHECK(cell_at(floor, *page.view.cursor) == floor.count() - 1);
    for (int i = 0; i < 40; ++i) {
        page.key(key_left, kCtrl | kShift);
        page.key(key_down, kCtrl | kShift);
    }
    CHECK(cell_at(floor, *page.view.cursor) == 0U);
    CHECK(cell_at(floor, {floor.x_to + 1, 0}) == std::nullopt);
    CHECK(placing_worth_words(page.desk, {floor.x_to + 1, 0}).empty());
}

TEST_CASE("a second camera is asked for to one at the cursor and let go by the same key") {
    Page page;
    page.key(key_tab);
    page.key('S');
    REQUIRE(page.view.first);
    CHECK(page.view.first == page.view.cursor);
    page.desk.update(&page.book, page.view);
    CHECK(page.desk.map() == nullptr);
    wait_for_map(page.desk, page.book, page.view);
    CHECK(page.desk.picture(page.view).first.has_value());
    page.key('S');
    CHECK_FALSE(page.view.first);
    // One that stands over the plane tells nothing: it is said why.
    page.view.first = sight::FloorPlace{6.25, 0};
    page.desk.update(&page.book, page.view);
    for (int i = 0; i < 60'000 && !page.desk.trouble(); ++i) {
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
        page.desk.update(&page.book, page.view);
    }
    REQUIRE(page.desk.trouble());
    CHECK(page.desk.trouble()->text().find("The camera would stand over the plane.") != std::string::npos);
    CHECK_FALSE(page.desk.working());
}

TEST_CASE("each step is drawn in its ground with a dot or a stroke") {
    constexpr int kSide = 64;
    const auto screen = test::screen_or_skip(kSide);
    if (!screen) return;
    const Look look;  // without an atlas of its own dots are drawn as circles
    for (const report::PlacingStep step : report::kPlacingSteps) {
        const auto image = screen->drawn([&](ImDrawList* list) {
            draw_placing_step(look, step, {0, 0, kSide, kSide / 2}, list);
        });
        const report::PlacingLook& shape = report::placing_look(step);
        const auto is = [&](int x, int y, std::uint32_t colour) {
            const std::uint8_t* at = test::pixel(image, x, y);
            const Colour wanted = rgb(colour);
            return at[0] == wanted.r && at[1] == wanted.g && at[2] == wanted.b;
        };
        INFO(static_cast<int>(step));
        CHECK(is(3, 3, shape.ground));
        int marked = 0;
        for (int y = 2; y < kSide / 2 - 2; ++y)
            for (int x = 2; x < kSide / 2 - 2; ++x)
                marked += is(x, y, shape.mark) ? 1 : 0;
        const double cell = kSide / 2.0, area = 3.14159 * std::pow(shape.dot * cell, 2);
        // An edge's pixels are between the two colours.
        CHECK(marked > area * 0.5);
        if (shape.dot > 0) {
            CHECK(marked < area * 1.1 + 2);
            CHECK(is(kSide / 4, kSide / 4, shape.mark));
        } else {
            CHECK(marked < cell * 3);
        }
    }
}

TEST_CASE("the page of where to put a camera is opened and driven and closed with keys alone") {
    KeyBench bench({1280, 760});
    if (!bench.can_run()) return;
    const auto at_first = bench.picture();
    bench.press(Action::placing);
    REQUIRE(bench.core().views().page.kind == PageKind::placing);
    // The sample's run was in hand at that plane.
    CHECK(bench.core().placing().placing()->plane == "front plane of the gantry deck");
    for (int i = 0; i < 60'000 && bench.core().placing().map() == nullptr; ++i) {
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
        bench.core().update(1);
    }
    REQUIRE(bench.core().placing().map() != nullptr);
    bench.draw();
    const auto with_map = bench.picture();
    bench.core().key(key_tab, 0, false);
    CHECK(bench.core().views().placing.cursor);
    bench.core().key(key_up, 0, false);
    CHECK(bench.core().views().placing.bound == 3);
    bench.draw();
    const bool changed = bench.picture().pixels != with_map.pixels;
    CHECK(changed);
    // The darkest ground is on the screen, and the page covers what is below it.
    const Colour best = rgb(report::placing_look(report::PlacingStep::within).ground);
    int shown = 0;
    for (std::size_t i = 0; i + 3 < with_map.pixels.size(); i += 4)
        shown += with_map.pixels[i] == best.r && with_map.pixels[i + 1] == best.g &&
                         with_map.pixels[i + 2] == best.b
                     ? 1
                     : 0;
    CHECK(shown > 100);
    // A key of the run's review does nothing beneath the page.
    const auto changes = bench.session().changes();
    bench.press(Action::touch);
    CHECK(bench.session().changes() == changes);
    bench.press(Action::let_go);
    CHECK(bench.core().views().page.kind == PageKind::none);
    CHECK_FALSE(bench.core().placing().working());
    bench.press(Action::placing);
    bench.press(Action::placing);
    CHECK(bench.core().views().page.kind == PageKind::none);
}
