// What the meet says to a window that speaks German, and that its English stays what files and the command
// line have.
#include "meet/appeals.h"
#include "meet/floor_entry.h"
#include "meet/meet_maker.h"
#include "meet/rule_settings.h"
#include "meet/start_list.h"
#include "support/in_language.h"

using namespace plumbmark;
using namespace plumbmark::meet;
using base::Sentence;
using plumbmark::test::MeetMaker;

namespace {

void check(const Sentence& sentence, const std::string& english, const std::string& german) {
    CHECK(sentence.english() == english);
    CHECK(sentence.spoken() == german);
}

}  // namespace

TEST_CASE("what looks wrong in floor calls is said in German as well", "[spoken]") {
    const test::InLanguage german("de");
    MeetMaker meet;
    const RunId run = meet.run(meet.enter(17), "cfc");
    meet.clock(run, "swing", {"20"});
    const std::vector<Sentence> found = floor_remarks(meet.state, meet.course(), run);
    REQUIRE(found.size() == 2);
    check(found[0], "'swing' has a time but is not called clear.",
          "»swing« hat eine Zeit, doch der Entscheid lautet nicht geschafft.");
    check(found[1], "The run ended at 'swing', yet 'rungs' has a call.",
          "Der Lauf endete an »swing«, trotzdem hat »rungs« einen Entscheid.");
    const auto letters = read_calls("cx", meet.course());
    REQUIRE_FALSE(letters.ok());
    check(letters.error().sentence, "'x' is no call: c is clear, f is fail, - is none yet.",
          "»x« ist kein Entscheid: c ist geschafft, f ist nicht geschafft, - ist noch keiner.");
    FloorLine line;
    line.entry = {1};
    line.calls["ladder"] = Call::clear;
    const auto change = floor_change(meet.state, meet.course(), line);
    REQUIRE_FALSE(change.ok());
    check(change.error().sentence, "The course has no station 'ladder'; it has 'hop', 'swing' and 'rungs'.",
          "Der Parcours hat keine Station »ladder«; er hat »hop«, »swing« und »rungs«.");
}

TEST_CASE("why an appeal is refused and what a ruling does to a call is said in German as well", "[spoken]") {
    const test::InLanguage german("de");
    MeetMaker meet;
    AppealRules rules;
    rules.who = {Capacity::athlete, Capacity::club};
    rules.fee = "20 EUR";
    rules.most = 1;
    Rules all;
    all.appeals = rules;
    meet.rules(all);
    const EntryId entry = meet.enter(17);
    const RunId run = meet.run(entry, "cff");
    constexpr std::int64_t kMinute = 60'000, kNoon = 12 * 60 * kMinute;
    Publication publication{{1}, {1}, {1}, {kNoon}, false, {}, ""};
    publication.lines.push_back({entry, 1, EntryStatus::entered, 1, 0, "9.80"});
    meet.add(publication);
    meet.appeal(run, "swing", kNoon);
    const Appeal late{{2}, run, "swing", "", "Ann", Capacity::coach, {kNoon + 34 * kMinute}, false, {}, ""};
    const auto found = refusals(meet.state, late, 120);
    REQUIRE(found.size() == 5);
    check(found[0].sentence, "The appeal came 4 minutes after the deadline, 14:30.",
          "Der Einspruch kam 4 Minuten nach Ende der Frist (14:30).");
    check(found[1].sentence, "An appeal may be lodged by athlete or club, not by the coach.",
          "Zum Einspruch berechtigt: Athlet oder Verein; nicht berechtigt: Trainer.");
    check(found[2].sentence, "The fee of 20 EUR is not paid.", "Die Gebühr von 20 EUR ist nicht bezahlt.");
    check(found[3].sentence, "The athlete has lodged 1 appeal already; the meet allows 1.",
          "Für diese Person sind schon eingelegt: 1 Einspruch; der Wettkampf erlaubt 1.");
    const Decision decision{{1}, {1},     ruling::Verdict::not_shown, Outcome::call_changed, Call::clear,
                            "",  {kNoon}, {{"Bea", Capacity::jury}}};
    const auto why = objection(meet.state, decision);
    REQUIRE(why);
    check(
        *why,
        "Under the rules of the meet this ruling does something else. The call stands: the footage does not "
        "show it.",
        "Nach den Regeln des Wettkampfs bewirkt diese Entscheidung etwas anderes. Der Entscheid bleibt "
        "bestehen: Die Bilder zeigen es nicht.");
}

TEST_CASE("what a start list's line objects to is said in German as well", "[spoken]") {
    const test::InLanguage german("de");
    MeetMaker meet;
    base::Table table;
    table.header = {"Number", "Born", "Heat", "Division"};
    table.rows = {{2, {"17", "soon", "first", "u99"}}, {3, {"17", "2012", "1", "u14"}}};
    const StartList list = read_start_list(table, guessed_columns(table.header), meet.state, RoundId{1});
    REQUIRE(list.rows.size() == 2);
    REQUIRE(list.rows[0].problems.size() == 3);
    check(list.rows[0].problems[0], "'soon' is no year of birth, nor a date.",
          "»soon« ist weder ein Geburtsjahr noch ein Datum.");
    check(list.rows[0].problems[1], "The meet has no division 'u99'.",
          "Der Wettkampf hat keine Klasse »u99«.");
    check(list.rows[0].problems[2], "'first' is no number for the heat.",
          "»first« ist keine Zahl für »Gruppe«.");
    REQUIRE(list.rows[1].problems.size() == 1);
    check(list.rows[1].problems[0], "Number 17 stands in line 2 as well.",
          "Nummer 17 steht auch in Zeile 2.");
}

TEST_CASE("what is typed or stored and makes no sense is refused in German as well", "[spoken]") {
    const test::InLanguage german("de");
    const auto capture = read_capture("240; @x 60");
    REQUIRE_FALSE(capture.ok());
    check(capture.error().sentence, "'@x 60': after '@' comes a frame number, as in '@120 240'.",
          "»@x 60«: nach »@« kommt die Nummer eines Bildes, wie in »@120 240«.");
    Rules rules;
    const auto set = set_rule(rules, "appeals.signatures = 3");
    REQUIRE_FALSE(set.ok());
    check(set.error().sentence, "'3' cannot stand here; a number from 1 to 2 can.",
          "»3« kann hier nicht stehen; möglich: eine Zahl von 1 bis 2.");
    Drawing drawing;
    drawing.id = {3};
    drawing.key = "deck";
    const auto values = check_values(drawing);
    REQUIRE_FALSE(values.ok());
    CHECK(values.error().text() == "drawing 3: a surface's outline needs three points");
    CHECK(values.error().spoken() == "Zeichnung 3: der Umriss einer Fläche braucht drei Punkte");
    Athlete athlete;
    athlete.id = {4};
    athlete.name = "\xFF";
    const auto text = check_values(athlete);
    REQUIRE_FALSE(text.ok());
    CHECK(text.error().text() == "athlete 4: its name is not UTF-8 text");
    CHECK(text.error().spoken() == "Person 4: »Name« ist kein UTF-8-Text");
}

TEST_CASE("labels of changes and the reasons that are stored stay English whatever is chosen", "[spoken]") {
    const test::InLanguage german("de");
    MeetMaker meet;
    FloorLine line;
    line.entry = meet.enter(17);
    line.calls["hop"] = Call::clear;
    const auto change = floor_change(meet.state, meet.course(), line);
    REQUIRE(change.ok());
    CHECK(change->label == "floor entry, number 17");
    CHECK(std::get<Run>(*change->edits.front().after).label == "Final 17");
    Rules rules;
    for (const RuleSetting& setting : rule_settings())
        CHECK(set_rule(rules, std::string(setting.name) + "=" + setting.value(rules)).ok());
}
