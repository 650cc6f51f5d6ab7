// Files that are not what they should be: a clear error or the good frames, never a crash or a hang.
#include <sys/resource.h>

#include <catch2/catch.hpp>
#include <random>

#include "media/conformance.h"
#include "media/reference.h"
#include "support/test_places.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
using plumbmark::base::Category;

namespace {

std::filesystem::path written(const std::string& name, const std::string& bytes) {
    const auto path = scratch() / name;
    write_file(path, bytes);
    return path;
}

plumbmark::base::Error error_of(const std::filesystem::path& path) {
    const auto table = scan_clip(path);
    REQUIRE_FALSE(table.ok());
    return table.error();
}

std::filesystem::path whole_clip(const std::string& ending) {
    return made_clip("whole." + ending,
                     "-f lavfi -i testsrc2=s=160x120:r=25:d=2 -c:v libx264 -preset veryfast -bf 2 "
                     "-g 12 -movflags +faststart ");
}

// Reads every frame forward and backward, each a picture or an error; returns how many were not the same both
// times.
std::int64_t differing_reads(const std::filesystem::path& clip, const FrameTable& table) {
    auto shared = std::make_shared<const FrameTable>(table);
    auto forward = FrameReader::open(clip, shared, {.cache_bytes = 1, .threads = 0});
    auto backward = FrameReader::open(clip, shared);
    if (!forward || !backward) return 0;
    std::vector<std::string> seen;
    for (std::int64_t n = 0; n < table.size(); ++n) {
        const auto picture = forward->read(n);
        seen.push_back(picture ? md5_hex(**picture) : picture.error().text());
    }
    std::int64_t differing = 0;
    for (std::int64_t n = table.size() - 1; n >= 0; --n) {
        const auto picture = backward->read(n);
        const std::string sum = picture ? md5_hex(**picture) : picture.error().text();
        differing += sum != seen[static_cast<std::size_t>(n)] ? 1 : 0;
    }
    return differing;
}

// The most memory that this process has held so far, in KB.
long most_memory() {
    rusage used{};
    getrusage(RUSAGE_SELF, &used);
    return used.ru_maxrss;
}

}  // namespace

TEST_CASE("what is no clip is refused in words that say what to do") {
    CHECK(error_of(scratch() / "no-such-clip.mp4").text() ==
          "no-such-clip.mp4: There is no such file. Check the name, and that its drive is there.");
    CHECK(error_of(scratch() / "no-such-clip.mp4").category == Category::not_found);

    const auto folder = error_of(scratch());
    CHECK(folder.category == Category::bad_input);
    CHECK(folder.sentence == "This is a folder, not a clip. Name one video file inside it.");

    const auto empty = error_of(written("empty.mp4", ""));
    CHECK(empty.category == Category::damaged);
    CHECK(empty.text() == "empty.mp4: The file is empty. Copy it again from the camera.");

    // libav would draw this one as pictures of text.
    std::string text;
    for (int i = 0; i < 200; ++i)
        text += "bollard hop, hawser swing, gantry rungs\n";
    for (const std::string name : {"notes.txt", "notes.mp4", "notes.nfo"}) {
        CHECK(error_of(written(name, text)).category == Category::bad_input);
    }
    CHECK(
        error_of(written("list.m3u8", "#EXTM3U\n#EXTINF:1,\n" + whole_clip("ts").string() + "\n")).category ==
        Category::bad_input);
    CHECK(error_of(written("list.ffconcat", "ffconcat version 1.0\nfile whole.ts\n")).category ==
          Category::bad_input);
    CHECK(error_of(written("list.sdp", "v=0\no=- 0 0 IN IP4 127.0.0.1\nm=video 9 RTP/AVP 96\n")).category ==
          Category::bad_input);

    std::mt19937 generator(7);
    std::string noise(20000, '\0');
    for (char& c : noise)
        c = static_cast<char>(generator());
    CHECK_FALSE(scan_clip(written("noise.mp4", noise)).ok());
}

TEST_CASE("a file with sound alone is refused as holding no video") {
    const auto clip = made_clip("sound.m4a", "-f lavfi -i sine=d=1 -c:a aac ");
    CHECK(error_of(clip).text() == "sound.m4a: The file holds no video. Name a clip with pictures.");
}

TEST_CASE("a clip cut off in the middle keeps its good frames, the same as ffmpeg's") {
    for (const std::string ending : {"mp4", "mkv", "ts"}) {
        const std::string bytes = read_file(whole_clip(ending));
        const auto clip = written("cut-off." + ending, bytes.substr(0, bytes.size() * 6 / 10));
        const auto table = check_against_programs(clip);
        CHECK(table->size() > 10);
        CHECK(table->size() < 50);
        if (ending == "mp4") CHECK_FALSE(table->info().damage.empty());
    }
}

TEST_CASE("a clip cut off before its index is refused as such") {
    const auto late_index =
        made_clip("late-index.mp4", "-f lavfi -i testsrc2=s=160x120:r=25:d=2 -c:v libx264 ");
    const std::string bytes = read_file(late_index);
    const auto error = error_of(written("no-index.mp4", bytes.substr(0, bytes.size() / 2)));
    CHECK(error.sentence.english().find("its index is missing") != std::string::npos);
}

TEST_CASE("flipped bytes never crash or hang, and every order shows the same of a verified table") {
    std::mt19937 generator(42);
    INFO("seed 42");
    for (const std::string ending : {"mp4", "mkv", "ts"}) {
        const std::string whole = read_file(whole_clip(ending));
        for (int round = 0; round < 6; ++round) {
            std::string bytes = whole;
            std::uniform_int_distribution<std::size_t> any(0, bytes.size() - 1);
            for (int i = 0; i < 8; ++i)
                bytes[any(generator)] ^= static_cast<char>(1U << (generator() % 8));
            const auto clip = written("flipped." + ending, bytes);
            INFO(ending << ", round " << round);
            ScanOptions verified;
            verified.verify = Verify::always;
            const auto known = scan_clip(clip, verified);
            if (known) CHECK(differing_reads(clip, *known) == 0);
            // Damage that leaves the packets whole is not known to this table; each read still ends, with a
            // picture or with an error.
            const auto unknown = scan_clip(clip);
            if (unknown) (void)differing_reads(clip, *unknown);
        }
    }
}

TEST_CASE("a damaged picture is marked, and the clip says that it is damaged") {
    const std::string whole = read_file(whole_clip("ts"));
    std::string bytes = whole;
    // A stretch of some packets of the transport stream turned over, their heads left alone.
    const std::size_t middle = bytes.size() / 188 / 2;
    for (std::size_t packet = middle; packet < middle + 10; ++packet) {
        for (std::size_t i = 60; i < 188; ++i)
            bytes[packet * 188 + i] ^= 0x5A;
    }
    const auto clip = written("turned.ts", bytes);
    ScanOptions options;
    options.verify = Verify::always;
    const auto table = scan_clip(clip, options);
    REQUIRE(table.ok());
    CHECK_FALSE(table->info().damage.empty());
    std::int64_t damaged = 0;
    for (std::int64_t n = 0; n < table->size(); ++n)
        damaged += (*table)[n].damaged ? 1 : 0;
    CHECK(damaged > 0);
    CHECK(damaged < table->size());
    CHECK(differing_reads(clip, *table) == 0);
}

TEST_CASE("a scan can be stopped, and tells how far it is") {
    const auto clip = whole_clip("mp4");
    std::stop_source stop;
    ScanOptions options;
    options.verify = Verify::always;
    options.stop = stop.get_token();
    double last = -1;
    bool rising = true;
    options.progress = [&](double share) {
        rising = rising && share > last && share <= 1;
        last = share;
    };
    REQUIRE(scan_clip(clip, options).ok());
    CHECK(rising);
    CHECK(last == 1);

    int calls = 0;
    options.progress = [&](double) {
        if (++calls == 3) stop.request_stop();
    };
    const auto stopped = scan_clip(clip, options);
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().category == Category::cancelled);
    CHECK(calls == 3);
}

TEST_CASE("one picture that claims a size beyond any camera's costs that picture and no gigabytes") {
    // Found by the fuzzer: the last picture's own header says 16000 x 16000, which nothing in the container
    // confirms.
    const long before = most_memory();
    const auto lying =
        plumbmark::test::source_folder() / "tests/fuzz/findings/clip/picture-of-256-million-pixels.mov";
    const auto table = scan_clip(lying);
    REQUIRE(table.ok());
    REQUIRE(table->size() == 8);
    auto reader = FrameReader::open(lying, std::make_shared<const FrameTable>(*table),
                                    {.cache_bytes = 1, .threads = 1});
    REQUIRE(reader.ok());
    for (std::int64_t n = 0; n < 7; ++n)
        CHECK(reader->read(n).ok());
    const auto refused = reader->read(7);
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().category == Category::damaged);
    CHECK(most_memory() - before < 300'000);
}
