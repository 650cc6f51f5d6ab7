// Where things are that were pointed at: against geometry by hand, against brute-force simulation, and a
// published example.
#include "sight/measure.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <opencv2/core.hpp>

#include "sight/internal/basis.h"
#include "sight/internal/dlt.h"
#include "sight_hall.h"
#include "support/sanitized.h"
#include "support/test_places.h"

using namespace plumbmark;
using namespace plumbmark::sight;
using namespace plumbmark::test;

namespace {

// Over the coil deck's front edge, x = 3; past it is on the deck.
UprightPlane front_edge() {
    UprightPlane plane;
    plane.ends = {{{3, 0, 0, {}}, {3, 1.2, 0, {}}}};
    plane.past_is_left = false;
    return plane;
}

const Level kCoilDeck{0.5, 0, {}};

/// A matrix whose last element is 1, as programs of this kind print it.
Matrix34 scaled_to_last(Matrix34 matrix) {
    const double last = matrix[2][3];
    for (auto& row : matrix)
        for (double& one : row)
            one /= last;
    return matrix;
}

/// The notebook's way to bring coordinates to like sizes: less their means, over the standard deviation of
/// all of them together.
cv::Mat printed_similarity(const cv::Mat& points) {
    cv::Mat middle;
    cv::reduce(points, middle, 0, cv::REDUCE_AVG);
    cv::Scalar mean, spread;
    cv::meanStdDev(points.reshape(1, 1), mean, spread);
    cv::Mat back = cv::Mat::eye(points.cols + 1, points.cols + 1, CV_64F);
    for (int i = 0; i < points.cols; ++i) {
        back.at<double>(i, i) = spread[0];
        back.at<double>(i, points.cols) = middle.at<double>(i);
    }
    return back.inv();
}

Matrix34 as_printed(const std::vector<Vec3>& places, const std::vector<Pixel>& seen) {
    const int n = static_cast<int>(places.size());
    cv::Mat space(n, 3, CV_64F), picture(n, 2, CV_64F), rows = cv::Mat::zeros(2 * n, 12, CV_64F);
    for (int i = 0; i < n; ++i) {
        const auto k = static_cast<std::size_t>(i);
        cv::Mat(cv::Matx13d(places[k].x, places[k].y, places[k].z)).copyTo(space.row(i));
        cv::Mat(cv::Matx12d(seen[k].x, seen[k].y)).copyTo(picture.row(i));
    }
    const cv::Mat in_space = printed_similarity(space), in_picture = printed_similarity(picture);
    for (int i = 0; i < n; ++i) {
        const auto k = static_cast<std::size_t>(i);
        const cv::Mat at = in_space * cv::Mat(cv::Matx41d(places[k].x, places[k].y, places[k].z, 1));
        const cv::Mat uv = in_picture * cv::Mat(cv::Matx31d(seen[k].x, seen[k].y, 1));
        for (int c = 0; c < 4; ++c) {
            rows.at<double>(2 * i, c) = rows.at<double>(2 * i + 1, 4 + c) = at.at<double>(c);
            rows.at<double>(2 * i, 8 + c) = -uv.at<double>(0) * at.at<double>(c);
            rows.at<double>(2 * i + 1, 8 + c) = -uv.at<double>(1) * at.at<double>(c);
        }
    }
    cv::Mat least;
    cv::SVD::solveZ(rows, least);
    const cv::Mat matrix = in_picture.inv() * least.reshape(1, 3) * in_space;
    Matrix34 out{};
    for (int r = 0; r < 3; ++r)
        for (int c = 0; c < 4; ++c)
            out[static_cast<std::size_t>(r)][static_cast<std::size_t>(c)] = matrix.at<double>(r, c);
    return scaled_to_last(out);
}

template <class T>
std::string reason(const base::Result<T>& result) {
    return result ? std::string("an answer") : result.error().text();
}

}  // namespace

TEST_CASE("a contact on a level is where its line of sight meets it") {
    const Camera truth = hall_camera({1.5, -6, 2.2});
    const CalibratedCamera camera = exactly(truth);
    for (const Vec3 at : {Vec3{3.1, 0.4, 0.5}, Vec3{2.95, 1, 0.5}, Vec3{4, 0.1, 0.5}}) {
        const UprightPlane plane = front_edge();
        const auto found = on_level(camera, {*project(truth, at), 0.5, {}}, kCoilDeck, &plane);
        REQUIRE(found);
        CHECK(length(found->position.at - at) < 1e-6);
        REQUIRE(found->distance);
        CHECK(found->distance->best.low == Approx(at.x - 3).margin(1e-6));
        CHECK(found->distance->best.low == found->distance->best.high);
        // Half a pixel at 6 m and more through 1500 pixels is 2 mm and more.
        CHECK(found->distance->by_pointing > 0.0015);
        CHECK(std::hypot(found->distance->by_pointing, found->distance->by_standing) ==
              Approx(found->distance->standard));
        const double sine = std::abs(at.x - 1.5) / length(at - Vec3{1.5, -6, 2.2});
        CHECK(found->distance->angle == Approx(std::asin(sine) * 180 / M_PI).margin(1e-4));
    }
    // The other side of the same plane, and its ends changed over, are the other sign each.
    UprightPlane other = front_edge();
    other.past_is_left = true;
    const Pointing pointing{*project(truth, {3.1, 0.4, 0.5}), 0.5, {}};
    CHECK(on_level(camera, pointing, kCoilDeck, &other)->distance->best.low == Approx(-0.1).margin(1e-6));
    std::swap(other.ends[0], other.ends[1]);
    CHECK(on_level(camera, pointing, kCoilDeck, &other)->distance->best.low == Approx(0.1).margin(1e-6));
}

TEST_CASE("a level and a plane that name places are where the places are") {
    const Camera truth = hall_camera({1.5, -6, 2.2});
    const CalibratedCamera camera = exactly(truth);
    UprightPlane plane;
    plane.ends[0].place = 4;  // the coil deck's front corners
    plane.ends[1].place = 7;
    plane.past_is_left = false;
    const auto found =
        on_level(camera, {*project(truth, {3.2, 0.4, 0.5}), 0.5, {}}, {99, 0, {4, 5, 6, 7}}, &plane);
    REQUIRE(found);
    CHECK(found->distance->best.low == Approx(0.2).margin(1e-5));
    CHECK(found->position.at.z == Approx(0.5).margin(1e-5));
}

TEST_CASE("a part in the air is left the range that its line of sight has in the space") {
    const Vec3 eye{1.5, -6, 2.2};
    const Camera truth = hall_camera(eye);
    const Vec3 at{3.05, 0.4, 1.1};
    const Space space{0.7, 1.6, -0.3, 1.5};
    const auto found = in_the_air(exactly(truth), {*project(truth, at), 0.5, {}}, front_edge(), space);
    REQUIRE(found);
    // By hand: the sight is eye + s (at - eye), between y = -0.3 and 1.5 and z = 0.7 and 1.6.
    const Vec3 way = at - eye;
    const double from = std::max((1.6 - eye.z) / way.z, (-0.3 - eye.y) / way.y);
    const double to = std::min((0.7 - eye.z) / way.z, (1.5 - eye.y) / way.y);
    CHECK(found->best.low == Approx(eye.x + from * way.x - 3).margin(1e-6));
    CHECK(found->best.high == Approx(eye.x + to * way.x - 3).margin(1e-6));
    CHECK(found->likely.low < found->best.low);
    CHECK(found->likely.high > found->best.high);
    // From within the plane the range is a point.
    const Camera beside = hall_camera({3, -6, 2.2});
    const auto settled =
        in_the_air(exactly(beside), {*project(beside, {3, 0.4, 1.1}), 0.5, {}}, front_edge(), space);
    REQUIRE(settled);
    CHECK(settled->best.high - settled->best.low < 1e-6);
    CHECK(settled->angle == Approx(0).margin(1e-5));
}

TEST_CASE("two cameras place a point where it is and say how far their sights miss") {
    const Camera one = hall_camera({1.5, -6, 2.2}), two = hall_camera({8, -3, 1.7});
    const Vec3 at{3.05, 0.4, 1.1};
    const UprightPlane plane = front_edge();
    const Pointing first{*project(one, at), 0.5, {}}, second{*project(two, at), 0.5, {}};
    const auto found = seen_by_two(exactly(one), first, exactly(two), second, &plane);
    REQUIRE(found);
    CHECK(length(found->position.at - at) < 1e-6);
    CHECK(found->distance->best.low == Approx(0.05).margin(1e-6));
    CHECK(std::abs(found->miss) < 1e-6);
    CHECK(found->meets);
    const Vec3 u = unit(at - centre(one)), v = unit(at - centre(two));
    CHECK(found->parallax == Approx(std::acos(dot(u, v)) * 180 / M_PI).margin(1e-4));
    // Of another thing, a hand 20 cm above: the sights miss by about that, which is no error of pointing.
    const Pointing hand{*project(two, at + Vec3{0, 0, 0.2}), 0.5, {}};
    const auto apart = seen_by_two(exactly(one), first, exactly(two), hand, &plane);
    REQUIRE(apart);
    CHECK_FALSE(apart->meets);
    CHECK(std::abs(apart->miss) == Approx(0.2).margin(0.05));
    CHECK(apart->miss_normalised > coverage_factor(kSure));
}

TEST_CASE("a tie of two cameras that may be off makes a moving point less certain along its way") {
    const Camera one = hall_camera({1.5, -6, 2.2}), two = hall_camera({8, -3, 1.7});
    const Vec3 at{3.05, 0.4, 1.1};
    const UprightPlane plane = front_edge();
    Pointing first{*project(one, at), 0.5, {}}, second{*project(two, at), 0.5, {}};
    const double still = seen_by_two(exactly(one), first, exactly(two), second, &plane)->distance->standard;
    second.along = {12, 0};
    const auto moving = seen_by_two(exactly(one), first, exactly(two), second, &plane);
    REQUIRE(moving);
    CHECK(moving->distance->standard > 2 * still);
}

TEST_CASE("what cannot be measured is refused with the reason") {
    const Camera truth = hall_camera({1.5, -6, 2.2});
    const CalibratedCamera camera = exactly(truth);
    const Pointing deck{*project(truth, {3.1, 0.4, 0.5}), 0.5, {}};
    UprightPlane plane = front_edge();
    const Space space{0.7, 1.6, -0.3, 1.5};
    // Over the horizon.
    CHECK(reason(on_level(camera, {{960, 10}, 0.5, {}}, kCoilDeck)).find("does not come down") !=
          std::string::npos);
    // A level above the camera.
    CHECK(reason(on_level(camera, deck, {2.5, 0, {}})).find("does not come down") != std::string::npos);
    CHECK(reason(on_level(camera, deck, {0.5, 0, {99}})).find("surface's height names a place") !=
          std::string::npos);
    CHECK(reason(on_level(camera, {{NAN, 10}, 0.5, {}}, kCoilDeck)) == "The point's numbers are none.");
    CHECK(reason(on_level(camera, {{1, 10}, 0, {}}, kCoilDeck)) == "The point's numbers are none.");
    CHECK(
        reason(in_the_air(camera, {{960, 10}, 0.5, {}}, plane, {0.2, 0.4, 0, 1})).find("not in the space") !=
        std::string::npos);
    CHECK(reason(in_the_air(camera, deck, plane, {1, 0.5, 0, 1})).find("has no extent") != std::string::npos);
    plane.ends[1] = {3.005, 0, 0, {}};
    CHECK(reason(in_the_air(camera, deck, plane, space)).find("less than a centimetre apart") !=
          std::string::npos);
    CHECK(reason(on_level(camera, deck, kCoilDeck, &plane)).find("less than a centimetre apart") !=
          std::string::npos);
    plane.ends[1].place = 99;
    CHECK(reason(in_the_air(camera, deck, plane, space)).find("end of the plane names a place") !=
          std::string::npos);
    // The same camera twice: both sights are one.
    CHECK(reason(seen_by_two(camera, deck, camera, deck)).find("nearly along each other") !=
          std::string::npos);
}

TEST_CASE("a camera at nearly the level's height is propagated by draws") {
    // 12 cm above the deck and 6 m off: a pixel is more than 20 cm along the sight, and more behind than
    // before.
    const Vec3 eye{0.5, -6, 0.62};
    const Camera truth = hall_camera(eye, {3, 0.5, 0.6});
    const CalibratedCamera camera = exactly(truth);
    UprightPlane across;  // across the line of sight, so that the error along it shows
    across.ends = {{{0, 0.5, 0, {}}, {5, 0.5, 0, {}}}};
    const Pointing pointing{*project(truth, {2.5, 0.5, 0.5}), 1.0, {}};
    const auto found = on_level(camera, pointing, kCoilDeck, &across);
    REQUIRE(found);
    const Distance& distance = *found->distance;
    CHECK(distance.by_draws);
    CHECK(distance.likely.high - distance.best.high > 1.1 * (distance.best.low - distance.likely.low));
    // By hand: the pixel alone is uncertain, and its row alone matters. The sight's slope is normal, what it
    // meets goes as its inverse: an end of the interval is where the pixel's end lies.
    const auto end_at = [&](double off) {
        const auto sight = ray_through(truth, {pointing.at.x, pointing.at.y + off});
        const double reach = (0.5 - sight->start.z) / sight->direction.z;
        return (sight->start + reach * sight->direction).y - 0.5;
    };
    const double z = coverage_factor(kLikely);
    CHECK(distance.likely.low == Approx(end_at(z)).epsilon(0.03));
    CHECK(distance.likely.high == Approx(end_at(-z)).epsilon(0.03));
    // From above, the law of propagation does.
    const Camera above = hall_camera({2.5, -3, 4});
    const auto plain =
        on_level(exactly(above), {*project(above, {2.5, 0.5, 0.5}), 1.0, {}}, kCoilDeck, &across);
    REQUIRE(plain);
    CHECK_FALSE(plain->distance->by_draws);
}

TEST_CASE("errors of one tape are not taken for errors of two") {
    // Both cameras are calibrated by the same measures, again and again with other errors of the tape; the
    // pointings are nearly exact, so that the tape's errors are what the answers scatter by.
    const Camera cameras[2]{hall_camera({1.5, -6, 2.2}), hall_camera({8, -4, 1.7})};
    const Vec3 at{3.05, 0.4, 1.1};
    UprightPlane plane = front_edge();  // laid by the same tape as well
    plane.ends[0].place = 4;
    plane.ends[1].place = 7;
    Hand hand(5);
    take_draws(1000);
    constexpr int kTimes = test::kSanitized ? 8 : 800;
    constexpr double kTolerance = 0.01;
    double squares = 0, stated = 0, apart = 0;
    for (int n = 0; n < kTimes; ++n) {
        std::vector<KnownPlace> places = deck_corners(kTolerance);
        for (KnownPlace& place : places)
            place.at = place.at + Vec3{hand.even(-kTolerance, kTolerance), hand.even(-kTolerance, kTolerance),
                                       hand.even(-kTolerance, kTolerance)};
        CalibratedCamera found[2];
        Pointing pointings[2];
        for (std::size_t c = 0; c < 2; ++c) {
            Sightings sightings = seen_by(cameras[c], deck_corners(kTolerance), 0.2);
            sightings.places = places;
            for (SeenPlace& one : sightings.points)
                one.at = {one.at.x + hand.normal(0.2), one.at.y + hand.normal(0.2)};
            const auto calibrated = calibrate(sightings);
            REQUIRE(calibrated);
            found[c] = *calibrated;
            const Pixel seen = *project(cameras[c], at);
            pointings[c] = {{seen.x + hand.normal(0.2), seen.y + hand.normal(0.2)}, 0.2, {}};
        }
        const auto meeting = seen_by_two(found[0], pointings[0], found[1], pointings[1], &plane);
        REQUIRE(meeting);
        squares += std::pow(meeting->distance->best.low - 0.05, 2) / kTimes;
        stated += std::pow(meeting->distance->standard, 2) / kTimes;
        for (KnownPlace& place : found[1].places)
            place.name += " by another tape";
        const auto other = seen_by_two(found[0], pointings[0], found[1], pointings[1], &plane);
        REQUIRE(other);
        apart += std::pow(other->distance->standard, 2) / kTimes;
    }
    take_draws(kDraws);
    INFO("scatter " << std::sqrt(squares) << ", stated " << std::sqrt(stated) << ", as of two tapes "
                    << std::sqrt(apart));
    if (test::kSanitized) return;  // so few scatter too much
    // The variance of 800 scatters by the root of 2 / 800, 5 %: three of these.
    CHECK(squares / stated == Approx(1).margin(0.15));
    CHECK(std::abs(apart / stated - 1) > 0.3);
}

TEST_CASE("a word is said only where the interval at 99.9 % allows it") {
    CHECK(side_of({0.001, 0.4}) == Side::past);
    CHECK(side_of({-0.4, -0.001}) == Side::before);
    CHECK(side_of({0, 0.4}) == Side::cannot_tell);
    CHECK(side_of({-0.4, 0}) == Side::cannot_tell);
    CHECK(side_of({-0.009, 0.009}) == Side::on);
    CHECK(side_of({-0.011, 0.009}) == Side::cannot_tell);
    CHECK(side_of({-0.009, 0.011}) == Side::cannot_tell);
    // And so of a contact that comes nearer to the plane.
    const Camera truth = hall_camera({1.5, -6, 2.2});
    const CalibratedCamera camera = exactly(truth);
    const UprightPlane plane = front_edge();
    const auto at = [&](double distance) {
        return *on_level(camera, {*project(truth, {3 + distance, 0.4, 0.5}), 0.5, {}}, kCoilDeck, &plane)
                    ->distance;
    };
    const double standard = at(0.1).standard, limit = coverage_factor(kSure) * standard;
    CHECK(at(1.05 * limit).side == Side::past);
    CHECK(at(0.95 * limit).side != Side::past);
    CHECK(at(-1.05 * limit).side == Side::before);
    CHECK(at(-0.95 * limit).side != Side::before);
}

TEST_CASE("the worked example of two matrices comes out to nine digits") {
    // BMClab, BMC, notebooks/DLT.ipynb: six points of a cube seen by two cameras, and the first one again.
    const auto file = test::shared_folder() / "clips/expected_facts.json";
    if (!std::filesystem::exists(file)) {
        WARN("skipped: the published example is not beside the project");
        return;
    }
    const nlohmann::json facts = nlohmann::json::parse(std::ifstream(file)).at("bmc_dlt");
    std::vector<Vec3> world;
    for (const auto& one : facts.at("world"))
        world.push_back({one[0], one[1], one[2]});
    const auto pixels = [](const nlohmann::json& list) {
        std::vector<Pixel> out;
        for (const auto& one : list)
            out.push_back({one[0], one[1]});
        return out;
    };
    const std::vector<Pixel> seen[2]{pixels(facts.at("cam1")), pixels(facts.at("cam2"))};
    const std::vector<Pixel> query = pixels(facts.at("query"));
    const Vec3 expected{facts.at("expected_xyz")[0], facts.at("expected_xyz")[1],
                        facts.at("expected_xyz")[2]};
    // The place that the notebook's own matrices see, to all the digits it prints.
    const auto printed =
        meeting_point(as_printed(world, seen[0]), query[0], as_printed(world, seen[1]), query[1]);
    REQUIRE(printed);
    CHECK(printed->x == Approx(expected.x).margin(0.6e-9));
    CHECK(printed->y == Approx(expected.y).margin(0.6e-9));
    CHECK(printed->z == Approx(expected.z).margin(0.6e-5));
    // Our matrices are of other sizes beforehand (Hartley's), which weighs these six points, none of them
    // exact, a little differently: a tenth of a micrometre, in the notebook's millimetres.
    const auto first = projection_matrix(world, seen[0]), second = projection_matrix(world, seen[1]);
    REQUIRE(first);
    REQUIRE(second);
    const auto own = meeting_point(scaled_to_last(*first), query[0], scaled_to_last(*second), query[1]);
    REQUIRE(own);
    CHECK(length(*own - expected) < 2e-4);
}
