// The program's own words: help, and wrong arguments told with what to do instead.
#include <catch2/catch.hpp>
#include <string>

#include "support/run_program.h"
#include "support/test_places.h"

namespace {

using plumbmark::test::Answer;

Answer run_program(const std::string& arguments) {
    return plumbmark::test::run_line((plumbmark::test::build_folder() / "render-samples").string() + " " +
                                     arguments + " 2>&1");
}

}  // namespace

TEST_CASE("render-samples without arguments prints its help and succeeds") {
    const Answer bare = run_program("");
    REQUIRE(bare.code == 0);
    REQUIRE(bare.words.find("--check [--every N] [DIR]") != std::string::npos);
    REQUIRE(run_program("--help").words == bare.words);
}

TEST_CASE("render-samples tells a wrong argument and a missing folder, each with code 2") {
    const Answer unknown = run_program("--wirte x");
    REQUIRE(unknown.code == 2);
    REQUIRE(unknown.words == "render-samples: '--wirte' is not known; render-samples --help lists what is\n");
    const Answer never = run_program("--check --every 0");
    REQUIRE(never.code == 2);
    REQUIRE(never.words.find("such as --every 15") != std::string::npos);
    const Answer missing = run_program("--check no-such-folder");
    REQUIRE(missing.code == 2);
    REQUIRE(missing.words.find("no-such-folder/truth.json: there is no such file") != std::string::npos);
    REQUIRE(run_program("--write").code == 2);
}
