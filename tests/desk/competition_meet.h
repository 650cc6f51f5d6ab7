// A meet without footage for the tests of the meet's own view: a course of two stations, one round, one
// division, athletes in start order.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "meet/changes.h"

namespace plumbmark::test {

/// Makes open.meet in the folder, with these athletes by number; without any nothing is there but the course.
[[nodiscard]] std::filesystem::path make_competition(const std::filesystem::path& folder,
                                                     const std::vector<std::string>& numbers = {"17", "4",
                                                                                                "21", "9"});

/// What a meet file holds.
[[nodiscard]] meet::State state_of(const std::filesystem::path& meet_file);

/// Applies a change that was made, and that must fit.
void apply(meet::State& state, const base::Result<meet::Change>& change);

/// One line an entry in start order: "17 cf 12.50; 4 -- ; 9 -- withdrawn: why": the calls of its latest run
/// in the order of the course, the official time, the status.
[[nodiscard]] std::string floor_of(const meet::State& state);

}  // namespace plumbmark::test
