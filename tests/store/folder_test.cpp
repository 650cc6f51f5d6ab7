// What happens to the file and its folder from outside while a meet is on.
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <iostream>

#include "meet/random_changes.h"
#include "store/meet_file.h"
#include "support/temporary_folder.h"

namespace plumbmark {
namespace {

using base::Category;
using store::MeetFile;
using store::OpenOptions;

const meet::MeetInfo kInfo{"Pier Nine Youth Open", "harbour warehouse", "2026-05-02"};

OpenOptions reading() {
    OpenOptions options;
    options.read_only = true;
    return options;
}

// The superuser may write anywhere, so for this one test it acts as a user who may not.
class OrdinaryUser {
  public:
    OrdinaryUser() : changed_(::geteuid() == 0 && ::seteuid(65534) == 0) {}
    OrdinaryUser(const OrdinaryUser&) = delete;
    OrdinaryUser& operator=(const OrdinaryUser&) = delete;
    ~OrdinaryUser() {
        if (changed_ && ::seteuid(0) != 0) std::abort();
    }

  private:
    bool changed_;
};

TEST_CASE("in a folder that cannot be written a meet can be read, and writing is refused with the reason") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    { REQUIRE(MeetFile::create(path, kInfo).ok()); }
    std::filesystem::permissions(path, std::filesystem::perms(0444));
    std::filesystem::permissions(folder.path(), std::filesystem::perms(0555));
    {
        const OrdinaryUser user;
        const base::Result<MeetFile> file = MeetFile::open(path, reading());
        REQUIRE(file.ok());
        CHECK(file->loaded().info() == kInfo);
        CHECK(store::verify_chain(path)->whole);
        const base::Result<MeetFile> writing = MeetFile::open(path);
        REQUIRE_FALSE(writing.ok());
        CHECK(writing.error().category == Category::io);
        CHECK(writing.error().sentence.english().find("cannot be written (Permission denied)") !=
              std::string::npos);
        CHECK(MeetFile::create(folder / "b.meet", kInfo).error().category == Category::io);
    }
    std::filesystem::permissions(folder.path(), std::filesystem::perms(0755));
    {
        const OrdinaryUser user;
        CHECK(MeetFile::open(path).error().category == Category::io);
    }
    std::filesystem::permissions(path, std::filesystem::perms(0644));
    CHECK(MeetFile::open(path).ok());
}

TEST_CASE("a file that is taken away while it is open is noticed, and goes on when it is put back") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    base::Result<MeetFile> file = MeetFile::create(path, kInfo);
    REQUIRE(file.ok());
    file->submit({"one", {{{}, meet::Athlete{{1}, "1", "", "", ""}}}, 0});
    REQUIRE(file->flush().ok());
    std::filesystem::rename(path, folder / "elsewhere.meet");
    file->submit({"two", {{{}, meet::Athlete{{2}, "2", "", "", ""}}}, 0});
    const base::Result<void> flushed = file->flush();
    REQUIRE_FALSE(flushed.ok());
    INFO(flushed.error().text());
    CHECK(flushed.error().sentence.english().find("was moved or removed while it was open") !=
          std::string::npos);
    CHECK(file->committed() == 1);
    file->retry();
    CHECK(file->flush().error().category == Category::not_found);
    std::filesystem::rename(folder / "elsewhere.meet", path);
    file->retry();
    REQUIRE(file->flush().ok());
    CHECK(file->committed() == 2);
    CHECK(store::verify_chain(path)->rows == 3);
}

TEST_CASE("a file that was exchanged for another one is not written to") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    { REQUIRE(MeetFile::create(folder / "b.meet", kInfo).ok()); }
    base::Result<MeetFile> file = MeetFile::create(path, kInfo);
    REQUIRE(file.ok());
    std::filesystem::rename(folder / "b.meet", path);
    file->submit({"one", {{{}, meet::Athlete{{1}, "1", "", "", ""}}}, 0});
    CHECK_FALSE(file->flush().ok());
    file->retry();
    const base::Result<void> again = file->flush();
    REQUIRE_FALSE(again.ok());
    CHECK(again.error().sentence.english().find("no longer ends where this program left it") !=
          std::string::npos);
    CHECK(store::verify_chain(path)->rows == 1);
}

TEST_CASE("how long a change takes until it is on the disk for good", "[.][latency]") {
    const test::TemporaryFolder folder;
    base::Result<MeetFile> file = MeetFile::create(folder / "a.meet", kInfo);
    REQUIRE(file.ok());
    test::RandomChanges random(5);
    meet::State state = file->loaded();
    std::vector<double> milliseconds;
    std::vector<double> submitting;
    for (int i = 0; i < 200; ++i) {
        const meet::Change change = random.next(state);
        REQUIRE(state.apply(change).ok());
        const auto begin = std::chrono::steady_clock::now();
        file->submit(change);
        const auto submitted = std::chrono::steady_clock::now();
        REQUIRE(file->flush().ok());
        const auto end = std::chrono::steady_clock::now();
        milliseconds.push_back(std::chrono::duration<double, std::milli>(end - begin).count());
        submitting.push_back(std::chrono::duration<double, std::milli>(submitted - begin).count());
    }
    std::sort(milliseconds.begin(), milliseconds.end());
    std::sort(submitting.begin(), submitting.end());
    std::cout << "commit: median " << milliseconds[100] << " ms, 95th of 100 " << milliseconds[190]
              << " ms; submit returns after " << submitting[100] << " ms\n";
    SUCCEED();
}

}  // namespace
}  // namespace plumbmark
