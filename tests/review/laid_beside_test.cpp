// Runs of the sample meet laid beside each other: which frames belong together, against what its renderer
// solved (sample_clips/truth.json).
#include "review/laid_beside.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <set>

#include "store/meet_file.h"
#include "support/test_places.h"

namespace {

using namespace plumbmark;
using review::LaidBeside;
using review::Together;
namespace fs = std::filesystem;

const fs::path kMeet = test::source_folder() / "sample_clips/pier-nine.meet";

const meet::State& sample() {
    static const meet::State state = [] {
        store::OpenOptions options;
        options.read_only = true;
        auto file = store::MeetFile::open(kMeet, options);
        REQUIRE(file.ok());
        return file->take_loaded();
    }();
    return state;
}

meet::RunId run_called(const std::string& label) {
    for (const auto& [id, run] : sample().runs())
        if (run.label == label) return id;
    FAIL("no run " << label);
    return {};
}

LaidBeside laid(const std::string& a, const std::string& b, const std::string& align = {}) {
    auto both = review::laid_beside(sample(), kMeet,
                                    {run_called(a), b.empty() ? meet::RunId{} : run_called(b), align});
    INFO((both ? "" : both.error().text()));
    REQUIRE(both);
    return *both;
}

/// When a foot or a hand first came onto each surface, since the start signal.
std::map<std::string, std::int64_t> true_touches(const std::string& run) {
    std::ifstream file(kMeet.parent_path() / "truth.json");
    const nlohmann::json truth = nlohmann::json::parse(file);
    std::map<std::string, std::int64_t> touches;
    std::int64_t start = 0;
    for (const auto& one : truth["runs"]) {
        if (one["run"] != run) continue;
        for (const auto& event : one["events"]) {
            if (event["event"] == "signal" && event["signal"] == "start") start = event["time_ns"];
            if (event["event"] != "touch") continue;
            const std::string key =
                event["part"].get<std::string>() + " " + event["surface"].get<std::string>();
            touches.emplace(key, event["time_ns"].get<std::int64_t>() - start);
        }
    }
    return touches;
}

/// A frame of the sample's cameras, with the row delay of one that nobody knows.
constexpr std::int64_t kFrame = 17'000'000, kRows = 33'000'000;

}  // namespace

TEST_CASE("at the same moment both runs are as far from the anchor") {
    const LaidBeside both = laid("run 1", "run 3");
    REQUIRE(both.document.two->anchor);
    const auto map = review::together(both.document, 0, 0, Together::same_moment);
    const auto a = review::anchor_time(both.document, 0), b = review::other_anchor_time(both.document, 0);
    REQUIRE((map && a && b));
    for (const std::int64_t since : {-500'000'000LL, 0LL, 1'234'567'890LL, 4'000'000'000LL})
        CHECK(map->to_b(*a + base::Duration{since}) - *b == base::Duration{since});
}

TEST_CASE("at the same phase what truly happened in both runs lies over each other") {
    const LaidBeside both = laid("run 1", "run 4");
    const auto map = review::together(both.document, 0, 0, Together::same_phase);
    const auto a = review::anchor_time(both.document, 0), b = review::other_anchor_time(both.document, 0);
    REQUIRE((map && a && b));
    const auto in_a = true_touches("run-1"), in_b = true_touches("run-4");
    int met = 0;
    std::int64_t apart = 0;
    std::set<std::string> marked;
    for (const study::CurvePoint& point : both.document.two->curve)
        marked.insert(report::event_of(*both.document.runs[0], point.event.a));
    for (const auto& [key, since] : in_a) {
        const auto there = in_b.find(key);
        if (there == in_b.end()) continue;
        // The words of a mark name part and surface: "left foot touches coil deck".
        const std::string part = key.substr(0, key.find(' ')), surface = key.substr(key.find(' ') + 1);
        const course::CourseBook& book = *both.document.runs[0]->book;
        std::string words = part + " touches " + book.surface_name(book.find_surface(surface));
        std::replace(words.begin(), words.end(), '_', ' ');
        if (!marked.count(words)) continue;
        const std::int64_t told = (map->to_b(*a + base::Duration{since}) - *b).ns;
        INFO(words);
        CHECK(std::abs(told - there->second) <= 2 * (kFrame + kRows));
        apart = std::max(apart, std::abs(there->second - since));
        ++met;
    }
    CHECK(met >= 5);
    // The two were not run alike: at the same moment these would lie well apart.
    CHECK(apart > 4 * (kFrame + kRows));
}

TEST_CASE("two runs can lie over each other at what both show, and at each of it they do") {
    const LaidBeside both = laid("run 1", "run 3");
    REQUIRE(both.can_lie_at.size() >= 3);
    CHECK(both.can_lie_at.front().wish == "start");
    std::set<std::string> wishes;
    for (const review::LaidAt& at : both.can_lie_at) {
        INFO(at.wish);
        CHECK(wishes.insert(at.wish).second);
        const LaidBeside there = laid("run 1", "run 3", at.wish);
        REQUIRE(there.document.two->anchor);
        CHECK(there.document.two->anchor->wish == at.wish);
        CHECK_FALSE(there.document.two->anchor->fell_back);
        CHECK(there.document.two->anchor->says == at.says);
    }
}

TEST_CASE("one run is held against the athlete's other runs, and what cannot be is refused") {
    const LaidBeside one = laid("run 1", "");
    CHECK(one.document.runs.size() == 1);
    CHECK_FALSE(one.document.two);
    CHECK(one.can_lie_at.empty());
    CHECK_FALSE(review::together(one.document, 0, 0, Together::same_moment));
    CHECK_FALSE(review::anchor_time(one.document, 0));
    const auto gone = review::laid_beside(sample(), kMeet, {run_called("run 1"), meet::RunId{999}, {}});
    REQUIRE_FALSE(gone);
    CHECK(gone.error().category == base::Category::not_found);
    const auto wrong =
        review::laid_beside(sample(), kMeet, {run_called("run 1"), run_called("run 3"), "somewhere"});
    REQUIRE_FALSE(wrong);
    CHECK(wrong.error().category == base::Category::bad_input);
    int asked = 0;
    const auto stopped =
        review::laid_beside(sample(), kMeet, {run_called("run 1"), {}, {}}, [&] { return ++asked > 0; });
    REQUIRE_FALSE(stopped);
    CHECK(stopped.error().category == base::Category::cancelled);
}

TEST_CASE("a clip on which an event lies nowhere is not laid over another") {
    const LaidBeside both = laid("run 1", "run 3");
    CHECK_FALSE(review::together(both.document, 9, 0, Together::same_moment));
    CHECK_FALSE(review::together(both.document, 0, 9, Together::same_phase));
    CHECK_FALSE(review::other_anchor_time(both.document, 9));
}
