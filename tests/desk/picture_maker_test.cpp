// Pictures made on the maker's thread, and the session that waits for them: what is shown is always one whole
// picture, and its own number.
#include "desk/internal/picture_maker.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <iostream>
#include <thread>

#include "desk/test_meet.h"
#include "media/half_size.h"
#include "review/session.h"
#include "support/made_picture.h"

using namespace plumbmark;
using namespace plumbmark::desk;
using namespace plumbmark::test;
using namespace std::chrono_literals;

namespace {

std::unique_ptr<MadeImage> made_of(PictureMaker& maker, const std::shared_ptr<const media::Picture>& picture,
                                   Fineness fineness = Fineness::whole) {
    for (;;) {
        if (auto made = maker.take(picture, fineness)) return made;
        std::this_thread::sleep_for(1ms);
    }
}

template <class Done>
bool comes_true(const Done& done) {
    for (int i = 0; i < 20000; ++i) {
        if (done()) return true;
        std::this_thread::sleep_for(1ms);
    }
    return false;
}

}  // namespace

TEST_CASE("a picture that is asked for is made on another thread, once, and wakes the window") {
    std::atomic<int> wakes = 0;
    std::atomic<std::thread::id> woken_on{};
    PictureMaker maker([&] {
        woken_on = std::this_thread::get_id();
        ++wakes;
    });
    const MadePicture first = noise_picture(AV_PIX_FMT_YUV420P, 90, 60, {});
    const MadePicture second = noise_picture(AV_PIX_FMT_YUV444P10LE, 33, 21, {});
    CHECK(maker.take(first.picture) == nullptr);
    auto made = made_of(maker, first.picture);
    CHECK(made->image == media::to_rgba(*first.picture));
    // 45 x 30, 22 x 15, 11 x 7 and 5 x 3 pixels of four bytes.
    CHECK(made->smaller.size() == 4 * (45 * 30 + 22 * 15 + 11 * 7 + 5 * 3));
    // Used memory makes no difference to the next one, of another size.
    maker.give_back(std::move(made));
    made = made_of(maker, second.picture);
    CHECK(made->image == media::to_rgba(*second.picture));
    CHECK(comes_true([&] { return wakes == 2; }));
    std::this_thread::sleep_for(20ms);
    CHECK(wakes == 2);
    CHECK(woken_on.load() != std::this_thread::get_id());
}

TEST_CASE("a picture that nobody asks for again is given up, and made anew when somebody does") {
    std::atomic<int> wakes = 0;
    PictureMaker maker([&] { ++wakes; });
    const MadePicture picture = noise_picture(AV_PIX_FMT_YUV420P, 64, 48, {});
    CHECK(maker.take(picture.picture) == nullptr);
    CHECK(comes_true([&] { return wakes == 1; }));
    const auto owners = picture.picture.use_count();
    for (int round = 0; round < 3; ++round)
        maker.next_round();
    CHECK(picture.picture.use_count() < owners);
    CHECK(maker.take(picture.picture) == nullptr);
    CHECK(made_of(maker, picture.picture)->image == media::to_rgba(*picture.picture));
    CHECK(wakes == 2);
}

TEST_CASE("an image without pixels has no smaller levels") {
    std::vector<std::uint8_t> levels(7, 1);
    make_smaller_levels({}, levels);
    CHECK(levels.empty());
}

TEST_CASE(
    "what is shown while a picture is made is the one before, by its own number, and cannot be marked") {
    const TemporaryFolder folder;
    const auto clip = make_clip(folder.path(), "camera-a.mp4", 40);
    if (!clip) {
        std::cout << "skipped: the program ffmpeg is not installed\n";
        return;
    }
    const auto meet_file = make_meet(folder.path(), *clip);
    bool allowed = true;
    std::vector<const media::Picture*> asked;
    review::SessionOptions options;
    options.may_show = [&](const auto& picture) {
        asked.push_back(picture.get());
        return allowed;
    };
    auto opened = review::Session::open(meet_file, options);
    REQUIRE(opened);
    review::Session& session = **opened;
    REQUIRE(session.settle());
    REQUIRE(session.picture().exact);
    const auto before = session.picture().picture;

    allowed = false;
    session.go_to_frame(5);
    CHECK(comes_true([&] { return session.poll(), session.picture().nearly; }));
    CHECK(session.picture().picture == before);
    CHECK(session.picture().frame == 0);
    CHECK_FALSE(session.picture().exact);
    meet::Event event;
    event.part = course::Part::left_foot;
    event.surface = "quay_deck";
    CHECK_FALSE(session.mark(event));
    const media::Picture* const fifth = asked.back();

    // The hand moves on: the one in work is waited for first, so that something is seen meanwhile.
    session.go_to_frame(8);
    for (int i = 0; i < 50; ++i) {
        session.poll();
        CHECK(asked.back() == fifth);
        std::this_thread::sleep_for(1ms);
    }
    CHECK(session.picture().frame == 0);
    allowed = true;
    CHECK(comes_true([&] { return session.poll(), session.picture().exact; }));
    CHECK(session.picture().frame == 8);
    CHECK_FALSE(session.picture().nearly);
    CHECK(session.mark(event));

    // Back where one was: that picture is on the screen still, so nothing is made.
    const auto times_asked = asked.size();
    allowed = false;
    session.go_to_frame(7);
    CHECK(comes_true([&] { return session.poll(), session.picture().nearly; }));
    session.go_to_frame(8);
    session.poll();
    CHECK(session.picture().exact);
    CHECK(session.picture().frame == 8);
    CHECK(asked.size() > times_asked);
}

TEST_CASE("a picture is made at half its size where that is enough, and whole beside it") {
    PictureMaker maker({});
    const MadePicture passing = noise_picture(AV_PIX_FMT_YUV420P, 90, 60, {});
    (void)made_of(maker, passing.picture, Fineness::half);
    CHECK(maker.take(passing.picture, Fineness::half) == nullptr);  // handed over: it would be made again
    auto whole = made_of(maker, passing.picture);
    CHECK(whole->fineness == Fineness::whole);
    CHECK(whole->image == media::to_rgba(*passing.picture));
    const auto half = made_of(maker, passing.picture, Fineness::half);
    CHECK(half->fineness == Fineness::half);
    media::RgbaImage expected;
    REQUIRE(media::to_rgba_half(*passing.picture, expected));
    CHECK(half->image == expected);
    // 22 x 15, 11 x 7, 5 x 3 and 2 x 1 pixels of four bytes.
    CHECK(half->smaller.size() == 4 * (22 * 15 + 11 * 7 + 5 * 3 + 2 * 1));
}
