// How the athlete moves: paths in time made of cubic pieces (which hold a ballistic flight exactly), the
// pendulum of the hawser, and limbs that travel between anchors. Times are seconds on the run's clock.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "figure.h"

namespace plumbmark::scene {

/// A path through knots with stated velocities, cubic between neighbours (Hermite). Before the first and
/// after the last knot it stands still. A knot may have another velocity after it than before it (an impact).
class Path {
  public:
    void knot(double t, Vec3 at, Vec3 velocity) { knot(t, at, velocity, velocity); }
    void knot(double t, Vec3 at, Vec3 before, Vec3 after);
    /// A knot whose velocity is found from its neighbours (three-point difference; zero at either end).
    void through(double t, Vec3 at);
    /// A flight under gravity: two knots with the velocities of the one parabola through both points.
    void fly(double t0, Vec3 from, double t1, Vec3 to);
    /// Fills in the velocities of 'through' knots. Call once after the last knot.
    void finish();

    [[nodiscard]] Vec3 at(double t) const;
    [[nodiscard]] Vec3 velocity(double t) const;
    [[nodiscard]] double last_time() const { return knots_.empty() ? 0 : knots_.back().t; }
    [[nodiscard]] Vec3 last_point() const { return knots_.back().at; }

  private:
    struct Knot {
        double t = 0;
        Vec3 at, before, after;
        bool open = false;
    };
    [[nodiscard]] std::size_t piece(double t) const;
    std::vector<Knot> knots_;
};

/// Velocity with which a body leaves 'from' to be at 'to' after 'seconds' of free flight.
[[nodiscard]] Vec3 launch_velocity(Vec3 from, Vec3 to, double seconds);

/// A number in time, eased (3u^2 - 2u^3) between keys.
class Dial {
  public:
    void key(double t, double value) { keys_.push_back({t, value}); }
    void finish();  ///< puts the keys in order of time
    [[nodiscard]] double at(double t) const;

  private:
    struct Key {
        double t, value;
    };
    std::vector<Key> keys_;
};

/// A pendulum: angle from hanging straight down, radians, and its rate.
struct Swing {
    double angle = 0;
    double rate = 0;
};
/// The swing one step later: theta'' = -(g/L) sin(theta) - damping * theta', fourth-order Runge-Kutta.
[[nodiscard]] Swing swing_on(Swing s, double length, double damping, double step);

/// The hawser: hangs still, is carried by the athlete between 'grab' and 'release', then swings free.
class Hawser {
  public:
    /// Lets the athlete's mass, at 'mass_length' below the pivot, swing from 'grab' on with the given first
    /// rate.
    void carry(double grab, double first_rate, double mass_length);
    /// The athlete lets go; from here the hawser swings as a rod of its own length, damped.
    void let_go(double release);
    [[nodiscard]] Swing at(double t) const;
    /// The point at 'down' metres below the pivot along the hawser.
    [[nodiscard]] Vec3 point(double t, double down) const;
    [[nodiscard]] Shape solid(double t) const;

  private:
    double grab_ = 1e9, release_ = 1e9, mass_length_ = 3;
    std::vector<Swing> held_, free_;
};

enum class Anchor { world, pelvis, trunk, hawser };
enum class Ease { soft, impact, kick };

/// A place for a hand or a toe to be at a time, in the frame of its anchor: the world; the pelvis (axes of
/// the world); the middle of the shoulder line (axes of the trunk); the hawser (x forward, y left, z metres
/// below the pivot).
struct LimbKey {
    double t = 0;
    Anchor anchor = Anchor::world;
    Vec3 at;
    Ease ease = Ease::soft;  ///< of the way that leads to this key
    double lift = 0;         ///< height of an arc added to that way, metres
};

/// Everything that moves in one run.
struct Choreography {
    Path pelvis;
    Dial lean, twist;
    std::array<std::vector<LimbKey>, 2> toe, hand;
    std::array<Dial, 2> pitch;
    Hawser hawser;

    /// Puts the keys in order of time and smooths the path. Call once, before the first posture.
    void finish();
    [[nodiscard]] Posture posture(double t) const;
};

}  // namespace plumbmark::scene
