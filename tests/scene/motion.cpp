#include "motion.h"

#include <algorithm>

#include "base/check.h"
#include "course.h"

namespace plumbmark::scene {

void Path::knot(double t, Vec3 at, Vec3 before, Vec3 after) {
    PLUMBMARK_CHECK(knots_.empty() || t > knots_.back().t);
    knots_.push_back({t, at, before, after, false});
}

void Path::through(double t, Vec3 at) {
    knot(t, at, {});
    knots_.back().open = true;
}

Vec3 launch_velocity(Vec3 from, Vec3 to, double seconds) {
    return (to - from) / seconds + Vec3{0, 0, 0.5 * kGravity * seconds};
}

void Path::fly(double t0, Vec3 from, double t1, Vec3 to) {
    const Vec3 leave = launch_velocity(from, to, t1 - t0);
    const Vec3 arrive = leave - Vec3{0, 0, kGravity * (t1 - t0)};
    if (!knots_.empty() && knots_.back().t == t0) {
        knots_.back().after = leave;
    } else {
        knot(t0, from, leave);
    }
    knot(t1, to, arrive);
}

void Path::finish() {
    for (std::size_t i = 1; i + 1 < knots_.size(); ++i) {
        Knot& k = knots_[i];
        if (!k.open) continue;
        const Knot& p = knots_[i - 1];
        const Knot& n = knots_[i + 1];
        const double h0 = k.t - p.t;
        const double h1 = n.t - k.t;
        k.before = k.after = ((k.at - p.at) * (h1 / h0) + (n.at - k.at) * (h0 / h1)) / (h0 + h1);
    }
}

std::size_t Path::piece(double t) const {
    const auto after =
        std::upper_bound(knots_.begin(), knots_.end(), t, [](double v, const Knot& k) { return v < k.t; });
    return static_cast<std::size_t>(after - knots_.begin()) - 1;
}

Vec3 Path::at(double t) const {
    PLUMBMARK_CHECK(!knots_.empty());
    if (t <= knots_.front().t) return knots_.front().at;
    if (t >= knots_.back().t) return knots_.back().at;
    const std::size_t i = piece(t);
    const Knot& a = knots_[i];
    const Knot& b = knots_[i + 1];
    const double h = b.t - a.t;
    const double u = (t - a.t) / h;
    const double v = 1 - u;
    return a.at * (v * v * (1 + 2 * u)) + b.at * (u * u * (1 + 2 * v)) + a.after * (h * u * v * v) -
           b.before * (h * u * u * v);
}

Vec3 Path::velocity(double t) const {
    PLUMBMARK_CHECK(!knots_.empty());
    if (t < knots_.front().t || t >= knots_.back().t) return {};
    const std::size_t i = piece(t);
    const Knot& a = knots_[i];
    const Knot& b = knots_[i + 1];
    const double h = b.t - a.t;
    const double u = (t - a.t) / h;
    const double v = 1 - u;
    return (b.at - a.at) * (6 * u * v / h) + a.after * (v * (v - 2 * u)) + b.before * (u * (u - 2 * v));
}

void Dial::finish() {
    std::stable_sort(keys_.begin(), keys_.end(), [](const Key& a, const Key& b) { return a.t < b.t; });
}

double Dial::at(double t) const {
    if (keys_.empty()) return 0;
    if (t <= keys_.front().t) return keys_.front().value;
    for (std::size_t i = 1; i < keys_.size(); ++i)
        if (t < keys_[i].t)
            return mix(keys_[i - 1].value, keys_[i].value, smooth(keys_[i - 1].t, keys_[i].t, t));
    return keys_.back().value;
}

Swing swing_on(Swing s, double length, double damping, double step) {
    const auto rate_of = [&](Swing v) {
        return Swing{v.rate, -(kGravity / length) * sine(v.angle) - damping * v.rate};
    };
    const auto moved = [&](Swing d, double h) { return Swing{s.angle + d.angle * h, s.rate + d.rate * h}; };
    const Swing k1 = rate_of(s);
    const Swing k2 = rate_of(moved(k1, step / 2));
    const Swing k3 = rate_of(moved(k2, step / 2));
    const Swing k4 = rate_of(moved(k3, step));
    return {s.angle + step / 6 * (k1.angle + 2 * k2.angle + 2 * k3.angle + k4.angle),
            s.rate + step / 6 * (k1.rate + 2 * k2.rate + 2 * k3.rate + k4.rate)};
}

namespace {

constexpr double kSwingStep = 0.002;

// Between two steps the angle follows the cubic that has both angles and both rates.
Swing between(const std::vector<Swing>& track, double seconds) {
    const double place = clamp(seconds / kSwingStep, 0, static_cast<double>(track.size() - 1));
    const auto i = std::min(static_cast<std::size_t>(place), track.size() - 2);
    const double u = place - static_cast<double>(i);
    const double v = 1 - u;
    const Swing& a = track[i];
    const Swing& b = track[i + 1];
    return {a.angle * v * v * (1 + 2 * u) + b.angle * u * u * (1 + 2 * v) +
                kSwingStep * (a.rate * u * v * v - b.rate * u * u * v),
            mix(a.rate, b.rate, u)};
}

std::vector<Swing> track_of(Swing s, double length, double damping, double seconds) {
    std::vector<Swing> out{s};
    while (static_cast<double>(out.size()) * kSwingStep < seconds + 2 * kSwingStep)
        out.push_back(swing_on(out.back(), length, damping, kSwingStep));
    return out;
}

}  // namespace

void Hawser::carry(double grab, double first_rate, double mass_length) {
    grab_ = grab;
    mass_length_ = mass_length;
    held_ = track_of({0, first_rate}, mass_length, 0, 3);
}

void Hawser::let_go(double release) {
    const Swing last = between(held_, release - grab_);
    release_ = release;
    // A rod hung by one end swings as a pendulum of two thirds of its length.
    free_ = track_of(last, layout().rope_length * 2 / 3, 0.35, 14);
}

Swing Hawser::at(double t) const {
    if (t <= grab_) return {};
    return t <= release_ ? between(held_, t - grab_) : between(free_, t - release_);
}

Vec3 Hawser::point(double t, double down) const {
    const double angle = at(t).angle;
    return layout().rope_pivot + Vec3{sine(angle), 0, -cosine(angle)} * down;
}

Shape Hawser::solid(double t) const {
    return capsule(layout().rope_pivot, point(t, layout().rope_length), layout().rope_radius);
}

namespace {

Vec3 place(const LimbKey& key, double t, const Choreography& c, const Posture& posture) {
    switch (key.anchor) {
        case Anchor::world:
            return key.at;
        case Anchor::pelvis:
            return posture.pelvis + key.at;
        case Anchor::trunk: {
            const auto [forward, left, up] = trunk_axes(posture);
            return shoulder_middle(posture) + forward * key.at.x + left * key.at.y + up * key.at.z;
        }
        case Anchor::hawser: {
            const double angle = c.hawser.at(t).angle;
            return c.hawser.point(t, key.at.z) + Vec3{cosine(angle), 0, sine(angle)} * key.at.x +
                   Vec3{0, key.at.y, 0};
        }
    }
    return key.at;
}

double eased(Ease ease, double u) {
    switch (ease) {
        case Ease::soft:
            return u * u * (3 - 2 * u);
        case Ease::impact:
            return u * u * (2 - u);
        case Ease::kick:
            return u * (1 + u - u * u);
    }
    return u;
}

Vec3 limb_at(const std::vector<LimbKey>& keys, double t, const Choreography& c, const Posture& posture) {
    PLUMBMARK_CHECK(!keys.empty());
    std::size_t next = 0;
    while (next < keys.size() && keys[next].t <= t)
        ++next;
    if (next == 0) return place(keys.front(), t, c, posture);
    if (next == keys.size()) return place(keys.back(), t, c, posture);
    const LimbKey& a = keys[next - 1];
    const LimbKey& b = keys[next];
    const double s = eased(b.ease, (t - a.t) / (b.t - a.t));
    const Vec3 straight = mix(place(a, t, c, posture), place(b, t, c, posture), s);
    return straight + Vec3{0, 0, b.lift * 4 * s * (1 - s)};
}

}  // namespace

void Choreography::finish() {
    const auto in_order = [](std::vector<LimbKey>& keys) {
        std::stable_sort(keys.begin(), keys.end(),
                         [](const LimbKey& a, const LimbKey& b) { return a.t < b.t; });
    };
    pelvis.finish();
    lean.finish();
    twist.finish();
    for (std::size_t i = 0; i < 2; ++i) {
        in_order(toe[i]);
        in_order(hand[i]);
        pitch[i].finish();
    }
}

Posture Choreography::posture(double t) const {
    Posture out;
    out.pelvis = pelvis.at(t);
    // Breath: the trunk rocks by a third of a degree.
    out.lean = lean.at(t) + 0.006 * sine(2 * kPi * 0.37 * t);
    out.twist = twist.at(t);
    for (std::size_t i = 0; i < 2; ++i) {
        out.toe[i] = limb_at(toe[i], t, *this, out);
        out.grip[i] = limb_at(hand[i], t, *this, out);
        out.pitch[i] = pitch[i].at(t);
    }
    return out;
}

}  // namespace plumbmark::scene
