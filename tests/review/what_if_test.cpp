// What another book or other settings would change, on the sample meet; the side before is held to the
// session's own rulings.
#include "review/what_if.h"

#include <catch2/catch.hpp>
#include <filesystem>

#include "course/read.h"
#include "review/session.h"
#include "store/meet_file.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

namespace fs = std::filesystem;
using namespace plumbmark;
using report::RunChange;
using review::WhatIf;
using ruling::Verdict;

const fs::path kSamples = test::source_folder() / "sample_clips";

/// The sample meet with the tables of its clips.
struct Sample {
    meet::State state;
    review::FrameTables tables;

    Sample() {
        store::OpenOptions reading;
        reading.read_only = true;
        auto file = store::MeetFile::open(kSamples / "pier-nine.meet", reading);
        REQUIRE(file.ok());
        state = file->loaded();
        auto read = review::frame_tables(kSamples, state, std::nullopt);
        REQUIRE(read.ok());
        tables = std::move(*read);
    }

    [[nodiscard]] base::Result<report::WhatIfDocument> ask(const WhatIf& change,
                                                           const review::WhatIfOptions& options = {}) const {
        return review::what_if(state, change, review::table_from(tables), options);
    }
};

/// The sample book with the first text of each pair replaced by the second.
WhatIf edited(const std::vector<std::pair<std::string, std::string>>& changes) {
    std::string text = test::bytes_of(kSamples / "pier-nine.course");
    for (const auto& [from, to] : changes) {
        const std::size_t at = text.find(from);
        REQUIRE(at != std::string::npos);
        text.replace(at, from.size(), to);
    }
    auto book = course::read_book_or_error(text, "edited.course");
    INFO((book.ok() ? "" : book.error().text()));
    REQUIRE(book.ok());
    WhatIf change;
    change.book = std::move(*book);
    change.book_file = "edited.course";
    return change;
}

std::vector<std::string> changed(const report::WhatIfDocument& document,
                                 RunChange kind = RunChange::changed) {
    std::vector<std::string> labels;
    for (const report::RunCompared& run : document.runs) {
        if (report::change_of(run) == kind) labels.push_back(run.label);
    }
    return labels;
}

using Labels = std::vector<std::string>;

}  // namespace

TEST_CASE("before the change each run is ruled as the session rules it") {
    const Sample sample;
    const auto document = sample.ask(edited({{"revision = \"2\"", "revision = \"3\""}}));
    REQUIRE(document.ok());
    const test::TemporaryFolder folder;
    for (const auto& entry : fs::directory_iterator(kSamples))
        fs::copy_file(entry.path(), folder / entry.path().filename());
    review::SessionOptions reading;
    reading.read_only = true;
    auto session = review::Session::open(folder / "pier-nine.meet", reading);
    REQUIRE(session.ok());
    std::size_t n = 0;
    for (const auto& [id, run] : (*session)->state().runs()) {
        (*session)->select_run(id);
        REQUIRE((*session)->settle().ok());
        const ruling::RunRuling& expected = *(*session)->ruling().ruling;
        REQUIRE(document->runs.at(n).before.ruling);
        const ruling::RunRuling& found = *document->runs.at(n++).before.ruling;
        CHECK(found.results == expected.results);
        CHECK(found.sentence == expected.sentence);
        REQUIRE(found.stations.size() == expected.stations.size());
        for (std::size_t i = 0; i < found.stations.size(); ++i) {
            CHECK(found.stations[i].verdict == expected.stations[i].verdict);
            CHECK(found.stations[i].failing_clauses == expected.stations[i].failing_clauses);
        }
    }
    CHECK(n == (*session)->state().runs().size());
    CHECK(changed(*document).empty());  // another number alone changes nothing
    CHECK(changed(*document, RunChange::same).size() == n);
}

TEST_CASE("a stricter landing changes the runs that it touches, with both reasons") {
    const Sample sample;
    const auto before = sample.ask(edited({}));
    const auto document = sample.ask(
        edited({{"surface = \"hawser\", parts = \"hands\"", "surface = \"hawser\", parts = \"feet\""}}));
    REQUIRE(document.ok());
    const Labels runs = changed(*document);
    CHECK(runs.size() >= 3);
    for (const report::RunCompared& run : document->runs) {
        if (report::change_of(run) != RunChange::changed) continue;
        bool swing = false;
        for (const report::StationCompared& station : report::stations_compared(run)) {
            if (station.key != "hawser_swing" || station.change == report::StationChange::same) continue;
            swing = true;
            CHECK_FALSE(station.before->sentence.empty());
            CHECK_FALSE(station.after->sentence.empty());
            CHECK(station.before->sentence != station.after->sentence);
        }
        CHECK(swing);
    }
}

TEST_CASE("what is not shown after the change says why, as a ruling does") {
    const Sample sample;
    WhatIf change;
    REQUIRE(review::put_setting(change, "brush_counts=false").ok());
    const auto document = sample.ask(change);
    REQUIRE(document.ok());
    CHECK(changed(*document) == Labels{"run 2", "run 3"});
    for (const report::StationCompared& station : report::stations_compared(document->runs[1])) {
        if (station.key != "hawser_swing") continue;
        CHECK(station.before->verdict == Verdict::fail);
        CHECK(station.after->verdict == Verdict::not_shown);
        CHECK(station.after->worlds.size() >= 2);
        CHECK(station.after->sentence.english().find("how it came out") == std::string::npos);
    }
}

TEST_CASE("a run whose mark names what is gone is told, not dropped") {
    const Sample sample;
    const auto document = sample.ask(edited({{"bollard_3 = \"third bollard\"\n", ""},
                                             {", \"bollard_3\"]", "]"},
                                             {"bollard_3 = { outline", "# bollard_3 = { outline"}}));
    REQUIRE(document.ok());
    const Labels lost = changed(*document, RunChange::no_longer_ruled);
    CHECK_FALSE(lost.empty());
    for (const report::RunCompared& run : document->runs) {
        if (report::change_of(run) != RunChange::no_longer_ruled) continue;
        CHECK(run.after.error->text().find("bollard_3") != std::string::npos);
        CHECK(run.before.ruling);
        CHECK(run.after.revision == "2");
    }
    CHECK(document->runs.size() == sample.state.runs().size());
}

TEST_CASE("a run whose division the edited book does not have is told") {
    Sample sample;
    const WhatIf divided =
        edited({{"[finish]", "[[division]]\nkey = \"youth\"\nname = \"Youth\"\n[finish]"}});
    meet::Run run = sample.state.runs().begin()->second;
    meet::Run youth = run;
    youth.division = "youth";
    REQUIRE(sample.state.apply({"division", {{run, youth}}, 0}).ok());
    const auto now_ruled = sample.ask(divided);
    REQUIRE(now_ruled.ok());
    CHECK(changed(*now_ruled, RunChange::now_ruled) == Labels{"run 1"});
    const auto never = sample.ask(edited({}));
    CHECK(changed(*never, RunChange::never_ruled) == Labels{"run 1"});
    CHECK(never->runs[0].after.error->sentence.english().find("no division 'youth'") != std::string::npos);
}

TEST_CASE("one run alone can be asked for, and one that is not there is an error") {
    const Sample sample;
    review::WhatIfOptions options;
    options.run = std::next(sample.state.runs().begin(), 2)->first;
    const auto document = sample.ask(edited({}), options);
    REQUIRE(document.ok());
    REQUIRE(document->runs.size() == 1);
    CHECK(document->runs[0].label == "run 3");
    options.run = meet::RunId{99};
    CHECK(sample.ask(edited({}), options).error().category == base::Category::not_found);
}

TEST_CASE("the progress never falls and ends at one, and a stop ends it at once") {
    const Sample sample;
    std::vector<double> shares;
    review::WhatIfOptions options;
    options.progress = [&](double share) { shares.push_back(share); };
    WhatIf change;
    REQUIRE(review::put_setting(change, "brush_counts=false").ok());
    REQUIRE(sample.ask(change, options).ok());
    CHECK(shares.size() == 2 * sample.state.runs().size());
    CHECK(std::is_sorted(shares.begin(), shares.end()));
    CHECK(shares.back() == 1.0);
    shares.clear();
    options.stopped = [&] { return shares.size() >= 3; };
    const auto stopped = sample.ask(change, options);
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().category == base::Category::cancelled);
    CHECK(shares.size() == 3);
}

TEST_CASE("settings are read strictly, and each changes what it names") {
    const Sample sample;
    for (const std::string bad :
         {"drift", "drift=", "drift=-1", "drift=fast", "drift=1.5", "row_delay=2000", "brush_counts=no",
          "run_cap=0", "format=points", "speed=3", "=", "run_cap=1e3"}) {
        INFO(bad);
        WhatIf change;
        const auto put = review::put_setting(change, bad);
        REQUIRE_FALSE(put.ok());
        CHECK(put.error().category == base::Category::bad_input);
        CHECK(change.empty());
    }
    for (const review::WhatIfSetting& setting : review::what_if_settings()) {
        WhatIf change;
        CHECK_FALSE(review::put_setting(change, setting.name + "=?").ok());
        CHECK(setting.about.size() > 10);
    }
    WhatIf change;
    for (const std::string good :
         {"drift = 100", "row_delay=16.7", "brush_counts=false", "loose_counts=false",
          "at_cap_is_in_time=false", "false_start=no effect", "format=every station counts", "run_cap=30"})
        REQUIRE(review::put_setting(change, good).ok());
    CHECK(change.settings.front() == "drift = 100");
    CHECK(change.drift_parts_per_million == 100);
    CHECK(change.row_delay == base::Duration{16'700'000});
    course::CourseBook book;
    for (const auto& apply : change.of_book)
        apply(book);
    CHECK_FALSE(book.brush_counts);
    CHECK_FALSE(book.loose_counts);
    CHECK_FALSE(book.at_cap_is_in_time);
    CHECK(book.false_start == course::FalseStart::no_effect);
    CHECK(book.format == course::Format::every_station_counts);
    CHECK(book.run_cap == base::Duration{30'000'000'000});
}

TEST_CASE("a shorter run cap ends runs that were cleared") {
    const Sample sample;
    WhatIf change;
    REQUIRE(review::put_setting(change, "run_cap=3").ok());
    const auto document = sample.ask(change);
    REQUIRE(document.ok());
    const report::RunCompared& first = document->runs[0];
    CHECK(report::change_of(first) == RunChange::changed);
    CHECK(first.before.ruling->results.back().full_clear);
    CHECK_FALSE(first.after.ruling->results.back().full_clear);
}

TEST_CASE("clips whose files are away have no table, and their runs are ruled all the same") {
    const Sample sample;
    const test::TemporaryFolder empty;
    const auto none =
        review::frame_tables(fs::path(empty / "nothing").parent_path(), sample.state, std::nullopt);
    REQUIRE(none.ok());
    CHECK(none->empty());
    CHECK(sample.tables.size() == sample.state.clips().size());
    std::stop_source stop;
    stop.request_stop();
    CHECK(review::frame_tables(kSamples, sample.state, std::nullopt, stop.get_token()).error().category ==
          base::Category::cancelled);
}
