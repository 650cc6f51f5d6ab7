// Tables kept between two openings: the same table comes back, and never another clip's.
#include "media/table_cache.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <random>

#include "media/frame_service.h"
#include "media/internal/number_blocks.h"
#include "media/internal/table_bytes.h"
#include "media/reference.h"
#include "support/temporary_folder.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
namespace fs = std::filesystem;

namespace {

// A copy of the test's own: another test program may be making the clip anew, and its time of change counts.
fs::path kept_clip() {
    static const plumbmark::test::TemporaryFolder folder;
    const fs::path copy = folder.path() / "kept.mp4";
    if (fs::exists(copy)) return copy;
    const fs::path made = made_clip(
        "kept.mp4",
        "-f lavfi -i testsrc2=s=160x120:r=30000/1001:d=3 -c:v libx264 -preset veryfast -bf 3 -g 30 ");
    fs::copy_file(made, copy);
    return copy;
}

void write(const fs::path& file, const std::string& bytes) {
    std::ofstream(file, std::ios::binary | std::ios::trunc) << bytes;
}

std::optional<FrameTable> recalled(const fs::path& clip, const ScanOptions& options, const fs::path& folder) {
    const auto key = table_key(clip, options, folder);
    REQUIRE(key);
    return recall_table(*key);
}

void keep(const fs::path& clip, const ScanOptions& options, const FrameTable& table, const fs::path& folder) {
    const auto key = table_key(clip, options, folder);
    REQUIRE(key);
    keep_table(*key, table);
}

fs::path only_table(const fs::path& folder) {
    std::vector<fs::path> files;
    for (const auto& entry : fs::directory_iterator(folder / "frame-tables"))
        files.push_back(entry.path());
    REQUIRE(files.size() == 1);
    return files.front();
}

}  // namespace

TEST_CASE("a kept table is the one that was scanned, field by field") {
    const plumbmark::test::TemporaryFolder folder;
    auto table = scan_clip(kept_clip());
    REQUIRE(table.ok());
    CHECK_FALSE(recalled(kept_clip(), {}, folder.path()));
    keep(kept_clip(), {}, *table, folder.path());
    const auto again = recalled(kept_clip(), {}, folder.path());
    REQUIRE(again);
    CHECK(table_bytes(again->data()) == table_bytes(table->data()));
    REQUIRE(again->size() == table->size());
    for (std::int64_t n = 0; n < table->size(); ++n) {
        CHECK((*again)[n].time == (*table)[n].time);
        CHECK(again->group_start(n) == table->group_start(n));
    }
    CHECK(again->info().streams.size() == 1);
    CHECK(again->info().pixel_format == "yuv420p");
    // A table scanned with other options is another table.
    CHECK_FALSE(recalled(kept_clip(), {.stream = 0}, folder.path()));
    CHECK_FALSE(recalled(kept_clip(), {.verify = Verify::always}, folder.path()));
}

TEST_CASE("a clip that changed is not taken for the one whose table is kept") {
    const plumbmark::test::TemporaryFolder folder;
    const fs::path clip = folder.path() / "clip.mp4";
    fs::copy_file(kept_clip(), clip);
    auto table = scan_clip(clip);
    REQUIRE(table.ok());
    keep(clip, {}, *table, folder.path());
    REQUIRE(recalled(clip, {}, folder.path()));
    // The same bytes at another time: as far as anyone can tell without reading it whole, another file.
    fs::last_write_time(clip, fs::last_write_time(clip) + std::chrono::seconds(1));
    CHECK_FALSE(recalled(clip, {}, folder.path()));
}

TEST_CASE("a table is not kept for what took the clip's place while it was scanned") {
    const plumbmark::test::TemporaryFolder folder;
    const fs::path clip = folder.path() / "clip.mp4";
    fs::copy_file(kept_clip(), clip);
    const auto before = table_key(clip, {}, folder.path());
    REQUIRE(before);
    auto table = scan_clip(clip);
    REQUIRE(table.ok());
    write(clip, read_file(kept_clip()) + "more");
    keep_table(*before, *table);
    CHECK(recall_table(*before));
    CHECK_FALSE(recalled(clip, {}, folder.path()));
}

TEST_CASE("a damaged table is not used, wherever the damage is, and made anew") {
    const plumbmark::test::TemporaryFolder folder;
    auto table = scan_clip(kept_clip());
    REQUIRE(table.ok());
    keep(kept_clip(), {}, *table, folder.path());
    const fs::path file = only_table(folder.path());
    const std::string good = read_file(file);
    for (std::size_t at = 0; at < good.size(); at += 7) {
        std::string bad = good;
        bad[at] = static_cast<char>(bad[at] ^ 0x20);
        write(file, bad);
        INFO("byte " << at);
        CHECK_FALSE(recalled(kept_clip(), {}, folder.path()));
    }
    for (const std::size_t length : {std::size_t{0}, std::size_t{5}, good.size() / 2, good.size() - 1}) {
        write(file, good.substr(0, length));
        CHECK_FALSE(recalled(kept_clip(), {}, folder.path()));
    }
    FrameService service(kept_clip(), {}, {.cache_folder = folder.path()});
    service.request(5);
    while (!service.poll().settled())
        std::this_thread::yield();
    CHECK(service.poll().picture_frame == 5);
    CHECK(read_file(file) == good);
}

TEST_CASE("bytes that are no table are refused, whatever they promise") {
    auto table = scan_clip(kept_clip());
    REQUIRE(table.ok());
    const std::string good = table_bytes(table->data());
    REQUIRE(table_from_bytes(good));
    for (std::size_t length = 0; length < good.size(); ++length)
        CHECK_FALSE(table_from_bytes(std::string_view(good).substr(0, length)));
    CHECK_FALSE(table_from_bytes(good + '\0'));
    int read = 0;
    for (std::size_t at = 0; at < good.size(); ++at) {
        for (const char flipped : {'\x80', '\x7F', '\x01'}) {
            std::string bad = good;
            bad[at] = static_cast<char>(bad[at] ^ flipped);
            // It may still be some table; what it must not do is crash or grow beyond its bytes.
            if (const auto other = table_from_bytes(bad)) {
                ++read;
                CHECK(other->frames.size() <= bad.size());
            }
        }
    }
    CHECK(read > 0);
}

TEST_CASE("numbers in blocks come back, whatever they are and however far apart") {
    std::mt19937_64 random(11);
    for (int round = 0; round < 200; ++round) {
        const std::size_t count = 1 + random() % numbers_in_block;
        const unsigned shift = static_cast<unsigned>(random() % 64);
        std::vector<std::int64_t> numbers(count);
        for (std::int64_t& number : numbers)
            number =
                static_cast<std::int64_t>((random() >> shift) + (round % 2 ? std::uint64_t{1} << 63 : 0));
        if (round % 5 == 0) numbers.front() = INT64_MAX;
        std::string bytes;
        append_block(numbers, bytes);
        NumberBlock again;
        std::string_view whole = bytes;
        REQUIRE(take_block(whole, count, again));
        CHECK(whole.empty());
        CHECK(std::equal(numbers.begin(), numbers.end(), again.begin()));
        std::string_view cut = std::string_view(bytes).substr(0, bytes.size() - 1);
        CHECK_FALSE(take_block(cut, count, again));
    }
    // Alike numbers take no room but their head.
    std::string bytes;
    append_block(std::vector<std::int64_t>(500, -7), bytes);
    CHECK(bytes.size() == 9);
}

TEST_CASE("a table with times that no file should have comes back too") {
    TableData data;
    data.info.time_base = {1, 90'000};
    for (std::int64_t i = 0; i < 1300; ++i) {
        PacketEntry packet;
        packet.pts = i % 3 == 0 ? no_time : i * 3000;
        packet.dts = i % 7 == 0 ? no_time : i % 11 == 0 ? INT64_MAX : -i;
        packet.pos = i % 13 == 0 ? -1 : i * 5'000'000'000;
        packet.size = i % 17 == 0 ? INT32_MAX : 100;
        packet.digest = static_cast<std::uint32_t>(i) * 2'654'435'761U;
        packet.frame = i < 1299 ? 1298 - i : -1;
        packet.wrong = static_cast<Wrong>(i % 7);
        packet.cut = i % 2 == 0;
        data.packets.push_back(packet);
    }
    for (std::int64_t i = 0; i < 1299; ++i) {
        FrameEntry frame;
        frame.pts = (i % 5) * 1'000'000'000 - i;
        frame.damaged = i % 3 == 0;
        frame.packet = 1298 - i;
        frame.occurrence = static_cast<int>(i % 2);
        data.frames.push_back(frame);
    }
    const std::string bytes = table_bytes(data);
    const auto again = table_from_bytes(bytes);
    REQUIRE(again);
    CHECK(table_bytes(*again) == bytes);
    for (std::size_t i = 0; i < data.packets.size(); ++i) {
        CHECK(again->packets[i].pts == data.packets[i].pts);
        CHECK(again->packets[i].dts == data.packets[i].dts);
        CHECK(again->packets[i].pos == data.packets[i].pos);
        CHECK(again->packets[i].size == data.packets[i].size);
        CHECK(again->packets[i].wrong == data.packets[i].wrong);
    }
    for (std::size_t i = 0; i < data.frames.size(); ++i) {
        CHECK(again->frames[i].pts == data.frames[i].pts);
        CHECK(again->frames[i].time == plumbmark::base::floor_to_time(data.frames[i].pts, {1, 90'000}));
    }
    // A frame out of a packet that is not there, and a time that no clock holds, are no table's.
    data.frames[5].packet = 1300;
    CHECK_FALSE(table_from_bytes(table_bytes(data)));
    data.frames[5].packet = 5;
    data.frames[5].pts = INT64_MAX;
    CHECK_FALSE(table_from_bytes(table_bytes(data)));
}
