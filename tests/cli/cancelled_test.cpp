// Ctrl+C, and a system that ends programs, while a sheet is printed or a package made: a clear word, the code
// of what was cancelled, and nothing half made. What a killed program left is cleared away by the next one.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>

#include "cli/program.h"
#include "store/internal/workshop.h"
#include "support/file_bytes.h"
#include "support/running_program.h"
#include "support/temporary_folder.h"

namespace {

using plumbmark::test::bytes_of;
using plumbmark::test::has;
using plumbmark::test::kProgram;
using plumbmark::test::kSamples;
using plumbmark::test::RunningProgram;
using plumbmark::test::TemporaryFolder;
namespace fs = std::filesystem;

std::vector<std::string> names_in(const fs::path& folder) {
    std::vector<std::string> names;
    for (const auto& at : fs::directory_iterator(folder))
        names.push_back(at.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
}

/// A copy of the sample meet with a key, and an empty folder for what is made.
struct Desk {
    TemporaryFolder folder;
    fs::path meet = folder / "samples/pier-nine.meet", out = folder / "out";

    Desk() {
        fs::copy(kSamples, folder / "samples", fs::copy_options::recursive);
        fs::create_directory(out);
        ::setenv("XDG_DATA_HOME", (folder / "data").c_str(), 1);
        ::setenv("PLUMBMARK_PASSPHRASE", "nine bollards", 1);
    }
    ~Desk() {
        ::unsetenv("XDG_DATA_HOME");
        ::unsetenv("PLUMBMARK_PASSPHRASE");
    }
    void make_key() const {
        REQUIRE(plumbmark::test::run_line("'" + kProgram + "' seal '" + meet.string() +
                                          "' --new-key --holder 'Ines Quay' 2>&1 </dev/null")
                    .code == 0);
    }
    std::string said() const { return bytes_of(folder / "says"); }
};

}  // namespace

TEST_CASE("Ctrl C while a sheet is printed ends with the code of what was cancelled and leaves no file") {
    for (const int signal : {SIGINT, SIGTERM}) {
        const Desk desk;
        RunningProgram program(
            {kProgram, "sheet", desk.meet.string(), "--run", "4", "-o", (desk.out / "sheet.html").string(),
             "--pdf", (desk.out / "sheet.pdf").string()},
            desk.folder / "says");
        REQUIRE(program.wait_until_it_catches(signal));
        program.send(signal);
        CHECK(program.wait() == 9);
        CHECK(has(desk.said(), "plumbmark: cancelled; nothing was written\n"));
        CHECK(names_in(desk.out).empty());
    }
}

TEST_CASE("Ctrl C while a package is made leaves neither it nor the folder in which it was begun") {
    const Desk desk;
    desk.make_key();
    for (const char* name : {"run-4", "run-4.zip"}) {
        RunningProgram program(
            {kProgram, "seal", desk.meet.string(), "--run", "4", "--package", (desk.out / name).string()},
            desk.folder / "says");
        REQUIRE(program.wait_until_it_catches(SIGINT));
        program.send(SIGINT);
        CHECK(program.wait() == 9);
        CHECK(has(desk.said(), "plumbmark: cancelled; nothing was written of the package\n"));
        CHECK(names_in(desk.out).empty());
    }
}

TEST_CASE("a signal that was ignored from the beginning stays ignored") {
    const Desk desk;
    // As a shell does it for what it runs in the background.
    RunningProgram program({"/bin/sh", "-c",
                            "trap '' INT; exec '" + kProgram + "' sheet '" + desk.meet.string() +
                                "' --run 4 -o '" + (desk.out / "sheet.html").string() + "'"},
                           desk.folder / "says");
    REQUIRE(program.wait_until_it_catches(SIGTERM));
    CHECK_FALSE(program.catches(SIGINT));
    program.send(SIGINT);
    std::this_thread::sleep_for(std::chrono::milliseconds(200));
    CHECK(program.catches(SIGTERM));  // it goes on
    program.send(SIGTERM);
    CHECK(program.wait() == 9);
}

TEST_CASE("what a killed program left of a package is said and removed by the next, and nothing else is") {
    const Desk desk;
    desk.make_key();
    const fs::path target = desk.out / "run-2.zip";
    const auto begin = [&target] {
        const pid_t child = ::fork();
        if (child == 0) {
            const plumbmark::store::Workshop workshop(target);
            plumbmark::test::write_bytes(workshop.made(), "half a package");
            ::pause();
        }
        return child;
    };
    const auto made = [&] {
        return std::count_if(fs::directory_iterator(desk.out), fs::directory_iterator(),
                             [](const auto& at) { return fs::exists(at.path() / "made"); });
    };
    const pid_t killed = begin();
    while (made() < 1)
        ::usleep(10'000);
    ::kill(killed, SIGKILL);
    ::waitpid(killed, nullptr, 0);
    const std::vector<std::string> left = names_in(desk.out);
    REQUIRE(left.size() == 1);
    const pid_t working = begin();
    while (made() < 2)
        ::usleep(10'000);
    fs::create_directory(desk.out / ".package-abcdef");  // somebody's own
    RunningProgram program({kProgram, "seal", desk.meet.string(), "--run", "2", "--package", target.string()},
                           desk.folder / "says");
    CHECK(program.wait() == 0);
    CHECK(has(desk.said(), left.front() + ": A program that was ended while it made a package here had left "
                                          "this folder. It is removed."));
    const std::vector<std::string> after = names_in(desk.out);
    CHECK(after.size() == 3);  // the other's workshop, somebody's folder, the package
    CHECK(std::find(after.begin(), after.end(), left.front()) == after.end());
    CHECK(std::find(after.begin(), after.end(), ".package-abcdef") != after.end());
    CHECK(fs::exists(target));
    CHECK(made() == 1);
    ::kill(working, SIGKILL);
    ::waitpid(working, nullptr, 0);
}
