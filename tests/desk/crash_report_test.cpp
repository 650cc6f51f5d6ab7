// What is left of a program that ended by a fault of its own.
#include "desk/crash_report.h"

#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <fstream>

#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace plumbmark;
using namespace plumbmark::desk;
namespace fs = std::filesystem;

namespace {

/// Another process that keeps reports, does some steps and ends by the signal; how it ended.
int end_by(int signal, const fs::path& folder, int steps) {
    const pid_t child = ::fork();
    if (child == 0) {
        // The test program has handlers of its own, which end with a report of the test.
        keep_crash_reports(folder, "9.9-test");
        for (int n = 0; n < steps; ++n)
            note_step(n % 2 == 0 ? "step_on" : "touch");
        note_step("copy_mark");
        ::raise(signal);
        ::_exit(0);
    }
    REQUIRE(child > 0);
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    return WIFSIGNALED(status) ? WTERMSIG(status) : 0;
}

}  // namespace

TEST_CASE("a fault leaves a report with the version, the signal, the last steps and the place") {
    for (const int signal : {SIGSEGV, SIGABRT, SIGFPE}) {
        const test::TemporaryFolder folder;
        INFO(signal);
        CHECK(end_by(signal, folder / "deep" / "crashes", 100) == signal);
        const auto report = untold_crash(folder / "deep" / "crashes");
        REQUIRE(report);
        const std::string text = test::bytes_of(*report);
        CHECK(text.starts_with("Plumbmark 9.9-test, opened 20"));
        const char* name = signal == SIGSEGV ? "SIGSEGV" : signal == SIGABRT ? "SIGABRT" : "SIGFPE";
        CHECK(text.find(std::string("ended by ") + name) != std::string::npos);
        CHECK(text.find("  touch\n  copy_mark\n\nwhere it stood:\n") != std::string::npos);
        // The place: this test program's own addresses among them.
        CHECK(text.find(fs::read_symlink("/proc/self/exe").filename().string()) != std::string::npos);
        // Told once.
        CHECK_FALSE(untold_crash(folder / "deep" / "crashes"));
        CHECK(fs::exists(*report));
    }
}

TEST_CASE("a process that ends well leaves no report") {
    const test::TemporaryFolder folder;
    CHECK(end_by(0, folder.path(), 3) == 0);
    CHECK_FALSE(untold_crash(folder.path()));
    CHECK_FALSE(untold_crash(folder / "not there"));
}

TEST_CASE("of many reports the ten newest are kept, and the newest is told") {
    const test::TemporaryFolder folder;
    for (int n = 10; n < 30; ++n)
        std::ofstream(folder / ("crash-of-2026-05-02-1200" + std::to_string(n) + "-77.new.txt")) << n;
    std::ofstream(folder / "crash-notes.md") << "mine";
    const auto report = untold_crash(folder.path());
    REQUIRE(report);
    CHECK(test::bytes_of(*report) == "29");
    CHECK(report->filename() == "crash-of-2026-05-02-120029-77.txt");
    CHECK(std::distance(fs::directory_iterator(folder.path()), {}) == 11);
    CHECK(fs::exists(folder / "crash-notes.md"));
}
