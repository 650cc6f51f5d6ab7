// Lenses, planes and uncertainties against what was published of them; the sources stand beside each check.
#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <memory>
#include <string>

#include "media/frame_reader.h"
#include "media/frame_table.h"
#include "media/picture.h"
#include "sight/chessboard.h"
#include "sight/internal/least_squares.h"
#include "sight/internal/lens_corners.h"
#include "sight/lens.h"
#include "sight/uncertain.h"
#include "support/test_places.h"

using namespace plumbmark;
using namespace plumbmark::sight;
namespace fs = std::filesystem;

namespace {

const fs::path kShared = test::shared_folder();

bool is_here(const fs::path& folder) {
    if (fs::exists(folder)) return true;
    std::cout << "skipped: " << folder.filename().string() << " is not beside the project\n";
    return false;
}

// Z. Zhang, 'A flexible new technique for camera calibration' (MSR-TR-98-71, 1998; IEEE PAMI 22(11), 2000),
// with its results file; lengths in inches. His pixels are used as they are on both sides: where the first
// pixel's middle lies moves the principal point alone.
const Lens kZhang{640, 480, 832.5, 832.53, 303.959, 206.585, 0.204494, -0.228601, 0.190353};
const std::array<Pose, 3> kZhangViews{
    Pose{{{{.992759, -.026319, .117201}, {.0139247, .994339, .105341}, {-.11931, -.102947, .987505}}},
         {-3.84019, 3.65164, 12.791}},
    Pose{{{{.997397, -.00482564, .0719419}, {.0175608, .983971, -.17746}, {-.0699324, .178262, .981495}}},
         {-3.71693, 3.76928, 13.1974}},
    Pose{{{{.915213, -.0356648, .401389}, {-.00807547, .994252, .106756}, {-.402889, -.100946, .909665}}},
         {-2.94409, 3.77653, 14.2456}}};

std::vector<Pixel> pairs(const fs::path& file) {
    std::ifstream in(file);
    std::vector<Pixel> out;
    for (Pixel at; in >> at.x >> at.y;)
        out.push_back(at);
    return out;
}

std::vector<BoardView> zhang_views(const fs::path& folder) {
    std::vector<BoardView> views;
    for (const char* name : {"data1.txt", "data2.txt", "data3.txt"}) {
        BoardView view{name, {}, pairs(folder / name)};
        for (const Pixel& at : pairs(folder / "Model.txt"))
            view.places.push_back({at.x, at.y, 0});
        REQUIRE(view.places.size() == 256);
        REQUIRE(view.seen.size() == 256);
        views.push_back(std::move(view));
    }
    return views;
}

double squares(const BoardView& view, const Camera& camera) {
    double sum = 0;
    for (std::size_t i = 0; i < view.places.size(); ++i) {
        const auto at = project(camera, view.places[i]);
        REQUIRE(at);
        sum += std::pow(at->x - view.seen[i].x, 2) + std::pow(at->y - view.seen[i].y, 2);
    }
    return sum;
}

/// As a pinhole: what a plane and a picture without distortion do.
Camera undistorted(std::size_t view) {
    Camera camera{kZhang, kZhangViews[view]};
    camera.lens.k1 = camera.lens.k2 = 0;
    return camera;
}

/// The place on the board that is seen at a pixel.
Model onto_board(const Camera& camera) {
    return [camera](const std::vector<double>& x) -> std::optional<std::vector<double>> {
        const auto ray = ray_through(camera, {x[0], x[1]});
        if (!ray || ray->direction.z == 0) return std::nullopt;
        const double along = -ray->start.z / ray->direction.z;
        return std::vector<double>{ray->start.x + along * ray->direction.x,
                                   ray->start.y + along * ray->direction.y};
    };
}

struct Grey {
    int width = 0, height = 0;
    std::vector<std::uint8_t> pixels;
    [[nodiscard]] GreyPicture picture() const { return {pixels.data(), width, height, width}; }
};

Grey grey_picture(const fs::path& file) {
    auto table = media::scan_clip(file);
    REQUIRE(table);
    auto reader =
        media::FrameReader::open(file, std::make_shared<const media::FrameTable>(std::move(*table)));
    REQUIRE(reader);
    auto picture = reader->read(0);
    REQUIRE(picture);
    media::RgbaImage image = media::to_rgba(**picture);
    return {image.width, image.height, grey_of({image.pixels.data(), image.width, image.height})};
}

std::vector<fs::path> jpegs(const fs::path& folder) {
    std::vector<fs::path> out;
    for (const auto& entry : fs::directory_iterator(folder))
        if (entry.path().extension() == ".jpg") out.push_back(entry.path());
    std::sort(out.begin(), out.end());
    return out;
}

struct Taken {
    int width = 0, height = 0;
    std::vector<BoardView> views;
};

Taken taken(const fs::path& folder, const Board& board) {
    Taken out;
    for (const fs::path& file : jpegs(folder)) {
        const Grey picture = grey_picture(file);
        const auto found = find_board(picture.picture(), board);
        INFO(file.filename().string() << ": " << (found ? "" : found.error().text()));
        REQUIRE(found);
        out.views.push_back({file.stem().string(), places_of(board), *found});
        out.width = picture.width;
        out.height = picture.height;
    }
    return out;
}

void say(const std::string& of, const MeasuredLens& found) {
    const Lens& lens = found.lens;
    std::cout << of << ": rms " << found.rms << " px; f " << lens.fx << " +- " << found.standard(0) << ", c "
              << lens.cx << " +- " << found.standard(2) << ", " << lens.cy << " +- " << found.standard(3)
              << "; k1 " << lens.k1 << " +- " << found.standard(5) << ", k2 " << lens.k2 << " +- "
              << found.standard(6) << ", p1 " << lens.p1 << ", p2 " << lens.p2 << ", k3 " << lens.k3 << '\n';
}

}  // namespace

TEST_CASE("published poses see a published board with the published errors from the published places") {
    if (!is_here(kShared / "checks/calibration")) return;
    const std::vector<BoardView> views = zhang_views(kShared / "checks/calibration");
    // Errors and centres recomputed from the published parameters (published.md, 5.1).
    const double errors[]{.3474, .2314, .5400};
    const Vec3 centres[]{
        {5.2876, -2.4152, -12.5658}, {4.5640, -6.0794, -12.0169}, {8.4644, -2.4218, -12.1802}};
    for (std::size_t v = 0; v < 3; ++v) {
        const Camera camera{kZhang, kZhangViews[v]};
        CHECK(std::sqrt(squares(views[v], camera) / 256) == Approx(errors[v]).margin(.001));
        CHECK(length(centre(camera) - centres[v]) < 2e-4);
    }
    const Camera first{kZhang, kZhangViews[0]};
    const auto at = project(first, {0, -0.5, 0}), other = project(first, {6.22222, -6.22222, 0});
    REQUIRE(at);
    REQUIRE(other);
    CHECK(std::hypot(at->x - 63.4392, at->y - 405.5768) == Approx(.6145).margin(2e-4));
    CHECK(std::hypot(other->x - 465.3894, other->y - 48.3074) == Approx(.2480).margin(2e-4));
}

TEST_CASE("a plane's published homography is followed both ways with its published uncertainty") {
    const auto seen = project(undistorted(0), {3, -3, 0}), second = project(undistorted(1), {3, -3, 0});
    REQUIRE(seen);
    REQUIRE(second);
    CHECK(seen->x == Approx(252.815526).margin(2e-4));
    CHECK(seen->y == Approx(253.000871).margin(2e-4));
    CHECK(second->x == Approx(256.490602).margin(2e-4));
    CHECK(second->y == Approx(264.751938).margin(2e-4));
    // The homography itself: the columns are where the board's directions vanish and its origin.
    const double scale = -.009328, down = -.008048;
    const auto origin = project(undistorted(0), {0, 0, 0});
    REQUIRE(origin);
    CHECK(origin->x == Approx(54.079285).margin(2e-5));
    CHECK(origin->y == Approx(444.259916).margin(2e-5));
    const auto far = project(undistorted(0), {-1e9, 0, 0}), low = project(undistorted(0), {0, -1e9, 0});
    REQUIRE(far);
    REQUIRE(low);
    CHECK(far->x == Approx(61.778545 / scale).epsilon(1e-4));
    CHECK(far->y == Approx(-1.020634 / scale).epsilon(1e-4));
    CHECK(low->x == Approx(-4.143452 / down).epsilon(1e-4));
    CHECK(low->y == Approx(63.056035 / down).epsilon(1e-4));

    // One pixel of independent noise along x and y.
    const Quantities pixel{{{320, 1}, {240, 1}}, {}};
    const auto law = first_order(onto_board(undistorted(0)), pixel);
    REQUIRE(law);
    CHECK(law->values[0] == Approx(4.028111).margin(2e-6));
    CHECK(law->values[1] == Approx(-3.218553).margin(2e-6));
    CHECK(law->standard(0) == Approx(.015258).margin(1e-6));
    CHECK(law->standard(1) == Approx(.015204).margin(1e-6));
    CHECK(law->sensitivity[0] == Approx(.0152537).margin(1e-7));
    CHECK(law->sensitivity[2] == Approx(.0003680).margin(1e-7));
    CHECK(law->sensitivity[1] == Approx(-.0002859).margin(1e-7));
    CHECK(law->sensitivity[3] == Approx(.0152011).margin(1e-7));
    const Drawn drawn = draw(onto_board(undistorted(0)), pixel, 200'000, 11);
    for (std::size_t k = 0; k < 2; ++k) {
        CHECK(drawn.standard(k) == Approx(law->standard(k)).epsilon(.01));
        CHECK(drawn.mean(k) == Approx(law->values[k]).margin(4 * law->standard(k) / std::sqrt(200'000.0)));
        CHECK(agree(*law, drawn, k, 0.95));
    }
    const auto other = first_order(onto_board(undistorted(1)), pixel);
    REQUIRE(other);
    CHECK(other->values[0] == Approx(3.947983).margin(2e-6));
    CHECK(other->values[1] == Approx(-3.398788).margin(2e-6));
}

TEST_CASE("three published views are fitted no worse than published and to the published focal lengths") {
    if (!is_here(kShared / "checks/calibration")) return;
    const std::vector<BoardView> views = zhang_views(kShared / "checks/calibration");
    const auto found = measure_lens(views, 640, 480, {Bending::k1_k2, true, true});
    INFO((found ? "" : found.error().text()));
    REQUIRE(found);
    say("Zhang's views 1 to 3", *found);
    // The published parameters are the best for five views: over these three they leave .3936.
    double published = 0;
    for (std::size_t v = 0; v < 3; ++v)
        published += squares(views[v], {kZhang, kZhangViews[v]});
    published = std::sqrt(published / 768);
    CHECK(published == Approx(.3936).margin(.0005));
    CHECK(found->rms <= .395);
    CHECK(found->rms < published);
    CHECK(found->lens.fx == Approx(832.5).epsilon(.005));
    CHECK(found->lens.fy == Approx(832.53).epsilon(.005));
    CHECK(found->redundancy == 2 * 768 - 7 - 18);
    for (std::size_t v = 0; v < 3; ++v)
        CHECK(length(centre({found->lens, found->poses[v]}) - centre({kZhang, kZhangViews[v]})) < 0.1);
}

TEST_CASE(
    "a reference library finds the same lens in published views and its deviations are ours but for a "
    "factor") {
    if (!is_here(kShared / "checks/calibration")) return;
    const auto found =
        measure_lens(zhang_views(kShared / "checks/calibration"), 640, 480, {Bending::k1_k2, true, false});
    REQUIRE(found);
    // OpenCV 4.6's calibrateCamera on the same points, which it takes as floats, with CALIB_FIX_K3 and
    // CALIB_ZERO_TANGENT_DIST, until 1e-13.
    CHECK(found->rms == Approx(.394335276).epsilon(1e-6));
    CHECK(found->lens.fx == Approx(830.078855).margin(.001));
    CHECK(found->lens.fy == Approx(829.951499).margin(.001));
    CHECK(found->lens.cx == Approx(306.223586).margin(.001));
    CHECK(found->lens.cy == Approx(205.748901).margin(.001));
    CHECK(found->lens.k1 == Approx(-.2283879).margin(1e-5));
    CHECK(found->lens.k2 == Approx(.1951609).margin(1e-5));
    // It divides the sum of the squares by points less unknowns, where there are two equations for each
    // point.
    const double too_large = std::sqrt((2 * 768.0 - 24) / (768.0 - 24));
    const std::pair<std::size_t, double> deviations[]{{0, 2.868136}, {1, 2.918036},    {2, 2.02241},
                                                      {3, 1.28273},  {5, 0.008320664}, {6, 0.04802666}};
    for (const auto& [number, deviation] : deviations)
        CHECK(deviation / found->standard(number) == Approx(too_large).epsilon(1e-4));
}

namespace {

// OpenCV's sample set of a 9 x 6 board, with the result that its own sample program wrote beside it
// (left_intrinsics.yml; quoted in OpenCV's tutorial on camera calibration). OpenCV's first pixel has its
// middle at 0.
const Lens kLeft{640,
                 480,
                 535.91573396163199,
                 535.91573396163199,
                 342.28315473308373,
                 235.57082909788173,
                 0,
                 -.26637260909660682,
                 -.038588898922304653,
                 .0017831947042852964,
                 -.00028122100441115472,
                 .23839153080878486};
const std::array<double, 13> kLeftErrors{.192965463, 1.18204820, .173180386, .193417311, .159574091,
                                         .179683909, .230989486, .241952404, .296267658, .167184874,
                                         .202002615, .381039530, .174401343};
const Board kLeftBoard{9, 6, 0.025};
constexpr LensForm kLeftForm{Bending::all_five, false, false};

/// The published way: OpenCV's older finder, then the gradients in windows of 23 pixels.
std::vector<BoardView> left_as_published(const fs::path& folder) {
    std::vector<BoardView> views;
    for (const fs::path& file : jpegs(folder)) {
        const Grey picture = grey_picture(file);
        const auto grid = by_quads(picture.picture(), kLeftBoard);
        REQUIRE(grid);
        views.push_back(
            {file.stem().string(), places_of(kLeftBoard), refined(picture.picture(), *grid, 11).at});
    }
    return views;
}

/// How far apart two lenses see the same directions at most, in pixels, at this distance from the middle (in
/// focal lengths). A turn of the camera would make up for some of it.
double apart(const Lens& one, const Lens& other, double reach) {
    double most = 0;
    for (int i = 0; i < 24; ++i) {
        const double angle = 6.283185307 * i / 24;
        const Vec3 at{reach * std::cos(angle), reach * std::sin(angle), 1};
        const auto a = project({one, {}}, at), b = project({other, {}}, at);
        if (a && b) most = std::max(most, std::hypot(a->x - b->x, a->y - b->y));
    }
    return most;
}

}  // namespace

TEST_CASE("a published lens projects as it was published to do") {
    // published.md, 5.2; these numbers are in OpenCV's own pixels on both sides.
    const std::pair<Vec3, Pixel> published[]{{{.5, .3, 1}, {587.448430, 383.025657}},
                                             {{-.4, -.25, 1}, {140.577886, 109.738625}},
                                             {{.1, .1, 1}, {395.601581, 288.911382}}};
    for (const auto& [place, pixel] : published) {
        const auto at = project({kLeft, {}}, place);
        REQUIRE(at);
        CHECK(at->x == Approx(pixel.x).margin(1e-6));
        CHECK(at->y == Approx(pixel.y).margin(1e-6));
    }
}

TEST_CASE("a published lens comes out of the pictures that it was measured with") {
    const fs::path folder = kShared / "clips/geometry/chessboard-left";
    if (!is_here(folder)) return;
    std::vector<BoardView> views = left_as_published(folder);
    REQUIRE(views.size() == 13);
    const auto found = measure_lens(views, 640, 480, kLeftForm);
    REQUIRE(found);
    say("left set, windows of 23 pixels", *found);
    CHECK(found->lens.fx == Approx(kLeft.fx).margin(.3));
    CHECK(found->lens.cx - .5 == Approx(kLeft.cx).margin(.3));
    CHECK(found->lens.cy - .5 == Approx(kLeft.cy).margin(.3));
    CHECK(found->lens.k1 == Approx(kLeft.k1).margin(.003));
    CHECK(found->lens.k2 == Approx(kLeft.k2).margin(.02));
    CHECK(found->lens.p1 == Approx(kLeft.p1).margin(.0002));
    CHECK(found->lens.p2 == Approx(kLeft.p2).margin(.0002));
    CHECK(found->lens.k3 == Approx(kLeft.k3).margin(.05));
    // The mean error was published as .39259; it is dominated by one view.
    CHECK(found->rms == Approx(.39259).margin(.03));
    for (std::size_t v = 0; v < 13; ++v) {
        INFO(views[v].name);
        CHECK(found->view_rms[v] == Approx(kLeftErrors[v]).margin(.09));
    }
    // That view is named. There such windows reach over the next corners, of which some are 23 pixels away.
    REQUIRE_FALSE(found->suspects.empty());
    CHECK(views[found->suspects.front()].name == "left02");
}

TEST_CASE("corners that are found anew fit a published set twice as well as the published ones") {
    const fs::path folder = kShared / "clips/geometry/chessboard-left";
    if (!is_here(folder)) return;
    const Taken set = taken(folder, kLeftBoard);
    const auto found = measure_lens(set.views, 640, 480, kLeftForm);
    REQUIRE(found);
    say("left set, own corners", *found);
    CHECK(found->rms < .2);
    CHECK(found->suspects.empty());
    CHECK(found->bare.empty());
    // The published focal length rests on the corners of two views that are off by more than a pixel. Without
    // these the published way comes to the same as ours with all of them.
    std::vector<BoardView> without = left_as_published(folder);
    std::erase_if(without,
                  [](const BoardView& view) { return view.name == "left02" || view.name == "left13"; });
    const auto cleaned = measure_lens(without, 640, 480, kLeftForm);
    REQUIRE(cleaned);
    say("left set, windows of 23 pixels, without left02 and left13", *cleaned);
    for (const std::size_t i : {0U, 2U, 3U}) {
        const double ours[]{found->lens.fx, 0, found->lens.cx, found->lens.cy};
        const double theirs[]{cleaned->lens.fx, 0, cleaned->lens.cx, cleaned->lens.cy};
        CHECK(std::abs(ours[i] - theirs[i]) < 3 * std::hypot(found->standard(i), cleaned->standard(i)));
    }
    CHECK(std::abs(cleaned->lens.fx - found->lens.fx) < std::abs(cleaned->lens.fx - kLeft.fx));
    CHECK(found->lens.fx == Approx(kLeft.fx).margin(4));
    CHECK(apart(found->lens, kLeft, .4) < 4);
}

TEST_CASE("a gym camera's board gives nearly the focal length and distortion that its system wrote down") {
    const fs::path folder = kShared / "clips/motion/gym-four-cameras";
    if (!is_here(folder)) return;
    const Board board{7, 4, 0.06};
    const Taken set = taken(folder, board);
    REQUIRE(set.views.size() == 7);
    CHECK(set.width == 1088);
    CHECK(set.height == 1920);
    const auto found = measure_lens(set.views, set.width, set.height, {Bending::k1_k2_p1_p2, true, false});
    REQUIRE(found);
    say("gym, camera 1", *found);
    CHECK(found->rms < .2);
    CHECK(found->suspects.empty());
    // Calib.qca.txt, cam01, whose numbers are in 1/64 of a pixel; without standard deviations.
    constexpr double kUnit = 64;
    const Lens written{1088,
                       1920,
                       107599.671875 / kUnit,
                       107588.828125 / kUnit,
                       34110.316406 / kUnit,
                       60680.792969 / kUnit,
                       0,
                       -.046183,
                       .139983,
                       .000608,
                       .00069,
                       0};
    std::cout << "written down: f " << written.fx << ", c " << written.cx << ", " << written.cy << '\n';
    CHECK(found->lens.fx == Approx(written.fx).epsilon(.006));
    CHECK(found->lens.fy == Approx(written.fy).epsilon(.006));
    CHECK(std::abs(found->lens.k1 - written.k1) < 3 * found->standard(5));
    // k1 and k2 make up for each other; what they do together agrees as far out as the boards reach.
    const auto radial = [](const Lens& lens, double r) {
        return r * r * r * (lens.k1 + lens.k2 * r * r) * lens.fx;
    };
    for (const double r : {.1, .2, .3, .4}) {
        INFO("r " << r);
        CHECK(std::abs(radial(found->lens, r) - radial(written, r)) < 1);
    }
    // The principal point is not the same: off by some 28 and 14 pixels, where these pictures tell it to 2.
    // The file does not say with which pictures its values were measured, and decentring makes up for some of
    // it.
    CHECK(std::abs(found->lens.cx - written.cx) < .03 * 1088);
    CHECK(std::abs(found->lens.cy - written.cy) < .03 * 1088);
}

TEST_CASE("a thermometer's published calibration line comes out with its published uncertainties") {
    // JCGM 100:2008, H.3; more digits recomputed from its data (published.md, 4).
    const std::array<double, 11> t{21.521, 22.012, 22.512, 23.003, 23.507, 23.999,
                                   24.513, 25.002, 25.503, 26.010, 26.511};
    const std::array<double, 11> b{-.171, -.169, -.166, -.159, -.164, -.165,
                                   -.156, -.157, -.159, -.161, -.160};
    Problem line;
    line.unknowns = 2;
    line.equations = 11;
    line.residuals = [&](const std::vector<double>& y, std::vector<double>& out, Dense* jacobian) {
        for (std::size_t k = 0; k < t.size(); ++k) {
            out[k] = y[0] + y[1] * (t[k] - 20) - b[k];
            if (jacobian == nullptr) continue;
            jacobian->at(static_cast<int>(k), 0) = 1;
            jacobian->at(static_cast<int>(k), 1) = t[k] - 20;
        }
        return true;
    };
    const Settled at = settle(line, {0, 0});
    CHECK(at.still);
    const double variance = at.sum / 9;
    const Known known = sight::known(at.jacobian);
    const double u1 = std::sqrt(variance * known.covariance.at(0, 0)),
                 u2 = std::sqrt(variance * known.covariance.at(1, 1)),
                 both = variance * known.covariance.at(0, 1);
    CHECK(at.x[0] == Approx(-.1712038).margin(5e-8));
    CHECK(u1 == Approx(.0028776).margin(5e-8));
    CHECK(at.x[1] == Approx(.00218270).margin(5e-9));
    CHECK(u2 == Approx(.00066794).margin(5e-9));
    CHECK(both / (u1 * u2) == Approx(-.93043).margin(5e-6));
    CHECK(std::sqrt(variance) == Approx(.0035).margin(.00005));

    const Model at_30 = [](const std::vector<double>& y) -> std::optional<std::vector<double>> {
        return std::vector<double>{y[0] + y[1] * 10};
    };
    const Quantities together{{{at.x[0], u1}, {at.x[1], u2}}, {0, both, both, 0}};
    const auto law = first_order(at_30, together);
    REQUIRE(law);
    CHECK(law->values[0] == Approx(-.1493768).margin(5e-8));
    CHECK(law->standard(0) == Approx(.0041386).margin(5e-8));
    const Drawn drawn = draw(at_30, together, 200'000, 3);
    CHECK(drawn.standard(0) == Approx(.0041386).epsilon(.01));
    CHECK(agree(*law, drawn, 0, 0.95));
    // Who forgets that the two go together states nearly twice as much.
    const auto apart = first_order(at_30, {together.each, {}});
    REQUIRE(apart);
    CHECK(apart->standard(0) == Approx(.0073).margin(.00005));
    CHECK_FALSE(agree(*apart, drawn, 0, 0.95));
}

TEST_CASE("what may be accepted wrongly is drawn as often as the guide on conformity says") {
    // JCGM 106:2012, 9.5.4: deviations spread as a gamma distribution of shape 4 and scale 1/4, which is the
    // sum of four exponential ones; at most 2 is allowed; measured with a standard uncertainty of 0.25.
    constexpr double kLimit = 2, kGuarded = 1.6718;
    const Model model = [](const std::vector<double>& x) -> std::optional<std::vector<double>> {
        double deviation = 0;
        for (std::size_t i = 0; i < 4; ++i) {
            if (!(x[i] > 0)) return std::nullopt;
            deviation -= std::log(x[i]) / 4;
        }
        const double measured = deviation + x[4];
        const bool wrong = deviation > kLimit;
        return std::vector<double>{deviation, wrong && measured <= kLimit ? 1.0 : 0.0,
                                   wrong && measured <= kGuarded ? 1.0 : 0.0};
    };
    const Quantity even = within(.5, .5);
    constexpr int kDraws = 400'000;
    const Drawn drawn = draw(model, {{even, even, even, even, {0, .25}}, {}}, kDraws, 6);
    const auto margin = [](double share) { return 4 * std::sqrt(share * (1 - share) / kDraws); };
    CHECK(1 - drawn.below(0, kLimit) == Approx(.042380).margin(margin(.042380)));
    CHECK(1 - drawn.below(1, .5) == Approx(.008019).margin(margin(.008019)));
    CHECK(1 - drawn.below(2, .5) == Approx(.001).margin(margin(.001)));
    CHECK(drawn.mean(0) == Approx(1).margin(4 * .5 / std::sqrt(1.0 * kDraws)));

    // And of a normal one, Phi((limit - y) / u), and the guard band of 1.645 u for 95 % on one side.
    const Model itself = [](const std::vector<double>& x) -> std::optional<std::vector<double>> { return x; };
    const Drawn clear = draw(itself, {{{.9, .1}}, {}}, 200'000, 8),
                over = draw(itself, {{{1.2, .1}}, {}}, 200'000, 9);
    CHECK(clear.below(0, 1) == Approx(.841345).margin(.0033));
    CHECK(over.below(0, 1) == Approx(.022750).margin(.0014));
    CHECK(coverage_factor(.90) == Approx(1.645).margin(.0005));
}
