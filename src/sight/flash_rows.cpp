#include "sight/flash_rows.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <limits>
#include <utility>

#include "sight/internal/band_edge.h"

namespace plumbmark::sight {
namespace {

constexpr int kReach = 4;  ///< frames on either side of the one that is looked at
constexpr int kWindow = 2 * kReach + 1;
constexpr int kFewest = 5;  ///< frames, so that a flash over two of them is not the median
constexpr double kSurelyLit = 8, kLeastLight = 3, kHardlyLit = 0.5;
constexpr double kShareOfBand = 0.1;  ///< of the band's light, below which a row of it counts as dark
constexpr double kLeastNoise = 0.05;  ///< pictures that were drawn have none
constexpr int kLeastRows = 4;
constexpr int kWidth = kRowParts * 3 / 4;

std::vector<float> means_of(const RowLight& light) {
    std::vector<float> rows(light.size() / kRowParts);
    for (std::size_t r = 0; r < rows.size(); ++r) {
        float sum = 0;
        for (std::size_t p = 0; p < kRowParts; ++p)
            sum += light[r * kRowParts + p];
        rows[r] = sum / kRowParts;
    }
    return rows;
}

/// Stretches of rows above a level. Gaps that are no wider than what noise or one dark row makes are closed.
std::vector<std::pair<int, int>> bands_above(const std::vector<float>& excess, double level) {
    const int height = static_cast<int>(excess.size()), gap = std::max(2, height / 200);
    std::vector<std::pair<int, int>> bands;
    for (int r = 0; r < height; ++r) {
        if (!(static_cast<double>(excess[static_cast<std::size_t>(r)]) > level)) continue;
        if (!bands.empty() && r - bands.back().second <= gap)
            bands.back().second = r + 1;
        else
            bands.emplace_back(r, r + 1);
    }
    std::erase_if(bands, [](const auto& band) { return band.second - band.first < kLeastRows; });
    return bands;
}

bool at_begin(const std::pair<int, int>& band) {
    return band.first < kLeastRows;
}

bool at_end(const std::pair<int, int>& band, int height) {
    return band.second > height - kLeastRows;
}

}  // namespace

FlashSearch::FlashSearch(int height) : height_(height) {}

void FlashSearch::add(RowLight light) {
    if (light.size() != static_cast<std::size_t>(height_) * kRowParts) light.clear();
    std::vector<float> rows = means_of(light);
    window_.push_back({std::move(light), std::move(rows)});
    ++added_;
    if (added_ - looked_ > kReach) look_at(looked_++);
    if (window_.size() > kWindow) {
        window_.pop_front();
        ++window_begins_;
    }
}

std::vector<Flash> FlashSearch::finish(std::int64_t begins) {
    while (looked_ < added_)
        look_at(looked_++);
    close(added_);
    for (Flash& flash : found_)
        flash.frame += begins;
    return std::move(found_);
}

const FlashSearch::Kept* FlashSearch::kept(std::int64_t frame) const {
    if (frame < window_begins_ || frame >= added_) return nullptr;
    const Kept& one = window_[static_cast<std::size_t>(frame - window_begins_)];
    return one.rows.empty() ? nullptr : &one;
}

/// Row by row, of the parts' mean (part -1) or of one part. Empty where there are too few frames.
std::vector<float> FlashSearch::median_around(std::int64_t frame, int part,
                                              const std::pair<int, int>& rows) const {
    std::array<const Kept*, kWindow> frames{};
    std::size_t count = 0;
    for (std::int64_t f = frame - kReach; f <= frame + kReach; ++f)
        if (const Kept* one = kept(f)) frames[count++] = one;
    if (count < kFewest) return {};
    std::vector<float> median;
    median.reserve(static_cast<std::size_t>(rows.second - rows.first));
    std::array<float, kWindow> values{};
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(count / 2);
    for (auto r = static_cast<std::size_t>(rows.first); r < static_cast<std::size_t>(rows.second); ++r) {
        for (std::size_t i = 0; i < count; ++i)
            values[i] = part < 0 ? frames[i]->rows[r]
                                 : frames[i]->light[r * kRowParts + static_cast<std::size_t>(part)];
        std::nth_element(values.begin(), middle, values.begin() + static_cast<std::ptrdiff_t>(count));
        median.push_back(*middle);
    }
    return median;
}

std::optional<FlashSearch::Lit> FlashSearch::lit(std::int64_t frame) const {
    const Kept* here = kept(frame);
    // With a frame before it and one after it, light that goes on is told from a flash.
    if (here == nullptr || !kept(frame - 1) || frame + 1 >= added_) return std::nullopt;
    const std::vector<float> median = median_around(frame, -1, {0, height_});
    if (median.empty()) return std::nullopt;
    Lit out;
    out.frame = frame;
    out.excess.resize(median.size());
    float brightest = 0;
    for (std::size_t r = 0; r < median.size(); ++r) {
        out.excess[r] = here->rows[r] - median[r];
        brightest = std::max(brightest, out.excess[r]);
    }
    if (!(static_cast<double>(brightest) > kLeastLight)) return std::nullopt;  // most frames end here
    std::vector<float> off;
    for (std::int64_t f = frame - kReach; f <= frame + kReach; ++f) {
        const Kept* other = f == frame ? nullptr : kept(f);
        for (std::size_t r = 0; other != nullptr && r < median.size(); ++r)
            off.push_back(std::abs(other->rows[r] - median[r]));
    }
    out.noise = std::max(kLeastNoise, kOfMedian * static_cast<double>(middle_of(off)));
    out.least = std::max(kSurelyLit * out.noise, kLeastLight);
    // At first with what moves beside the flash, which is darker; then as bright as the flash's own rows are.
    for (int again = 0; again < 2; ++again) {
        out.bands = bands_above(out.excess, out.least);
        std::erase_if(out.bands, [&](const auto& band) { return !covers_width(frame, band, 1); });
        if (out.bands.empty()) return std::nullopt;
        std::vector<float> rows;
        for (const auto& [first, past] : out.bands)
            rows.insert(rows.end(), out.excess.begin() + first, out.excess.begin() + past);
        out.strength = static_cast<double>(middle_of(std::move(rows)));
        out.least = std::max(out.least, kShareOfBand * out.strength);
    }
    return out;
}

/// Whether enough of the parts are brighter over these rows, by so many code values and by a twentieth of
/// what the rows are at least.
bool FlashSearch::covers_width(std::int64_t frame, const std::pair<int, int>& band, double least) const {
    const Kept& here = *kept(frame);
    std::array<double, kRowParts> sums{};
    double all = 0;
    for (std::size_t part = 0; part < kRowParts; ++part) {
        const std::vector<float> median = median_around(frame, static_cast<int>(part), band);
        for (std::size_t r = 0; r < median.size(); ++r) {
            const std::size_t row = static_cast<std::size_t>(band.first) + r;
            sums[part] += static_cast<double>(here.light[row * kRowParts + part] - median[r]);
        }
        all += sums[part] / kRowParts;
    }
    const double enough = std::max(least * (band.second - band.first), 0.05 * all);
    return std::count_if(sums.begin(), sums.end(), [&](double sum) { return sum > enough; }) >= kWidth;
}

void FlashSearch::look_at(std::int64_t frame) {
    std::optional<Lit> one = lit(frame);
    if (!one) return close(frame);
    ++run_length_;
    if (run_.size() < 3) run_.push_back(std::move(*one));
}

/// What moves is in the frames around as well; two of them on either side are looked at.
bool FlashSearch::quiet_around(std::int64_t next) const {
    const auto rows_as_bright = [&](std::int64_t frame, const Lit& beside) {
        const Kept *there = kept(frame), *here = kept(beside.frame);
        if (there == nullptr || here == nullptr) return 0;
        int rows = 0;
        for (std::size_t r = 0; r < there->rows.size(); ++r) {
            const float median = here->rows[r] - beside.excess[r];
            if (static_cast<double>(std::abs(there->rows[r] - median)) > beside.strength / 4) ++rows;
        }
        return rows;
    };
    int lit_rows = 0;
    for (const Lit& one : run_)
        for (const auto& [first, past] : one.bands)
            lit_rows = std::max(lit_rows, past - first);
    for (const int away : {1, 2})
        if (4 * rows_as_bright(run_.front().frame - away, run_.front()) > lit_rows ||
            4 * rows_as_bright(next - 1 + away, run_.back()) > lit_rows)
            return false;
    return true;
}

/// The run of lit frames ends before 'next'.
void FlashSearch::close(std::int64_t next) {
    if (run_length_ > 0 && quiet_around(next)) {
        for (const Flash& flash : run_length_ > 2 ? lasting() : told())
            found_.push_back(flash);
    }
    run_.clear();
    run_length_ = 0;
}

/// Light that stays lights every row of the frames between its first and its last. What lights others in each
/// frame wanders through them.
std::vector<Flash> FlashSearch::lasting() const {
    const auto& bands = run_[1].bands;
    if (bands.size() > 1 || !at_begin(bands.front()) || !at_end(bands.front(), height_)) return {};
    return {Flash{run_.front().frame, run_length_, FlashKind::lasting, {}, {}, run_.front().strength}};
}

/// One frame, or two.
std::vector<Flash> FlashSearch::told() const {
    const auto begun = [](const Lit& lit, int frames, FlashKind kind) {
        return Flash{lit.frame, frames, kind, {}, {}, lit.strength};
    };
    const auto edge = [&](const Lit& lit, bool rises) {
        const auto& [first, past] = lit.bands.front();
        const auto across_width = [&](int from, int to) {
            return covers_width(lit.frame, {from, to}, kHardlyLit);
        };
        return band_edge({lit.excess, first, past, lit.noise, lit.least, across_width}, rises);
    };
    const auto alone = [&](const Lit& lit) {
        Flash flash = begun(lit, 1, FlashKind::unclear);
        if (lit.bands.size() > 1) return flash;
        const auto& band = lit.bands.front();
        const bool begin = at_begin(band), end = at_end(band, height_);
        if (begin || end) {
            flash.kind = begin && end ? FlashKind::whole : FlashKind::cut;
            return flash;
        }
        const auto first = edge(lit, true), last = edge(lit, false);
        if (first && last) {
            flash.kind = FlashKind::within;
            flash.first = *first;
            flash.last = *last;
        }
        return flash;
    };
    if (run_.size() == 1) return {alone(run_.front())};
    const Lit &one = run_.front(), &next = run_.back();
    const bool one_band = one.bands.size() == 1 && next.bands.size() == 1;
    const bool meet = one_band && at_end(one.bands.front(), height_) && at_begin(next.bands.front());
    if (!meet) return {alone(one), alone(next)};
    Flash flash = begun(one, 2, FlashKind::unclear);
    if (at_begin(one.bands.front()) || at_end(next.bands.front(), height_)) {
        flash.kind = FlashKind::whole;
        return {flash};
    }
    const auto first = edge(one, true), last = edge(next, false);
    // One exposure is no longer than the frame interval: a row is lit in one of the two frames alone.
    if (first && last && first->at + first->off > last->at - last->off) {
        flash.kind = FlashKind::across;
        flash.first = *first;
        flash.last = *last;
    }
    return {flash};
}

namespace {

std::vector<Flash> of_kind(const std::vector<Flash>& flashes, FlashKind kind) {
    std::vector<Flash> out;
    std::copy_if(flashes.begin(), flashes.end(), std::back_inserter(out),
                 [&](const Flash& flash) { return flash.kind == kind; });
    return out;
}

/// Whether all these numbers of rows can be the same one.
bool can_be_the_same(const std::vector<Flash>& flashes) {
    double least = 0, most = std::numeric_limits<double>::infinity();
    for (const Flash& flash : flashes) {
        least = std::max(least, flash.rows() - flash.rows_off());
        most = std::min(most, flash.rows() + flash.rows_off());
    }
    return least <= most;
}

/// What the ranges of all pairs come to.
class Ranges {
  public:
    void take(const RowDelay& range) {
        const double middle = (range.least + range.most) / 2;
        least_ = std::max(least_, range.least);
        most_ = std::min(most_, range.most);
        low_ = std::min(low_, middle);
        high_ = std::max(high_, middle);
        half_ = std::min(half_, (range.most - range.least) / 2);
    }
    [[nodiscard]] bool none() const { return high_ == 0; }
    [[nodiscard]] bool overlap() const { return least_ <= most_; }
    /// Holds what lies in all of them: the narrowest one's middle is between the others'.
    [[nodiscard]] RowDelay together() const { return {low_ - half_, high_ + half_}; }

  private:
    static constexpr double kAny = std::numeric_limits<double>::infinity();
    double least_ = 0, most_ = kAny, low_ = kAny, high_ = 0, half_ = kAny;
};

base::Result<RowDelay> range_of(const Flash& within, const Flash& across, const FrameInterval& interval,
                                int height) {
    // row_delay_of() has one 'off' for both counts; only their sum matters.
    auto range = row_delay_of(within.rows(), std::max(0.0, across.rows()),
                              (within.rows_off() + across.rows_off()) / 2, interval.seconds, height);
    if (range) {
        range->least *= 1 - interval.off / interval.seconds;
        range->most *= 1 + interval.off / interval.seconds;
    }
    return range;
}

}  // namespace

RowDelayOutcome row_delay_of_flashes(const std::vector<Flash>& flashes, const IntervalAfter& interval_after,
                                     int height) {
    const std::vector<Flash> within = of_kind(flashes, FlashKind::within),
                             across = of_kind(flashes, FlashKind::across);
    RowDelayOutcome out;
    out.within = static_cast<int>(within.size());
    out.across = static_cast<int>(across.size());
    for (const Flash& flash : within) {
        out.fewest = out.most == 0 ? flash.rows() : std::min(out.fewest, flash.rows());
        out.most = std::max(out.most, flash.rows());
    }
    const auto none = [&out](NoRowDelay why) {
        out.why = why;
        return out;
    };
    if (within.empty() && across.empty())
        return none(of_kind(flashes, FlashKind::whole).empty() ? NoRowDelay::no_flash
                                                               : NoRowDelay::all_whole);
    if (within.empty()) return none(NoRowDelay::none_within);
    if (across.empty()) return none(NoRowDelay::none_across);
    if (!can_be_the_same(within)) return none(NoRowDelay::bands_differ);
    Ranges ranges;
    for (const Flash& cut : across) {
        const std::optional<FrameInterval> interval = interval_after(cut.frame);
        if (!interval || !(interval->seconds > interval->off)) continue;
        for (const Flash& one : within) {
            const auto range = range_of(one, cut, *interval, height);
            if (!range) return none(NoRowDelay::not_one_camera);
            ranges.take(*range);
        }
    }
    if (ranges.none()) return none(NoRowDelay::time_unknown);
    if (!ranges.overlap()) return none(NoRowDelay::bands_differ);
    out.delay = ranges.together();
    return out;
}

}  // namespace plumbmark::sight
