// Start lists: which column is what, what is wrong with a row, and the one change that enters a good list.
#include "meet/start_list.h"

#include <catch2/catch.hpp>

using namespace plumbmark;
using namespace plumbmark::meet;

namespace {

State meet_with_divisions() {
    State state;
    const auto add = [&](const Entity& thing) {
        REQUIRE(state.apply({"", {{std::nullopt, thing}}, 0}).ok());
    };
    add(Division{{1}, "u12", "Under 12", 2014, 2016, "", ""});
    add(Division{{2}, "u14g", "Girls under 14", 2012, 2013, "girls", ""});
    add(Division{{3}, "u14b", "Boys under 14", 2012, 2013, "boys", ""});
    add(Round{{1}, "Final", RoundKind::final, 1});
    return state;
}

base::Table table(const std::vector<std::string>& header, const std::vector<std::vector<std::string>>& rows) {
    base::Table made{header, {}};
    for (std::size_t i = 0; i < rows.size(); ++i)
        made.rows.push_back({static_cast<std::int64_t>(i) + 2, rows[i]});
    return made;
}

StartList read(const base::Table& table, const State& state) {
    return read_start_list(table, guessed_columns(table.header), state, RoundId{1});
}

std::string problems(const StartList& list) {
    std::string text;
    for (const std::string& problem : list.problems)
        text += problem + "\n";
    for (const StartRow& row : list.rows) {
        for (const std::string& problem : row.problems)
            text += std::to_string(row.line) + ": " + problem + "\n";
    }
    return text;
}

}  // namespace

TEST_CASE("columns are known by what clubs call them") {
    using F = StartField;
    CHECK(guessed_columns({"Bib", "Surname", "First Name", "Year of birth", "Team", "shoe size", "No."}) ==
          ColumnMap{F::number, F::last_name, F::first_name, F::born, F::club, std::nullopt, std::nullopt});
    for (const F field : {F::number, F::name, F::first_name, F::last_name, F::club, F::division, F::born,
                          F::category, F::consent, F::heat, F::start, F::lane})
        CHECK(start_field_from_words(start_field_words(field)) == field);
    CHECK_FALSE(start_field_from_words("shoe size"));
}

TEST_CASE("a good list is entered as one change, in the order of the list") {
    State state = meet_with_divisions();
    const base::Table list = table({"number", "first name", "last name", "club", "born", "sex", "consent"},
                                   {{"17", "Łucja", "Ż.", "Pier club", "2012", "girls", "yes"},
                                    {"4", "さくら", "", "", "31.5.2015", "", ""},
                                    {"", "", "", "", "", "", " "},
                                    {"A9", "", "Ömer", "", "2013-01-02", "Boys", "no"}});
    const StartList read_list = read(list, state);
    INFO(problems(read_list));
    REQUIRE(read_list.good());
    REQUIRE(read_list.rows.size() == 3);
    REQUIRE(state.apply(entering(read_list, state, {1})).ok());
    CHECK(state.athletes().at({1}) ==
          Athlete{{1}, "17", "Łucja Ż.", "Pier club", "u14g", "2012", "girls", Consent::given});
    CHECK(state.athletes().at({2}) == Athlete{{2}, "4", "さくら", "", "u12", "2015", "", Consent::unknown});
    CHECK(state.athletes().at({3}).division == "u14b");
    CHECK(state.athletes().at({3}).consent == Consent::refused);
    CHECK(state.entries().at({3}) == Entry{{3}, {3}, {1}, 1, 3, "", EntryStatus::entered, ""});
}

TEST_CASE("heats, start numbers and lanes stand as the list has them") {
    State state = meet_with_divisions();
    const StartList list = read(
        table({"bib", "division", "heat", "start", "lane"},
              {{"1", "u12", "2", "7", "sea"}, {"2", "Under 12", "2", "", ""}, {"3", "UNDER 12", "", "", ""}}),
        state);
    REQUIRE(list.good());
    REQUIRE(state.apply(entering(list, state, {1})).ok());
    CHECK(state.entries().at({1}) == Entry{{1}, {1}, {1}, 2, 7, "sea", EntryStatus::entered, ""});
    CHECK(state.entries().at({2}).start == 8);
    CHECK(state.entries().at({3}) == Entry{{3}, {3}, {1}, 1, 1, "", EntryStatus::entered, ""});
}

TEST_CASE("who is known by the number stays the same athlete, and keeps what the list leaves empty") {
    State state = meet_with_divisions();
    const Athlete known{{1}, "17", "Łucja Ż.", "Pier club", "u14g", "2012", "girls", Consent::given};
    REQUIRE(state.apply({"", {{std::nullopt, known}}, 0}).ok());
    const StartList list = read(table({"number", "name", "club"}, {{"17", "", "Dock club"}}), state);
    REQUIRE(list.good());
    const Change change = entering(list, state, {1});
    REQUIRE(state.apply(change).ok());
    Athlete moved = known;
    moved.club = "Dock club";
    CHECK(state.athletes().at({1}) == moved);
    CHECK(state.athletes().size() == 1);
    CHECK(problems(read(table({"number"}, {{"17"}}), state)) ==
          "2: Number 17 is entered in this round already.\n");
    REQUIRE(state.apply(inverse(change)).ok());
    CHECK(state.athletes().at({1}) == known);
}

TEST_CASE("everything that is wrong is told with its line") {
    const State state = meet_with_divisions();
    CHECK(problems(read(table({"name"}, {{"Ann"}}), state)) ==
          "No column is the number. Say which one is.\n");
    const base::Table two = table({"bib", "nr"}, {{"1", "2"}});
    CHECK(problems(read_start_list(two, {StartField::number, StartField::number}, state, {})) ==
          "Two columns are taken for the number: 'bib' and 'nr'.\n");
    CHECK(problems(read(table({"number", "born", "sex", "division", "heat", "start", "consent"},
                              {{"1", "2012", "girls", "", "", "", ""},
                               {"", "2012", "girls", "", "", "", ""},
                               {"1", "2012", "girls", "", "", "", ""},
                               {"2", "12", "girls", "", "", "", ""},
                               {"3", "2012", "", "", "", "", ""},
                               {"4", "2012", "girls", "u99", "", "", ""},
                               {"5", "2012", "girls", "", "0", "x", "perhaps"}}),
                        state)) ==
          "3: It has no number.\n"
          "4: Number 1 stands in line 2 as well.\n"
          "5: '12' is no year of birth, nor a date.\n"
          "5: No division of the meet fits its year of birth and category.\n"
          "6: No division of the meet fits its year of birth and category.\n"
          "7: The meet has no division 'u99'.\n"
          "8: 'perhaps' is neither yes nor no for the consent.\n"
          "8: '0' is no number for the heat.\n"
          "8: 'x' is no number for the start.\n");
    State wide = state;
    REQUIRE(wide.apply({"", {{std::nullopt, Division{{4}, "open", "Open", {}, {}, "", ""}}}, 0}).ok());
    CHECK(problems(read(table({"number", "born"}, {{"1", "2015"}}), wide)) ==
          "2: Several divisions fit: u12 and open. Give it one.\n");
}
