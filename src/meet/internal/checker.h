// Looks at the values of one stored thing.
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <string>

#include "base/text.h"
#include "base/worded.h"
#include "meet/changes.h"

namespace plumbmark::meet {

using Point = std::array<double, 2>;

/// Sentences and the names of fields come marked for the catalogue (base::to_translate) and are worded only
/// where something is wrong: a meet file may hold hundreds of thousands of values. Collects the first thing
/// that is wrong; later ones are not looked at, since they may follow from it.
class Checker {
  public:
    void require(bool good, const char* sentence) {
        if (!good && sentence_.empty()) sentence_ = base::looked_up_word(sentence);
    }
    /// What is wrong already in words; empty: nothing.
    void require_none(const base::Sentence& sentence) {
        if (sentence_.empty()) sentence_ = sentence;
    }
    /// At most kLongestText bytes, or the number given.
    void text(const std::string& value, const char* field, std::size_t most = kLongestText) {
        if (!sentence_.empty()) return;
        if (value.size() > most) {
            sentence_ = base::worded("its {} has {} bytes, and no more than {} are kept",
                                     base::looked_up_word(field), value.size(), most);
            return;
        }
        if (!base::is_utf8(value))
            sentence_ = base::worded("its {} is not UTF-8 text", base::looked_up_word(field));
        if (value.find('\0') != std::string::npos)
            sentence_ = base::worded("its {} holds the character U+0000", base::looked_up_word(field));
    }
    void key(const std::string& value, const char* field) {
        if (value.empty() && sentence_.empty())
            sentence_ = base::worded("it names no {}", base::looked_up_word(field));
        text(value, field);
    }
    void whole_number(std::int64_t value, const char* field) {
        if (sentence_.empty() && (value < 0 || value > kLargestWholeNumber))
            sentence_ = base::worded("its {} {} is not between 0 and {}", base::looked_up_word(field), value,
                                     kLargestWholeNumber);
    }
    void point(const Point& value, const char* field) {
        if (sentence_.empty() && !(std::isfinite(value[0]) && std::isfinite(value[1])))
            sentence_ = base::worded("its {} is not a finite point", base::looked_up_word(field));
    }
    void finite(double value, const char* field) {
        if (sentence_.empty() && !std::isfinite(value))
            sentence_ = base::worded("its {} is not a finite number", base::looked_up_word(field));
    }
    void at_most(std::size_t count, std::size_t most) {
        if (sentence_.empty() && count > most)
            sentence_ = base::worded("{} places are pointed at, and no more than {} are kept", count, most);
    }
    void hex_digits(const std::string& value, std::size_t count, const char* field) {
        if (sentence_.empty() &&
            (value.size() != count || value.find_first_not_of("0123456789abcdef") != std::string::npos))
            sentence_ = base::worded("its {} is not {} lower-case hexadecimal digits",
                                     base::looked_up_word(field), count);
    }
    [[nodiscard]] const base::Sentence& sentence() const { return sentence_; }

  private:
    base::Sentence sentence_;
};

void check(Checker& checker, const Rules& rules);
void check(Checker& checker, const Division& division);
void check(Checker& checker, const Round& round);
void check(Checker& checker, const Entry& entry);
void check(Checker& checker, const ClockTime& time);
void check(Checker& checker, const Appeal& appeal);
void check(Checker& checker, const Decision& decision);
void check(Checker& checker, const Publication& publication);
void check(Checker& checker, const SigningKey& key);
void check(Checker& checker, const Seal& seal);
void check(Checker& checker, const Cover& cover);
void check(Checker& checker, const CameraLens& lens);
void check(Checker& checker, const CameraStand& stand);
void check(Checker& checker, const Tester& tester);
void check(Checker& checker, const RigState& rig);
void check(Checker& checker, const Trial& trial);
void check(Checker& checker, const Closing& closing);
void check(Checker& checker, const Release& release);
void check(Checker& checker, const CoachNote& note);
/// What a mark has pointed at and had measured.
void check_measured(Checker& checker, const Mark& mark);

}  // namespace plumbmark::meet
