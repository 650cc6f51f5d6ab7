// The reviewer's word for a clip's capture time, read and written.
#include <fmt/format.h>

#include <charconv>
#include <optional>

#include "base/text.h"
#include "base/worded.h"
#include "meet/capture.h"

namespace plumbmark::meet {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::Sentence;
using base::worded;

constexpr std::string_view kShown = "shown";

Error wrong(std::string_view part, const Sentence& sentence) {
    return {Category::bad_input, worded("'{}': {}", part, sentence), ""};
}

std::optional<std::int64_t> whole(std::string_view text, std::int64_t most) {
    std::int64_t number = 0;
    const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (problem != std::errc{} || end != text.data() + text.size() || number < 0 || number > most)
        return std::nullopt;
    return number;
}

/// "240", "59.94" or "240000/1001".
std::optional<base::Rational> read_rate(std::string_view text) {
    constexpr std::int64_t kMost = 1'000'000;
    const auto slash = text.find('/');
    const auto point = text.find('.');
    base::Rational rate;
    if (slash != std::string_view::npos) {
        const auto num = whole(base::trimmed(text.substr(0, slash)), kMost);
        const auto den = whole(base::trimmed(text.substr(slash + 1)), kMost);
        if (!num || !den || *den == 0) return std::nullopt;
        rate = {*num, *den};
    } else if (point != std::string_view::npos) {
        const std::string_view decimals = text.substr(point + 1);
        const auto before = whole(text.substr(0, point), kMost);
        const auto after = whole(decimals, kMost);
        if (!before || !after || decimals.size() > 3) return std::nullopt;
        std::int64_t ten = 1;
        for (std::size_t i = 0; i < decimals.size(); ++i)
            ten *= 10;
        rate = {*before * ten + *after, ten};
    } else {
        const auto number = whole(text, kMost);
        if (!number) return std::nullopt;
        rate = {*number, 1};
    }
    rate = base::reduced(rate);
    return is_rate(rate) ? std::optional(rate) : std::nullopt;
}

Error no_rate(std::string_view part) {
    return wrong(part,
                 worded("this is no rate in pictures a second; write a number between 0.001 and 100000, "
                        "such as 240, 59.94 or 240000/1001."));
}

Result<CaptureStretch> read_pace(std::string_view text, std::string_view part) {
    CaptureStretch stretch;
    if (text == "as shown") return stretch;
    if (text == "unknown") {
        stretch.pace = Pace::unknown;
        return stretch;
    }
    if (text.empty())
        return wrong(part, worded("a rate is missing, such as 240; or write 'as shown' or 'unknown'."));
    stretch.pace = Pace::retimed;
    const auto shown = text.find(kShown);
    const std::string_view recorded = base::trimmed(text.substr(0, shown));
    const auto rate = read_rate(recorded);
    if (!rate) return no_rate(recorded.empty() ? part : recorded);
    stretch.rates.recorded = *rate;
    if (shown == std::string_view::npos) return stretch;
    const std::string_view as_shown = base::trimmed(text.substr(shown + kShown.size()));
    const auto other = read_rate(as_shown);
    if (!other) return no_rate(as_shown.empty() ? part : as_shown);
    stretch.rates.shown = *other;
    return stretch;
}

Result<CaptureStretch> read_stretch(std::string_view part, bool first) {
    if (part.empty() || part.front() != '@') {
        if (first) return read_pace(part, part);
        return wrong(part, worded("every stretch but the first begins with its frame, as in '@120 240'."));
    }
    const auto space = std::min(part.find_first_of(" \t"), part.size());
    const auto frame = whole(part.substr(1, space - 1), 9'007'199'254'740'991);
    if (!frame) return wrong(part, worded("after '@' comes a frame number, as in '@120 240'."));
    if (first && *frame != 0)
        return wrong(
            part,
            worded("the first stretch begins with frame 0; say what holds before this frame first, as in "
                   "'as shown; @120 240'."));
    Result<CaptureStretch> stretch = read_pace(base::trimmed(part.substr(space)), part);
    if (!stretch) return stretch;
    stretch->from.number = *frame;
    return stretch;
}

std::string pace_words(const CaptureStretch& stretch) {
    switch (stretch.pace) {
        case Pace::as_shown:
            return "as shown";
        case Pace::retimed:
            return rates_words(stretch.rates);
        case Pace::unknown:
            return "unknown";
    }
    return {};
}

}  // namespace

Result<CaptureMap> read_capture(std::string_view text) {
    CaptureMap map;
    std::string_view rest = base::trimmed(text);
    if (rest.empty() || rest == "none") return map;
    while (true) {
        const auto end = rest.find(';');
        const std::string_view part = base::trimmed(rest.substr(0, end));
        Result<CaptureStretch> stretch = read_stretch(part, map.empty());
        if (!stretch) return stretch.error();
        if (!map.empty() && map.back().from.number >= stretch->from.number)
            return wrong(part, worded("its frame is not after frame {}, where the stretch before begins.",
                                      map.back().from.number));
        map.push_back(*stretch);
        if (end == std::string_view::npos) return map;
        rest = rest.substr(end + 1);
    }
}

std::string capture_text(const CaptureMap& map) {
    std::string text;
    for (const CaptureStretch& stretch : map) {
        if (!text.empty()) text += fmt::format("; @{} ", stretch.from.number);
        if (stretch.pace != Pace::retimed) {
            text += pace_words(stretch);
            continue;
        }
        text += rate_text(stretch.rates.recorded);
        if (stretch.rates.shown.num > 0) text += " shown " + rate_text(stretch.rates.shown);
    }
    return text;
}

std::string rate_text(base::Rational rate) {
    if (rate.den == 1) return std::to_string(rate.num);
    for (const std::int64_t ten : {10, 100, 1000}) {
        if (ten % rate.den != 0) continue;
        const std::int64_t thousandths = rate.num * (1000 / rate.den);
        std::string text = fmt::format("{}.{:03}", thousandths / 1000, thousandths % 1000);
        return text.substr(0, text.find_last_not_of('0') + 1);
    }
    return fmt::format("{}/{}", rate.num, rate.den);
}

std::string rates_words(const Rates& rates) {
    const std::string recorded = rate_text(rates.recorded) + " pictures a second";
    return rates.shown.num > 0 ? recorded + ", shown at " + rate_text(rates.shown) : recorded;
}

std::string capture_words(const CaptureMap& map) {
    if (map.size() == 1) return pace_words(map.front());
    std::string text;
    for (std::size_t i = 0; i < map.size(); ++i) {
        if (i > 0) text += "; ";
        text += fmt::format("from f {} {}", map[i].from.number, pace_words(map[i]));
    }
    return text;
}

}  // namespace plumbmark::meet
