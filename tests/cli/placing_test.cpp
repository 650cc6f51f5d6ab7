// plumbmark placing, by the built program, on the sample's course book.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "cli/program.h"
#include "store/lens_shelf.h"
#include "support/file_bytes.h"
#include "support/running_program.h"
#include "support/temporary_folder.h"

namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using plumbmark::test::Answer;
using plumbmark::test::bytes_of;
using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::kProgram;
using plumbmark::test::kSamples;
using plumbmark::test::run;
using plumbmark::test::run_line;
using plumbmark::test::RunningProgram;
using plumbmark::test::TemporaryFolder;
using plumbmark::test::write_bytes;

/// Coarse, so that it is there at once.
const std::string kCall = "placing '" + kSamples + "/pier-nine.course' --plane gantry_front_plane --cell 2";

}  // namespace

TEST_CASE("the best places for a camera are listed with what each is worth and why others are none") {
    const std::string text = good(kCall);
    CHECK(has(text, "Where to put a camera for front plane of the gantry deck\n"));
    CHECK(has(text, "The best places within 50 mm:\n"));
    CHECK(has(text, "on gantry deck"));
    CHECK(has(text, "\n  1  6.25  "));  // in the plane
    CHECK(has(text, "places of the floor were looked at, 2.00 m apart:\n"));
    CHECK(has(text, "nothing can be measured\n"));
    CHECK(has(text, "fewer than four known places in the picture\n"));
    CHECK(has(text, "four are needed. Stand further off, take a wider lens, or measure more places.\n"));
    CHECK(has(text, "Nothing is taken to hide anything"));
    CHECK(has(text, "qualified inspection under local codes"));
}

TEST_CASE("as JSON the map comes with every place of the floor and with what is supposed") {
    const json told =
        json::parse(good(kCall + " --json --height 2 --across 80 --picture 1280x720 --air 0.5"));
    CHECK(told["format"] == "plumbmark-placing/1");
    CHECK(told["plane"] == "gantry_front_plane");
    CHECK(told["kept"] == true);
    CHECK(told["within_m"] == 0.05);
    CHECK(told["supposed"]["camera_height_m"] == 2);
    CHECK(told["supposed"]["across_degrees"].get<double>() == Approx(80));
    CHECK(told["supposed"]["picture_px"] == json::array({1280, 720}));
    CHECK(told["supposed"]["air_m"] == 0.5);
    CHECK(told["supposed"]["deck"] == "gantry deck");
    const json& floor = told["floor"];
    const std::size_t count = floor["columns"].get<std::size_t>() * floor["rows"].get<std::size_t>();
    REQUIRE(floor["in_air_m"].size() == count);
    REQUIRE(floor["on_deck_m"].size() == count);
    REQUIRE(floor["why_not"].size() == count);
    std::size_t without = 0, reasons = 0;
    double least = 1e9;
    for (std::size_t i = 0; i < count; ++i) {
        const bool none = floor["in_air_m"][i].is_null() || floor["on_deck_m"][i].is_null();
        CHECK((floor["why_not"][i] == "none") == !none);
        without += none ? 1 : 0;
        if (!none)
            least = std::min(
                least, std::max(floor["in_air_m"][i].get<double>(), floor["on_deck_m"][i].get<double>()));
    }
    for (const json& reason : told["reasons"])
        reasons += reason["places"].get<std::size_t>();
    CHECK(reasons == without);
    const json& best = told["best"][0];
    CHECK(std::max(best["in_air_m"].get<double>(), best["on_deck_m"].get<double>()) == least);
}

TEST_CASE("a bound that no place keeps is said and ends with 1") {
    const Answer answer = run(kCall + " --within 1mm");
    CHECK(answer.code == 1);
    CHECK(has(answer.words, "No place is within 1 mm; these come nearest:\n"));
    CHECK(run(kCall + " --within 1mm --of deck").code == 1);
    const Answer deck = run(kCall + " --within 3cm --of deck");
    CHECK(deck.code == 0);
    CHECK(has(deck.words, "how far a contact on gantry deck is past"));
}

TEST_CASE("a second camera makes narrow what one leaves open") {
    const json one = json::parse(run(kCall + " --json --of air").words);
    const json two = json::parse(good(kCall + " --json --of air --second-to -1.75,-6"));
    CHECK(two["first"] == json{{"x_m", -1.75}, {"y_m", -6.0}});
    CHECK(two["best"][0].contains("parallax_degrees"));
    // Beside the plane one camera does not know how far away a part in the air is; two do.
    std::size_t narrower = 0, both = 0;
    for (std::size_t i = 0; i < one["floor"]["in_air_m"].size(); ++i) {
        const json &alone = one["floor"]["in_air_m"][i], &paired = two["floor"]["in_air_m"][i];
        if (alone.is_null() || paired.is_null()) continue;
        ++both;
        narrower += paired.get<double>() < alone.get<double>() ? 1 : 0;
    }
    CHECK(both > 50);
    CHECK(narrower * 10 > both * 9);
    const Answer over = run(kCall + " --second-to 6.25,0");
    CHECK(over.code == 3);
    CHECK(has(over.words, "The first camera cannot be calibrated where it is put."));
}

TEST_CASE("the map is written as a picture and nothing is written where it is refused") {
    const TemporaryFolder folder;
    const fs::path file = folder / "map.svg";
    good(kCall + " --svg '" + file.string() + "'");
    const std::string svg = bytes_of(file);
    CHECK(svg.rfind("<svg xmlns=\"http://www.w3.org/2000/svg\"", 0) == 0);
    CHECK(has(svg, "front plane of the gantry deck"));
    CHECK(has(svg, "within 250 mm"));
    const fs::path other = folder / "other.svg";
    const Answer answer =
        run("placing '" + kSamples + "/pier-nine.course' --plane front --svg '" + other.string() + "'");
    CHECK(answer.code == 4);
    CHECK(has(answer.words, "The course book has no plane 'front'. Its plan has: gantry_front_plane."));
    CHECK_FALSE(fs::exists(other));
}

TEST_CASE("what is not understood is refused with how to write it") {
    CHECK(has(run(kCall + " --within 5in").words, "'5in' is no length; write it like 5cm, 50mm or 0.05m."));
    CHECK(run(kCall + " --within -5cm").code == 3);
    CHECK(has(run(kCall + " --second-to 6").words, "'6' is no place; write its x and y in metres"));
    CHECK(
        has(run(kCall + " --picture big").words, "'big' is no size of a picture; write it like 1920x1080."));
    CHECK(run(kCall + " --across 200").code == 2);
    CHECK(run(kCall + " --lens nobody --across 70").code == 2);
    CHECK(run("placing nowhere.course --plane x").code == 4);
    CHECK(run("placing '" + kSamples + "/pier-nine.course'").code == 2);
}

TEST_CASE("a measured lens that is kept here is taken by its name and leaves less open") {
    const TemporaryFolder folder;
    plumbmark::meet::CameraLens lens;
    lens.camera = "phone at the pier end";
    lens.width = 1920;
    lens.height = 1080;
    lens.fx = lens.fy = 960 / std::tan(65 * 3.14159265358979323846 / 360);
    lens.cx = 960;
    lens.cy = 540;
    lens.focal_standard = 0.001;
    lens.principal_standard = 1;
    lens.k1_standard = 0.002;
    fs::create_directories(folder / "plumbmark");
    write_bytes(folder / "plumbmark/lenses.json", plumbmark::store::write_lenses({lens}));
    const auto told = [&](const std::string& more) {
        return json::parse(run_line("XDG_CONFIG_HOME='" + folder.path().string() + "' '" + kProgram + "' " +
                                    kCall + " --json " + more)
                               .words);
    };
    const json usual = told(""), measured = told("--lens 'phone at the pier end'");
    CHECK(measured["supposed"]["lens"] == "phone at the pier end");
    CHECK(measured["supposed"]["across_degrees"].get<double>() == Approx(65));
    std::size_t both = 0, narrower = 0;
    for (std::size_t i = 0; i < usual["floor"]["on_deck_m"].size(); ++i) {
        const json &one = usual["floor"]["on_deck_m"][i], &other = measured["floor"]["on_deck_m"][i];
        if (one.is_null() || other.is_null()) continue;
        ++both;
        narrower += other.get<double>() < one.get<double>() ? 1 : 0;
    }
    CHECK(both > 50);
    CHECK(narrower == both);
    const Answer none = run_line("XDG_CONFIG_HOME='" + folder.path().string() + "' '" + kProgram + "' " +
                                 kCall + " --lens nobody 2>&1");
    CHECK(none.code == 4);
    CHECK(has(none.words, "No lens of 'nobody' is kept here; there are those of phone at the pier end."));
}

TEST_CASE("a map is stopped by Ctrl C and leaves nothing behind") {
    const TemporaryFolder folder;
    const fs::path file = folder / "map.svg";
    RunningProgram program({kProgram, "placing", kSamples + "/pier-nine.course", "--plane",
                            "gantry_front_plane", "--cell", "0.05", "--svg", file.string()},
                           folder / "says");
    REQUIRE(program.wait_until_it_catches(SIGINT));
    program.send(SIGINT);
    CHECK(program.wait() == 9);
    CHECK(has(bytes_of(folder / "says"), "plumbmark: cancelled; nothing was written\n"));
    CHECK_FALSE(fs::exists(file));
}
