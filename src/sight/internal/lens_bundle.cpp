#include "sight/internal/lens_bundle.h"

#include <cmath>
#include <limits>

#include "sight/internal/bundle.h"
#include "sight/internal/jet.h"
#include "sight/internal/project.h"

namespace plumbmark::sight {
namespace {

constexpr std::size_t kNumbers = MeasuredLens::kNumbers;
constexpr int kPose = 6;
constexpr double kNear = 1e-9;  ///< metres ahead of the camera at least

template <std::size_t N>
LensNumbers<Jet<N>> constants(const Lens& lens) {
    const LensNumbers<double> plain = numbers_of(lens);
    LensNumbers<Jet<N>> out;
    for (std::size_t i = 0; i < plain.size(); ++i)
        out[i] = plain[i];
    return out;
}

Lens with_numbers(Lens lens, const LensNumbers<double>& n) {
    lens.fx = n[0], lens.fy = n[1], lens.cx = n[2], lens.cy = n[3], lens.skew = n[4];
    lens.k1 = n[5], lens.k2 = n[6], lens.p1 = n[7], lens.p2 = n[8], lens.k3 = n[9];
    return lens;
}

Pose pose_of(const std::vector<double>& x) {
    return {turning({x[0], x[1], x[2]}), {x[3], x[4], x[5]}};
}

/// Of one view, by its pose.
bool pose_rows(const BoardView& view, const LensNumbers<Jet<kPose>>& lens, const Pose& pose,
               std::vector<double>& out, Dense* jacobian) {
    using J = Jet<kPose>;
    const J wx = J::of(0, 0), wy = J::of(0, 1), wz = J::of(0, 2);
    for (std::size_t n = 0; n < view.places.size(); ++n) {
        const Vec3 turned = pose.turn * view.places[n];
        const J x(turned.x), y(turned.y), z(turned.z);
        const std::array<J, 3> ahead{x + wy * z - wz * y + J::of(pose.shift.x, 3),
                                     y + wz * x - wx * z + J::of(pose.shift.y, 4),
                                     z + wx * y - wy * x + J::of(pose.shift.z, 5)};
        if (!(ahead[2].value > kNear)) return false;
        const auto seen = seen_at<J>(lens, ahead);
        out[2 * n] = seen[0].value - view.seen[n].x;
        out[2 * n + 1] = seen[1].value - view.seen[n].y;
        if (jacobian == nullptr) continue;
        for (int c = 0; c < kPose; ++c)
            for (int i = 0; i < 2; ++i)
                jacobian->at(static_cast<int>(2 * n) + i, c) =
                    seen[static_cast<std::size_t>(i)].by[static_cast<std::size_t>(c)];
    }
    return true;
}

/// Of one view, by the numbers of the lens.
Dense lens_rows(const BoardView& view, const Lens& lens, const Pose& pose) {
    using J = Jet<kNumbers>;
    LensNumbers<J> numbers = constants<kNumbers>(lens);
    for (std::size_t i = 0; i < kNumbers; ++i)
        numbers[i].by[i] = 1;
    Dense out(static_cast<int>(2 * view.places.size()), static_cast<int>(kNumbers));
    for (std::size_t n = 0; n < view.places.size(); ++n) {
        const Vec3 at = pose.turn * view.places[n] + pose.shift;
        const auto seen = seen_at<J>(numbers, {J(at.x), J(at.y), J(at.z)});
        for (std::size_t i = 0; i < 2; ++i)
            for (std::size_t c = 0; c < kNumbers; ++c)
                out.at(static_cast<int>(2 * n + i), static_cast<int>(c)) = seen[i].by[c];
    }
    return out;
}

double column_product(const Dense& a, int i, const Dense& b, int j) {
    double sum = 0;
    for (int r = 0; r < a.rows; ++r)
        sum += a.at(r, i) * b.at(r, j);
    return sum;
}

/// Column j of 'from' without what it has of column i of 'unit', twice, as once leaves what rounding makes.
void take_out(const Dense& unit, int i, Dense& from, int j) {
    for (int twice = 0; twice < 2; ++twice) {
        const double share = column_product(unit, i, from, j);
        for (int r = 0; r < from.rows; ++r)
            from.at(r, j) -= share * unit.at(r, i);
    }
}

/// 'rows' without what a change of the pose could make of them: projected across the columns of 'pose'.
void project_out(Dense pose, Dense& rows) {
    for (int i = 0; i < pose.columns; ++i) {
        const double before = std::sqrt(column_product(pose, i, pose, i));
        for (int k = 0; k < i; ++k)
            take_out(pose, k, pose, i);
        const double length = std::sqrt(column_product(pose, i, pose, i));
        const bool own = length > 1e-12 * before;
        for (int r = 0; r < pose.rows; ++r)
            pose.at(r, i) = own ? pose.at(r, i) / length : 0;
    }
    for (int j = 0; j < rows.columns; ++j)
        for (int i = 0; i < pose.columns; ++i)
            take_out(pose, i, rows, j);
}

std::vector<std::vector<std::size_t>> drives_of(const LensForm& form) {
    std::vector<std::vector<std::size_t>> drives;
    if (form.two_focals)
        drives = {{0}, {1}};
    else
        drives = {{0, 1}};
    drives.push_back({2});
    drives.push_back({3});
    if (form.skew) drives.push_back({4});
    const std::size_t bent = form.bending == Bending::k1            ? 1
                             : form.bending == Bending::k1_k2       ? 2
                             : form.bending == Bending::k1_k2_p1_p2 ? 4
                                                                    : 5;
    for (std::size_t i = 0; i < bent; ++i)
        drives.push_back({5 + i});
    return drives;
}

}  // namespace

SettledPose settled_pose(const BoardView& view, const Lens& lens, const Pose& from) {
    const LensNumbers<Jet<kPose>> numbers = constants<kPose>(lens);
    Problem problem;
    problem.unknowns = kPose;
    problem.equations = static_cast<int>(2 * view.places.size());
    problem.residuals = [&](const std::vector<double>& x, std::vector<double>& out, Dense* jacobian) {
        return pose_rows(view, numbers, pose_of(x), out, jacobian);
    };
    problem.move = [](std::vector<double>& x, const std::vector<double>& step) {
        const Vec3 axis = turned_on({x[0], x[1], x[2]}, {step[0], step[1], step[2]});
        x = {axis.x, axis.y, axis.z, x[3] + step[3], x[4] + step[4], x[5] + step[5]};
    };
    const Vec3 axis = axis_of(from.turn);
    Settled at = settle(problem, {axis.x, axis.y, axis.z, from.shift.x, from.shift.y, from.shift.z}, 60);
    return {pose_of(at.x), at.sum, std::move(at.residuals), std::move(at.jacobian)};
}

LensBundle::LensBundle(const std::vector<BoardView>& views, const LensForm& form, const Lens& about,
                       const std::stop_token& stop)
    : views_(views), stop_(stop), about_(about), drives_(drives_of(form)) {
    for (const BoardView& view : views_)
        equations_ += static_cast<int>(2 * view.places.size());
}

Problem LensBundle::problem() {
    Problem problem;
    problem.unknowns = static_cast<int>(drives_.size());
    problem.equations = equations_;
    problem.residuals = [this](const std::vector<double>& x, std::vector<double>& out, Dense* jacobian) {
        return residuals(x, out, jacobian);
    };
    return problem;
}

void LensBundle::begin(std::vector<Pose> poses) {
    poses_ = std::move(poses);
    least_ = std::numeric_limits<double>::infinity();
}

std::vector<double> LensBundle::begin_at(const Lens& lens) const {
    const LensNumbers<double> numbers = numbers_of(lens);
    std::vector<double> x;
    for (const auto& drives : drives_)
        x.push_back(numbers[drives.front()]);
    return x;
}

Lens LensBundle::lens(const std::vector<double>& x) const {
    LensNumbers<double> numbers = numbers_of(about_);
    for (std::size_t i = 0; i < x.size(); ++i)
        for (const std::size_t number : drives_[i])
            numbers[number] = x[i];
    return with_numbers(about_, numbers);
}

int LensBundle::redundancy() const {
    return equations_ - static_cast<int>(drives_.size()) - kPose * static_cast<int>(views_.size());
}

std::array<double, kNumbers * kNumbers> LensBundle::widened(const Dense& covariance) const {
    std::array<double, kNumbers * kNumbers> out{};
    for (std::size_t i = 0; i < drives_.size(); ++i)
        for (std::size_t j = 0; j < drives_.size(); ++j)
            for (const std::size_t one : drives_[i])
                for (const std::size_t other : drives_[j])
                    out[one * kNumbers + other] = covariance.at(static_cast<int>(i), static_cast<int>(j));
    return out;
}

bool LensBundle::residuals(const std::vector<double>& x, std::vector<double>& out, Dense* jacobian) {
    const Lens lens = this->lens(x);
    if (!(lens.fx > 0 && lens.fy > 0)) return false;
    std::vector<Pose> poses;
    double sum = 0;
    int row = 0;
    for (std::size_t v = 0; v < views_.size(); ++v) {
        if (stop_.stop_requested()) return false;
        SettledPose at = settled_pose(views_[v], lens, poses_[v]);
        if (!std::isfinite(at.sum)) return false;
        sum += at.sum;
        std::copy(at.residuals.begin(), at.residuals.end(), out.begin() + row);
        if (jacobian != nullptr) {
            Dense rows = lens_rows(views_[v], lens, at.pose);
            project_out(std::move(at.jacobian), rows);
            for (int r = 0; r < rows.rows; ++r)
                for (std::size_t i = 0; i < drives_.size(); ++i)
                    for (const std::size_t number : drives_[i])
                        jacobian->at(row + r, static_cast<int>(i)) += rows.at(r, static_cast<int>(number));
        }
        row += static_cast<int>(at.residuals.size());
        poses.push_back(at.pose);
    }
    if (sum < least_) {
        least_ = sum;
        poses_ = std::move(poses);
    }
    return true;
}

}  // namespace plumbmark::sight
