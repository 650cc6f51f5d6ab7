// Row delays from flashes, against cameras whose every row is exposed here by its own moment: what a row
// holds is the share of the flash that falls into its exposure, so the truth is known. (No published worked
// example of the method is known; the geometry is that of C. Geyer, M. Meingast, S. Sastry, 'Geometric Models
// of Rolling-Shutter Cameras', 2005: rows are read one after the other at a constant pace.)
#include "sight/flash_rows.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace plumbmark::sight;

namespace {

enum class Lamp { short_pulse, decaying };

struct FilmedFlash {
    double at = 0;       ///< seconds from the first frame's first row
    double length = 0;   ///< of a pulse; a decaying one falls to 1/e in it
    double light = 0.3;  ///< of what makes white, linear
    Lamp lamp = Lamp::short_pulse;
};

struct Filmed {
    int height = 1080;
    double interval = 1.0 / 60, row_delay = 15e-6, exposure = 1.0 / 250;
    int frames = 40;
    std::vector<FilmedFlash> flashes;
    double noise = 0.15;  ///< code values, of a part of a row
    double slope = 0;     ///< the background's light changes by this share from the first row to the last
    double uneven = 0;    ///< how uneven the flash lights, 0 to 1
    double texture = 0;   ///< of rows, a standard deviation as a share
    double drift = 0;     ///< of the code values, a frame
    bool curved = true;   ///< code values of the light to the power of 1/2.2, else linear
    unsigned seed = 1;
    /// Rows before this one show something far away, which gives back 'far' of the flash.
    int far_until = 0;
    double far = 1;
    /// Adds to the light of a part of a row in a frame, for what is no flash.
    std::function<double(int frame, int row, int part)> other = nullptr;
};

/// The share of a flash between two moments.
double share(const FilmedFlash& flash, double from, double to) {
    const auto until = [&](double t) {
        if (t <= flash.at) return 0.0;
        if (flash.lamp == Lamp::decaying) return 1 - std::exp(-(t - flash.at) / flash.length);
        return flash.length > 0 ? std::min(1.0, (t - flash.at) / flash.length) : 1.0;
    };
    return until(to) - until(from);
}

std::vector<Flash> found_in(const Filmed& filmed) {
    std::mt19937 random(filmed.seed);
    std::normal_distribution<double> normal;
    std::vector<double> texture(static_cast<std::size_t>(filmed.height));
    for (std::size_t r = 0; r < texture.size(); ++r)  // surfaces some rows high
        texture[r] = r % 24 == 0 ? std::max(0.3, 1 + filmed.texture * normal(random)) : texture[r - 1];
    FlashSearch search(filmed.height);
    for (int k = 0; k < filmed.frames; ++k) {
        RowLight light;
        for (int r = 0; r < filmed.height; ++r) {
            const double read = k * filmed.interval + r * filmed.row_delay;
            const double down = static_cast<double>(r) / filmed.height - 0.5;
            double flashed = 0;
            for (const FilmedFlash& flash : filmed.flashes)
                flashed += flash.light * share(flash, read - filmed.exposure, read);
            if (r < filmed.far_until) flashed *= filmed.far;
            for (int p = 0; p < kRowParts; ++p) {
                const double across = (p + 0.5) / kRowParts - 0.5;
                const double surface = texture[static_cast<std::size_t>(r)];
                double lit = 0.12 * surface * (1 + filmed.slope * down);
                lit += flashed * surface * (1 + filmed.uneven * (1.2 * down + across));
                if (filmed.other) lit += filmed.other(k, r, p);
                lit = std::min(lit, 1.0);
                const double code = 255 * (filmed.curved ? std::pow(lit, 1 / 2.2) : lit);
                light.push_back(
                    static_cast<float>(code * (1 + filmed.drift * k) + filmed.noise * normal(random)));
            }
        }
        search.add(std::move(light));
    }
    return search.finish();
}

RowDelayOutcome outcome_of(const Filmed& filmed) {
    return row_delay_of_flashes(
        found_in(filmed),
        [&](std::int64_t) {
            return FrameInterval{filmed.interval, 0};
        },
        filmed.height);
}

/// When a flash has to come so that the first row that it lights is this one of frame k; beyond the height
/// less what the exposure lights it goes on in the next frame where that is exposed already.
double lights_from(const Filmed& filmed, int k, double row) {
    return k * filmed.interval + row * filmed.row_delay;
}

/// Whether the light of a flash can fall into two frames, and into one alone.
bool can_tell(const Filmed& filmed) {
    const double read = filmed.height * filmed.row_delay;
    return filmed.exposure < 0.8 * read && filmed.exposure + read > filmed.interval * 1.1;
}

/// Two flashes within a frame and two across two frames.
void add_flashes(Filmed& filmed, double length, Lamp lamp) {
    const double lit = filmed.exposure / filmed.row_delay, all = filmed.interval / filmed.row_delay;
    const double room = filmed.height - lit, shared = filmed.height + lit - all;
    for (const auto& [k, row] :
         {std::pair{8, room * 0.5}, std::pair{14, room * 0.62}, std::pair{20, filmed.height - shared * 0.5},
          std::pair{27, filmed.height - shared * 0.62}})
        filmed.flashes.push_back({lights_from(filmed, k, row), length, 0.3, lamp});
}

/// The range holds the truth, and is narrower than a tenth of it; from so many flashes of each kind.
void check_range(const Filmed& filmed, const RowDelayOutcome& outcome, int each) {
    INFO("row delay " << filmed.row_delay << ", exposure " << filmed.exposure << ", interval "
                      << filmed.interval << ", height " << filmed.height << ", seed " << filmed.seed);
    INFO("why " << static_cast<int>(outcome.why) << ", within " << outcome.within << ", across "
                << outcome.across << ", rows " << outcome.fewest << " to " << outcome.most);
    REQUIRE(outcome.delay);
    CHECK(outcome.within == each);
    CHECK(outcome.across == each);
    CHECK(outcome.delay->least <= filmed.row_delay);
    CHECK(outcome.delay->most >= filmed.row_delay);
    CHECK(outcome.delay->most - outcome.delay->least < 0.1 * filmed.row_delay);
}

void check(const Filmed& filmed) {
    check_range(filmed, outcome_of(filmed), 2);
}

/// Row delays, exposures and rates that phones have.
std::vector<Filmed> cameras() {
    std::vector<Filmed> all;
    unsigned seed = 1;
    for (const double rate : {24.0, 30.0, 60.0, 120.0})
        for (const int height : {720, 1080, 2160})
            for (const double reads : {0.6, 0.75, 0.97})  // of the frame interval
                for (const double exposed : {0.15, 0.3, 0.5}) {
                    Filmed filmed;
                    filmed.height = height;
                    filmed.interval = 1 / rate;
                    filmed.row_delay = reads / rate / height;
                    filmed.exposure = exposed / rate;
                    filmed.seed = seed++;
                    if (can_tell(filmed)) all.push_back(filmed);
                }
    return all;
}

int of_kind(const std::vector<Flash>& flashes, FlashKind kind) {
    return static_cast<int>(std::count_if(flashes.begin(), flashes.end(),
                                          [&](const Flash& flash) { return flash.kind == kind; }));
}

}  // namespace

TEST_CASE("the row delay of many cameras lies in the range that two kinds of flashes give") {
    const std::vector<Filmed> all = cameras();
    CHECK(all.size() > 40);
    for (Filmed filmed : all) {
        add_flashes(filmed, 0, Lamp::short_pulse);
        check(filmed);
    }
}

TEST_CASE("the range holds the truth where light is uneven and the background slopes and exposure drifts") {
    for (Filmed filmed : cameras()) {
        if (filmed.height != 1080) continue;
        filmed.noise = 0.6;
        filmed.slope = 0.8;
        filmed.uneven = 0.5;
        filmed.texture = 0.15;
        filmed.drift = 0.001;
        add_flashes(filmed, 0.02 * filmed.row_delay * filmed.height, Lamp::short_pulse);
        check(filmed);
    }
}

TEST_CASE("a flash that dies away slowly lights as many rows as the exposure holds") {
    for (const bool curved : {false, true})
        for (Filmed filmed : cameras()) {
            if (filmed.height != 1080) continue;
            filmed.curved = curved;
            add_flashes(filmed, 0.01 * filmed.row_delay * filmed.height, Lamp::decaying);
            check(filmed);
        }
}

TEST_CASE("a band's rows are those that the flash lit") {
    Filmed filmed;  // 1/250 s at 15 us a row: 266.7 rows
    filmed.noise = 0.05;
    filmed.flashes = {{lights_from(filmed, 10, 300.5)}, {lights_from(filmed, 20, 900.5)}};
    const std::vector<Flash> flashes = found_in(filmed);
    REQUIRE(flashes.size() == 2);
    CHECK(flashes[0].frame == 10);
    CHECK(flashes[0].kind == FlashKind::within);
    CHECK(flashes[0].first.at == Approx(301).margin(1));
    CHECK(flashes[0].last.at == Approx(567.2).margin(1));
    CHECK(flashes[0].rows_off() < 3);
    CHECK(flashes[1].frame == 20);
    CHECK(flashes[1].frames == 2);
    CHECK(flashes[1].kind == FlashKind::across);
    CHECK(flashes[1].first.at == Approx(901).margin(1));
    // 900.5 rows and 266.7 later, less the interval's 1111.1.
    CHECK(flashes[1].last.at == Approx(56.1).margin(1));
    CHECK(flashes[1].rows() == Approx(1111.1 - 266.7).margin(2));
}

TEST_CASE("a light that goes on or off or stays for some frames is no flash") {
    Filmed filmed;
    const auto lamp = [&](double on, double off) {
        return [&filmed, on, off](int k, int r, int) {
            const double read = k * filmed.interval + r * filmed.row_delay;
            const double lit = std::min(read, off) - std::max(read - filmed.exposure, on);
            return 0.3 * std::max(0.0, lit) / filmed.exposure;
        };
    };
    filmed.other = lamp(0.301, 99);
    CHECK(found_in(filmed).empty());
    filmed.other = lamp(-1, 0.301);
    CHECK(found_in(filmed).empty());
    filmed.other = lamp(0.301, 0.301 + 2.5 * filmed.interval);
    const std::vector<Flash> lasting = found_in(filmed);
    REQUIRE(lasting.size() == 1);
    CHECK(lasting.front().kind == FlashKind::lasting);
    CHECK(outcome_of(filmed).why == NoRowDelay::no_flash);
    filmed.other = lamp(0.301, 0.301 + 8 * filmed.interval);
    CHECK(of_kind(found_in(filmed), FlashKind::within) + of_kind(found_in(filmed), FlashKind::across) == 0);
}

TEST_CASE("what moves through the picture is no flash") {
    Filmed filmed;
    // A white shirt, 150 rows high and less than a quarter of the width, that is in one frame alone.
    filmed.other = [](int k, int r, int p) {
        return k == 15 && r > 400 && r < 550 && (p == 3 || p == 4) ? 0.6 : 0.0;
    };
    CHECK(found_in(filmed).empty());
    // One over the whole width (close to the camera) that falls by 100 rows a frame.
    filmed.other = [](int k, int r, int) {
        const int top = (k - 10) * 100;
        return r >= top && r < top + 150 ? 0.6 : 0.0;
    };
    CHECK(found_in(filmed).empty());
    filmed.other = [](int k, int r, int) {
        const int top = (k - 10) * 220;
        return r >= top && r < top + 200 ? 0.6 : 0.0;
    };
    CHECK(found_in(filmed).empty());
}

TEST_CASE("people who move while it flashes do not hide the flash") {
    Filmed filmed;
    filmed.flashes = {{lights_from(filmed, 10, 300)}, {lights_from(filmed, 20, 960)}};
    // An eighth of the width, as bright as the flash, falling or climbing by some rows in every frame.
    filmed.other = [](int k, int r, int p) {
        const int top = 60 + k * 23, other = 900 - k * 17;
        return (p == 2 && r >= top && r < top + 90) || (p == 5 && r >= other && r < other + 60) ? 0.3 : 0.0;
    };
    check_range(filmed, outcome_of(filmed), 1);
}

TEST_CASE("a cut between scenes is no flash and neither is the flicker of lamps") {
    Filmed filmed;
    filmed.other = [](int k, int r, int) {
        return k >= 16 ? 0.3 * std::abs(std::sin(r / 90.0)) : 0.2 * (r > 500 ? 1 : 0);
    };
    CHECK(found_in(filmed).empty());
    // Lamps on 50 Hz mains are brightest a hundred times a second, and their bands wander.
    filmed.other = [&](int k, int r, int) {
        const double read = k * filmed.interval + r * filmed.row_delay;
        return 0.1 * (1 + std::sin(2 * M_PI * 100 * read));
    };
    CHECK(of_kind(found_in(filmed), FlashKind::within) + of_kind(found_in(filmed), FlashKind::across) == 0);
}

TEST_CASE("it is said which flash is missing and that the exposure changed") {
    Filmed filmed;
    CHECK(outcome_of(filmed).why == NoRowDelay::no_flash);
    filmed.flashes = {{lights_from(filmed, 10, 300)}};
    CHECK(outcome_of(filmed).why == NoRowDelay::none_across);
    filmed.flashes = {{lights_from(filmed, 10, 960)}};
    CHECK(outcome_of(filmed).why == NoRowDelay::none_within);
    // Read at once: every row of a frame is lit.
    Filmed whole = filmed;
    whole.row_delay = 1e-9;
    whole.exposure = 0.01;
    whole.flashes = {{10 * whole.interval - 0.003}};
    CHECK(outcome_of(whole).why == NoRowDelay::all_whole);
    // Two clips' flashes as if they were of one exposure.
    Filmed brighter = filmed;
    brighter.exposure = 1.0 / 400;
    filmed.flashes = {{lights_from(filmed, 10, 300)}, {lights_from(filmed, 20, 960)}};
    brighter.flashes = {{lights_from(brighter, 10, 300)}};
    std::vector<Flash> flashes = found_in(filmed);
    flashes.push_back(found_in(brighter).front());
    const auto known = [&](std::int64_t) { return FrameInterval{filmed.interval, 0}; };
    const RowDelayOutcome differ = row_delay_of_flashes(flashes, known, filmed.height);
    CHECK(differ.why == NoRowDelay::bands_differ);
    CHECK(differ.fewest == Approx(166.7).margin(2));
    CHECK(differ.most == Approx(266.7).margin(2));
    flashes.pop_back();
    CHECK(row_delay_of_flashes(flashes, known, filmed.height).delay);
    CHECK(row_delay_of_flashes(
              flashes, [](std::int64_t) { return std::nullopt; }, filmed.height)
              .why == NoRowDelay::time_unknown);
    CHECK(row_delay_of_flashes(flashes, known, 4000).why == NoRowDelay::not_one_camera);
}

TEST_CASE("a band whose rest falls between two frames is not used") {
    Filmed filmed;
    filmed.row_delay = 8e-6;  // read in 8.6 ms of 16.7, exposed for 4
    filmed.flashes = {{lights_from(filmed, 10, 900)}, {lights_from(filmed, 20, 300)}};
    const std::vector<Flash> flashes = found_in(filmed);
    REQUIRE(flashes.size() == 2);
    CHECK(flashes[0].kind == FlashKind::cut);
    CHECK(flashes[1].kind == FlashKind::within);
    CHECK(outcome_of(filmed).why == NoRowDelay::none_across);
}

TEST_CASE("a band that ends in rows which give little of its light back is not measured wrongly") {
    Filmed filmed;
    filmed.noise = 0.05;
    filmed.flashes = {{lights_from(filmed, 10, 300)}};
    filmed.far_until = 400;
    int measured = 0, unclear = 0;
    for (const double far : {1.0, 0.5, 0.25, 0.12, 0.06, 0.03, 0.02, 0.015, 0.01}) {
        filmed.far = far;
        INFO(far);
        const std::vector<Flash> flashes = found_in(filmed);
        REQUIRE(flashes.size() == 1);
        unclear += flashes[0].kind == FlashKind::unclear ? 1 : 0;
        if (flashes[0].kind == FlashKind::unclear) continue;
        ++measured;
        REQUIRE(flashes[0].kind == FlashKind::within);
        CHECK(std::abs(flashes[0].first.at - 300) < flashes[0].first.off + 1);
        CHECK(std::abs(flashes[0].last.at - 567) < flashes[0].last.off + 1);
    }
    CHECK(measured >= 3);
    CHECK(unclear >= 2);
}

TEST_CASE("an interval that is known within bounds makes the range as much wider") {
    Filmed filmed;
    filmed.flashes = {{lights_from(filmed, 10, 300)}, {lights_from(filmed, 20, 960)}};
    const std::vector<Flash> flashes = found_in(filmed);
    const auto range = [&](double off) {
        return *row_delay_of_flashes(
                    flashes,
                    [&](std::int64_t) {
                        return FrameInterval{filmed.interval, off};
                    },
                    filmed.height)
                    .delay;
    };
    const RowDelay exact = range(0), wide = range(0.01 * filmed.interval);
    CHECK(wide.least == Approx(0.99 * exact.least));
    CHECK(wide.most == Approx(1.01 * exact.most));
}

TEST_CASE("frames that cannot be read and frames of another size are left out") {
    FlashSearch search(100);
    for (int k = 0; k < 30; ++k) {
        RowLight light(100 * kRowParts, 60.0F);
        for (std::size_t r = 30; r < 60; ++r)
            for (std::size_t p = 0; p < kRowParts; ++p)
                light[r * kRowParts + p] += k == 12 ? 80.0F : 0.0F;
        if (k == 9) light.clear();
        if (k == 15) light.resize(50);
        search.add(std::move(light));
    }
    const std::vector<Flash> flashes = search.finish(1000);
    REQUIRE(flashes.size() == 1);
    CHECK(flashes.front().frame == 1012);
    CHECK(flashes.front().kind == FlashKind::within);
    CHECK(flashes.front().first.at == Approx(30));
    CHECK(flashes.front().last.at == Approx(60));
    CHECK(flashes.front().strength == Approx(80));
}
