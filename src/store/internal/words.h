// The words that files use for fixed choices: one list for the journal, the tables and marks texts.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/check.h"
#include "meet/values.h"

namespace plumbmark::store {

template <class E>
using Word = std::pair<E, const char*>;

inline constexpr std::array kEventWords{
    Word<meet::EventKind>{meet::EventKind::touch, "touch"},
    Word<meet::EventKind>{meet::EventKind::release, "release"},
    Word<meet::EventKind>{meet::EventKind::cross, "cross"},
    Word<meet::EventKind>{meet::EventKind::signal, "signal"},
    Word<meet::EventKind>{meet::EventKind::infraction, "infraction"},
    Word<meet::EventKind>{meet::EventKind::control, "control"},
};
inline constexpr std::array kDirectionWords{
    Word<ruling::Direction>{ruling::Direction::forward, "forward"},
    Word<ruling::Direction>{ruling::Direction::back, "back"},
};
inline constexpr std::array kGradeWords{
    Word<ruling::Grade>{ruling::Grade::ungraded, "ungraded"},
    Word<ruling::Grade>{ruling::Grade::brush, "brush"},
    Word<ruling::Grade>{ruling::Grade::weight, "weight"},
};
inline constexpr std::array kSignalWords{
    Word<ruling::SignalKind>{ruling::SignalKind::start_given, "start"},
    Word<ruling::SignalKind>{ruling::SignalKind::finish_registers, "finish"},
    Word<ruling::SignalKind>{ruling::SignalKind::run_over, "over"},
};
inline constexpr std::array kInfractionWords{
    Word<ruling::InfractionKind>{ruling::InfractionKind::assistance, "assistance"},
    Word<ruling::InfractionKind>{ruling::InfractionKind::false_start, "false_start"},
    Word<ruling::InfractionKind>{ruling::InfractionKind::lack_of_control, "lack_of_control"},
};
inline constexpr std::array kCallWords{
    Word<meet::Call>{meet::Call::clear, "clear"},
    Word<meet::Call>{meet::Call::fail, "fail"},
};
inline constexpr std::array kDrawingWords{
    Word<meet::DrawingKind>{meet::DrawingKind::surface, "surface"},
    Word<meet::DrawingKind>{meet::DrawingKind::plane, "plane"},
};
inline constexpr std::array kPartWords{
    Word<course::Part>{course::Part::left_hand, "left_hand"},
    Word<course::Part>{course::Part::right_hand, "right_hand"},
    Word<course::Part>{course::Part::left_foot, "left_foot"},
    Word<course::Part>{course::Part::right_foot, "right_foot"},
    Word<course::Part>{course::Part::other, "other"},
    Word<course::Part>{course::Part::loose, "loose"},
};

/// The word for a value that is in the list; anything else is a mistake of ours.
template <class List, class E>
[[nodiscard]] std::string word_for(const List& list, E value) {
    for (const auto& [choice, word] : list) {
        if (choice == value) return word;
    }
    PLUMBMARK_CHECK(!"a value without a word");
    return {};
}

template <class List>
[[nodiscard]] auto value_of(const List& list, std::string_view word)
    -> std::optional<typename List::value_type::first_type> {
    for (const auto& [choice, known] : list) {
        if (known == word) return choice;
    }
    return std::nullopt;
}

template <class List>
[[nodiscard]] std::vector<std::string> words_in(const List& list) {
    std::vector<std::string> words;
    for (const auto& [choice, word] : list)
        words.emplace_back(word);
    return words;
}

}  // namespace plumbmark::store
