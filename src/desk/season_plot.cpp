// One station over the meets of a season: the share cleared, and the times. What chance or the frames leave
// open is drawn as a range, never as a point alone.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "desk/internal/plot_axis.h"
#include "desk/internal/say.h"
#include "desk/internal/season_desk.h"

namespace plumbmark::desk {
namespace {

/// So much of a step is not told from nothing.
constexpr double kTiny = 1e-6;

/// The meets side by side, a value upwards.
class Panel {
  public:
    Panel(const Look& look, const Box& box, const std::vector<std::string>& meets)
        : look_(look), c_(*look.colours), meets_(meets), list_(ImGui::GetWindowDrawList()), box_(box) {
        const float left = look.unit(52), above = look.unit(26), below = look.unit(24);
        plot_ = {box.x + left, box.y + above, box.w - left - look.unit(10), box.h - above - below};
    }

    void ground(const std::string& title, const study::Interval& span, double step,
                const std::function<std::string(double)>& words) {
        fill_box(list_, box_, c_.strip);
        span_ = span;
        look_.words->draw(list_, look_.fonts.small, {box_.x + look_.unit(8), box_.y + look_.unit(4)}, c_.soft,
                          look_.words->fitted(look_.fonts.small, title, box_.w - look_.unit(16)));
        const double last = std::floor(span.high / step + kTiny);
        for (double i = std::ceil(span.low / step - kTiny) + 0.0; i <= last; ++i) {  // never -0
            const float y = y_of(i * step);
            list_->AddLine({plot_.x, y}, {plot_.right(), y}, ink(c_.line), 1);
            const std::string at = words(i * step);
            look_.words->draw(list_, look_.fonts.small,
                              {plot_.x - look_.unit(6) - look_.words->width(look_.fonts.small, at),
                               y - Words::line_height(look_.fonts.small) / 2},
                              c_.soft, at);
        }
        days();
    }

    void share(const report::SeasonPlot::At& at) const {
        if (!at.cleared.share) return;
        const float x = x_of(at.meet);
        range(x, at.cleared.wilson.low, at.cleared.wilson.high);
        list_->AddCircleFilled({x, y_of(*at.cleared.share)}, look_.unit(4.5F), ink(c_.ink));
    }
    /// The median as a disc and the best as a square, beside each other, so that neither hides the other.
    void times(const report::SeasonPlot::At& at) const {
        const float aside = look_.unit(7);
        if (const auto y = time(x_of(at.meet) - aside, at.median))
            list_->AddCircleFilled({x_of(at.meet) - aside, *y}, look_.unit(4.5F), ink(c_.ink));
        if (const auto y = time(x_of(at.meet) + aside, at.best)) {
            const float x = x_of(at.meet) + aside, r = look_.unit(4);
            list_->AddRectFilled({x - r, *y - r}, {x + r, *y + r}, ink(c_.strip));
            list_->AddRect({x - r, *y - r}, {x + r, *y + r}, ink(c_.ink), 0, 0,
                           std::max(1.0F, look_.unit(1.5F)));
        }
    }

  private:
    [[nodiscard]] float x_of(std::size_t meet) const {
        return plot_.x + (static_cast<float>(meet) + 0.5F) * plot_.w /
                             static_cast<float>(std::max<std::size_t>(1, meets_.size()));
    }
    [[nodiscard]] float y_of(double value) const {
        const double share = std::clamp((value - span_.low) / span_.width(), 0.0, 1.0);
        return plot_.bottom() - static_cast<float>(share) * plot_.h;
    }

    /// The days below, as many as have room.
    void days() {
        float widest = 1;
        for (const std::string& day : meets_)
            widest = std::max(widest, look_.words->width(look_.fonts.small, day));
        const float each = plot_.w / static_cast<float>(std::max<std::size_t>(1, meets_.size()));
        const auto every =
            static_cast<std::size_t>(std::max(1.0F, std::ceil((widest + look_.unit(8)) / each)));
        for (std::size_t i = 0; i < meets_.size(); i += every) {
            const std::string day = look_.words->fitted(look_.fonts.small, meets_[i], plot_.w);
            const float w = look_.words->width(look_.fonts.small, day);
            const float x = std::clamp(x_of(i) - w / 2, box_.x, std::max(box_.x, box_.right() - w));
            look_.words->draw(list_, look_.fonts.small, {x, plot_.bottom() + look_.unit(4)}, c_.soft, day);
        }
    }

    /// A bar across ends what is bounded; what is not goes on to the edge with an arrow.
    void range(float x, std::optional<double> low, std::optional<double> high) const {
        const ImU32 colour = ink(c_.soft);
        const float thick = std::max(1.0F, look_.unit(1.5F)), half = look_.unit(4);
        const float top = high ? y_of(*high) : plot_.y, bottom = low ? y_of(*low) : plot_.bottom();
        draw_upright_range(list_, {x, top, bottom, high.has_value(), low.has_value()}, half, thick, colour);
    }
    /// Where its middle lies, where both ends are known.
    [[nodiscard]] std::optional<float> time(float x, const study::Length& length) const {
        if (!length.low && !length.high) return std::nullopt;
        const auto end = [](const std::optional<base::Duration>& one) {
            return one ? std::optional<double>(seconds_of(*one)) : std::nullopt;
        };
        const auto low = end(length.low), high = end(length.high);
        range(x, low, high);
        if (!low || !high) return std::nullopt;
        return y_of((*low + *high) / 2);
    }

    const Look& look_;
    const Palette& c_;
    const std::vector<std::string>& meets_;
    ImDrawList* const list_;
    const Box box_;
    Box plot_;
    study::Interval span_{0, 1};
};

/// From the shortest time to the longest with some room, so that what moved from meet to meet is seen; never
/// so narrow that a frame looks like much.
study::Interval span_of(const report::SeasonPlot::Row& row) {
    constexpr double kLeast = 0.5, kRoom = 0.1;
    std::optional<study::Interval> span;
    for (const report::SeasonPlot::At& at : row.at)
        for (const study::Length* time : {&at.best, &at.median})
            for (const auto& end : {time->low, time->high}) {
                if (!end) continue;
                const double value = seconds_of(*end);
                span = span ? study::Interval{std::min(span->low, value), std::max(span->high, value)}
                            : study::Interval{value, value};
            }
    if (!span) return {0, 1};
    const double more = std::max(span->width() * kRoom, (kLeast - span->width()) / 2);
    return {std::max(0.0, span->low - more), span->high + more};
}

}  // namespace

void draw_season_plot(const Look& look, const Box& box, const report::SeasonPlot& plot,
                      const report::SeasonPlot::Row& row) {
    constexpr double kHundred = 100;
    const float gap = look.unit(12), width = (box.w - gap) / 2;
    Panel cleared(look, {box.x, box.y, width, box.h}, plot.meets);
    Panel times(look, {box.x + width + gap, box.y, width, box.h}, plot.meets);
    cleared.ground(tr("share cleared of those shown; bars: {:.0f} %", kHundred * plot.confidence), {0, 1},
                   0.25, [](double at) { return fmt::format("{:.0f} %", at * kHundred); });
    const study::Interval span = span_of(row);
    const double step = even_step(span.width(), box.h / look.unit(40));
    times.ground(tr("time: median (disc) and best (square)"), span, step,
                 [step](double at) { return tick_words(at, step, false); });
    for (const report::SeasonPlot::At& at : row.at) {
        cleared.share(at);
        times.times(at);
    }
}

}  // namespace plumbmark::desk
