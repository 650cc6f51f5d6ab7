#include "meet/start_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <map>
#include <set>
#include <utility>

#include "base/ascii.h"
#include "base/check.h"
#include "base/text.h"
#include "base/worded.h"

namespace plumbmark::meet {
namespace {

using base::worded;
using Names = std::vector<std::string>;

struct FieldNames {
    StartField field;
    const char* words;
    Names known;  ///< in lower case, without anything but letters and digits
};

// Common practice, no source: what clubs call their columns.
const std::vector<FieldNames>& field_names() {
    static const std::vector<FieldNames> kNames{
        {StartField::number,
         base::to_translate("number"),
         {"number", "no", "nr", "bib", "bibnumber", "startnumber"}},
        {StartField::name, base::to_translate("name"), {"name", "athlete", "fullname", "athletename"}},
        {StartField::first_name, base::to_translate("first name"), {"firstname", "givenname", "forename"}},
        {StartField::last_name, base::to_translate("last name"), {"lastname", "surname", "familyname"}},
        {StartField::club, base::to_translate("club"), {"club", "team", "school"}},
        {StartField::division, base::to_translate("division"), {"division", "agegroup", "class"}},
        {StartField::born,
         base::to_translate("born"),
         {"born", "yearofbirth", "birthyear", "dateofbirth", "birthdate", "year"}},
        {StartField::category, base::to_translate("category"), {"category", "sex", "gender"}},
        {StartField::consent, base::to_translate("consent"), {"consent", "pictures", "photoconsent"}},
        {StartField::heat, base::to_translate("heat"), {"heat", "wave", "group"}},
        {StartField::start, base::to_translate("start"), {"start", "startorder", "order", "position"}},
        {StartField::lane, base::to_translate("lane"), {"lane", "track"}},
    };
    return kNames;
}

std::string folded(std::string_view text) {
    std::string result;
    for (const char c : base::ascii_lower(text)) {
        if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9')) result += c;
    }
    return result;
}

std::optional<std::int32_t> number_of(std::string_view text) {
    std::int32_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
    return value;
}

/// "2012", "2012-05-31", "31.5.2012", "5/31/2012": the one part that is a year.
std::optional<std::string> year_of(const std::string& text) {
    std::optional<std::string> year;
    std::size_t begin = 0;
    while (begin <= text.size()) {
        const std::size_t end = std::min(text.size(), text.find_first_of("-./ ", begin));
        const std::string part = text.substr(begin, end - begin);
        const auto number = number_of(part);
        if (!part.empty() && !number) return std::nullopt;
        if (part.size() == 4 && *number >= 1900 && *number <= 2999) {
            if (year) return std::nullopt;
            year = part;
        }
        begin = end + 1;
    }
    return year;
}

base::Sentence words_of(StartField field) {
    return base::looked_up_word(start_field_words(field));
}

class Reader {
  public:
    Reader(const base::Table& table, const ColumnMap& columns, const State& state,
           std::optional<RoundId> round)
        : table_(table), state_(state) {
        for (std::size_t i = 0; i < columns.size(); ++i) {
            if (!columns[i]) continue;
            if (!column_.emplace(*columns[i], i).second)
                list_.problems.push_back(worded("Two columns are taken for the {}: '{}' and '{}'.",
                                                words_of(*columns[i]), table.header[column_.at(*columns[i])],
                                                table.header[i]));
        }
        if (!column_.contains(StartField::number))
            list_.problems.push_back(worded("No column is the number. Say which one is."));
        for (const auto& [id, athlete] : state.athletes())
            known_.emplace(athlete.number, &athlete);
        for (const auto& [id, entry] : state.entries()) {
            if (round && entry.round == *round) entered_.insert(entry.athlete);
        }
    }

    StartList read() {
        if (!list_.problems.empty()) return std::move(list_);
        for (const base::TableRow& row : table_.rows)
            read(row);
        return std::move(list_);
    }

  private:
    [[nodiscard]] std::string field(const base::TableRow& row, StartField which) const {
        const auto column = column_.find(which);
        if (column == column_.end()) return {};
        return std::string(base::trimmed(row.fields.at(column->second), " \t\r\n"));
    }

    void read(const base::TableRow& table_row) {
        if (std::all_of(table_row.fields.begin(), table_row.fields.end(),
                        [](const std::string& text) { return base::trimmed(text).empty(); }))
            return;
        StartRow row;
        row.line = table_row.line;
        read_athlete(table_row, row);
        row.heat = read_number(table_row, StartField::heat, row);
        row.start = read_number(table_row, StartField::start, row);
        row.lane = field(table_row, StartField::lane);
        list_.wrong_rows += row.problems.empty() ? 0 : 1;
        list_.rows.push_back(std::move(row));
    }

    void read_athlete(const base::TableRow& from, StartRow& row) {
        const std::string number = field(from, StartField::number);
        if (number.empty()) return row.problems.push_back(worded("It has no number.")), void();
        const auto [first, is_new] = line_of_.emplace(number, row.line);
        if (!is_new)
            row.problems.push_back(worded("Number {} stands in line {} as well.", number, first->second));
        if (const auto known = known_.find(number); known != known_.end()) row.athlete = *known->second;
        row.athlete.number = number;
        if (entered_.contains(row.athlete.id))
            row.problems.push_back(worded("Number {} is entered in this round already.", number));
        const auto take = [&](std::string& into, const std::string& value) {
            if (!value.empty()) into = value;
        };
        take(row.athlete.name, name_of(from));
        take(row.athlete.club, field(from, StartField::club));
        take(row.athlete.category, field(from, StartField::category));
        read_born(field(from, StartField::born), row);
        read_consent(field(from, StartField::consent), row);
        read_division(field(from, StartField::division), row);
    }

    [[nodiscard]] std::string name_of(const base::TableRow& from) const {
        std::string name = field(from, StartField::name);
        if (!name.empty()) return name;
        const std::string first = field(from, StartField::first_name),
                          last = field(from, StartField::last_name);
        return first.empty() || last.empty() ? first + last : first + " " + last;
    }

    static void read_born(const std::string& text, StartRow& row) {
        if (text.empty()) return;
        const auto year = year_of(text);
        if (year)
            row.athlete.born = *year;
        else
            row.problems.push_back(worded("'{}' is no year of birth, nor a date.", text));
    }

    static void read_consent(const std::string& text, StartRow& row) {
        const std::string word = folded(text);
        if (word == "yes" || word == "y" || word == "1" || word == "true" || word == "given")
            row.athlete.consent = Consent::given;
        else if (word == "no" || word == "n" || word == "0" || word == "false" || word == "refused")
            row.athlete.consent = Consent::refused;
        else if (!text.empty())
            row.problems.push_back(worded("'{}' is neither yes nor no for the consent.", text));
    }

    void read_division(const std::string& text, StartRow& row) {
        if (!text.empty()) {
            for (const auto& [id, division] : state_.divisions()) {
                if (division.key == text || folded(division.name) == folded(text)) {
                    row.athlete.division = division.key;
                    return;
                }
            }
            row.problems.push_back(worded("The meet has no division '{}'.", text));
            return;
        }
        if (!row.athlete.division.empty()) return;
        std::vector<base::Sentence> fitting;
        for (const auto& [id, division] : state_.divisions()) {
            if (fits(division, row.athlete)) fitting.emplace_back(division.key);
        }
        if (fitting.size() == 1)
            row.athlete.division = fitting.front().english();
        else if (fitting.empty())
            row.problems.push_back(worded("No division of the meet fits its year of birth and category."));
        else
            row.problems.push_back(
                worded("Several divisions fit: {}. Give it one.", base::listed_words(fitting)));
    }

    static bool fits(const Division& division, const Athlete& athlete) {
        const auto year = number_of(athlete.born);
        if ((division.born_from || division.born_to) && !year) return false;
        if (division.born_from && *year < *division.born_from) return false;
        if (division.born_to && *year > *division.born_to) return false;
        return division.category.empty() || folded(division.category) == folded(athlete.category);
    }

    std::optional<std::int32_t> read_number(const base::TableRow& from, StartField which,
                                            StartRow& row) const {
        const std::string text = field(from, which);
        if (text.empty()) return std::nullopt;
        const auto number = number_of(text);
        if (number && *number >= 1) return number;
        row.problems.push_back(worded("'{}' is no number for the {}.", text, words_of(which)));
        return std::nullopt;
    }

    const base::Table& table_;
    const State& state_;
    std::map<StartField, std::size_t> column_;
    std::map<std::string, const Athlete*> known_;
    std::set<AthleteId> entered_;
    std::map<std::string, std::int64_t> line_of_;
    StartList list_;
};

}  // namespace

const char* start_field_words(StartField field) {
    for (const FieldNames& names : field_names()) {
        if (names.field == field) return names.words;
    }
    PLUMBMARK_CHECK(!"a field without words");
    return "";
}

std::optional<StartField> start_field_from_words(std::string_view words) {
    for (const FieldNames& names : field_names()) {
        if (folded(names.words) == folded(words)) return names.field;
    }
    return std::nullopt;
}

ColumnMap guessed_columns(const std::vector<std::string>& header) {
    ColumnMap columns(header.size());
    std::set<StartField> taken;
    for (std::size_t i = 0; i < header.size(); ++i) {
        for (const FieldNames& names : field_names()) {
            const bool fits =
                std::find(names.known.begin(), names.known.end(), folded(header[i])) != names.known.end();
            if (fits && taken.insert(names.field).second) columns[i] = names.field;
        }
    }
    return columns;
}

StartList read_start_list(const base::Table& table, const ColumnMap& columns, const State& state,
                          std::optional<RoundId> round) {
    PLUMBMARK_CHECK(columns.size() == table.header.size());
    return Reader(table, columns, state, round).read();
}

Change entering(const StartList& list, const State& state, RoundId round) {
    PLUMBMARK_CHECK(list.good());
    Change change;
    change.label = fmt::format("enter {}", base::counted(std::ssize(list.rows), "athlete"));
    std::int64_t next_athlete = state.next_id(Kind::athlete), next_entry = state.next_id(Kind::entry);
    std::map<std::int32_t, std::int32_t> last_start;
    for (const auto& [id, entry] : state.entries()) {
        if (entry.round == round) last_start[entry.heat] = std::max(last_start[entry.heat], entry.start);
    }
    for (const StartRow& row : list.rows) {
        Athlete athlete = row.athlete;
        if (athlete.id.valid()) {
            const Athlete& before = state.athletes().at(athlete.id);
            if (!(before == athlete)) change.edits.push_back({before, athlete});
        } else {
            athlete.id = {next_athlete++};
            change.edits.push_back({std::nullopt, athlete});
        }
        Entry entry;
        entry.id = {next_entry++};
        entry.athlete = athlete.id;
        entry.round = round;
        entry.heat = row.heat.value_or(1);
        entry.start = row.start.value_or(last_start[entry.heat] + 1);
        last_start[entry.heat] = std::max(last_start[entry.heat], entry.start);
        entry.lane = row.lane;
        change.edits.push_back({std::nullopt, entry});
    }
    return change;
}

}  // namespace plumbmark::meet
