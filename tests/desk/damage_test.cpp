// Damage in words and in time, on clips that are damaged on purpose.
#include "desk/damage.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>

#include "desk/test_meet.h"
#include "support/in_language.h"

using namespace plumbmark;
using namespace plumbmark::desk;
namespace fs = std::filesystem;

namespace {

bool run(const std::string& command) {
    return std::system(command.c_str()) == 0;
}

/// Bytes in the middle of the file overwritten.
void spoil(const fs::path& file, std::uintmax_t from, std::size_t bytes) {
    std::fstream stream(file, std::ios::binary | std::ios::in | std::ios::out);
    stream.seekp(static_cast<std::streamoff>(from));
    stream << std::string(bytes, '\xFF');
    REQUIRE(stream.good());
}

}  // namespace

TEST_CASE("a clip that is cut short tells after its last frame what is missing") {
    const test::TemporaryFolder folder;
    const auto whole = test::make_clip(folder.path(), "a.mkv", 60);
    if (!whole) {
        std::cout << "skipped: the program ffmpeg is not installed\n";
        return;
    }
    fs::resize_file(*whole, fs::file_size(*whole) * 6 / 10);
    const auto table = media::scan_clip(*whole);
    REQUIRE(table);
    const std::int64_t last = table->size() - 1;
    REQUIRE(last > 5);
    const auto stretches = damaged_stretches(*table);
    REQUIRE_FALSE(stretches.empty());
    const DamagedStretch& end = stretches.back();
    CHECK(end.frame == last);
    CHECK(end.from <= end.until);
    CHECK(end.until <= end.lean_until);
    CHECK(end.words.find("after the last frame: the file ends here") != std::string::npos);
    CHECK(damage_at(*table, last).find("the file ends") != std::string::npos);
    CHECK(damage_at(*table, 2).empty());
    CHECK(damage_summary(*table) ==
          (stretches.size() == 1 ? "1 damaged place" : std::to_string(stretches.size()) + " damaged places"));
    // The same table, read in English, says it in German as well.
    const test::InLanguage german("de");
    CHECK(damaged_stretches(*table).back().words.find(
              "nach dem letzten Bild: die Datei endet hier, vor der Länge, die sie angibt") !=
          std::string::npos);
}

TEST_CASE("spoilt packets are told by their frames, what leans on them too, and good frames say nothing") {
    const test::TemporaryFolder folder;
    const auto whole = test::make_clip(folder.path(), "a.mp4", 96);
    if (!whole) {
        std::cout << "skipped: the program ffmpeg is not installed\n";
        return;
    }
    const fs::path clip = folder.path() / "a.ts";
    REQUIRE(run("ffmpeg -v error -i '" + whole->string() + "' -c copy '" + clip.string() + "'"));
    const std::uintmax_t size = fs::file_size(clip);
    spoil(clip, size / 2 / 188 * 188, std::size_t{188} * 6);
    const auto table = media::scan_clip(clip);
    REQUIRE(table);
    const auto& bad = table->bad_stretches();
    REQUIRE_FALSE(bad.empty());
    const auto stretches = damaged_stretches(*table);
    REQUIRE(stretches.size() == bad.size());
    for (std::size_t i = 0; i < bad.size(); ++i) {
        INFO(stretches[i].words);
        CHECK(stretches[i].words.find(bad[i].what) != std::string::npos);
        CHECK(stretches[i].from == bad[i].from.ns);
        if (bad[i].last < bad[i].first) continue;
        CHECK(stretches[i].frame == bad[i].first);
        for (std::int64_t n = bad[i].first; n <= bad[i].last; ++n)
            CHECK(damage_at(*table, n).starts_with("damaged: "));
        if (bad[i].lean_until == bad[i].last) continue;
        CHECK(stretches[i].words.find("up to f " + std::to_string(bad[i].lean_until)) != std::string::npos);
        CHECK_FALSE(damage_at(*table, bad[i].lean_until).empty());
        // Until the frame after the last that leans on it, as far as there is one.
        if (bad[i].lean_until + 1 < table->size())
            CHECK(stretches[i].lean_until == table->time(bad[i].lean_until + 1).ns);
    }
    CHECK(damage_at(*table, 0).empty());
    CHECK(damage_at(*table, bad.back().lean_until + 2 < table->size() ? table->size() - 1 : 0).empty());
}

TEST_CASE("a sound clip has nothing to tell") {
    const test::TemporaryFolder folder;
    const auto clip = test::make_clip(folder.path(), "a.mp4", 20);
    if (!clip) {
        std::cout << "skipped: the program ffmpeg is not installed\n";
        return;
    }
    const auto table = media::scan_clip(*clip);
    REQUIRE(table);
    CHECK(damaged_stretches(*table).empty());
    CHECK(damage_summary(*table).empty());
    for (std::int64_t n = 0; n < table->size(); ++n)
        CHECK(damage_at(*table, n).empty());
    CHECK(damaged_stretches(media::FrameTable()).empty());
}
