#include "trials/report.h"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/distributions/beta.hpp>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>

namespace plumbmark::trials {

std::size_t angle_class(double angle) {
    std::size_t which = 0;
    while (which + 1 < kAngles.size() && angle >= kAngles[which + 1])
        ++which;
    return which;
}

double Share::standard() const {
    return of == 0 ? 0 : std::sqrt(value() * (1 - value()) / static_cast<double>(of));
}

Share::Ends Share::ends() const {
    if (of == 0) return {};
    using boost::math::beta_distribution;
    const auto n = static_cast<double>(of), k = static_cast<double>(are);
    Ends out;
    out.low = are == 0 ? 0 : boost::math::quantile(beta_distribution<>(k, n - k + 1), 0.025);
    out.high = are == of ? 1 : boost::math::quantile(beta_distribution<>(k + 1, n - k), 0.975);
    return out;
}

void Tally::take(const Outcome& outcome) {
    ++asked;
    if (outcome.at_camera) ++no_camera;
    if (!outcome.at_camera && !outcome.refusal.empty()) ++refused;
    if (!outcome.refusal.empty()) return;
    const auto count = [](Share& share, bool is) {
        ++share.of;
        share.are += is ? 1 : 0;
    };
    count(likely, outcome.likely_holds);
    count(sure, outcome.sure_holds);
    count(suspicious, outcome.suspicious);
    count(by_draws, outcome.by_draws);
    if (outcome.said != sight::Side::cannot_tell) count(wrong, outcome.word_is_wrong);
    squares += outcome.error * outcome.error;
    if (outcome.standard > 0) normalised += std::pow(outcome.error / outcome.standard, 2);
    half_widths.push_back(outcome.half_width);
    errors.push_back(std::abs(outcome.error));
}

namespace {

double median(std::vector<double> values) {
    if (values.empty()) return 0;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

double root_mean(double squares, std::size_t n) {
    return n == 0 ? 0 : std::sqrt(squares / static_cast<double>(n));
}

std::string class_name(std::size_t which) {
    return fmt::format("{:g}-{:g}", kAngles[which], which + 1 < kAngles.size() ? kAngles[which + 1] : 90);
}

std::string percent(const Share& share) {
    if (share.of == 0) return "–";
    return fmt::format("{:.1f} ± {:.1f}", 100 * share.value(), 100 * share.standard());
}

/// Of rare things: how many, and below what their share surely is.
std::string rare(const Share& share) {
    if (share.of == 0) return "–";
    return fmt::format("{} of {} (< {:.2f} %)", share.are, share.of, 100 * share.ends().high);
}

std::string row(const std::string& name, const Tally& tally, Question question) {
    const bool crossing = is_crossing(question);
    std::string out = fmt::format("| {} | {} | {} | {} | {} | {} |", name, tally.asked, tally.no_camera,
                                  tally.refused, percent(tally.likely), percent(tally.sure));
    if (tally.answers() == 0) return out + " – | – | – |\n";
    if (crossing)
        return out + fmt::format(" {:.2f} | {:.3f} | {:.3f} |\n", tally.median_half_width(), tally.rms(),
                                 tally.median_error());
    return out + fmt::format(" {} | {:.1f} | {:.1f} |\n", rare(tally.wrong), 1000 * tally.median_half_width(),
                             1000 * tally.median_error());
}

std::string head(const std::string& first, Question question) {
    const std::string common =
        fmt::format("| {} | asked | no camera | refused | 95 % holds, % | 99.9 % holds, % |", first);
    return common +
           (is_crossing(question) ? " half width, frames | RMS error, frames | middle error, frames |\n"
                                  : " wrong words | half width, mm | middle error, mm |\n") +
           "|---|---|---|---|---|---|---|---|---|\n";
}

}  // namespace

double Tally::rms() const {
    return root_mean(squares, answers());
}
double Tally::normalised_rms() const {
    return root_mean(normalised, answers());
}
double Tally::median_half_width() const {
    return median(half_widths);
}
double Tally::median_error() const {
    return median(errors);
}

std::string text_of(const Trials& trials) {
    std::string out = fmt::format("{} set-ups\n", trials.setups);
    for (std::size_t q = 0; q < kQuestions; ++q) {
        const auto question = static_cast<Question>(q);
        const auto asked = [&](const Outcome& one) { return one.question == question; };
        if (trials.of(asked).asked == 0) continue;
        out += fmt::format("\n### {}\n\n", name_of(question)) + head("angle, degrees", question);
        for (std::size_t a = 0; a < kAngles.size(); ++a)
            out +=
                row(class_name(a),
                    trials.of([&](const Outcome& one) { return asked(one) && angle_class(one.angle) == a; }),
                    question);
        out += row("all", trials.of(asked), question) + "\n" + head("part", question);
        for (std::size_t p = 0; p < kParts; ++p)
            out += row(name_of(static_cast<Part>(p)), trials.of([&](const Outcome& one) {
                return asked(one) && one.part == static_cast<Part>(p);
            }),
                       question);
        for (const bool drawn : {false, true})
            out += row(drawn ? "found in drawn patches, within" : "pointed at, within",
                       trials.of([&](const Outcome& one) {
                           return asked(one) && one.rendered == drawn && one.part == Part::within;
                       }),
                       question);
        std::map<std::string, std::size_t> refusals;
        for (const Outcome& one : trials.outcomes)
            if (asked(one) && !one.refusal.empty()) ++refusals[one.refusal];
        for (const auto& [sentence, count] : refusals)
            out += fmt::format("\n{} times: {}", count, sentence);
        const Tally all = trials.of(asked);
        out += fmt::format("\n{:.1f} % of the answers by draws, {:.1f} % said not to fit together.\n",
                           100 * all.by_draws.value(), 100 * all.suspicious.value());
    }
    return out;
}

namespace {

nlohmann::json json_of(const Share& share) {
    return {{"of", share.of}, {"are", share.are}, {"low", share.ends().low}, {"high", share.ends().high}};
}

nlohmann::json json_of(const Tally& tally) {
    return {{"asked", tally.asked},
            {"no_camera", tally.no_camera},
            {"refused", tally.refused},
            {"likely_holds", json_of(tally.likely)},
            {"sure_holds", json_of(tally.sure)},
            {"wrong_words", json_of(tally.wrong)},
            {"suspicious", json_of(tally.suspicious)},
            {"by_draws", json_of(tally.by_draws)},
            {"rms_error", tally.rms()},
            {"median_error", tally.median_error()},
            {"normalised_rms", tally.normalised_rms()},
            {"median_half_width", tally.median_half_width()}};
}

}  // namespace

std::string json_of(const Trials& trials) {
    nlohmann::json out{{"setups", trials.setups}, {"questions", nlohmann::json::array()}};
    for (std::size_t q = 0; q < kQuestions; ++q) {
        const auto question = static_cast<Question>(q);
        nlohmann::json one{{"question", name_of(question)},
                           {"unit", is_crossing(question) ? "frames" : "metres"},
                           {"rows", nlohmann::json::array()}};
        for (std::size_t p = 0; p < kParts; ++p)
            for (std::size_t a = 0; a < kAngles.size(); ++a) {
                const Tally tally = trials.of([&](const Outcome& outcome) {
                    return outcome.question == question && outcome.part == static_cast<Part>(p) &&
                           angle_class(outcome.angle) == a;
                });
                nlohmann::json row = json_of(tally);
                row["part"] = name_of(static_cast<Part>(p));
                row["angle_from"] = kAngles[a];
                row["angle_to"] = a + 1 < kAngles.size() ? kAngles[a + 1] : 90;
                one["rows"].push_back(std::move(row));
            }
        out["questions"].push_back(std::move(one));
    }
    return out.dump(1) + "\n";
}

}  // namespace plumbmark::trials
