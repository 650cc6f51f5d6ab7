// The package of a ruling: its marks come to the same ruling when they are ruled again from it alone, and the
// name of an athlete who refused consent is nowhere in it.
#include "review/ruling_package.h"

#include <catch2/catch.hpp>
#include <filesystem>

#include "review/internal/without_name.h"
#include "store/meet_file.h"
#include "store/packed_review.h"
#include "support/agreed_meet.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

using namespace plumbmark;
using review::RuledAgain;
using review::RulingPackage;
using review::Session;
using store::PackageFile;
namespace fs = std::filesystem;

const fs::path kSamples = test::source_folder() / "sample_clips";

std::unique_ptr<Session> open_at(const fs::path& meet, const std::string& label) {
    review::SessionOptions options;
    options.read_only = true;
    auto session = Session::open(meet, options);
    REQUIRE(session.ok());
    for (const auto& [id, run] : (*session)->state().runs()) {
        if (run.label == label) (*session)->select_run(id);
    }
    REQUIRE((*session)->settle().ok());
    return std::move(*session);
}

RulingPackage packed(const fs::path& meet, const std::string& label) {
    auto made = review::pack_ruling(*open_at(meet, label));
    INFO((made ? "" : made.error().text()));
    REQUIRE(made.ok());
    return std::move(*made);
}

std::string& bytes_in(RulingPackage& package, const std::string& path) {
    for (PackageFile& file : package.files) {
        if (file.path == path) return file.bytes;
    }
    FAIL("no file " << path);
    throw std::logic_error("unreachable");
}

void replace(std::string& text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    INFO(from << " in " << text.substr(0, 2'000));
    REQUIRE(at != std::string::npos);
    text.replace(at, from.size(), to);
}

meet::CameraLens phone() {
    meet::CameraLens lens;
    lens.id = {1};
    lens.camera = "phone at the pier end";
    lens.width = 1280;
    lens.height = 720;
    lens.fx = lens.fy = 1000.125;
    lens.source = "chessboard, 13 pictures, 0.39 px";
    return lens;
}

/// With the measured lens of the phone.
meet::CameraStand stand_at(std::int64_t id, meet::ClipId clip, std::int64_t frame) {
    const meet::PlanPlace place{meet::DrawingKind::surface, "coil_deck", 2};
    const meet::PlanPlace end{meet::DrawingKind::plane, "line", 1};
    meet::CameraStand stand;
    stand.id = {id};
    stand.clip = clip;
    stand.still = {frame, frame * 512};
    stand.knowledge = meet::LensKnown::measured;
    stand.lens = {1};
    stand.points = {{place, {100.0625, 1.0 / 3}, 1.5}};
    stand.edges = {{place, end, {{1, 2}, {3, 4}}, 1}};
    return stand;
}

/// Two stands with one lens, the second of them found with it; and the run's first mark points and was
/// measured.
void store_cameras(const fs::path& meet_path, const std::string& label) {
    auto file = store::MeetFile::open(meet_path);
    REQUIRE(file.ok());
    const meet::State& state = file->loaded();
    const auto run = std::find_if(state.runs().begin(), state.runs().end(),
                                  [&](const auto& one) { return one.second.label == label; });
    REQUIRE(run != state.runs().end());
    meet::CameraStand second = stand_at(2, run->second.clips.back(), 44);
    second.knowledge = meet::LensKnown::focal_and_radial;
    second.lens = {};
    const auto elsewhere = std::find_if(state.clips().begin(), state.clips().end(), [&](const auto& one) {
        const auto& clips = run->second.clips;
        return std::find(clips.begin(), clips.end(), one.first) == clips.end();
    });
    REQUIRE(elsewhere != state.clips().end());
    meet::CameraLens other = phone();
    other.id = {2};
    meet::CameraStand of_another_run = stand_at(3, elsewhere->first, 1);
    of_another_run.lens = {2};
    const meet::Mark mark = *state.marks_of(run->first).begin();
    meet::Mark measured = mark;
    const meet::Sighting& seen = mark.sightings.front();
    measured.pointed = {{seen.clip, {3, 1'536}, {1, 2}}};
    measured.measured = meet::MeasuredMoment{seen.clip, *seen.late, {1}, {2}};
    file->submit({"cameras",
                  {{std::nullopt, phone()},
                   {std::nullopt, other},
                   {std::nullopt, stand_at(1, run->second.clips.front(), 44)},
                   {std::nullopt, second},
                   {std::nullopt, of_another_run},
                   {mark, measured}},
                  0});
    const auto written = file->flush();
    INFO((written ? "" : written.error().text()));
    REQUIRE(written.ok());
}

}  // namespace

TEST_CASE("where the cameras of a run stood and what its marks had measured is in its package") {
    const test::TemporaryFolder folder;
    // With the clips, and without them, when only frames that something names are packed.
    for (const bool with_clips : {true, false}) {
        CAPTURE(with_clips);
        const fs::path place = folder / (with_clips ? "meet" : "away");
        if (with_clips)
            fs::copy(kSamples, place, fs::copy_options::recursive);
        else
            fs::create_directory(place), fs::copy_file(kSamples / "pier-nine.meet", place / "pier-nine.meet");
        const std::string label = "run 4, both cameras";
        store_cameras(place / "pier-nine.meet", label);
        RulingPackage package = packed(place / "pier-nine.meet", label);
        const auto review = store::read_packed_review(bytes_in(package, "review.json"));
        INFO((review ? "" : review.error().text()));
        REQUIRE(review.ok());
        REQUIRE(review->clips.size() == 2);
        CHECK(review->lenses == std::vector<meet::CameraLens>{phone()});
        REQUIRE(review->stands.size() == 2);
        CHECK(review->stands[0] == stand_at(1, {0}, 44));
        CHECK(review->stands[1].clip.value == 1);
        CHECK(review->stands[1].knowledge == meet::LensKnown::focal_and_radial);
        const auto again = review::rule_again(package.files);
        INFO((again ? "" : again.error().text()));
        REQUIRE(again.ok());
        CHECK(again->difference.empty());
        CHECK(again->other_words.empty());
        const auto refused = [&](const std::string& from, const std::string& to) {
            RulingPackage changed = package;
            replace(bytes_in(changed, "review.json"), from, to);
            const auto outcome = review::rule_again(changed.files);
            REQUIRE_FALSE(outcome.ok());
            return outcome.error().text();
        };
        CHECK(refused("\"lens\": 1", "\"lens\": 7").find("lens 7, which does not exist") !=
              std::string::npos);
        CHECK(refused("\"knowledge\": \"measured\"", "\"knowledge\": \"guessed\"").find("knowledge") !=
              std::string::npos);
        CHECK(refused("\"height\": 720", "\"height\": 0").find("lenses[0].value") != std::string::npos);
    }
}

TEST_CASE(
    "every run of the sample meet is ruled again from its package to the same ruling and the same words") {
    const test::TemporaryFolder folder;
    const fs::path meet = test::agreed_samples(folder / "samples");
    for (const std::string label : {"run 1", "run 2", "run 3", "run 4", "run 4, both cameras"}) {
        INFO(label);
        const RulingPackage package = packed(meet, label);
        CHECK(package.remarks.empty());
        for (const PackageFile& file : package.files)
            CHECK(store::good_package_path(file.path));
        const auto again = review::rule_again(package.files);
        INFO((again ? "" : again.error().text()));
        REQUIRE(again.ok());
        CHECK(again->run == label);
        CHECK(again->difference.empty());
        CHECK(again->other_words.empty());
        CHECK_FALSE(again->sentence.empty());
    }
}

TEST_CASE("a package holds the sheet, the stills, the marks, the clips' SHA-256, the book and the calls") {
    const test::TemporaryFolder folder;
    RulingPackage package = packed(test::agreed_samples(folder / "samples"), "run 4, both cameras");
    CHECK(bytes_in(package, "ruling-sheet.html").find("<!DOCTYPE html>") == 0);
    CHECK(bytes_in(package, "ruling-sheet.pdf").find("%PDF-") == 0);
    CHECK(bytes_in(package, "course-book.course") == test::bytes_of(kSamples / "pier-nine.course"));
    CHECK(bytes_in(package, "calls-and-decisions.json").find("gantry_rungs") == std::string::npos);
    CHECK(bytes_in(package, "calls-and-decisions.json").find("judge at the") != std::string::npos);
    CHECK(bytes_in(package, "rules.json").find("cleared_then_time") != std::string::npos);
    const auto review = store::read_packed_review(bytes_in(package, "review.json"));
    REQUIRE(review.ok());
    REQUIRE(review->clips.size() == 2);
    for (const store::PackedClip& clip : review->clips) {
        CHECK(clip.whole);
        CHECK(clip.clip.content->sha256 == store::sha256_hex(test::bytes_of(kSamples / clip.file)));
    }
    std::size_t stills = 0;
    for (const PackageFile& file : package.files) {
        if (file.path.find("stills/") != 0) continue;
        ++stills;
        CHECK(file.bytes.substr(0, 8) == "\x89PNG\r\n\x1a\n");
    }
    CHECK(stills >= 2);
}

TEST_CASE(
    "a package without its clips lacks stills and says so, and its marks are ruled again all the same") {
    const test::TemporaryFolder folder;
    fs::copy_file(kSamples / "pier-nine.meet", folder / "away.meet");
    RulingPackage package = packed(folder / "away.meet", "run 1");
    REQUIRE(package.remarks.size() == 2);
    CHECK(package.remarks[0].find("cannot be read, so its SHA-256 is not in the package") !=
          std::string::npos);
    CHECK(package.remarks[1].find("no stills") != std::string::npos);
    CHECK_FALSE(store::read_packed_review(bytes_in(package, "review.json"))->clips.front().whole);
    const auto again = review::rule_again(package.files);
    REQUIRE(again.ok());
    CHECK(again->difference.empty());
    CHECK(again->other_words.empty());
}

TEST_CASE("a packed ruling that its marks do not come to is told with the place of the difference") {
    const RulingPackage good = packed(kSamples / "pier-nine.meet", "run 2");
    RulingPackage package = good;
    replace(bytes_in(package, "ruling.json"), "\"verdict\": \"fail\"", "\"verdict\": \"clear\"");
    auto again = review::rule_again(package.files);
    REQUIRE(again.ok());
    CHECK(again->difference.find("stations[") == 0);
    CHECK(again->difference.find("].verdict") != std::string::npos);
    package = good;
    // Another wording alone is no other ruling.
    std::string& ruling = bytes_in(package, "ruling.json");
    replace(ruling, "\"sentence\": \"", "\"sentence\": \"In other words: ");
    again = review::rule_again(package.files);
    REQUIRE(again.ok());
    CHECK(again->difference.empty());
    CHECK_FALSE(again->other_words.empty());
    package = good;
    // Under another book the same marks come to another ruling.
    replace(bytes_in(package, "course-book.course"), "parts = \"any foot\"", "parts = \"both feet\"");
    again = review::rule_again(package.files);
    REQUIRE(again.ok());
    CHECK_FALSE((again->difference + again->other_words).empty());
}

TEST_CASE("files of a package that do not fit each other are told by name, and nothing is ruled") {
    const RulingPackage good = packed(kSamples / "pier-nine.meet", "run 1");
    const auto refused = [&](const std::string& path, const std::string& from, const std::string& to) {
        RulingPackage package = good;
        replace(bytes_in(package, path), from, to);
        const auto again = review::rule_again(package.files);
        REQUIRE_FALSE(again.ok());
        return again.error().text();
    };
    const auto has = [](const std::string& text, const std::string& words) {
        INFO(text);
        return text.find(words) != std::string::npos;
    };
    CHECK(has(refused("marks.json", "{", "["), "marks.json"));
    CHECK(has(refused("marks.json", "\"run-1-a.mp4\"", "\"run-1-a.mp4\", \"odd\": 1"), "marks.json"));
    CHECK(has(refused("review.json", "plumbmark-review/1", "plumbmark-review/9"), "review.json"));
    CHECK(has(refused("review.json", "\"marks\": [", "\"marks\": [999,"), "as many clips, marks"));
    CHECK(has(refused("review.json", "\"pts\": \"", "\"pts\": \"x"), "clips[0].pts"));
    CHECK(has(refused("review.json", "\"division\": \"\"", "\"division\": \"giants\""), "review.json"));
    CHECK(has(refused("course-book.course", "[surfaces]", "[surface]"), "course-book.course"));
    CHECK(has(refused("ruling.json", "\"stations\"", "\"station\""), "ruling.json"));
    RulingPackage package = good;
    package.files.erase(std::find_if(package.files.begin(), package.files.end(),
                                     [](const PackageFile& file) { return file.path == "marks.json"; }));
    CHECK(has(review::rule_again(package.files).error().text(), "marks.json"));
}

TEST_CASE(
    "the name of an athlete who refused consent is in no file of the package, wherever it stood in the "
    "meet") {
    const test::TemporaryFolder folder;
    fs::copy(kSamples, folder / "meet", fs::copy_options::recursive);
    const fs::path meet_path = folder / "meet" / "pier-nine.meet";
    const std::string name = "Merle Quaymarker", first = "Merle", last = "Quaymarker";
    {
        auto file = store::MeetFile::open(meet_path);
        REQUIRE(file.ok());
        const meet::State& state = file->loaded();
        const meet::Run run = state.runs().begin()->second;
        const meet::Athlete athlete = state.athletes().at(run.athlete);
        meet::Athlete refusing = athlete;
        refusing.name = name;
        refusing.club = "Marker Club";
        refusing.consent = meet::Consent::refused;
        meet::Run named = run;
        named.label = "run 1 of " + name;
        named.question = "Did MERLE touch the floor?";
        const meet::Clip clip = state.clips().at(run.clips.front());
        meet::Clip camera = clip;
        camera.name = "camera on Quaymarker";
        const auto mark = std::find_if(state.marks().begin(), state.marks().end(),
                                       [&](const auto& one) { return one.second.run == run.id; });
        meet::Mark noted = mark->second;
        noted.note = "here Merle's foot slips";
        const meet::Appeal appeal{{state.next_id(meet::Kind::appeal)},
                                  run.id,
                                  "bollard_hop",
                                  "Quaymarker was clear",
                                  name,
                                  meet::Capacity::athlete,
                                  {5},
                                  false,
                                  meet::AppealStatus::lodged,
                                  ""};
        const meet::Decision decision{{state.next_id(meet::Kind::decision)},
                                      appeal.id,
                                      ruling::Verdict::clear,
                                      meet::Outcome::call_changed,
                                      meet::Call::clear,
                                      "Merle's foot stayed up",
                                      {6},
                                      {{"Ines Quay", meet::Capacity::head_judge}}};
        meet::CameraLens lens = phone();
        lens.camera = "Merle";
        lens.source = "found by Quaymarker";
        const meet::CameraStand stand = stand_at(1, clip.id, 9);
        file->submit({"names",
                      {{athlete, refusing},
                       {run, named},
                       {clip, camera},
                       {mark->second, noted},
                       {std::nullopt, appeal},
                       {std::nullopt, decision},
                       {std::nullopt, lens},
                       {std::nullopt, stand}},
                      0});
        REQUIRE(file->flush().ok());
    }
    const auto count = [&](const RulingPackage& package) {
        std::size_t found = 0;
        for (const PackageFile& file : package.files) {
            for (const std::string& word : {first, last, std::string("MERLE"), std::string("Marker Club")}) {
                if (file.bytes.find(word) != std::string::npos) ++found;
            }
        }
        return found;
    };
    RulingPackage package = packed(meet_path, "run 1 of " + name);
    CHECK(count(package) == 0);
    CHECK(bytes_in(package, "calls-and-decisions.json").find("Ines Quay") != std::string::npos);
    CHECK(bytes_in(package, "ruling-sheet.html").find("17") != std::string::npos);
    const auto with_lens = store::read_packed_review(bytes_in(package, "review.json"));
    REQUIRE(with_lens.ok());
    REQUIRE(with_lens->lenses.size() == 1);
    CHECK(with_lens->lenses[0].camera == "17");
    CHECK(with_lens->lenses[0].source == "found by 17");
    const auto again = review::rule_again(package.files);
    REQUIRE(again.ok());
    CHECK(again->difference.empty());
    CHECK(again->other_words.empty());
    {
        auto file = store::MeetFile::open(meet_path);
        meet::Athlete athlete = file->loaded().athletes().begin()->second;
        meet::Athlete allowing = athlete;
        allowing.consent = meet::Consent::given;
        file->submit({"consent", {{athlete, allowing}}, 0});
        REQUIRE(file->flush().ok());
    }
    CHECK(count(packed(meet_path, "run 1 of " + name)) > 5);
}

TEST_CASE("a name is taken out as a whole and by its words, and not out of longer words") {
    using review::without_name;
    CHECK(without_name("Ann Quay slips; quay wall; Annual", "Ann Quay", "17") == "17 slips; 17 wall; Annual");
    CHECK(without_name("ANN's foot", "Ann Quay", "17") == "17's foot");
    CHECK(without_name("かもめの足", "かもめ", "41") == "41の足");
    CHECK(without_name("Łyska/Łyskaa", "Łyska", "30") == "30/Łyskaa");
    CHECK(without_name("Al Bo", "Al Bo", "9") == "9");
    CHECK(without_name("Al and Bo", "Al Bo", "9") == "Al and Bo");
    CHECK(without_name("nobody", "", "9") == "nobody");
}

TEST_CASE("a packed review reads back as it was written, and what makes no sense is refused with its place") {
    store::PackedReview review;
    review.division = "u14g";
    review.lane = "seaside";
    store::PackedClip clip;
    clip.file = "a.mp4";
    clip.clip.id = {0};
    clip.clip.name = "camera 'A' ☂";
    clip.clip.fingerprint = "ab12";
    clip.clip.time_base = {1, 90'000};
    clip.clip.content = meet::ClipContent{std::string(64, 'c'), -5};
    clip.clip.slowed = meet::Rates{{240, 1}, {30, 1}};
    clip.clip.capture = {{{0, -3'000}, meet::Pace::as_shown, {}}};
    clip.clip.repeated = {{{1, 0}, 2, true}};
    clip.whole = true;
    clip.frames = {{0, -3'000}, {1, 0}, {2, 9'223'372'036'854'775'807}};
    review.clips.push_back(clip);
    clip.whole = false;
    clip.frames = {{3, 5}, {7, 5}};
    review.clips.push_back(clip);
    review.marks = {4, 9};
    review.contacts = {5};
    const std::string without_cameras = store::write_packed_review(review);
    CHECK(without_cameras.find("stands") == std::string::npos);
    CHECK(store::read_packed_review(without_cameras)->stands.empty());
    review.lenses = {phone()};
    review.stands = {stand_at(3, {1}, 7)};
    const std::string text = store::write_packed_review(review);
    const auto read = store::read_packed_review(text);
    INFO((read ? "" : read.error().text()));
    REQUIRE(read.ok());
    CHECK(store::write_packed_review(*read) == text);
    CHECK(read->clips[0].clip == review.clips[0].clip);
    CHECK(read->clips[1].frames == review.clips[1].frames);
    CHECK(read->clips[0].whole);
    CHECK_FALSE(read->clips[1].whole);
    CHECK(read->marks == review.marks);
    CHECK(read->lenses == review.lenses);
    CHECK(read->stands == review.stands);
    const auto problem = [&](const std::string& from, const std::string& to) {
        std::string changed = text;
        replace(changed, from, to);
        const auto again = store::read_packed_review(changed);
        REQUIRE_FALSE(again.ok());
        return again.error().text();
    };
    CHECK(problem("-3000 0 ", "-3000 -4000 ").find("its frames are not in order") != std::string::npos);
    CHECK(problem("\"3 7\"", "\"3\"").find("clips[1].frames") != std::string::npos);
    CHECK(problem("\"3 7\"", "\"7 3\"").find("clips[1]") != std::string::npos);
    CHECK(problem("\"3 7\"", "\"3  7\"").find("clips[1].frames") != std::string::npos);
    CHECK(problem("\"clip\": 1", "\"clip\": 2").find("stands[0].value.clip") != std::string::npos);
    CHECK(problem("\"corner\": 2", "\"corner\": -2").find("corner") != std::string::npos);
    CHECK(problem("9223372036854775807", "9223372036854775808").find("clips[0].pts") != std::string::npos);
    CHECK(problem("\"time_base_den\": \"90000\"", "\"time_base_den\": \"0\"").find("clips[0].facts") !=
          std::string::npos);
}
