// What the subcommands of the competition share: finding rounds, divisions and athletes by what people call
// them.
#pragma once

#include "cli/internal/common.h"
#include "review/competition.h"

namespace plumbmark::cli {

/// The round of this name or number; empty: the only one, or the last. Error not_found names those there are.
[[nodiscard]] base::Result<meet::RoundId> find_round(const meet::State& state, const std::string& wanted);
/// The division of this key. Error not_found names those there are.
[[nodiscard]] base::Result<meet::DivisionId> find_division(const meet::State& state,
                                                           const std::string& wanted);
/// The entry of the athlete with this number in the round. Error not_found.
[[nodiscard]] base::Result<meet::EntryId> find_entry(const meet::State& state, meet::RoundId round,
                                                     const std::string& number);
/// What --round and --division ask for; empty ones ask for all.
[[nodiscard]] base::Result<review::StandingsWish> read_wish(const meet::State& state,
                                                            const std::string& round,
                                                            const std::string& division);

/// What a meet file holds, for reading.
[[nodiscard]] base::Result<meet::State> read_meet(const std::string& meet_file);

}  // namespace plumbmark::cli
