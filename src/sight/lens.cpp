#include "sight/lens.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/worded.h"
#include "sight/internal/chi_square.h"
#include "sight/internal/first_guess.h"
#include "sight/internal/lens_beginning.h"
#include "sight/internal/lens_bundle.h"
#include "sight/internal/refused.h"

namespace plumbmark::sight {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

constexpr std::size_t kFewestViews = 3;
/// A board that nowhere spans this part of the picture's longer side is small.
constexpr double kSmallBoard = 0.15;
/// A focal length known worse than this part of itself, or a principal point known worse than this part of
/// the picture's longer side, is not known.
constexpr double kVagueFocal = 0.03, kVaguePrincipal = 0.1;
/// What corners may be off by even where all of a set agree by chance or were computed, in pixels.
constexpr double kLeastScatter = 0.05;
/// Boards at less than this to each other stand at the same slant.
constexpr double kSameSlant = 10 * 3.14159265358979323846 / 180;
/// Residuals beyond this part of the picture's longer side are no noise: something is not what it is said to
/// be.
constexpr double kNoFit = 0.01;
constexpr double kRisk = 0.001;
constexpr std::size_t kBeginnings = 3;

Error stopped() {
    return {Category::cancelled, worded("Measuring the lens was stopped."), {}};
}

Result<void> look_over(const BoardView& view) {
    const auto finite = [](const Pixel& at) { return std::isfinite(at.x) && std::isfinite(at.y); };
    if (view.places.size() != view.seen.size() || !std::all_of(view.seen.begin(), view.seen.end(), finite))
        return refused(worded("In '{}' places and pixels do not go together.", view.name));
    if (view.places.size() < 4)
        return refused(worded("In '{}' there are fewer than four points of the board.", view.name));
    const Vec3 reach = extent(view.places);
    if (!std::isfinite(reach.x) || !(reach.y > 0.01 * reach.x))
        return refused(worded("In '{}' all points of the board lie on one line.", view.name));
    if (reach.z > 1e-6 * reach.x)
        return refused(
            worded("In '{}' the points do not lie on a plane; a board has to be flat.", view.name));
    return {};
}

/// The longer side of what a view covers.
double span(const BoardView& view) {
    const auto [left, right] = std::minmax_element(view.seen.begin(), view.seen.end(),
                                                   [](const Pixel& a, const Pixel& b) { return a.x < b.x; });
    const auto [top, bottom] = std::minmax_element(view.seen.begin(), view.seen.end(),
                                                   [](const Pixel& a, const Pixel& b) { return a.y < b.y; });
    return std::max(right->x - left->x, bottom->y - top->y);
}

Result<void> look_over(const std::vector<BoardView>& views, int width, int height) {
    if (width < 1 || height < 1) return refused(worded("The picture has no size."));
    for (const BoardView& view : views)
        if (auto good = look_over(view); !good) return good.error();
    if (views.size() < kFewestViews)
        return refused(worded(
            "A lens needs {} pictures of the board at least, better ten; there are {}. Take more, each "
            "with the board at another slant.",
            kFewestViews, views.size()));
    const bool small = std::all_of(views.begin(), views.end(), [&](const BoardView& view) {
        return span(view) < kSmallBoard * std::max(width, height);
    });
    if (small)
        return refused(
            worded("The board is small in every picture. Take it from nearer, so that it fills at least half "
                   "of some pictures."));
    return {};
}

double sum_of(const std::vector<double>& residuals) {
    double sum = 0;
    for (const double one : residuals)
        sum += one * one;
    return sum;
}

/// The other one of a board's two slants, where the one that was begun with turned out worse.
bool better_slants(const std::vector<BoardView>& views, const Lens& lens, std::vector<Pose>& poses) {
    bool any = false;
    for (std::size_t v = 0; v < views.size(); ++v) {
        double least = settled_pose(views[v], lens, poses[v]).sum;
        for (const Pose& from : board_poses(views[v], lens)) {
            const SettledPose other = settled_pose(views[v], lens, from);
            if (!(other.sum < least * (1 - 1e-6))) continue;
            least = other.sum;
            poses[v] = other.pose;
            any = true;
        }
    }
    return any;
}

/// Where a beginning leads, and the poses there.
struct Ended {
    Settled at;
    std::vector<Pose> poses;
};

/// Nothing where it leads nowhere.
std::optional<Ended> followed(LensBundle& bundle, const Lens& lens, std::vector<Pose> poses, int most_steps) {
    bundle.begin(std::move(poses));
    Settled at = settle(bundle.problem(), bundle.begin_at(lens), most_steps);
    if (!std::isfinite(at.sum)) return std::nullopt;
    return Ended{std::move(at), bundle.poses()};
}

std::optional<Ended> fitted(LensBundle& bundle, const std::vector<BoardView>& views, int width, int height) {
    std::optional<Ended> best;
    const std::vector<LensBeginning> beginnings = lens_beginnings(views, width, height);
    for (std::size_t i = 0; i < beginnings.size() && i < kBeginnings; ++i) {
        auto end = followed(bundle, beginnings[i].lens, beginnings[i].poses, 3);
        if (end && (!best || end->at.sum < best->at.sum)) best = std::move(end);
    }
    // Twice, as the slants may depend on a lens that was found with wrong ones.
    for (int i = 0; best && i < 2; ++i) {
        std::vector<Pose> poses = best->poses;
        if (!better_slants(views, bundle.lens(best->at.x), poses) && i > 0) break;
        auto end = followed(bundle, bundle.lens(best->at.x), std::move(poses), 200);
        if (!end) break;
        best = std::move(end);
    }
    return best;
}

/// The largest angle between two of the boards.
double slants_apart(const std::vector<Pose>& poses) {
    double most = 0;
    for (const Pose& one : poses)
        for (const Pose& other : poses) {
            const Vec3 a = one.turn * Vec3{0, 0, 1}, b = other.turn * Vec3{0, 0, 1};
            most = std::max(most, std::atan2(length(cross(a, b)), std::abs(dot(a, b))));
        }
    return most;
}

/// What the views cannot tell of the lens.
Result<void> told(const MeasuredLens& found) {
    const double longer = std::max(found.lens.width, found.lens.height);
    const double own = found.rms / std::sqrt(2.0);
    const double by = std::max(1.0, kLeastScatter / std::max(own, 1e-12));
    const LensStandard standard = found.standard();
    if (by * standard.focal < kVagueFocal && by * standard.principal < kVaguePrincipal * longer) return {};
    if (slants_apart(found.poses) < kSameSlant)
        return refused(worded(
            "All pictures show the board at the same slant, which does not tell the focal length: near "
            "and small looks like far and magnified. Turn the board, up to half a right angle, another "
            "way in each picture."));
    return refused(worded(
        "These pictures do not tell the lens well enough: its focal length would be known to {} % only. "
        "Add pictures with the board nearer, more slanted, and out to the picture's corners.",
        static_cast<int>(std::min(999.0, std::ceil(100 * by * standard.focal)))));
}

std::vector<std::size_t> suspects_of(const std::vector<BoardView>& views, const std::vector<double>& rms) {
    std::vector<double> sorted = rms;
    std::sort(sorted.begin(), sorted.end());
    const double middle = sorted[sorted.size() / 2];
    std::vector<std::size_t> out;
    for (std::size_t v = 0; v < rms.size(); ++v) {
        const int freedom = static_cast<int>(2 * views[v].seen.size()) - 6;
        const double by_chance = std::sqrt(chi_square_quantile(1 - kRisk, freedom) / freedom);
        if (rms[v] > kLeastScatter && rms[v] > middle * std::max(2.0, by_chance)) out.push_back(v);
    }
    return out;
}

MeasuredLens described(const LensBundle& bundle, const std::vector<BoardView>& views, const Ended& end) {
    MeasuredLens found;
    found.lens = bundle.lens(end.at.x);
    found.poses = end.poses;
    found.redundancy = bundle.redundancy();
    const double variance = end.at.sum / found.redundancy;
    found.covariance = bundle.widened(known(end.at.jacobian).covariance);
    for (double& one : found.covariance)
        one *= variance;
    std::size_t row = 0, points = 0;
    for (const BoardView& view : views) {
        std::vector<Pixel> residuals;
        double sum = 0;
        for (std::size_t i = 0; i < view.seen.size(); ++i, row += 2) {
            residuals.push_back({-end.at.residuals[row], -end.at.residuals[row + 1]});
            sum += residuals.back().x * residuals.back().x + residuals.back().y * residuals.back().y;
        }
        points += view.seen.size();
        found.view_rms.push_back(std::sqrt(sum / static_cast<double>(view.seen.size())));
        found.residuals.push_back(std::move(residuals));
    }
    found.rms = std::sqrt(sum_of(end.at.residuals) / static_cast<double>(points));
    found.suspects = suspects_of(views, found.view_rms);
    found.bare = bare_corners(views, found.lens.width, found.lens.height);
    return found;
}

}  // namespace

std::vector<PictureCorner> bare_corners(const std::vector<BoardView>& views, int width, int height) {
    std::vector<PictureCorner> bare;
    for (const PictureCorner corner : {PictureCorner::upper_left, PictureCorner::upper_right,
                                       PictureCorner::lower_left, PictureCorner::lower_right}) {
        const bool right = corner == PictureCorner::upper_right || corner == PictureCorner::lower_right;
        const bool low = corner == PictureCorner::lower_left || corner == PictureCorner::lower_right;
        const auto in_it = [&](const Pixel& at) {
            return (right ? width - at.x : at.x) < width / 3.0 && (low ? height - at.y : at.y) < height / 3.0;
        };
        const bool any = std::any_of(views.begin(), views.end(), [&](const BoardView& view) {
            return std::any_of(view.seen.begin(), view.seen.end(), in_it);
        });
        if (!any) bare.push_back(corner);
    }
    return bare;
}

double MeasuredLens::standard(std::size_t number) const {
    return std::sqrt(std::max(0.0, covariance[number * kNumbers + number]));
}

LensStandard MeasuredLens::standard() const {
    LensStandard out;
    out.focal = std::max(standard(0) / lens.fx, standard(1) / lens.fy);
    out.principal = std::max(standard(2), standard(3));
    // The squares of how far the radial terms move a pixel, over focal lengths, summed over the picture.
    constexpr std::size_t kRadial[]{5, 6, 9};
    constexpr int kGrid = 24;
    double all = 0, k1_alone = 0;
    for (int i = 0; i < kGrid * kGrid; ++i) {
        const Pixel at{(i % kGrid + 0.5) * lens.width / kGrid, (i / kGrid + 0.5) * lens.height / kGrid};
        const auto ray = ray_through({lens, {}}, at);
        if (!ray) continue;
        const double x = ray->direction.x / ray->direction.z, y = ray->direction.y / ray->direction.z;
        const double square = x * x + y * y;
        const double powers[]{square, square * square, square * square * square};
        for (std::size_t a = 0; a < 3; ++a)
            for (std::size_t b = 0; b < 3; ++b)
                all += square * powers[a] * covariance[kRadial[a] * kNumbers + kRadial[b]] * powers[b];
        k1_alone += square * powers[0] * powers[0];
    }
    out.k1 = k1_alone > 0 ? std::sqrt(std::max(0.0, all) / k1_alone) : 0;
    return out;
}

Result<MeasuredLens> measure_lens(const std::vector<BoardView>& views, int width, int height,
                                  const LensForm& form, const std::stop_token& stop) {
    if (auto good = look_over(views, width, height); !good) return good.error();
    Lens plain;
    plain.width = width;
    plain.height = height;
    LensBundle bundle(views, form, plain, stop);
    if (bundle.redundancy() < 1)
        return refused(
            worded("There are fewer corners than the lens has unknowns. Add pictures of the board."));
    const auto end = stop.stop_requested() ? std::nullopt : fitted(bundle, views, width, height);
    if (stop.stop_requested()) return stopped();
    if (!end)
        return refused(
            worded("No lens sees the board as these pictures do. See that every picture shows the same board "
                   "and that none is seen in a mirror."));
    MeasuredLens found = described(bundle, views, *end);
    if (found.rms > kNoFit * std::max(width, height))
        return refused(worded(
            "These pictures do not fit together: the corners are off by {} pixels; '{}' fits worst. See "
            "that every picture shows the same board with the same zoom, and that it is flat.",
            static_cast<int>(std::lround(found.rms)),
            views[static_cast<std::size_t>(std::max_element(found.view_rms.begin(), found.view_rms.end()) -
                                           found.view_rms.begin())]
                .name));
    if (auto good = told(found); !good) return good.error();
    return found;
}

}  // namespace plumbmark::sight
