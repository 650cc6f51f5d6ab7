// Clips made by the ffmpeg program for one trap each, held against the same program and ffprobe.
#include <catch2/catch.hpp>

#include "media/conformance.h"
#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;

namespace {

const std::string source = "-f lavfi -i testsrc2=s=160x120:r=25:d=3 ";
const std::string h264 = source + "-c:v libx264 -preset veryfast -bf 3 -g 12 -threads 1 ";
const std::string open_groups = h264 + "-x264-params open-gop=1:keyint=12:min-keyint=12:scenecut=0 ";
const std::string hevc =
    source +
    "-c:v libx265 -preset ultrafast -x265-params open-gop=1:keyint=12:bframes=3:log-level=none:pools=1 ";

std::shared_ptr<const FrameTable> checked(const std::string& name, const std::string& arguments) {
    return check_against_programs(made_clip(name, arguments));
}

}  // namespace

TEST_CASE("H.264 with B-frames is exact in every container") {
    for (const std::string name : {"plain.mp4", "plain.mkv", "plain.ts", "plain.mov", "plain.flv"}) {
        CHECK(checked(name, h264)->info().basis == TableBasis::packets);
    }
}

TEST_CASE("H.264 with B-frames in AVI has no presentation times, and is decoded for them") {
    CHECK(checked("plain.avi", h264)->info().basis == TableBasis::decoded);
}

TEST_CASE("open groups are exact: leading pictures lean on the group before") {
    for (const std::string name : {"open.mp4", "open.mkv", "open.ts"}) {
        const auto table = checked(name, open_groups);
        CHECK(table->group_start(40) > 0);  // there are starts in mid-file, else nothing was tried
    }
    for (const std::string name : {"open-hevc.mp4", "open-hevc.ts"})
        CHECK(checked(name, hevc)->group_start(40) > 0);
    checked("open-mpeg2.ts", source + "-c:v mpeg2video -bf 2 -g 12 -b:v 1M ");
    checked("open-mpeg2.mpg", source + "-c:v mpeg2video -bf 2 -g 12 -b:v 1M ");
}

TEST_CASE("clips cut without re-encoding show only what their edit list leaves") {
    for (const auto& [name, arguments] :
         {std::pair{"cut-plain", h264}, {"cut-open", open_groups}, {"cut-hevc", hevc}}) {
        const auto whole = made_clip(std::string(name) + "-whole.mp4", arguments);
        const auto table = checked(std::string(name) + ".mp4", "-ss 1.1 -i " + quoted(whole) + " -c copy ");
        CHECK(table->size() < 75);
        checked(std::string(name) + ".mkv", "-ss 1.1 -i " + quoted(whole) + " -c copy ");
        // Cut into a transport stream this one has no parameter sets at all: ffmpeg shows nothing of it
        // either.
        if (std::string(name) != "cut-open")
            checked(std::string(name) + ".ts", "-ss 1.1 -i " + quoted(whole) + " -c copy ");
    }
}

TEST_CASE("a stream that begins in the middle of a group is exact") {
    const auto whole = made_clip("middle-whole.ts", open_groups);
    const std::string bytes = read_file(whole);
    const auto clip = scratch() / "middle.ts";
    write_file(clip, bytes.substr(bytes.size() / 3 / 188 * 188));
    check_against_programs(clip);
}

TEST_CASE("a variable frame rate keeps each frame's own time") {
    const std::string uneven = "-vf \"setpts='(N/25+0.012*mod(N*N,3)+floor(N/20)*0.4)/TB'\" -fps_mode vfr  ";
    for (const std::string name : {"uneven.mp4", "uneven.mkv"}) {
        const auto table = checked(name, h264 + uneven + "-enc_time_base 1/90000 ");
        CHECK(table->info().variable_rate);
    }
    CHECK_FALSE(checked("plain.mp4", h264)->info().variable_rate);
}

TEST_CASE("a clip that does not begin at zero keeps its own clock") {
    const auto whole = made_clip("plain.mp4", h264);
    const auto table = checked("late.mkv", "-i " + quoted(whole) + " -c copy -output_ts_offset 5 ");
    CHECK(table->time(0) >= plumbmark::base::Time{5'000'000'000});
    CHECK(table->frame_at(plumbmark::base::Time{0}) == -1);
    checked("late.ts", "-i " + quoted(whole) + " -c copy -output_ts_offset 5 ");
}

TEST_CASE("hidden pictures of VP8 and VP9 get no number") {
    checked("hidden-vp9.webm", source +
                                   "-c:v libvpx-vp9 -b:v 120k -auto-alt-ref 1 -lag-in-frames 16 -g 30 "
                                   "-deadline realtime -cpu-used 8 ");
    checked("hidden-vp8.webm", source +
                                   "-c:v libvpx -b:v 120k -auto-alt-ref 1 -lag-in-frames 16 -g 30 "
                                   "-deadline realtime -cpu-used 8 ");
}

TEST_CASE("gradual refresh offers no start that would show half a picture") {
    const auto table = checked("refresh.mp4", h264 + "-x264-params intra-refresh=1:keyint=20 ");
    CHECK(table->group_start(60) == 0);
}

TEST_CASE("interlaced, ten-bit and intra-only clips are exact") {
    checked("fields.ts", h264 + "-flags +ilme+ildct -x264-params interlaced=1 ");
    checked("fields.mpg", source + "-c:v mpeg2video -flags +ilme+ildct -b:v 1M ");
    const auto deep =
        checked("deep.mp4", source +
                                "-pix_fmt yuv420p10le -c:v libx265 -preset ultrafast -x265-params "
                                "log-level=none:pools=1 ");
    CHECK(deep->info().bit_depth == 10);
    checked("intra.mov", source + "-c:v prores_ks -pix_fmt yuv422p10le ");
    checked("intra.avi", source + "-c:v mjpeg -q:v 5 ");
    checked("part2.mp4", source + "-c:v mpeg4 -bf 2 -g 12 ");
    checked("part2.avi", source + "-c:v mpeg4 -bf 2 -g 12 ");
}

TEST_CASE("a later video stream can be chosen, and one that is not there is refused by name") {
    const auto clip =
        made_clip("two-streams.mkv", source +
                                         "-f lavfi -i testsrc=s=96x64:r=10:d=2 -map 0 -map 1 -c:v "
                                         "libx264 -preset veryfast ");
    Conformance second;
    second.stream = 1;
    const auto table = check_against_programs(clip, second);
    CHECK(table->size() == 20);
    CHECK(table->info().width == 96);
    CHECK(table->info().streams.size() == 2);
    ScanOptions third;
    third.stream = 2;
    const auto refused = scan_clip(clip, third);
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().text() ==
          "two-streams.mkv: There is no video stream 2; the file has streams 0 to 1.");
}
