#include "sight/crossing.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "base/worded.h"
#include "sight/internal/basis.h"
#include "sight/internal/chi_square.h"
#include "sight/internal/limits.h"
#include "sight/internal/refused.h"

namespace plumbmark::sight {
namespace {

using base::Result;
using base::worded;

/// Slower than this through a plane is standing in it, metres a second.
constexpr double kStill = 0.05;

/// A movement d = place + speed t + pull t^2 / 2 through weighed distances. What the pull is supposed to be
/// before them ('pull', within kAcceleration) counts as one measure more, so that drawing it as well gives
/// the spread that is left of it.
struct Movement {
    double place = 0, speed = 0, pull = 0;
    double chi = 0;

    [[nodiscard]] double at(double t) const { return place + t * (speed + pull * t / 2); }
};

std::optional<Movement> movement(const std::vector<double>& times, const std::vector<double>& distances,
                                 const std::vector<double>& weights, double pull) {
    double n[3][4]{};
    const auto take = [&](const std::array<double, 3>& by, double value, double weight) {
        for (std::size_t i = 0; i < 3; ++i) {
            n[i][3] += weight * by[i] * value;
            for (std::size_t j = 0; j < 3; ++j)
                n[i][j] += weight * by[i] * by[j];
        }
    };
    for (std::size_t k = 0; k < times.size(); ++k)
        take({1, times[k], times[k] * times[k] / 2}, distances[k], weights[k]);
    take({0, 0, 1}, pull, 1 / (kAcceleration * kAcceleration));
    // By pivots: positive and of like size once times are in tens of milliseconds or longer.
    for (std::size_t i = 0; i < 3; ++i) {
        if (!(n[i][i] > 0)) return std::nullopt;
        for (std::size_t r = 0; r < 3; ++r) {
            if (r == i) continue;
            const double by = n[r][i] / n[i][i];
            for (std::size_t c = i; c < 4; ++c)
                n[r][c] -= by * n[i][c];
        }
    }
    Movement out{n[0][3] / n[0][0], n[1][3] / n[1][1], n[2][3] / n[2][2]};
    if (!std::isfinite(out.place + out.speed + out.pull)) return std::nullopt;
    for (std::size_t k = 0; k < times.size(); ++k) {
        const double off = distances[k] - out.at(times[k]);
        out.chi += weights[k] * off * off;
    }
    out.chi += (out.pull - pull) * (out.pull - pull) / (kAcceleration * kAcceleration);
    return out;
}

/// Where a movement is at none while it goes in this direction (1 or -1): it does so once. Nothing where it
/// turns about before it gets there.
std::optional<double> none_at(const Movement& way, double direction) {
    const double square = way.speed * way.speed - 2 * way.pull * way.place;
    if (!(square > 1e-12)) return std::nullopt;
    const double speed = direction * std::sqrt(square);  // there
    // Of the two forms of the same root the one in which nothing cancels out.
    const double t =
        direction * way.speed > 0 ? -2 * way.place / (way.speed + speed) : (speed - way.speed) / way.pull;
    if (!std::isfinite(t) || std::abs(t) > 10) return std::nullopt;
    return t;
}

/// The one frame after which the distances have another sign; what is wrong otherwise.
Result<std::size_t> change_of_sides(const std::vector<double>& distances) {
    std::optional<std::size_t> after;
    for (std::size_t i = 0; i + 1 < distances.size(); ++i) {
        if ((distances[i] < 0) == (distances[i + 1] < 0)) continue;
        if (after)
            return refused(
                worded("It comes to the plane and goes back within these frames. Take the frames around one "
                       "crossing alone."));
        after = i;
    }
    if (!after)
        return refused(
            worded("It stays on one side of the plane on all these frames. Take frames from before to after "
                   "the crossing."));
    return *after;
}

class Work {
  public:
    Work(const CalibratedCamera& camera, const CrossingQuestion& question, const CalibratedCamera* second)
        : question_(question),
          basis_(cameras(camera, second)),
          over_(question.plane, basis_),
          ends_(second == nullptr ? 2 : 1) {
        const auto [least, most] = question.row_delay;
        delay_ = basis_.add(within((least + most) / 2, (most - least) / 2));
        // A camera is tied to the other once, and is as far off on all frames.
        const std::size_t ties[2]{basis_.add(within(0, 1)), basis_.add(within(0, 1))};
        for (const CrossingFrame& frame : question.frames) {
            first_.push_back(pointed(frame.at, frame.placing, 0, ties[0]));
            if (frame.in_second)
                second_.push_back(pointed(*frame.in_second, frame.second_placing, 1, ties[1]));
        }
        pull_ = basis_.add({0, kAcceleration, Shape::normal});
        zero_ = question.frames.front().time;
    }

    Result<Crossing> answer();

  private:
    static std::vector<const CalibratedCamera*> cameras(const CalibratedCamera& camera,
                                                        const CalibratedCamera* second) {
        std::vector<const CalibratedCamera*> out{&camera};
        if (second != nullptr) out.push_back(second);
        return out;
    }
    std::size_t pointed(const Pointing& at, const std::optional<Placing>& placing, std::size_t camera,
                        std::size_t tie) {
        if (!placing) return basis_.point(at, tie);
        const auto [found, fresh] = placings_[camera].try_emplace(placing->number, 0);
        if (fresh) found->second = basis_.placing(at.standard);
        return basis_.followed(at, found->second, std::hypot(placing->moved, kFollowedOff), tie);
    }
    /// Whether this quantity is how far off the points of all frames are together: that is no reason to trust
    /// one frame less than another.
    [[nodiscard]] bool is_of_all(std::size_t quantity) const {
        const std::vector<CrossingFrame>& frames = question_.frames;
        for (std::size_t camera = 0; camera < 2; ++camera) {
            for (const auto& [number, first] : placings_[camera]) {
                if (quantity != first && quantity != first + 1) continue;
                return std::all_of(
                    frames.begin(), frames.end(), [&, of = number](const CrossingFrame& frame) {
                        const auto& placing = camera == 0 ? frame.placing : frame.second_placing;
                        return placing && placing->number == of;
                    });
            }
        }
        return false;
    }
    /// Times and distances of each end; nothing where a line of sight leaves the space.
    struct Seen {
        std::vector<double> times;
        std::array<std::vector<double>, 2> distances;
    };
    [[nodiscard]] std::optional<Seen> seen(const std::vector<double>& x) const;
    /// Standard deviations of each frame's distance by its own pointing alone, as weights.
    [[nodiscard]] bool weigh(const std::vector<double>& x);
    [[nodiscard]] std::optional<std::vector<double>> instants(const std::vector<double>& x) const;
    /// What the movement at the best values is like: its speed and how well it passes the points.
    [[nodiscard]] Result<void> begin(const std::vector<double>& x);

    const CrossingQuestion& question_;
    Basis basis_;
    LaidPlane over_;
    std::size_t ends_, delay_ = 0, pull_ = 0;
    std::vector<std::size_t> first_, second_;
    std::array<std::map<std::int64_t, std::size_t>, 2> placings_;  ///< of each camera, by their numbers
    double zero_ = 0;
    std::array<std::vector<double>, 2> weights_;
    std::array<double, 2> direction_{};  ///< 1: towards the far side
    double speed_ = 0, chi_ = 0;
};

std::optional<Work::Seen> Work::seen(const std::vector<double>& x) const {
    Seen out;
    const auto laid = over_.laid(basis_, x);
    if (!laid) return std::nullopt;
    const Camera camera = basis_.camera(0, x);
    std::optional<Camera> other;
    if (!second_.empty()) other = basis_.camera(1, x);
    for (std::size_t k = 0; k < first_.size(); ++k) {
        const Pixel at = basis_.pixel(first_[k], x);
        const auto sight = ray_through(camera, at);
        if (!sight) return std::nullopt;
        out.times.push_back(question_.frames[k].time - zero_ +
                            question_.frames[k].row.value_or(at.y) * x[delay_]);
        if (!other) {
            const auto stretch = stretch_within(*sight, *laid, question_.space);
            if (!stretch) return std::nullopt;
            out.distances[0].push_back(past(*laid, sight->start + stretch->low * sight->direction));
            out.distances[1].push_back(past(*laid, sight->start + stretch->high * sight->direction));
            continue;
        }
        const auto across = ray_through(*other, basis_.pixel(second_[k], x));
        const auto place = across ? between_rays(*sight, *across) : std::nullopt;
        if (!place) return std::nullopt;
        out.distances[0].push_back(past(*laid, *place));
    }
    return out;
}

bool Work::weigh(const std::vector<double>& x) {
    const Quantities quantities = basis_.quantities();
    std::array<std::vector<double>, 2> variance;
    for (std::size_t e = 0; e < ends_; ++e)
        variance[e].assign(first_.size(), 0);
    for (std::size_t i = 0; i < x.size(); ++i) {
        if (!basis_.of_pointing()[i] || is_of_all(i)) continue;
        const double step = quantities.each[i].standard;
        std::vector<double> high = x, low = x;
        high[i] += step / 2;
        low[i] -= step / 2;
        const auto above = seen(high), below = seen(low);
        if (!above || !below) return false;
        for (std::size_t e = 0; e < ends_; ++e)
            for (std::size_t k = 0; k < first_.size(); ++k) {
                const double change = above->distances[e][k] - below->distances[e][k];
                variance[e][k] += change * change;
            }
    }
    for (std::size_t e = 0; e < ends_; ++e) {
        weights_[e].clear();
        for (const double one : variance[e])
            weights_[e].push_back(1 / std::max(one, 1e-10));
    }
    return true;
}

Result<void> Work::begin(const std::vector<double>& x) {
    const auto out_of_space = [] {
        return refused(
            worded("On one of the frames what was pointed at is not in the space that was given, or its line "
                   "of sight meets nothing. Give other heights, or leave that frame out."));
    };
    const auto now = seen(x);
    if (!now || !weigh(x)) return out_of_space();
    if (ends_ == 2 && change_of_sides(now->distances[0]).ok() != change_of_sides(now->distances[1]).ok())
        return refused(worded(
            "At one end of the depth that is left open it crosses on these frames, at the other it does "
            "not. Take more frames on both sides, a smaller space, or a second camera."));
    for (std::size_t e = 0; e < ends_; ++e) {
        auto after = change_of_sides(now->distances[e]);
        if (!after) return after.error();
        const std::size_t i = *after;
        direction_[e] = now->distances[e][i] < 0 ? 1 : -1;
        const auto way = movement(now->times, now->distances[e], weights_[e], x[pull_]);
        const auto instant = way ? none_at(*way, direction_[e]) : std::nullopt;
        const double speed = way && instant ? way->speed + way->pull * *instant : 0;
        if (!(std::abs(speed) > kStill))
            return refused(
                worded("It hardly moves through the plane on these frames, so its crossing has no instant. "
                       "Measure where it is instead."));
        if (e == 0) speed_ = speed;
        chi_ = std::max(chi_, way->chi);
    }
    return {};
}

std::optional<std::vector<double>> Work::instants(const std::vector<double>& x) const {
    const auto now = seen(x);
    if (!now) return std::nullopt;
    std::vector<double> out;
    for (std::size_t e = 0; e < ends_; ++e) {
        const auto way = movement(now->times, now->distances[e], weights_[e], x[pull_]);
        const auto instant = way ? none_at(*way, direction_[e]) : std::nullopt;
        if (!instant) return std::nullopt;
        out.push_back(*instant + zero_);
    }
    if (out.size() == 1) out.push_back(out.front());
    return std::vector<double>{std::min(out[0], out[1]), std::max(out[0], out[1])};
}

Result<Crossing> Work::answer() {
    std::vector<double> x;
    for (const Quantity& one : basis_.quantities().each)
        x.push_back(one.value);
    if (auto good = begin(x); !good) return good.error();
    const auto found =
        propagate([this](const std::vector<double>& at) { return instants(at); }, basis_, {{0, 1}});
    if (!found)
        return refused(
            worded("These frames do not tell when it crosses: within their errors it might not. Take more "
                   "frames on both sides, or point more exactly."));
    const Weighed& weighed = found->each.front();
    Crossing out;
    out.best = (weighed.best.low + weighed.best.high) / 2;
    out.left_open = weighed.best.high - weighed.best.low;
    out.speed = speed_;
    out.by_draws = weighed.by_draws;
    const int degrees = static_cast<int>(first_.size()) - 2;
    if (degrees > 0) {
        out.roughness = chi_ / degrees;
        out.smooth = chi_ < chi_square_quantile(1 - kRisk, degrees);
    }
    const double by = out.smooth ? 1 : std::sqrt(out.roughness);
    const auto wider = [&](const Span& span) {
        return Span{weighed.best.low - by * (weighed.best.low - span.low),
                    weighed.best.high + by * (span.high - weighed.best.high)};
    };
    out.standard = by * weighed.standard;
    out.likely = wider(weighed.likely);
    out.sure = wider(weighed.sure);
    out.outside =
        out.sure.low < question_.frames.front().time || out.sure.high > question_.frames.back().time;
    return out;
}

Result<void> look_over(const CrossingQuestion& question, bool two) {
    const std::vector<CrossingFrame>& frames = question.frames;
    if (frames.size() < 2)
        return refused(worded("A crossing needs two frames at least, one before it and one after."));
    for (std::size_t i = 0; i < frames.size(); ++i) {
        if (!std::isfinite(frames[i].time) || (i > 0 && !(frames[i].time > frames[i - 1].time)))
            return refused(worded("The frames of a crossing are not in the order of their times."));
        if (frames[i].in_second.has_value() != two)
            return refused(
                worded("On some frames the second camera's point is missing. Point at it on all of them, or "
                       "on none."));
        for (const Pointing* one : {&frames[i].at, frames[i].in_second ? &*frames[i].in_second : nullptr})
            if (one != nullptr && !(one->standard > 0 && std::isfinite(one->at.x + one->at.y)))
                return refused(worded("The point's numbers are none."));
        for (const std::optional<Placing>& placing : {frames[i].placing, frames[i].second_placing})
            if (placing && !(placing->moved >= 0 && std::isfinite(placing->moved)))
                return refused(worded("The point's numbers are none."));
    }
    const auto [least, most] = question.row_delay;
    if (!(least <= most) || !std::isfinite(least + most))
        return refused(worded("The row delay is no range of times."));
    return {};
}

}  // namespace

Result<Crossing> crossing(const CalibratedCamera& camera, const CrossingQuestion& question,
                          const CalibratedCamera* second) {
    if (auto good = look_over(question, second != nullptr); !good) return good.error();
    if (auto good = look_over(question.plane, camera); !good) return good.error();
    return Work(camera, question, second).answer();
}

Result<RowDelay> row_delay_of(double lit, double dark, double rows_off, double frame_interval, int height) {
    const bool numbers = std::isfinite(lit + dark + rows_off) && lit >= 0 && dark >= 0 && rows_off >= 0;
    // A frame's rows are read within one frame interval.
    if (!numbers || !(frame_interval > 0) || height < 1 || lit + dark + 2 * rows_off < height)
        return refused(
            worded("These rows are not those of one camera: the lit rows of the one flash and the dark rows "
                   "of the other make up one frame interval, which is at least the picture's height."));
    const double least = frame_interval / (lit + dark + 2 * rows_off);
    const double most = lit + dark > 2 * rows_off ? frame_interval / (lit + dark - 2 * rows_off) : least;
    return RowDelay{least, std::max(least, std::min(most, frame_interval / height))};
}

}  // namespace plumbmark::sight
