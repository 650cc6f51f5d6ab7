// plumbmark lens, by the built program: on boards that are drawn through a known lens, and on pictures of a
// real one.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "cli/program.h"
#include "media/still.h"
#include "sight/camera.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

namespace fs = std::filesystem;
using namespace plumbmark::sight;
using nlohmann::json;
using plumbmark::test::Answer;
using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::kSamples;
using plumbmark::test::run;
using plumbmark::test::TemporaryFolder;
using plumbmark::test::write_bytes;

constexpr double kSquare = 0.025;
const Lens kTruth{480, 360, 430, 430, 244, 175, 0, -0.12, 0.03};

/// The board has 10 by 7 squares about the origin of its plane, with as much white around it.
double brightness(double x, double y) {
    const double column = std::floor(x / kSquare + 5), row = std::floor(y / kSquare + 3.5);
    if (column < 0 || column > 9 || row < 0 || row > 6) return 225;
    return std::fmod(column + row, 2) == 0 ? 35 : 225;
}

/// What the camera sees of the board, four rays to a pixel.
void draw(const fs::path& file, const Pose& pose) {
    const Camera camera{kTruth, pose};
    plumbmark::media::RgbaImage image{kTruth.width, kTruth.height, {}};
    for (int y = 0; y < image.height; ++y)
        for (int x = 0; x < image.width; ++x) {
            double sum = 0;
            for (const auto& [dx, dy] : {std::pair{.25, .25}, {.75, .25}, {.25, .75}, {.75, .75}}) {
                const auto ray = ray_through(camera, {x + dx, y + dy});
                const double along = ray ? -ray->start.z / ray->direction.z : -1;
                sum += along > 0 ? brightness(ray->start.x + along * ray->direction.x,
                                              ray->start.y + along * ray->direction.y)
                                 : 120;
            }
            const auto grey = static_cast<std::uint8_t>(std::lround(sum / 4));
            image.pixels.insert(image.pixels.end(), {grey, grey, grey, 255});
        }
    const auto bytes = plumbmark::media::encode_png(image);
    REQUIRE(bytes);
    write_bytes(file, std::string(bytes->begin(), bytes->end()));
}

/// Six boards at slants of about 30 degrees, all over the picture.
std::string drawn_boards(const fs::path& folder) {
    const std::pair<Vec3, Vec3> poses[]{{{0.5, 0, 0}, {0, 0, 0.42}},
                                        {{-0.5, 0.1, 0.1}, {0.05, 0.03, 0.40}},
                                        {{0, 0.55, 0}, {-0.07, -0.05, 0.42}},
                                        {{0.1, -0.55, 0.05}, {0.07, -0.05, 0.43}},
                                        {{0.4, 0.4, 0.2}, {-0.06, 0.05, 0.44}},
                                        {{-0.4, -0.4, -0.1}, {0.06, 0.05, 0.45}}};
    std::string names;
    int number = 0;
    for (const auto& [axis, at] : poses) {
        const fs::path file = folder / ("board-" + std::to_string(++number) + ".png");
        draw(file, {turning(axis), at});
        names += " '" + file.string() + "'";
    }
    return names;
}

}  // namespace

TEST_CASE("a lens is measured from boards that were drawn through it and serves a points file") {
    const TemporaryFolder folder;
    const std::string pictures = drawn_boards(folder.path());
    const std::string call = "lens --board 9x6 --square 25 --name 'camera B'" + pictures;
    const json told = json::parse(good(call + " --json"));
    CHECK(told["format"] == "plumbmark-lens/1");
    CHECK(told["name"] == "camera B");
    CHECK(told["picture_px"] == json::array({480, 360}));
    CHECK(told["board"]["square_m"] == 0.025);
    CHECK(told["rms_px"].get<double>() < 0.2);
    CHECK(told["redundancy"] == 2 * 6 * 54 - 6 * 6 - 5);
    // Corners that are found in drawn pictures are off alike in neighbours; so beside what is stated there is
    // a twentieth of a pixel, or of a percent.
    const auto near = [&](const char* number, double truth, double allowed) {
        const double found = told["lens"][number], standard = told["lens"]["standard"][number];
        INFO(number << " " << found << " +- " << standard);
        CHECK(standard > 0);
        CHECK(std::abs(found - truth) < 4 * standard + allowed);
        CHECK(4 * standard < 0.03 * std::max(10.0, std::abs(truth)));
    };
    near("fx", kTruth.fx, 0.2);
    near("cx", kTruth.cx, 0.1);
    near("cy", kTruth.cy, 0.1);
    near("k1", kTruth.k1, 0.002);
    CHECK(told["lens"]["p1"] == 0);
    CHECK(told["lens"]["standard"]["p1"] == 0);
    CHECK(told["lens"]["fx"] == told["lens"]["fy"]);
    REQUIRE(told["covariance"]["rows"].size() == 10);
    const double variance = told["covariance"]["rows"][0][0];
    CHECK(std::sqrt(variance) == Approx(told["lens"]["standard"]["fx"].get<double>()));
    REQUIRE(told["pictures"].size() == 6);
    for (const json& picture : told["pictures"]) {
        CHECK(picture["found"] == true);
        CHECK(picture["seen_px"].size() == 54);
        CHECK(picture["residuals_px"].size() == 54);
    }
    const std::string words = good(call);
    CHECK(has(words, "board-6.png: board found, 54 corners\n"));
    CHECK(has(words, "camera B, pictures of 480 x 360 px: 6 with the board, "));
    const std::string block = told["points_lens"];
    CHECK(has(words, block));
    // The block in a points file of the larger pictures of the same camera.
    std::string points = "picture = [960, 720]\npointing = 1\ntolerance = 0.005\n";
    Lens larger = *rescaled(kTruth, 960, 720);
    const Camera camera{larger, {turning({1.9, 0, 0}), {-1, 0.3, 4}}};
    int number = 0;
    for (const Vec3 at :
         {Vec3{0, 0, 0}, {1.2, 0, 0}, {1.2, 1, 0}, {0, 1, 0.3}, {2, 0.5, 0.8}, {0.6, 0.5, 0.4}}) {
        const auto seen = project(camera, at);
        REQUIRE(seen);
        points += "[[place]]\nname = \"mark " + std::to_string(++number) + "\"\nat = [" +
                  std::to_string(at.x) + ", " + std::to_string(at.y) + ", " + std::to_string(at.z) +
                  "]\nseen = [" + std::to_string(seen->x) + ", " + std::to_string(seen->y) + "]\n";
    }
    write_bytes(folder / "points.toml", points + block);
    const json found = json::parse(good("camera --json '" + (folder / "points.toml").string() + "'"));
    CHECK(found["lens_from"] == "measured");
    const Vec3 truth = centre(camera);
    const double truths[]{truth.x, truth.y, truth.z};
    for (std::size_t i = 0; i < 3; ++i)
        CHECK(std::abs(found["camera"]["centre_m"][i].get<double>() - truths[i]) <
              4 * found["camera"]["centre_standard_m"][i].get<double>());
}

TEST_CASE("pictures without the board are told and too few of them are refused") {
    const TemporaryFolder folder;
    const std::string pictures = drawn_boards(folder.path());
    plumbmark::media::RgbaImage plain{480, 360, std::vector<std::uint8_t>(480UL * 360 * 4, 200)};
    const auto bytes = plumbmark::media::encode_png(plain);
    REQUIRE(bytes);
    write_bytes(folder / "wall.png", std::string(bytes->begin(), bytes->end()));
    const std::string wall = " '" + (folder / "wall.png").string() + "'";
    const std::string call = "lens --board 9x6 --square 25";
    const json told = json::parse(good(call + wall + pictures + " --json"));
    REQUIRE(told["pictures"].size() == 7);
    CHECK(told["pictures"][0]["found"] == false);
    CHECK_FALSE(told["pictures"][0]["why_not"].get<std::string>().empty());
    CHECK(told["pictures"][1]["found"] == true);
    const Answer alone = run(call + wall);
    CHECK(alone.code == 3);
    CHECK(has(alone.words, "wall.png: "));
    const Answer other_board = run("lens --board 8x5 --square 25" + pictures);
    CHECK(other_board.code == 3);
}

TEST_CASE("a lens is not measured from what is no board or no picture") {
    const TemporaryFolder folder;
    const auto ends = [&](const std::string& arguments, int code, const std::string& words) {
        const Answer answer = run("lens " + arguments);
        CHECK(answer.code == code);
        CHECK(has(answer.words, words));
    };
    const std::string board = " --board 9x6 --square 25 ";
    ends(board + "'" + (folder / "none.png").string() + "'", 4, "none.png");
    ends(board + "'" + kSamples + "/run-2-a.mp4'", 3, "This is a clip of ");
    ends("--board 9by6 --square 25 x.png", 3, "plumbmark: --board: '9by6' is no board;");
    ends("--board 9x61 --square 25 x.png", 3, "'9x61' is no board;");
    ends("--board 9x6 --square 0 x.png", 2, "--square");
    ends("--board 9x6 --square 25", 2, "PICTURES");
    ends(board + "--terms k9 x.png", 2, "--terms");
    draw(folder / "one.png", {turning({0.5, 0, 0}), {0, 0, 0.42}});
    const std::string one = "'" + (folder / "one.png").string() + "' ";
    ends(board + one + one, 3, "This picture is named twice");
    plumbmark::media::RgbaImage small{64, 48, std::vector<std::uint8_t>(64UL * 48 * 4, 200)};
    const auto bytes = plumbmark::media::encode_png(small);
    REQUIRE(bytes);
    write_bytes(folder / "small.png", std::string(bytes->begin(), bytes->end()));
    ends(board + one + "'" + (folder / "small.png").string() + "'", 3,
         "This picture has 64 x 48 pixels, the first one 480 x 360");
}

TEST_CASE("a real board tells the lens that another program's file has for it") {
    const fs::path shared = plumbmark::test::shared_folder() / "clips/geometry/chessboard-left";
    if (!fs::exists(shared)) {
        WARN("skipped: the pictures of a board are not beside the project");
        return;
    }
    // left_intrinsics.yml beside the pictures (OpenCV's sample data): focal length 535.916, principal point
    // 342.283, 235.571 counted from the first pixel's middle. Its corners were found by another method.
    const Answer answer = run("lens --json --board 9x6 --square 25 --terms 'k1 k2 p1 p2 k3' '" +
                              shared.string() + "'/left*.jpg");
    INFO(answer.words);
    REQUIRE((answer.code == 0 || answer.code == 1));
    const json told = json::parse(answer.words);
    CHECK(told["pictures"].size() == 13);
    CHECK(told["lens"]["fx"].get<double>() == Approx(535.916).epsilon(0.01));
    CHECK(std::abs(told["lens"]["cx"].get<double>() - 342.783) < 3);
    CHECK(std::abs(told["lens"]["cy"].get<double>() - 236.071) < 3);
    CHECK(told["rms_px"].get<double>() < 0.5);
}
