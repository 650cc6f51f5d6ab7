// Which streams of a clip's file were chosen: kept in the meet file and its journal.
#include <SQLiteCpp/SQLiteCpp.h>

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>

#include "store/meet_file.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

using namespace plumbmark;
using namespace plumbmark::store;

namespace {

// Of the format before clips had streams to choose.
const std::filesystem::path kFormat1 =
    test::source_folder() / "tests" / "store" / "old-files" / "format-1.meet";

std::filesystem::path copy_of_format_1(const test::TemporaryFolder& folder) {
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat1, path);
    return path;
}

OpenOptions reading() {
    OpenOptions options;
    options.read_only = true;
    return options;
}

meet::Change with_streams(const meet::Clip& clip, const meet::StreamChoice& streams) {
    meet::Clip chosen = clip;
    chosen.streams = streams;
    return {"other streams", {{clip, chosen}}, 0};
}

meet::Clip first_clip(const std::filesystem::path& path) {
    return MeetFile::open(path, reading())->loaded().clips().begin()->second;
}

}  // namespace

TEST_CASE("chosen streams are kept, and taking the choice back leaves none") {
    const test::TemporaryFolder folder;
    const auto path = copy_of_format_1(folder);
    const meet::State before = MeetFile::open(path, reading())->loaded();
    for (const meet::StreamChoice& choice : {meet::StreamChoice{1, 0}, meet::StreamChoice{std::nullopt, 3},
                                             meet::StreamChoice{2, std::nullopt}, meet::StreamChoice{}}) {
        {
            auto file = MeetFile::open(path);
            REQUIRE(file.ok());
            (void)file->submit(with_streams(file->loaded().clips().begin()->second, choice));
            REQUIRE(file->flush().ok());
        }
        CHECK(first_clip(path).streams == choice);
    }
    CHECK(MeetFile::open(path, reading())->loaded() == before);
    const auto report = verify_chain(path);
    REQUIRE(report.ok());
    INFO(report->sentence);
    CHECK(report->whole);
}

TEST_CASE("a file of the format before is read without a change to it, and no stream is chosen in it") {
    const test::TemporaryFolder folder;
    const auto path = copy_of_format_1(folder);
    CHECK(first_clip(path).streams == meet::StreamChoice{});
    const auto bytes = [](const std::filesystem::path& file) {
        std::ifstream in(file, std::ios::binary);
        return std::string(std::istreambuf_iterator<char>(in), {});
    };
    CHECK(bytes(path) == bytes(kFormat1));
}

TEST_CASE("a stream that no file has is refused") {
    const test::TemporaryFolder folder;
    meet::State state = MeetFile::open(copy_of_format_1(folder))->loaded();
    const meet::Clip clip = state.clips().begin()->second;
    for (const meet::StreamChoice& bad :
         {meet::StreamChoice{-1, {}}, meet::StreamChoice{{}, -1}, meet::StreamChoice{1'000'000, {}}}) {
        const auto applied = state.apply(with_streams(clip, bad));
        REQUIRE_FALSE(applied.ok());
        CHECK(applied.error().sentence.english().find("stream") != std::string::npos);
    }
}

TEST_CASE("a choice of streams that was changed beside the journal is found by verifying") {
    const test::TemporaryFolder folder;
    const auto path = copy_of_format_1(folder);
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        (void)file->submit(with_streams(file->loaded().clips().begin()->second, {1, {}}));
        REQUIRE(file->flush().ok());
    }
    SQLite::Database(path.string(), SQLite::OPEN_READWRITE).exec("UPDATE clip_stream SET video = 0");
    const auto report = verify_chain(path);
    REQUIRE(report.ok());
    CHECK_FALSE(report->whole);
}
