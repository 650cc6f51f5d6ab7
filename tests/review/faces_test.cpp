// Who may be shown follows from the consent of every athlete whose run holds a clip.
#include "review/faces.h"

#include <catch2/catch.hpp>
#include <tuple>

#include "support/drawn_face.h"

using namespace plumbmark;

namespace {

/// A meet with two athletes and a clip each, and one clip that both of their runs hold.
meet::State two_athletes(meet::Consent one, meet::Consent other) {
    meet::State state;
    meet::Change change{"two athletes", {}, 0};
    meet::Athlete first{{1}, "17", "", "", ""}, second{{2}, "4", "", "", ""};
    first.consent = one;
    second.consent = other;
    change.edits.push_back({std::nullopt, first});
    change.edits.push_back({std::nullopt, second});
    for (std::int64_t id = 1; id <= 3; ++id) {
        meet::Clip clip;
        clip.id = {id};
        clip.name = "camera " + std::to_string(id);
        clip.fingerprint = std::string(64, static_cast<char>('0' + id));
        change.edits.push_back({std::nullopt, clip});
    }
    for (std::int64_t id = 1; id <= 2; ++id) {
        meet::Run run;
        run.id = {id};
        run.label = "run " + std::to_string(id);
        run.athlete = {id};
        run.clips = {{id}, {3}};
        change.edits.push_back({std::nullopt, run});
    }
    const auto applied = state.apply(change);
    REQUIRE(applied.ok());
    return state;
}

/// With the middle of clip 1 covered by hand on frames 10 to 20.
meet::State covered(meet::State state) {
    meet::Cover cover;
    cover.id = {1};
    cover.clip = {1};
    cover.first = {10, 100};
    cover.last = {20, 200};
    cover.box = {0.25, 0.25, 0.5, 0.5};
    REQUIRE(state.apply({"cover a place", {{std::nullopt, cover}}, 0}).ok());
    return state;
}

/// An athlete's face, as large as 'half', at the place that was pointed at, once it is hidden.
struct Hidden {
    media::RgbaImage before, after;
    std::string sentence;
};

Hidden hidden_at_the_spot(const meet::State& state, int half) {
    Hidden made{test::drawn_face(640, 480, 320, 240, half), {}, {}};
    made.after = made.before;
    review::FaceHider hider(state);
    REQUIRE(hider.hide({1}, {{&made.after, 15, std::nullopt, review::PointedAt{{320, 240}, 48}}}, true).ok());
    made.sentence = hider.sentence();
    return made;
}

using enum meet::Consent;

}  // namespace

TEST_CASE("a clip shows faces only where every athlete of its runs has given consent") {
    const meet::ClipId own{1}, others{2}, shared{3};
    const meet::State both = two_athletes(given, given);
    CHECK(review::may_show_faces(both, own));
    CHECK(review::may_show_faces(both, shared));
    for (const meet::Consent without : {unknown, refused}) {
        const meet::State one = two_athletes(given, without);
        CHECK(review::may_show_faces(one, own));
        CHECK_FALSE(review::may_show_faces(one, others));
        CHECK_FALSE(review::may_show_faces(one, shared));
    }
}

TEST_CASE("a clip of no run, and one of a run that names nobody, show no faces") {
    meet::State state = two_athletes(given, given);
    CHECK_FALSE(review::may_show_faces(state, {9}));
    const meet::Run before = state.runs().at({1});
    meet::Run after = before;
    after.athlete = {};
    REQUIRE(state.apply({"nobody", {{before, after}}, 0}).ok());
    CHECK_FALSE(review::may_show_faces(state, {1}));
    CHECK_FALSE(review::may_show_faces(state, {3}));
}

TEST_CASE("what a sheet says of faces follows from the clips that it shows") {
    const meet::State state = two_athletes(given, unknown);
    review::FaceHider hider(state);
    CHECK(hider.sentence() == "");
    media::RgbaImage picture{8, 8, std::vector<std::uint8_t>(256, 100)};
    const media::RgbaImage before = picture;
    REQUIRE(hider.hide({1}, {{&picture, 0}}, true).ok());
    CHECK(picture.pixels == before.pixels);
    CHECK(hider.sentence() == "Faces are shown on camera 1, where every athlete has agreed to it.");
    REQUIRE(hider.hide({2}, {{&picture, 0}}, true).ok());
    CHECK(hider.sentence().english().find("A program misses some faces") != std::string::npos);
}

TEST_CASE("a place that was covered by hand is hidden on its frames, whatever the consent") {
    const meet::State state = covered(two_athletes(given, given));
    const auto checked = [] {
        media::RgbaImage picture{80, 80, {}};
        for (int i = 0; i < 80 * 80; ++i)
            picture.pixels.insert(picture.pixels.end(), 4, static_cast<std::uint8_t>(i % 2 ? 200 : 40));
        return picture;
    };
    for (const auto& [clip, frame, hides] :
         {std::tuple{1, 9, false}, {1, 10, true}, {1, 20, true}, {1, 21, false}, {3, 15, false}}) {
        INFO(clip << ", f " << frame);
        review::FaceHider hider(state);
        media::RgbaImage picture = checked();
        REQUIRE(hider.hide({clip}, {{&picture, frame}}, true).ok());
        CHECK((picture.pixels != checked().pixels) == hides);
        CHECK((hider.sentence().english().find("covered by hand") != std::string::npos) == hides);
        CHECK(picture.pixels[0] == checked().pixels[0]);
    }
}

namespace {

/// The side of the square around the picture's middle in which every pixel is as it was.
int kept_around_middle(const media::RgbaImage& before, const media::RgbaImage& after) {
    int reach = 0;
    for (bool same = true; same && reach < 200; ++reach)
        for (int y = -reach; y <= reach; ++y)
            for (int x = -reach; x <= reach; ++x) {
                const auto i = 4 * static_cast<std::size_t>((before.height / 2 + y) * before.width +
                                                            before.width / 2 + x);
                same &= before.pixels[i] == after.pixels[i];
                if (!same) return 2 * reach - 1;
            }
    return 2 * reach - 1;
}

}  // namespace

TEST_CASE("a face at the place that was pointed at leaves a small square open, and that is said") {
    const Hidden made = hidden_at_the_spot(two_athletes(refused, refused), 80);
    CHECK(made.sentence.find("In 1 of them the program found a face at the very place that was pointed at") !=
          std::string::npos);
    CHECK(made.sentence.find("left open") != std::string::npos);
    // The drawn face is 120 pixels from cheek to cheek: a third of it is no face that anybody could tell.
    const int kept = kept_around_middle(made.before, made.after);
    CHECK(kept >= 20);
    CHECK(kept <= 48);
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    media::RgbaImage image = made.after;
    CHECK(finder->find({image.pixels.data(), image.width, image.height}).empty());
}

TEST_CASE("a small face at the place that was pointed at leaves less open than the ring around it") {
    const Hidden made = hidden_at_the_spot(two_athletes(refused, refused), 20);
    CHECK(made.sentence.find("left open") != std::string::npos);
    CHECK(kept_around_middle(made.before, made.after) <= 20 * 2 / 3);
}

TEST_CASE("a cover made by hand hides the place that was pointed at, too") {
    const Hidden made = hidden_at_the_spot(covered(two_athletes(refused, refused)), 80);
    CHECK(kept_around_middle(made.before, made.after) < 3);
    CHECK(made.sentence.find("covered by hand are hidden") != std::string::npos);
}

TEST_CASE("where nothing was found at the place that was pointed at, nothing is said of it") {
    const meet::State state = two_athletes(refused, refused);
    media::RgbaImage picture = test::drawn_face(640, 480, 320, 240, 60);
    review::FaceHider hider(state);
    REQUIRE(hider.hide({1}, {{&picture, 0, std::nullopt, review::PointedAt{{40, 440}, 48}}}, true).ok());
    CHECK(hider.sentence().english().find("left open") == std::string::npos);
    CHECK(hider.sentence().english().find("searched for by program") != std::string::npos);
}
