// A clip's file that is taken away, replaced or written to while it is open.
#include "review/internal/file_watch.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <fstream>
#include <thread>

#include "support/temporary_folder.h"

using namespace plumbmark;
using namespace plumbmark::review;
using namespace std::chrono_literals;
namespace fs = std::filesystem;

namespace {

void write(const fs::path& file, const std::string& text) {
    std::ofstream(file, std::ios::binary) << text;
}

/// The trouble once it is there (or, for none, once it is gone).
std::optional<base::Error> settled(const FileWatch& watch, bool wanted) {
    for (int i = 0; i < 10000 && watch.trouble().has_value() != wanted; ++i)
        std::this_thread::sleep_for(1ms);
    return watch.trouble();
}

}  // namespace

TEST_CASE("a file that is moved away is missed, and welcome when it is back") {
    const test::TemporaryFolder folder;
    const fs::path file = folder.path() / "a.mp4", away = folder.path() / "away";
    write(file, "not looked into");
    std::atomic<int> wakes = 0;
    const FileWatch watch(
        file, [&] { ++wakes; }, 5ms);
    std::this_thread::sleep_for(40ms);
    CHECK_FALSE(watch.trouble());
    CHECK(wakes == 0);
    fs::rename(file, away);
    const auto gone = settled(watch, true);
    REQUIRE(gone);
    CHECK(gone->category == base::Category::not_found);
    CHECK(gone->text().find("no longer there") != std::string::npos);
    CHECK(wakes == 1);
    fs::rename(away, file);
    CHECK_FALSE(settled(watch, false));
    CHECK(wakes == 2);
}

TEST_CASE("a file that another one takes the place of, or that is written to, is told apart") {
    const test::TemporaryFolder folder;
    const fs::path file = folder.path() / "a.mp4", other = folder.path() / "b.mp4";
    write(file, "the first one");
    write(other, "the other one");
    {
        const FileWatch watch(file, {}, 5ms);
        std::this_thread::sleep_for(40ms);
        fs::rename(other, file);
        const auto replaced = settled(watch, true);
        REQUIRE(replaced);
        CHECK(replaced->text().find("another one stands in its place") != std::string::npos);
    }
    const FileWatch watch(file, {}, 5ms);
    std::this_thread::sleep_for(40ms);
    write(file, "cut");
    const auto cut = settled(watch, true);
    REQUIRE(cut);
    CHECK(cut->text().find("cut short") != std::string::npos);
}

TEST_CASE("a file that was never there is left to those who read it, and a watch ends at once") {
    const test::TemporaryFolder folder;
    std::atomic<int> wakes = 0;
    const auto begun = std::chrono::steady_clock::now();
    {
        const FileWatch watch(
            folder.path() / "none", [&] { ++wakes; }, 5ms);
        const FileWatch slow(
            folder.path(), [&] { ++wakes; }, 1h);
        std::this_thread::sleep_for(40ms);
        CHECK_FALSE(watch.trouble());
    }
    CHECK(wakes == 0);
    CHECK(std::chrono::steady_clock::now() - begun < 30min);
}
