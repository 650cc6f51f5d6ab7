// A clip that was moved is found again and its new place kept; another file is never taken for it.
#include "review/clip_search.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <fstream>
#include <thread>

#include "review/clip_files.h"
#include "review/session.h"
#include "store/meet_file.h"
#include "support/file_bytes.h"
#include "support/run_program.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace plumbmark {
namespace {

namespace fs = std::filesystem;
using review::Session;
using test::bytes_of;
using test::write_bytes;

const fs::path kSamples = test::source_folder() / "sample_clips";

/// A meet with one clip in its folder, closed again once all is known of the clip.
struct Trial {
    test::TemporaryFolder folder;
    fs::path meet = folder / "open.meet";
    fs::path clip = folder / "cam01.mp4";

    Trial() {
        fs::copy_file(kSamples / "run-1-a.mp4", clip);
        auto made = Session::create(meet, {"Pier Nine Youth Open", "", ""});
        REQUIRE(made.ok());
        REQUIRE((*made)->add_clip(clip).ok());
        settle(**made);
        REQUIRE_FALSE(stored(**made).fingerprint.empty());
    }
    static void settle(Session& session) {
        REQUIRE(session.settle().ok());
        REQUIRE(session.find_repeats().ok());
        REQUIRE(session.flush().ok());
    }
    [[nodiscard]] std::unique_ptr<Session> open(bool read_only = false) const {
        review::SessionOptions options;
        options.read_only = read_only;
        auto session = Session::open(meet, options);
        REQUIRE(session.ok());
        (void)(*session)->settle();
        return std::move(*session);
    }
    /// Polls until it is so, for at most ten seconds.
    template <class Done>
    static bool wait_until(Session& session, const Done& done) {
        const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(10);
        while (!done() && std::chrono::steady_clock::now() < end) {
            session.poll();
            std::this_thread::sleep_for(std::chrono::milliseconds(2));
        }
        return done();
    }
    /// Waits until the clip is kept as being at this place below the meet's folder.
    static void wait_for_place(Session& session, const std::string& place) {
        CHECK(wait_until(session, [&] { return stored(session).relative_path == place; }));
        CHECK_FALSE(session.clips().front().error);
        REQUIRE(session.flush().ok());
    }
    static meet::Clip stored(const Session& session) { return session.state().clips().begin()->second; }
};

TEST_CASE("a clip that was moved below the meet's folder is found by its name, and its place kept") {
    const Trial trial;
    fs::create_directories(trial.folder / "day 1/cameras");
    fs::rename(trial.clip, trial.folder / "day 1/cameras/cam01.mp4");
    {
        const auto session = trial.open();
        Trial::wait_for_place(*session, "day 1/cameras/cam01.mp4");
        CHECK(session->clips().front().file == trial.folder / "day 1/cameras/cam01.mp4");
        CHECK_FALSE(session->undo_label());  // a row of the program's own
    }
    const auto file = store::MeetFile::open(trial.meet);
    REQUIRE(file.ok());
    const auto rows = file->journal(1, 100);
    REQUIRE(rows.ok());
    CHECK(std::count_if(rows->begin(), rows->end(), [](const store::JournalRow& row) {
              return row.label == "a clip was found again";
          }) == 1);
    CHECK(store::verify_chain(trial.meet)->whole);
}

TEST_CASE("a clip that was renamed as well is found by its fingerprint") {
    const Trial trial;
    fs::create_directories(trial.folder / "old");
    fs::rename(trial.clip, trial.folder / "old/GX010023.MP4");
    write_bytes(trial.folder / "notes.txt", "no clip");
    const auto session = trial.open();
    Trial::wait_for_place(*session, "old/GX010023.MP4");
}

TEST_CASE("a clip that went to the folder of another clip is found there") {
    const Trial trial;
    const test::TemporaryFolder elsewhere;
    fs::copy_file(kSamples / "run-2-a.mp4", elsewhere / "cam02.mp4");
    {
        const auto session = trial.open();
        REQUIRE(session->add_clip(elsewhere / "cam02.mp4").ok());
        Trial::settle(*session);
    }
    fs::copy_file(trial.clip, elsewhere / "cam01.mp4");
    fs::remove(trial.clip);
    const auto session = trial.open();
    const std::string place = (elsewhere / "cam01.mp4").string();
    CHECK(Trial::wait_until(*session, [&] { return Trial::stored(*session).last_known_path == place; }));
    CHECK(Trial::stored(*session).relative_path.empty());
}

TEST_CASE("a file of the same name and size that is another one is refused, and named") {
    const Trial trial;
    std::string bytes = bytes_of(trial.clip);
    fs::create_directories(trial.folder / "sub");
    bytes[100] = static_cast<char>(bytes[100] ^ 1);
    write_bytes(trial.folder / "sub/cam01.mp4", bytes);
    fs::remove(trial.clip);
    const auto session = trial.open();
    REQUIRE(session->clips().front().error);
    const base::Error error = *session->clips().front().error;
    INFO(error.text());
    CHECK(error.category == base::Category::not_found);
    CHECK(error.sentence.english().find("is another file of its name") != std::string::npos);
    CHECK(Trial::stored(*session).relative_path == "cam01.mp4");
    // The right one is taken where both are there.
    fs::copy_file(kSamples / "run-1-a.mp4", trial.folder / "sub/again.mp4");
    const auto found = review::search_clip_file(Trial::stored(*session), {trial.folder.path(), {}}, {});
    REQUIRE(found.ok());
    CHECK(found->filename() == "again.mp4");
}

TEST_CASE("a changed file in the clip's own place is refused, and the meet keeps what it knew") {
    const Trial trial;
    std::string bytes = bytes_of(trial.clip);
    bytes[bytes.size() / 2] = static_cast<char>(bytes[bytes.size() / 2] ^ 1);
    bytes[10] = static_cast<char>(bytes[10] ^ 1);
    write_bytes(trial.clip, bytes);
    const auto session = trial.open();
    CHECK(Trial::wait_until(*session, [&] { return session->clips().front().error.has_value(); }));
    meet::Clip before;
    {
        const auto reading = trial.open(true);
        before = Trial::stored(*reading);
    }
    CHECK(Trial::stored(*session).fingerprint == before.fingerprint);
}

TEST_CASE("who only reads finds a moved clip, too, and writes nothing") {
    const Trial trial;
    fs::create_directories(trial.folder / "sub");
    fs::rename(trial.clip, trial.folder / "sub/cam01.mp4");
    const std::string before = bytes_of(trial.meet);
    const auto session = trial.open(true);
    CHECK_FALSE(session->clips().front().error);
    CHECK(bytes_of(trial.meet) == before);
    const auto found = review::read_clip_file(trial.folder.path(), Trial::stored(*session));
    REQUIRE(found.ok());
    CHECK(found->moved_to == trial.folder / "sub/cam01.mp4");
    const auto answer = test::run_line("'" + test::build_folder().string() + "/plumbmark' verify --clips '" +
                                       trial.meet.string() + "' 2>&1");
    INFO(answer.words);
    CHECK(answer.words.find("sub/cam01.mp4") != std::string::npos);
}

TEST_CASE("a clip whose place was erased is not looked for: its file's name would come back") {
    const Trial trial;
    meet::Clip clip = Trial::stored(*trial.open(true));
    REQUIRE(review::search_clip_file(clip, {trial.folder.path(), {}}, {}).ok());
    clip.relative_path.clear();
    clip.last_known_path.clear();
    const auto found = review::search_clip_file(clip, {trial.folder.path(), {}}, {});
    REQUIRE_FALSE(found.ok());
    CHECK(found.error().category == base::Category::not_found);
}

TEST_CASE("links that lead round in circles end the search") {
    const Trial trial;
    fs::create_directory_symlink(trial.folder.path(), trial.folder / "circle");
    fs::remove(trial.clip);
    const auto session = trial.open();
    CHECK(session->clips().front().error->category == base::Category::not_found);
}

}  // namespace
}  // namespace plumbmark
