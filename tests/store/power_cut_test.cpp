// The power goes at any moment, or writes fail: what was confirmed is there afterwards, and the chain
// verifies.
#include <sqlite3.h>

#include <catch2/catch.hpp>
#include <random>

#include "meet/random_changes.h"
#include "store/lossy_disk.h"
#include "store/meet_file.h"
#include "support/temporary_folder.h"

namespace plumbmark {
namespace {

using store::MeetFile;
using store::OpenOptions;
using test::LossyDisk;

// Instrumented code is some ten times slower; the uninstrumented run covers the rest.
#ifdef __SANITIZE_ADDRESS__
constexpr std::uint64_t kLives = 100;
constexpr std::int64_t kFaultStep = 8;
#else
constexpr std::uint64_t kLives = 500;
constexpr std::int64_t kFaultStep = 2;
#endif

const meet::MeetInfo kInfo{"Pier Nine Youth Open", "harbour warehouse", "2026-05-02"};

OpenOptions on(const LossyDisk& disk) {
    OpenOptions options;
    options.file_layer = disk.name();
    return options;
}

struct Outcome {
    bool kept = true;       ///< everything that was confirmed is there, and the chain verifies
    bool was_cut = false;   ///< the power went before all was written
    bool one_more = false;  ///< a change was there whose confirmation had not come yet
    std::string sentence;
};

// What the file holds must be the state after 'confirmed' changes, or after one more that was under way.
Outcome look_after(const std::filesystem::path& path, const LossyDisk& disk,
                   const std::vector<meet::State>& states, std::int64_t confirmed) {
    Outcome outcome;
    const base::Result<MeetFile> file = MeetFile::open(path, on(disk));
    if (!file) return {false, false, false, file.error().text()};
    const base::Result<store::ChainReport> report = store::verify_chain(path, disk.name());
    if (!report || !report->whole)
        return {false, false, false, report ? report->sentence : report.error().text()};
    const auto found = static_cast<std::size_t>(report->rows - 1);
    const auto least = static_cast<std::size_t>(confirmed);
    outcome.one_more = found == least + 1;
    outcome.kept = (found == least || outcome.one_more) && file->loaded() == states.at(found);
    outcome.sentence = std::to_string(found) + " found, " + std::to_string(confirmed) + " confirmed";
    return outcome;
}

// One life of a meet file: made, written to until the power goes after 'operations', and opened again.
Outcome one_life(std::uint64_t seed, std::int64_t operations, bool lying) {
    const test::TemporaryFolder folder;  // for the lock file; the rest is in memory
    const auto path = folder / "a.meet";
    LossyDisk disk;
    std::mt19937_64 random(seed);
    test::RandomChanges changes(seed);
    std::int64_t confirmed = 0;
    std::vector<meet::State> states;
    {
        base::Result<MeetFile> file = MeetFile::create(path, kInfo, on(disk));
        REQUIRE(file.ok());
        states.push_back(file->loaded());
        disk.lie_about_syncing(lying);
        disk.cut_power_after(operations);
        for (int i = 0; i < 12; ++i) {
            meet::State next = states.back();
            const meet::Change change = changes.next(next);
            REQUIRE(next.apply(change).ok());
            states.push_back(std::move(next));
            file->submit(change);
        }
        if (!file->flush()) CHECK(file->failure());
        confirmed = file->committed();
    }
    const bool was_cut = disk.dead();
    disk.lie_about_syncing(false);
    disk.come_up_again(random);
    Outcome outcome = look_after(path, disk, states, confirmed);
    outcome.was_cut = was_cut;
    return outcome;
}

TEST_CASE("nothing that was confirmed is lost when the power goes at any moment") {
    int cut = 0;
    int one_more = 0;
    for (std::uint64_t seed = 1; seed <= kLives; ++seed) {
        std::mt19937_64 random(seed * 7919);
        const auto operations = static_cast<std::int64_t>(random() % 350);
        const Outcome outcome = one_life(seed, operations, false);
        INFO("seed " << seed << ", cut after " << operations << " operations: " << outcome.sentence);
        REQUIRE(outcome.kept);
        cut += outcome.was_cut ? 1 : 0;
        one_more += outcome.one_more ? 1 : 0;
    }
    CHECK(cut > static_cast<int>(kLives / 2));  // so that the cuts fall into the writing, not after it
    CHECK(one_more > 0);  // and some between a change reaching the disk and its confirmation
}

TEST_CASE("every single moment of two changes is survived") {
    int one_more = 0;
    for (std::int64_t operations = 0; operations < 70; ++operations) {
        for (std::uint64_t seed = 1; seed <= (kLives + 199) / 200; ++seed) {
            const Outcome outcome = one_life(seed, operations, false);
            INFO("seed " << seed << ", cut after " << operations << " operations: " << outcome.sentence);
            REQUIRE(outcome.kept);
            one_more += outcome.one_more ? 1 : 0;
        }
    }
    // Each life passes the moment between a change reaching the disk and its confirmation, so it is met here
    // whatever the number of operations that a change takes.
    CHECK(one_more > 0);
}

TEST_CASE("a disk that lies about syncing does lose what was confirmed, so these tests can see a loss") {
    int lost = 0;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        if (!one_life(seed, 150, true).kept) ++lost;
    }
    CHECK(lost > 20);
}

TEST_CASE("a meet file outlives many outages, one after the other") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    LossyDisk disk;
    const std::uint64_t seed = 31;
    CAPTURE(seed);
    std::mt19937_64 random(seed);
    test::RandomChanges changes(seed);
    REQUIRE(MeetFile::create(path, kInfo, on(disk)).ok());
    std::vector<meet::State> states;
    for (int outage = 0; outage < 60; ++outage) {
        std::int64_t confirmed = 0;
        {
            base::Result<MeetFile> file = MeetFile::open(path, on(disk));
            INFO((file ? std::string() : file.error().text()));
            REQUIRE(file.ok());
            if (states.empty()) states.push_back(file->loaded());
            const std::int64_t before = file->row_of(0) + std::ssize(states) - 1;
            disk.cut_power_after(static_cast<std::int64_t>(random() % 200));
            for (int i = 0; i < 8; ++i) {
                meet::State next = states.back();
                const meet::Change change = changes.next(next);
                REQUIRE(next.apply(change).ok());
                states.push_back(std::move(next));
                file->submit(change);
            }
            static_cast<void>(file->flush());
            confirmed = before + file->committed();
        }
        disk.come_up_again(random);
        const Outcome outcome = look_after(path, disk, states, confirmed);
        INFO("outage " << outage << ": " << outcome.sentence);
        REQUIRE(outcome.kept);
        states.resize(static_cast<std::size_t>(confirmed + (outcome.one_more ? 2 : 1)));
    }
    CHECK(states.size() > 100);
}

TEST_CASE("a failing write stops the writing, loses nothing, and can be tried again") {
    using Failing = LossyDisk::Failing;
    struct Fault {
        Failing what;
        int code;
        const char* words;
    };
    const Fault faults[] = {{Failing::writes, SQLITE_FULL, "the disk is full"},
                            {Failing::writes, SQLITE_IOERR_WRITE, "the device failed"},
                            {Failing::syncs, SQLITE_IOERR_FSYNC, "the device failed"},
                            {Failing::deletions, SQLITE_IOERR_DELETE, "the device failed"},
                            {Failing::creations, SQLITE_CANTOPEN, "cannot be opened"}};
    int failures = 0;
    for (const Fault& fault : faults) {
        for (std::int64_t after = 0; after < 40; after += kFaultStep) {
            const test::TemporaryFolder folder;
            const auto path = folder / "a.meet";
            LossyDisk disk;
            INFO(fault.words << " (" << fault.code << ") after " << after);
            base::Result<MeetFile> file = MeetFile::create(path, kInfo, on(disk));
            REQUIRE(file.ok());
            test::RandomChanges changes(static_cast<std::uint64_t>(after) + 1);
            std::vector<meet::State> states{file->loaded()};
            disk.fail(fault.what, after, fault.code);
            for (int i = 0; i < 4; ++i) {
                meet::State next = states.back();
                const meet::Change change = changes.next(next);
                REQUIRE(next.apply(change).ok());
                states.push_back(std::move(next));
                file->submit(change);
            }
            const base::Result<void> flushed = file->flush();
            if (!flushed) {
                ++failures;
                CHECK(file->failure() == flushed.error());
                CHECK(flushed.error().category == base::Category::io);
                CHECK(flushed.error().sentence.english().find(fault.words) != std::string::npos);
                const std::int64_t confirmed = file->committed();
                CHECK(confirmed < 4);
                file->retry();  // still failing: says so again, writes nothing out of turn
                CHECK_FALSE(file->flush().ok());
                CHECK(file->committed() == confirmed);
                disk.fail(Failing::nothing, 0, 0);
                file->retry();
                const base::Result<void> again = file->flush();
                INFO((again ? std::string() : again.error().text()));
                REQUIRE(again.ok());
                CHECK_FALSE(file->failure());
            }
            CHECK(file->committed() == 4);
            CHECK(file->row_of(4) == 5);
            disk.fail(Failing::nothing, 0, 0);
            file = MeetFile::open(folder / "none.meet");
            std::mt19937_64 random(1);
            disk.come_up_again(random);  // also what was written in the second try was synced
            const Outcome outcome = look_after(path, disk, states, 4);
            INFO(outcome.sentence);
            REQUIRE(outcome.kept);
        }
    }
    CHECK(failures > 80 / kFaultStep);
}

TEST_CASE("making a file on a full disk fails, and leaves nothing behind") {
    for (std::int64_t after = 0; after < 60; ++after) {
        const test::TemporaryFolder folder;
        LossyDisk disk;
        disk.fail(LossyDisk::Failing::writes, after, SQLITE_FULL);
        const base::Result<MeetFile> file = MeetFile::create(folder / "a.meet", kInfo, on(disk));
        if (file) continue;
        CHECK(file.error().sentence.english().find("the disk is full") != std::string::npos);
        disk.fail(LossyDisk::Failing::nothing, 0, 0);
        CHECK(MeetFile::open(folder / "a.meet", on(disk)).error().category == base::Category::not_found);
        CHECK(MeetFile::create(folder / "a.meet", kInfo, on(disk)).ok());
    }
}

}  // namespace
}  // namespace plumbmark
