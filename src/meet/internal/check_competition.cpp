// What a stored value of the competition must be like, taken alone.
#include <algorithm>

#include "meet/internal/checker.h"

namespace plumbmark::meet {
namespace {

// Places, heats and counts: no meet has more, and a slip of the keyboard is noticed.
constexpr std::int64_t kMostOf = 1'000'000;

void count(Checker& checker, std::int64_t value, std::int64_t least, const char* sentence) {
    checker.require(value >= least && value <= kMostOf, sentence);
}

}  // namespace

void check(Checker& checker, const Rules& rules) {
    const auto& units = time_units();
    checker.require(std::find(units.begin(), units.end(), rules.times.unit) != units.end(),
                    "its times are given in 1, 10, 100 ms or whole seconds");
    const AppealRules& appeals = rules.appeals;
    count(checker, appeals.minutes, 0, "its time for appeals is negative or too long");
    count(checker, appeals.most, 0, "its number of appeals is negative or too large");
    checker.require(appeals.signatures == 1 || appeals.signatures == 2, "a decision has 1 or 2 signatures");
    const auto unordered = std::adjacent_find(appeals.who.begin(), appeals.who.end(),
                                              [](Capacity a, Capacity b) { return a >= b; });
    checker.require(unordered == appeals.who.end(), "those who may appeal are not in order, each once");
    checker.text(appeals.fee, "fee");
}

void check(Checker& checker, const Division& division) {
    checker.key(division.key, "key");
    checker.text(division.name, "name");
    checker.text(division.category, "category");
    checker.text(division.course, "course");
    for (const auto& year : {division.born_from, division.born_to}) {
        if (year)
            checker.require(*year >= 1900 && *year <= 2999, "a year of birth lies between 1900 and 2999");
    }
    checker.require(!division.born_from || !division.born_to || *division.born_from <= *division.born_to,
                    "its years of birth run backwards");
}

void check(Checker& checker, const Round& round) {
    checker.text(round.name, "name");
    count(checker, round.number, 1, "its number is not 1 or more");
}

void check(Checker& checker, const Entry& entry) {
    count(checker, entry.heat, 1, "its heat is not 1 or more");
    count(checker, entry.start, 1, "its start number is not 1 or more");
    checker.text(entry.lane, "lane");
    checker.text(entry.reason, "reason");
}

void check(Checker& checker, const ClockTime& time) {
    checker.text(time.station, "station");
    checker.text(time.judge, "judge");
    checker.require(!time.watches.empty() && time.watches.size() <= 3, "it has one to three watches");
    for (const base::Duration watch : time.watches)
        checker.require(watch.ns >= 0 && watch.ns < 360'000'000'000'000, "a watch shows less than 100 hours");
}

void check(Checker& checker, const Appeal& appeal) {
    checker.key(appeal.station, "station");
    checker.text(appeal.point, "point");
    checker.text(appeal.lodged_by, "name");
    checker.text(appeal.reason, "reason");
    checker.whole_number(appeal.lodged_at.ms, "time");
}

void check(Checker& checker, const Decision& decision) {
    checker.text(decision.reason, "reason");
    checker.whole_number(decision.decided_at.ms, "time");
    checker.require(!decision.signatures.empty(), "nobody has signed it");
    for (const Signature& signature : decision.signatures)
        checker.text(signature.name, "signature");
}

void check(Checker& checker, const Publication& publication) {
    checker.whole_number(publication.at.ms, "time");
    checker.text(publication.note, "note");
    for (const PublishedLine& line : publication.lines) {
        if (line.place) count(checker, *line.place, 1, "a place is not 1 or more");
        count(checker, line.cleared, 0, "a number of stations is negative");
        checker.whole_number(line.points, "points");
        checker.text(line.time, "time");
    }
}

}  // namespace plumbmark::meet
