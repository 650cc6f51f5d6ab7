#include "meet/rule_settings.h"

#include <algorithm>
#include <charconv>
#include <vector>

#include "base/text.h"
#include "base/worded.h"
#include "meet/competition_words.h"

namespace plumbmark::meet {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::Sentence;
using base::worded;

/// Words of files are the same in every language.
std::vector<Sentence> as_they_are(const std::vector<std::string>& words) {
    return {words.begin(), words.end()};
}

Error refused(const std::string& value, const Sentence& can_be) {
    return {Category::bad_input, worded("'{}' cannot stand here; {} can.", value, can_be), ""};
}

template <class List, class E>
Result<void> take_word(const List& list, const std::string& value, E& into) {
    const auto found = base::value_of(list, value);
    if (!found) return refused(value, base::listed_words(as_they_are(base::words_in(list)), "or"));
    into = *found;
    return {};
}

Result<void> take_number(const std::string& value, std::int32_t least, std::int32_t most,
                         std::int32_t& into) {
    std::int32_t number = 0;
    const auto [end, error] = std::from_chars(value.data(), value.data() + value.size(), number);
    if (error != std::errc{} || end != value.data() + value.size() || number < least || number > most)
        return refused(value, worded("a number from {} to {}", least, most));
    into = number;
    return {};
}

Result<void> take_flag(const std::string& value, bool& into) {
    if (value != "yes" && value != "no") return refused(value, base::listed_words({"yes", "no"}, "or"));
    into = value == "yes";
    return {};
}

std::string flag_word(bool flag) {
    return flag ? "yes" : "no";
}

Result<void> take_unit(const std::string& value, Rules& rules) {
    for (const base::Duration unit : time_units()) {
        if (value != time_text(unit, unit)) continue;
        rules.times.unit = unit;
        return {};
    }
    return refused(value, base::listed_words({"0.001", "0.01", "0.1", "1"}, "or"));
}

Result<void> take_who(const std::string& value, Rules& rules) {
    std::vector<Capacity> who;
    for (std::size_t begin = 0; begin <= value.size() && value != "nobody";) {
        const std::size_t end = std::min(value.size(), value.find(',', begin));
        Capacity one{};
        const std::string word(base::trimmed(value.substr(begin, end - begin)));
        if (Result<void> good = take_word(kCapacityWords, word, one); !good) return good;
        who.push_back(one);
        begin = end + 1;
    }
    std::sort(who.begin(), who.end());
    who.erase(std::unique(who.begin(), who.end()), who.end());
    rules.appeals.who = std::move(who);
    return {};
}

std::string who_words(const Rules& rules) {
    std::string text;
    for (const Capacity one : rules.appeals.who)
        text += (text.empty() ? "" : ",") + base::word_for(kCapacityWords, one);
    return text.empty() ? "nobody" : text;
}

constexpr std::int32_t kMost = 1'000'000;

const RuleSetting kSettings[] = {
    {"order", "what is counted first",
     [](const Rules& rules) { return base::word_for(kOrderWords, rules.order); },
     [](Rules& rules, const std::string& value) { return take_word(kOrderWords, value, rules.order); }},
    {"unit", "the unit of times, in seconds",
     [](const Rules& rules) { return time_text(rules.times.unit, rules.times.unit); },
     [](Rules& rules, const std::string& value) { return take_unit(value, rules); }},
    {"rounding", "what becomes of digits beyond the unit",
     [](const Rules& rules) { return base::word_for(kRoundingWords, rules.times.rounding); },
     [](Rules& rules, const std::string& value) {
         return take_word(kRoundingWords, value, rules.times.rounding);
     }},
    {"two_watches", "what two watches that differ give",
     [](const Rules& rules) { return base::word_for(kTwoWatchesWords, rules.times.two_watches); },
     [](Rules& rules, const std::string& value) {
         return take_word(kTwoWatchesWords, value, rules.times.two_watches);
     }},
    {"rerun", "a re-run that was granted replaces the run, or the better one counts",
     [](const Rules& rules) { return base::word_for(kRerunWords, rules.rerun); },
     [](Rules& rules, const std::string& value) { return take_word(kRerunWords, value, rules.rerun); }},
    {"tie_break", "what settles an exact tie",
     [](const Rules& rules) { return base::word_for(kTieBreakWords, rules.tie_break); },
     [](Rules& rules, const std::string& value) {
         return take_word(kTieBreakWords, value, rules.tie_break);
     }},
    {"appeals.minutes", "time for appeals after the result was announced; 0: no deadline",
     [](const Rules& rules) { return std::to_string(rules.appeals.minutes); },
     [](Rules& rules, const std::string& value) {
         return take_number(value, 0, kMost, rules.appeals.minutes);
     }},
    {"appeals.who", "who may lodge an appeal, with commas between them; nobody: no appeals", who_words,
     [](Rules& rules, const std::string& value) { return take_who(value, rules); }},
    {"appeals.fee", "the fee, as it is written; empty: none",
     [](const Rules& rules) { return rules.appeals.fee; },
     [](Rules& rules, const std::string& value) { return rules.appeals.fee = value, Result<void>{}; }},
    {"appeals.most", "appeals of one athlete over the meet; 0: no limit",
     [](const Rules& rules) { return std::to_string(rules.appeals.most); },
     [](Rules& rules, const std::string& value) { return take_number(value, 0, kMost, rules.appeals.most); }},
    {"appeals.may_worsen", "a review may also turn a clear into a fail",
     [](const Rules& rules) { return flag_word(rules.appeals.may_worsen); },
     [](Rules& rules, const std::string& value) { return take_flag(value, rules.appeals.may_worsen); }},
    {"appeals.when_unshown", "what becomes of a call whose ruling is NOT SHOWN",
     [](const Rules& rules) { return base::word_for(kWhenUnshownWords, rules.appeals.when_unshown); },
     [](Rules& rules, const std::string& value) {
         return take_word(kWhenUnshownWords, value, rules.appeals.when_unshown);
     }},
    {"appeals.signatures", "signatures under a decision",
     [](const Rules& rules) { return std::to_string(rules.appeals.signatures); },
     [](Rules& rules, const std::string& value) {
         return take_number(value, 1, 2, rules.appeals.signatures);
     }},
    {"appeals.judge_decides_alone", "the judge of a call may decide about it without somebody else",
     [](const Rules& rules) { return flag_word(rules.appeals.judge_decides_alone); },
     [](Rules& rules, const std::string& value) {
         return take_flag(value, rules.appeals.judge_decides_alone);
     }},
};

}  // namespace

std::span<const RuleSetting> rule_settings() {
    return kSettings;
}

Result<void> set_rule(Rules& rules, std::string_view name_and_value) {
    const std::size_t equals = name_and_value.find('=');
    const std::string name(base::trimmed(name_and_value.substr(0, equals)));
    if (equals == std::string_view::npos)
        return Error{Category::bad_input, worded("'{}' should read NAME=VALUE.", name_and_value), ""};
    const std::string value(base::trimmed(name_and_value.substr(equals + 1)));
    std::vector<std::string> names;
    for (const RuleSetting& setting : kSettings) {
        names.emplace_back(setting.name);
        if (name != setting.name) continue;
        Result<void> done = setting.set(rules, value);
        if (!done) return Error{Category::bad_input, done.error().sentence, name};
        return done;
    }
    const auto nearest = base::nearest_name(name, names);
    return Error{Category::bad_input,
                 nearest ? worded("There is no rule '{}'; did you mean '{}'?", name, *nearest)
                         : worded("There is no rule '{}'; there are {}.", name,
                                  base::listed_words(as_they_are(names))),
                 ""};
}

}  // namespace plumbmark::meet
