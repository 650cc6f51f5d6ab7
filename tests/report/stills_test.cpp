#include "report/stills.h"

#include <catch2/catch.hpp>

#include "documents.h"

using namespace plumbmark;
using report::choose_stills;
using report::StillPair;
using ruling::ClipIndex;
using ruling::MarkId;
using Pairs = std::vector<StillPair>;

TEST_CASE("a station that is not shown shows what the steps to settle it look at") {
    CHECK(choose_stills(test::pier_nine()) == Pairs{{"net_traverse", ClipIndex{0}, 1116, 1119, MarkId{6}},
                                                    {"net_traverse", ClipIndex{1}, 1000, 1010, MarkId{}}});
}

TEST_CASE("without steps to settle it, a station that is not shown shows the last seen event of its worlds") {
    report::RulingDocument document = test::pier_nine();
    document.ruling.stations[2].settle.clear();
    const Pairs pairs = choose_stills(document);
    REQUIRE(pairs.size() == 2);
    CHECK(pairs[0] == StillPair{"net_traverse", ClipIndex{0}, 1116, 1119, MarkId{6}});
    CHECK(pairs[1].station_key == "hawser_swing");
}

TEST_CASE("a failed station shows its deciding bracket, and the closest clear station fills the row") {
    CHECK(choose_stills(test::pier_nine_failed()) ==
          Pairs{{"net_traverse", ClipIndex{0}, 1116, 1119, MarkId{6}},
                {"hawser_swing", ClipIndex{0}, 852, 853, MarkId{3}}});
}

TEST_CASE("the deciding event is shown from the other camera too") {
    report::RulingDocument document = test::pier_nine_failed();
    document.ruling.stations[2].deciding_mark = MarkId{5};
    document.ruling.stations[2].decided_at.reset();
    CHECK(choose_stills(document) == Pairs{{"net_traverse", ClipIndex{0}, 1098, 1099, MarkId{5}},
                                           {"net_traverse", ClipIndex{1}, 977, 982, MarkId{5}}});
}

TEST_CASE("what is under appeal comes before what is not, whatever its verdict and place") {
    report::RulingDocument document = test::pier_nine_failed();
    document.ruling.stations[0].verdict = ruling::Verdict::fail;
    document.floor_calls = {{"hawser_swing", meet::Call::fail, "", true}};
    const Pairs pairs = choose_stills(document);
    REQUIRE(pairs.size() == 3);
    CHECK(pairs[0].station_key == "hawser_swing");
    CHECK(pairs[1].station_key == "bollard_hop");
    CHECK(pairs[2].station_key == "net_traverse");
}

TEST_CASE("where all is clear, the smallest margins are shown first and at most four pairs") {
    report::RulingDocument document = test::pier_nine();
    const ruling::StationRuling clear = document.ruling.stations[0];
    document.floor_calls.clear();
    document.book.stations.resize(6);
    document.ruling.stations.clear();
    for (std::int64_t i = 0; i < 6; ++i) {
        ruling::StationRuling station = clear;
        document.book.stations[static_cast<std::size_t>(i)].key = "station " + std::to_string(i);
        station.station = {i};
        station.decided_at = test::between(0, 100 * i + 10);
        station.margin->frames = 10 - i;
        document.ruling.stations.push_back(station);
    }
    document.ruling.stations[5].margin->unlimited = true;
    const Pairs pairs = choose_stills(document);
    REQUIRE(pairs.size() == report::kMostStillPairs);
    CHECK(pairs[0].before == 410);
    CHECK(pairs[1].before == 310);
    CHECK(pairs[2].before == 210);
    CHECK(pairs[3].before == 110);
}

TEST_CASE("no pair comes twice, and a bracket open at one end keeps the other") {
    report::RulingDocument document = test::pier_nine_failed();
    document.ruling.stations[0].verdict = ruling::Verdict::fail;
    document.ruling.stations[0].decided_at = document.ruling.stations[2].decided_at;
    document.ruling.stations[1].decided_at = ruling::Shown{ClipIndex{0}, std::nullopt, test::frame_time(4)};
    const Pairs pairs = choose_stills(document);
    REQUIRE(pairs.size() == 2);
    CHECK(pairs[0] == StillPair{"net_traverse", ClipIndex{0}, 1116, 1119, MarkId{6}});
    CHECK(pairs[1] == StillPair{"hawser_swing", ClipIndex{0}, std::nullopt, 4, MarkId{3}});
}

TEST_CASE("a ruling without anything decided wants no pictures") {
    CHECK(choose_stills(report::RulingDocument{}).empty());
    report::RulingDocument document = test::pier_nine();
    for (ruling::StationRuling& station : document.ruling.stations)
        station = document.ruling.stations[3];
    CHECK(choose_stills(document).empty());
}
