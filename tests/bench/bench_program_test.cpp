// The built program on a sample clip. It is held to the form of its figures and to exactness; no time makes
// it fail.
#include <algorithm>
#include <catch2/catch.hpp>
#include <iostream>
#include <nlohmann/json.hpp>

#include "support/run_program.h"
#include "support/test_places.h"

namespace {

#ifdef PLUMBMARK_BENCH_PROGRAM
constexpr const char* program = PLUMBMARK_BENCH_PROGRAM;
#else
constexpr const char* program = nullptr;
#endif

using plumbmark::test::Answer;

Answer run(const std::string& arguments) {
    return plumbmark::test::run_line("'" + std::string(program) + "' " + arguments);
}

bool built() {
    if (program == nullptr) std::cout << "skipped: bench-frames is built with -DPLUMBMARK_BENCH=ON only\n";
    return program != nullptr;
}

}  // namespace

TEST_CASE(
    "on a sample clip every frame of ours is exact, and each figure asked for has ours and the bare way") {
    if (!built()) return;
    const std::string clip = (plumbmark::test::source_folder() / "sample_clips/run-1-a.mp4").string();
    const Answer answer =
        run("--json - --no-libraries --figures exact,random,scan --exact 6 --seeks 3 --rounds 1 '" + clip +
            "' 2>/dev/null");
    REQUIRE(answer.code == 0);
    const auto figures = nlohmann::json::parse(answer.words).at("clips").at(0).at("figures");
    REQUIRE(figures.size() == 5);
    for (const auto& figure : figures) {
        INFO(figure.at("name"));
        CHECK(figure.at("rows").at(0).at("ours") == true);
        CHECK(figure.at("rows").at(0).contains("ratio"));
        CHECK(std::any_of(figure.at("rows").begin(), figure.at("rows").end(), [](const auto& row) {
            return row.at("contestant") == "bare libav" && row.at("n") > 0;
        }));
        if (figure.at("name").get<std::string>().rfind("exact-", 0) != 0) continue;
        for (const auto& row : figure.at("rows")) {
            INFO(row.at("contestant"));
            if (row.at("ours") == true) CHECK(row.at("typical") == 100);
        }
    }
}

TEST_CASE("a file that is no clip is told with its name, and the program ends with 1") {
    if (!built()) return;
    const Answer answer =
        run("'" + plumbmark::test::source_folder().string() + "/sample_clips/truth.json' 2>&1");
    CHECK(answer.code == 1);
    CHECK(answer.words.find("truth.json") != std::string::npos);
}
