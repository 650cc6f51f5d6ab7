// The file of a course book that is looked after while somebody writes it, and the question of what it would
// change, asked in the background.
#include "review/book_watch.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <thread>

#include "review/what_if_job.h"
#include "store/meet_file.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

namespace fs = std::filesystem;
using namespace plumbmark;
using namespace std::chrono_literals;
using review::BookFile;
using review::BookWatch;

const fs::path kSamples = test::source_folder() / "sample_clips";

/// Waits for a reading that fits, at most ten seconds.
template <class Fits>
std::shared_ptr<const BookFile> wait_for(const BookWatch& watch, Fits fits) {
    for (int i = 0; i < 1000; ++i) {
        const auto now = watch.now();
        if (now && fits(*now)) return now;
        std::this_thread::sleep_for(10ms);
    }
    return nullptr;
}

}  // namespace

TEST_CASE("a book's file is read at once, and anew whenever it was written to, gone or there again") {
    const test::TemporaryFolder folder;
    const fs::path file = folder / "hall.course";
    const std::string good = test::bytes_of(kSamples / "pier-nine.course");
    test::write_bytes(file, good);
    std::atomic<int> woken{0};
    const BookWatch watch(
        file, [&] { ++woken; }, 5ms);
    auto now = wait_for(watch, [](const BookFile& book) { return book.book.has_value(); });
    REQUIRE(now);
    CHECK(now->text == good);
    CHECK(now->findings.empty());
    CHECK(woken >= 1);
    std::string slip = good;
    slip.replace(slip.find("\"coil_deck\""), 11, "\"coil_dekc\"");
    test::write_bytes(file, slip);
    now = wait_for(watch, [](const BookFile& book) { return !book.problems.empty(); });
    REQUIRE(now);
    CHECK_FALSE(now->book);
    CHECK(now->problems.front().suggestion == "coil_deck");
    std::string unused = good;
    unused.insert(unused.find("floor ="), "net = \"net\"\n");
    test::write_bytes(file, unused);
    now = wait_for(watch, [](const BookFile& book) { return !book.findings.empty(); });
    REQUIRE(now);
    CHECK(now->findings.front().code == "surface-unused");
    fs::remove(file);
    now = wait_for(watch, [](const BookFile& book) { return book.error.has_value(); });
    REQUIRE(now);
    CHECK(now->error->category == base::Category::not_found);
    test::write_bytes(file, good);
    CHECK(wait_for(watch, [](const BookFile& book) { return book.book && book.findings.empty(); }));
}

TEST_CASE("a file that is no course book is told, and nothing is called once nobody looks any more") {
    const test::TemporaryFolder folder;
    const fs::path file = folder / "large.course";
    test::write_bytes(file, std::string((1U << 20U) + 1, '#'));
    std::atomic<int> woken{0};
    {
        const BookWatch watch(
            file, [&] { ++woken; }, 5ms);
        const auto now = wait_for(watch, [](const BookFile& book) { return book.error.has_value(); });
        REQUIRE(now);
        CHECK(now->error->category == base::Category::bad_input);
    }
    const int before = woken;
    test::write_bytes(file, "#");
    std::this_thread::sleep_for(50ms);
    CHECK(woken == before);
}

TEST_CASE("what a book would change is asked beside the window, with its progress, and can be stopped") {
    store::OpenOptions reading;
    reading.read_only = true;
    const auto file = store::MeetFile::open(kSamples / "pier-nine.meet", reading);
    REQUIRE(file.ok());
    review::WhatIf change;
    REQUIRE(review::put_setting(change, "brush_counts=false").ok());
    review::WhatIfJob job(kSamples, file->loaded(), change, {});
    std::optional<base::Result<report::WhatIfDocument>> answer;
    double last = 0;
    for (int i = 0; i < 3000 && !answer; ++i) {
        const double share = job.progress();
        CHECK(share >= last);
        last = share;
        answer = job.take();
        std::this_thread::sleep_for(10ms);
    }
    REQUIRE(answer);
    REQUIRE(answer->ok());
    CHECK((*answer)->runs.size() == file->loaded().runs().size());
    CHECK(job.progress() == 1.0);
    CHECK_FALSE(job.take());  // once
    const auto began = std::chrono::steady_clock::now();
    { const review::WhatIfJob dropped(kSamples, file->loaded(), change, {}); }
    CHECK(std::chrono::steady_clock::now() - began < 60s);
}
