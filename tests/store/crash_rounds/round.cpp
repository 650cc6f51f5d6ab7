#include "store/crash_rounds/round.h"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <sqlite3.h>
#include <unistd.h>

#include <random>

#include "store/crash_child/script.h"
#include "store/crash_rounds/child.h"
#include "store/meet_file.h"

namespace plumbmark::test {
namespace {

namespace fs = std::filesystem;
using std::chrono::microseconds;
using store::MeetFile;

constexpr uid_t kNobody = 65534;
constexpr std::int64_t kForEver = 1'000'000'000;

/// What the file is not as it must be.
struct Violation {
    std::string sentence;
};

void demand(bool good, const std::string& sentence) {
    if (!good) throw Violation{sentence};
}

template <class T>
void demand_done(const base::Result<T>& result, const std::string& what) {
    demand(result.ok(), result.ok() ? "" : what + ": " + result.error().text());
}

const char* fault_of(Hit hit) {
    switch (hit) {
        case Hit::write_finds_full:
            return "full";
        case Hit::short_write:
            return "short-write";
        case Hit::write_fails:
            return "write-fails";
        case Hit::sync_fails:
            return "sync-fails";
        case Hit::delete_fails:
            return "delete-fails";
        default:
            return nullptr;
    }
}

/// Words that the program's own sentence must hold.
const char* words_expected(Hit hit, bool small_disk) {
    switch (hit) {
        case Hit::disk_full:
            return small_disk ? "disk is full" : "device failed";
        case Hit::write_finds_full:
        case Hit::short_write:
            return "disk is full";
        case Hit::folder_read_only:
            return "permissions";
        default:
            return "device failed";
    }
}

class Round {
  public:
    Round(std::uint64_t seed, const Places& places, Tallies& tallies, fs::path keep)
        : random_(seed),
          places_(places),
          tallies_(tallies),
          keep_(std::move(keep)),
          on_small_disk_(places.small() && number(1, 5) == 1),
          folder_(on_small_disk_      ? *places.small()
                  : number(1, 4) == 1 ? places.disk()
                                      : places.memory()),
          file_(folder_ / "a.meet") {}

    /// The fault that the file was hit by last.
    [[nodiscard]] const std::string& struck_by() const { return struck_by_; }

    void run() {
        if (::geteuid() == 0)
            demand(::chown(folder_.path().c_str(), kNobody, kNobody) == 0, "the folder cannot be given away");
        {
            const auto made = MeetFile::create(file_, {"Pier Nine Youth Open", "harbour hall", "2026-05-02"});
            demand_done(made, "the file cannot be made");
            state_ = made->loaded();
        }
        if (::geteuid() == 0)
            demand(::chown(file_.c_str(), kNobody, kNobody) == 0, "the file cannot be given away");
        for (std::int64_t left = number(1, 4); left > 0; --left)
            suffer(any_hit());
    }

  private:
    std::int64_t number(std::int64_t from, std::int64_t to) {
        return std::uniform_int_distribution<std::int64_t>(from, to)(random_);
    }

    Hit any_hit() {
        if (on_small_disk_) return number(1, 3) == 1 ? Hit::killed : Hit::disk_full;
        const auto hit = static_cast<Hit>(number(0, kHits - 1));
        return hit == Hit::disk_full && places_.small() ? Hit::killed : hit;
    }

    void suffer(Hit hit) {
        ChildOptions options;
        options.seed = random_();
        options.depth = number(1, 3) == 1 ? 6 : 1;
        options.as_ordinary_user = true;
        if (const char* fault = fault_of(hit))
            options.fault = {fault, std::to_string(number(0, 200)),
                             std::to_string(number(1, 2) == 1 ? number(1, 8) : kForEver)};
        if (hit == Hit::disk_full && on_small_disk_) places_.fill_small(number(20, 200) * 1'024);
        if (hit == Hit::disk_full && !on_small_disk_)
            options.largest_file = fs::file_size(file_) + static_cast<std::uint64_t>(number(20, 200) * 1'024);
        Tally& tally = tallies_.at(static_cast<std::size_t>(hit));
        struck_by_ = hit_words(hit) + fmt::format(" ({})", fmt::join(options.fault, " "));
        Child child(file_, options);
        demand(child.wait_until([&] { return child.confirmed() >= 0; }),
               "the program does not open the file");
        meet_with(hit, child, options, tally);
        demand(child.kill(), "the program ended by itself, with " + child.ending());
        places_.empty_small();
        ++tally.hits;
        if (child.failures() > 0) {
            ++tally.told;
            const char* words = words_expected(hit, on_small_disk_);
            demand(child.last_failure().find(words) != std::string::npos,
                   fmt::format("the program said '{}', not that '{}'", child.last_failure(), words));
        }
        look_after(child.confirmed(), options, tally);
    }

    void meet_with(Hit hit, Child& child, const ChildOptions& options, Tally& tally) {
        switch (hit) {
            case Hit::killed:
                return be_killed(child);
            case Hit::folder_read_only:
                return lose_permission(child, tally);
            case Hit::second_program:
                return meet_others(child, options);
            default:
                return fail(hit, child, options, tally);
        }
    }

    void be_killed(Child& child) {
        const std::int64_t least = number(0, 6);
        demand(child.wait_until([&] { return child.confirmed() >= least; }), "the program writes nothing");
        child.wait_for(microseconds(number(0, 15'000)));
    }

    /// Killed while it fails, or after it went on.
    void fail(Hit hit, Child& child, const ChildOptions& options, Tally& tally) {
        demand(child.wait_until([&] { return child.failures() > 0; }),
               "the program did not notice the fault");
        if (number(1, 3) == 1) return child.wait_for(microseconds(number(0, 5'000)));
        if (hit == Hit::disk_full) {
            places_.empty_small();
            child.lift_size_limit();
        } else if (options.fault.back() == std::to_string(kForEver)) {
            return child.wait_for(microseconds(number(0, 10'000)));
        }
        go_on(child, tally);
    }

    void go_on(Child& child, Tally& tally) {
        const std::int64_t before = child.confirmed();
        demand(child.wait_until([&] { return child.confirmed() > before + 2; }),
               "the program did not go on when the cause was gone: " + child.last_failure());
        ++tally.went_on;
        child.wait_for(microseconds(number(0, 3'000)));
    }

    void lose_permission(Child& child, Tally& tally) {
        be_killed(child);  // not yet: from any moment on
        const auto allow = [&](unsigned mode) { fs::permissions(folder_.path(), fs::perms(mode)); };
        allow(0555);
        const bool noticed = child.wait_until([&] { return child.failures() > 0; });
        child.wait_for(microseconds(number(0, 3'000)));
        allow(0755);
        demand(noticed, "the program did not notice that the folder cannot be written");
        if (number(1, 2) == 1) go_on(child, tally);
    }

    void meet_others(Child& child, const ChildOptions& options) {
        be_killed(child);
        const auto writer = MeetFile::open(file_);
        demand(!writer && writer.error().category == base::Category::busy, "a second program may write");
        store::OpenOptions reading;
        reading.read_only = true;
        const auto reader = MeetFile::open(file_, reading);
        demand_done(reader, "a reader cannot look on");
        CrashScript script(options.seed, state_, rows_);
        for (std::int64_t i = rows_; i < reader->rows_at_open(); ++i)
            (void)script.next();
        demand(reader->loaded() == script.state(), "a reader sees another state than any that was written");
        hold_the_lock(microseconds(number(1'000, 30'000)), child);
    }

    /// As a program does that knows nothing of meet files.
    void hold_the_lock(microseconds time, Child& child) {
        sqlite3* database = nullptr;
        demand(sqlite3_open_v2(file_.c_str(), &database, SQLITE_OPEN_READWRITE, nullptr) == SQLITE_OK,
               "another program cannot open the file");
        sqlite3_busy_timeout(database, 5'000);
        const bool held = sqlite3_exec(database, "BEGIN IMMEDIATE", nullptr, nullptr, nullptr) == SQLITE_OK;
        child.wait_for(time);
        sqlite3_close(database);
        demand(held, "another program does not get SQLite's lock");
    }

    void look_after(std::int64_t confirmed, const ChildOptions& options, Tally& tally) {
        if (fs::exists(file_.string() + "-journal")) ++tally.half_written;
        keep_as_left();
        const auto file = MeetFile::open(file_);
        demand_done(file, "the file does not open");
        const auto report = store::verify_chain(file_);
        demand_done(report, "the chain cannot be verified");
        demand(report->whole, report->sentence);
        const std::int64_t found = report->rows - rows_;
        const std::string counts = fmt::format("{} changes confirmed, {} found", confirmed, found);
        demand(found >= confirmed, "changes that were confirmed are lost: " + counts);
        demand(found <= confirmed + options.depth, "more is there than was under way: " + counts);
        CrashScript script(options.seed, state_, rows_);
        for (std::int64_t i = 0; i < found; ++i)
            (void)script.next();
        demand(file->loaded() == script.state(), "the file holds another state than was written: " + counts);
        state_ = script.state();
        rows_ = report->rows;
        tally.confirmed += confirmed;
        tally.found += std::min(found, confirmed);
        tally.one_more += found > confirmed ? 1 : 0;
    }

    void keep_as_left() const {
        if (keep_.empty()) return;
        fs::remove_all(keep_);
        fs::copy(folder_.path(), keep_, fs::copy_options::recursive);
    }

    std::mt19937_64 random_;
    const Places& places_;
    Tallies& tallies_;
    const fs::path keep_;
    std::string struck_by_;
    const bool on_small_disk_;
    const TemporaryFolder folder_;
    const fs::path file_;
    meet::State state_;
    std::int64_t rows_ = 1;
};

}  // namespace

const char* hit_words(Hit hit) {
    constexpr const char* kWords[kHits] = {"killed",          "disk full",        "a write finds it full",
                                           "a short write",   "a write fails",    "a sync fails",
                                           "a removal fails", "read-only folder", "a second program"};
    return kWords[static_cast<std::size_t>(hit)];
}

std::optional<std::string> run_round(std::uint64_t seed, const Places& places, Tallies& tallies,
                                     const fs::path& keep) {
    Round round(seed, places, tallies, keep);
    try {
        round.run();
    } catch (const Violation& violation) {
        return violation.sentence + "; hit by: " + round.struck_by();
    } catch (const fs::filesystem_error& problem) {
        return std::string(problem.what());
    }
    return std::nullopt;
}

}  // namespace plumbmark::test
