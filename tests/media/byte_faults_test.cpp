// Bytes that fail, stall, come in pieces, vanish and lie: what the scan and the reader make of it.
#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <future>

#include "media/frame_reader.h"
#include "media/memory_bytes.h"
#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
using plumbmark::base::Category;

namespace {

// Noise does not compress, so that the clip is larger than what is read of it at once.
std::filesystem::path noisy_clip(const std::string& ending) {
    return made_clip("noisy." + ending,
                     "-f lavfi -i testsrc2=s=320x240:r=25:d=2,noise=alls=60:allf=t+u -c:v libx264 -preset "
                     "ultrafast -qp 20 -bf 2 -g 10 -movflags +faststart ");
}

struct Held {
    std::shared_ptr<MemoryFile> file;
    std::shared_ptr<const FrameTable> table;
    std::vector<std::string> sums;
};

ScanOptions scan_of(const std::shared_ptr<MemoryFile>& file) {
    ScanOptions options;
    options.open_bytes = opener_of(file);
    return options;
}

FrameReader reader_of(const Held& held) {
    auto reader = FrameReader::open("memory.clip", held.table,
                                    {.cache_bytes = 1, .threads = 0, .open_bytes = opener_of(held.file)});
    REQUIRE(reader.ok());
    return std::move(*reader);
}

Held held_clip(const std::string& ending) {
    Held held;
    held.file = std::make_shared<MemoryFile>(read_file(noisy_clip(ending)));
    auto table = scan_clip("memory.clip", scan_of(held.file));
    REQUIRE(table.ok());
    held.table = std::make_shared<const FrameTable>(std::move(*table));
    held.sums = framemd5(noisy_clip(ending));
    REQUIRE(static_cast<std::size_t>(held.table->size()) == held.sums.size());
    REQUIRE(held.file->bytes.size() > 600'000);
    return held;
}

std::string sum_of(FrameReader& reader, std::int64_t n) {
    const auto picture = reader.read(n);
    return picture ? md5_hex(**picture) : picture.error().text();
}

const std::array<std::string, 3> endings{"mp4", "mkv", "ts"};

}  // namespace

TEST_CASE("a clip read from memory in pieces of any size has ffmpeg's frames") {
    for (const std::string& ending : endings) {
        for (const std::size_t piece : {std::size_t{1000}, std::size_t{7}}) {
            INFO(ending << " by " << piece);
            Held held = held_clip(ending);
            held.file->most_at_once = piece;
            const auto again = scan_clip("memory.clip", scan_of(held.file));
            REQUIRE(again.ok());
            CHECK(again->size() == held.table->size());
            CHECK(again->bad_stretches().empty());
            FrameReader reader = reader_of(held);
            for (const std::int64_t n : {0, 33, 7, 49})
                CHECK(sum_of(reader, n) == held.sums[static_cast<std::size_t>(n)]);
        }
    }
}

TEST_CASE("a read that fails once is tried again, and nobody notices") {
    for (const std::string& ending : endings) {
        INFO(ending);
        Held held = held_clip(ending);
        held.file->failures_left = 1;
        const auto table = scan_clip("memory.clip", scan_of(held.file));
        REQUIRE(table.ok());
        CHECK(table->size() == held.table->size());
        CHECK(table->info().damage.empty());
        FrameReader reader = reader_of(held);
        held.file->failures_left = 2;
        CHECK(sum_of(reader, 45) == held.sums[45]);
    }
}

TEST_CASE("a drive that fails from some byte on leaves the frames before it, and says where") {
    for (const std::string& ending : endings) {
        INFO(ending);
        Held held = held_clip(ending);
        held.file->fails_from = static_cast<std::int64_t>(held.file->bytes.size() * 6 / 10);
        const auto table = scan_clip("memory.clip", scan_of(held.file));
        INFO((table ? "" : table.error().text()));
        REQUIRE(table.ok());
        CHECK(table->size() > 15);
        CHECK(table->size() < 40);
        REQUIRE_FALSE(table->bad_stretches().empty());
        const BadStretch& last = table->bad_stretches().back();
        CHECK(last.first == table->size());
        CHECK(last.what.find("cannot be read further (The drive does not answer.)") != std::string::npos);

        // The reader that stood before the failure: what lies behind is told, what lies before is shown.
        FrameReader reader = reader_of(held);
        const auto lost = reader.read(49);
        REQUIRE_FALSE(lost.ok());
        CHECK(lost.error().text() == "memory, frame 49: The drive does not answer.");
        CHECK(sum_of(reader, 3) == held.sums[3]);
        held.file->fails_from = INT64_MAX;
        CHECK(sum_of(reader, 49) == held.sums[49]);
    }
}

TEST_CASE("a clip whose drive is taken out is told so, and goes on when it is back") {
    Held held = held_clip("mp4");
    FrameReader reader = reader_of(held);
    CHECK(sum_of(reader, 5) == held.sums[5]);
    {
        const std::lock_guard lock(held.file->mutex);
        held.file->gone = true;
    }
    const auto lost = reader.read(40);
    REQUIRE_FALSE(lost.ok());
    CHECK(lost.error().category == Category::not_found);
    CHECK(lost.error().sentence.english().find("its drive was taken out, or it was moved or deleted") !=
          std::string::npos);
    CHECK(scan_clip("memory.clip", scan_of(held.file)).error().category == Category::not_found);
    {
        const std::lock_guard lock(held.file->mutex);
        held.file->gone = false;
    }
    for (const std::int64_t n : {40, 6, 49})
        CHECK(sum_of(reader, n) == held.sums[static_cast<std::size_t>(n)]);
}

TEST_CASE("a clip that is cut short under the reader is told so, and what is left can be read") {
    Held held = held_clip("mp4");
    FrameReader reader = reader_of(held);
    const std::string whole = held.file->bytes;
    {
        const std::lock_guard lock(held.file->mutex);
        held.file->bytes.resize(whole.size() / 2);
        ++held.file->version;
    }
    const auto lost = reader.read(45);
    REQUIRE_FALSE(lost.ok());
    CHECK(lost.error().category == Category::damaged);
    CHECK(lost.error().sentence.english().find("it was cut short since it was opened (it had " +
                                               std::to_string(whole.size()) + " bytes and now has " +
                                               std::to_string(whole.size() / 2) + ")") != std::string::npos);
    CHECK(sum_of(reader, 4) == held.sums[4]);
    {
        const std::lock_guard lock(held.file->mutex);
        held.file->bytes = whole;
    }
    CHECK(sum_of(reader, 45) == held.sums[45]);
}

TEST_CASE("a read that stalls ends when it is stopped, and the clip can be read again afterwards") {
    Held held = held_clip("mp4");
    FrameReader reader = reader_of(held);
    std::stop_source stop;
    reader.set_stop(stop.get_token());
    held.file->stalls = true;
    auto waiting = std::async(std::launch::async, [&] { return reader.read(45); });
    while (held.file->waiting == 0)
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    CHECK(waiting.wait_for(std::chrono::milliseconds(50)) == std::future_status::timeout);
    stop.request_stop();
    const auto answer = waiting.get();  // a hang here is ended by the test program's own time limit
    REQUIRE_FALSE(answer.ok());
    CHECK(answer.error().category == Category::cancelled);
    held.file->stalls = false;
    reader.set_stop({});
    CHECK(sum_of(reader, 45) == held.sums[45]);

    std::stop_source scan_stop;
    ScanOptions options = scan_of(held.file);
    options.stop = scan_stop.get_token();
    held.file->stalls = true;
    auto scan = std::async(std::launch::async, [&] { return scan_clip("memory.clip", options); });
    while (held.file->waiting == 0)
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    scan_stop.request_stop();
    const auto scanned = scan.get();
    REQUIRE_FALSE(scanned.ok());
    CHECK(scanned.error().category == Category::cancelled);
}

TEST_CASE("a file that lies about its size is read as far as it goes") {
    for (const std::string& ending : endings) {
        INFO(ending);
        Held held = held_clip(ending);
        held.file->told_size = static_cast<std::int64_t>(held.file->bytes.size()) * 1'000'000;
        const auto larger = scan_clip("memory.clip", scan_of(held.file));
        REQUIRE(larger.ok());
        CHECK(larger->size() == held.table->size());
        // The index of the MP4 says where its pictures end; the others are read on until nothing comes.
        CHECK(larger->info().damage.empty() == (ending == "mp4"));

        const std::int64_t half = static_cast<std::int64_t>(held.file->bytes.size()) / 2;
        held.file->told_size = half;
        const auto smaller = scan_clip("memory.clip", scan_of(held.file));
        REQUIRE(smaller.ok());
        CHECK(smaller->size() > 10);
        CHECK(smaller->size() < 40);
    }
}

TEST_CASE("a pipe is refused at once, also when nobody writes to it") {
    const auto pipe = scratch() / "pipe.mp4";
    std::filesystem::remove(pipe);
    REQUIRE(mkfifo(pipe.c_str(), 0600) == 0);
    const auto table = scan_clip(pipe);
    REQUIRE_FALSE(table.ok());
    CHECK(table.error().text() ==
          "pipe.mp4: This is a pipe or a device, not a file. Copy the clip into a file first.");
    std::filesystem::remove(pipe);
}

TEST_CASE("a file that is replaced, cut short or deleted under an open reader is told by what happened") {
    const std::string whole = read_file(noisy_clip("mp4"));
    const auto clip = scratch() / "under-us.mp4";
    std::filesystem::remove(clip);
    write_file(clip, whole);
    auto scanned = scan_clip(clip);
    REQUIRE(scanned.ok());
    const auto table = std::make_shared<const FrameTable>(std::move(*scanned));
    const auto sums = framemd5(noisy_clip("mp4"));
    auto reader = FrameReader::open(clip, table, {.cache_bytes = 1});
    REQUIRE(reader.ok());

    std::filesystem::resize_file(clip, whole.size() / 2);
    CHECK(reader->read(45).error().sentence.english().find("it was cut short") != std::string::npos);
    CHECK(sum_of(*reader, 2) == sums[2]);
    std::filesystem::remove(clip);
    CHECK(reader->read(45).error().category == Category::not_found);
    write_file(clip, std::string(whole.size(), 'x'));
    CHECK(reader->read(45).error().sentence.english().find("another one stands in its place") !=
          std::string::npos);
    write_file(clip, whole);
    CHECK(sum_of(*reader, 45) == sums[45]);
}
