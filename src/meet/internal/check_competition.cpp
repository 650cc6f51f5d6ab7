// What a stored value of the competition must be like, taken alone.
#include <algorithm>

#include "meet/internal/checker.h"

namespace plumbmark::meet {

using base::to_translate;

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
                    to_translate("its times are given in 1, 10, 100 ms or whole seconds"));
    const AppealRules& appeals = rules.appeals;
    count(checker, appeals.minutes, 0, to_translate("its time for appeals is negative or too long"));
    count(checker, appeals.most, 0, to_translate("its number of appeals is negative or too large"));
    checker.require(appeals.signatures == 1 || appeals.signatures == 2,
                    to_translate("a decision has 1 or 2 signatures"));
    const auto unordered = std::adjacent_find(appeals.who.begin(), appeals.who.end(),
                                              [](Capacity a, Capacity b) { return a >= b; });
    checker.require(unordered == appeals.who.end(),
                    to_translate("those who may appeal are not in order, each once"));
    checker.text(appeals.fee, to_translate("fee"));
}

void check(Checker& checker, const Division& division) {
    checker.key(division.key, to_translate("key"));
    checker.text(division.name, to_translate("name"));
    checker.text(division.category, to_translate("category"));
    checker.text(division.course, to_translate("course"));
    for (const auto& year : {division.born_from, division.born_to}) {
        if (year)
            checker.require(*year >= 1900 && *year <= 2999,
                            to_translate("a year of birth lies between 1900 and 2999"));
    }
    checker.require(!division.born_from || !division.born_to || *division.born_from <= *division.born_to,
                    to_translate("its years of birth run backwards"));
}

void check(Checker& checker, const Round& round) {
    checker.text(round.name, to_translate("name"));
    count(checker, round.number, 1, to_translate("its number is not 1 or more"));
}

void check(Checker& checker, const Entry& entry) {
    count(checker, entry.heat, 1, to_translate("its heat is not 1 or more"));
    count(checker, entry.start, 1, to_translate("its start number is not 1 or more"));
    checker.text(entry.lane, to_translate("lane"));
    checker.text(entry.reason, to_translate("reason"));
}

void check(Checker& checker, const ClockTime& time) {
    checker.text(time.station, to_translate("station"));
    checker.text(time.judge, to_translate("judge"));
    checker.require(!time.watches.empty() && time.watches.size() <= 3,
                    to_translate("it has one to three watches"));
    for (const base::Duration watch : time.watches)
        checker.require(watch.ns >= 0 && watch.ns < 360'000'000'000'000,
                        to_translate("a watch shows less than 100 hours"));
}

void check(Checker& checker, const Appeal& appeal) {
    checker.key(appeal.station, to_translate("station"));
    checker.text(appeal.point, to_translate("point"));
    checker.text(appeal.lodged_by, to_translate("name"));
    checker.text(appeal.reason, to_translate("reason"));
    checker.whole_number(appeal.lodged_at.ms, to_translate("time"));
}

void check(Checker& checker, const Decision& decision) {
    checker.text(decision.reason, to_translate("reason"));
    checker.whole_number(decision.decided_at.ms, to_translate("time"));
    checker.require(!decision.signatures.empty(), to_translate("nobody has signed it"));
    for (const Signature& signature : decision.signatures)
        checker.text(signature.name, to_translate("signature"));
}

void check(Checker& checker, const Publication& publication) {
    checker.whole_number(publication.at.ms, to_translate("time"));
    checker.text(publication.note, to_translate("note"));
    for (const PublishedLine& line : publication.lines) {
        if (line.place) count(checker, *line.place, 1, to_translate("a place is not 1 or more"));
        count(checker, line.cleared, 0, to_translate("a number of stations is negative"));
        checker.whole_number(line.points, to_translate("points"));
        checker.text(line.time, to_translate("time"));
    }
}

}  // namespace plumbmark::meet
