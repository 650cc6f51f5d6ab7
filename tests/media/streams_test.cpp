// Files with several streams: each is read by itself, exactly, and the file's own words about it are kept.
#include <catch2/catch.hpp>

#include "media/frame_reader.h"
#include "media/internal/table_bytes.h"
#include "media/reference.h"
#include "media/sound.h"
#include "media/table_cache.h"
#include "support/temporary_folder.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
namespace fs = std::filesystem;

namespace {

const std::string kTwoOfEach =
    "-f lavfi -i testsrc2=s=160x120:r=25:d=3 -f lavfi -i testsrc=s=192x144:r=30:d=3 "
    "-f lavfi -i sine=f=440:d=3:r=48000 -f lavfi -i sine=f=880:d=3:r=44100 "
    "-map 0:v -map 1:v -map 2:a -map 3:a -c:v libx264 -preset veryfast -pix_fmt yuv420p -bf 2 -g 10 -c:a aac "
    "-metadata:s:v:1 language=swe -metadata:s:a:0 language=eng -metadata:s:a:1 language=deu ";

/// Two programs, each with pictures and sound of its own.
fs::path two_programs() {
    return made_clip("two-programs.ts", kTwoOfEach +
                                            "-program program_num=7:title=pier:st=0:st=2 "
                                            "-program program_num=9:title=quay:st=1:st=3 ");
}

fs::path two_of_each() {
    return made_clip("two-of-each.mkv",
                     kTwoOfEach + "-metadata:s:v:1 title=Deck -metadata:s:a:1 title=Hall ");
}

FrameTable table_of(const fs::path& clip, int stream) {
    ScanOptions options;
    options.stream = stream;
    auto table = scan_clip(clip, options);
    INFO((table ? std::string() : table.error().text()));
    REQUIRE(table);
    return std::move(*table);
}

}  // namespace

TEST_CASE("each stream of a file with programs or several streams has its own frames, exact on every way") {
    for (const fs::path& clip : {two_programs(), two_of_each()}) {
        for (const int stream : {0, 1}) {
            INFO(clip.filename() << ", stream " << stream);
            const auto table = std::make_shared<const FrameTable>(table_of(clip, stream));
            const auto reference = framemd5(clip, {}, stream);
            const auto probed = probed_frames(clip, stream);
            REQUIRE(table->size() == static_cast<std::int64_t>(reference.size()));
            REQUIRE(probed.size() == reference.size());
            CHECK(table->size() == (stream == 0 ? 75 : 90));
            CHECK(table->info().width == (stream == 0 ? 160 : 192));
            auto reader = FrameReader::open(clip, table);
            REQUIRE(reader);
            // Forward, backward, and in great jumps both ways.
            std::vector<std::int64_t> order;
            for (std::int64_t n = 0; n < table->size(); ++n)
                order.push_back(n);
            for (std::int64_t n = table->size(); n-- > 0;)
                order.push_back(n);
            for (std::int64_t n = 0; n < table->size(); ++n)
                order.push_back(n * 37 % table->size());
            int wrong = 0;
            for (const std::int64_t n : order) {
                const auto picture = reader->read(n);
                REQUIRE(picture);
                wrong += md5_hex(**picture) == reference[static_cast<std::size_t>(n)] ? 0 : 1;
                wrong += (*table)[n].pts == probed[static_cast<std::size_t>(n)].pts ? 0 : 1;
            }
            CHECK(wrong == 0);
        }
    }
}

TEST_CASE("what a transport stream says about its streams and programs is told") {
    const fs::path clip = two_programs();
    const FrameTable first = table_of(clip, 0), second = table_of(clip, 1);
    const auto& streams = first.info().streams;
    REQUIRE(streams.size() == 2);
    CHECK(streams == second.info().streams);
    CHECK(streams[0].label.program == 7);
    CHECK(streams[0].label.program_name == "pier");
    CHECK(streams[1].label.program == 9);
    CHECK(streams[1].label.program_name == "quay");
    CHECK(first.info().stream == 0);
    CHECK(second.info().stream == 1);
    const auto& sounds = first.info().sounds;
    REQUIRE(sounds.size() == 2);
    CHECK(sounds[0].label.language == "eng");
    CHECK(sounds[1].label.language == "deu");
    CHECK(sounds[1].rate == 44100);
    CHECK(sounds[1].label.program == 9);
}

TEST_CASE("the preset sound belongs to the program of the chosen pictures") {
    const fs::path clip = two_programs();
    for (const int stream : {0, 1}) {
        const FrameTable table = table_of(clip, stream);
        for (const SoundStream& sound : table.info().sounds)
            CHECK(sound.preset == (sound.ordinal == stream));
    }
    // Without programs it is the file's own choice, whichever the pictures are.
    for (const int stream : {0, 1}) {
        const FrameTable table = table_of(two_of_each(), stream);
        const auto reader = SoundReader::open(two_of_each());
        REQUIRE(reader);
        for (const SoundStream& sound : table.info().sounds)
            CHECK(sound.preset == (sound.ordinal == reader->stream().ordinal));
    }
}

TEST_CASE("languages and titles of Matroska are told, and 'undetermined' is none") {
    const FrameTable table = table_of(two_of_each(), 0);
    const auto& streams = table.info().streams;
    REQUIRE(streams.size() == 2);
    CHECK(streams[0].label.language.empty());
    CHECK(streams[0].label.title.empty());
    CHECK_FALSE(streams[0].label.program);
    CHECK(streams[1].label.language == "swe");
    CHECK(streams[1].label.title == "Deck");
    REQUIRE(table.info().sounds.size() == 2);
    CHECK(table.info().sounds[1].label == StreamLabel{"deu", "Hall", std::nullopt, ""});
    CHECK(table.info().sounds[0].channels == 1);
}

TEST_CASE("kept tables are one for each stream, with all that is told of the streams") {
    const plumbmark::test::TemporaryFolder folder;
    const fs::path clip = folder / "clip.ts";
    fs::copy_file(two_programs(), clip);
    for (const int stream : {0, 1}) {
        ScanOptions options;
        options.stream = stream;
        const auto key = table_key(clip, options, folder / "cache");
        REQUIRE(key);
        CHECK_FALSE(recall_table(*key));
        keep_table(*key, table_of(clip, stream));
    }
    for (const int stream : {1, 0}) {
        ScanOptions options;
        options.stream = stream;
        const auto kept = recall_table(*table_key(clip, options, folder / "cache"));
        REQUIRE(kept);
        const FrameTable fresh = table_of(clip, stream);
        CHECK(kept->size() == fresh.size());
        CHECK(kept->info().stream == stream);
        CHECK(kept->info().streams == fresh.info().streams);
        CHECK(kept->info().sounds == fresh.info().sounds);
        CHECK(table_bytes(kept->data()) == table_bytes(fresh.data()));
    }
}

TEST_CASE("a stream that the file does not have is refused with how many there are") {
    ScanOptions options;
    options.stream = 2;
    const auto table = scan_clip(two_programs(), options);
    REQUIRE_FALSE(table);
    CHECK(table.error().category == plumbmark::base::Category::bad_input);
    CHECK(table.error().sentence.english().find("the file has streams 0 to 1") != std::string::npos);
}
