// Many set-ups, shared out among threads.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>

#include "trials/report.h"

namespace plumbmark::trials {

struct Effort {
    std::size_t setups = 1'000;
    std::uint64_t first = 1;  ///< seed of the first
    int jobs = 1;
    int draws = sight::kDraws;        ///< of src/sight's first look at each question
    std::vector<Question> only = {};  ///< all where it is empty
};

/// Outcomes in their order, whatever the number of threads. Ends early
/// where 'stop' is set: then what was judged so far. 'told' is called now and then with how many are done, by
/// one thread at a time.
[[nodiscard]] Trials run(const Effort& effort, const std::atomic<bool>* stop = nullptr,
                         const std::function<void(std::size_t)>& told = {});

}  // namespace plumbmark::trials
