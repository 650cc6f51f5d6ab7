// plumbmark camera, by the built program: on places that a known camera projects, on a published view, and on
// files that do not say what they should.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <random>

#include "cli/internal/camera_told.h"
#include "cli/program.h"
#include "sight/calibrate.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using plumbmark::sight::CalibratedCamera;
using plumbmark::sight::Camera;
using plumbmark::sight::Pixel;
using plumbmark::sight::Vec3;
using plumbmark::test::Answer;
using plumbmark::test::bytes_of;
using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::run;
using plumbmark::test::TemporaryFolder;
using plumbmark::test::write_bytes;

struct Measured {
    std::string name;
    Vec3 at;
};

/// Two decks of the hall, 30 cm apart in height.
const std::vector<Measured> kDecks{
    {"pier deck, corner 1", {0, 0, 0.8}},     {"pier deck, corner 2", {1.2, 0, 0.8}},
    {"pier deck, corner 3", {1.2, 1.2, 0.8}}, {"pier deck, corner 4", {0, 1.2, 0.8}},
    {"coil deck, corner 1", {3, 0, 0.5}},     {"coil deck, corner 2", {4.2, 0, 0.5}},
    {"coil deck, corner 3", {4.2, 1.2, 0.5}}, {"coil deck, corner 4", {3, 1.2, 0.5}}};

const Vec3 kStands{1.5, -6, 2.2};
constexpr double kFocal = 1500;

Camera looking(Vec3 from, Vec3 to, double focal) {
    using namespace plumbmark::sight;
    const Vec3 ahead = unit(to - from), right = unit(cross(ahead, {0, 0, 1})), down = cross(ahead, right);
    Camera camera;
    camera.lens = {1920, 1080, focal, focal, 960, 540};
    camera.pose.turn = {{{right.x, right.y, right.z}, {down.x, down.y, down.z}, {ahead.x, ahead.y, ahead.z}}};
    camera.pose.shift = -1 * (camera.pose.turn * from);
    return camera;
}

Camera hall_camera() {
    return looking(kStands, {2, 0.5, 0.6}, kFocal);
}

std::string top(double pointing, double tolerance, int width = 1920, int height = 1080) {
    return "picture = [" + std::to_string(width) + ", " + std::to_string(height) +
           "]\npointing = " + std::to_string(pointing) + "\ntolerance = " + std::to_string(tolerance) + "\n";
}

std::string list_of(std::initializer_list<double> numbers) {
    std::string text;
    for (const double number : numbers) {
        char digits[40];
        std::snprintf(digits, sizeof digits, "%s%.10g", text.empty() ? "[" : ", ", number);
        text += digits;
    }
    return text + "]";
}

std::string place(const std::string& name, Vec3 at, Pixel seen, const std::string& more = "") {
    return "[[place]]\nname = \"" + name + "\"\nat = " + list_of({at.x, at.y, at.z}) +
           "\nseen = " + list_of({seen.x, seen.y}) + "\n" + more;
}

/// Where the camera sees the decks' corners.
std::vector<Pixel> seen_by(const Camera& camera) {
    std::vector<Pixel> seen;
    for (const Measured& one : kDecks) {
        const auto at = project(camera, one.at);
        REQUIRE(at);
        seen.push_back(*at);
    }
    return seen;
}

std::string decks_seen_at(const std::vector<Pixel>& seen) {
    std::string text;
    for (std::size_t i = 0; i < kDecks.size(); ++i)
        text += place(kDecks[i].name, kDecks[i].at, seen[i]);
    return text;
}

/// A points file and the command on it.
struct Points {
    TemporaryFolder folder;
    std::string file = (folder / "points.toml").string();

    explicit Points(const std::string& text) { write_bytes(folder / "points.toml", text); }
    [[nodiscard]] Answer told(const std::string& options = "") const {
        return run("camera '" + file + "'" + options);
    }
    [[nodiscard]] json as_json(const std::string& options = "") const {
        const Answer answer = told(" --json" + options);
        INFO(answer.words);
        REQUIRE((answer.code == 0 || answer.code == 1));
        return json::parse(answer.words);
    }
};

Vec3 vec_of(const json& list) {
    return {list[0], list[1], list[2]};
}

/// The example that the document gives.
std::string documented_example() {
    const std::string text = bytes_of((plumbmark::test::source_folder() / "docs/camera-points.md").string());
    const std::string fence = "```toml\n";
    const std::size_t begin = text.find(fence);
    REQUIRE(begin != std::string::npos);
    const std::size_t from = begin + fence.size();
    return text.substr(from, text.find("```", from) - from);
}

}  // namespace

TEST_CASE("a camera is found where it stands from places that were projected by it") {
    const Points points(top(1, 0.005) + decks_seen_at(seen_by(hall_camera())));
    const json told = points.as_json();
    CHECK(told["format"] == "plumbmark-camera/1");
    CHECK(told["lens_from"] == "focal");
    const Vec3 at = vec_of(told["camera"]["centre_m"]),
               standard = vec_of(told["camera"]["centre_standard_m"]);
    CHECK(length(at - kStands) < 0.02 * length(standard));
    CHECK(told["lens"]["focal_px"][0].get<double>() == Approx(kFocal).epsilon(0.002));
    CHECK(told["rms_px"].get<double>() < 0.01);
    CHECK(told["redundancy"] == 9);  // 16 equations, less 6 of the pose and one of the focal length
    CHECK(told["can_tell"] == true);
    CHECK(told["suspects"].empty());
    CHECK(told["widened"] == false);
    // Which way it looks, by the points that it was made to look from and to.
    const Vec3 ahead = Vec3{2, 0.5, 0.6} - kStands;
    const double degrees = 180 / std::acos(-1.0);
    CHECK(told["camera"]["bearing_deg"].get<double>() ==
          Approx(std::atan2(ahead.y, ahead.x) * degrees).margin(0.05));
    CHECK(told["camera"]["elevation_deg"].get<double>() ==
          Approx(std::atan2(ahead.z, std::hypot(ahead.x, ahead.y)) * degrees).margin(0.05));
    CHECK(std::abs(told["camera"]["roll_deg"].get<double>()) < 0.05);
    CHECK(told["camera"]["view_deg"][0].get<double>() ==
          Approx(2 * std::atan(960 / kFocal) * degrees).margin(0.2));
    const std::string words = good("camera '" + points.file + "'");
    CHECK(has(words, "The camera stands at x 1.5"));
    CHECK(has(words, "° down, not rolled"));
    CHECK(has(words, "coil deck, corner 4"));
    CHECK(has(words, "A wrong place would have been noticed."));
}

TEST_CASE("what a camera's place is off by stays within what is stated for it") {
    std::mt19937_64 dice(20);
    // Sums of twelve even numbers are near enough to normal ones, and the same everywhere.
    const auto even = [&] { return static_cast<double>(dice() >> 11) * 0x1p-53; };
    const auto normal = [&] {
        double sum = -6;
        for (int i = 0; i < 12; ++i)
            sum += even();
        return sum;
    };
    constexpr double kPointing = 1.5, kTolerance = 0.01;
    constexpr int kRounds = 12;
    double squares = 0;
    for (int round = 0; round < kRounds; ++round) {
        std::string text = top(kPointing, kTolerance);
        for (const Measured& one : kDecks) {
            const auto off = [&] { return kTolerance * (2 * even() - 1); };
            const Vec3 truth{one.at.x + off(), one.at.y + off(), one.at.z + off()};
            const auto at = project(hall_camera(), truth);
            REQUIRE(at);
            text += place(one.name, one.at, {at->x + kPointing * normal(), at->y + kPointing * normal()});
        }
        const json told = Points(text).as_json();
        CHECK(told["suspects"].empty());
        const Vec3 off = vec_of(told["camera"]["centre_m"]) - kStands;
        const Vec3 standard = vec_of(told["camera"]["centre_standard_m"]);
        for (const double one : {off.x / standard.x, off.y / standard.y, off.z / standard.z}) {
            CHECK(std::abs(one) < 4);
            squares += one * one;
        }
    }
    // Of 36 such numbers, three to a round and not independent, the mean square is 1 but for its own scatter.
    CHECK(squares / (3 * kRounds) > 0.25);
    CHECK(squares / (3 * kRounds) < 2.5);
}

TEST_CASE("corners that were pointed at by each other's name are named and end with 1") {
    std::vector<Pixel> seen = seen_by(hall_camera());
    std::swap(seen[6], seen[7]);
    const Points points(top(1, 0.005) + decks_seen_at(seen));
    const Answer answer = points.told();
    CHECK(answer.code == 1);
    CHECK(has(answer.words, "'coil deck, corner 3' is "));
    CHECK(has(answer.words,
              " px off by what the others say; 'coil deck, corner 4' would be seen there: were "
              "they exchanged?\n"));
    CHECK(has(answer.words, "suspect, left out\n"));
    const json told = points.as_json();
    REQUIRE(told["suspects"].size() == 2);
    const json& first = told["suspects"][0];
    CHECK(first["residual"] == 6);
    CHECK(first["name"] == "coil deck, corner 3");
    CHECK(first["instead"] == "coil deck, corner 4");
    CHECK(first["exchanged"] == true);
    const double apart = std::hypot(seen[6].x - seen[7].x, seen[6].y - seen[7].y);
    CHECK(first["off_px"].get<double>() == Approx(apart).epsilon(0.01));
    CHECK(length(vec_of(told["camera"]["centre_m"]) - kStands) < 0.02);
}

TEST_CASE("a place that was pointed at wrongly is told apart from an exchanged one") {
    std::vector<Pixel> seen = seen_by(hall_camera());
    seen[5].x += 40;
    const Points points(top(1, 0.005) + decks_seen_at(seen));
    CHECK(has(points.told().words,
              "'coil deck, corner 2' is 40.0 px off by what the others say; was it pointed "
              "at where it is, and are its measures right?\n"));
    const json told = points.as_json();
    REQUIRE(told["suspects"].size() == 1);
    CHECK(told["suspects"][0]["instead"].is_null());
    CHECK(told["suspects"][0]["exchanged"] == false);
}

TEST_CASE("measures that do not go together are told though no single place is to blame") {
    std::vector<Pixel> seen = seen_by(hall_camera());
    for (std::size_t i = 0; i < seen.size(); ++i)
        seen[i].y += i % 2 == 0 ? 9 : -9;
    const Points points(top(0.5, 0) + decks_seen_at(seen));
    const Answer answer = points.told();
    CHECK(answer.code == 1);
    CHECK(has(answer.words, "They do not go together; the standard deviations have been made "));
    CHECK(has(answer.words, "No one or two places explain it"));
    const json told = points.as_json();
    CHECK(told["widened"] == true);
    CHECK(told["strain_chance"].get<double>() < 0.001);
    CHECK(told["suspects"].empty());
}

TEST_CASE("the example of the document is found where it was drawn from") {
    const Points points(documented_example());
    const json told = points.as_json(" --draws 2000");
    // The camera that the document names.
    const Vec3 off = vec_of(told["camera"]["centre_m"]) - Vec3{3.3, -5.4, 2.3};
    const Vec3 standard = vec_of(told["camera"]["centre_standard_m"]);
    CHECK(std::abs(off.x) < 3 * standard.x);
    CHECK(std::abs(off.y) < 3 * standard.y);
    CHECK(std::abs(off.z) < 3 * standard.z);
    CHECK(std::abs(told["lens"]["focal_px"][0].get<double>() - 1490) <
          3 * told["lens"]["focal_standard_px"].get<double>());
    // Its hidden corner is known by its two edges.
    CHECK(told["places"][2]["name"] == "coil deck, corner 3");
    CHECK(told["places"][2]["seen_px"].is_null());
    const auto hidden = project(looking({3.3, -5.4, 2.3}, {4.8, 0.1, 0.55}, 1490), {4.45, 0.62, 0.6});
    REQUIRE(hidden);
    CHECK(std::abs(told["places"][2]["expected_px"][0].get<double>() - hidden->x) < 6);
    CHECK(std::abs(told["places"][2]["expected_px"][1].get<double>() - hidden->y) < 6);
    CHECK(has(points.told().words, "hidden"));
}

TEST_CASE("the JSON holds everything that the command found") {
    const Points points(documented_example());
    const json told = points.as_json(" --draws 2000");
    CHECK(told["picture_px"] == json::array({1920, 1080}));
    REQUIRE(told["places"].size() == 8);
    CHECK(told["places"][7]["tolerance_m"] == 0.03);
    REQUIRE(told["residuals"].size() == 13);
    CHECK(told["residuals"][6]["kind"] == "place");
    CHECK(told["residuals"][7]["kind"] == "edge");
    CHECK(told["residuals"][7]["name"] == "coil deck, corner 2 - coil deck, corner 3");
    for (const json& one : told["residuals"]) {
        const double x = one["seen_px"][0].get<double>() - one["expected_px"][0].get<double>();
        const double y = one["seen_px"][1].get<double>() - one["expected_px"][1].get<double>();
        CHECK(one["off_px"].get<double>() == Approx(std::hypot(x, y)).margin(1e-6));
    }
    const std::size_t unknowns = 10 + 3 * 8;
    REQUIRE(told["covariance"]["unknowns"].size() == unknowns);
    CHECK(told["covariance"]["unknowns"][6] == "log_focal");
    CHECK(told["covariance"]["unknowns"][10] == "coil deck, corner 1: x");
    REQUIRE(told["covariance"]["rows"].size() == unknowns);
    for (std::size_t i = 0; i < unknowns; ++i) {
        REQUIRE(told["covariance"]["rows"][i].size() == unknowns);
        CHECK(told["covariance"]["rows"][i][i].get<double>() > 0);
    }
    const double focal = told["lens"]["focal_px"][0], log_variance = told["covariance"]["rows"][6][6];
    CHECK(told["lens"]["focal_standard_px"].get<double>() == Approx(focal * std::sqrt(log_variance)));
    // A place turned and shifted into the camera's axes and through its lens is where it is expected.
    Camera camera;
    const json& lens = told["lens"];
    camera.lens = {1920,
                   1080,
                   lens["focal_px"][0],
                   lens["focal_px"][1],
                   lens["centre_px"][0],
                   lens["centre_px"][1],
                   lens["skew_px"],
                   lens["radial"][0],
                   lens["radial"][1],
                   lens["decentring"][0],
                   lens["decentring"][1],
                   lens["radial"][2]};
    camera.pose.turn = told["camera"]["turn"].get<plumbmark::sight::Mat3>();
    camera.pose.shift = vec_of(told["camera"]["shift_m"]);
    for (const json& one : told["places"]) {
        const auto at = project(camera, vec_of(one["found_m"]));
        REQUIRE(at);
        CHECK(at->x == Approx(one["expected_px"][0].get<double>()).margin(1e-6));
        CHECK(at->y == Approx(one["expected_px"][1].get<double>()).margin(1e-6));
    }
    const json& draws = told["draws"];
    CHECK(draws["count"] == 2000);
    CHECK(draws["undefined"] == 0);
    const double x = told["camera"]["centre_m"][0], spread = told["camera"]["centre_standard_m"][0];
    CHECK(draws["centre_x_m"]["low"].get<double>() == Approx(x - 1.96 * spread).margin(0.3 * spread));
    CHECK(draws["centre_x_m"]["high"].get<double>() == Approx(x + 1.96 * spread).margin(0.3 * spread));
    CHECK(points.as_json()["draws"].is_null());
    CHECK(points.told(" --draws 2000 --json").words == points.told(" --draws 2000 --json").words);
    CHECK(run("camera '" + points.file + "' --draws 3").code == 2);
}

TEST_CASE("a lens that was measured makes the camera better known and may be of a larger picture") {
    const std::string decks = top(1, 0.005) + decks_seen_at(seen_by(hall_camera()));
    const json found = Points(decks).as_json();
    const json measured = Points(decks +
                                 "[lens]\nfocal = 3000\nfocal_standard = 6\ncentre = [1920, 1080]\n"
                                 "centre_standard = 2\nradial = [0]\nradial_standard = 0.001\n"
                                 "picture = [3840, 2160]\n")
                              .as_json();
    CHECK(measured["lens_from"] == "measured");
    CHECK(measured["lens"]["focal_px"][0].get<double>() == Approx(1500).margin(0.5));
    CHECK(measured["lens"]["focal_standard_px"].get<double>() < 3.01);
    CHECK(measured["lens"]["centre_standard_px"][0].get<double>() < 1.01);
    CHECK(length(vec_of(measured["camera"]["centre_standard_m"])) <
          0.5 * length(vec_of(found["camera"]["centre_standard_m"])));
    CHECK(length(vec_of(measured["camera"]["centre_m"]) - kStands) < 0.01);
}

TEST_CASE("what is left out of a measured lens is supposed and never makes the camera better known") {
    const std::string decks = top(1, 0.005) + decks_seen_at(seen_by(hall_camera()));
    const json focal = Points(decks + "[lens]\nfocal = 1500\nfocal_standard = 3\n").as_json();
    const json whole = Points(decks +
                              "[lens]\nfocal = 1500\nfocal_standard = 3\ncentre = [960, 540]\n"
                              "centre_standard = 1\nradial = [0]\nradial_standard = 0.001\n")
                           .as_json();
    CHECK(focal["camera"]["direction_standard_deg"]["sideways"].get<double>() >
          1.5 * whole["camera"]["direction_standard_deg"]["sideways"].get<double>());
}

TEST_CASE("a published view of a board is placed where it was published to be by the command as well") {
    const fs::path shared = plumbmark::test::shared_folder() / "checks/calibration";
    if (!fs::exists(shared)) {
        WARN("skipped: the published points are not beside the project");
        return;
    }
    const auto numbers = [&](const char* file) {
        std::ifstream in(shared / file);
        std::vector<double> out;
        for (double number = 0; in >> number;)
            out.push_back(number);
        REQUIRE(out.size() == 512);
        return out;
    };
    const std::vector<double> model = numbers("Model.txt"), seen = numbers("data1.txt");
    // Z. Zhang, 'A flexible new technique for camera calibration' (MSR-TR-98-71, 1998): lengths are inches,
    // which the file takes for metres.
    std::string text = top(0.35, 0, 640, 480);
    for (std::size_t i = 0; i < model.size(); i += 32)
        text += place("corner " + std::to_string(i / 2), {model[i], model[i + 1], 0}, {seen[i], seen[i + 1]});
    text +=
        "[lens]\nfocal = [832.5, 832.53]\nfocal_standard = 0\ncentre = [303.959, 206.585]\n"
        "centre_standard = 0\nskew = 0.204494\nradial = [-0.228601, 0.190353]\nradial_standard = 0\n";
    const json told = Points(text).as_json();
    CHECK(told["suspects"].empty());
    const Vec3 off = vec_of(told["camera"]["centre_m"]) - Vec3{5.2876, -2.4152, -12.5658};
    const Vec3 standard = vec_of(told["camera"]["centre_standard_m"]);
    CHECK(std::abs(off.x) < 4 * standard.x);
    CHECK(std::abs(off.y) < 4 * standard.y);
    CHECK(std::abs(off.z) < 4 * standard.z);
    CHECK(length(standard) < 0.2);
}

TEST_CASE("everything that is wrong in a points file is told at once with its line") {
    const Points points(
        "picture = [1920, 1080.5]\n"
        "pointing = 0\n"
        "tolerence = 0.01\n"
        "[[place]]\n"
        "name = \"coil deck, corner 1\"\n"
        "at = [3.45, nan, 0.60]\n"
        "seen = [624.5, \"x\"]\n"
        "[[place]]\n"
        "name = \"coil deck, corner 2\"\n"
        "at = [4.45, -0.62, 0.60]\n"
        "colour = 3\n"
        "[[place]]\n"
        "name = \"coil deck, corner 2\"\n"
        "at = [4.45, inf, 0.60]\n"
        "pointing = 1\n"
        "[lens]\n"
        "find = \"focsl\"\n"
        "skew = 1\n");
    const Answer answer = points.told();
    CHECK(answer.code == 3);
    const auto told = [&](const std::string& words) { return has(answer.words, points.file + ":" + words); };
    CHECK(
        told("1:11: a picture has whole pixels; expected the upright picture's width and height, such as "
             "[1920, 1080].\n"));
    CHECK(told("2:12: 'pointing' is the number 0; expected a number of pixels over 0, at most 1000.\n"));
    CHECK(
        told("3:1: 'tolerence' is not a key of the file; expected picture, pointing, tolerance, place, edge, "
             "lens, plane or measure. Did you mean 'tolerance'?\n"));
    CHECK_FALSE(has(answer.words, "has no 'tolerance'"));
    CHECK(told("6:13: in 'at' stands the number nan; expected its measures in metres"));
    CHECK(told("7:16: in 'seen' stands the text 'x'; expected where it is in the picture"));
    CHECK(
        told("11:1: 'colour' is not a key of the place 'coil deck, corner 2'; expected name, at, seen, "
             "pointing or tolerance.\n"));
    CHECK(told("14:13: in 'at' stands the number inf; expected"));
    CHECK(told("15:12: 'pointing' stands at a place that is not seen; expected 'seen' beside it"));
    CHECK(
        told("17:8: 'find' is 'focsl'; expected \"focal\" or \"focal and radial\". Did you mean 'focal'?\n"));
    CHECK(told("18:8: 'skew' stands beside 'find'; expected it with 'focal' only"));
}

TEST_CASE("names and measures that stand twice and edges that lead nowhere are told") {
    const std::string decks = top(1, 0.005) + decks_seen_at(seen_by(hall_camera()));
    const auto refusal = [&](const std::string& more) {
        const Answer answer = Points(decks + more).told();
        CHECK(answer.code == 3);
        return answer.words;
    };
    CHECK(has(refusal(place("coil deck, corner 4", {3, 1.2, 0.7}, {800, 500})),
              ":37:8: there is a place 'coil deck, corner 4' further up; expected each name once.\n"));
    CHECK(has(refusal(place("bollard", {3, 1.2, 0.5}, {800, 500})),
              ":38:6: these are the measures of 'coil deck, corner 4'; expected each place once"));
    CHECK(
        has(refusal(place("bollard", {3, 2, 0.5}, {1930, 500})),
            ":39:8: [1930, 500] lies outside the picture; expected pixels from its upper left corner [0, 0] "
            "to [1920, 1080].\n"));
    const std::string seen = "seen = [[700, 500]]\n";
    CHECK(
        has(refusal("[[edge]]\nfrom = \"coil deck, corner 4\"\nto = \"coil dekc, corner 1\"\n" + seen),
            ":38:6: there is no place 'coil dekc, corner 1'; expected the name of a place in quotes. Did you "
            "mean 'coil deck, corner 1'?\n"));
    CHECK(has(refusal("[[edge]]\nfrom = \"coil deck, corner 4\"\nto = \"coil deck, corner 4\"\n" + seen),
              ":38:6: the edge ends where it begins; expected two places.\n"));
    CHECK(has(
        refusal("[[edge]]\nfrom = \"coil deck, corner 4\"\nto = \"coil deck, corner 1\"\nseen = [700, 5]\n"),
        ":39:9: 'seen' is the number 700; expected points on it in pixels"));
    CHECK(
        has(refusal("[edge]\n"), "'edge' is a group of keys; expected [[edge]] headings in double brackets"));
    CHECK(has(refusal("[[lens]]\nfind = \"focal\"\n"), "expected one [lens] heading, and its keys below.\n"));
}

TEST_CASE("what no parser should see or cannot read is told with its line and column") {
    const auto refusal = [](const std::string& text) {
        const Answer answer = Points(top(1, 0.005) + text).told();
        CHECK(answer.code == 3);
        return answer.words;
    };
    for (const char* heading : {"[]\n", "[.lens]\n", "[[place]\n", "[[]]\n", "[lens\n", "[lens] find = 1\n"})
        CHECK(has(refusal(heading),
                  ":4:1: this heading has no name, or is not closed; expected one such as "
                  "[[place]] or [lens].\n"));
    CHECK(has(refusal("\xCE\xB1 = 1\n"), ":4:1: a letter beyond a to z stands outside of quotes; expected"));
    CHECK(
        has(refusal("x = \"open\n"), ":4:5: a text is not closed on its line; expected a closing quotation"));
    CHECK(has(refusal("x = \"\"\"open\"\"\"\n"), ":4:5: a text begins with three quotation marks; expected"));
    CHECK(has(refusal("x = 1\"a\"\n"), ":4:6: a quotation mark stands in the middle of a word; expected"));
    CHECK(has(refusal("x = [1, 2}\n"), ":4:10: this bracket closes none of its kind; expected"));
    CHECK(has(refusal("x = [[[[[[[[[1]]]]]]]]]\n"), ":4:13: lists stand in lists too deeply; expected"));
    CHECK(has(refusal("x = \"\xFF\"\n"),
              ":4:1: this line is not UTF-8 text; expected a file saved as UTF-8.\n"));
    CHECK(has(refusal("x = \"" + std::string(5000, 'a') + "\"\n"),
              ":4:1: this line is very long; expected at most 4000 bytes"));
    CHECK(has(refusal("pointing = 2\n"), ":4:1"));
    CHECK(has(refusal("x = 007\n"), "this is not TOML ("));
    CHECK(Points("\xEF\xBB\xBF" + documented_example()).told().code == 0);
}

TEST_CASE("a lens without its standard deviation or of another shape is told") {
    const std::string decks = top(1, 0.005) + decks_seen_at(seen_by(hall_camera())) + "[lens]\n";
    const auto refusal = [&](const std::string& lens) {
        const Answer answer = Points(decks + lens).told();
        CHECK(answer.code == 3);
        return answer.words;
    };
    CHECK(has(refusal("focal = 1500\n"),
              ":36:1: [lens] has no 'focal_standard'; expected the standard deviation "
              "of 'focal', a number of pixels from 0"));
    CHECK(has(refusal("focal = 1500\nfocal_standard = 2\nradial = [1, 2, 3, 4]\nradial_standard = 1\n"),
              ":39:10: 'radial' is a list of 4; expected [k1], [k1, k2] or [k1, k2, k3].\n"));
    CHECK(has(refusal("focal = 1500\nfocal_standard = 2\ncentre_standard = 2\n"),
              "'centre_standard' stands without 'centre'; expected 'centre' as well.\n"));
    CHECK(
        has(refusal("focal = 1500\nfocal_standard = 2\npicture = [4032, 3024]\n"),
            "the lens was measured in pictures of another shape (4032 x 3024); expected the shape of 1920 x "
            "1080"));
    CHECK(has(refusal("focal = 1500\nfind = \"focal\"\n"), "[lens] has 'find' and 'focal'; expected"));
    CHECK(has(refusal(""), "[lens] has neither 'find' nor 'focal'; expected"));
}

TEST_CASE("places that cannot tell where a camera stands are refused with the file and the reason") {
    const std::vector<Pixel> seen = seen_by(hall_camera());
    std::string three = top(1, 0.005);
    for (const std::size_t i : {0U, 1U, 4U})
        three += place(kDecks[i].name, kDecks[i].at, seen[i]);
    const Points few(three);
    const Answer answer = few.told();
    CHECK(answer.code == 3);
    CHECK(has(answer.words, "plumbmark: " + few.file + ": Four places are needed"));
    CHECK(run("camera '" + few.file + ".none'").code == 4);
    CHECK(run("camera").code == 2);
}

TEST_CASE("how often right measures strain as much is the tail of the chi-square distribution") {
    // M. Abramowitz and I. Stegun, 'Handbook of Mathematical Functions' (1964), table 26.8.
    const auto chance = [](double chi_square, int degrees) {
        CalibratedCamera camera;
        camera.redundancy = degrees;
        camera.strain = chi_square / degrees;
        return plumbmark::cli::strain_chance(camera);
    };
    CHECK(chance(10.828, 1).value() == Approx(0.001).epsilon(0.001));
    CHECK(chance(13.816, 2).value() == Approx(0.001).epsilon(0.001));
    CHECK(chance(27.877, 9).value() == Approx(0.001).epsilon(0.001));
    CHECK(chance(29.588, 10).value() == Approx(0.001).epsilon(0.001));
    CHECK(chance(3.84146, 1).value() == Approx(0.05).epsilon(1e-5));
    CHECK(chance(124.342, 100).value() == Approx(0.05).epsilon(1e-4));
    CHECK(chance(0, 5).value() == 1);
    CHECK(chance(1e6, 121).value() == 0);
    CHECK_FALSE(chance(1, 0));
}
