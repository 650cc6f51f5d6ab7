// Pictures: the same to the byte from run to run and with any number of threads; bounds that let the
// encoder's loss pass and catch a small real change.
#include <catch2/catch.hpp>
#include <filesystem>
#include <map>

#include "clip_file.h"
#include "digest.h"
#include "meet_files.h"
#include "sound.h"
#include "test_views.h"

using namespace plumbmark::scene;

TEST_CASE("A frame has the same bytes with one thread and with three, in any order, and after other frames") {
    const Run& run = runs().front();
    const View view = small_view();
    const Stage one = render_stage(view.camera, 1);
    const Stage three = render_stage(view.camera, 3);
    REQUIRE(one.light == three.light);
    FrameRenderer fresh(run, view, one);
    FrameRenderer used(run, view, three);
    (void)used.render({6'300'000'000}, 4);
    (void)used.render({2'100'000'000}, 9);
    const Picture a = fresh.render({2'300'000'000}, 5);
    const Picture b = used.render({2'300'000'000}, 5);
    REQUIRE(crc32_of(a) == crc32_of(b));
    REQUIRE(a.y == b.y);
}

TEST_CASE("The athlete in the picture is where the camera projects the body, and casts a shadow") {
    const Run& run = runs().front();
    View view = small_view();
    view.noise = 0;
    const Stage stage = render_stage(view.camera, 2);
    const Picture empty = developed(stage.light, view.camera.width, view.camera.height, 1, 0, 0);
    FrameRenderer renderer(run, view, stage);
    const double t = 0.9;
    const Picture with = renderer.render(to_time(t), 0);
    const auto differs = [&](Vec3 p) {
        const auto at = project(view.camera, p);
        const auto i = static_cast<std::size_t>(at->y) * static_cast<std::size_t>(view.camera.width) +
                       static_cast<std::size_t>(at->x);
        return int{with.y[i]} - int{empty.y[i]};
    };
    const Skeleton s = skeleton_of(run.moves.posture(t));
    REQUIRE(std::abs(differs(s.head)) > 8);
    REQUIRE(std::abs(differs((s.hip[0] + s.hip[1]) * 0.5)) > 8);
    // The lamps hang before and after the athlete along the course, so the deck beside the feet is darker.
    REQUIRE(differs({s.ankle[0].x - 0.05, 0.28, layout().pier_top}) < -4);
    // Far away nothing changes.
    REQUIRE(differs({2.9, -1.0, 0.0}) == 0);
}

namespace {

// Writes a short clip of a view, doctored: take(i) says which rendered frame stands in place of frame i.
CheckReport check_doctored(const Run& run, const View& told, const View& filmed,
                           const std::function<std::size_t(std::size_t)>& take) {
    const std::string path = (std::filesystem::temp_directory_path() / "pier-nine-doctored.mp4").string();
    const Stage stage = render_stage(told.camera, 2);
    const auto ticks = told.ticks();
    auto writer = ClipWriter::create(path, told, std::vector<std::int16_t>(4800));
    REQUIRE(writer.ok());
    FrameRenderer renderer(run, filmed, stage);
    FrameRenderer honest(run, told, stage);
    ClipDigest digest;
    for (std::size_t i = 0; i < ticks.size(); ++i) {
        digest.pictures_crc32.push_back(
            hex(crc32_of(honest.render(told.run_time(ticks[i]), static_cast<std::uint32_t>(i)))));
        const std::size_t from = take(i);
        if (from == SIZE_MAX) continue;
        REQUIRE((*writer)
                    ->add(renderer.render(filmed.run_time(ticks[from]), static_cast<std::uint32_t>(from)),
                          ticks[i])
                    .ok());
    }
    REQUIRE((*writer)->finish().ok());
    CheckReport report = check_clip(run, told, stage, path, digest, 2, 2);
    std::filesystem::remove(path);
    return report;
}

}  // namespace

TEST_CASE(
    "An honest clip passes the check; one frame late, one frame missing, one frame twice or a moved athlete "
    "does not") {
    const Run& run = runs().front();
    View view = small_view();
    view.from = {2'000'000'000};
    view.offset = {-2'000'000'000};
    view.to = {2'150'000'000};
    const auto same = [](std::size_t i) { return i; };
    const CheckReport honest = check_doctored(run, view, view, same);
    INFO(honest.least_psnr << " dB, block " << honest.worst_block << ", colour " << honest.worst_colour);
    REQUIRE(honest.faults.empty());
    REQUIRE(honest.compared >= 5);

    REQUIRE_FALSE(
        check_doctored(run, view, view, [](std::size_t i) { return i == 4 ? 3U : i; }).faults.empty());
    REQUIRE_FALSE(
        check_doctored(run, view, view, [](std::size_t i) { return i == 4 ? SIZE_MAX : i; }).faults.empty());
    REQUIRE_FALSE(
        check_doctored(run, view, view, [](std::size_t i) { return i == 0 ? i : i - 1; }).faults.empty());
    // Filmed 5 ms late: the athlete stands a pixel or two further on.
    View late = view;
    late.offset.ns -= 5'000'000;
    REQUIRE_FALSE(check_doctored(run, view, late, same).faults.empty());
}

TEST_CASE("One frame late is told even while the athlete stands still, by the fan in the wall") {
    const Run& run = runs().front();
    const View view = long_side_view("still");
    const Stage stage = render_stage(view.camera, 2);
    View still = view;
    still.noise = 0;
    FrameRenderer renderer(run, still, stage);
    const Picture now = renderer.render({700'000'000}, 0);
    const Picture later = renderer.render({716'666'667}, 1);
    REQUIRE(difference_of(now, later).worst_block > kMostBlock);
}
