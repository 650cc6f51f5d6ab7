// What is kept, what leaves first, and what is decoded next.
#include "media/picture_store.h"

#include <catch2/catch.hpp>

#include "media/frame_reader.h"
#include "media/internal/frame_pool.h"
#include "media/internal/travel_plan.h"
#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;

namespace {

/// A picture of its own memory, of about the given number of bytes.
std::shared_ptr<const Picture> picture_of(int width, int height) {
    auto native = std::make_unique<NativeFrame>();
    native->frame = new_frame();
    native->frame->format = AV_PIX_FMT_GRAY8;
    native->frame->width = width;
    native->frame->height = height;
    REQUIRE(av_frame_get_buffer(native->frame.get(), 64) == 0);
    return std::make_shared<const Picture>(std::move(native), 0, false, plumbmark::base::Rational{1, 1});
}

std::vector<std::int64_t> kept_of(const PictureStore::Shelf& shelf, std::int64_t end) {
    std::vector<std::int64_t> frames;
    for (std::int64_t n = 0; n < end; ++n) {
        if (shelf.find(n)) frames.push_back(n);
    }
    return frames;
}

}  // namespace

TEST_CASE("pictures leave farthest first, and sooner behind the hand than before it") {
    const std::size_t one = picture_of(64, 64)->bytes();
    PictureStore store(7 * one);
    PictureStore::Shelf shelf(store);
    shelf.place_hand(10, 1);
    for (std::int64_t n = 0; n <= 20; ++n)
        shelf.put(n, picture_of(64, 64));
    CHECK(kept_of(shelf, 30) == std::vector<std::int64_t>{8, 9, 10, 11, 12, 13, 14});
    CHECK(store.kept_bytes() == 7 * one);
    // The other way round the same room lies on the other side.
    shelf.place_hand(10, -1);
    for (std::int64_t n = 0; n <= 20; ++n)
        shelf.put(n, picture_of(64, 64));
    CHECK(kept_of(shelf, 30) == std::vector<std::int64_t>{6, 7, 8, 9, 10, 11, 12});
}

TEST_CASE("the picture at the hand stays however small the budget, and clips left behind give room first") {
    const std::size_t one = picture_of(64, 64)->bytes();
    PictureStore store(one / 2);
    PictureStore::Shelf alone(store);
    alone.place_hand(5, 0);
    for (std::int64_t n = 3; n < 8; ++n)
        alone.put(n, picture_of(64, 64));
    CHECK(kept_of(alone, 10) == std::vector<std::int64_t>{5});

    PictureStore shared(6 * one);
    PictureStore::Shelf left(shared), present(shared);
    left.place_hand(0, 1);
    for (std::int64_t n = 0; n < 6; ++n)
        left.put(n, picture_of(64, 64));
    present.place_hand(0, 1);
    for (std::int64_t n = 0; n < 4; ++n)
        present.put(n, picture_of(64, 64));
    CHECK(kept_of(present, 10) == std::vector<std::int64_t>{0, 1, 2, 3});
    CHECK(kept_of(left, 10) == std::vector<std::int64_t>{0, 1});
    CHECK(shared.kept_bytes() == 6 * one);
}

TEST_CASE("a shelf that goes gives everything back, and pictures still held outlive it") {
    PictureStore store(std::size_t{1} << 20);
    std::shared_ptr<const Picture> held;
    {
        PictureStore::Shelf shelf(store);
        shelf.put(1, picture_of(64, 64));
        held = shelf.find(1);
        CHECK(store.kept_bytes() > 0);
    }
    CHECK(store.kept_bytes() == 0);
    CHECK(held->width() == 64);
}

TEST_CASE("one clip at a time looks ahead, and one that goes gives its turn back") {
    PictureStore store(1000);
    PictureStore::Shelf a(store);
    {
        PictureStore::Shelf b(store);
        CHECK(a.take_turn());
        CHECK(a.take_turn());
        CHECK_FALSE(b.take_turn());
        b.give_turn();  // not its own to give
        CHECK_FALSE(b.take_turn());
        a.give_turn();
        CHECK(b.take_turn());
        CHECK_FALSE(a.take_turn());
    }
    CHECK(a.take_turn());
}

TEST_CASE("the budget counts what decoders and the screen hold beside what is kept") {
    const auto clip = made_clip(
        "budget.mp4", "-f lavfi -i testsrc2=s=320x240:r=25:d=4 -c:v libx264 -preset veryfast -bf 3 -g 50 ");
    auto table = scan_clip(clip);
    REQUIRE(table.ok());
    auto shared = std::make_shared<const FrameTable>(std::move(*table));
    const std::size_t one = 320 * 240 * 3 / 2;
    auto store = std::make_shared<PictureStore>(60 * one);
    auto reader = FrameReader::open(clip, shared, {.threads = 2, .store = store});
    REQUIRE(reader.ok());
    std::vector<std::shared_ptr<const Picture>> held;
    for (std::int64_t n = 0; n < 100; ++n) {
        auto read = reader->read(n);
        REQUIRE(read.ok());
        CHECK((*read)->in_pool());
        if (n % 10 == 0) held.push_back(*read);
        CHECK(store->used_bytes() <= store->budget() + 4 * one);
    }
    CHECK(store->pool().live_bytes() >= store->kept_bytes());
    CHECK(store->kept_bytes() > 20 * one);
    reader = plumbmark::base::Error{};  // the reader goes; what is held stays good
    CHECK(store->kept_bytes() == 0);
    CHECK(store->pool().live_bytes() >= held.size() * one);
    CHECK(store->pool().owns(*held.back()->native().frame));
    held.clear();
    CHECK(store->pool().live_bytes() == 0);
}

TEST_CASE("what is decoded next follows the hand") {
    const auto clip =
        made_clip("groups.mp4",
                  "-f lavfi -i testsrc2=s=160x120:r=25:d=4 -c:v libx264 -preset veryfast -bf 2 -g 25 "
                  "-keyint_min 25 -sc_threshold 0 ");
    auto table = scan_clip(clip);
    REQUIRE(table.ok());
    REQUIRE(table->size() == 100);
    const std::size_t one = picture_of(64, 64)->bytes();
    PictureStore store(64 * one);
    PictureStore::Shelf shelf(store);
    const auto next = [&](std::int64_t hand, int direction, bool stands_before = true,
                          const std::set<std::int64_t>& hopeless = {}) {
        shelf.place_hand(hand, direction);
        return next_stretch(*table, shelf, {hand, direction, 20, [=](std::int64_t) { return stands_before; }},
                            hopeless);
    };
    shelf.place_hand(60, 1);
    shelf.put(60, picture_of(64, 64));
    // Forward: what is missing, as far as is kept ready.
    CHECK(next(60, 1) == Stretch{61, 80});
    for (std::int64_t n = 61; n <= 75; ++n)
        shelf.put(n, picture_of(64, 64));
    CHECK(next(60, 1) == Stretch{76, 80});
    CHECK_FALSE(next(60, 1, false));  // a jump for five frames can wait
    CHECK(next(70, 1, false) == Stretch{76, 90});
    CHECK(next(60, 1, true, {76, 77}) == Stretch{78, 80});
    CHECK(next(98, 1) == Stretch{99, 99});
    CHECK_FALSE(next(99, 1));
    // Backward: the rest of the group, to its start, then the group before it.
    CHECK(next(60, -1) == Stretch{50, 59});
    for (std::int64_t n = 50; n < 60; ++n)
        shelf.put(n, picture_of(64, 64));
    CHECK(next(60, -1) == Stretch{25, 49});
    for (std::int64_t n = 25; n < 50; ++n)
        shelf.put(n, picture_of(64, 64));
    CHECK_FALSE(next(60, -1));  // three quarters of 64 pictures lie behind, and more than half is there
    CHECK_FALSE(next(0, -1));
    // After a jump: a few frames on, then the group behind.
    shelf.clear();
    shelf.put(90, picture_of(64, 64));
    CHECK(next(90, 0) == Stretch{91, 99});
    for (std::int64_t n = 91; n < 100; ++n)
        shelf.put(n, picture_of(64, 64));
    CHECK(next(90, 0) == Stretch{75, 89});
}
