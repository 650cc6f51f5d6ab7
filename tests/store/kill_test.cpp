// The program is killed at random moments, several times over on the same file.
#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <iostream>
#include <random>
#include <thread>

#include "store/crash_child/script.h"
#include "store/meet_file.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace plumbmark {
namespace {

using store::MeetFile;

const std::string kChild = (test::build_folder() / "store-crash-child").string();

// Starts the child, kills it 'patience' after it has confirmed at least 'least' changes, and gives the last
// number it said.
std::int64_t confirmed_before_kill(const std::filesystem::path& file, std::uint64_t seed, std::int64_t least,
                                   std::chrono::microseconds patience) {
    int pipe_ends[2];
    REQUIRE(::pipe2(pipe_ends, O_CLOEXEC) == 0);
    const std::string seed_text = std::to_string(seed);
    const std::string file_text = file.string();
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        ::dup2(pipe_ends[1], STDOUT_FILENO);
        ::execl(kChild.c_str(), kChild.c_str(), file_text.c_str(), seed_text.c_str(), nullptr);
        ::_exit(127);
    }
    ::close(pipe_ends[1]);
    std::string said;
    char buffer[4096];
    ssize_t got = 0;
    // The first line says that none is confirmed yet.
    while (std::count(said.begin(), said.end(), '\n') <= least) {
        got = ::read(pipe_ends[0], buffer, sizeof buffer);
        if (got <= 0) break;
        said.append(buffer, static_cast<std::size_t>(got));
    }
    if (got > 0) {
        std::this_thread::sleep_for(patience);
        ::kill(child, SIGKILL);
    }
    while ((got = ::read(pipe_ends[0], buffer, sizeof buffer)) > 0)
        said.append(buffer, static_cast<std::size_t>(got));
    ::close(pipe_ends[0]);
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    INFO("the child ended by itself with code " << (WIFEXITED(status) ? WEXITSTATUS(status) : 0));
    REQUIRE(WIFSIGNALED(status));
    REQUIRE(WTERMSIG(status) == SIGKILL);
    // Only whole lines count: a number that is cut off was not said.
    said.erase(said.rfind('\n') == std::string::npos ? 0 : said.rfind('\n'));
    const std::size_t line = said.rfind('\n');
    return std::stoll(line == std::string::npos ? said : said.substr(line + 1));
}

struct Tally {
    std::int64_t confirmed = 0;
    int under_way = 0;   ///< rounds in which more was there than had been confirmed
    int unfinished = 0;  ///< rounds that left a journal of a change that was being written
};

Tally kill_rounds(const std::filesystem::path& path, int rounds, std::uint64_t seed,
                  int longest_microseconds) {
    std::mt19937_64 random(seed);
    Tally tally;
    meet::State state;
    std::int64_t rows = 1;
    {
        const base::Result<MeetFile> made = MeetFile::create(path, {"Pier Nine Youth Open", "", ""});
        REQUIRE(made.ok());
        state = made->loaded();
    }
    for (int round = 0; round < rounds; ++round) {
        const std::chrono::microseconds patience(random() % static_cast<unsigned>(longest_microseconds));
        const std::uint64_t changes_seed = random();
        const auto least = static_cast<std::int64_t>(random() % 6);
        const std::int64_t confirmed = confirmed_before_kill(path, changes_seed, least, patience);
        REQUIRE(confirmed >= least);
        INFO("round " << round << ": " << confirmed << " confirmed, killed after " << patience.count()
                      << " us");

        store::OpenOptions reading;
        reading.read_only = true;
        if (std::filesystem::exists(path.string() + "-journal")) ++tally.unfinished;
        if (const base::Result<MeetFile> reader = MeetFile::open(path, reading); !reader)
            CHECK(reader.error().sentence.english().find("open the file once for writing") !=
                  std::string::npos);

        const base::Result<MeetFile> file = MeetFile::open(path);
        INFO((file ? std::string() : file.error().text()));
        REQUIRE(file.ok());
        const base::Result<store::ChainReport> report = store::verify_chain(path);
        REQUIRE(report.ok());
        INFO(report->sentence);
        REQUIRE(report->whole);
        const std::int64_t found = report->rows - rows;
        REQUIRE(found >= confirmed);
        REQUIRE(found <= confirmed + 6);  // the child keeps five under way
        test::CrashScript script(changes_seed, state, rows);
        for (std::int64_t i = 0; i < found; ++i)
            (void)script.next();
        state = script.state();
        REQUIRE(file->loaded() == state);
        rows = report->rows;
        tally.confirmed += confirmed;
        tally.under_way += found > confirmed ? 1 : 0;
    }
    return tally;
}

TEST_CASE("killed at random moments, the program loses nothing that it had confirmed") {
    const std::uint64_t seed = std::random_device{}();
    std::cout << "kill rounds with seed " << seed << "\n";
    CAPTURE(seed);
    const test::TemporaryFolder folder;
    const Tally tally = kill_rounds(folder / "a.meet", 25, seed, 150'000);
    std::cout << tally.confirmed << " changes confirmed in 25 rounds; in " << tally.under_way
              << " rounds one more had reached the file, " << tally.unfinished
              << " rounds left a change half written\n";
    CHECK(tally.confirmed > 25);
}

TEST_CASE("killed at random moments on a fast file system, the same") {
    if (!std::filesystem::exists("/dev/shm")) {
        std::cout << "skipped: there is no file system in memory here\n";
        return;
    }
    const std::uint64_t seed = std::random_device{}();
    std::cout << "kill rounds in memory with seed " << seed << "\n";
    CAPTURE(seed);
    const test::TemporaryFolder folder("/dev/shm");
    const Tally tally = kill_rounds(folder / "a.meet", 30, seed, 8'000);
    std::cout << tally.confirmed << " changes confirmed in 30 rounds; " << tally.unfinished
              << " rounds left a change half written\n";
    CHECK(tally.confirmed > 30);
    CHECK(tally.unfinished > 0);
}

}  // namespace
}  // namespace plumbmark
