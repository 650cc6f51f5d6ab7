#include "desk/entry_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "desk/internal/say.h"
#include "meet/official_time.h"

namespace plumbmark::desk {
namespace {

/// The things of one run, each looked up once; none where nobody has run.
struct OfRun {
    OfRun(const meet::State& state, meet::RunId run) {
        for (const meet::FloorCall& call : state.floor_calls_of(run))
            calls.push_back(&call);
        for (const meet::ClockTime& time : state.clock_times_of(run))
            times.push_back(&time);
        for (const meet::Appeal& appeal : state.appeals_of(run))
            if (appeal.status == meet::AppealStatus::lodged) appeals.push_back(&appeal);
    }
    std::vector<const meet::FloorCall*> calls;
    std::vector<const meet::ClockTime*> times;
    std::vector<const meet::Appeal*> appeals;
};

/// The one at this station, the last where there are several; null: there is none.
template <class Thing>
const Thing* at_station(const std::vector<const Thing*>& things, const std::string& station) {
    const auto found = std::find_if(things.rbegin(), things.rend(),
                                    [&](const Thing* one) { return one->station == station; });
    return found == things.rend() ? nullptr : *found;
}

class Maker {
  public:
    Maker(const meet::State& state, review::MeetCourses& courses, const EntryFilter& filter)
        : state_(state), courses_(courses), filter_(filter) {
        for (const auto& [id, decision] : state.decisions())
            decided_.insert(decision.appeal);
    }

    EntryTable make() {
        const std::vector<const meet::Entry*> entries = shown_entries();
        for (const meet::Entry* entry : entries)
            add_columns(*entry);
        table_.columns.push_back({"", tr("official time")});
        for (const meet::Entry* entry : entries)
            add_rows(*entry);
        return std::move(table_);
    }

  private:
    [[nodiscard]] std::vector<const meet::Entry*> shown_entries() const {
        std::string division;
        if (filter_.division) {
            const auto found = state_.divisions().find(*filter_.division);
            if (found != state_.divisions().end()) division = found->second.key;
        }
        std::vector<const meet::Entry*> entries;
        for (const auto& [id, entry] : state_.entries()) {
            if (filter_.round && entry.round != *filter_.round) continue;
            if (filter_.heat && entry.heat != *filter_.heat) continue;
            if (filter_.division && state_.athletes().at(entry.athlete).division != division) continue;
            entries.push_back(&entry);
        }
        const auto order = [&](const meet::Entry* entry) {
            return std::tuple(state_.rounds().at(entry->round).number, entry->heat, entry->start,
                              entry->id.value);
        };
        std::sort(entries.begin(), entries.end(),
                  [&](const auto* a, const auto* b) { return order(a) < order(b); });
        return entries;
    }

    /// Courses of several divisions share stations; each new one comes after those it follows in its own.
    void add_columns(const meet::Entry& entry) {
        const course::CourseBook* book = courses_.of_entry(entry.id);
        if (book == nullptr || !seen_.insert(book).second) return;
        auto after = table_.columns.begin();
        for (const course::Station& station : book->stations) {
            const auto there =
                std::find_if(table_.columns.begin(), table_.columns.end(),
                             [&](const auto& column) { return column.station == station.key; });
            after = there != table_.columns.end()
                        ? there + 1
                        : table_.columns.insert(after, {station.key, station.name}) + 1;
        }
    }

    void add_rows(const meet::Entry& entry) {
        const meet::Run* latest = meet::latest_run(state_, entry.id);
        if (latest == nullptr) return add_row(entry, nullptr, true);
        for (const meet::Run& run : state_.runs_of(entry.id))
            add_row(entry, &run, &run == latest);
    }

    /// Which columns a course has; hardly ever are there more than two courses for hundreds of rows.
    const std::vector<bool>& columns_of(const course::CourseBook* book) {
        std::vector<bool>& there = there_[book];
        if (!there.empty()) return there;
        for (const EntryColumn& column : table_.columns)
            there.push_back(book != nullptr &&
                            (column.station.empty() || book->find_station(column.station).valid()));
        return there;
    }

    void add_row(const meet::Entry& entry, const meet::Run* run, bool latest) {
        const meet::Athlete& athlete = state_.athletes().at(entry.athlete);
        EntryRow row;
        row.entry = entry.id;
        if (run != nullptr) row.run = run->id;
        row.latest = latest;
        row.rerun = run != nullptr && run->rerun_of.valid();
        row.number = athlete.number;
        row.name = athlete.name;
        row.club = athlete.club;
        row.division = athlete.division;
        row.heat = entry.heat;
        row.start = entry.start;
        row.status = entry.status;
        row.reason = entry.reason;
        const course::CourseBook* book = run != nullptr ? courses_.of(*run) : courses_.of_entry(entry.id);
        const std::vector<bool>& there = columns_of(book);
        row.cells.resize(table_.columns.size());
        const OfRun facts(state_, row.run);
        for (std::size_t i = 0; i < row.cells.size(); ++i) {
            row.cells[i].there = there[i];
            fill(row.cells[i], table_.columns[i].station, facts);
        }
        table_.rows.push_back(std::move(row));
    }

    void fill(EntryCell& cell, const std::string& station, const OfRun& facts) const {
        if (const meet::FloorCall* call = at_station(facts.calls, station)) {
            cell.call = call->call;
            cell.points = call->points;
            cell.call_key = meet::EntityKey{meet::Kind::floor_call, call->id.value};
        }
        if (const meet::ClockTime* time = at_station(facts.times, station)) {
            const meet::TimeForm& form = state_.rules().times;
            if (const auto read = meet::combined(time->watches, form))
                cell.time = meet::time_text(meet::rounded(*read, form), form.unit);
            cell.time_key = meet::EntityKey{meet::Kind::clock_time, time->id.value};
        }
        for (const meet::Appeal* appeal : facts.appeals)
            if (appeal->station == station)
                (decided_.contains(appeal->id) ? cell.decided : cell.under_appeal) = true;
    }

    const meet::State& state_;
    review::MeetCourses& courses_;
    const EntryFilter& filter_;
    std::set<meet::AppealId> decided_;  ///< appeals
    std::set<const course::CourseBook*> seen_;
    std::map<const course::CourseBook*, std::vector<bool>> there_;
    EntryTable table_;
};

bool is_digit(char32_t c) {
    return c >= U'0' && c <= U'9';
}

constexpr std::size_t kLongestText = 40;

}  // namespace

std::string round_words(const meet::Round& round) {
    return round.name.empty() ? tr("round {}", round.number) : round.name;
}

std::string filter_words(const meet::State& state, const EntryFilter& filter) {
    std::string words;
    const auto add = [&](const std::string& word) { words += (words.empty() ? "" : ", ") + word; };
    if (filter.round) {
        const auto round = state.rounds().find(*filter.round);
        if (round != state.rounds().end()) add(round_words(round->second));
    }
    if (filter.division) {
        const auto division = state.divisions().find(*filter.division);
        if (division != state.divisions().end()) add(division->second.key);
    }
    if (filter.heat) add(tr("heat {}", *filter.heat));
    return words.empty() ? tr("every run") : words;
}

EntryTable entry_table(const meet::State& state, review::MeetCourses& courses, const EntryFilter& filter) {
    return Maker(state, courses, filter).make();
}

const char* entry_status_words(meet::EntryStatus status) {
    switch (status) {
        case meet::EntryStatus::entered:
            return tr("entered");
        case meet::EntryStatus::not_started:
            return tr("did not start");
        case meet::EntryStatus::withdrawn:
            return tr("withdrawn");
        case meet::EntryStatus::disqualified:
            return tr("disqualified");
    }
    return "";
}

std::string status_words(const EntryRow& row) {
    if (row.status == meet::EntryStatus::entered) return {};
    const std::string words = entry_status_words(row.status);
    return row.reason.empty() ? words : words + ": " + row.reason;
}

void EntryHand::let_go() {
    typing = Typing::nothing;
    text.clear();
}

void EntryHand::move(const EntryTable& table, std::ptrdiff_t rows, std::ptrdiff_t columns) {
    let_go();
    const auto within = [](std::size_t at, std::ptrdiff_t by, std::size_t count) {
        const std::ptrdiff_t last = std::max<std::ptrdiff_t>(0, static_cast<std::ptrdiff_t>(count) - 1);
        return static_cast<std::size_t>(
            std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(at) + by, 0, last));
    };
    row = within(row, rows, table.rows.size());
    column = within(column, columns, table.columns.size());
}

void EntryHand::tab(const EntryTable& table, bool back) {
    if (table.columns.empty()) return let_go();
    const std::size_t last = table.columns.size() - 1;
    if (back && column == 0) {
        if (row == 0) return let_go();
        move(table, -1, static_cast<std::ptrdiff_t>(last));
    } else if (!back && column == last) {
        if (row + 1 >= table.rows.size()) return let_go();
        move(table, 1, -static_cast<std::ptrdiff_t>(last));
    } else {
        move(table, 0, back ? -1 : 1);
    }
}

void EntryHand::stay(const EntryTable& before, const EntryTable& after) {
    if (row < before.rows.size()) {
        const EntryRow& was = before.rows[row];
        auto now = std::find_if(after.rows.begin(), after.rows.end(), [&](const EntryRow& one) {
            return one.entry == was.entry && one.run == was.run && was.run.valid();
        });
        if (now == after.rows.end())
            now = std::find_if(after.rows.begin(), after.rows.end(), [&](const EntryRow& one) {
                return one.entry == was.entry && (one.latest || !was.latest);
            });
        if (now != after.rows.end()) row = static_cast<std::size_t>(now - after.rows.begin());
    }
    if (before.columns.size() != after.columns.size() && column < before.columns.size()) {
        const auto now = std::find_if(after.columns.begin(), after.columns.end(), [&](const auto& one) {
            return one.station == before.columns[column].station;
        });
        if (now != after.columns.end()) column = static_cast<std::size_t>(now - after.columns.begin());
    }
    row = std::min(row, after.rows.empty() ? 0 : after.rows.size() - 1);
    column = std::min(column, after.columns.empty() ? 0 : after.columns.size() - 1);
}

bool EntryHand::type(const EntryTable& table, char32_t character) {
    if (table.rows.empty()) return false;
    const bool of_time = character == U'.' || character == U',' || character == U':' || character == U'/';
    if (typing == Typing::nothing) {
        if (!is_digit(character)) return false;
        typing = column + 1 == table.columns.size() ? Typing::time : Typing::number;
        text.clear();
    } else if (!is_digit(character) && (typing != Typing::time || !of_time)) {
        return false;
    }
    if (text.size() < kLongestText) text += static_cast<char>(character);
    if (typing != Typing::number) return true;
    if (const auto found = row_of_number(table, text)) row = *found;
    return true;
}

void EntryHand::take_back() {
    if (text.empty()) return let_go();
    text.pop_back();
}

std::optional<std::size_t> row_of_number(const EntryTable& table, std::string_view number) {
    std::optional<std::size_t> begins, same;
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
        const EntryRow& row = table.rows[i];
        if (!row.latest) continue;
        if (!same && row.number == number) same = i;
        if (!begins && row.number.starts_with(number)) begins = i;
    }
    return same ? same : begins;
}

std::string call_words(const EntryCell& cell) {
    if (!cell.call) return {};
    if (*cell.call == meet::Call::clear) return tr("clear");
    return cell.points ? tr("fail {}", *cell.points) : tr("fail");
}

}  // namespace plumbmark::desk
