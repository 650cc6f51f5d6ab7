// The sound of clips against the ffmpeg and ffprobe programs, and against truths that they were made from.
#include "media/sound.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>

#include "media/frame_table.h"
#include "media/reference.h"
#include "media/sound_reference.h"
#include "support/test_places.h"

using namespace plumbmark;
using namespace plumbmark::media;
using namespace plumbmark::media::test;
namespace fs = std::filesystem;

namespace {

const std::string picture = "-f lavfi -i testsrc2=s=96x64:r=25:d=3 ";
const std::string noise = "-f lavfi -i anoisesrc=d=3:c=pink:r=48000:seed=7:a=0.5 ";
const std::string coded = "-c:v libx264 -preset ultrafast ";
const std::string both = picture + noise + coded;

/// A white picture from 1 s on, and a click of one millisecond at just that time.
const std::string flash =
    "-f lavfi -i color=black:s=64x64:r=25:d=2,drawbox=c=white:t=fill:enable='gte(t\\,1)' "
    "-f lavfi -i \"aevalsrc='0.9*gte(t,1)*lt(t,1.001)*sin(2*PI*4000*(t-1))':s=48000:d=2\" "
    "-c:v libx264 -preset ultrafast ";

std::string error_of(const fs::path& clip, SoundOptions options = {}) {
    const auto opened = SoundReader::open(clip, std::move(options));
    return opened ? "" : opened.error().text();
}

}  // namespace

TEST_CASE("sound has ffmpeg's samples at ffprobe's times in every usual codec and container") {
    for (const auto& [name, arguments] :
         {std::pair{"aac.mp4", "-c:a aac "},
          {"aac.mov", "-c:a aac "},
          {"aac.mkv", "-c:a aac "},
          {"aac.ts", "-c:a aac "},
          {"aac.flv", "-c:a aac -ar 44100 "},
          {"aac-two.mp4", "-c:a aac -ac 2 -ar 44100 "},
          {"mp3.mkv", "-c:a libmp3lame "},
          {"mp3.mp4", "-c:a libmp3lame -ar 44100 "},
          {"mp3.avi", "-c:a libmp3lame "},
          {"opus.webm", "-c:v libvpx -deadline realtime -cpu-used 8 -c:a libopus "},
          {"vorbis.mkv", "-c:a libvorbis "},
          {"flac.mkv", "-c:a flac "},
          {"ac3.ts", "-c:a ac3 -ac 6 "},
          {"pcm.mov", "-c:a pcm_s16le "},
          {"pcm.avi", "-c:a pcm_s16le -ar 32000 "},
          {"pcm-24.mkv", "-c:a pcm_s24le -ac 3 "}}) {
        const auto blocks = check_sound(made_clip(std::string("sound-") + name, both + arguments));
        CHECK(blocks.front().gap == base::Duration{0});
        for (std::size_t i = 1; i < blocks.size(); ++i) {
            CAPTURE(name, i);
            REQUIRE(blocks[i].gap == base::Duration{0});
            REQUIRE(blocks[i].time - blocks[i - 1].end() <= base::Duration{1});
        }
    }
}

TEST_CASE("late starts, cuts and negative first times stay on the clip's own clock") {
    const auto whole = made_clip("sound-whole.mp4", both + "-c:a aac ");
    const auto copied = [&](const std::string& name, const std::string& before, const std::string& after) {
        return made_clip("sound-" + name, before + " -i " + quoted(whole) + " -c copy " + after);
    };
    CHECK(check_sound(copied("late.mkv", "", "-output_ts_offset 5")).front().time >= at_ms(4900));
    CHECK(check_sound(copied("late.ts", "", "-output_ts_offset 5")).front().time >= at_ms(4900));
    check_sound(copied("cut.mp4", "-ss 1.1", ""));
    check_sound(copied("cut.mkv", "-ss 1.1", ""));
    // The sound alone is moved against the pictures: mostly by an edit list.
    for (const std::string name : {"shifted.mp4", "shifted.mkv", "shifted.mov"}) {
        const auto blocks =
            check_sound(made_clip("sound-" + name, "-i " + quoted(whole) + " -itsoffset 0.7 -i " +
                                                       quoted(whole) + " -map 0:v -map 1:a -c copy "));
        CHECK(blocks.front().time >= at_ms(650));
        CHECK(blocks.front().time <= at_ms(701));
    }
    const auto early = check_sound(
        made_clip("sound-early.mkv", picture + "-itsoffset -0.5 " + noise + coded +
                                         "-c:a pcm_s16le -avoid_negative_ts disabled -output_ts_offset 0 "));
    CHECK(early.front().time < base::Time{0});
}

TEST_CASE("a gap in the sound is a gap in time, and the sound behind it lies where the file says") {
    for (const std::string name : {"gap.mkv", "gap.mov"}) {
        const auto blocks = check_sound(
            made_clip("sound-" + name, both + "-af aselect='not(between(t\\,1\\,1.5))' -c:a pcm_s16le "));
        std::int64_t gaps = 0;
        base::Duration longest{0};
        for (const SoundBlock& block : blocks) {
            if (block.gap.ns != 0) ++gaps;
            longest = std::max(longest, block.gap);
        }
        if (name == "gap.mov") continue;  // this container has no gaps: the samples follow each other
        CHECK(gaps == 1);
        CHECK(longest >= base::Duration{400'000'000});
        CHECK(std::abs((blocks.back().end() - at_ms(3000)).ns) < 5'000'000);
    }
}

TEST_CASE("a click lies at the picture it was made with, to the bound that the header states") {
    struct Case {
        std::string name, arguments;
        double bound_ms;  // tick and sample, and for coded sound the smear of the click before its peak
    };
    for (const Case& one :
         {Case{"flash-pcm.mov", "-c:a pcm_s16le ", 0.13}, Case{"flash-pcm.mkv", "-c:a pcm_s16le ", 1.13},
          Case{"flash-flac.mkv", "-c:a flac ", 1.13}, Case{"flash-aac.mp4", "-c:a aac -b:a 256k ", 0.4},
          Case{"flash-aac.mov", "-c:a aac -b:a 256k ", 0.4}, Case{"flash-aac.ts", "-c:a aac -b:a 256k ", 0.4},
          Case{"flash-aac.mkv", "-c:a aac -b:a 256k ", 1.4},
          Case{"flash-mp3.mkv", "-c:a libmp3lame -b:a 256k ", 1.4},
          Case{"flash-opus.mp4", "-c:a libopus -b:a 256k ", 0.4}}) {
        const auto clip = made_clip("sound-" + one.name, flash + one.arguments);
        const auto table = scan_clip(clip);
        REQUIRE(table);
        // Frame 25 is the first white one: at 25 frames a second it begins at 1 s after the first.
        const base::Time seen = table->time(25);
        const auto blocks = all_blocks(clip);
        const float most = loudest(blocks, seen - base::Duration{500'000'000}, at_ms(5000));
        const auto heard = first_louder(blocks, most * 0.5F, at_ms(0), at_ms(5000));
        CAPTURE(one.name, most, seen.ns);
        REQUIRE(heard);
        CHECK(most > 0.3F);
        CHECK(std::abs(static_cast<double>((*heard - seen).ns) * 1e-6) <= one.bound_ms);
    }
}

TEST_CASE("the sample meet's start beep and bell plate sound when its truth says") {
    const fs::path folder = plumbmark::test::source_folder() / "sample_clips";
    std::ifstream file(folder / "truth.json");
    const auto truth = nlohmann::json::parse(file);
    int heard_signals = 0;
    for (const auto& run : truth["runs"]) {
        for (const auto& clip : run["clips"]) {
            const auto name = clip["clip"].get<std::string>();
            const auto blocks = check_sound(folder / name);
            for (const auto& event : run["events"]) {
                const std::string key = name.substr(0, name.find('.'));
                if (event["event"] != "signal" || !event["heard_ns"].contains(key)) continue;
                const base::Time due{event["heard_ns"][key].get<std::int64_t>() +
                                     clip["offset_ns"].get<std::int64_t>()};
                const float most =
                    loudest(blocks, due - base::Duration{50'000'000}, due + base::Duration{50'000'000});
                const auto begins = first_louder(blocks, most * 0.5F, due - base::Duration{50'000'000},
                                                 due + base::Duration{50'000'000});
                CAPTURE(name, event["signal"].get<std::string>(), most);
                REQUIRE(begins);
                // The beep swells over 2 ms, the bell strikes in 0.4 ms; both reach half their height within
                // 2 ms. The coder may smear a millisecond before it.
                const double late_ms = static_cast<double>((*begins - due).ns) * 1e-6;
                CHECK(late_ms > -1.0);
                CHECK(late_ms < 2.5);
                ++heard_signals;
            }
        }
    }
    CHECK(heard_signals >= 6);
}

TEST_CASE("another sound stream can be chosen, and one that is not there is refused by name") {
    const auto clip = made_clip(
        "sound-two.mkv",
        picture + noise + "-f lavfi -i sine=f=440:d=3:r=44100 -map 0 -map 1 -map 2 " + coded + "-c:a flac ");
    check_sound(clip, 1);
    const auto reader = SoundReader::open(clip, {1, {}});
    REQUIRE(reader);
    CHECK(reader->stream().rate == 44100);
    CHECK(reader->streams().size() == 2);
    CHECK(error_of(clip, {2, {}}) ==
          "sound-two.mkv: There is no sound stream 2; the file has streams 0 to 1.");
    const auto silent = made_clip("sound-none.mp4", picture + coded);
    CHECK(error_of(silent) == "sound-none.mp4: The clip has no sound.");
    CHECK(error_of(scratch() / "not there.mp4") ==
          "not there.mp4: There is no such file. Check the name, and that its drive is there.");
    std::stop_source stopped;
    stopped.request_stop();
    const auto cancelled = SoundReader::open(clip, {std::nullopt, stopped.get_token()});
    REQUIRE_FALSE(cancelled.ok());
    CHECK(cancelled.error().category == base::Category::cancelled);
}

TEST_CASE("after a seek the samples are those of reading on, at the same times to a tick") {
    for (const auto& [name, arguments] : {std::pair{"pcm.mov", "-c:a pcm_s16le "},
                                          {"flac.mkv", "-c:a flac "},
                                          {"seek-aac.mp4", "-c:a aac -aac_pns 0 "},
                                          {"seek-aac.ts", "-c:a aac -aac_pns 0 "},
                                          {"mp3.mkv", "-c:a libmp3lame "}}) {
        const auto clip = made_clip(std::string("sound-") + name, both + arguments);
        const auto blocks = all_blocks(clip);
        auto reader = SoundReader::open(clip);
        REQUIRE(reader);
        const auto tick = base::Duration{base::floor_to_time(1, reader->stream().time_base).ns + 25'000};
        for (const std::int64_t ms : {2500, 100, 1700, 1701, 2900, 0, -50}) {
            CAPTURE(name, ms);
            REQUIRE(reader->seek(at_ms(ms)));
            const auto got = reader->read();
            REQUIRE(got);
            REQUIRE(*got);
            const SoundBlock& block = **got;
            CHECK(block.end() > at_ms(ms));
            const auto same = std::find_if(blocks.begin(), blocks.end(),
                                           [&](const SoundBlock& b) { return b.pts == block.pts; });
            REQUIRE(same != blocks.end());
            const bool holds = block.time <= at_ms(ms) || same == blocks.begin();
            CHECK(holds);
            const bool near = std::abs((same->time - block.time).ns) <= tick.ns;
            CHECK(near);
            REQUIRE(same->samples.size() == block.samples.size());
            double apart = 0;
            for (std::size_t i = 0; i < block.samples.size(); ++i)
                apart = std::max(apart, std::abs(static_cast<double>(block.samples[i] - same->samples[i])));
            CHECK(apart < 1e-5);  // a coder's filter bank rounds by what came before
        }
        REQUIRE(reader->seek(at_ms(60'000)));
        const auto behind = reader->read();
        REQUIRE(behind);
        CHECK_FALSE(*behind);
    }
}

TEST_CASE("sound that is cut off or damaged says from when on, and the pictures stay") {
    const auto whole = made_clip("sound-damage.mkv", both + "-c:a flac ");
    std::string bytes = read_file(whole);
    const auto cut = scratch() / "sound-cut-off.mkv";
    write_file(cut, bytes.substr(0, bytes.size() * 6 / 10));
    const auto read_all = [](const fs::path& clip) {
        auto reader = SoundReader::open(clip);
        REQUIRE(reader);
        for (;;) {
            const auto block = reader->read();
            if (!block) return std::pair(block.error().text(), reader->good_until());
            if (!*block) return std::pair(std::string(), reader->good_until());
        }
    };
    const auto [cut_words, cut_end] = read_all(cut);
    REQUIRE(cut_end);
    CHECK(*cut_end > at_ms(500));
    CHECK(*cut_end < at_ms(2900));
    CHECK(scan_clip(cut).ok());

    // All sound of the second half replaced by nonsense: found by its packets' places in the file.
    const auto json = nlohmann::json::parse(output_of(
        "ffprobe -v quiet -select_streams a:0 -show_entries packet=pos,size -of json " + quoted(whole)));
    const auto& packets = json["packets"];
    for (std::size_t i = packets.size() / 2; i < packets.size(); ++i) {
        const auto pos = std::stoull(packets[i]["pos"].get<std::string>());
        const auto size = std::stoull(packets[i]["size"].get<std::string>());
        for (std::size_t k = 16; k < size; ++k)
            bytes[pos + k] = static_cast<char>(k * 37);
    }
    const auto damaged = scratch() / "sound-damaged.mkv";
    write_file(damaged, bytes);
    const auto [words, end] = read_all(damaged);
    CAPTURE(words);
    REQUIRE(end);
    CHECK(words.find("sound-damaged.mkv: The sound cannot be read from 0:01.") == 0);
    CHECK(words.find("The pictures are not concerned.") != std::string::npos);
    const auto table = scan_clip(damaged);
    REQUIRE(table);
    CHECK(table->size() == 75);
}
