// A lens from views of a board: against lenses that are known, with and without noise.
#include "sight/lens.h"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "sight/chessboard.h"
#include "support/sanitized.h"

using namespace plumbmark;
using namespace plumbmark::sight;

namespace {

constexpr double kRight = 3.14159265358979323846 / 2;
constexpr std::array<const char*, MeasuredLens::kNumbers> kNames{"fx", "fy", "cx", "cy", "skew",
                                                                 "k1", "k2", "p1", "p2", "k3"};

std::array<double, MeasuredLens::kNumbers> numbers(const Lens& lens) {
    return {lens.fx, lens.fy, lens.cx, lens.cy, lens.skew, lens.k1, lens.k2, lens.p1, lens.p2, lens.k3};
}

/// A phone's lens in a picture of half its size.
Lens phone() {
    return {960, 540, 800, 800, 490, 262, 0, 0.11, -0.2, 0.001, -0.0006, 0.05};
}

/// The board turned about an axis in its plane and about the line of sight, its middle 'away' from the camera
/// and moved across the picture by parts of that.
Pose standing(const Board& board, double slant, double about, double roll, double away, double right = 0,
              double down = 0) {
    const Mat3 turn = turning({0, 0, roll}) * turning({slant * std::cos(about), slant * std::sin(about), 0});
    const Vec3 middle{(board.across - 1) * board.square / 2, (board.down - 1) * board.square / 2, 0};
    return {turn, Vec3{right * away, down * away, away} - turn * middle};
}

const Board kBoard{9, 6, 0.03};

/// Six slants, out to the picture's corners.
std::vector<Pose> stands(const Board& board = kBoard) {
    return {standing(board, 0.1, 0.3, 0.1, 0.45),
            standing(board, 0.6, 0.0, 1.6, 0.5, -0.2, -0.1),
            standing(board, 0.6, 1.6, 0.0, 0.5, 0.25, 0.1),
            standing(board, 0.7, 0.8, 3.0, 0.5, 0.2, -0.1),
            standing(board, 0.5, 2.4, -0.4, 0.5, -0.25, 0.12),
            standing(board, 0.6, 4.0, 0.7, 0.4)};
}

std::vector<BoardView> seen_by(const Lens& lens, const std::vector<Pose>& poses,
                               const Board& board = kBoard) {
    std::vector<BoardView> views;
    for (const Pose& pose : poses) {
        BoardView view{"board-" + std::to_string(views.size() + 1), {}, {}};
        for (const Vec3& place : places_of(board)) {
            const auto at = project({lens, pose}, place);
            // As with a real picture what lies beyond its edges is not there.
            if (!at || at->x < 0 || at->y < 0 || at->x > lens.width || at->y > lens.height) continue;
            view.places.push_back(place);
            view.seen.push_back(*at);
        }
        views.push_back(std::move(view));
    }
    return views;
}

std::string reason(const std::vector<BoardView>& views, const LensForm& form = {}) {
    const auto found = measure_lens(views, 960, 540, form);
    return found ? "found" : found.error().text();
}

}  // namespace

TEST_CASE("a lens is found from exact views whatever is looked for") {
    for (const bool two : {false, true})
        for (const bool skew : {false, true})
            for (const Bending bending :
                 {Bending::k1, Bending::k1_k2, Bending::k1_k2_p1_p2, Bending::all_five}) {
                Lens lens = phone();
                if (two) lens.fy = 806;
                if (skew) lens.skew = 1.5;
                if (bending == Bending::k1 || bending == Bending::k1_k2) lens.p1 = lens.p2 = 0;
                if (bending == Bending::k1) lens.k2 = 0;
                if (bending != Bending::all_five) lens.k3 = 0;
                const auto found = measure_lens(seen_by(lens, stands()), 960, 540, {bending, two, skew});
                INFO("two " << two << " skew " << skew << " bending " << static_cast<int>(bending));
                INFO((found ? "" : found.error().text()));
                REQUIRE(found);
                for (std::size_t i = 0; i < kNames.size(); ++i) {
                    INFO(kNames[i]);
                    CHECK(numbers(found->lens)[i] == Approx(numbers(lens)[i]).epsilon(1e-7).margin(1e-6));
                }
                CHECK(found->lens.width == 960);
                CHECK(found->lens.height == 540);
                CHECK(found->rms < 1e-7);
                CHECK(found->suspects.empty());
                for (std::size_t v = 0; v < stands().size(); ++v)
                    CHECK(length(centre({lens, found->poses[v]}) - centre({lens, stands()[v]})) < 1e-6);
            }
}

TEST_CASE("the stated standard deviations are those by which noisy measurements scatter") {
    // 200 sets: a sample's standard deviation itself scatters by 1 / sqrt(2 * 200) = 0.05, its mean by 0.07;
    // four times that is reached once in 16 000. (Deviations as OpenCV 4.6 prints them are 1.4 to 1.5 times
    // too large and would fail here: published_test.cpp says why.)
    constexpr int kSets = test::kSanitized ? 8 : 200;
    constexpr double kNoise = 0.25;
    const Lens lens = phone();
    const Board board{6, 5, 0.045};
    const std::vector<BoardView> exact = seen_by(lens, stands(board), board);
    std::mt19937_64 engine(20260);
    std::normal_distribution<double> noise(0, kNoise);
    std::array<double, MeasuredLens::kNumbers> sums{}, squares{};
    double cross = 0, variance = 0;
    for (int n = 0; n < kSets; ++n) {
        std::vector<BoardView> views = exact;
        for (BoardView& view : views)
            for (Pixel& at : view.seen)
                at = {at.x + noise(engine), at.y + noise(engine)};
        const auto found = measure_lens(views, 960, 540, {Bending::all_five, true, true});
        REQUIRE(found);
        std::array<double, MeasuredLens::kNumbers> off{};
        for (std::size_t i = 0; i < off.size(); ++i) {
            off[i] = (numbers(found->lens)[i] - numbers(lens)[i]) / found->standard(i);
            sums[i] += off[i];
            squares[i] += off[i] * off[i];
        }
        // And two that go together: fx - fy.
        const auto& c = found->covariance;
        const double apart = found->lens.fx - found->lens.fy - (lens.fx - lens.fy);
        cross += apart * apart / (c[0] - 2 * c[1] + c[11]);
        variance += found->rms * found->rms / 2 / kSets;
    }
    if (test::kSanitized) return;  // so few scatter too much
    for (std::size_t i = 0; i < kNames.size(); ++i) {
        INFO(kNames[i]);
        CHECK(std::abs(sums[i] / kSets) < 4 / std::sqrt(1.0 * kSets));
        CHECK(std::sqrt(squares[i] / kSets) == Approx(1).margin(4 / std::sqrt(2.0 * kSets)));
    }
    CHECK(std::sqrt(cross / kSets) == Approx(1).margin(4 / std::sqrt(2.0 * kSets)));
    // The fit takes up its unknowns' share of the noise.
    std::size_t points = 0;
    for (const BoardView& view : exact)
        points += view.seen.size();
    const double left = 1 - (10 + 6.0 * 6) / (2.0 * static_cast<double>(points));
    CHECK(std::sqrt(variance) == Approx(kNoise * std::sqrt(left)).epsilon(0.01));
}

TEST_CASE("what goes into a calibration of the camera is what the lens's covariance says") {
    const auto views = [](const Lens& lens) {
        std::vector<BoardView> out = seen_by(lens, stands());
        std::mt19937_64 engine(7);
        std::normal_distribution<double> noise(0, 0.2);
        for (BoardView& view : out)
            for (Pixel& at : view.seen)
                at = {at.x + noise(engine), at.y + noise(engine)};
        return out;
    };
    Lens lens = phone();
    lens.k2 = lens.k3 = lens.p1 = lens.p2 = 0;
    const auto one = measure_lens(views(lens), 960, 540, {Bending::k1, false, false});
    REQUIRE(one);
    CHECK(one->standard().k1 == Approx(one->standard(5)));
    CHECK(one->standard().focal == Approx(one->standard(0) / one->lens.fx));
    CHECK(one->standard().principal == std::max(one->standard(2), one->standard(3)));
    CHECK(one->standard(6) == 0);
    // Terms that make up for each other are known worse each than what they do together.
    const auto all = measure_lens(views(lens), 960, 540, {Bending::all_five, false, false});
    REQUIRE(all);
    CHECK(all->standard().k1 < all->standard(5));
    CHECK(all->standard().k1 > one->standard().k1);
    // 'one focal length' means that both are the same unknown.
    CHECK(one->lens.fx == one->lens.fy);
    CHECK(one->covariance[0] == one->covariance[11]);
    CHECK(one->covariance[0] == one->covariance[1]);
    CHECK(one->redundancy == static_cast<int>(2 *
                                              [&] {
                                                  std::size_t points = 0;
                                                  for (const auto& residuals : one->residuals)
                                                      points += residuals.size();
                                                  return points;
                                              }()) -
                                 4 - 36);
}

TEST_CASE("a view whose board was bent is named and the others are not") {
    std::vector<BoardView> views = seen_by(phone(), stands());
    std::mt19937_64 engine(3);
    std::normal_distribution<double> noise(0, 0.2);
    for (BoardView& view : views)
        for (Pixel& at : view.seen)
            at = {at.x + noise(engine), at.y + noise(engine)};
    const auto straight = measure_lens(views, 960, 540, {Bending::k1_k2, false, false});
    REQUIRE(straight);
    CHECK(straight->suspects.empty());
    views[3].seen.clear();
    for (Vec3 place : views[3].places) {
        place.z = 0.5 * std::pow(place.x - 0.12, 2);  // some 7 mm at its ends
        const auto at = project({phone(), stands()[3]}, place);
        REQUIRE(at);
        views[3].seen.push_back({at->x + noise(engine), at->y + noise(engine)});
    }
    const auto found = measure_lens(views, 960, 540, {Bending::k1_k2, false, false});
    REQUIRE(found);
    CHECK(found->suspects == std::vector<std::size_t>{3});
    CHECK(found->view_rms[3] > found->rms);
}

TEST_CASE("corners of the picture that no board reached are told") {
    const Board small{5, 4, 0.03};
    std::vector<BoardView> views = seen_by(
        phone(), {standing(small, 0.2, 0, 0, 0.4, -0.4, -0.2), standing(small, 0.2, 0, 0, 0.4)}, small);
    CHECK(bare_corners(views, 960, 540) == std::vector<PictureCorner>{PictureCorner::upper_right,
                                                                      PictureCorner::lower_left,
                                                                      PictureCorner::lower_right});
    CHECK(bare_corners({}, 960, 540).size() == 4);
    const std::vector<BoardView> all = seen_by(phone(), stands());
    const auto found = measure_lens(all, 960, 540, {});
    REQUIRE(found);
    CHECK(found->bare == bare_corners(all, 960, 540));
}

TEST_CASE("views that cannot tell the lens are refused with the reason") {
    const std::vector<BoardView> good = seen_by(phone(), stands());
    CHECK(reason({good[0], good[1]}).find("A lens needs 3 pictures of the board at least") == 0);
    CHECK(reason(good) == "found");

    // The same slant, near and far, left and right, with noise and without.
    std::vector<Pose> same;
    for (const double right : {-0.2, 0.0, 0.2})
        for (const double away : {0.45, 0.6})
            same.push_back(standing(kBoard, 0, 0, 0.2 * right, away, right, right / 3));
    std::vector<BoardView> parallel = seen_by(phone(), same);
    CHECK(reason(parallel).find("All pictures show the board at the same slant") == 0);
    std::mt19937_64 engine(11);
    std::normal_distribution<double> noise(0, 0.3);
    for (BoardView& view : parallel)
        for (Pixel& at : view.seen)
            at = {at.x + noise(engine), at.y + noise(engine)};
    CHECK(reason(parallel).find("All pictures show the board at the same slant") == 0);

    const Board tiny{9, 6, 0.006};
    CHECK(reason(seen_by(phone(), stands(tiny), tiny)).find("The board is small in every picture") == 0);

    std::vector<BoardView> other = good;
    std::reverse(other[2].places.begin(), other[2].places.begin() + 20);
    CHECK(reason(other).find("'board-3' fits worst") != std::string::npos);

    std::vector<BoardView> fewer = good;
    fewer[1].seen.pop_back();
    CHECK(reason(fewer) == "In 'board-2' places and pixels do not go together.");
    fewer[1].places.resize(3);
    fewer[1].seen.resize(3);
    CHECK(reason(fewer) == "In 'board-2' there are fewer than four points of the board.");
    std::vector<BoardView> line = good;
    line[0].places.resize(6);
    line[0].seen.resize(6);
    CHECK(reason(line) == "In 'board-1' all points of the board lie on one line.");
    std::vector<BoardView> bent = good;
    bent[5].places[10].z = 0.002;
    CHECK(reason(bent).find("In 'board-6' the points do not lie on a plane") == 0);
    CHECK_FALSE(measure_lens(good, 0, 540, {}));
}

TEST_CASE("measuring a lens is stopped when that is asked for") {
    std::stop_source stopping;
    stopping.request_stop();
    const auto found = measure_lens(seen_by(phone(), stands()), 960, 540, {}, stopping.get_token());
    REQUIRE_FALSE(found);
    CHECK(found.error().category == base::Category::cancelled);
    CHECK(found.error().text() == "Measuring the lens was stopped.");
}

TEST_CASE("a board that is nearly square on begins with the wrong slant and ends with the right one") {
    // Where the board is seen nearly square on its two slants look alike until the lens is known.
    const Lens lens = phone();
    std::vector<Pose> poses;
    for (int i = 0; i < 8; ++i)
        poses.push_back(standing(kBoard, 0.12, 0.8 * i, 0.3 * i, 0.6, 0.1 * (i % 3 - 1), 0.05 * (i % 2)));
    poses.push_back(standing(kBoard, 0.7, kRight / 2, 0, 0.5));
    poses.push_back(standing(kBoard, 0.7, 3 * kRight / 2, 0, 0.5));
    const auto found = measure_lens(seen_by(lens, poses), 960, 540, {Bending::all_five, false, false});
    REQUIRE(found);
    CHECK(found->lens.fx == Approx(800).margin(1e-4));
    for (std::size_t v = 0; v < poses.size(); ++v)
        CHECK(length(centre({lens, found->poses[v]}) - centre({lens, poses[v]})) < 1e-6);
}
