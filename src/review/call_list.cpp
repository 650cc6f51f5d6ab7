#include "review/call_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <tuple>

#include "base/ascii.h"
#include "base/text.h"
#include "meet/appeals.h"
#include "meet/competition_words.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;

std::string lower(std::string_view text) {
    return base::ascii_lower(base::trimmed(text));
}

/// A cell without its blanks, and without the apostrophe that keeps a spreadsheet from running it.
std::string cell_text(const std::string& cell) {
    std::string text(base::trimmed(cell));
    if (text.size() > 1 && text[0] == '\'' &&
        std::string_view("=+-@").find(text[1]) != std::string_view::npos)
        text.erase(0, 1);
    return text;
}

enum class Meaning { number, calls, station, finish, station_time, times, judge, status, reason };

struct Column {
    Meaning meaning = Meaning::number;
    std::string station;  ///< key or name, in lower case
};

std::optional<Meaning> meaning_of(const std::string& name) {
    static const std::map<std::string, Meaning> kNames{
        {"number", Meaning::number}, {"bib", Meaning::number},    {"calls", Meaning::calls},
        {"time", Meaning::finish},   {"finish", Meaning::finish}, {"times", Meaning::times},
        {"judge", Meaning::judge},   {"status", Meaning::status}, {"reason", Meaning::reason}};
    const auto found = kNames.find(name);
    return found == kNames.end() ? std::nullopt : std::optional(found->second);
}

Column column_of(const std::string& header) {
    const std::string name = lower(header);
    if (const auto meaning = meaning_of(name)) return {*meaning, {}};
    constexpr std::string_view kTime = "time ";
    if (name.starts_with(kTime))
        return {Meaning::station_time, std::string(base::trimmed(name.substr(kTime.size())))};
    return {Meaning::station, name};
}

/// The key of the station with this key or name; none: the course has no such station.
std::optional<std::string> station_key(const course::CourseBook& book, const std::string& wanted) {
    for (const course::Station& station : book.stations) {
        if (lower(station.key) == wanted || lower(station.name) == wanted) return station.key;
    }
    return std::nullopt;
}

/// 'call' says what a cell of one station says; none: it is no call.
bool read_one_call(const std::string& cell, std::optional<meet::Call>& call) {
    const std::string word = lower(cell);
    if (word == "-") {
        call.reset();
    } else if (word == "c" || word == "clear") {
        call = meet::Call::clear;
    } else if (word == "f" || word == "fail") {
        call = meet::Call::fail;
    } else {
        return false;
    }
    return true;
}

/// Watches "61.20/61.24" of a time; "-": taken back.
Result<std::vector<base::Duration>> watches_of(const std::string& text) {
    return meet::read_watches(text == "-" ? "" : text);
}

class Reader {
  public:
    Reader(const base::Table& table, const meet::State& state, meet::RoundId round)
        : table_(table), after_(state), courses_(state), courses_after_(after_) {
        for (const auto& [id, entry] : state.entries()) {
            if (entry.round == round) entries_[state.athletes().at(entry.athlete).number] = id;
        }
    }

    CallList read(const std::string& judge, meet::WallTime at) {
        read_header();
        if (!list_.problems.empty()) return std::move(list_);
        for (const base::TableRow& row : table_.rows)
            read_row(row, judge, at);
        list_.change.label = "calls of " + base::counted(std::ssize(list_.rows), "athlete");
        if (!list_.good()) list_.change = {};
        return std::move(list_);
    }

  private:
    void read_header() {
        bool number = false;
        for (const std::string& header : table_.header) {
            columns_.push_back(column_of(header));
            const Column& column = columns_.back();
            number |= column.meaning == Meaning::number;
            const bool of_station =
                column.meaning == Meaning::station || column.meaning == Meaning::station_time;
            if (of_station && !any_course_has(column.station))
                list_.problems.push_back(
                    fmt::format("The column '{}' is not known: it is no station of the course, and none of "
                                "number, calls, "
                                "time, times, judge, status and reason.",
                                header));
        }
        if (!number) list_.problems.emplace_back("No column is the number. Name one 'number'.");
    }

    bool any_course_has(const std::string& station) {
        return std::any_of(entries_.begin(), entries_.end(), [&](const auto& entry) {
            const auto book = course_for_calls(courses_, entry.second, false);
            return book && station_key(*book, station);
        });
    }

    void read_row(const base::TableRow& row, const std::string& judge, meet::WallTime at) {
        list_.rows.push_back({row.line, "", "", {}, {}});
        CallRow& into = list_.rows.back();
        for (std::size_t i = 0; i < columns_.size(); ++i) {
            if (columns_[i].meaning == Meaning::number) into.number = cell_text(row.fields[i]);
        }
        const auto entry = entries_.find(into.number);
        if (entry == entries_.end()) {
            into.problems.push_back(
                fmt::format("Nobody with the number '{}' is entered in this round.", into.number));
            return;
        }
        const auto [first, fresh] = lines_.emplace(into.number, row.line);
        if (!fresh) {
            into.problems.push_back(
                fmt::format("The number {} stands in line {} already.", into.number, first->second));
            return;
        }
        enter(row, entry->second, judge, at, into);
    }

    void enter(const base::TableRow& row, meet::EntryId entry, const std::string& judge, meet::WallTime at,
               CallRow& into) {
        const auto book = course_for_calls(courses_, entry, false);
        if (!book) {
            into.problems.push_back(book.error().sentence);
            return;
        }
        meet::FloorLine line{entry, {}, {}, {}, judge, at};
        meet::Entry now = after_.entries().at(entry);
        for (std::size_t i = 0; i < columns_.size(); ++i) {
            const std::string cell = cell_text(row.fields[i]);
            if (!cell.empty()) take_cell(columns_[i], cell, *book, line, now, into);
        }
        if (!into.problems.empty()) return;
        meet::Change change;
        if (!line.calls.empty() || !line.times.empty()) {
            const Result<meet::Change> made = meet::floor_change(after_, *book, line);
            if (!made) {
                into.problems.push_back(made.error().sentence);
                return;
            }
            change = *made;
        }
        const meet::Entry& before = after_.entries().at(entry);
        if (!(before == now)) change.edits.push_back({before, now});
        if (const Result<void> applied = after_.apply(change); !applied) {
            into.problems.push_back(applied.error().text());
            return;
        }
        list_.change.edits.insert(list_.change.edits.end(), change.edits.begin(), change.edits.end());
        say_what(entry, *book, now, into);
    }

    void take_cell(const Column& column, const std::string& cell, const course::CourseBook& book,
                   meet::FloorLine& line, meet::Entry& entry, CallRow& into) {
        const auto problem = [&](const std::string& sentence) { into.problems.push_back(sentence); };
        const auto key = station_key(book, column.station);
        switch (column.meaning) {
            case Meaning::number:
                return;
            case Meaning::calls: {
                const auto calls = meet::read_calls(cell, book);
                if (!calls) return problem(calls.error().sentence);
                line.calls.insert(calls->begin(), calls->end());
                return;
            }
            case Meaning::station: {
                std::optional<meet::Call> call;
                if (!key) return problem(fmt::format("Its course has no station '{}'.", column.station));
                if (!read_one_call(cell, call))
                    return problem(fmt::format("'{}' is no call: c is clear, f is fail, - is none.", cell));
                line.calls[*key] = call;
                return;
            }
            case Meaning::finish:
            case Meaning::station_time: {
                const bool finish = column.meaning == Meaning::finish;
                if (!finish && !key)
                    return problem(fmt::format("Its course has no station '{}'.", column.station));
                const auto watches = watches_of(cell);
                if (!watches) return problem(watches.error().sentence);
                line.times[finish ? std::string() : *key] = *watches;
                return;
            }
            case Meaning::times:
                for (std::size_t begin = 0; begin < cell.size();) {
                    const std::size_t end = std::min(cell.size(), cell.find(' ', begin));
                    const auto read = read_time_words(cell.substr(begin, end - begin), line);
                    if (end > begin && !read) return problem(read.error().sentence);
                    begin = end + 1;
                }
                return;
            case Meaning::judge:
                line.judge = cell;
                return;
            case Meaning::status: {
                const auto status = base::value_of(meet::kEntryStatusWords, lower(cell));
                if (!status)
                    return problem(fmt::format("'{}' is no status; {} is.", cell,
                                               base::listed(base::words_in(meet::kEntryStatusWords), "or")));
                entry.status = *status;
                return;
            }
            case Meaning::reason:
                entry.reason = cell;
                return;
        }
    }

    void say_what(meet::EntryId entry, const course::CourseBook& book, const meet::Entry& now,
                  CallRow& into) {
        const meet::Run* run = meet::latest_run(after_, entry);
        if (run != nullptr) {
            into.words = called_words(after_, courses_after_, *run);
            for (const std::string& remark : meet::floor_remarks(after_, book, run->id))
                into.remarks.push_back(remark);
        }
        if (now.status != meet::EntryStatus::entered)
            into.words +=
                (into.words.empty() ? "" : "; ") + base::word_for(meet::kEntryStatusWords, now.status);
    }

    const base::Table& table_;
    meet::State after_;
    MeetCourses courses_;
    MeetCourses courses_after_;  // of runs that come with the list, too
    std::map<std::string, meet::EntryId> entries_;
    std::map<std::string, std::int64_t> lines_;
    std::vector<Column> columns_;
    CallList list_;
};

/// In nine digits after the point, without those that say nothing: a watch is written down as it was read.
std::string watch_text(base::Duration watch) {
    std::string text = fmt::format("{}.{:09}", watch.ns / 1'000'000'000, watch.ns % 1'000'000'000);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text += "0";
    return text;
}

std::string watches_text(const std::vector<base::Duration>& watches) {
    std::string text;
    for (const base::Duration watch : watches)
        text += (text.empty() ? "" : "/") + watch_text(watch);
    return text;
}

base::TableRow row_of(const meet::State& state, MeetCourses& courses, const meet::Entry& entry) {
    std::string calls, finish, times, judge;
    const meet::Run* run = meet::latest_run(state, entry.id);
    const course::CourseBook* book = run != nullptr ? courses.of(*run) : nullptr;
    if (book != nullptr) {
        for (const course::Station& station : book->stations) {
            const meet::FloorCall* call = meet::call_at(state, run->id, station.key);
            calls += call == nullptr ? '-' : call->call == meet::Call::clear ? 'c' : 'f';
            if (call != nullptr && judge.empty()) judge = call->judge;
        }
        calls.erase(calls.find_last_not_of('-') + 1);
        for (const meet::ClockTime& time : state.clock_times_of(run->id)) {
            const std::string text = watches_text(time.watches);
            if (time.station.empty())
                finish = text;
            else
                times += (times.empty() ? "" : " ") + time.station + "=" + text;
        }
    }
    return {0,
            {state.athletes().at(entry.athlete).number, calls, finish, times, judge,
             base::word_for(meet::kEntryStatusWords, entry.status), entry.reason}};
}

}  // namespace

bool CallList::good() const {
    return problems.empty() &&
           std::all_of(rows.begin(), rows.end(), [](const CallRow& row) { return row.problems.empty(); });
}

CallList read_call_list(const base::Table& table, const meet::State& state, meet::RoundId round,
                        const std::string& judge, meet::WallTime at) {
    return Reader(table, state, round).read(judge, at);
}

base::Table call_table(const meet::State& state, meet::RoundId round) {
    std::vector<const meet::Entry*> entries;
    for (const auto& [id, entry] : state.entries()) {
        if (entry.round == round) entries.push_back(&entry);
    }
    std::stable_sort(entries.begin(), entries.end(), [](const meet::Entry* a, const meet::Entry* b) {
        return std::tie(a->heat, a->start) < std::tie(b->heat, b->start);
    });
    MeetCourses courses(state);
    base::Table table{{"number", "calls", "time", "times", "judge", "status", "reason"}, {}};
    for (const meet::Entry* entry : entries)
        table.rows.push_back(row_of(state, courses, *entry));
    return table;
}

Result<course::CourseBook> course_for_calls(MeetCourses& courses, meet::EntryId entry, bool rerun) {
    const course::CourseBook* book = courses.of_entry(entry, rerun);
    if (book != nullptr) return *book;
    return Error{
        Category::not_found,
        "There is no course for this athlete: the meet has no course book that can be read, or the book has "
        "no such division or lane. See plumbmark course.",
        ""};
}

Result<void> read_time_words(const std::string& text, meet::FloorLine& line) {
    const std::size_t equals = text.find('=');
    const std::string station = equals == std::string::npos ? "" : text.substr(0, equals);
    auto watches = watches_of(equals == std::string::npos ? text : text.substr(equals + 1));
    if (!watches) return watches.error();
    line.times[station] = std::move(*watches);
    return {};
}

std::string called_words(const meet::State& state, MeetCourses& courses, const meet::Run& run) {
    const course::CourseBook* book = courses.of(run);
    if (book == nullptr) return {};
    const meet::Results results(state, courses.sources());
    const meet::RunResult& result = results.of(run);
    std::string text;
    for (std::size_t i = 0; i < result.stations.size(); ++i) {
        const auto& its = result.stations[i].call;
        text += fmt::format("{}{} {}", i > 0 ? ", " : "", book->stations[i].name,
                            its ? base::word_for(meet::kCallWords, *its) : std::string("-"));
    }
    const auto& time = result.score.time;
    return text + (time ? "; " + meet::range_text(*time, state.rules().times.unit) : "");
}

}  // namespace plumbmark::review
