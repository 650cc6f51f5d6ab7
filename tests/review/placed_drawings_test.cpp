// Drawings in pictures that leave the meet, held against a clip that is rendered with a known motion of the
// camera.
#include "review/internal/placed_drawings.h"

#include <array>
#include <catch2/catch.hpp>
#include <filesystem>

#include "bench_follow/shaken_clip.h"
#include "media/frame_reader.h"
#include "media/frame_table.h"
#include "review/export_clip.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace plumbmark;
using plumbmark::test::TemporaryFolder;
using namespace plumbmark::shaken_clip;

namespace {

constexpr std::int64_t kStill = 3;
const std::vector<std::array<double, 2>> kOutline{{200, 200}, {300, 210}, {290, 280}, {205, 270}};

meet::State with_drawings(const std::vector<meet::Drawing>& drawings) {
    meet::State state;
    meet::Clip clip;
    clip.id = {1};
    clip.name = "camera A";
    clip.frame_count = kFrames;
    clip.time_base = {1, 15360};
    meet::Athlete athlete;
    athlete.id = {1};
    athlete.number = "41";
    athlete.consent = meet::Consent::given;
    meet::Run run;
    run.id = {1};
    run.athlete = {1};
    run.label = "run 1";
    run.clips = {{1}};
    meet::Change change{"set up", {{std::nullopt, athlete}, {std::nullopt, clip}, {std::nullopt, run}}, 0};
    for (const meet::Drawing& drawing : drawings)
        change.edits.push_back({std::nullopt, drawing});
    REQUIRE(state.apply(change).ok());
    return state;
}

meet::Drawing outline(std::int64_t id, const std::string& key, std::optional<meet::FrameRef> still) {
    meet::Drawing drawing{{id}, {1}, meet::DrawingKind::surface, key, kOutline, {}};
    drawing.still = still;
    return drawing;
}

}  // namespace

TEST_CASE("pictures that leave the meet have a drawing where the scene is and none where it is lost") {
    const TemporaryFolder folder;
    const auto clip = make(folder.path());
    if (!clip) return;
    const auto table = std::make_shared<const media::FrameTable>(media::scan_clip(*clip).value());
    auto reader = media::FrameReader::open(*clip, table);
    REQUIRE(reader.ok());
    const meet::Drawing fixed = outline(1, "fixed", std::nullopt);
    const meet::Drawing followed = outline(2, "followed", meet::FrameRef{kStill, 0});
    review::PlacedDrawings placed(with_drawings({fixed, followed}), {1});
    const auto frames = [&](std::int64_t n) { return reader->read_alone(n); };
    for (const int frame : {60, 61, 41, 3, 85}) {
        CAPTURE(frame);
        const auto here = placed.in(frame, frames);
        REQUIRE(here.size() == (covered(frame) ? 1 : 2));
        CHECK(here[0] == fixed);
        if (covered(frame)) continue;
        const follow::Mapping expected = truth(kStill, frame);
        for (std::size_t i = 0; i < kOutline.size(); ++i) {
            const auto where = expected(kOutline[i]);
            REQUIRE(where);
            CHECK(std::hypot(here[1].points[i][0] - (*where)[0], here[1].points[i][1] - (*where)[1]) < 1.5);
        }
        if (frame == kStill) CHECK(here[1] == followed);
    }
    // The still itself cannot be read: as on the desk the drawing stays.
    const meet::Drawing beyond = outline(1, "beyond", meet::FrameRef{kFrames + 5, 0});
    CHECK(review::PlacedDrawings(with_drawings({beyond}), {1}).in(20, frames) == std::vector{beyond});
}

TEST_CASE("an exported still has no outline where the lens is covered and one where the scene is seen") {
    const TemporaryFolder folder;
    const auto clip = make(folder.path());
    if (!clip) return;
    const auto bytes = [&](const std::vector<meet::Drawing>& drawings, std::int64_t frame) {
        review::ExportWork work;
        work.state = with_drawings(drawings);
        work.run = {1};
        work.wish.clip = {1};
        work.wish.still = true;
        work.wish.out = folder / "given-out.png";
        work.first = work.last = frame;
        work.file = *clip;
        work.table = std::make_shared<const media::FrameTable>(media::scan_clip(*clip).value());
        const auto made = review::carry_out_export(work);
        INFO((made.ok() ? "" : made.error().text()));
        REQUIRE(made.ok());
        return test::bytes_of(work.wish.out);
    };
    const meet::Drawing followed = outline(1, "deck", meet::FrameRef{kStill, 0});
    CHECK(bytes({followed}, 42) == bytes({}, 42));
    CHECK(bytes({followed}, 60) != bytes({}, 60));
    // Not where it was drawn, either.
    CHECK(bytes({followed}, 60) != bytes({outline(1, "deck", std::nullopt)}, 60));
}
