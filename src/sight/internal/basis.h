// What a measurement rests on, as one row of quantities: the unknowns of one or two cameras and of the places
// they were found from, with all that these share, and whatever else is added.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "sight/measure.h"
#include "sight/uncertain.h"

namespace plumbmark::sight {

inline constexpr double kDegrees = 180 / 3.14159265358979323846;  ///< in a radian

class Basis {
  public:
    /// One camera, or two. They must outlive this.
    explicit Basis(std::vector<const CalibratedCamera*> cameras);

    /// Adds a quantity that goes with nothing else; its place in the row.
    std::size_t add(const Quantity& quantity, bool of_pointing = false);
    /// Adds a place of a camera's, once; its number for place().
    std::size_t need(std::size_t camera, std::size_t place);
    /// Adds a pointing; its number for pixel(). Where it lies between at - along and at + along is a quantity
    /// of its own, or the one of 'tie': of pictures that are all of one other moment.
    std::size_t point(const Pointing& pointing, std::optional<std::size_t> tie = {});
    /// A pointing that is as far off as 'placing' says, and 'own' pixels besides.
    std::size_t followed(const Pointing& pointing, std::size_t placing, double own,
                         std::optional<std::size_t> tie = {});
    /// How far off several pointings are together, both ways; for followed().
    std::size_t placing(double standard);

    [[nodiscard]] Quantities quantities() const;
    /// Which of them are pointings.
    [[nodiscard]] const std::vector<bool>& of_pointing() const { return of_pointing_; }

    /// What a row of values says.
    [[nodiscard]] Camera camera(std::size_t camera, const std::vector<double>& x) const;
    [[nodiscard]] Vec3 place(std::size_t needed, const std::vector<double>& x) const;
    [[nodiscard]] Pixel pixel(std::size_t pointing, const std::vector<double>& x) const;

  private:
    struct Unknown {
        std::size_t camera, which;
    };
    struct Pointed {
        std::size_t x, y;
        std::optional<std::size_t> along;
        Pixel step;
        std::optional<std::size_t> placing = {};
    };
    [[nodiscard]] double covariance(const Unknown& a, const Unknown& b) const;
    [[nodiscard]] double across(const Unknown& first, const Unknown& second) const;

    std::vector<const CalibratedCamera*> cameras_;
    std::vector<Quantity> each_;
    std::vector<std::optional<Unknown>> unknowns_;
    std::vector<bool> of_pointing_;
    std::vector<std::size_t> own_;  ///< where each camera's own unknowns begin
    std::vector<std::size_t> needed_;
    std::map<std::pair<std::size_t, std::size_t>, std::size_t> have_;
    std::vector<std::pair<std::size_t, std::size_t>> which_;
    std::vector<Pointed> pointed_;
    std::vector<std::pair<std::size_t, std::size_t>> shared_;  ///< places that both cameras know
};

/// A plane whose ends are quantities of a basis.
class LaidPlane {
  public:
    LaidPlane(const UprightPlane& plane, Basis& basis);
    /// Where it lies; nothing where its ends fall together.
    struct Laid {
        Vec3 start, ahead, past;  ///< end 0; unit vectors along it and to its far side
    };
    [[nodiscard]] std::optional<Laid> laid(const Basis& basis, const std::vector<double>& x) const;

  private:
    struct End {
        std::optional<std::size_t> needed;
        std::size_t x = 0, y = 0;
    };
    End ends_[2];
    double side_ = 1;
};
[[nodiscard]] inline double past(const LaidPlane::Laid& plane, Vec3 at) {
    return dot(at - plane.start, plane.past);
}

/// What a plane and a level must be before they are measured with.
[[nodiscard]] base::Result<void> look_over(const UprightPlane& plane, const CalibratedCamera& camera);
[[nodiscard]] base::Result<void> look_over(const Level& level, const CalibratedCamera& camera);

/// A height as a quantity of a basis.
class LaidLevel {
  public:
    LaidLevel(const Level& level, Basis& basis);
    [[nodiscard]] double height(const Basis& basis, const std::vector<double>& x) const;

  private:
    std::vector<std::size_t> needed_;
    std::size_t own_ = 0;
};

/// The intervals of a quantity of which result 'low' of a model is one end and result 'high' the other (the
/// same: it is one value).
struct Weighed {
    Span best, likely, sure;
    double standard = 0, by_pointing = 0, by_standing = 0;
    bool by_draws = false;
};
struct Propagated {
    FirstOrder law;
    std::vector<Weighed> each;  ///< of each pair that was asked for
};
/// Draws of a first look in this thread from now on: kDraws, but where questions are put by the ten thousand
/// and the scatter of each answer's own draws is lost among them.
void take_draws(int draws);

/// Nothing where the model is not defined about its values, or at more than one draw in two thousand: then
/// nothing can be said at 99.9 %.
[[nodiscard]] std::optional<Propagated> propagate(
    const Model& model, const Basis& basis, const std::vector<std::pair<std::size_t, std::size_t>>& pairs);

/// Which part of a line of sight lies within a space beside a plane, as lengths from its start; nothing where
/// it passes it by.
[[nodiscard]] std::optional<Span> stretch_within(const Ray& sight, const LaidPlane::Laid& plane,
                                                 const Space& space);

/// Halfway between two lines of sight where they come closest; nothing where they run along each other or
/// that lies behind one of them.
[[nodiscard]] std::optional<Vec3> between_rays(const Ray& first, const Ray& second);

/// The word that an interval at 99.9 % allows.
[[nodiscard]] Side side_of(const Span& sure);
/// Degrees between a line of sight and an upright plane.
[[nodiscard]] double angle_to(const Ray& sight, const LaidPlane::Laid& plane);

}  // namespace plumbmark::sight
