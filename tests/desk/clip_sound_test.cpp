// The desk's sound without a window: the run strip's row, and when sound is heard beside the picture.
#include "desk/internal/clip_sound.h"

#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdlib>
#include <functional>
#include <iostream>
#include <thread>

#include "desk/test_meet.h"

using namespace plumbmark;
using namespace plumbmark::desk;
namespace fs = std::filesystem;
using Phase = media::SoundScanState::Phase;

namespace {

struct Heard {
    std::atomic<int> made{0};
    std::atomic<bool> running{false};
};

/// A device that only says whether it was started.
class Twin final : public media::SoundDevice {
  public:
    explicit Twin(Heard& heard) : heard_(heard) { ++heard.made; }
    std::optional<int> find() override { return 48000; }
    bool start(Fill) override { return heard_.running = true; }
    void stop() override { heard_.running = false; }

  private:
    Heard& heard_;
};

bool soon(const std::function<bool()>& so) {
    for (int i = 0; i < 2000 && !so(); ++i)
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    return so();
}

/// A clip with or without a tone, two seconds long; none without the ffmpeg program.
std::optional<fs::path> clip_with(const fs::path& folder, const std::string& name, bool tone) {
    if (!test::has_program("ffmpeg")) {
        std::cout << "skipped: the program ffmpeg is not installed\n";
        return std::nullopt;
    }
    const fs::path clip = folder / name;
    const std::string sound = tone ? "-f lavfi -i sine=f=440:d=2:r=48000 -c:a aac " : "";
    const std::string command = "ffmpeg -v error -nostdin -f lavfi -i testsrc2=size=96x64:rate=25:d=2 " +
                                sound + "-c:v libx264 -pix_fmt yuv420p '" + clip.string() + "'";
    REQUIRE(std::system(command.c_str()) == 0);
    return clip;
}

std::unique_ptr<review::Session> session_on(const fs::path& folder, const fs::path& clip) {
    auto session = review::Session::open(test::make_meet(folder, clip));
    REQUIRE(session);
    REQUIRE((*session)->settle());
    review::Session& s = **session;
    REQUIRE(soon([&] { return s.poll(), s.picture().exact; }));
    return std::move(*session);
}

}  // namespace

TEST_CASE("the run strip's sound is read in the background for the clip that is worked on") {
    const test::TemporaryFolder folder;
    const auto clip = clip_with(folder.path(), "tone.mp4", true);
    if (!clip) return;
    const auto session = session_on(folder.path(), *clip);
    CHECK(ClipSound::heard_in(*session));
    Heard heard;
    ClipSound sound([] {}, [&] { return std::make_unique<Twin>(heard); });
    CHECK_FALSE(sound.settled(session->current_clip()));
    sound.update(*session, {}, false, 0);
    REQUIRE(soon([&] { return sound.settled(session->current_clip()); }));
    const media::SoundScan* scan = sound.of(session->clip());
    REQUIRE(scan != nullptr);
    CHECK(scan->poll().phase == Phase::done);
    const auto columns = scan->columns({0}, {1'900'000'000}, 19);
    CHECK(
        std::all_of(columns.begin(), columns.end(), [](const auto& c) { return c.heard && c.peak > 0.05F; }));
    CHECK(heard.made == 0);  // nothing is played, so no device is looked for
}

TEST_CASE("a run whose clips have no sound has no row for it") {
    const test::TemporaryFolder folder;
    const auto clip = clip_with(folder.path(), "silent.mp4", false);
    if (!clip) return;
    const auto session = session_on(folder.path(), *clip);
    CHECK_FALSE(ClipSound::heard_in(*session));
    ClipSound sound([] {});
    sound.update(*session, {}, false, 0);
    CHECK(sound.of(session->clip()) == nullptr);
    CHECK(sound.settled(session->current_clip()));
}

TEST_CASE("sound is heard while playing at real time only, and not when it is turned off") {
    const test::TemporaryFolder folder;
    const auto clip = clip_with(folder.path(), "tone.mp4", true);
    if (!clip) return;
    const auto session = session_on(folder.path(), *clip);
    Heard heard;
    ClipSound sound([] {}, [&] { return std::make_unique<Twin>(heard); });
    const auto at_speed = [](double factor) {
        PlayView play;
        play.playing = true;
        for (std::size_t i = 0; i < kSpeeds.size(); ++i)
            if (kSpeeds[i].factor == factor) play.speed = static_cast<int>(i);
        return play;
    };
    const auto silent = [&](const PlayView& play, bool muted) {
        sound.update(*session, play, muted, 0);
        return soon([&] { return !heard.running; });
    };
    const auto sounds = [&] {
        sound.update(*session, at_speed(1), false, 0);
        return soon([&] { return heard.running.load(); });
    };
    for (const double factor : {0.125, 0.25, 0.5, 2.0})
        sound.update(*session, at_speed(factor), false, 0);
    CHECK(heard.made == 0);
    CHECK(sounds());
    CHECK(silent(at_speed(0.5), false));
    CHECK(sounds());
    CHECK(silent(at_speed(1), true));
    CHECK(sounds());
    CHECK(silent({}, false));
    CHECK(heard.made == 1);
}
