// The words that files use for fixed choices: one list for the journal, the tables and marks texts.
#pragma once

#include <array>

#include "base/word_list.h"
#include "meet/competition_words.h"
#include "meet/values.h"

namespace plumbmark::store {

using base::value_of;
using base::Word;
using base::word_for;
using base::words_in;

inline constexpr std::array kEventWords{
    Word<meet::EventKind>{meet::EventKind::touch, "touch"},
    Word<meet::EventKind>{meet::EventKind::release, "release"},
    Word<meet::EventKind>{meet::EventKind::cross, "cross"},
    Word<meet::EventKind>{meet::EventKind::signal, "signal"},
    Word<meet::EventKind>{meet::EventKind::infraction, "infraction"},
    Word<meet::EventKind>{meet::EventKind::control, "control"},
    Word<meet::EventKind>{meet::EventKind::moment, "moment"},
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
using meet::kCallWords;
inline constexpr std::array kDrawingWords{
    Word<meet::DrawingKind>{meet::DrawingKind::surface, "surface"},
    Word<meet::DrawingKind>{meet::DrawingKind::plane, "plane"},
};
inline constexpr std::array kLensKnownWords{
    Word<meet::LensKnown>{meet::LensKnown::measured, "measured"},
    Word<meet::LensKnown>{meet::LensKnown::focal_length, "focal_length"},
    Word<meet::LensKnown>{meet::LensKnown::focal_and_radial, "focal_and_radial"},
};
inline constexpr std::array kPartWords{
    Word<course::Part>{course::Part::left_hand, "left_hand"},
    Word<course::Part>{course::Part::right_hand, "right_hand"},
    Word<course::Part>{course::Part::left_foot, "left_foot"},
    Word<course::Part>{course::Part::right_foot, "right_foot"},
    Word<course::Part>{course::Part::other, "other"},
    Word<course::Part>{course::Part::loose, "loose"},
};

}  // namespace plumbmark::store
