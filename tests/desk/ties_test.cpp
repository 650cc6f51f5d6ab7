// Tying clips from the desk: the keys that mark a shared moment, in the real window, and the offer of a tie
// by sound.
#include <catch2/catch.hpp>
#include <chrono>
#include <thread>

#include "bench_sound/sound_room.h"
#include "desk/drive.h"
#include "desk/internal/ties_desk.h"
#include "desk/key_bench.h"
#include "desk/test_meet.h"
#include "review/session.h"

namespace {

namespace fs = std::filesystem;
using namespace plumbmark;

/// A meet with two clips; 'second': the other one's file.
std::unique_ptr<review::Session> with_second(const fs::path& meet_file, const fs::path& second) {
    auto session = review::Session::open(meet_file);
    REQUIRE(session.ok());
    REQUIRE((*session)->add_clip(second, "camera B").ok());
    (void)(*session)->settle();
    REQUIRE((*session)->flush().ok());
    return std::move(*session);
}

}  // namespace

TEST_CASE("Shift S marks a moment and H on the other clip ties the two") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const auto clip = test::make_clip(folder.path(), "camera-a.mp4", 100);
    const auto second = test::make_clip(folder.path(), "camera-b.mp4", 90);
    REQUIRE((clip && second));
    const fs::path meet_file = test::make_meet(folder.path(), *clip);
    with_second(meet_file, *second).reset();
    const std::string script =
        "title f 0$\nkey Right Right Right\ntitle f 3$\nkey shift+s\n"
        "key Tab\ntitle camera B.*f 0$\nkey shift+Right\ntitle f 10$\nkey h\nkey ctrl+q\nclose\n";
    CHECK(test::drive(folder.path(), "PLUMBMARK_DESK_FILE='" + meet_file.string() + "'", script) == 0);
    const auto session = review::Session::open(meet_file);
    REQUIRE(session.ok());
    const auto& marks = (*session)->state().marks();
    REQUIRE(marks.size() == 1);
    const meet::Mark& mark = marks.begin()->second;
    CHECK(mark.alternatives.front().kind == meet::EventKind::moment);
    REQUIRE(mark.sightings.size() == 2);
    CHECK(mark.sightings[0].late->number == 3);
    CHECK(mark.sightings[1].late->number == 10);
}

TEST_CASE("what is heard on both clips is offered and becomes one change that keeps it") {
    if (!test::has_program("ffmpeg")) return;
    const test::TemporaryFolder folder;
    const bench::Pair pair = bench::common_pair(bench::Sounds::mixed, 15, 300'031);
    const auto clip_of = [&](const std::string& name, const std::vector<float>& sound, int rate) {
        const fs::path wave = folder / (name + ".wav"), clip = folder / (name + ".mp4");
        bench::write_wave(wave, sound, rate);
        const std::string command =
            "ffmpeg -v error -nostdin -y -i '" + wave.string() +
            "' -f lavfi -i testsrc2=s=64x48:r=25 -shortest -c:v libx264 -preset ultrafast "
            "-c:a aac '" +
            clip.string() + "'";
        REQUIRE(std::system(command.c_str()) == 0);
        return clip;
    };
    const fs::path meet_file =
        test::make_meet(folder.path(), clip_of("camera-a", pair.first, pair.first_rate));
    desk::TiesDesk ties([] {});
    {
        auto session = review::Session::open(meet_file);
        REQUIRE(session.ok());
        (void)(*session)->settle();
        const auto alone = ties.ask(**session, 20);
        REQUIRE_FALSE(alone.ok());
        CHECK(alone.error().sentence.english().find("a tie needs two") != std::string::npos);
    }
    const auto session = with_second(meet_file, clip_of("camera-b", pair.second, pair.second_rate));
    REQUIRE(ties.ask(*session, 20).ok());
    CHECK(ties.listening());
    CHECK(ties.progress_words().starts_with("listening "));
    std::optional<desk::TiesDesk::Found> found;
    for (int i = 0; i < 6000 && !found; ++i) {
        found = ties.take();
        if (!found) std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    REQUIRE(found);
    INFO(found->words);
    CHECK(found->to_keep);
    CHECK(found->words.find("by sound)") != std::string::npos);
    CHECK_FALSE(ties.listening());
    CHECK(ties.progress_words().empty());
    const auto change = ties.kept(*session);
    REQUIRE(change.ok());
    REQUIRE(session->apply(*change).ok());
    CHECK(session->state().marks().size() == 1);
    REQUIRE(ties.ask(*session, 20).ok());
    ties.stop();
    CHECK_FALSE(ties.listening());
    CHECK_FALSE(ties.kept(*session).ok());
}

TEST_CASE("with one clip there is nothing to listen to, and it is said before any distance is asked for") {
    test::KeyBench bench;
    if (!bench.can_run()) return;
    bench.session().select_run(meet::RunId{1});
    REQUIRE(bench.session().clips().size() == 1);
    bench.press(desk::Action::tie_by_sound);
    CHECK_FALSE(bench.core().views().entry);
    REQUIRE(bench.core().views().messages.size() == 1);
    CHECK(bench.core().views().messages.front().text.find("one clip") != std::string::npos);
}
