#include "sight/internal/basis.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <tuple>

#include "base/worded.h"

namespace plumbmark::sight {
namespace {

constexpr std::size_t kOwn = CalibratedCamera::kOwn;
constexpr std::uint64_t kSeed = 20'260'502;  ///< any; fixed, so that a sheet printed twice says the same
/// As the calibration weighed a measure (internal/bundle.cpp).
double weight(const KnownPlace& place) {
    const double standard = std::max(1e-6, place.tolerance / std::sqrt(3.0));
    return 1 / (standard * standard);
}

thread_local int first_look = kDraws;

double at(const CalibratedCamera& camera, std::size_t i, std::size_t j) {
    return camera.covariance[i * camera.unknowns() + j];
}

}  // namespace

Basis::Basis(std::vector<const CalibratedCamera*> cameras) : cameras_(std::move(cameras)) {
    for (std::size_t c = 0; c < cameras_.size(); ++c) {
        own_.push_back(each_.size());
        for (std::size_t i = 0; i < kOwn; ++i) {
            const double variance = at(*cameras_[c], i, i);
            each_.push_back({0, std::sqrt(std::max(0.0, variance)), Shape::normal});
            unknowns_.push_back(Unknown{c, i});
            of_pointing_.push_back(false);
        }
    }
    if (cameras_.size() < 2) return;
    const auto &first = cameras_[0]->places, &second = cameras_[1]->places;
    for (std::size_t i = 0; i < first.size(); ++i)
        for (std::size_t j = 0; j < second.size(); ++j)
            if (first[i].name == second[j].name) shared_.emplace_back(i, j);
}

std::size_t Basis::add(const Quantity& quantity, bool of_pointing) {
    each_.push_back(quantity);
    unknowns_.emplace_back();
    of_pointing_.push_back(of_pointing);
    return each_.size() - 1;
}

std::size_t Basis::need(std::size_t camera, std::size_t place) {
    const auto [found, fresh] = have_.try_emplace({camera, place}, needed_.size());
    if (!fresh) return found->second;
    needed_.push_back(each_.size());
    which_.emplace_back(camera, place);
    for (std::size_t i = 0; i < 3; ++i) {
        const std::size_t which = kOwn + 3 * place + i;
        each_.push_back({0, std::sqrt(std::max(0.0, at(*cameras_[camera], which, which))), Shape::normal});
        unknowns_.push_back(Unknown{camera, which});
        of_pointing_.push_back(false);
    }
    return found->second;
}

std::size_t Basis::point(const Pointing& pointing, std::optional<std::size_t> tie) {
    Pointed one{add({pointing.at.x, pointing.standard, Shape::normal}, true),
                add({pointing.at.y, pointing.standard, Shape::normal}, true),
                {},
                pointing.along};
    if (pointing.along.x != 0 || pointing.along.y != 0) one.along = tie ? *tie : add(within(0, 1), true);
    pointed_.push_back(one);
    return pointed_.size() - 1;
}

std::size_t Basis::followed(const Pointing& pointing, std::size_t placing, double own,
                            std::optional<std::size_t> tie) {
    Pointing alone = pointing;
    alone.standard = own;
    const std::size_t number = point(alone, tie);
    pointed_[number].placing = placing;
    return number;
}

std::size_t Basis::placing(double standard) {
    const std::size_t first = add({0, standard, Shape::normal}, true);
    add({0, standard, Shape::normal}, true);
    return first;
}

/// Both cameras were found with the same tape. An estimate follows an error of a measure by its covariance
/// with that place times the measure's weight, so the two estimates share that times the measure's variance.
double Basis::across(const Unknown& first, const Unknown& second) const {
    double sum = 0;
    for (const auto& [p, q] : shared_)
        for (std::size_t k = 0; k < 3; ++k)
            sum += at(*cameras_[0], first.which, kOwn + 3 * p + k) * weight(cameras_[0]->places[p]) *
                   at(*cameras_[1], second.which, kOwn + 3 * q + k);
    return sum;
}

double Basis::covariance(const Unknown& a, const Unknown& b) const {
    if (a.camera == b.camera) return at(*cameras_[a.camera], a.which, b.which);
    return a.camera == 0 ? across(a, b) : across(b, a);
}

Quantities Basis::quantities() const {
    Quantities out{each_, {}};
    const std::size_t n = each_.size();
    out.covariance.assign(n * n, 0);
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t j = 0; j < n; ++j)
            if (i != j && unknowns_[i] && unknowns_[j])
                out.covariance[i * n + j] = covariance(*unknowns_[i], *unknowns_[j]);
    return out;
}

Camera Basis::camera(std::size_t camera, const std::vector<double>& x) const {
    const double* own = x.data() + own_[camera];
    return moved(cameras_[camera]->camera, own);
}

Vec3 Basis::place(std::size_t needed, const std::vector<double>& x) const {
    const auto [camera, place] = which_[needed];
    const double* step = x.data() + needed_[needed];
    return cameras_[camera]->places[place].at + Vec3{step[0], step[1], step[2]};
}

Pixel Basis::pixel(std::size_t pointing, const std::vector<double>& x) const {
    const Pointed& one = pointed_[pointing];
    const double part = one.along ? x[*one.along] : 0;
    Pixel at{x[one.x] + part * one.step.x, x[one.y] + part * one.step.y};
    if (one.placing) at = {at.x + x[*one.placing], at.y + x[*one.placing + 1]};
    return at;
}

LaidPlane::LaidPlane(const UprightPlane& plane, Basis& basis) : side_(plane.past_is_left ? 1 : -1) {
    for (std::size_t i = 0; i < 2; ++i) {
        const PlaneEnd& end = plane.ends[i];
        if (end.place)
            ends_[i].needed = basis.need(0, *end.place);
        else
            ends_[i] = {{}, basis.add(within(end.x, end.tolerance)), basis.add(within(end.y, end.tolerance))};
    }
}

std::optional<LaidPlane::Laid> LaidPlane::laid(const Basis& basis, const std::vector<double>& x) const {
    Vec3 at[2];
    for (std::size_t i = 0; i < 2; ++i) {
        at[i] = ends_[i].needed ? basis.place(*ends_[i].needed, x) : Vec3{x[ends_[i].x], x[ends_[i].y], 0};
        at[i].z = 0;
    }
    const Vec3 line = at[1] - at[0];
    if (!(length(line) > 1e-6)) return std::nullopt;
    const Vec3 ahead = unit(line);
    return Laid{at[0], ahead, side_ * Vec3{-ahead.y, ahead.x, 0}};
}

LaidLevel::LaidLevel(const Level& level, Basis& basis) {
    for (const std::size_t place : level.places)
        needed_.push_back(basis.need(0, place));
    if (needed_.empty()) own_ = basis.add(within(level.height, level.tolerance));
}

double LaidLevel::height(const Basis& basis, const std::vector<double>& x) const {
    if (needed_.empty()) return x[own_];
    double sum = 0;
    for (const std::size_t place : needed_)
        sum += basis.place(place, x).z;
    return sum / static_cast<double>(needed_.size());
}

base::Result<void> look_over(const UprightPlane& plane, const CalibratedCamera& camera) {
    using base::worded;
    Vec3 at[2];
    for (std::size_t i = 0; i < 2; ++i) {
        const PlaneEnd& end = plane.ends[i];
        const bool known = !end.place || *end.place < camera.places.size();
        if (!known || !std::isfinite(end.x + end.y + end.tolerance) || end.tolerance < 0)
            return base::Error{base::Category::bad_input,
                               worded("An end of the plane names a place that is not there, or its numbers "
                                      "are none."),
                               {}};
        at[i] = end.place ? camera.places[*end.place].at : Vec3{end.x, end.y, 0};
    }
    if (!(std::hypot(at[1].x - at[0].x, at[1].y - at[0].y) > 0.01))
        return base::Error{base::Category::bad_input,
                           worded("The plane's two ends lie less than a centimetre apart. Take two that are "
                                  "further from each other."),
                           {}};
    return {};
}

base::Result<void> look_over(const Level& level, const CalibratedCamera& camera) {
    const bool known = std::all_of(level.places.begin(), level.places.end(),
                                   [&](std::size_t place) { return place < camera.places.size(); });
    if (!known || !std::isfinite(level.height + level.tolerance) || level.tolerance < 0)
        return base::Error{base::Category::bad_input,
                           base::worded("The surface's height names a place that is not there, or is no "
                                        "number."),
                           {}};
    return {};
}

namespace {

/// What of result k's variance comes of the pointings, and of all else.
std::pair<double, double> parts(const FirstOrder& law, const Quantities& quantities,
                                const std::vector<bool>& of_pointing, std::size_t k) {
    const std::size_t results = law.values.size();
    double pointing = 0;
    for (std::size_t i = 0; i < of_pointing.size(); ++i) {
        const double one = law.sensitivity[i * results + k] * quantities.each[i].standard;
        if (of_pointing[i]) pointing += one * one;
    }
    const double all = law.covariance[k * results + k];
    return {std::sqrt(pointing), std::sqrt(std::max(0.0, all - pointing))};
}

/// Whether the law of propagation holds for result k at this probability: as agree() says, or no further off
/// than three standard deviations of what this many draws scatter in the quantile (H. Cramer, 'Mathematical
/// methods of statistics', 1946, 28.5).
bool holds(const FirstOrder& law, const Drawn& drawn, std::size_t k, double probability) {
    if (agree(law, drawn, k, probability)) return true;
    const double z = coverage_factor(probability), tail = (1 - probability) / 2;
    const double density = std::exp(-z * z / 2) / std::sqrt(2 * 3.14159265358979323846);
    const double scatter =
        std::sqrt(tail * (1 - tail) / static_cast<double>(drawn.draws())) / density * law.standard(k);
    const Drawn::Interval other = drawn.interval(k, probability);
    const double half = z * law.standard(k);
    return std::abs(law.values[k] - half - other.low) <= 3 * scatter &&
           std::abs(law.values[k] + half - other.high) <= 3 * scatter;
}

Span span_by_law(const FirstOrder& law, std::size_t low, std::size_t high, double probability) {
    const double z = coverage_factor(probability);
    return {law.values[low] - z * law.standard(low), law.values[high] + z * law.standard(high)};
}

Span span_by_draws(const Drawn& drawn, std::size_t low, std::size_t high, double probability) {
    return {drawn.interval(low, probability).low, drawn.interval(high, probability).high};
}

}  // namespace

void take_draws(int draws) {
    first_look = draws;
}

std::optional<Propagated> propagate(const Model& model, const Basis& basis,
                                    const std::vector<std::pair<std::size_t, std::size_t>>& pairs) {
    const Quantities quantities = basis.quantities();
    auto law = first_order(model, quantities);
    if (!law) return std::nullopt;
    const auto all_defined = [](const Drawn& drawn) {
        return drawn.draws() > 0 && drawn.undefined() * 2000 <= drawn.draws();
    };
    std::optional<Drawn> drawn = draw(model, quantities, first_look, kSeed);
    if (!all_defined(*drawn)) return std::nullopt;
    const bool any_fails = std::any_of(pairs.begin(), pairs.end(), [&](const auto& pair) {
        return !holds(*law, *drawn, pair.first, kLikely) || !holds(*law, *drawn, pair.second, kLikely);
    });
    if (any_fails) {  // the far ends of 99.9 % want more draws than a look whether the law holds
        drawn = draw(model, quantities, 10 * first_look, kSeed);
        if (!all_defined(*drawn)) return std::nullopt;
    }
    Propagated out;
    for (const auto& pair : pairs) {
        const std::size_t low = pair.first, high = pair.second;
        Weighed one;
        one.best = {law->values[low], law->values[high]};
        const std::size_t wider = law->standard(low) > law->standard(high) ? low : high;
        one.standard = law->standard(wider);
        std::tie(one.by_pointing, one.by_standing) = parts(*law, quantities, basis.of_pointing(), wider);
        one.by_draws =
            any_fails && (!holds(*law, *drawn, low, kLikely) || !holds(*law, *drawn, high, kLikely));
        const auto span = [&](double probability) {
            return one.by_draws ? span_by_draws(*drawn, low, high, probability)
                                : span_by_law(*law, low, high, probability);
        };
        one.likely = span(kLikely);
        one.sure = span(kSure);
        out.each.push_back(one);
    }
    out.law = std::move(*law);
    return out;
}

std::optional<Vec3> between_rays(const Ray& first, const Ray& second) {
    const Vec3 between = second.start - first.start;
    const double cosine = dot(first.direction, second.direction), off = 1 - cosine * cosine;
    if (!(off > 1e-8)) return std::nullopt;
    const double one = (dot(between, first.direction) - cosine * dot(between, second.direction)) / off;
    const double other = (cosine * dot(between, first.direction) - dot(between, second.direction)) / off;
    if (!(one > 0) || !(other > 0)) return std::nullopt;
    return 0.5 * ((first.start + one * first.direction) + (second.start + other * second.direction));
}

Side side_of(const Span& sure) {
    if (sure.low > 0) return Side::past;
    if (sure.high < 0) return Side::before;
    if (sure.low > -kOnWithin && sure.high < kOnWithin) return Side::on;
    return Side::cannot_tell;
}

double angle_to(const Ray& sight, const LaidPlane::Laid& plane) {
    return std::asin(std::clamp(std::abs(dot(sight.direction, plane.past)), 0.0, 1.0)) * kDegrees;
}

}  // namespace plumbmark::sight
