// The reader's work, counted, and its budget.
#include "media/frame_reader.h"

#include <catch2/catch.hpp>

#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
using plumbmark::base::Category;

namespace {

// 100 frames in groups of 25.
std::filesystem::path grouped_clip() {
    return made_clip("groups.mp4",
                     "-f lavfi -i testsrc2=s=160x120:r=25:d=4 -c:v libx264 -preset veryfast -bf 2 -g 25 "
                     "-keyint_min 25 -sc_threshold 0 ");
}

FrameReader reader_of(const std::filesystem::path& clip, ReaderOptions options = {}) {
    auto table = scan_clip(clip);
    REQUIRE(table.ok());
    auto reader = FrameReader::open(clip, std::make_shared<const FrameTable>(std::move(*table)), options);
    REQUIRE(reader.ok());
    return std::move(*reader);
}

}  // namespace

TEST_CASE("stepping back inside a kept group decodes nothing") {
    FrameReader reader = reader_of(grouped_clip());
    REQUIRE(reader.read(70).ok());
    const ReaderCounters before = reader.counters();
    for (std::int64_t n = 69; n >= 50; --n)
        REQUIRE(reader.read(n).ok());
    CHECK(reader.counters().frames_decoded == before.frames_decoded);
    CHECK(reader.counters().packets_read == before.packets_read);
    CHECK(reader.counters().seeks == before.seeks);
    CHECK(reader.counters().cache_hits == before.cache_hits + 20);
}

TEST_CASE("stepping forward decodes one frame a step and never jumps") {
    FrameReader reader = reader_of(grouped_clip());
    REQUIRE(reader.read(55).ok());
    const ReaderCounters before = reader.counters();
    for (std::int64_t n = 56; n < 96; ++n)
        REQUIRE(reader.read(n).ok());
    CHECK(reader.counters().seeks == before.seeks);
    CHECK(reader.counters().frames_decoded - before.frames_decoded <= 40);
}

TEST_CASE(
    "a jump reads from the group's own key frame, and a target ahead in the group needs no second jump") {
    FrameReader reader = reader_of(grouped_clip(), {.cache_bytes = 1, .threads = 1});
    REQUIRE(reader.read(80).ok());
    CHECK(reader.counters().seeks == 1);
    CHECK(reader.counters().restarts == 0);
    CHECK(reader.counters().packets_read <= 16);  // 75 to 80, and what the decoder holds back
    REQUIRE(reader.read(90).ok());
    CHECK(reader.counters().seeks == 1);
    CHECK(reader.counters().packets_read <= 26);
}

TEST_CASE("the cache keeps to its budget") {
    const std::size_t budget = 10 * 160 * 120 * 2;
    FrameReader reader = reader_of(grouped_clip(), {.cache_bytes = budget, .threads = 1});
    for (std::int64_t n = 0; n < 100; n += 7) {
        REQUIRE(reader.read(n).ok());
        CHECK(reader.cached_bytes() <= budget);
        CHECK(reader.cached(n) != nullptr);
    }
}

TEST_CASE("a frame outside the clip is refused by its number") {
    FrameReader reader = reader_of(grouped_clip());
    for (const std::int64_t n : {std::int64_t{-1}, std::int64_t{100}}) {
        const auto refused = reader.read(n);
        REQUIRE_FALSE(refused.ok());
        CHECK(refused.error().category == Category::bad_input);
        CHECK(refused.error().text() ==
              "groups.mp4: There is no frame " + std::to_string(n) + "; the clip has frames 0 to 99.");
    }
    CHECK(reader.read(5).ok());
}

TEST_CASE("a read that is no longer wanted ends, and the reader goes on afterwards") {
    FrameReader reader = reader_of(grouped_clip());
    std::stop_source stop;
    stop.request_stop();
    reader.set_stop(stop.get_token());
    const auto stopped = reader.read(99);
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().category == Category::cancelled);
    reader.set_stop({});
    const auto sums = framemd5(grouped_clip());
    const auto picture = reader.read(99);
    REQUIRE(picture.ok());
    CHECK(md5_hex(**picture) == sums[99]);
}

TEST_CASE("a file that changed under the reader is told, not shown") {
    const auto first = grouped_clip();
    const auto other = made_clip("groups-other.mp4",
                                 "-f lavfi -i testsrc=s=160x120:r=25:d=4 -c:v libx264 -preset "
                                 "veryfast -bf 2 -g 25 ");
    auto table = scan_clip(first);
    REQUIRE(table.ok());
    auto reader = FrameReader::open(other, std::make_shared<const FrameTable>(std::move(*table)));
    REQUIRE(reader.ok());
    const auto read = reader->read(40);
    REQUIRE_FALSE(read.ok());
    CHECK(read.error().category == Category::io);
    CHECK(read.error().sentence.english().find("has changed") != std::string::npos);
}

TEST_CASE("times map back to the frame on screen") {
    auto table = scan_clip(grouped_clip());
    REQUIRE(table.ok());
    using plumbmark::base::Duration;
    CHECK(table->frame_at(table->time(0) - Duration{1}) == -1);
    for (std::int64_t n = 0; n < table->size(); ++n) {
        CHECK(table->frame_at(table->time(n)) == n);
        CHECK(table->frame_at(table->time(n) - Duration{1}) == n - 1);
    }
    CHECK(table->frame_at(plumbmark::base::Time{INT64_MAX}) == 99);
    CHECK((*table)[98].duration == (*table)[99].pts - (*table)[98].pts);
}
