// The matrix of small made clips (tests/tools/make-conformance) against the ffmpeg and ffprobe programs.
#include <catch2/catch.hpp>
#include <map>
#include <set>
#include <sstream>

#include "media/conformance.h"
#include "media/reference.h"
#include "support/test_places.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;

namespace {

std::filesystem::path matrix() {
    const auto folder = plumbmark::test::build_folder() / "conformance";
    static const std::string words =
        output_of(quoted(plumbmark::test::source_folder() / "tests/tools/make-conformance") + " " +
                  quoted(folder) + " 2>&1");
    INFO(words);
    REQUIRE(std::filesystem::exists(folder / "stamp.txt"));
    return folder;
}

std::vector<std::vector<std::string>> listed_clips() {
    std::vector<std::vector<std::string>> clips;
    for (const std::string& line : lines_of(read_file(matrix() / "list.txt"))) {
        std::istringstream words(line);
        std::vector<std::string> clip;
        for (std::string word; words >> word;)
            clip.push_back(word);
        clips.push_back(std::move(clip));
        REQUIRE(clips.back().size() == 8);
    }
    return clips;
}

}  // namespace

TEST_CASE("every clip of the conformance matrix has ffmpeg's frames at ffprobe's times in every order") {
    for (const auto& clip : listed_clips())
        check_against_programs(matrix() / clip[0], how_to_compare(clip[0]));
}

TEST_CASE("the conformance matrix holds every container, codec and trap, and the clips are what they say") {
    std::set<std::string> values;
    for (const auto& clip : listed_clips()) {
        INFO(clip[0]);
        values.insert(clip.begin() + 1, clip.end());
        const auto table = scan_clip(matrix() / clip[0]);
        REQUIRE(table.ok());
        const ClipInfo& info = table->info();
        static const std::map<std::string, std::string> names{{"mpeg2", "mpeg2video"}};
        CHECK(info.codec == (names.contains(clip[2]) ? names.at(clip[2]) : clip[2]));
        CHECK(info.bit_depth == std::stoi(clip[6]));
        CHECK((info.quarter_turns != 0) == (clip[7] == "turned"));
        CHECK(info.variable_rate == (clip[5] == "variable"));
        CHECK(info.damage.empty());
        CHECK(table->bad_stretches().empty());
        if (clip[5] == "late") CHECK(table->time(0) >= plumbmark::base::Time{4'900'000'000});
        if (clip[5] == "edited") CHECK(table->size() < 30);
        if (clip[4] == "interlaced" && clip[1] != "avi") {
            CHECK(
                (info.field_order == FieldOrder::top_first || info.field_order == FieldOrder::bottom_first));
        }
    }
    for (const char* value :
         {"mp4",      "mov",       "mkv",    "webm",        "ts",         "avi",     "h264",
          "hevc",     "vp9",       "av1",    "mpeg2",       "mjpeg",      "prores",  "alone",
          "closed",   "reordered", "open",   "progressive", "interlaced", "fields",  "steady",
          "variable", "late",      "edited", "8",           "10",         "upright", "turned"}) {
        INFO(value);
        CHECK(values.contains(value));
    }
}
