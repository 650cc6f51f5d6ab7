// The SHA-256 of whole files in a session: found in the background, kept, and held to the file when it was
// written to.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <thread>

#include "review/clip_files.h"
#include "review/internal/content_job.h"
#include "review/session.h"
#include "store/meet_file.h"
#include "support/file_bytes.h"
#include "support/run_program.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

namespace fs = std::filesystem;
namespace meet = plumbmark::meet;
using plumbmark::review::ContentJob;
using plumbmark::review::Session;
using plumbmark::review::SessionOptions;
using plumbmark::test::bytes_of;
using plumbmark::test::TemporaryFolder;

const fs::path kSamples = plumbmark::test::source_folder() / "sample_clips";
constexpr std::chrono::seconds kMoment{2};

std::string sha256sum(const fs::path& path) {
    const auto answer = plumbmark::test::run_line("sha256sum '" + path.string() + "'");
    REQUIRE(answer.code == 0);
    REQUIRE(answer.words.size() > 64);
    return answer.words.substr(0, 64);
}

SessionOptions reading_whole(bool read_only = false) {
    SessionOptions options;
    options.read_only = read_only;
    options.read_whole_files = true;
    return options;
}

/// A meet of one run with one clip beside it.
struct Trial {
    TemporaryFolder folder;
    fs::path meet = folder / "trial.meet";
    fs::path clip = folder / "clip.mp4";

    explicit Trial(const SessionOptions& options) {
        fs::copy_file(kSamples / "run-2-a.mp4", clip);
        auto session = Session::create(meet, {"Pier Nine Youth Open", "harbour hall", "2026-05-02"}, options);
        REQUIRE(session.ok());
        REQUIRE((*session)->add_book("pier-nine.course", bytes_of(kSamples / "pier-nine.course")).ok());
        REQUIRE((*session)->add_clip(clip).ok());
        wait_for(**session, [&](Session& s) { return !options.read_whole_files || content_in(s); });
        CHECK((*session)->undo_label() == "add clip");
        REQUIRE((*session)->flush().ok());
    }

    static std::optional<meet::ClipContent> content_in(Session& session) {
        return session.state().clips().begin()->second.content;
    }
    template <class Done>
    static void wait_for(Session& session, Done done) {
        REQUIRE(session.settle().ok());
        while (!done(session)) {
            session.poll();
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        }
    }
    std::unique_ptr<Session> open(const SessionOptions& options) const {
        auto session = Session::open(meet, options);
        REQUIRE(session.ok());
        REQUIRE((*session)->settle().ok());
        return std::move(*session);
    }
    /// Changes a byte between two of the blocks that the fingerprint samples.
    void change_unsampled_byte() const {
        const auto size = static_cast<std::int64_t>(fs::file_size(clip));
        const std::int64_t apart = (size - 16'384) / 15;
        REQUIRE(apart > 16'384 + 200);
        const std::int64_t at = apart * 7 + 16'384 + 100;
        std::fstream file(clip, std::ios::binary | std::ios::in | std::ios::out);
        file.seekg(at);
        const char byte = static_cast<char>(file.get() ^ 1);
        file.seekp(at);
        file.put(byte);
    }
    void set_time(fs::file_time_type time) const { fs::last_write_time(clip, time); }
};

bool told_as_changed(Session& session) {
    const auto& error = session.clips().front().error;
    return error && error->sentence.english().find("its content changed") != std::string::npos;
}

void poll_for_a_moment(Session& session) {
    const auto end = std::chrono::steady_clock::now() + std::chrono::milliseconds(700);
    while (std::chrono::steady_clock::now() < end) {
        session.poll();
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
}

}  // namespace

TEST_CASE("a clip gets sha256sum's digest of its file by and by, in a row that no undo takes back") {
    const Trial trial(reading_whole());
    auto session = trial.open(reading_whole());
    const auto content = Trial::content_in(*session);
    REQUIRE(content);
    CHECK(content->sha256 == sha256sum(trial.clip));
    const auto report = plumbmark::store::verify_chain(trial.meet);
    REQUIRE(report.ok());
    CHECK(report->whole);
    // A change of the clip made by the reviewer is taken back without what was found out about its file.
    const meet::Clip before = session->state().clips().begin()->second;
    meet::Clip delayed = before;
    delayed.row_delay = plumbmark::base::Duration{9'000'000};
    delayed.content.reset();
    REQUIRE(session->apply({"forget", {{before, delayed}}, 0}).ok());
    meet::Clip found = delayed;
    found.content = content;
    found.row_delay = plumbmark::base::Duration{8'000'000};
    REQUIRE(session->apply({"row delay", {{delayed, found}}, 0}).ok());
    REQUIRE(session->undo().ok());
    CHECK(session->state().clips().begin()->second.row_delay == delayed.row_delay);
    CHECK(Trial::content_in(*session) == content);
}

TEST_CASE("a session that is not told to read whole files leaves them alone") {
    const Trial trial{SessionOptions{}};
    auto session = trial.open({});
    poll_for_a_moment(*session);
    CHECK_FALSE(Trial::content_in(*session));
}

TEST_CASE("a file that was written to where no sample lies is told as changed") {
    const Trial trial(reading_whole());
    trial.change_unsampled_byte();
    trial.set_time(fs::file_time_type::clock::now() + kMoment);
    for (const bool read_only : {true, false}) {
        INFO(read_only);
        auto session = trial.open(reading_whole(read_only));
        Trial::wait_for(*session, told_as_changed);
        CHECK(Trial::content_in(*session)->sha256 != sha256sum(trial.clip));
        REQUIRE(session->settle().ok());
        CHECK(session->ruling().current);
    }
}

TEST_CASE(
    "a file with another time and the same content stays the clip, and is not read a second time for it") {
    const Trial trial(reading_whole());
    trial.set_time(fs::last_write_time(trial.clip) + kMoment);
    const auto before = Trial::content_in(*trial.open({}));
    {
        auto session = trial.open(reading_whole(true));
        poll_for_a_moment(*session);
        CHECK(Trial::content_in(*session) == before);  // reading only, nothing is kept
        CHECK_FALSE(session->clips().front().error);
    }
    auto session = trial.open(reading_whole());
    Trial::wait_for(*session, [&](Session& s) { return Trial::content_in(s) != before; });
    CHECK(Trial::content_in(*session)->sha256 == before->sha256);
    CHECK(Trial::content_in(*session)->changed_at == before->changed_at + 2'000'000'000);
    CHECK_FALSE(session->clips().front().error);
}

TEST_CASE("a file whose time stayed is not read again: that is what verifying is for") {
    const Trial trial(reading_whole());
    const auto time = fs::last_write_time(trial.clip);
    trial.change_unsampled_byte();
    trial.set_time(time);
    auto session = trial.open(reading_whole());
    poll_for_a_moment(*session);
    CHECK_FALSE(told_as_changed(*session));

    using plumbmark::review::FileState;
    const meet::Clip clip = session->state().clips().begin()->second;
    const auto verified = plumbmark::review::read_clip_file(trial.folder.path(), clip);
    REQUIRE(verified.ok());
    CHECK(verified->state == FileState::other);
    CHECK(verified->sha256 == sha256sum(trial.clip));
    CHECK(plumbmark::review::content_words(clip, verified) ==
          "camera A: its file is not the one that was marked. SHA-256 " + sha256sum(trial.clip) +
              ", and it was " + clip.content->sha256);
}

TEST_CASE("verifying reads a clip's file whole and says what it is") {
    const Trial trial{reading_whole()};
    using namespace plumbmark::review;
    meet::Clip clip = trial.open({})->state().clips().begin()->second;
    const std::string sum = sha256sum(trial.clip);
    CHECK(content_words(clip) == "camera A: SHA-256 " + sum);
    double share = 0;
    const auto found = read_clip_file(trial.folder.path(), clip, {}, [&](double now) { share = now; });
    REQUIRE(found.ok());
    CHECK(found->state == FileState::same);
    CHECK(share == 1.0);
    CHECK(content_words(clip, found) == "camera A: its file is the one that was marked, SHA-256 " + sum);
    clip.content.reset();
    CHECK(content_words(clip) == "camera A: the SHA-256 of its file is not known yet");
    CHECK(content_words(clip, read_clip_file(trial.folder.path(), clip)) ==
          "camera A: the meet does not know the SHA-256 of its file yet; it is " + sum);
    fs::remove(trial.clip);
    const auto gone = read_clip_file(trial.folder.path(), clip);
    REQUIRE_FALSE(gone.ok());
    CHECK(gone.error().category == plumbmark::base::Category::not_found);
    CHECK(content_words(clip, gone).find("camera A: its file cannot be read.") == 0);
}

TEST_CASE("a job rests while it is held, tells how far it is, and drops what nobody wants") {
    const TemporaryFolder folder;
    const fs::path file = folder / "large.bin";
    std::ofstream(file, std::ios::binary) << std::string(3'000'000, 'x');
    std::atomic<int> wakes{0};
    ContentJob job([&] { ++wakes; }, std::make_shared<plumbmark::review::HandMovement>());
    const meet::ClipId first{1}, second{2};
    CHECK(job.progress(first) < 0);
    job.hold(true);
    job.ask(first, file, std::nullopt);
    job.ask(second, file, std::nullopt);
    while (job.progress(first) < 0)
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
    CHECK(job.progress(first) == 0);
    CHECK(job.progress(second) < 0);
    CHECK(job.take().empty());
    job.forget(first);
    job.hold(false);
    std::vector<plumbmark::review::ContentFound> found;
    while (found.empty()) {
        found = job.take();
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    REQUIRE(found.size() == 1);
    CHECK(found.front().clip == second);
    REQUIRE(found.front().content.ok());
    CHECK(found.front().content->value().sha256 == sha256sum(file));
    CHECK(wakes > 0);
    CHECK(job.progress(second) < 0);
    // One that is held or waits for its turn does not keep its owner from going.
    job.hold(true);
    job.ask(first, file, std::nullopt);
}
