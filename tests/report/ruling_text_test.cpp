#include "report/ruling_text.h"

#include <rapidcheck.h>

#include <algorithm>
#include <catch2/catch.hpp>

#include "base/text.h"
#include "documents.h"
#include "report/ruling_sheet.h"

using namespace plumbmark;
using Catch::Contains;

namespace {

std::string with_margin(ruling::Margin margin) {
    report::RulingDocument document = test::pier_nine();
    document.ruling.stations[0].margin = margin;
    return report::ruling_text(document);
}

bool fit_for_a_terminal(const std::string& text) {
    if (!base::is_utf8(text)) return false;
    for (const char32_t c : base::code_points(text)) {
        const bool control = (c < 0x20 && c != U'\n') || (c >= 0x7F && c <= 0x9F);
        if (control || (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069)) return false;
    }
    return true;
}

}  // namespace

TEST_CASE("the heading says which run of whom was asked about, under which course book") {
    const std::string text = report::ruling_text(test::pier_nine());
    CHECK(text.rfind("Pier Nine Youth Open, harbour warehouse, Pier Nine, 2026-05-02\n"
                     "Run 17, bib 41, Ωκεανίς Παπαδάκη\n"
                     "Course book: Pier Nine, revision 3\n"
                     "Question: Were both feet on the quay deck before the floor was touched?\n\n",
                     0) == 0);
}

TEST_CASE("the heading names the run's division and lane, in one line whatever they are called") {
    report::RulingDocument document = test::pier_nine();
    document.division = "Under\n12";
    document.lane = "seaside <lane>";
    CHECK_THAT(report::ruling_text(document),
               Contains("\nCourse book: Pier Nine, revision 3, division Under 12, lane seaside <lane>\n"));
    CHECK_THAT(report::ruling_sheet_html(document, {}),
               Contains("division <bdi>Under 12</bdi>, lane <bdi>seaside &lt;lane&gt;</bdi>."));
}

TEST_CASE("a clear station says why, what decided it, its margin and what it rests on") {
    CHECK_THAT(
        report::ruling_text(test::pier_nine()),
        Contains(
            "\n2. hawser swing: CLEAR\n"
            "   Right foot on the rung deck.\n"
            "   Decided at the latest by: right foot touches rung deck; camera A, f 852 to 853 (0:14.200 to "
            "0:14.216).\n"
            "   Margin: It holds with every mark it rests on 3 frames wider at both ends (up to 50 ms).\n"
            "   It rests on these, and none can be left out:\n"
            "      - start signal: camera A, f 59 to 60 (0:00.983 to 0:01.000)\n"
            "      - right foot touches rung deck: camera A, f 852 to 853 (0:14.200 to 0:14.216)\n"
            "      - watched camera A, f 50 to 1099 (0:00.833 to 0:18.316): the whole athlete\n"
            "\n3. "));
}

TEST_CASE("a station that is not shown tells both stories and what would settle it, and the call stands") {
    CHECK_THAT(
        report::ruling_text(test::pier_nine()),
        Contains(
            "\n3. net traverse: NOT SHOWN\n"
            "   The left foot's landing is seen by camera A only, behind the right leg.\n"
            "   Not shown: nothing out of play before both feet were down.\n"
            "   Not shown: both feet on the quay deck.\n"
            "   It can have been:\n"
            "      - clear if the left foot came onto the quay deck between f 1116 and f 1119.\n"
            "         in this order: the left foot touches the quay deck (marked, f 1118).\n"
            "      - fail if it came onto the floor in those frames.\n"
            "         in this order: the left foot touches the floor (marked, f 1118); another part of the "
            "body touches an undeclared surface (unseen, f 1118).\n"
            "   Any one of these would settle it:\n"
            "      - say which surface the left foot touched: camera A, f 1116 to 1117 (0:18.600 to "
            "0:18.616)\n"
            "      - watch the floor from f 1000 to f 1010: camera B, f 1000 to 1010 (0:16.666 to 0:16.833)\n"
            "   Floor call: fail, given by deck judge, under appeal. The call stands: the footage neither "
            "upholds "
            "nor overturns it.\n"));
}

TEST_CASE("a failed station says what was broken") {
    const std::string text = report::ruling_text(test::pier_nine_failed());
    CHECK_THAT(text, Contains("\n3. net traverse: FAIL\n"
                              "   The left foot touched the floor before both feet were on the quay deck.\n"
                              "   Broken: left foot on the floor.\n"));
    CHECK_THAT(text, Contains("\n4. keel beam: NOT REACHED\n   The run ended at net traverse.\n"));
    CHECK_THAT(text, Contains("\nRun: two cleared, split 13.200 to 13.234 s.\n"));
    CHECK_THAT(text, Contains("the official clock is the meet's"));
}

TEST_CASE("nothing that would settle it is said as such") {
    report::RulingDocument document = test::pier_nine();
    document.ruling.stations[2].settle.clear();
    CHECK_THAT(report::ruling_text(document), Contains("No single change to the marks would settle it.\n"));
}

TEST_CASE("a margin of nothing, of one frame and without end each has its own sentence") {
    CHECK_THAT(
        with_margin({0, base::Duration{4'000'000}, false}),
        Contains(
            "Margin: It hangs on single frames: with every mark it rests on one frame wider at both ends it "
            "would no longer be shown (it holds up to 4 ms).\n"));
    CHECK_THAT(with_margin({1, base::Duration{33'000'000}, false}),
               Contains("1 frame wider at both ends (up to 33 ms)"));
    CHECK_THAT(with_margin({0, base::Duration{0}, true}),
               Contains("Margin: However much wider the marks were, the ruling would be the same.\n"));
}

TEST_CASE("what becomes of a floor call is one sentence for each outcome") {
    report::RulingDocument document = test::pier_nine_failed();
    const course::StationId net{2};
    CHECK(report::floor_call_sentence(document, net) ==
          "Floor call: fail, given by deck judge, under appeal. The call is upheld: the footage shows the "
          "same.");
    document.floor_calls[0] = {"net_traverse", meet::Call::clear, "", false};
    CHECK(report::floor_call_sentence(document, net) ==
          "Floor call: clear. The call is overturned: the footage shows FAIL.");
    document.ruling.stations[2].if_reached = true;
    CHECK(report::floor_call_sentence(document, net) ==
          "Floor call: clear. The call is overturned: the footage shows FAIL if reached.");
    document.ruling.stations[2].verdict = ruling::Verdict::not_reached;
    CHECK(report::floor_call_sentence(document, net) ==
          "Floor call: clear. The call falls away: the run was over before this station.");
    document.ruling.stations[2].verdict = ruling::Verdict::not_shown;
    document.when_not_shown = report::WhenNotShown::athletes_favour;
    CHECK_THAT(report::floor_call_sentence(document, net), Contains("rules in the athlete's favour: CLEAR."));
    document.when_not_shown = report::WhenNotShown::run_again;
    CHECK_THAT(report::floor_call_sentence(document, net), Contains("has the run repeated."));
    CHECK(report::floor_call_sentence(document, course::StationId{1}).empty());
}

TEST_CASE("a mark seen on two cameras names both brackets, one before the clip says so") {
    report::RulingDocument document = test::pier_nine_failed();
    document.evidence.marks[5].sightings[0].after.reset();
    const std::string text = report::ruling_text(document);
    CHECK_THAT(
        text,
        Contains("right foot touches quay deck: camera A, f 1098 to 1099 (0:18.300 to 0:18.316); camera B, "
                 "f 977 to 982 (0:16.283 to 0:16.366)"));
    CHECK_THAT(text, Contains("left foot touches floor: camera A, before the clip to f 1119 (by 0:18.650)"));
}

TEST_CASE("capture time and repeated pictures are told beside the clip and beside the marks they moved") {
    report::RulingDocument document = test::pier_nine();
    CHECK_THAT(report::ruling_text(document), !Contains("apture time"));
    document.clips[1].capture = "capture time: as given by the reviewer, 240 pictures a second, shown at 30";
    document.clips[1].repeated = "12 repeated pictures, 3 of them nearly equal";
    const ruling::MarkId id = document.ruling.stations[0].rests_on.front();
    document.repeats[id] = "f 12 of camera A shows f 10 again";
    for (const std::string& form : {report::ruling_text(document), report::ruling_sheet_html(document, {})}) {
        CHECK_THAT(form,
                   Contains("Capture time: as given by the reviewer, 240 pictures a second, shown at 30. "
                            "12 repeated pictures, 3 of them nearly equal."));
        CHECK_THAT(form, Contains("(f 12 of camera A shows f 10 again)"));
    }
}

TEST_CASE("no name can steer the terminal") {
    report::RulingDocument document = test::pier_nine();
    document.athlete_name = "Aiko \x1b[31mTanaka\x07\nRun: all cleared \u202Eraelc";
    document.book.stations[0].name = "bollard\u009b2Jhop";
    const std::string text = report::ruling_text(document);
    CHECK(fit_for_a_terminal(text));
    CHECK_THAT(text, Contains("bib 41, Aiko \uFFFD[31mTanaka\uFFFD Run: all cleared \uFFFDraelc\n"));
    CHECK_THAT(text, Contains("1. bollard\uFFFD2Jhop: CLEAR\n"));
}

TEST_CASE("any bytes as names leave a text that a terminal can show, with the same number of lines") {
    const auto lines = [](const std::string& text) { return std::count(text.begin(), text.end(), '\n'); };
    const auto expected = lines(report::ruling_text(test::pier_nine()));
    CHECK(rc::check([&](const std::string& name) {
        report::RulingDocument document = test::pier_nine();
        document.athlete_name = document.book.stations[1].name = document.book.surfaces[1].name = name;
        document.clips[0].name = "a" + name;
        document.ruling.stations[2].worlds[0].sentence = "clear " + name;
        const std::string text = report::ruling_text(document);
        RC_ASSERT(fit_for_a_terminal(text));
        RC_ASSERT(lines(text) == expected);
    }));
}
