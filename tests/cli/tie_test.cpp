// plumbmark tie, by the built program, on two clips whose sound is made (bench_sound/sound_room.h).
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <nlohmann/json.hpp>

#include "bench_sound/sound_room.h"
#include "cli/program.h"
#include "support/temporary_folder.h"

namespace {

namespace fs = std::filesystem;
using plumbmark::bench::Pair;
using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::run;
using plumbmark::test::TemporaryFolder;

std::string clip_of(const fs::path& folder, const std::string& name, const std::vector<float>& sound,
                    int rate) {
    const fs::path wave = folder / (name + ".wav"), clip = folder / (name + ".mp4");
    plumbmark::bench::write_wave(wave, sound, rate);
    const std::string command =
        "ffmpeg -v error -nostdin -y -i '" + wave.string() +
        "' -f lavfi -i testsrc2=s=64x48:r=60 -shortest -c:v libx264 -preset ultrafast "
        "-c:a aac '" +
        clip.string() + "'";
    REQUIRE(std::system(command.c_str()) == 0);
    return "'" + clip.string() + "'";
}

/// A meet of one run with two clips.
std::string meet_of(const fs::path& folder, const Pair& pair) {
    const std::string meet = "'" + (folder / "open.meet").string() + "'";
    good("new " + meet + " --name 'Pier Nine Youth Open' --clip " +
         clip_of(folder, "left", pair.first, pair.first_rate) + " --clip " +
         clip_of(folder, "right", pair.second, pair.second_rate));
    return meet;
}

}  // namespace

TEST_CASE("two clips are tied by sound and the tie is written down when it is accepted") {
    const TemporaryFolder folder;
    const Pair pair = plumbmark::bench::common_pair(plumbmark::bench::Sounds::mixed, 15, 300'021);
    const std::string meet = meet_of(folder.path(), pair);
    const auto told = nlohmann::json::parse(good("tie " + meet + " --distance 20 --json"));
    CHECK(told["format"] == "plumbmark-tie/1");
    CHECK(told["kept"] == 0);
    REQUIRE(told["pairs"].size() == 1);
    const auto& found = told["pairs"][0];
    REQUIRE(found["tied"] == true);
    const double later = found["later_ns"].get<double>() / 1e9, bound = found["bound_ns"].get<double>() / 1e9;
    CHECK(std::abs(later - pair.arrival) < 1.0 / 60);
    CHECK(std::abs(later - pair.clocks) < bound);
    CHECK_FALSE(has(good("marks " + meet), "moment"));
    const std::string words = good("tie " + meet + " --distance 20 --accept");
    CHECK(has(words, "by sound)"));
    CHECK(has(words, "1 moment written down"));
    const std::string marks = good("marks " + meet);
    CHECK(has(marks, "\"event\": \"moment\""));
    CHECK(has(marks, "by sound, at most 20 m difference"));
    good("verify " + meet);
}

TEST_CASE("clips with nothing in common end the tie with 1 and wrong distances with 3") {
    const TemporaryFolder folder;
    const std::string meet = meet_of(folder.path(), plumbmark::bench::foreign_pair(4));
    const auto answer = run("tie " + meet);
    CHECK(answer.code == 1);
    CHECK(has(answer.words, "so sound ties nothing"));
    CHECK(run("tie " + meet + " --accept").code == 1);
    CHECK_FALSE(has(good("marks " + meet), "moment"));
    CHECK(run("tie " + meet + " --distance far").code == 3);
    CHECK(run("tie " + meet + " --clip 'camera Z'").code == 4);
}
