#include "review/capture_time.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <vector>

#include "base/text.h"
#include "base/worded.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Rational;
using base::Result;
using base::worded;

constexpr std::array kUsualRates{
    Rational{24, 1},         Rational{25, 1},         Rational{30, 1},         Rational{50, 1},
    Rational{60, 1},         Rational{100, 1},        Rational{120, 1},        Rational{240, 1},
    Rational{24'000, 1'001}, Rational{30'000, 1'001}, Rational{60'000, 1'001}, Rational{120'000, 1'001},
};

/// Gaps between frames that are like the middle one: how many there are, and their ticks.
struct Gaps {
    std::int64_t count = 0;
    std::int64_t ticks = 0;
};

Gaps usual_gaps(const media::FrameTable& table, std::int64_t first, std::int64_t past) {
    std::vector<std::int64_t> gaps;
    for (std::int64_t n = first + 1; n < past; ++n)
        gaps.push_back(table[n].pts - table[n - 1].pts);
    if (gaps.empty()) return {};
    const auto middle = gaps.begin() + static_cast<std::ptrdiff_t>(gaps.size() / 2);
    std::nth_element(gaps.begin(), middle, gaps.end());
    const std::int64_t usual = *middle;
    const std::int64_t slack = std::max<std::int64_t>(1, usual / 10);
    Gaps kept;
    for (const std::int64_t gap : gaps) {
        if (std::abs(gap - usual) > slack) continue;
        ++kept.count;
        kept.ticks += gap;
    }
    return kept;
}

/// Whether frames at this rate would have taken as many ticks, to within the one that rounding may cost.
bool fits(Rational rate, const Gaps& gaps, Rational time_base) {
    const double ticks = static_cast<double>(gaps.count) * static_cast<double>(rate.den) /
                         static_cast<double>(rate.num) * static_cast<double>(time_base.den) /
                         static_cast<double>(time_base.num);
    return std::abs(ticks - static_cast<double>(gaps.ticks)) <= 1.0;
}

/// count / (ticks * time_base), with terms that a map may have.
std::optional<Rational> measured(const Gaps& gaps, Rational time_base) {
    constexpr std::int64_t kMost = 1'000'000;
    const Rational mean = base::exact_seconds(gaps.ticks, time_base);
    if (mean.num <= 0) return std::nullopt;
    const double rate =
        static_cast<double>(gaps.count) * static_cast<double>(mean.den) / static_cast<double>(mean.num);
    const Rational first = base::reduced({mean.den, mean.num});
    if (gaps.count == 1 && meet::is_rate(first)) return first;
    // In thousandths: a quarter of the drift that is allowed for anyway, at 30 a second.
    if (rate * 1000 > static_cast<double>(kMost)) return Rational{static_cast<std::int64_t>(rate + 0.5), 1};
    return base::reduced({std::max<std::int64_t>(1, static_cast<std::int64_t>(rate * 1000 + 0.5)), 1000});
}

}  // namespace

meet::CaptureMap capture_in_force(const meet::Clip& clip) {
    if (!clip.capture.empty() || !clip.slowed) return clip.capture;
    return {{{0, 0}, meet::Pace::unknown, {}}};
}

std::optional<Rational> shown_rate(const media::FrameTable& table, std::int64_t first, std::int64_t past) {
    const Gaps gaps = usual_gaps(table, first, past);
    const Rational time_base = table.time_base();
    if (gaps.count == 0 || gaps.ticks <= 0 || time_base.num <= 0) return std::nullopt;
    for (const Rational rate : kUsualRates) {
        if (fits(rate, gaps, time_base)) return rate;
    }
    const auto rate = measured(gaps, time_base);
    return rate && meet::is_rate(*rate) ? rate : std::nullopt;
}

std::optional<meet::Rates> slowed_by_file(const media::FrameTable& table) {
    const auto recorded = table.info().capture_rate;
    if (!recorded || !meet::is_rate(*recorded)) return std::nullopt;
    const auto shown = shown_rate(table, 0, table.size());
    if (!shown) return std::nullopt;
    const meet::Rates rates{*recorded, *shown};
    return meet::rates_differ(rates) ? std::optional(rates) : std::nullopt;
}

Result<meet::CaptureMap> completed(const meet::CaptureMap& given, const media::FrameTable& table) {
    meet::CaptureMap map = given;
    for (std::size_t i = 0; i < map.size(); ++i) {
        meet::CaptureStretch& stretch = map[i];
        const std::int64_t from = stretch.from.number;
        if (from < 0 || from >= table.size())
            return Error{Category::bad_input,
                         worded("The clip has frames 0 to {}, so no stretch begins with frame {}.",
                                table.size() - 1, from),
                         ""};
        stretch.from.pts = table[from].pts;
        if (stretch.pace != meet::Pace::retimed || stretch.rates.shown.num > 0) continue;
        // One frame more than the stretch has: the gap after its last frame is its own.
        const std::int64_t past = i + 1 < map.size() ? map[i + 1].from.number + 1 : table.size();
        const auto shown = shown_rate(table, from, std::min(past, table.size()));
        if (!shown)
            return Error{Category::bad_input,
                         worded("At which rate the file shows the stretch from frame {} cannot be "
                                "measured; write it too, as in '240 shown 30'.",
                                from),
                         ""};
        stretch.rates.shown = *shown;
    }
    const base::Sentence problem = meet::problem_of(map);
    if (!problem.empty())
        return Error{Category::bad_input,
                     base::Sentence(base::sentence_case(problem.english()) + ".",
                                    base::sentence_case(problem.spoken()) + "."),
                     ""};
    return map;
}

base::Time captured_at(const meet::Clip& clip, const media::FrameTable& table, std::int64_t frame) {
    return meet::CaptureClock(capture_in_force(clip), table.time_base()).time(table[frame].pts);
}

std::int64_t frame_captured_at(const meet::Clip& clip, const media::FrameTable& table, base::Time t) {
    const meet::CaptureClock clock(capture_in_force(clip), table.time_base());
    std::int64_t low = -1, high = table.size();
    while (high - low > 1) {
        const std::int64_t middle = low + (high - low) / 2;
        (clock.time(table[middle].pts) <= t ? low : high) = middle;
    }
    return low;
}

std::string capture_sentence(const meet::Clip& clip) {
    if (!clip.capture.empty())
        return "capture time: as given by the reviewer, " + meet::capture_words(clip.capture);
    if (!clip.slowed) return {};
    return "the file says: recorded at " + meet::rates_words(*clip.slowed) +
           "; this clip shows order only until the reviewer gives its capture time";
}

std::string repeated_sentence(const meet::Clip& clip) {
    if (!clip.repeated || clip.repeated->empty()) return {};
    std::int64_t all = 0, near = 0;
    for (const meet::RepeatedPictures& one : *clip.repeated) {
        all += one.last - one.first.number;
        near += one.exact ? 0 : one.last - one.first.number;
    }
    std::string text = base::counted(all, "repeated picture");
    if (near > 0) text += fmt::format(", {} of them nearly equal", near);
    return text;
}

}  // namespace plumbmark::review
