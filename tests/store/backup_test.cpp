// Backups of a meet file, and putting them back: also while the meet is on, and when things fail.
#include "store/backup.h"

#include <signal.h>
#include <SQLiteCpp/SQLiteCpp.h>
#include <sys/resource.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <set>
#include <thread>

#include "meet/random_changes.h"
#include "store/meet_file.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace plumbmark {
namespace {

namespace fs = std::filesystem;
using base::Category;
using store::MeetFile;
using test::bytes_of;

const meet::MeetInfo kInfo{"Pier Nine Youth Open", "harbour hall", "2026-05-02"};

/// A meet file with some random changes; gives its state.
meet::State make_meet(const fs::path& path, int changes, std::uint64_t seed = 1) {
    auto file = MeetFile::create(path, kInfo);
    REQUIRE(file.ok());
    meet::State state = file->loaded();
    test::RandomChanges random(seed);
    for (int i = 0; i < changes; ++i) {
        const meet::Change change = random.next(state);
        REQUIRE(state.apply(change).ok());
        file->submit(change);
    }
    REQUIRE(file->flush().ok());
    return state;
}

meet::State state_of(const fs::path& path) {
    store::OpenOptions reading;
    reading.read_only = true;
    const auto file = MeetFile::open(path, reading);
    INFO((file ? "" : file.error().text()));
    REQUIRE(file.ok());
    return file->loaded();
}

std::vector<std::string> rows_of(const fs::path& path) {
    store::OpenOptions reading;
    reading.read_only = true;
    const auto file = MeetFile::open(path, reading);
    REQUIRE(file.ok());
    const auto journal = file->journal(1, 1'000'000);
    REQUIRE(journal.ok());
    std::vector<std::string> rows;
    for (const store::JournalRow& row : *journal)
        rows.push_back(row.canonical_json);
    return rows;
}

std::set<std::string> names_in(const fs::path& folder) {
    std::set<std::string> names;
    for (const auto& entry : fs::directory_iterator(folder))
        names.insert(entry.path().filename().string());
    return names;
}

/// Files of this program may not grow beyond a size while it lives; a write beyond fails.
class SizeLimit {
  public:
    explicit SizeLimit(rlim_t bytes) : before_(::signal(SIGXFSZ, SIG_IGN)) {
        ::getrlimit(RLIMIT_FSIZE, &limit_);
        const rlimit less{bytes, limit_.rlim_max};
        ::setrlimit(RLIMIT_FSIZE, &less);
    }
    SizeLimit(const SizeLimit&) = delete;
    SizeLimit& operator=(const SizeLimit&) = delete;
    ~SizeLimit() {
        ::setrlimit(RLIMIT_FSIZE, &limit_);
        ::signal(SIGXFSZ, before_);
    }

  private:
    rlimit limit_{};
    void (*before_)(int);
};

TEST_CASE("a backup holds the same state and the same bytes of every journal row") {
    const test::TemporaryFolder folder;
    const auto path = folder / "open.meet";
    const meet::State state = make_meet(path, 40);
    double last = 0;
    const auto copied = store::back_up(path, folder / "copy.meet", [&](double share) {
        CHECK(share >= last);
        last = share;
        return true;
    });
    INFO((copied ? "" : copied.error().text()));
    REQUIRE(copied.ok());
    CHECK(copied->rows == 41);
    CHECK(last == 1.0);
    CHECK(state_of(copied->file) == state);
    CHECK(rows_of(copied->file) == rows_of(path));
    CHECK(store::verify_chain(copied->file)->whole);
    CHECK(names_in(folder.path()) == std::set<std::string>{"open.meet", "copy.meet"});
}

TEST_CASE("a backup while another program writes is a state that was there") {
    const test::TemporaryFolder folder;
    const auto path = folder / "open.meet";
    make_meet(path, 20);
    auto writer = MeetFile::open(path);
    REQUIRE(writer.ok());
    std::atomic<bool> stop = false;
    std::thread writing([&] {
        meet::State state = writer->loaded();
        test::RandomChanges random(2);
        while (!stop) {
            const meet::Change change = random.next(state);
            if (!state.apply(change)) return;
            writer->submit(change);
            if (!writer->flush()) return;
        }
    });
    const std::vector<std::string> before = rows_of(path);
    for (int i = 0; i < 8; ++i) {
        const auto copied = store::back_up(path, folder / (std::to_string(i) + ".meet"));
        INFO((copied ? "" : copied.error().text()));
        CHECK(copied.ok());
        if (!copied) break;
        CHECK(copied->rows >= std::ssize(before));
    }
    stop = true;
    writing.join();
    CHECK_FALSE(writer->failure());
    const std::vector<std::string> all = rows_of(path);
    const std::vector<std::string> last = rows_of(folder / "7.meet");
    REQUIRE(last.size() <= all.size());
    CHECK(std::equal(last.begin(), last.end(), all.begin()));
}

TEST_CASE("a backup never takes the place of another file") {
    const test::TemporaryFolder folder;
    make_meet(folder / "open.meet", 2);
    test::write_bytes(folder / "copy.meet", "mine");
    const auto copied = store::back_up(folder / "open.meet", folder / "copy.meet");
    REQUIRE_FALSE(copied.ok());
    CHECK(copied.error().sentence.english().find("there is a file of this name already") !=
          std::string::npos);
    CHECK(bytes_of(folder / "copy.meet") == "mine");
    fs::create_symlink("nowhere", folder / "link.meet");
    CHECK_FALSE(store::back_up(folder / "open.meet", folder / "link.meet").ok());
}

TEST_CASE("a backup that does not fit on the disk is told, and leaves nothing behind") {
    const test::TemporaryFolder folder;
    const auto path = folder / "open.meet";
    make_meet(path, 60);
    const auto whole = fs::file_size(path);
    for (const rlim_t bytes : {rlim_t{0}, rlim_t{4'096}, rlim_t{whole / 2}, rlim_t{whole - 1}}) {
        CAPTURE(bytes, whole);
        const auto copied = [&] {
            const SizeLimit limit(bytes);
            return store::back_up(path, folder / "copy.meet");
        }();
        REQUIRE_FALSE(copied.ok());
        CHECK(copied.error().category == Category::io);
        CHECK(names_in(folder.path()) == std::set<std::string>{"open.meet"});
    }
    CHECK(store::back_up(path, folder / "copy.meet").ok());
}

TEST_CASE("a backup that is stopped leaves nothing behind") {
    const test::TemporaryFolder folder;
    make_meet(folder / "open.meet", 5);
    const auto copied =
        store::back_up(folder / "open.meet", folder / "copy.meet", [](double) { return false; });
    CHECK(copied.error().category == Category::cancelled);
    CHECK(names_in(folder.path()) == std::set<std::string>{"open.meet"});
}

TEST_CASE("a backup's name is the meet's, with the day and the time") {
    const auto name = store::backup_name("/a/pier-nine.meet", "", 1'777'712'400).filename().string();
    CHECK(name.starts_with("pier-nine 2026-05-0"));
    CHECK(name.ends_with(".meet"));
    CHECK(name.size() == std::string("pier-nine 2026-05-02 09.00.00.meet").size());
    CHECK(store::backup_name("pier-nine.meet", "replaced", 0)
              .filename()
              .string()
              .starts_with("pier-nine replaced "));
}

TEST_CASE("a backup that is put back is what was saved, and what was there is kept") {
    const test::TemporaryFolder folder;
    const auto path = folder / "open.meet";
    const meet::State state = make_meet(path, 10);
    REQUIRE(store::back_up(path, folder / "copy.meet").ok());
    meet::State later = state;
    {
        auto file = MeetFile::open(path);
        test::RandomChanges random(5);
        for (int i = 0; i < 3; ++i) {
            const meet::Change change = random.next(later);
            REQUIRE(later.apply(change).ok());
            file->submit(change);
        }
        REQUIRE(file->flush().ok());
    }
    const auto restored = store::restore(folder / "copy.meet", path, folder / "kept.meet");
    INFO((restored ? "" : restored.error().text()));
    REQUIRE(restored.ok());
    CHECK(restored->rows == 11);
    CHECK(restored->rows_before == 14);
    CHECK(state_of(path) == state);
    CHECK(state_of(folder / "kept.meet") == later);
    CHECK(names_in(folder.path()) == std::set<std::string>{"open.meet", "copy.meet", "kept.meet"});

    const auto fresh = store::restore(folder / "copy.meet", folder / "new.meet", folder / "none.meet");
    REQUIRE(fresh.ok());
    CHECK(fresh->kept.empty());
    CHECK(state_of(folder / "new.meet") == state);
}

TEST_CASE("a backup is not put back while another program has the meet open") {
    const test::TemporaryFolder folder;
    const auto path = folder / "open.meet";
    make_meet(path, 3);
    REQUIRE(store::back_up(path, folder / "copy.meet").ok());
    const auto writer = MeetFile::open(path);
    REQUIRE(writer.ok());
    const auto restored = store::restore(folder / "copy.meet", path, folder / "kept.meet");
    REQUIRE_FALSE(restored.ok());
    CHECK(restored.error().category == Category::busy);
    CHECK_FALSE(fs::exists(folder / "kept.meet"));
    CHECK_FALSE(fs::exists(folder / "open.meet.part"));
}

TEST_CASE("what is no sound backup of this meet is refused, and the meet stays as it is") {
    const test::TemporaryFolder folder;
    const auto path = folder / "open.meet";
    make_meet(path, 30);
    REQUIRE(store::back_up(path, folder / "copy.meet").ok());
    const std::string meet_bytes = bytes_of(path);
    const std::string backup = bytes_of(folder / "copy.meet");
    const auto refused = [&](const char* what) {
        const auto restored = store::restore(folder / "bad.meet", path, folder / "kept.meet");
        INFO(what << ": " << (restored ? "restored" : restored.error().text()));
        REQUIRE_FALSE(restored.ok());
        CHECK(bytes_of(path) == meet_bytes);
        CHECK_FALSE(fs::exists(folder / "kept.meet"));
        CHECK_FALSE(fs::exists(folder / "open.meet.part"));
        return restored.error();
    };
    CHECK(refused("no file").category == Category::not_found);
    test::write_bytes(folder / "bad.meet", "");
    CHECK(refused("an empty file").category == Category::damaged);
    test::write_bytes(folder / "bad.meet",
                      "not a meet at all, but long enough to hold a header of a database.....");
    CHECK(refused("a text").category == Category::damaged);
    for (const std::size_t size :
         {std::size_t{50}, std::size_t{4'096}, backup.size() / 2, backup.size() - 1}) {
        test::write_bytes(folder / "bad.meet", backup.substr(0, size));
        CHECK(refused("cut off").category == Category::damaged);
    }
    std::string changed = backup;
    const std::size_t label = changed.find("\"label\":\"change ");
    REQUIRE(label != std::string::npos);
    changed[label + 16] = changed[label + 16] == '1' ? '2' : '1';
    test::write_bytes(folder / "bad.meet", changed);
    CHECK(refused("a row that was changed").category == Category::damaged);
    fs::remove(folder / "bad.meet");
    {
        SQLite::Database(folder / "bad.meet", SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE)
            .exec("CREATE TABLE a (b)");
    }
    CHECK(refused("another database").category == Category::damaged);
    fs::remove(folder / "bad.meet");
    make_meet(folder / "bad.meet", 3);
    const base::Error other = refused("another meet");
    CHECK(other.category == Category::bad_input);
    CHECK(other.sentence.english().find("a backup of another meet") != std::string::npos);
    CHECK(store::restore(path, path, folder / "kept.meet").error().category == Category::bad_input);
}

TEST_CASE("a backup that does not fit beside the meet is not put back, and nothing is lost") {
    const test::TemporaryFolder folder;
    const auto path = folder / "open.meet";
    make_meet(path, 40);
    REQUIRE(store::back_up(path, folder / "copy.meet").ok());
    const std::string meet_bytes = bytes_of(path);
    const auto restored = [&] {
        const SizeLimit limit(meet_bytes.size() / 2);
        return store::restore(folder / "copy.meet", path, folder / "kept.meet");
    }();
    REQUIRE_FALSE(restored.ok());
    CHECK(restored.error().category == Category::io);
    CHECK(bytes_of(path) == meet_bytes);
    CHECK(names_in(folder.path()) == std::set<std::string>{"open.meet", "copy.meet"});
}

TEST_CASE("a damaged meet is replaced by its backup, and kept with the journal beside it") {
    const test::TemporaryFolder folder;
    const auto path = folder / "open.meet";
    const meet::State state = make_meet(path, 10);
    REQUIRE(store::back_up(path, folder / "copy.meet").ok());
    test::write_bytes(path, "gone");
    test::write_bytes(folder / "open.meet-journal", "half a change");
    const auto restored = store::restore(folder / "copy.meet", path, folder / "kept.meet");
    INFO((restored ? "" : restored.error().text()));
    REQUIRE(restored.ok());
    CHECK(restored->rows_before == 0);
    CHECK(state_of(path) == state);
    CHECK(bytes_of(folder / "kept.meet") == "gone");
    CHECK(bytes_of(folder / "kept.meet-journal") == "half a change");
}

}  // namespace
}  // namespace plumbmark
