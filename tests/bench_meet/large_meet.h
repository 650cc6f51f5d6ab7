// A meet of a set size, for measuring: athletes in divisions of 250, each entered in four rounds, every run
// with calls, a time, a clip of its own and ten marks; a few appeals; results given out twice.
#pragma once

#include <filesystem>

#include "meet/changes.h"

namespace plumbmark::bench {

/// The meet that the figures speak of; a share of it is its size divided by a number.
inline constexpr std::int64_t kAthletes = 5'000;
inline constexpr std::int64_t kRounds = 4;
inline constexpr std::int64_t kMarksOfRun = 10;

struct MeetSize {
    std::int64_t athletes = kAthletes;
    [[nodiscard]] std::int64_t runs() const { return athletes * kRounds; }
    [[nodiscard]] std::int64_t marks() const { return runs() * kMarksOfRun; }
};

/// Makes the meet file through the store, one change for each thing a person does at a time: a list of
/// entries, a run with its calls and its time, a run's marks. The same size gives the same state. Ends the
/// program with a sentence where that fails.
[[nodiscard]] meet::State make_large_meet(const std::filesystem::path& file, const MeetSize& size);

}  // namespace plumbmark::bench
