// What a tester, a rig, a trial, a closing, a release and a coach's note must be like, taken alone.
#include <algorithm>
#include <functional>
#include <optional>

#include "meet/internal/checker.h"

namespace plumbmark::meet {

using base::to_translate;

namespace {

constexpr std::size_t kHashDigits = 64;
constexpr const char* kClosingLetters = "abcdefghijklmnopqrstuvwxyz0123456789:._-";

bool is_length(const std::optional<std::int32_t>& length) {
    return !length || (*length >= kShortestLength && *length <= kLongestLength);
}

}  // namespace

void check(Checker& checker, const Tester& tester) {
    checker.require(!tester.name.empty(), to_translate("it has no name"));
    checker.text(tester.name, to_translate("name"));
    checker.require(is_length(tester.stature_mm),
                    to_translate("its stature is not between 300 and 3,000 mm"));
    checker.require(is_length(tester.span_mm), to_translate("its span is not between 300 and 3,000 mm"));
    checker.require(is_length(tester.reach_mm), to_translate("its reach is not between 300 and 3,000 mm"));
    checker.require(
        !tester.age_years || (*tester.age_years >= kYoungestTester && *tester.age_years <= kOldestTester),
        to_translate("its age is not between 3 and 120 years"));
    checker.text(tester.level, to_translate("level"));
}

void check(Checker& checker, const RigState& rig) {
    checker.key(rig.station, to_translate("station"));
    for (const RigItem& item : rig.items) {
        checker.text(item.what, to_translate("item's name"));
        checker.text(item.where, to_translate("item's place"));
        checker.require(!item.height_mm || (*item.height_mm >= 0 && *item.height_mm <= kHighestItem),
                        to_translate("a height in it is not between 0 and 100,000 mm"));
    }
    for (const RigPhoto& photo : rig.photos) {
        checker.text(photo.path, to_translate("photo's path"));
        checker.hex_digits(photo.sha256, kHashDigits, to_translate("photo's SHA-256"));
        checker.whole_number(photo.taken_at_ms, to_translate("photo's time"));
    }
    checker.text(rig.note, to_translate("note"));
}

void check(Checker& checker, const Trial& trial) {
    checker.key(trial.station, to_translate("station"));
    checker.key(trial.start, to_translate("start surface"));
    checker.text(trial.landing, to_translate("landing surface"));
    checker.require(!trial.landing.empty() || trial.seen != TrialOutcome::cleared,
                    to_translate("it was cleared, and names no landing surface"));
    for (const std::string& item : trial.items)
        checker.key(item, to_translate("item"));
    checker.require(std::adjacent_find(trial.items.begin(), trial.items.end(), std::greater_equal<>()) ==
                        trial.items.end(),
                    to_translate("its items are not in order, each once"));
    checker.require(trial.seen != TrialOutcome::not_said || trial.run.valid(),
                    to_translate("it has no run, and does not say how it came out"));
    checker.text(trial.how, to_translate("description"));
}

void check(Checker& checker, const Closing& closing) {
    checker.key(closing.station, to_translate("station"));
    checker.key(closing.item, to_translate("item"));
    checker.require(closing.item.find_first_not_of(kClosingLetters) == std::string::npos,
                    to_translate("its item has other characters than a to z, 0 to 9, ':', '.', '_' and '-'"));
    checker.require(!closing.reason.empty(), to_translate("it gives no reason"));
    checker.text(closing.reason, to_translate("reason"));
}

void check(Checker& checker, const Release& release) {
    checker.key(release.station, to_translate("station"));
    checker.hex_digits(release.definition, kHashDigits, to_translate("definition's SHA-256"));
    checker.require(!release.tester.empty(), to_translate("nobody has signed it"));
    checker.text(release.tester, to_translate("signature"));
    checker.text(release.note, to_translate("note"));
    checker.whole_number(release.signed_at_ms, to_translate("time"));
}

void check(Checker& checker, const CoachNote& note) {
    checker.whole_number(note.frame.number, to_translate("frame"));
    checker.text(note.text, to_translate("text"));
}

}  // namespace plumbmark::meet
