// The words that files and options use for the fixed choices of a competition.
#pragma once

#include "base/word_list.h"
#include "meet/competition.h"

namespace plumbmark::meet {

inline constexpr std::array kOrderWords{
    base::Word<Order>{Order::cleared_then_time, "cleared_then_time"},
    base::Word<Order>{Order::points_then_time, "points_then_time"},
};
inline constexpr std::array kRoundingWords{
    base::Word<Rounding>{Rounding::up, "up"},
    base::Word<Rounding>{Rounding::down, "down"},
    base::Word<Rounding>{Rounding::nearest, "nearest"},
};
inline constexpr std::array kTwoWatchesWords{
    base::Word<TwoWatches>{TwoWatches::slower, "slower"},
    base::Word<TwoWatches>{TwoWatches::mean, "mean"},
};
inline constexpr std::array kRerunWords{
    base::Word<Rerun>{Rerun::replaces, "replaces"},
    base::Word<Rerun>{Rerun::better, "better"},
};
inline constexpr std::array kTieBreakWords{
    base::Word<TieBreak>{TieBreak::shared, "shared"},
    base::Word<TieBreak>{TieBreak::round_before, "round_before"},
};
inline constexpr std::array kWhenUnshownWords{
    base::Word<WhenUnshown>{WhenUnshown::call_stands, "call_stands"},
    base::Word<WhenUnshown>{WhenUnshown::athletes_favour, "athletes_favour"},
    base::Word<WhenUnshown>{WhenUnshown::rerun, "rerun"},
};
inline constexpr std::array kCapacityWords{
    base::Word<Capacity>{Capacity::athlete, "athlete"},
    base::Word<Capacity>{Capacity::coach, "coach"},
    base::Word<Capacity>{Capacity::club, "club"},
    base::Word<Capacity>{Capacity::station_judge, "station_judge"},
    base::Word<Capacity>{Capacity::head_judge, "head_judge"},
    base::Word<Capacity>{Capacity::jury, "jury"},
};
inline constexpr std::array kRoundKindWords{
    base::Word<RoundKind>{RoundKind::qualifying, "qualifying"},
    base::Word<RoundKind>{RoundKind::final, "final"},
    base::Word<RoundKind>{RoundKind::run_off, "run_off"},
};
inline constexpr std::array kEntryStatusWords{
    base::Word<EntryStatus>{EntryStatus::entered, "entered"},
    base::Word<EntryStatus>{EntryStatus::not_started, "not_started"},
    base::Word<EntryStatus>{EntryStatus::withdrawn, "withdrawn"},
    base::Word<EntryStatus>{EntryStatus::disqualified, "disqualified"},
};
inline constexpr std::array kAppealStatusWords{
    base::Word<AppealStatus>{AppealStatus::lodged, "lodged"},
    base::Word<AppealStatus>{AppealStatus::refused, "refused"},
    base::Word<AppealStatus>{AppealStatus::withdrawn, "withdrawn"},
};
inline constexpr std::array kOutcomeWords{
    base::Word<Outcome>{Outcome::call_stands, "call_stands"},
    base::Word<Outcome>{Outcome::call_changed, "call_changed"},
    base::Word<Outcome>{Outcome::rerun, "rerun"},
};
inline constexpr std::array kVerdictWords{
    base::Word<ruling::Verdict>{ruling::Verdict::clear, "clear"},
    base::Word<ruling::Verdict>{ruling::Verdict::fail, "fail"},
    base::Word<ruling::Verdict>{ruling::Verdict::not_shown, "not_shown"},
    base::Word<ruling::Verdict>{ruling::Verdict::not_reached, "not_reached"},
};
inline constexpr std::array kCallWords{
    base::Word<Call>{Call::clear, "clear"},
    base::Word<Call>{Call::fail, "fail"},
};
inline constexpr std::array kConsentWords{
    base::Word<Consent>{Consent::unknown, "unknown"},
    base::Word<Consent>{Consent::given, "given"},
    base::Word<Consent>{Consent::refused, "refused"},
};

}  // namespace plumbmark::meet
