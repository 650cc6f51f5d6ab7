// The tracked sample meet against the truth that the renderer solved: every station of every run gets the
// ruling that was written down by hand before any engine saw the runs.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <nlohmann/json.hpp>

#include "review/documents.h"
#include "review/exchange.h"
#include "review/session.h"
#include "store/marks_json.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

using plumbmark::review::Session;
using plumbmark::review::SessionOptions;
namespace fs = std::filesystem;
namespace ruling = plumbmark::ruling;

const fs::path kSamples = plumbmark::test::source_folder() / "sample_clips";

nlohmann::json truth() {
    std::ifstream file(kSamples / "truth.json");
    return nlohmann::json::parse(file);
}

std::unique_ptr<Session> open_sample() {
    SessionOptions options;
    options.read_only = true;
    auto session = Session::open(kSamples / "pier-nine.meet", options);
    REQUIRE(session.ok());
    return std::move(*session);
}

std::map<std::string, std::string> verdicts(Session& session, const std::string& label) {
    for (const auto& [id, run] : session.state().runs()) {
        if (run.label == label) session.select_run(id);
    }
    REQUIRE(session.settle().ok());
    INFO((session.ruling().error ? session.ruling().error->text() : ""));
    REQUIRE(session.ruling().ruling != nullptr);
    std::map<std::string, std::string> found;
    for (const ruling::StationRuling& station : session.ruling().ruling->stations)
        found[session.book()->station(station.station).key] = ruling::verdict_words(station.verdict);
    return found;
}

/// What the truth file says: with all cameras, or with one clip alone where that differs.
std::map<std::string, std::string> expected(const nlohmann::json& truth, const std::string& run,
                                            const std::string& alone) {
    std::map<std::string, std::string> wanted;
    for (const auto& entry : truth["runs"]) {
        if (entry["run"] != run) continue;
        for (const auto& station : entry["right_ruling"]) {
            wanted[station["station"]] =
                station["alone"].contains(alone) ? station["alone"][alone] : station["verdict"];
        }
    }
    return wanted;
}

}  // namespace

TEST_CASE("each run of the sample meet gets the ruling that its truth demands") {
    const nlohmann::json known = truth();
    auto session = open_sample();
    for (const std::string number : {"1", "2", "3"}) {
        INFO("run " << number);
        CHECK(verdicts(*session, "run " + number) == expected(known, "run-" + number, ""));
    }
}

TEST_CASE("the near run is not shown by camera A alone and clear with both cameras") {
    const nlohmann::json known = truth();
    auto session = open_sample();
    auto alone = verdicts(*session, "run 4");
    const auto wanted = expected(known, "run-4", "run-4-a");
    CHECK(alone.at("bollard_hop") == wanted.at("bollard_hop"));
    CHECK(alone.at("hawser_swing") == "NOT SHOWN");
    CHECK(wanted.at("hawser_swing") == "NOT SHOWN");
    CHECK(verdicts(*session, "run 4, both cameras") == expected(known, "run-4", ""));
}

TEST_CASE("a not shown ruling of the sample meet tells both stories and what would settle it") {
    auto session = open_sample();
    (void)verdicts(*session, "run 4");
    const ruling::StationRuling& swing = session->ruling().ruling->stations.at(1);
    REQUIRE(swing.worlds.size() == 2);
    CHECK(swing.worlds[0].verdict != swing.worlds[1].verdict);
    REQUIRE_FALSE(swing.settle.empty());
    CHECK_FALSE(swing.settle.front().leads_to.empty());
}

TEST_CASE("a touch of something undeclared is kept and given out and fails the station that it is on") {
    const plumbmark::test::TemporaryFolder folder;
    for (const char* name : {"pier-nine.meet", "pier-nine.course", "run-1-a.mp4"})
        fs::copy_file(kSamples / name, folder / name);
    auto opened = Session::open(folder / "pier-nine.meet", {});
    REQUIRE(opened.ok());
    Session& session = **opened;
    CHECK(verdicts(session, "run 1")["bollard_hop"] == "CLEAR");
    // A hand on something nobody wrote down, on the way over the bollards.
    session.go_to_frame(130);
    REQUIRE(session.settle().ok());
    plumbmark::meet::Event touch;
    touch.part = plumbmark::course::Part::left_hand;
    const auto id = session.mark(touch);
    INFO((id ? "" : id.error().text()));
    REQUIRE(id.ok());
    CHECK(verdicts(session, "run 1")["bollard_hop"] == "FAIL");
    const auto text = plumbmark::review::give_out_marks(session);
    REQUIRE(text.ok());
    const auto again = plumbmark::store::read_marks(plumbmark::store::write_marks(*text));
    INFO((again ? "" : again.error().text()));
    REQUIRE(again.ok());
    CHECK(again->marks.size() == text->marks.size());
    CHECK(std::any_of(again->marks.begin(), again->marks.end(),
                      [&](const plumbmark::meet::Mark& mark) { return mark.alternatives.front() == touch; }));
    REQUIRE(session.undo().ok());
    CHECK(verdicts(session, "run 1")["bollard_hop"] == "CLEAR");
}

TEST_CASE("the split of the full clear lies around the true time from the beep to the last landing") {
    const nlohmann::json known = truth();
    std::int64_t start = 0;
    std::int64_t landing = 0;
    for (const auto& event : known["runs"][0]["events"]) {
        if (event["event"] == "signal" && event["signal"] == "start") start = event["time_ns"];
        const bool lands =
            event["event"] == "touch" && event["surface"] == "quay_deck" && event["part"] == "left_foot";
        if (lands && landing == 0) landing = event["time_ns"];
    }
    auto session = open_sample();
    (void)verdicts(*session, "run 1");
    const auto& run = *session->ruling().ruling;
    REQUIRE(run.split_low.has_value());
    REQUIRE(run.split_high.has_value());
    CHECK(run.split_low->ns < landing - start);
    CHECK(landing - start <= run.split_high->ns);
}

TEST_CASE("the sample meet holds no trace of the machine it was made on") {
    auto session = open_sample();
    for (const auto& [id, clip] : session->state().clips()) {
        CHECK(clip.last_known_path.empty());
        CHECK(fs::exists(kSamples / clip.relative_path));
    }
}

TEST_CASE("the document of a ruling carries its stills from the clips") {
    auto session = open_sample();
    (void)verdicts(*session, "run 3");
    auto document = plumbmark::review::ruling_document(*session);
    REQUIRE(document.ok());
    const auto pictures = plumbmark::review::ruling_stills(*session, *document);
    REQUIRE(pictures.ok());
    const auto& stills = pictures->stills;
    REQUIRE(stills.size() >= 2);
    for (const auto& still : stills) {
        CHECK(still.picture.width > 100);
        CHECK(still.picture.pixels.size() ==
              4U * static_cast<std::size_t>(still.picture.width * still.picture.height));
        CHECK_FALSE(still.outlines.empty());
    }
}
