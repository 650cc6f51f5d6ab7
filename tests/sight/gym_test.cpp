// Real calibrated footage: four cameras around one board, with what somebody read in their pictures
// (gym_readings.h). What is checked against: the tape's lengths, the lens that was published with the
// footage, and the cameras against each other. docs/real-footage-planes.md has the figures;
// test-sight "[gym-figures]" prints them.
#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>

#include "gym_answers.h"
#include "support/sanitized.h"

using namespace plumbmark;
using namespace plumbmark::gym;
using namespace plumbmark::sight;

TEST_CASE("a clip that was narrowed and given bars is no clip of its lens") {
    const auto cameras = published();
    if (!cameras) return;
    const Lens& lens = (*cameras)[0].lens;
    // 1088 : 1080 and 1920 : 1920 are 0.7 % apart, so that the lens is refused rather than stretched.
    CHECK_FALSE(rescaled(lens, 1080, 1920));
    // What was done to it is the same field of view in 1080 x 1906.
    REQUIRE(rescaled(lens, 1080, 1906));
    const Picture& clip = pictures()[0];
    Sightings stretched = sightings_of(clip, lens);
    stretched.width = 1080;
    CHECK_FALSE(calibrate(stretched));

    // The still is not narrowed. Its camera stands where the clip's does.
    const CalibratedCamera still = own_camera(pictures()[4], *cameras), right = own_camera(clip, *cameras);
    const Vec3 off = centre(still.camera) - centre(right.camera);
    const Vec3 one = still.centre_standard(), other = right.centre_standard();
    CHECK(std::abs(off.x) < 3 * std::hypot(one.x, other.x));
    CHECK(std::abs(off.y) < 3 * std::hypot(one.y, other.y));
    CHECK(std::abs(off.z) < 3 * std::hypot(one.z, other.z));

    // With the still's camera the clip's marks on the deck lie elsewhere, as they are on other pixels.
    const Level deck{-0.016, 0.005, {}};
    double largest = 0;
    for (const Thing& mark : deck_marks()) {
        const Pointing at{mark.seen[0].at, kDeckStandard, {}};
        const auto with_still = on_level(still, at, deck), with_clip = on_level(right, at, deck);
        REQUIRE(with_still);
        REQUIRE(with_clip);
        largest = std::max(largest, length(with_still->position.at - with_clip->position.at));
    }
    CHECK(largest > 0.010);
    CHECK(largest < 0.030);
}

TEST_CASE("four real cameras are placed by one board and agree with the published lens") {
    const auto cameras = published();
    if (!cameras) return;
    for (const Picture& picture : pictures()) {
        const CalibratedCamera found = own_camera(picture, *cameras);
        INFO(picture.name << ": rms " << found.rms << ", strain " << found.strain);
        CHECK(found.suspects.empty());
        CHECK(found.rms < 1.2);
        CHECK(found.redundancy > 0);
        CHECK(found.strain * found.redundancy < chi_square_quantile(0.999, found.redundancy));
        const Vec3 standard = found.centre_standard();
        CHECK(length(standard) < 0.05);
        // Nothing is mirrored or turned about: within 15 cm of where it was published to stand.
        CHECK(length(centre(found.camera) - centre((*cameras)[picture.camera])) < 0.15);

        // Of the lens nothing is known but its shape.
        const Lens lens = lens_of(picture, *cameras);
        Sightings blind = sightings_of(picture, lens);
        blind.knowledge = LensKnowledge::focal_length;
        const auto guessed = calibrate(blind);
        if (picture.camera == 1) {
            // With one corner hidden, and seen along the board, it cannot tell; it says so.
            REQUIRE_FALSE(guessed);
            CHECK(guessed.error().category == base::Category::bad_input);
            continue;
        }
        REQUIRE(guessed);
        INFO("focal length " << guessed->camera.lens.fx << " +- " << guessed->focal_standard());
        CHECK(std::abs(guessed->camera.lens.fx - lens.fx) < 3 * guessed->focal_standard());
        CHECK(guessed->focal_standard() < 0.1 * lens.fx);
    }
}

TEST_CASE("distances and angles between the real cameras are as published within what the board tells") {
    const auto cameras = published();
    if (!cameras) return;
    const auto own = own_cameras(*cameras);
    for (std::size_t i = 0; i < kClips; ++i)
        for (std::size_t j = i + 1; j < kClips; ++j) {
            const Worth metres = worth_of(own[i], own[j], apart);
            const Worth degrees = worth_of(own[i], own[j], between_looks);
            INFO("cameras " << i + 1 << " and " << j + 1);
            CHECK(metres.standard < 0.06);
            CHECK(std::abs(metres.value - apart((*cameras)[i], (*cameras)[j])) < 3 * metres.standard);
            CHECK(degrees.standard < 1);
            CHECK(std::abs(degrees.value - between_looks((*cameras)[i], (*cameras)[j])) <
                  3 * degrees.standard);
        }
}

TEST_CASE("places that no camera was told are found by pairs where the tape has them") {
    const auto cameras = published();
    if (!cameras) return;
    const Share share = left_out(*cameras, nullptr);
    INFO(share);
    CHECK(share.all >= 15);
    CHECK(share.within >= 0.85 * share.all);
    CHECK(share.chi < chi_square_quantile(0.999, share.degrees));
}

TEST_CASE("markers on skin and marks on the deck meet in all pairs of cameras placed by the board") {
    const auto cameras = published();
    if (!cameras) return;
    const Misses own = misses_of(own_cameras(*cameras));
    INFO(own.share);
    CHECK(own.share.all == 46);
    CHECK(own.meet == own.share.all);
    CHECK(own.share.within >= 0.9 * own.share.all);
    CHECK(own.largest < 0.015);

    if (test::kSanitized) return;  // the same once more

    // The published positions do not belong to these pictures: at their word lines of sight pass each other
    // by up to 5 cm, and that is said.
    const Misses said = misses_of(at_their_word(*cameras));
    CHECK(said.share.within < 0.1 * said.share.all);
    CHECK(said.meet < 0.4 * said.share.all);
    CHECK(said.largest > 0.03);
}

TEST_CASE("markers on two different feet do not meet but where they lie on one line of sight by chance") {
    const auto cameras = published();
    if (!cameras) return;
    const TwoFeet feet = two_feet(own_cameras(*cameras));
    CHECK(feet.pairs == 22);
    // Two of them do, both of cameras 1 and 4: somewhere else than on either foot.
    CHECK(feet.meet <= 2);
    CHECK(feet.nearest > 0.05);
}

TEST_CASE("a contact is at one place whichever camera sees it on its level and for pairs without a level") {
    const auto cameras = published();
    if (!cameras) return;
    const Contacts found = contacts_of(own_cameras(*cameras), nullptr);
    for (const Share* share : {&found.single, &found.planes, &found.pairs}) {
        INFO(*share);
        CHECK(share->all == 20);
        CHECK(share->within >= 0.85 * share->all);
        CHECK(share->chi < chi_square_quantile(0.999, share->degrees));
    }
}

TEST_CASE("a touch and a lift read in four synchronous clips leave one instant") {
    CHECK(overlap(kRightLeaves));
    CHECK(overlap(kRightComes));
    // A clip that ran four frames later would be found out.
    for (std::size_t i = 0; i < kClips; ++i) {
        auto leaves = kRightLeaves, comes = kRightComes;
        leaves[i] = {leaves[i].early + 4, leaves[i].late + 4};
        comes[i] = {comes[i].early + 4, comes[i].late + 4};
        CHECK_FALSE((overlap(leaves) && overlap(comes)));
    }
}

TEST_CASE("a marker on a swinging foot tells that two real clips run together") {
    const auto cameras = published();
    if (!cameras) return;
    const auto own = own_cameras(*cameras);
    const auto together = swing_met(own, 0, 0), before = swing_met(own, -1, 0), later = swing_met(own, 1, 0);
    for (const Meeting& one : together)
        CHECK(one.meets);
    CHECK(std::abs(frames_off(before, together, later)) < 0.25);
    // A frame off the misses are larger, and are no surprise to somebody who knows of the frame.
    for (const int by : {-1, 1}) {
        const auto& off = by < 0 ? before : later;
        const auto known = swing_met(own, by, 1);
        for (std::size_t i = 0; i < off.size(); ++i) {
            CHECK(off[i].miss_normalised > together[i].miss_normalised);
            CHECK(known[i].miss_normalised < off[i].miss_normalised);
            CHECK(known[i].meets);
        }
    }
}

TEST_CASE("a real foot crosses a plane when two cameras say and within what each alone leaves") {
    const auto cameras = published();
    if (!cameras) return;
    const auto own = own_cameras(*cameras);
    const Crossing both = crossed(own, kClips);
    CHECK(both.smooth);
    CHECK_FALSE(both.outside);
    CHECK(both.left_open == 0);
    CHECK(both.speed > 1);
    CHECK(both.speed < 4);
    CHECK(both.standard < 1 / kFrameRate);
    for (const std::size_t camera : {2U, 3U}) {
        const Crossing alone = crossed(own, camera);
        INFO("camera " << camera + 1 << ": " << alone.best * kFrameRate << ", left open "
                       << alone.left_open * kFrameRate << " frames");
        CHECK(alone.left_open > 0);
        CHECK(alone.sure.high - alone.sure.low > both.sure.high - both.sure.low);
        CHECK(alone.likely.low < both.best);
        CHECK(both.best < alone.likely.high);
        CHECK(meets(alone.likely, both.likely));
    }
    // Were the ankle anywhere up to the knee, one end of what camera 4 leaves open would not cross at all.
    CrossingQuestion wide = ankle_crossing(3, 0, 1);
    wide.space.lowest = 0.05;
    wide.space.highest = 0.35;
    const auto too_wide = crossing(own[3], wide);
    REQUIRE_FALSE(too_wide);
    CHECK(too_wide.error().category == base::Category::bad_input);
    // Every other frame, and those left out: they share no pointing.
    const Crossing even = crossed(own, kClips, 0, 2), odd = crossed(own, kClips, 1, 2);
    CHECK(std::abs(even.best - odd.best) < 2 * std::hypot(even.standard, odd.standard));
    CHECK(meets(even.likely, both.likely));
    CHECK(meets(odd.likely, both.likely));
}

namespace {

void say_cameras(const std::array<Camera, 4>& cameras, const std::vector<CalibratedCamera>& own) {
    std::ostream& out = std::cout;
    for (std::size_t i = 0; i < pictures().size(); ++i) {
        const Picture& picture = pictures()[i];
        const CalibratedCamera found = i < kClips ? own[i] : own_camera(picture, cameras);
        const Vec3 at = centre(found.camera), by = found.centre_standard();
        const Lens lens = lens_of(picture, cameras);
        Sightings blind = sightings_of(picture, lens);
        blind.knowledge = LensKnowledge::focal_length;
        const auto guessed = calibrate(blind);
        out << picture.name << ": rms " << found.rms << " px, strain " << found.strain << " of "
            << found.redundancy << "; at " << at.x << ", " << at.y << ", " << at.z << " +- " << by.x << ", "
            << by.y << ", " << by.z << "; focal length published " << lens.fx << ", found blindly ";
        if (guessed)
            out << guessed->camera.lens.fx << " +- " << guessed->focal_standard() << '\n';
        else
            out << "refused\n";
    }
    for (std::size_t i = 0; i < kClips; ++i)
        for (std::size_t j = i + 1; j < kClips; ++j) {
            const Worth metres = worth_of(own[i], own[j], apart);
            const Worth degrees = worth_of(own[i], own[j], between_looks);
            out << "cameras " << i + 1 << " and " << j + 1 << ": apart " << metres.value << " +- "
                << metres.standard << " m, published " << apart(cameras[i], cameras[j])
                << "; between their looks " << degrees.value << " +- " << degrees.standard
                << " degrees, published " << between_looks(cameras[i], cameras[j]) << '\n';
        }
}

/// The board by the published cameras at their word: where its places lie, and which lengths come out.
void say_published(const std::array<Camera, 4>& cameras) {
    std::ostream& out = std::cout;
    const auto said = at_their_word(cameras);
    for (std::size_t i = 0; i < kClips; ++i)
        for (std::size_t j = i + 1; j < kClips; ++j) {
            std::array<std::optional<Vec3>, 8> at;
            Vec3 shift;
            int count = 0;
            double miss = 0;
            for (const SeenPlace& one : pictures()[i].points)
                for (const SeenPlace& other : pictures()[j].points) {
                    if (one.place != other.place) continue;
                    const auto meeting = seen_by_two(said[i], {one.at, one.standard, {}}, said[j],
                                                     {other.at, other.standard, {}});
                    if (!meeting) continue;
                    at[one.place] = meeting->position.at;
                    shift = shift + (meeting->position.at - board()[one.place].at);
                    miss = std::max(miss, std::abs(meeting->miss));
                    ++count;
                }
            out << "published cameras " << i + 1 << " and " << j + 1 << ": board shifted by "
                << 1000 * shift.x / count << ", " << 1000 * shift.y / count << ", " << 1000 * shift.z / count
                << " mm over " << count << " places, lines of sight miss by up to " << 1000 * miss << " mm;";
            for (const auto& [a, b] : {std::pair{front_right, back_right},
                                       {front_left, back_left},
                                       {front_right, front_left},
                                       {back_right, back_left}})
                if (at[a] && at[b]) out << ' ' << length(*at[a] - *at[b]);
            out << " m\n";
        }
}

void say_trap(const std::array<Camera, 4>& cameras) {
    const CalibratedCamera still = own_camera(pictures()[4], cameras),
                           clip = own_camera(pictures()[0], cameras);
    for (const Thing& mark : deck_marks()) {
        const Level deck{-0.016, 0.005, {}};
        const auto a = on_level(still, {mark.seen[0].at, kDeckStandard, {}}, deck);
        const auto b = on_level(clip, {mark.seen[0].at, kDeckStandard, {}}, deck);
        REQUIRE(a);
        REQUIRE(b);
        std::cout << "narrowed clip taken for the still, deck mark " << mark.name << ": off by "
                  << 1000 * length(a->position.at - b->position.at) << " mm\n";
    }
}

}  // namespace

TEST_CASE("the gym take's figures", "[.][gym-figures]") {
    const auto cameras = published();
    if (!cameras) return;
    const auto own = own_cameras(*cameras);
    say_cameras(*cameras, own);
    say_published(*cameras);
    say_trap(*cameras);
    std::cout << "left out: " << left_out(*cameras, &std::cout) << '\n';
    for (const auto& [name, misses] :
         {std::pair{"own", misses_of(own)}, {"published", misses_of(at_their_word(*cameras))}})
        std::cout << "misses, " << name << ": " << misses.share << "; " << misses.meet << " meet; largest "
                  << 1000 * misses.largest << " mm\n";
    const Contacts found = contacts_of(own, &std::cout);
    std::cout << "contacts and deck marks, level against level: " << found.single
              << "\n  past the plane: " << found.planes << "\n  height by the pair: " << found.pairs << '\n';
    std::cout << "fourth clip off by "
              << frames_off(swing_met(own, -1, 0), swing_met(own, 0, 0), swing_met(own, 1, 0)) << " frames\n";
    for (const int by : {-1, 0, 1}) {
        std::cout << "  normalised misses with the fourth clip " << by << " frames later:";
        for (const Meeting& one : swing_met(own, by, 0))
            std::cout << ' ' << one.miss_normalised;
        std::cout << '\n';
    }
    const TwoFeet feet = two_feet(own);
    std::cout << "two feet: " << feet.meet << " of " << feet.pairs
              << " pairs meet, not nearer to either than " << 1000 * feet.nearest << " mm\n";
    for (const std::size_t camera : {2U, 3U, 4U}) {
        const Crossing one = crossed(own, camera);
        std::cout << (camera == kClips ? "cameras 3 and 4"
                      : camera == 2    ? "camera 3"
                                       : "camera 4")
                  << ": crosses at frame " << one.best * kFrameRate << ", likely "
                  << one.likely.low * kFrameRate << " to " << one.likely.high * kFrameRate << ", standard "
                  << one.standard * kFrameRate << ", left open " << one.left_open * kFrameRate << ", "
                  << one.speed << " m/s, roughness " << one.roughness << '\n';
    }
    for (const std::size_t from : {0U, 1U}) {
        const Crossing one = crossed(own, kClips, from, 2);
        std::cout << "every other frame: " << one.best * kFrameRate << " +- " << one.standard * kFrameRate
                  << '\n';
    }
}
