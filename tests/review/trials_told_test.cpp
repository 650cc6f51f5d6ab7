// The tester's book as it is told, the photographs of its rigs, and how a rig is written in a line.
#include "review/trials_told.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <set>
#include <string>

#include "media/still.h"
#include "review/rig_text.h"
#include "store/meet_file.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

using namespace plumbmark;

namespace {

meet::State sample() {
    store::OpenOptions reading;
    reading.read_only = true;
    const auto file =
        store::MeetFile::open((test::source_folder() / "sample_clips/pier-nine.meet").string(), reading);
    REQUIRE(file.ok());
    return file->loaded();
}

void apply(meet::State& state, const base::Result<meet::Change>& change) {
    INFO((change ? std::string() : change.error().text()));
    REQUIRE(change.ok());
    REQUIRE(state.apply(*change).ok());
}

meet::RunId run_of(const meet::State& state, const std::string& label) {
    for (const auto& [id, run] : state.runs())
        if (run.label == label) return id;
    FAIL("no such run");
    return {};
}

/// As on a machine where none of the clips is where it was.
meet::State without_places(meet::State state) {
    const auto clips = state.clips();
    for (const auto& [id, clip] : clips) {
        meet::Clip moved = clip;
        moved.relative_path = "gone/" + moved.name + ".mp4";
        moved.last_known_path.clear();
        apply(state, meet::Change{"away", {{clip, moved}}, 0});
    }
    return state;
}

void write_picture(const std::filesystem::path& file, int width, int height) {
    media::RgbaImage image{width, height,
                           std::vector<std::uint8_t>(4UL * static_cast<std::size_t>(width * height), 200)};
    const auto jpeg = media::encode_jpeg(image, 90);
    REQUIRE(jpeg.ok());
    std::ofstream(file, std::ios::binary)
        .write(reinterpret_cast<const char*>(jpeg->data()), static_cast<std::streamsize>(jpeg->size()));
}

}  // namespace

TEST_CASE("a photograph is shown where its file is the one that was noted and else it is said why not") {
    const test::TemporaryFolder folder;
    const std::filesystem::path meet = folder / "open.meet";
    for (const char* name : {"there.jpg", "other.jpg", "gone.jpg"})
        write_picture(folder / name, 800, 400);
    std::ofstream(folder / "words.jpg") << "no picture";
    meet::State state = sample();
    apply(state, review::rig_change(state, meet, {{}, "bollard_hop", {{"bollard", "plate 2", 620}}, {}, ""},
                                    {folder / "there.jpg", folder / "other.jpg", folder / "gone.jpg",
                                     folder / "words.jpg"}));
    write_picture(folder / "other.jpg", 640, 400);
    std::filesystem::remove(folder / "gone.jpg");
    meet::RigState rig = state.rigs().rbegin()->second;
    rig.photos.push_back({"", std::string(64, 'a'), 0});

    const auto pictures = review::rig_pictures(meet, rig, {});
    REQUIRE(pictures.ok());
    REQUIRE(pictures->size() == 5);
    const report::RigPicture& there = (*pictures)[0];
    REQUIRE(there.picture.has_value());
    CHECK(there.picture->width == 640);
    CHECK(there.picture->height == 320);
    CHECK(there.file == "there.jpg");
    CHECK(there.sha256 == rig.photos[0].sha256);
    const auto why = [&](std::size_t i) {
        CHECK_FALSE((*pictures)[i].picture.has_value());
        return (*pictures)[i].no_picture.english();
    };
    CHECK(why(1).find("another one than was noted") != std::string::npos);
    CHECK(why(2).find("not there") != std::string::npos);
    CHECK((*pictures)[2].looked_for == (folder / "gone.jpg").string());
    CHECK(why(3).find("no picture that can be read") != std::string::npos);
    CHECK(why(4).find("erased") != std::string::npos);

    review::RigPictureWish wish;
    std::stop_source stopped;
    stopped.request_stop();
    wish.stop = stopped.get_token();
    const auto left = review::rig_pictures(meet, rig, wish);
    REQUIRE_FALSE(left.ok());
    CHECK(left.error().category == base::Category::cancelled);
}

TEST_CASE("the document has rigs and releases of each station with the names that the meet has") {
    meet::State state = sample();
    meet::Tester tester;
    tester.name = "Tern";
    apply(state, review::tester_change(state, tester));
    for (const char* hook : {"hook 3", "hook 4"})
        apply(state, review::rig_change(state, "open.meet",
                                        {{}, "hawser_swing", {{"hawser", hook, 2'250}}, {}, ""}, {}));
    for (const std::int64_t at : {3'000, 1'000, 2'000}) {
        meet::Release release{
            {state.next_id(meet::Kind::release)}, "hawser_swing", std::string(64, 'a'), {1}, "Tern", "", at};
        apply(state, meet::Change{"a release", {{std::nullopt, release}}, 0});
    }
    std::vector<double> shares;
    review::TrialBookWish wish;
    wish.progress = [&](double share) { shares.push_back(share); };
    const auto document = review::work_out_trials(
        (test::source_folder() / "sample_clips/pier-nine.meet").string(), state, wish);
    REQUIRE(document.ok());
    REQUIRE(document->stations.size() == 3);
    const report::TrialsStation& swing = document->stations[1];
    REQUIRE(swing.rigs.size() == 2);
    CHECK(swing.rigs.back().rig.items[0].where == "hook 4");
    REQUIRE(swing.releases.size() == 3);
    CHECK(swing.releases[0].signed_at_ms == 1'000);
    CHECK(swing.releases[2].signed_at_ms == 3'000);
    CHECK(document->stations[0].rigs.empty());
    CHECK(document->surfaces.at("coil_deck") == "coil deck");
    CHECK(document->testers.at({1}) == "Tern");
    CHECK(document->runs.size() == state.runs().size());
    CHECK_FALSE(document->program_version.empty());
    CHECK_FALSE(document->people_told);

    meet::Trial trial;
    trial.station = "bollard_hop";
    trial.tester = {1};
    trial.run = state.runs().begin()->first;
    apply(state, review::rig_change(state, "open.meet", {{}, "bollard_hop", {}, {}, ""}, {}));
    apply(state, review::trial_change(state, trial));
    REQUIRE(
        review::work_out_trials((test::source_folder() / "sample_clips/pier-nine.meet").string(), state, wish)
            .ok());
    REQUIRE_FALSE(shares.empty());
    CHECK(std::is_sorted(shares.begin(), shares.end()));
    CHECK(shares.back() == Approx(1));
    wish.stopped = [] { return true; };
    const auto stopped = review::work_out_trials(
        (test::source_folder() / "sample_clips/pier-nine.meet").string(), state, wish);
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().category == base::Category::cancelled);
}

TEST_CASE("the sheet's pictures are the frames of its open items with what was drawn there") {
    meet::State state = sample();
    const std::filesystem::path meet = test::source_folder() / "sample_clips/pier-nine.meet";
    meet::Tester tester;
    tester.name = "Tern";
    apply(state, review::tester_change(state, tester));
    apply(state,
          review::rig_change(state, meet, {{}, "hawser_swing", {{"hawser", "hook 3", 2'250}}, {}, ""}, {}));
    meet::Trial trial;
    trial.station = "hawser_swing";
    trial.tester = {1};
    trial.run = run_of(state, "run 2");
    apply(state, review::trial_change(state, trial));
    review::TrialBookWish wish;
    wish.station = "hawser_swing";
    auto document = review::work_out_trials(meet, state, wish);
    REQUIRE(document.ok());
    const auto open_with_frames = [&] {
        std::vector<const study::Question*> all;
        for (const study::Question* one : document->stations[0].report.open())
            if (one->still) all.push_back(one);
        return all;
    };
    // The one way there is was tried and failed: a foot on the floor (the sample's truth file).
    const auto open = open_with_frames();
    REQUIRE_FALSE(open.empty());
    std::vector<double> shares;
    REQUIRE(review::add_sheet_pictures(*document, meet, state, [&](double share) {
                shares.push_back(share);
            }).ok());
    CHECK(std::is_sorted(shares.begin(), shares.end()));
    REQUIRE_FALSE(shares.empty());
    CHECK(shares.back() == 1);
    for (const study::Question* one : open) {
        const report::QuestionStill* still = report::still_of(document->stations[0], *one);
        REQUIRE(still != nullptr);
        INFO(still->no_picture.english());
        REQUIRE(still->picture.has_value());
        CHECK(still->picture->width <= 640);
        CHECK(still->picture->height <= 480);
        // What the station names is drawn, and no other station's.
        std::set<std::string> names;
        for (const report::StillOutline& outline : still->outlines)
            names.insert(outline.name);
        CHECK(names.contains("gantry deck"));
        CHECK_FALSE(names.contains("first bollard"));
        REQUIRE(state.marks().count(one->mark) == 1);
        CHECK(still->part == state.marks().at(one->mark).alternatives.front().part);
    }
    // The athlete of this run agreed to be seen.
    CHECK(document->faces.find("where every athlete has agreed") != std::string::npos);

    // What is not shown has the frame at which it is to be looked at again, where no mark is there.
    meet::State unsure = state;
    trial.run = run_of(unsure, "run 4");
    apply(unsure, review::trial_change(unsure, trial));
    const auto again = review::work_out_trials(meet, unsure, wish);
    REQUIRE(again.ok());
    const auto open_again = again->stations[0].report.open();
    const auto doubtful = std::find_if(open_again.begin(), open_again.end(), [](const study::Question* one) {
        return one->kind == study::QuestionKind::not_shown;
    });
    REQUIRE(doubtful != open_again.end());
    CHECK((*doubtful)->remedy == study::Remedy::look_again);
    REQUIRE((*doubtful)->still.has_value());
    // The stretch to be watched ends at 0:06.856, of 60 frames a second.
    CHECK((*doubtful)->still->frame.number == 411);

    // Where the clips are not, it is said, and nothing of this machine is.
    const test::TemporaryFolder folder;
    auto away = review::work_out_trials(folder / "open.meet", without_places(state), wish);
    REQUIRE(away.ok());
    REQUIRE(review::add_sheet_pictures(*away, folder / "open.meet", without_places(state)).ok());
    REQUIRE_FALSE(away->stations[0].stills.empty());
    for (const report::QuestionStill& still : away->stations[0].stills) {
        CHECK_FALSE(still.picture.has_value());
        CHECK(still.no_picture.english().find("is not there") != std::string::npos);
        CHECK(still.no_picture.english().find(folder.path().string()) == std::string::npos);
    }
    CHECK(away->faces.empty());

    std::stop_source stopped;
    stopped.request_stop();
    const auto left = review::add_sheet_pictures(*document, meet, state, {}, stopped.get_token());
    REQUIRE_FALSE(left.ok());
    CHECK(left.error().category == base::Category::cancelled);
}

TEST_CASE("a rig is read from a line and written as one") {
    const auto items = review::read_rig_items(" hawser ; hook 3 ; 2.25 | crash mat | beam;;0.4|rope;rail ");
    REQUIRE(items.ok());
    const std::vector<meet::RigItem> expected{
        {"hawser", "hook 3", 2'250}, {"crash mat", "", {}}, {"beam", "", 400}, {"rope", "rail", {}}};
    CHECK(*items == expected);
    CHECK(review::rig_items_text(*items) == "hawser;hook 3;2.25 | crash mat | beam;;0.4 | rope;rail");
    CHECK(*review::read_rig_items(review::rig_items_text(*items)) == expected);
    CHECK(review::read_rig_items("  ")->empty());
    const auto files = review::read_photo_files(" a.jpg|/pier/b c.png | ", "/meets");
    CHECK(files == std::vector<std::filesystem::path>{"/meets/a.jpg", "/pier/b c.png"});
    CHECK(review::photo_files_text(files) == "/meets/a.jpg | /pier/b c.png");
    CHECK(review::read_photo_files(review::photo_files_text(files), "/") == files);
    CHECK(review::read_photo_files("  ", "/meets").empty());
    for (const char* wrong : {"hawser;hook;high", ";hook 3", "hawser;hook 3;2.25;4", "hawser | | mat",
                              "a;b;-1", "a;b;1e9", "a;b;2.25 m"}) {
        INFO(wrong);
        const auto refused = review::read_rig_items(wrong);
        REQUIRE_FALSE(refused.ok());
        CHECK(refused.error().category == base::Category::bad_input);
        CHECK(refused.error().text().find("is no item of a rig") != std::string::npos);
    }
}
