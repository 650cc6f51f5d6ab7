#include "sight/internal/placing_design.h"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "sight/internal/bundle.h"
#include "sight/internal/chi_square.h"
#include "sight/internal/first_guess.h"
#include "sight/internal/limits.h"

namespace plumbmark::sight {
namespace {

constexpr int kOwn = static_cast<int>(CalibratedCamera::kOwn);

/// A way to stand that is this many times worse than a rival after forty steps does not become one.
constexpr double kHopeless = 50;

/// The bundle's equations with the places taken out: each place is pointed at once, so what is known of it
/// goes into the scatter of its own two equations, S = 1 + B P B' (B: the equations by the place, P: the
/// place's variances), and nothing else. The same answer as of all unknowns at once (F. Helmert 1880; the
/// Schur complement of B. Triggs and others 1999, section 6.1), in a tenth of the time or less.
class Reduced {
  public:
    explicit Reduced(const Sightings& sightings)
        : sightings_(sightings), bundle_(sightings), whole_(bundle_.problem()) {}

    /// The equations of the pictures, and four for what is known of the lens.
    [[nodiscard]] Problem problem() const {
        Problem out;
        out.unknowns = kOwn;
        out.equations = static_cast<int>(bundle_.seen()) + 4;
        out.residuals = [this](const std::vector<double>& own, std::vector<double>& residuals,
                               Dense* jacobian) { return look(own, residuals, jacobian, nullptr); };
        out.move = whole_.move;
        return out;
    }
    [[nodiscard]] std::vector<double> begin(const Pose& pose, double focal) const {
        std::vector<double> own = bundle_.begin(pose, focal);
        own.resize(CalibratedCamera::kOwn);
        return own;
    }
    [[nodiscard]] Camera camera(const std::vector<double>& own) const { return bundle_.camera(own); }
    [[nodiscard]] int redundancy() const { return bundle_.redundancy(); }

    /// What is known of the places once the camera is: variances about it, and how they follow it.
    struct Place {
        double left[3][3]{};        ///< covariance where the camera is known
        double follows[3][kOwn]{};  ///< metres against the camera's change, for one of each unknown
    };
    bool look(const std::vector<double>& own, std::vector<double>& residuals, Dense* jacobian,
              std::vector<Place>* places) const {
        std::vector<double> x = own, whole(static_cast<std::size_t>(whole_.equations));
        for (const KnownPlace& place : sightings_.places)
            x.insert(x.end(), {place.at.x, place.at.y, place.at.z});
        Dense by(whole_.equations, whole_.unknowns);
        if (!whole_.residuals(x, whole, &by)) return false;
        const int lens_rows = static_cast<int>(bundle_.seen()), place_rows = lens_rows + 4;
        if (places != nullptr) {
            places->assign(sightings_.places.size(), {});
            for (std::size_t p = 0; p < places->size(); ++p)
                for (std::size_t k = 0; k < 3; ++k)
                    (*places)[p].left[k][k] = variance(by, place_rows, p, k);
        }
        for (std::size_t n = 0; n < sightings_.points.size(); ++n)
            take_out(by, whole, n, place_rows, residuals, jacobian, places);
        for (int r = lens_rows; r < place_rows; ++r) {
            residuals[static_cast<std::size_t>(r)] = whole[static_cast<std::size_t>(r)];
            for (int c = 0; jacobian != nullptr && c < kOwn; ++c)
                jacobian->at(r, c) = by.at(r, c);
        }
        return true;
    }

  private:
    [[nodiscard]] static double variance(const Dense& by, int place_rows, std::size_t place, std::size_t k) {
        const int at = static_cast<int>(3 * place + k);
        const double weight = by.at(place_rows + at, kOwn + at);
        return 1 / (weight * weight);
    }

    /// S = L L', L lower; the reduced equations are those of inverse(L) times the bundle's.
    struct Whitening {
        double l00 = 1, l10 = 0, l11 = 1;
        [[nodiscard]] std::pair<double, double> operator()(double one, double other) const {
            const double top = one / l00;
            return {top, (other - l10 * top) / l11};
        }
    };
    /// Of the two equations from row r on, B P being their 'carried'.
    [[nodiscard]] static Whitening whitening(const Dense& by, int r, int first, const double carried[2][3]) {
        double xx = 1, xy = 0, yy = 1;
        for (int k = 0; k < 3; ++k) {
            xx += carried[0][k] * by.at(r, first + k);
            xy += carried[0][k] * by.at(r + 1, first + k);
            yy += carried[1][k] * by.at(r + 1, first + k);
        }
        Whitening out{std::sqrt(xx)};
        out.l10 = xy / out.l00;
        out.l11 = std::sqrt(yy - out.l10 * out.l10);
        return out;
    }

    void take_out(const Dense& by, const std::vector<double>& whole, std::size_t n, int place_rows,
                  std::vector<double>& residuals, Dense* jacobian, std::vector<Place>* places) const {
        const std::size_t place = sightings_.points[n].place;
        const int r = static_cast<int>(2 * n), first = kOwn + static_cast<int>(3 * place);
        double carried[2][3];
        for (int a = 0; a < 2; ++a)
            for (std::size_t k = 0; k < 3; ++k)
                carried[a][k] =
                    by.at(r + a, first + static_cast<int>(k)) * variance(by, place_rows, place, k);
        const Whitening whiten = whitening(by, r, first, carried);
        std::tie(residuals[2 * n], residuals[2 * n + 1]) = whiten(whole[2 * n], whole[2 * n + 1]);
        double own[2][kOwn];
        for (int c = 0; c < kOwn; ++c)
            std::tie(own[0][c], own[1][c]) = whiten(by.at(r, c), by.at(r + 1, c));
        for (int c = 0; jacobian != nullptr && c < kOwn; ++c) {
            jacobian->at(r, c) = own[0][c];
            jacobian->at(r + 1, c) = own[1][c];
        }
        if (places == nullptr) return;
        for (std::size_t k = 0; k < 3; ++k) {
            const auto [one, other] = whiten(carried[0][k], carried[1][k]);
            Place& out = (*places)[place];
            for (std::size_t l = 0; l < 3; ++l) {
                const auto [first_l, second_l] = whiten(carried[0][l], carried[1][l]);
                out.left[k][l] -= one * first_l + other * second_l;
            }
            for (std::size_t c = 0; c < kOwn; ++c)
                out.follows[k][c] += one * own[0][c] + other * own[1][c];
        }
    }

    const Sightings& sightings_;
    Bundle bundle_;
    Problem whole_;
};

/// The covariance of camera and places, by rows, from the camera's own.
std::vector<double> covariance_of(const Dense& own, const std::vector<Reduced::Place>& places) {
    const std::size_t n = CalibratedCamera::kOwn + 3 * places.size();
    std::vector<double> out(n * n);
    const auto set = [&](std::size_t i, std::size_t j, double value) {
        out[i * n + j] = value;
        out[j * n + i] = value;
    };
    for (int i = 0; i < kOwn; ++i)
        for (int j = 0; j < kOwn; ++j)
            out[static_cast<std::size_t>(i) * n + static_cast<std::size_t>(j)] = own.at(i, j);
    for (std::size_t p = 0; p < places.size(); ++p)
        for (std::size_t k = 0; k < 3; ++k) {
            double with_own[kOwn]{};
            for (int c = 0; c < kOwn; ++c)
                for (int i = 0; i < kOwn; ++i)
                    with_own[i] -= places[p].follows[k][c] * own.at(c, i);
            const std::size_t row = CalibratedCamera::kOwn + 3 * p + k;
            for (std::size_t i = 0; i < CalibratedCamera::kOwn; ++i)
                set(row, i, with_own[i]);
            for (std::size_t q = 0; q <= p; ++q)
                for (std::size_t l = 0; l < 3; ++l) {
                    double sum = p == q ? places[p].left[k][l] : 0;
                    for (std::size_t i = 0; i < CalibratedCamera::kOwn; ++i)
                        sum -= with_own[i] * places[q].follows[l][i];
                    set(row, CalibratedCamera::kOwn + 3 * q + l, sum);
                }
        }
    return out;
}

/// Whether calibrate() would find another place that shows nearly the same picture. 'own_sum': of the squared
/// residuals where the camera is, which what is supposed of the lens may leave.
bool another_way(const Sightings& sightings, const Reduced& reduced, const CalibratedCamera& found,
                 double own_sum) {
    static const double more = chi_square_quantile(1 - kRisk, 2);
    const Vec3 here = centre(found.camera);
    const double apart = kRivalApart * length(found.centre_standard());
    const auto elsewhere = [&](const std::vector<double>& own) {
        return length(centre(reduced.camera(own)) - here) > apart;
    };
    const Problem problem = reduced.problem();
    for (const Beginning& beginning : first_guesses(sightings, sightings.points)) {
        Settled at;
        at.x = reduced.begin(beginning.pose, beginning.focal);
        // A few steps at a time: most end where the camera is, and no step more is needed once they do.
        for (int round = 0; round < 8 && !at.still && elsewhere(at.x); ++round)
            at = settle(problem, std::move(at.x), 5);
        if (!at.still && elsewhere(at.x) && at.sum - own_sum < kHopeless * more)
            at = settle(problem, std::move(at.x));
        if (at.sum - own_sum <= more && elsewhere(at.x)) return true;
    }
    return false;
}

Hindrance of_places(const Sightings& sightings) {
    if (sightings.points.size() < 4) return Hindrance::too_few;
    std::vector<Vec3> at;
    for (const SeenPlace& one : sightings.points)
        at.push_back(sightings.places[one.place].at);
    const Vec3 reach = extent(at);
    return reach.y > kLineReach * reach.x ? Hindrance::none : Hindrance::on_one_line;
}

Hindrance of_covariance(const Sightings& sightings, const CalibratedCamera& found) {
    if (sightings.knowledge != LensKnowledge::measured &&
        !(found.focal_standard() < kVagueFocal * found.camera.lens.fx))
        return Hindrance::untold_focal;
    Vec3 middle;
    for (const KnownPlace& place : found.places)
        middle = middle + (1.0 / static_cast<double>(found.places.size())) * place.at;
    const double far = length(centre(found.camera) - middle);
    return length(found.centre_standard()) < kVagueCentre * far ? Hindrance::none
                                                                : Hindrance::too_close_together;
}

}  // namespace

std::array<Vec3, 3> along_plane(const PlacingPlan& plan, double z) {
    Vec3 at[2];
    for (std::size_t i = 0; i < 2; ++i) {
        const PlaneEnd& end = plan.plane.ends[i];
        at[i] = end.place ? plan.places[*end.place].at : Vec3{end.x, end.y, 0};
        at[i].z = z;
    }
    return {at[0], 0.5 * (at[0] + at[1]), at[1]};
}

double level_of(const PlacingPlan& plan) {
    if (plan.level.places.empty()) return plan.level.height;
    double sum = 0;
    for (const std::size_t place : plan.level.places)
        sum += plan.places[place].at.z;
    return sum / static_cast<double>(plan.level.places.size());
}

std::optional<Pixel> in_picture(const Camera& camera, Vec3 point) {
    // Nearer than a centimetre is in the lens.
    if (!((camera.pose.turn * point + camera.pose.shift).z > 0.01)) return std::nullopt;
    const auto at = project(camera, point);
    const bool inside =
        at && at->x >= 0 && at->y >= 0 && at->x < camera.lens.width && at->y < camera.lens.height;
    return inside ? at : std::nullopt;
}

Sightings sightings_of(const PlacingPlan& plan, const Camera& camera) {
    Sightings out;
    out.width = plan.lens.width;
    out.height = plan.lens.height;
    out.places = plan.places;
    out.knowledge = plan.knowledge;
    out.lens = plan.lens;
    out.lens_standard = plan.lens_standard;
    for (std::size_t i = 0; i < plan.places.size(); ++i)
        if (const auto at = in_picture(camera, plan.places[i].at))
            out.points.push_back({i, *at, plan.pointing});
    return out;
}

Design design_of(const PlacingPlan& plan, const Camera& camera) {
    const Sightings sightings = sightings_of(plan, camera);
    Design out;
    out.seen = static_cast<int>(sightings.points.size());
    out.hindrance = of_places(sightings);
    if (out.hindrance != Hindrance::none) return out;
    const Reduced reduced(sightings);
    std::vector<double> own = reduced.begin(camera.pose, camera.lens.fx);
    own[7] = camera.lens.cx;
    own[8] = camera.lens.cy;
    own[9] = camera.lens.k1;
    const Problem problem = reduced.problem();
    std::vector<double> residuals(static_cast<std::size_t>(problem.equations));
    Dense jacobian(problem.equations, problem.unknowns);
    std::vector<Reduced::Place> places;
    const bool stands = reduced.look(own, residuals, &jacobian, &places);
    const Known known = stands ? sight::known(jacobian) : Known{};
    if (!(known.weakest > 0)) {
        out.hindrance = Hindrance::too_close_together;
        return out;
    }
    CalibratedCamera found;
    found.camera = camera;
    found.places = plan.places;
    found.redundancy = reduced.redundancy();
    found.covariance = covariance_of(known.covariance, places);
    out.hindrance = of_covariance(sightings, found);
    double sum = 0;
    for (const double one : residuals)
        sum += one * one;
    if (out.hindrance == Hindrance::none && another_way(sightings, reduced, found, sum))
        out.hindrance = Hindrance::two_ways;
    if (out.hindrance == Hindrance::none) out.found = std::move(found);
    return out;
}

}  // namespace plumbmark::sight
