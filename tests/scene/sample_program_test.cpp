// The program's own words: help, and wrong arguments told with what to do instead.
#include <sys/wait.h>

#include <array>
#include <catch2/catch.hpp>
#include <cstdio>
#include <string>

namespace {

struct Outcome {
    int code = -1;
    std::string text;
};

Outcome run_program(const std::string& arguments) {
    const std::string command = std::string(PLUMBMARK_BUILD_DIR) + "/render-samples " + arguments + " 2>&1";
    FILE* pipe = popen(command.c_str(), "r");
    REQUIRE(pipe != nullptr);
    Outcome out;
    std::array<char, 4096> buffer{};
    while (const std::size_t got = std::fread(buffer.data(), 1, buffer.size(), pipe))
        out.text.append(buffer.data(), got);
    const int status = pclose(pipe);
    out.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return out;
}

}  // namespace

TEST_CASE("render-samples without arguments prints its help and succeeds") {
    const Outcome bare = run_program("");
    REQUIRE(bare.code == 0);
    REQUIRE(bare.text.find("--check [--every N] [DIR]") != std::string::npos);
    REQUIRE(run_program("--help").text == bare.text);
}

TEST_CASE("render-samples tells a wrong argument and a missing folder, each with code 2") {
    const Outcome unknown = run_program("--wirte x");
    REQUIRE(unknown.code == 2);
    REQUIRE(unknown.text == "render-samples: '--wirte' is not known; render-samples --help lists what is\n");
    const Outcome never = run_program("--check --every 0");
    REQUIRE(never.code == 2);
    REQUIRE(never.text.find("such as --every 15") != std::string::npos);
    const Outcome missing = run_program("--check no-such-folder");
    REQUIRE(missing.code == 2);
    REQUIRE(missing.text.find("no-such-folder/truth.json: there is no such file") != std::string::npos);
    REQUIRE(run_program("--write").code == 2);
}
