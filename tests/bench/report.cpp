#include "report.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <numeric>

namespace plumbmark::bench {
namespace {

using nlohmann::ordered_json;

double ratio_of(const Figure& figure, const Row& row, const Row& other) {
    const double divisor = figure.typical(other);
    return divisor == 0 ? 0 : figure.typical(row) / divisor;
}

/// The median of the ratios of values that were measured side by side; none where the numbers differ.
std::optional<double> paired_ratio(const Row& row, const Row& other) {
    if (row.values.size() != other.values.size() || row.values.empty()) return std::nullopt;
    std::vector<double> ratios;
    for (std::size_t i = 0; i < row.values.size(); ++i) {
        if (other.values[i] != 0) ratios.push_back(row.values[i] / other.values[i]);
    }
    return median(ratios);
}

struct Judgement {
    std::string text;
    bool met = false;
};

std::optional<Judgement> judge(const Figure& figure) {
    if (!figure.goal) return std::nullopt;
    const Goal& goal = *figure.goal;
    const Row* row = figure.find(goal.row);
    const Row* against = goal.against.empty() ? nullptr : figure.find(goal.against);
    if (row == nullptr || row->values.empty() ||
        (!goal.against.empty() && (against == nullptr || against->values.empty())))
        return std::nullopt;
    const double value = goal.of == Goal::Of::typical ? figure.typical(*row) : figure.worst(*row);
    const double measured = against == nullptr ? value : value / figure.typical(*against);
    const bool met = figure.better == Better::less ? measured <= goal.bound : measured >= goal.bound;
    const std::string of = against == nullptr ? figure.unit : "of " + against->contestant;
    return Judgement{fmt::format("{} {} {} {} {}: {:.2f}, {}", goal.row,
                                 goal.of == Goal::Of::typical ? "typical" : "95th percentile",
                                 figure.better == Better::less ? "<=" : ">=", goal.bound, of, measured,
                                 met ? "met" : "missed"),
                     met};
}

std::string values_text(const Figure& figure, const Row& row) {
    if (row.values.empty()) return fmt::format("{:>10} {:>10}", "-", "-");
    if (figure.summary == Summary::percentiles)
        return fmt::format("{:>10.2f} {:>10.2f}", figure.typical(row), figure.worst(row));
    return fmt::format("{:>10.2f} {:>10}", figure.typical(row), "");
}

std::string ratio_text(const Figure& figure, const Row& row) {
    const Row* best = figure.best_peer();
    if (!row.ours || row.values.empty() || best == nullptr || figure.summary == Summary::amount) return "";
    return fmt::format("{:.2f}", ratio_of(figure, row, *best));
}

ordered_json row_json(const Figure& figure, const Row& row) {
    ordered_json json{{"contestant", row.contestant},
                      {"setting", row.setting},
                      {"ours", row.ours},
                      {"n", row.values.size()}};
    if (!row.values.empty()) {
        json["typical"] = figure.typical(row);
        if (figure.summary == Summary::percentiles) json["p95"] = figure.worst(row);
        json["values"] = row.values;
    }
    const Row* best = figure.best_peer();
    if (row.ours && best != nullptr && !row.values.empty()) {
        json["best_peer"] = best->contestant;
        json["ratio"] = ratio_of(figure, row, *best);
        if (const auto paired = paired_ratio(row, *best)) json["paired_ratio"] = *paired;
    }
    if (!row.note.empty()) json["note"] = row.note;
    return json;
}

ordered_json figure_json(const Figure& figure) {
    ordered_json json{{"name", figure.name},
                      {"title", figure.title},
                      {"unit", figure.unit},
                      {"better", figure.better == Better::less ? "less" : "more"}};
    json["rows"] = ordered_json::array();
    for (const Row& row : figure.rows)
        json["rows"].push_back(row_json(figure, row));
    if (const auto judgement = judge(figure))
        json["goal"] = {{"text", judgement->text}, {"met", judgement->met}};
    return json;
}

}  // namespace

double Figure::typical(const Row& row) const {
    if (row.values.empty()) return 0;
    if (summary == Summary::percentiles) return median(row.values);
    const double mean =
        std::accumulate(row.values.begin(), row.values.end(), 0.0) / static_cast<double>(row.values.size());
    return summary == Summary::share ? 100 * mean : mean;
}

double Figure::worst(const Row& row) const {
    return summary == Summary::percentiles ? worst_twentieth(row.values, better) : typical(row);
}

const Row* Figure::best_peer() const {
    const Row* best = nullptr;
    for (const Row& row : rows) {
        if (row.ours || row.values.empty()) continue;
        const bool first = best == nullptr;
        if (first || (better == Better::less ? typical(row) < typical(*best) : typical(row) > typical(*best)))
            best = &row;
    }
    return best;
}

const Row* Figure::find(const std::string& contestant) const {
    const auto found =
        std::find_if(rows.begin(), rows.end(), [&](const Row& row) { return row.contestant == contestant; });
    return found == rows.end() ? nullptr : &*found;
}

std::string table_text(const Figure& figure) {
    const bool percentiles = figure.summary == Summary::percentiles;
    std::string text = fmt::format("{}: {} [{}]\n", figure.name, figure.title, figure.unit);
    text += fmt::format("  {:<26} {:<11} {:>10} {:>10} {:>6}  {:>12}\n", "", "",
                        percentiles ? "median" : "value", percentiles ? "p95" : "", "n", "to best peer");
    for (const Row& row : figure.rows) {
        text += fmt::format("  {:<26} {:<11} {} {:>6}  {:>12}  {}", row.contestant, row.setting,
                            values_text(figure, row), row.values.size(), ratio_text(figure, row), row.note);
        text.erase(text.find_last_not_of(' ') + 1);
        text += '\n';
    }
    if (const auto judgement = judge(figure)) text += "  goal: " + judgement->text + "\n";
    return text;
}

std::string json_text(const std::string& machine, const std::vector<ClipReport>& reports) {
    ordered_json json{{"machine", machine}, {"clips", ordered_json::array()}};
    for (const ClipReport& report : reports) {
        ordered_json clip{
            {"clip", report.clip}, {"content", report.content}, {"truth_from", report.truth_from}};
        clip["figures"] = ordered_json::array();
        for (const Figure& figure : report.figures)
            clip["figures"].push_back(figure_json(figure));
        json["clips"].push_back(std::move(clip));
    }
    return json.dump(2) + "\n";
}

}  // namespace plumbmark::bench
