// The tester's book in a terminal, and the sheet of releases, read back by other programs.
#include "report/release_sheet.h"

#include <catch2/catch.hpp>

#include "course/read.h"
#include "documents.h"
#include "printed.h"

using namespace plumbmark;
using Catch::Contains;

namespace {

const std::string kDigest(64, 'a'), kOtherDigest(64, 'b');
const std::string kPhotoDigest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
// 2026-05-02 09:30 UTC.
constexpr std::int64_t kSigned = 1'777'714'200'000;

course::CourseBook book() {
    auto read = course::read_book_or_error(
        "course = \"Harbour hall\"\nrevision = \"2\"\n[surfaces]\npier_a = \"first pier\"\npier_b = \"second "
        "pier\"\n"
        "coil_deck = \"coil deck\"\npost_1 = \"first bollard\"\npost_2 = \"second bollard\"\nhawser = "
        "\"hawser\"\ngantry_deck = \"gantry deck\"\n[[station]]\nkey = \"bollard_hop\"\nname = \"bollard "
        "hop\"\n"
        "exit = \"free\"\nstart = [\"pier_a\", \"pier_b\"]\nin_play = [{ row = [\"post_1\", \"post_2\"], "
        "parts = "
        "\"feet\", max_skipped = 1 }]\n[station.landing]\nsurface = \"coil_deck\"\n[[station]]\nkey = "
        "\"hawser_swing\"\nname = \"hawser swing\"\nexit = \"free\"\nstart = \"coil_deck\"\nin_play = [{ "
        "surface "
        "= "
        "[\"hawser\"], parts = \"hands\" }]\n[station.landing]\nsurface = \"gantry_deck\"\n",
        "two.course");
    INFO((read ? std::string() : read.error().text()));
    REQUIRE(read.ok());
    return *read;
}

study::TrialResult trial(std::int64_t id, const std::string& start, std::vector<std::string> items,
                         study::TrialCame came) {
    study::TrialResult result;
    result.id = {id};
    result.tester = {1};
    result.rig = {1};
    result.start = start;
    result.landing = "coil_deck";
    result.items = std::move(items);
    result.came = came;
    result.by_eye = true;
    return result;
}

report::TrialsStation station_of(const study::StationTrials& trials, const study::TrialsWish& wish) {
    auto report = study::station_report(trials, wish);
    REQUIRE(report.ok());
    report::TrialsStation told{std::move(*report), trials.results, {}, {}, trials.releases};
    for (const meet::RigState& rig : trials.rigs) {
        told.rigs.push_back({rig, {}});
        for (const meet::RigPhoto& photo : rig.photos)
            told.rigs.back().pictures.push_back({photo.path, photo.sha256, std::nullopt, {}, ""});
    }
    return told;
}

/// Bollard hop tried four times, with a photograph that is there and one that is not; hawser swing released
/// and rigged otherwise since.
report::TrialsDocument document() {
    const course::CourseBook course = book();
    report::TrialsDocument out;
    out.program_version = "0.3";
    out.meet_name = "Pier Nine Youth Open";
    out.venue = "Pier Nine, harbour hall";
    out.date = "2026-05-02";
    out.book_name = course.name;
    out.book_revision = course.revision;
    out.wish.bound = 0.8;
    for (const course::Surface& surface : course.surfaces)
        out.surfaces[surface.key] = surface.name;
    out.runs[{4}] = "run 4";
    out.clips[{1}] = "camera A";

    study::StationTrials hop{course, {0}, kDigest, {}, {}, {}, {}, {}};
    using study::TrialCame;
    hop.results = {trial(1, "pier_a", {"post_1", "post_2"}, TrialCame::cleared),
                   trial(2, "pier_a", {"post_1", "post_2"}, TrialCame::cleared),
                   trial(3, "pier_b", {"post_2"}, TrialCame::failed),
                   trial(4, "pier_b", {"post_1"}, TrialCame::not_shown)};
    hop.results[3].by_eye = false;
    hop.results[3].definition = kDigest;
    hop.results[3].run = {4};
    hop.results[3].how = "the left foot is hidden";
    hop.results[3].still = study::Still{{1}, {117, 0}};
    meet::Tester tern;
    tern.id = {1};
    tern.name = "Tern";
    tern.stature_mm = 1'620;
    hop.testers[{1}] = tern;
    hop.rigs = {{{1},
                 "bollard_hop",
                 {{"bollard", "plate 2", 620}},
                 {{"photos/hop.jpg", kPhotoDigest, 0}, {"photos/hop-2.jpg", kOtherDigest, 0}},
                 "dry floor"}};
    hop.closings = {{{1}, "bollard_hop", study::closing_item("clause:out_of_play", kDigest), "seen by all"}};
    out.stations.push_back(station_of(hop, out.wish));
    report::RigPicture& there = out.stations[0].rigs[0].pictures[0];
    there.picture = test::plain_picture(320, 180);
    out.stations[0].rigs[0].pictures[1].no_picture = "The file is not there.";
    out.faces = "Faces in these pictures were searched for by program.";

    study::StationTrials swing{course, {1}, kDigest, {}, {}, {}, {}, {}};
    swing.rigs = {{{2}, "hawser_swing", {{"hawser", "hook 3", 2'250}}, {}, ""},
                  {{3}, "hawser_swing", {{"hawser", "hook 4", 2'250}}, {}, ""}};
    swing.releases = {{{1}, "hawser_swing", kDigest, {2}, "Petrel", "after the rain", kSigned}};
    out.stations.push_back(station_of(swing, out.wish));
    out.unknown_stations = {"net_traverse"};
    return out;
}

std::string on_paper(const report::TrialsDocument& told) {
    const auto pdf = report::release_sheet_pdf(told);
    REQUIRE(pdf.ok());
    return test::squeezed(test::poppler("pdftotext", "-raw", *pdf));
}

}  // namespace

TEST_CASE("the tester's book in a terminal has its lines for every station") {
    const std::string text = report::trials_text(document());
    CHECK(text.rfind(
              "Pier Nine Youth Open, course book Harbour hall, revision 2\nA release proves that a "
              "station can be cleared as it is defined. It does not certify its structure, padding, fall "
              "height or rigging: those are for qualified inspection under the local codes.\n\nbollard hop "
              "(bollard_hop): NEVER RELEASED\n   definition " +
                  kDigest + "; rig 1\n   tried 4: 2 cleared, 1 failed, 1 not shown (3 by eye)\n",
              0) == 0);
    // Wilson's interval of 2 of 3 by hand: (2 + z*z/2 -+ z*sqrt(2/3 + z*z/4)) / (3 + z*z), z = 1.959964.
    CHECK_THAT(text, Contains("   2 of 3 cleared, 0.667, 95 % within 0.208 to 0.939 (Wilson)\n"));
    CHECK_THAT(text, Contains("      at least 0.8: ") &&
                         Contains(" more, if all of them are cleared (then ") &&
                         Contains("      1.60 m to under 1.80 m tall: 2 of 3 cleared"));
    CHECK_THAT(text,
               Contains("   6 ways:\n      pier_a to coil_deck by post_1 and post_2: tried 2: 2 cleared, 0 "
                        "failed, 0 not shown (2 by eye)\n      pier_a to coil_deck by post_1: never tried; "
                        "unproven\n"));
    CHECK_THAT(text,
               Contains("      [open] not-shown:trial.4: Trial 4 is not shown: the left foot is hidden. ") &&
                   Contains(" (run 4, camera A, f 117)\n"));
    CHECK_THAT(
        text,
        Contains("      [closed] clause:out_of_play: No ruled trial has kept or broken this clause: ") &&
            Contains("\n         seen by all\n"));
    CHECK_THAT(text,
               Contains("hawser swing (hawser_swing): CHANGED SINCE PROVEN\n   released by Petrel on "
                        "2026-05-02 09:30 UTC, rig 2: after the rain\n      The rig was written down anew "
                        "since the release.\n      No longer: hawser, hook 3 at 2250 mm.\n"));
    CHECK_THAT(text, Contains("   never tried\n   rate not known\n      at least 0.8: ") &&
                         Contains("      at least 0.8: nothing to go on yet, if it goes on as so far\n"));
    CHECK_THAT(text,
               Contains("\n\nThe course book has no station 'net_traverse' (any more); what was entered for "
                        "it is kept.\n"));
}

TEST_CASE("each way has a state and says what it leaves out") {
    const report::TrialsDocument told = document();
    const study::StationReport& report = told.stations[0].report;
    std::vector<std::string> states, left_out;
    for (const study::WayLine& line : report.lines) {
        states.push_back(report::way_state_words(report::way_state(line)).english());
        left_out.push_back(report::left_out_words(report.ways, line.way, told.surfaces).english());
    }
    CHECK(states == std::vector<std::string>{"cleared", "never tried", "never tried", "never tried",
                                             "not shown", "only failed"});
    CHECK(left_out == std::vector<std::string>{"none", "second bollard", "first bollard", "none",
                                               "second bollard", "first bollard"});
    study::WayLine line;
    CHECK(report::way_state(line) == report::WayState::shown_by_others);
    line.unproven = true;
    CHECK(report::way_state(line) == report::WayState::never_tried);
}

TEST_CASE("another bound tells how many trials more and one that is none is refused") {
    report::TrialsDocument told = document();
    const std::int64_t before = told.stations[0].report.if_all_clear->further;
    REQUIRE(report::set_bound(told, 0.5).ok());
    CHECK(told.wish.bound == 0.5);
    CHECK(told.stations[0].report.if_all_clear->further < before);
    CHECK(told.stations[0].report.if_all_clear->interval.low >= 0.5);
    CHECK_FALSE(report::set_bound(told, 1.5).ok());
}

TEST_CASE("a step is said with both places by name where they have one") {
    study::CourseStep step;
    step.kind = study::StepKind::reach;
    step.from = "pier_a";
    step.to = "hawser";
    CHECK(report::step_words(step, {}).english() ==
          "reach from pier_a to hawser: the plan does not say where both are");
    step.gap = study::Interval{0.75, 0.79};
    step.height = study::Interval{1.65, 1.65};
    CHECK(report::step_words(step, {{"pier_a", "first pier"}}).english() ==
          "reach from first pier to hawser: 0.75 to 0.79 m apart, 1.65 m over what is stood on (no tolerance "
          "is "
          "stated)");
    step.kind = study::StepKind::gap;
    step.tolerance_known = true;
    step.height = study::Interval{-0.11, -0.09};
    CHECK(report::step_words(step, {}).english() ==
          "gap from pier_a to hawser: 0.75 to 0.79 m apart, -0.10 m in height");
    CHECK(report::rig_item_words({"hawser", "hook 3", 2'250}).english() == "hawser, hook 3, 2.250 m high");
}

TEST_CASE("the sheet of releases is the same bytes each time and says all that the book says") {
    const auto pdf = report::release_sheet_pdf(document());
    REQUIRE(pdf.ok());
    CHECK(*pdf == *report::release_sheet_pdf(document()));
    if (!test::poppler_is_here()) return;
    const std::string text = on_paper(document());
    for (const std::string& words :
         {std::string("Pier Nine Youth Open"),
          std::string("course book revision 2"),
          std::string("1 bollard hop NEVER RELEASED"),
          std::string("2 hawser swing CHANGED SINCE PROVEN"),
          std::string("first pier coil deck none 2 2 0 0 cleared"),
          std::string("second pier coil deck first bollard 1 0 1 0 only failed"),
          std::string("2 of 3 cleared, 0.667, 95 % within 0.208 to 0.939 (Wilson)"),
          std::string("Trial 4 is not shown: the left foot is hidden."),
          std::string("(run 4, camera A, f 117)"),
          std::string("Reason: seen by all"),
          std::string("bollard, plate 2, 0.620 m high"),
          std::string("dry floor"),
          std::string("photos/hop.jpg"),
          "SHA-256: " + kPhotoDigest,
          "SHA-256: " + kOtherDigest,
          std::string("No picture: The file is not there."),
          std::string("Petrel 2026-05-02 09:30 UTC"),
          std::string("after the rain"),
          std::string("No longer: hawser, hook 3 at 2250 mm."),
          std::string("Course tester, releases what stands here as proven"),
          std::string("Date and time"),
          std::string("The course book has no station net_traverse"),
          std::string("Trials of one tester are not independent of each other"),
          std::string("searched for by program")})
        CHECK_THAT(text, Contains(test::squeezed(words)));
    for (const std::string& wrong : test::misplaced(test::placed_words(*pdf)))
        FAIL_CHECK(wrong);
    CHECK_THAT(test::poppler("pdfinfo", "", *pdf), Contains("Tagged:          yes"));
    CHECK_THAT(test::poppler("pdfimages", "-list", *pdf), Contains("320   180"));
}

TEST_CASE(
    "an open item has its frame on the sheet with what was pointed at, once for all that are about it") {
    report::TrialsDocument shown = document();
    report::TrialsStation& hop = shown.stations[0];
    study::Question other = *hop.report.open().front();
    for (study::Question& question : hop.report.questions)
        if (question.trial == meet::TrialId{4}) other = question;
    REQUIRE(other.still.has_value());
    CHECK(report::still_of(hop, other) == nullptr);
    report::QuestionStill still;
    still.still = *other.still;
    still.mark = other.mark;
    still.part = course::Part::left_foot;
    still.picture = test::plain_picture(400, 300);
    still.outlines = {{{{10, 10}, {200, 10}, {200, 200}}, "coil deck", meet::DrawingKind::surface, {}}};
    still.spot = std::array<double, 2>{250, 150};
    hop.stills = {still};
    CHECK(report::still_of(hop, other) == &hop.stills[0]);
    other.key = "undeclared:net";
    hop.report.questions.insert(hop.report.questions.begin(), other);
    other.key = "undeclared:rail";
    other.still = study::Still{{1}, {200, 0}};
    hop.report.questions.insert(hop.report.questions.begin(), other);
    report::QuestionStill gone;
    gone.still = *other.still;
    gone.mark = other.mark;
    gone.no_picture = "The file of camera A is not there.";
    hop.stills.push_back(gone);
    const auto pdf = report::release_sheet_pdf(shown);
    REQUIRE(pdf.ok());
    if (!test::poppler_is_here()) return;
    const std::string images = test::poppler("pdfimages", "-list", *pdf);
    const std::size_t first = images.find("400   300");
    REQUIRE(first != std::string::npos);
    CHECK(images.find("400   300", first + 1) == std::string::npos);
    const std::string text = on_paper(shown);
    CHECK_THAT(text, Contains(test::squeezed("Its picture stands above.")));
    CHECK_THAT(text, Contains(test::squeezed("No picture: The file of camera A is not there.")));
    CHECK_THAT(text, Contains(test::squeezed("coil deck")));
    for (const std::string& wrong : test::misplaced(test::placed_words(*pdf)))
        FAIL_CHECK(wrong);
    // Whoever cannot see the picture is told which frame it is.
    CHECK_THAT(test::poppler("pdfinfo", "-struct", *pdf), Contains("Figure"));
    // What was drawn over it and what colour the ring has make another sheet.
    hop.stills[0].part = course::Part::right_hand;
    CHECK(*report::release_sheet_pdf(shown) != *pdf);
    hop.stills[0].part = course::Part::left_foot;
    CHECK(*report::release_sheet_pdf(shown) == *pdf);
    hop.stills[0].outlines.clear();
    CHECK(*report::release_sheet_pdf(shown) != *pdf);
}

TEST_CASE("the caution stands on top of every page of the sheet and is read once") {
    if (!test::poppler_is_here()) return;
    report::TrialsDocument many = document();
    for (int i = 0; i < 4; ++i)
        many.stations.push_back(many.stations[0]);
    const auto pdf = report::release_sheet_pdf(many);
    REQUIRE(pdf.ok());
    const std::vector<std::string> pages = test::pages_as_text(*pdf);
    REQUIRE(pages.size() >= 3);
    const std::string caution = test::squeezed("Caution. " + study::release_notice().english());
    for (const std::string& page : pages)
        CHECK_THAT(test::squeezed(page), Contains(caution));
    // Nothing but the caution itself stands above its last words.
    const test::Placed placed = test::placed_words(*pdf);
    for (int page = 1; page <= static_cast<int>(pages.size()); ++page) {
        double top = placed.height;
        std::string first;
        for (const test::PlacedWord& word : placed.words)
            if (word.page == page && word.top < top - 0.5) top = word.top, first = word.text;
        CHECK(first == "Caution.");
        CHECK(top < 45);
    }
    for (const std::string& wrong : test::misplaced(placed))
        FAIL_CHECK(wrong);
    const std::string structure = test::poppler("pdfinfo", "-struct-text", *pdf);
    const std::size_t once = structure.find("Caution.");
    REQUIRE(once != std::string::npos);
    CHECK(structure.find("Caution.", once + 1) == std::string::npos);
}

TEST_CASE("what testers wrote is inert on the sheet and steers no terminal") {
    report::TrialsDocument hostile = document();
    const std::string words = std::string(test::kHostile) + "\x1b[31m\xe2\x80\xae";
    hostile.meet_name = hostile.venue = hostile.book_name = words;
    hostile.stations[0].report.name = words;
    hostile.stations[0].rigs[0].rig.note = hostile.stations[0].rigs[0].rig.items[0].what = words;
    hostile.stations[0].rigs[0].pictures[0].file = words;
    hostile.stations[1].releases[0].tester = hostile.stations[1].report.release.release->tester = words;
    for (study::Question& question : hostile.stations[0].report.questions)
        if (question.closed) question.closed = words;
    CHECK_THAT(report::trials_text(hostile), !Contains("\x1b") && !Contains("\xe2\x80\xae"));
    const auto pdf = report::release_sheet_pdf(hostile);
    REQUIRE(pdf.ok());
    if (!test::poppler_is_here()) return;
    for (const std::string& wrong : test::misplaced(test::placed_words(*pdf)))
        FAIL_CHECK(wrong);
}

TEST_CASE("a sheet without stations or rigs is a sheet") {
    report::TrialsDocument bare = document();
    bare.stations[0].rigs.clear();
    CHECK(report::release_sheet_pdf(bare).ok());
    bare.stations.clear();
    const auto pdf = report::release_sheet_pdf(bare, report::PaperSize::letter);
    REQUIRE(pdf.ok());
    if (!test::poppler_is_here()) return;
    CHECK_THAT(test::poppler("pdfinfo", "", *pdf), Contains("612 x 792"));
    CHECK_THAT(on_paper(bare), Contains(test::squeezed("The course book has no station.")));
}
