// plumbmark row-delay, by the built program, on clips whose every row is exposed by its own moment.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <random>

#include "cli/program.h"
#include "media/clip_writer.h"
#include "review/session.h"
#include "support/running_program.h"
#include "support/temporary_folder.h"

namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::kProgram;
using plumbmark::test::kSamples;
using plumbmark::test::run;
using plumbmark::test::RunningProgram;
using plumbmark::test::TemporaryFolder;

constexpr int kWidth = 192, kHeight = 360;
constexpr double kInterval = 1.0 / 60;
/// A camera that reads its rows in 15 ms and exposes each for 5.
constexpr double kRow = 0.015 / kHeight, kExposure = 0.005;

/// A flash that lights from this row of this frame on: 120 rows.
double flash_at(int frame, double row) {
    return frame * kInterval + row * kRow;
}
/// Over the end of its frame: 360 + 120 - 400 rows are shared by two frames.
const std::vector<double> kTelling{flash_at(12, 100.5), flash_at(20, 320.5), flash_at(31, 150.5),
                                   flash_at(40, 330.5)};

plumbmark::media::RgbaImage picture(int frame, const std::vector<double>& flashes, std::mt19937& random) {
    plumbmark::media::RgbaImage image{kWidth, kHeight, {}};
    for (int y = 0; y < kHeight; ++y) {
        const double read = frame * kInterval + y * kRow;
        double flashed = 0;
        for (const double at : flashes)
            flashed += at > read - kExposure && at <= read ? 0.35 : 0;
        for (int x = 0; x < kWidth; ++x) {
            const double surface = 1 + 0.3 * std::sin(x / 17.0) * std::cos(y / 23.0);
            const bool runner = std::hypot(x - 20 - 2 * frame, y - 200) < 22;
            const double light = runner ? 0.5 + flashed : (0.1 + flashed) * surface;
            const double code = 255 * std::pow(std::min(1.0, light), 1 / 2.2) + (random() % 9) - 4.0;
            const auto level = static_cast<std::uint8_t>(std::clamp(code, 0.0, 255.0));
            image.pixels.insert(image.pixels.end(), {level, level, level, 255});
        }
    }
    return image;
}

std::string quoted(const fs::path& path) {
    return "'" + path.string() + "'";
}

fs::path clip_in(const TemporaryFolder& folder, const std::vector<double>& flashes, int frames = 52,
                 const std::string& name = "flashes.mp4") {
    plumbmark::media::ClipWriterOptions options;
    options.width = kWidth;
    options.height = kHeight;
    options.time_base = {1, 60};
    options.rate = {60, 1};
    auto writer = plumbmark::media::ClipWriter::create(folder / name, options);
    REQUIRE(writer.ok());
    std::mt19937 random(7);
    for (int k = 0; k < frames; ++k)
        REQUIRE(writer->add(picture(k, flashes, random), k).ok());
    REQUIRE(writer->finish(frames).ok());
    return folder / name;
}

/// The truth lies in what is told, and what is told is narrower than a tenth of it.
void check(const json& told, double row = kRow) {
    INFO(told.dump(1));
    REQUIRE(told["measured"] == true);
    const double least = told["row_ns"]["least"], most = told["row_ns"]["most"];
    CHECK(least <= row * 1e9);
    CHECK(most >= row * 1e9);
    CHECK(most - least < 0.1 * row * 1e9);
    CHECK(told["first_to_last_ns"]["least"].get<double>() <= row * kHeight * 1e9);
    CHECK(told["first_to_last_ns"]["most"].get<double>() >= row * kHeight * 1e9);
}

/// A meet of one run with this clip.
std::string meet_of(const TemporaryFolder& folder, const fs::path& clip) {
    const std::string meet = quoted(folder / "open.meet");
    good("new " + meet + " --name 'Pier Nine Youth Open' --book " +
         quoted(fs::path(kSamples) / "pier-nine.course") + " --clip " + quoted(clip));
    return meet;
}

void ffmpeg(const std::string& rest) {
    REQUIRE(std::system(("ffmpeg -v error -nostdin -y " + rest).c_str()) == 0);
}

}  // namespace

TEST_CASE("flashes in a written clip give its camera's row delay and each flash is told in words") {
    const TemporaryFolder folder;
    const fs::path clip = clip_in(folder, kTelling);
    const json told = json::parse(good("row-delay " + quoted(clip) + " --json"));
    check(told);
    CHECK(told["format"] == "plumbmark-row-delay/1");
    CHECK(told["rows"] == kHeight);
    CHECK(told["frames"] == 52);
    CHECK(told["kept_in"].is_null());
    REQUIRE(told["flashes"].size() == 4);
    CHECK(told["flashes"][0]["frame"] == 12);
    CHECK(told["flashes"][0]["kind"] == "within");
    CHECK(std::abs(told["flashes"][0]["first"].get<double>() - 101) < 3);
    CHECK(std::abs(told["flashes"][0]["rows"].get<double>() - 120) < 4);
    CHECK(told["flashes"][1]["frame"] == 20);
    CHECK(told["flashes"][1]["kind"] == "across");
    CHECK(std::abs(told["flashes"][1]["rows"].get<double>() - 280) < 4);
    const std::string words = good("row-delay " + quoted(clip));
    CHECK(has(words, "f 12: a flash lit the rows 10"));
    CHECK(has(words, "f 20 and f 21: a flash lit the rows from 32"));
    CHECK(has(words, "Take the upper end: --row-delay 15."));
    // The first two alone, by their frames' numbers in the clip.
    const json some = json::parse(good("row-delay " + quoted(clip) + " --frames 5..26 --json"));
    check(some);
    CHECK(some["frames"] == 22);
    CHECK(some["flashes"].size() == 2);
    CHECK(some["flashes"][1]["frame"] == 20);
}

TEST_CASE("stored rows are read whichever way the clip is turned and of deep and of R G B pictures") {
    const TemporaryFolder folder;
    const fs::path clip = clip_in(folder, kTelling);
    ffmpeg("-i " + quoted(clip) + " -c copy -metadata:s:v:0 rotate=90 " + quoted(folder / "turned.mp4"));
    CHECK(json::parse(good("frames " + quoted(folder / "turned.mp4") + " --json"))["quarter_turns"] != 0);
    check(json::parse(good("row-delay " + quoted(folder / "turned.mp4") + " --json")));
    // In Matroska's milliseconds intervals are 16 and 17; their mean is known better.
    for (const std::string format : {"yuv420p10le", "gbrp", "gray"}) {
        ffmpeg("-i " + quoted(clip) + " -c:v ffv1 -pix_fmt " + format + " " + quoted(folder / "other.mkv"));
        check(json::parse(good("row-delay " + quoted(folder / "other.mkv") + " --json")));
    }
}

TEST_CASE("a slowed clip's rows are timed by when its pictures were taken") {
    const TemporaryFolder folder;
    const std::string clip = quoted(clip_in(folder, kTelling));
    // As if its 60 pictures a second had been taken at 240: every row takes a quarter of the time.
    check(json::parse(good("row-delay " + clip + " --capture '240 shown 60' --json")), kRow / 4);
    const auto unknown = run("row-delay " + clip + " --capture unknown");
    CHECK(unknown.code == 1);
    CHECK(has(unknown.words, "How fast the frames around the flash were taken is not known"));
}

TEST_CASE("the upper end is kept in the meet and the meet still verifies") {
    const TemporaryFolder folder;
    const fs::path clip = clip_in(folder, kTelling);
    const std::string meet = meet_of(folder, clip);
    const std::string asked = "row-delay " + quoted(clip) + " --set " + meet;
    const json told = json::parse(good(asked + " --json"));
    check(told);
    CHECK(told["kept_in"] == "camera A");
    good("verify " + meet);
    const std::string most = std::to_string(told["first_to_last_ns"]["most"].get<std::int64_t>());
    const std::string ruling = good("rule " + meet + " --json");
    CHECK(has(ruling, "\"row_delay_ns\": " + most));
    {
        auto session = plumbmark::review::Session::open(folder / "open.meet");
        REQUIRE(session.ok());
        const auto kept = [&] { return (*session)->state().clips().begin()->second.row_delay; };
        REQUIRE(kept());
        CHECK(std::to_string(kept()->ns) == most);
        const auto earlier = (*session)->recall_earlier();
        REQUIRE(earlier.ok());
        REQUIRE(*earlier);
        CHECK((*session)->undo_label() == "row delay of a clip");
        REQUIRE((*session)->undo().ok());
        CHECK_FALSE(kept());
        REQUIRE((*session)->redo().ok());
        CHECK(kept());
        REQUIRE((*session)->flush().ok());
    }
    // The meet's word on how the clip was taken counts.
    good("capture " + meet + " '240 shown 60' --clip 'camera A'");
    check(json::parse(good(asked + " --clip 'camera A' --json")), kRow / 4);
    const auto none = run(asked + " --clip 'camera Z'");
    CHECK(none.code == 4);
    CHECK(run("row-delay " + quoted(clip) + " --clip 'camera A'").code == 2);
    // Another mode of the camera: other rows.
    const fs::path small = folder / "small.mp4";
    ffmpeg("-i " + quoted(clip) + " -vf scale=96:180 " + quoted(small));
    const auto other = run("row-delay " + quoted(small) + " --set " + meet);
    CHECK(other.code == 3);
    CHECK(has(other.words, "has 360 rows, the one that was measured 180"));
}

TEST_CASE("where the flashes do not tell it is said why and nothing is changed") {
    const TemporaryFolder folder;
    const fs::path dark = clip_in(folder, {}, 30, "dark.mp4");
    const auto none = run("row-delay " + quoted(dark));
    CHECK(none.code == 1);
    CHECK(has(none.words, "No flash was found."));
    const fs::path within = clip_in(folder, {kTelling[0]}, 30, "within.mp4");
    const std::string meet = meet_of(folder, within);
    const auto one = run("row-delay " + quoted(within) + " --set " + meet);
    CHECK(one.code == 1);
    CHECK(has(one.words, "lights the end of one frame and the beginning of the next is missing"));
    CHECK(has(one.words, "Nothing was changed in the meet."));
    CHECK(has(good("rule " + meet + " --json"), "\"row_delay_ns\": 33000000"));
    CHECK(json::parse(run("row-delay " + quoted(within) + " --json").words)["why"] == "none_across");
    CHECK(run("row-delay " + quoted(folder / "away.mp4")).code == 4);
    CHECK(run("row-delay " + quoted(within) + " --frames 10..99").code == 3);
    ffmpeg("-f lavfi -i testsrc2=s=192x144:r=25 -frames:v 20 -c:v mpeg2video -flags +ilme+ildct -top 1 " +
           quoted(folder / "fields.mpg"));
    const auto fields = run("row-delay " + quoted(folder / "fields.mpg"));
    CHECK(fields.code == 7);
    CHECK(has(fields.words, "This clip is interlaced"));
}

TEST_CASE("real footage of people who move has no flash and a flash laid over it is found") {
    const fs::path gym = plumbmark::test::shared_folder() / "clips/motion/gym-four-cameras";
    if (!fs::exists(gym / "cam03.mp4")) {
        WARN("skipped: the shared clips are not beside the project");
        return;
    }
    const TemporaryFolder folder;
    // Half of what is missing to white, in 480 rows of frame 20, and in 192 on either side of the next gap.
    const auto lit = [](const std::string& rows, int frame) {
        return "geq=lum='lum(X,Y)+if(" + rows +
               ",0.5*(235-lum(X,Y)),0)':cb='cb(X,Y)':cr='cr(X,Y)':enable='eq(n," + std::to_string(frame) +
               ")'";
    };
    const double truth = kInterval / (480 + 1536);
    for (const char* name : {"cam03.mp4", "cam04.mp4"}) {
        INFO(name);
        const json dark = json::parse(run("row-delay " + quoted(gym / name) + " --json").words);
        CHECK(dark["why"] == "no_flash");
        CHECK(dark["flashes"].empty());
        ffmpeg("-i " + quoted(gym / name) + " -frames:v 60 -vf \"" + lit("between(Y,576,1055)", 20) + "," +
               lit("gte(Y,1728)", 40) + "," + lit("lt(Y,192)", 41) +
               "\" -c:v libx264 -preset ultrafast -crf 23 -pix_fmt yuv420p " + quoted(folder / "lit.mp4"));
        const json told = json::parse(good("row-delay " + quoted(folder / "lit.mp4") + " --json"));
        INFO(told.dump(1));
        CHECK(told["row_ns"]["least"].get<double>() <= truth * 1e9);
        CHECK(told["row_ns"]["most"].get<double>() >= truth * 1e9);
        CHECK(told["row_ns"]["most"].get<double>() - told["row_ns"]["least"].get<double>() < truth * 2e7);
    }
}

TEST_CASE("Ctrl C while flashes are looked for ends with the code of what was cancelled") {
    const TemporaryFolder folder;
    ffmpeg("-f lavfi -i testsrc2=s=1280x720:r=60 -frames:v 1500 -c:v libx264 -preset ultrafast " +
           quoted(folder / "long.mp4"));
    RunningProgram program({kProgram, "row-delay", (folder / "long.mp4").string()}, folder / "says");
    REQUIRE(program.wait_until_it_catches(SIGINT));
    program.send(SIGINT);
    CHECK(program.wait() == 9);
}
