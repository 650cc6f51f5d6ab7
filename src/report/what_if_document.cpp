#include "report/what_if_document.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "report/internal/json_parts.h"
#include "report/internal/plain.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

const ruling::StationRuling* station_of(const RuledSide& side, const std::string& key) {
    for (std::size_t i = 0; i < side.book->stations.size() && i < side.ruling->stations.size(); ++i) {
        if (side.book->stations[i].key == key) return &side.ruling->stations[i];
    }
    return nullptr;
}

StationChange compare(const ruling::StationRuling* before, const ruling::StationRuling* after) {
    if (!after) return StationChange::gone;
    if (!before) return StationChange::added;
    if (before->verdict != after->verdict || before->if_reached != after->if_reached)
        return StationChange::verdict;
    if (before->points != after->points) return StationChange::points;
    // What decides where it is not shown, or clear, is no reason that a judge would be asked for.
    const bool other_clauses =
        before->verdict == ruling::Verdict::fail && before->failing_clauses != after->failing_clauses;
    return other_clauses ? StationChange::reason : StationChange::same;
}

bool both_ruled(const RunCompared& run) {
    return run.before.ruling && run.after.ruling;
}

std::string verdict_or_none(const ruling::StationRuling* station) {
    return station ? verdict_line(*station) : std::string("no such station");
}

std::string reason(const ruling::StationRuling* station) {
    if (!station || station->sentence.empty()) return {};
    return full_stop(base::sentence_case(plain(station->sentence.english())));
}

/// Lines of one run, the first without indentation.
class RunText {
  public:
    explicit RunText(const RunCompared& run) : run_(run) {}

    std::string changed() {
        line(0, fmt::format("{}: {}", plain(run_.label), result(run_.before)));
        if (result(run_.before) != result(run_.after)) line(1, "after the change: " + result(run_.after));
        for (const StationCompared& station : stations_compared(run_)) {
            if (station.change != StationChange::same) add(station);
        }
        return std::move(out_);
    }

    std::string not_ruled(const char* what, const base::Error& error) {
        line(0, fmt::format("{}: {}", plain(run_.label), what));
        line(1, plain(error.text()));
        return std::move(out_);
    }

  private:
    void line(int depth, const std::string& text) {
        out_ += std::string(static_cast<std::size_t>(depth) * 3, ' ') + text + "\n";
    }

    static std::string result(const RuledSide& side) {
        const std::string& sentence = side.ruling->sentence;
        return sentence.empty() ? "no result" : plain(sentence);
    }

    void add(const StationCompared& station) {
        const std::string before = verdict_or_none(station.before);
        const std::string after = verdict_or_none(station.after);
        line(1, before == after
                    ? fmt::format("{}: {} still", plain(station.name), before)
                    : fmt::format("{}: {}, and {} after the change", plain(station.name), before, after));
        if (const std::string why = reason(station.before); !why.empty()) line(2, "before: " + why);
        if (const std::string why = reason(station.after); !why.empty()) line(2, "after: " + why);
        if (station.change == StationChange::points)
            line(2,
                 fmt::format("points: {}, and {} after the change", fmt::join(station.before->points, " or "),
                             fmt::join(station.after->points, " or ")));
    }

    const RunCompared& run_;
    std::string out_;
};

std::string heading(const WhatIfDocument& document) {
    std::vector<std::string> what;
    if (!document.book_file.empty())
        what.push_back(fmt::format("course book {}, revision {}", plain(document.book_file),
                                   plain(document.book_revision)));
    for (const std::string& setting : document.settings)
        what.push_back(plain(setting));
    return fmt::format("What would change in {} with {}:\n\n", plain(document.meet_name), base::listed(what));
}

std::string run_text(const RunCompared& run) {
    switch (change_of(run)) {
        case RunChange::changed:
            return RunText(run).changed();
        case RunChange::no_longer_ruled:
            return RunText(run).not_ruled("can no longer be ruled", *run.after.error);
        case RunChange::now_ruled:
            return RunText(run).not_ruled("can be ruled after the change; before it could not",
                                          *run.before.error);
        case RunChange::never_ruled:
            return RunText(run).not_ruled("cannot be ruled, before or after", *run.after.error);
        case RunChange::same:
            break;
    }
    return {};
}

Json json_results(const ruling::RunRuling& ruling) {
    Json out = Json::array();
    for (const ruling::RunResult& result : ruling.results)
        out.push_back(
            {{"cleared", result.cleared}, {"full_clear", result.full_clear}, {"points", result.points}});
    return out;
}

Json json_side(const RuledSide& side) {
    const bool ruled = side.ruling.has_value();
    return {{"revision", side.revision},
            {"error", side.error ? Json(side.error->text()) : Json()},
            {"sentence", ruled ? Json(side.ruling->sentence) : Json()},
            {"results", ruled ? json_results(*side.ruling) : Json::array()}};
}

Json json_station_side(const ruling::StationRuling* station) {
    if (!station) return {};
    Json clauses = Json::array();
    for (const ruling::Clause clause : station->failing_clauses)
        clauses.push_back(ruling::clause_key(clause));
    return {{"verdict", ruling::verdict_key(station->verdict)},
            {"if_reached", station->if_reached},
            {"sentence", station->sentence},
            {"failing_clauses", std::move(clauses)},
            {"points", station->points}};
}

Json json_run(const RunCompared& run) {
    Json stations = Json::array();
    for (const StationCompared& station : stations_compared(run))
        stations.push_back({{"station", station.key},
                            {"name", station.name},
                            {"change", station_change_key(station.change)},
                            {"before", json_station_side(station.before)},
                            {"after", json_station_side(station.after)}});
    return {{"run", run.label},
            {"change", run_change_key(change_of(run))},
            {"before", json_side(run.before)},
            {"after", json_side(run.after)},
            {"stations", std::move(stations)}};
}

}  // namespace

const char* station_change_key(StationChange change) {
    switch (change) {
        case StationChange::same:
            return "same";
        case StationChange::reason:
            return "reason";
        case StationChange::points:
            return "points";
        case StationChange::verdict:
            return "verdict";
        case StationChange::gone:
            return "gone";
        case StationChange::added:
            break;
    }
    return "added";
}

const char* run_change_key(RunChange change) {
    switch (change) {
        case RunChange::same:
            return "same";
        case RunChange::changed:
            return "changed";
        case RunChange::no_longer_ruled:
            return "no_longer_ruled";
        case RunChange::now_ruled:
            return "now_ruled";
        case RunChange::never_ruled:
            break;
    }
    return "never_ruled";
}

std::vector<StationCompared> stations_compared(const RunCompared& run) {
    std::vector<StationCompared> all;
    if (!both_ruled(run)) return all;
    const auto add = [&](const course::Station& station) {
        const auto* before = station_of(run.before, station.key);
        const auto* after = station_of(run.after, station.key);
        all.push_back({station.key, station.name, before, after, compare(before, after)});
    };
    for (const course::Station& station : run.before.book->stations)
        add(station);
    for (const course::Station& station : run.after.book->stations) {
        if (!run.before.book->find_station(station.key).valid()) add(station);
    }
    return all;
}

RunChange change_of(const RunCompared& run) {
    if (!run.before.ruling) return run.after.ruling ? RunChange::now_ruled : RunChange::never_ruled;
    if (!run.after.ruling) return RunChange::no_longer_ruled;
    if (run.before.ruling->results != run.after.ruling->results ||
        run.before.ruling->sentence != run.after.ruling->sentence)
        return RunChange::changed;
    const std::vector<StationCompared> stations = stations_compared(run);
    const bool same = std::all_of(stations.begin(), stations.end(), [](const StationCompared& station) {
        return station.change == StationChange::same;
    });
    return same ? RunChange::same : RunChange::changed;
}

std::string what_if_text(const WhatIfDocument& document) {
    std::string out = heading(document);
    std::int64_t same = 0;
    for (const RunCompared& run : document.runs) {
        const std::string text = run_text(run);
        if (text.empty()) ++same;
        out += text.empty() ? text : text + "\n";
    }
    const auto total = static_cast<std::int64_t>(document.runs.size());
    if (total == 0) return out + "There is no run to rule.\n";
    if (same == total) return out + "Nothing changes in " + base::counted(total, "run") + ".\n";
    if (same == 0) return out + "No run stays as it is.\n";
    return out + fmt::format("{} of {} {} not change.\n", same, base::counted(total, "run"),
                             same == 1 ? "does" : "do");
}

std::string what_if_json(const WhatIfDocument& document) {
    Json runs = Json::array();
    for (const RunCompared& run : document.runs)
        runs.push_back(json_run(run));
    const Json whole = {
        {"form", "plumbmark what-if"},
        {"form_version", 1},
        {"program_version", document.program_version},
        {"meet", document.meet_name},
        {"book", document.book_file.empty()
                     ? Json()
                     : Json{{"file", document.book_file}, {"revision", document.book_revision}}},
        {"settings", document.settings},
        {"runs", std::move(runs)},
    };
    return whole.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace plumbmark::report
