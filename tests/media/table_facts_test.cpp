// What a frame table says beside the order of its frames, against ffprobe, and traps that few cameras write.
#include <catch2/catch.hpp>
#include <map>
#include <nlohmann/json.hpp>

#include "media/conformance.h"
#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;

namespace {

const std::string source = "-f lavfi -i testsrc2=s=64x48:r=25 -frames:v 24 ";
const std::string h264 = source + "-c:v libx264 -preset veryfast -g 8 -threads 1 ";

nlohmann::json probed(const std::filesystem::path& clip, const std::string& entries) {
    return nlohmann::json::parse(output_of("ffprobe -v quiet -select_streams v:0 -show_entries " + entries +
                                           " -of json " + quoted(clip) + " 2>/dev/null"));
}

// Each frame's time until the next one's, in time base ticks; the last one's is its packet's own.
std::vector<std::int64_t> durations_by_ffprobe(const std::filesystem::path& clip) {
    std::multimap<std::int64_t, std::int64_t> sorted;
    const auto answer = probed(clip, "packet=pts,duration,flags");
    for (const auto& packet : answer.at("packets")) {
        // The newer ffmpeg program's edit list leaves a last picture that lasts no time out.
        if (packet.at("flags").get<std::string>().find('D') != std::string::npos) continue;
        sorted.emplace(packet.at("pts"), packet.value("duration", std::int64_t{-1}));
    }
    std::vector<std::int64_t> durations;
    for (auto at = sorted.begin(); at != sorted.end(); ++at) {
        const auto next = std::next(at);
        durations.push_back(next == sorted.end() ? at->second : next->first - at->first);
    }
    // Where the file does not say it, the last one lasts as long as the one before.
    if (durations.back() < 0) durations.back() = durations.end()[-2];
    return durations;
}

std::vector<std::int64_t> durations_of(const FrameTable& table) {
    std::vector<std::int64_t> durations;
    for (std::int64_t n = 0; n < table.size(); ++n)
        durations.push_back(table[n].duration);
    return durations;
}

// A bitstream with an end-of-sequence NAL unit (ITU-T H.265, 7.3.2.6: type 36) before each key frame but the
// first: annex B start codes make the place easy to find.
std::string with_end_of_sequence(const std::string& annex_b) {
    static const std::string start("\0\0\1", 3), end("\0\0\1\x48\1", 5);
    std::string made;
    int sets = 0;
    for (std::size_t at = 0; at < annex_b.size();) {
        const bool unit = annex_b.compare(at, 3, start) == 0 && at + 3 < annex_b.size();
        const int type = unit ? (annex_b[at + 3] >> 1) & 0x3F : -1;
        if (type == 32 && sets++ > 0) made += end;  // a video parameter set opens each group
        made += annex_b[at++];
    }
    return made;
}

}  // namespace

TEST_CASE("durations reach to the next frame, the last one's is the file's own") {
    const std::string uneven =
        "-vf \"setpts='(N/25+0.012*mod(N*N,3)+floor(N/10)*0.4)/TB'\" -fps_mode vfr "
        "-enc_time_base 1/90000 ";
    for (const std::string name : {"durations.mp4", "durations.mov", "durations.mkv"}) {
        INFO(name);
        const auto clip = made_clip(name, h264 + uneven);
        const auto table = scan_clip(clip);
        REQUIRE(table.ok());
        CHECK(table->info().variable_rate);
        CHECK(durations_of(*table) == durations_by_ffprobe(clip));
    }
}

TEST_CASE("two frames at one time stay two frames, and the first of them lasts no time") {
    const std::string again =
        "-bf 0 -bsf:v \"setts=pts='if(eq(N,7),PREV_OUTPTS,PTS)':dts='if(eq(N,7),PREV_OUTDTS,DTS)'\" ";
    const auto table = check_against_programs(made_clip("same-time.mkv", h264 + again));
    REQUIRE(table->size() == 24);
    CHECK(table->info().basis == TableBasis::decoded);
    CHECK(table->exact_time(6) == table->exact_time(7));
    CHECK((*table)[6].duration == 0);
    CHECK((*table)[7].duration > 0);
    // Asked by time, the later one is on the screen: it stays until the next frame's time.
    CHECK(table->frame_at(table->time(7)) == 7);
}

TEST_CASE("a gap in the times is the duration of the frame before it") {
    const std::string gap =
        "-bf 0 -vf \"setpts='(N/25+2*gte(N,10))/TB'\" -fps_mode vfr -enc_time_base 1/1000 ";
    const auto clip = made_clip("gap.mkv", h264 + gap);
    const auto table = check_against_programs(clip);
    REQUIRE(table->size() == 24);
    CHECK((*table)[9].duration == 2040);
    CHECK(table->frame_at(plumbmark::base::Time{1'000'000'000}) == 9);
}

TEST_CASE("the order of fields is ffprobe's") {
    const std::map<std::string, FieldOrder> names{{"progressive", FieldOrder::progressive},
                                                  {"tt", FieldOrder::top_first},
                                                  {"bb", FieldOrder::bottom_first},
                                                  {"tb", FieldOrder::top_first},
                                                  {"bt", FieldOrder::bottom_first}};
    const std::string flags = "-flags +ilme+ildct ";
    for (const auto& [name, arguments] :
         {std::pair{"even.mkv", h264},
          {"top.mkv", h264 + "-vf setfield=tff " + flags + "-x264-params interlaced=1:tff=1 "},
          {"bottom.mkv", h264 + "-vf setfield=bff " + flags + "-x264-params interlaced=1:bff=1 "},
          {"top.mov", source + "-vf setfield=tff " + flags + "-c:v prores_ks -pix_fmt yuv422p10le "},
          {"bottom.mov", source + "-vf setfield=bff " + flags + "-c:v prores_ks -pix_fmt yuv422p10le "}}) {
        const auto clip = made_clip(std::string("fields-") + name, arguments);
        const auto table = scan_clip(clip);
        REQUIRE(table.ok());
        const auto answer = probed(clip, "stream=field_order");
        const std::string said = answer.at("streams").at(0).value("field_order", "unknown");
        INFO(name << ", ffprobe says " << said);
        REQUIRE(names.contains(said));
        CHECK(table->info().field_order == names.at(said));
    }
}

TEST_CASE("HEVC with end-of-sequence marks between open groups is exact on every path") {
    const auto plain = made_clip(
        "sequences.hevc",
        "-f lavfi -i testsrc2=s=64x48:r=25 -frames:v 40 -c:v libx265 -preset ultrafast -x265-params "
        "open-gop=1:keyint=8:min-keyint=8:scenecut=0:bframes=2:repeat-headers=1:log-level=none:pools=1 ");
    const std::string bytes = read_file(plain);
    const std::string marked = with_end_of_sequence(bytes);
    REQUIRE(marked.size() == bytes.size() + 4 * 5);  // five groups
    const auto raw = scratch() / "sequences-marked.hevc";
    write_file(raw, marked);
    // In a raw stream a picture leaning on the group before is no longer shown after the mark (ITU-T H.265,
    // 8.1.3: NoRaslOutputFlag).
    const auto table = check_against_programs(raw);
    CHECK(table->size() < 40);
}
