// What the table and the JSON say of values that are known.
#include "report.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

using namespace plumbmark::bench;

namespace {

Figure seeks() {
    Figure figure;
    figure.name = "random";
    figure.title = "jumps";
    figure.unit = "ms";
    figure.rows = {{"plumbmark", "", true, {10, 40, 20}, ""},
                   {"slow", "1 thread", false, {200, 400, 300}, ""},
                   {"quick", "2 threads", false, {40, 80, 30}, ""},
                   {"absent", "", false, {}, "not installed"}};
    return figure;
}

nlohmann::json json_of(const Figure& figure) {
    const auto json =
        nlohmann::json::parse(json_text("a machine", {{"clip.mp4", "h264", "ffmpeg", {figure}}}));
    return json.at("clips").at(0).at("figures").at(0);
}

}  // namespace

TEST_CASE("the ratio is ours to the best peer that was measured") {
    const auto row = json_of(seeks()).at("rows").at(0);
    CHECK(row.at("best_peer") == "quick");
    CHECK(row.at("typical") == 20);
    CHECK(row.at("ratio") == 0.5);
    CHECK(row.at("paired_ratio") == 0.5);  // of 10/40, 40/80 and 20/30
}

TEST_CASE("where more is better the best peer is the one with the most") {
    Figure figure = seeks();
    figure.better = Better::more;
    CHECK(json_of(figure).at("rows").at(0).at("best_peer") == "slow");
}

TEST_CASE("a peer that is not installed keeps its row and says so") {
    const std::string table = table_text(seeks());
    CHECK(table.find("not installed") != std::string::npos);
    const auto row = json_of(seeks()).at("rows").at(3);
    CHECK(row.at("n") == 0);
    CHECK(row.at("note") == "not installed");
    CHECK_FALSE(row.contains("typical"));
}

TEST_CASE("a goal is judged against the row that it names") {
    Figure figure = seeks();
    figure.goal = Goal{"plumbmark", "quick", 0.6};
    CHECK(json_of(figure).at("goal").at("met") == true);
    figure.goal->bound = 0.4;
    CHECK(json_of(figure).at("goal").at("met") == false);
    CHECK(table_text(figure).find("missed") != std::string::npos);
}

TEST_CASE("a goal without another row is judged by the value itself, typical or worst") {
    Figure figure = seeks();
    figure.goal = Goal{"plumbmark", "", 25};
    CHECK(json_of(figure).at("goal").at("met") == true);
    figure.goal->of = Goal::Of::worst;
    CHECK(json_of(figure).at("goal").at("met") == false);
}

TEST_CASE("a goal is left out where it cannot be judged") {
    Figure figure = seeks();
    figure.goal = Goal{"plumbmark", "absent", 0.6};
    CHECK_FALSE(json_of(figure).contains("goal"));
}

TEST_CASE("a share is the percentage of ones") {
    Figure figure = seeks();
    figure.summary = Summary::share;
    figure.better = Better::more;
    figure.rows = {{"plumbmark", "", true, {1, 1, 1, 0}, ""}};
    CHECK(json_of(figure).at("rows").at(0).at("typical") == 75);
}
