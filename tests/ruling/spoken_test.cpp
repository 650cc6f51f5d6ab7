// The engine's sentences in another language: German of every rule case, the English of it unchanged.
#include <algorithm>
#include <catch2/catch.hpp>
#include <functional>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "base/catalogue.h"
#include "ruling/case_file.h"
#include "ruling/ruling.h"
#include "support/sanitized.h"

namespace plumbmark {
namespace {

using ruling::RunRuling;
using ruling::Sentence;

struct InEnglishAgain {
    ~InEnglishAgain() { (void)base::choose_language("en"); }
};

/// All sentences of a ruling, in a fixed order.
std::vector<Sentence> sentences(const RunRuling& ruling) {
    std::vector<Sentence> all{ruling.sentence};
    for (const ruling::StationRuling& station : ruling.stations) {
        all.push_back(station.sentence);
        for (const ruling::ClauseFinding& clause : station.clauses)
            all.push_back(clause.sentence);
        for (const ruling::World& world : station.worlds) {
            all.insert(all.end(), {world.sentence, world.lead, world.condition});
            for (const ruling::WorldEvent& event : world.events)
                all.push_back(event.sentence);
        }
        for (const ruling::SettleStep& step : station.settle)
            all.push_back(step.sentence);
    }
    return all;
}

base::Result<RunRuling> explained(const test::RuleCase& one) {
    return one.appeal ? ruling::rule_appeal(one.book, one.evidence, one.appeal->station,
                                            one.appeal->called_clear, one.settings)
                      : ruling::rule_run(one.book, one.evidence, one.settings);
}

/// In English alone, and once more while German is chosen and spoken.
struct Both {
    base::Result<RunRuling> english, german;
};
Both ruled_twice(const test::RuleCase& rule_case) {
    auto english = explained(rule_case);
    REQUIRE(base::choose_language("de"));
    const base::Speaking in_german;
    auto german = explained(rule_case);
    REQUIRE(base::choose_language("en"));
    return {std::move(english), std::move(german)};
}

/// What the course book names, longest first, so that "the first rung" is found before "rung".
std::vector<std::string> names_of(const course::CourseBook& book) {
    std::set<std::string> names;
    for (std::size_t i = 0; i < book.surfaces.size(); ++i)
        names.insert(book.surface_name(course::SurfaceId{static_cast<std::int64_t>(i)}));
    for (const course::Plane& plane : book.planes)
        names.insert(plane.name);
    for (const course::Station& station : book.stations)
        names.insert(station.name);
    names.insert(book.finish.name);
    names.erase("");
    std::vector<std::string> all(names.begin(), names.end());
    std::stable_sort(all.begin(), all.end(),
                     [](const auto& a, const auto& b) { return a.size() > b.size(); });
    return all;
}

bool letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || static_cast<unsigned char>(c) >= 0x80;
}

/// Takes the name out of the text wherever it stands as words of their own (at a sentence's beginning with a
/// capital), and says how often.
int taken_out(std::string& text, const std::string& name) {
    int times = 0;
    std::string capital = name;
    if (capital[0] >= 'a' && capital[0] <= 'z') capital[0] = static_cast<char>(capital[0] - 'a' + 'A');
    for (std::size_t at = 0; at < text.size(); ++at) {
        const bool begins = at == 0 || !letter(text[at - 1]);
        const std::size_t end = at + name.size();
        if (!begins || (end < text.size() && (letter(text[end]) || (text[end] >= '0' && text[end] <= '9'))))
            continue;
        const std::string_view here = std::string_view(text).substr(at, name.size());
        if (here != name && !(at == 0 && here == capital)) continue;
        text.replace(at, name.size(), "#");
        ++times;
    }
    return times;
}

/// As often between quotation marks in the German as it stands in the English; both are left without names.
void check_names(const course::CourseBook& book, std::string& english, std::string& german) {
    for (const std::string& name : names_of(book)) {
        const std::string quoted = "»" + name + "«";
        int times = 0;
        for (std::size_t at; (at = german.find(quoted)) != std::string::npos; ++times)
            german.replace(at, quoted.size(), "#");
        INFO(name);
        CHECK(times == taken_out(english, name));
    }
}

/// Words of English grammar that are no German words.
const std::set<std::string> kEnglish{
    "the",     "and",    "or",      "were",     "is",       "are",   "of",     "if",      "unless",
    "whether", "before", "after",   "by",       "between",  "at",    "not",    "no",      "only",
    "which",   "that",   "touched", "touches",  "touching", "left",  "right",  "foot",    "feet",
    "unseen",  "from",   "to",      "with",     "on",       "past",  "when",   "where",   "way",
    "kept",    "tested", "shown",   "broken",   "clear",    "fail",  "failed", "reached", "it",
    "its",     "settle", "watch",   "whole",    "athlete",  "point", "points", "station", "stations",
    "for",     "both",   "hands",   "released", "again",    "out",   "run",    "signal",  "cleared",
    "Not",     "Part",   "All",     "None",     "No",       "None",  "marked", "one",     "two"};

std::string english_word_in(std::string_view text) {
    for (std::size_t at = 0; at < text.size();) {
        std::size_t end = at;
        while (end < text.size() && letter(text[end]))
            ++end;
        if (const std::string word(text.substr(at, end - at)); kEnglish.contains(word)) return word;
        at = std::max(end, at + 1);
    }
    return "";
}

void check_german(const test::RuleCase& rule_case, const Sentence& sentence) {
    std::string english = sentence.english(), german = sentence.spoken();
    INFO(english << "\n" << german);
    CHECK(german != english);
    CHECK(german.find_first_of("{}") == std::string::npos);
    check_names(rule_case.book, english, german);
    CHECK(english_word_in(german) == "");
}

const test::RuleCase& case_called(const std::vector<test::RuleCase>& cases, const std::string& title) {
    const auto found = std::find_if(cases.begin(), cases.end(),
                                    [&](const test::RuleCase& one) { return one.title == title; });
    REQUIRE(found != cases.end());
    return *found;
}

/// Whether the case, ruled in German, says exactly this somewhere.
void check_says(const std::string& file, const std::string& title, const std::string& wanted) {
    const std::vector<test::RuleCase> cases = test::cases_of(file);
    const Both both = ruled_twice(case_called(cases, title));
    std::set<std::string> said;
    if (!both.german.ok()) {
        said.insert(both.german.error().sentence.spoken());
    } else {
        for (const Sentence& sentence : sentences(*both.german))
            said.insert(sentence.spoken());
    }
    INFO(title);
    for (const std::string& one : said)
        UNSCOPED_INFO(one);
    CHECK(said.contains(wanted));
}

}  // namespace

TEST_CASE("every rule case is ruled in German with the same English beside it", "[spoken]") {
    const InEnglishAgain after;
    constexpr std::size_t each = test::kSanitized ? 8 : 1;
    std::size_t said = 0, number = 0;
    for (const test::CaseFile& file : test::case_files()) {
        for (const test::RuleCase& rule_case : file.cases) {
            if (number++ % each != 0) continue;
            INFO(file.name << ": " << rule_case.title);
            const Both both = ruled_twice(rule_case);
            REQUIRE(both.english.ok() == both.german.ok());
            if (!both.english.ok()) {
                const Sentence &english = both.english.error().sentence,
                               &german = both.german.error().sentence;
                CHECK(english == german);
                CHECK(english.spoken() == english.english());
                check_german(rule_case, german);
                continue;
            }
            const std::vector<Sentence> english = sentences(*both.english), german = sentences(*both.german);
            REQUIRE(english.size() == german.size());
            for (std::size_t i = 0; i < english.size(); ++i) {
                CHECK(english[i].english() == german[i].english());
                CHECK(english[i].spoken() == english[i].english());
                if (!german[i].empty()) check_german(rule_case, german[i]), ++said;
            }
        }
    }
    CHECK(said > 4'000 / each);
}

TEST_CASE("German says what a ruling comes to as a German official would", "[spoken]") {
    const InEnglishAgain after;
    check_says(
        "evidence", "a hold that was called clear is told by the next touch",
        "Ein Fuß war spätestens bei 0:02.366 auf »quay deck«, 500 ms lang gehalten; vorher wurde nichts "
        "außerhalb des Spiels berührt.");
    check_says(
        "contacts", "a brush of the required rung by a hand uses it",
        "Ein Fuß war spätestens bei 0:00.866 auf »quay deck«, kontrolliert; vorher wurde nichts außerhalb "
        "des Spiels berührt.");
    check_says("contacts", "a knee on a rung for hands",
               "Ein anderer Körperteil berührte »rung« (nur Hände erlaubt), spätestens bei 0:00.300.");
    check_says("contacts", "weight on the bar after it was left",
               "»bar« nur einmal – die linke Hand berührte »bar« nach dem Verlassen erneut");
    check_says("planes", "a foot over the line before the signal",
               "Die Person war beim Startsignal nicht wie verlangt auf »pier deck« und hinter »start line«, "
               "spätestens bei 0:00.200.");
    check_says(
        "finish-and-caps", "off the deck first, so the cap comes first",
        "Die Zeitgrenze von 1.000 s lief ab, bevor die Station geschafft war, spätestens bei 0:02.033.");
    check_says(
        "contacts", "two wrongs in one stretch, and both fail",
        "Nicht geschafft, wie auch immer es war: ein anderer Körperteil berührte »floor« (nicht im Spiel) "
        "oder der rechte Fuß berührte »rung« (nur Hände erlaubt), spätestens bei 0:00.333.");
    check_says("between-attempts", "assistance between two attempts fails the station",
               "Nicht erreicht: Der Lauf endete an der Station »gantry rungs«.");
    check_says("evidence", "without the call the same gaps leave the leap open",
               "Keine, eine oder zwei von zwei Stationen geschafft.");
}

TEST_CASE("German says what is not shown and what would settle it as a German official would", "[spoken]") {
    const InEnglishAgain after;
    const std::string one_frame = "upright and landing in one frame";
    check_says("contacts", one_frame,
               "Die Bilder zeigen nicht, ob der rechte Fuß »top of the pad« berührte, bevor die rechte Hand "
               "»uprights« berührte.");
    check_says(
        "contacts", one_frame,
        "nicht geschafft, wenn die rechte Hand »uprights« berührte, bevor der rechte Fuß »top of the pad« "
        "berührte");
    check_says(
        "contacts", one_frame,
        "einen anderen Blickwinkel suchen, der zeigt, ob zwischen 0:00.633 und 0:00.700 die rechte Hand "
        "»uprights« berührte, bevor der rechte Fuß »top of the pad« berührte");
    check_says(
        "contacts", one_frame,
        "das Fenster enger fassen, in dem die rechte Hand »uprights« berührte (0:00.633 bis 0:00.700)");
    check_says("evidence", "an event at a time nobody knows",
               "Die Bilder zeigen nicht, ob ein anderer Körperteil »floor« berührte, bevor das Startsignal "
               "gegeben wurde. Keine einzelne Änderung klärt es.");
    const std::string in_the_air = "one frame in the air that nobody watched";
    check_says(
        "evidence", in_the_air,
        "geschafft, außer wenn die linke Hand zwischen 0:00.333 und 0:00.366 ungesehen »bollard« berührte");
    check_says("evidence", in_the_air, "die ganze Person von 0:00.333 bis 0:00.366 beobachten");
    check_says(
        "contacts", "left or right hand on a hook for the left side",
        "klären, was es zwischen 0:00.166 und 0:00.200 war: die linke Hand berührt »hook« oder die rechte "
        "Hand berührt »hook«");
    check_says(
        "contacts", "a hand on the landing that nobody graded",
        "klären, ob belastet oder nur gestreift wurde, als zwischen 0:00.733 und 0:00.766 die rechte Hand "
        "»quay deck« berührte");
    check_says(
        "free-exit-and-attempts",
        "a hand that is on the deck when the waiting begins has stood there, one that comes later sets off",
        "geschafft, wenn der linke Fuß auf »coil deck« war, als der linke Fuß »pier deck« verließ");
    check_says(
        "evidence", "a statement against a watched span",
        "Das kann nicht alles stimmen: „der linke Fuß berührt »quay deck« nicht“ (A, 0:00.333), „der linke "
        "Fuß ist auf »quay deck«“ (A, 0:01.000) und „beobachtet: die ganze Person“ (A, 0:00.000 bis "
        "0:04.000). Erneut ansehen; eines davon ist falsch.");
}

TEST_CASE("two threads that rule at once in two languages do not mix them", "[spoken]") {
    const InEnglishAgain after;
    const std::vector<test::RuleCase> cases = test::cases_of("contacts");
    const Both wanted = ruled_twice(cases.front());
    REQUIRE(wanted.english.ok());
    const auto spoken = [](const RunRuling& ruling) {
        std::vector<std::string> all;
        for (const Sentence& sentence : sentences(ruling))
            all.push_back(sentence.spoken());
        return all;
    };
    const std::vector<std::string> english = spoken(*wanted.english), german = spoken(*wanted.german);
    int wrong_english = 0, wrong_german = 0;
    const auto rule_often = [&](bool speaking, const std::vector<std::string>& expected, int& wrong) {
        std::optional<base::Speaking> in_german;
        if (speaking) in_german.emplace();
        for (int i = 0; i < 50; ++i)
            wrong += spoken(*explained(cases.front())) == expected ? 0 : 1;
    };
    REQUIRE(base::choose_language("de"));
    std::thread one(rule_often, true, std::cref(german), std::ref(wrong_german));
    std::thread two(rule_often, false, std::cref(english), std::ref(wrong_english));
    one.join();
    two.join();
    CHECK(wrong_german == 0);
    CHECK(wrong_english == 0);
}

TEST_CASE("what the engine refuses as input is said in the chosen language with the English beside it",
          "[spoken]") {
    const InEnglishAgain after;
    REQUIRE(base::choose_language("de"));
    const std::vector<test::RuleCase> cases = test::cases_of("contacts");
    const test::RuleCase& one = cases.front();
    ruling::Evidence wrong = one.evidence;
    REQUIRE_FALSE(wrong.marks.empty());
    wrong.marks.front().alternatives.clear();
    const auto refused = ruling::rule_run(one.book, wrong, one.settings);
    REQUIRE_FALSE(refused.ok());
    const std::string number = std::to_string(wrong.marks.front().id.value);
    CHECK(refused.error().text() == "mark " + number + ": it names no event");
    CHECK(refused.error().spoken() == "Marke " + number + ": kein Ereignis ist genannt");
    const auto station = ruling::rule_appeal(one.book, one.evidence, course::StationId{99}, {}, one.settings);
    REQUIRE_FALSE(station.ok());
    CHECK(station.error().text() == "The appeal names a station that the course does not have.");
    CHECK(station.error().spoken() == "Der Einspruch nennt eine Station, die der Parcours nicht hat.");
}

}  // namespace plumbmark
