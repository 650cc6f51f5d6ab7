#include "trials/run.h"

#include <algorithm>
#include <mutex>
#include <thread>

#include "sight/internal/basis.h"

namespace plumbmark::trials {

Trials run(const Effort& effort, const std::atomic<bool>* stop,
           const std::function<void(std::size_t)>& told) {
    const std::size_t setups = effort.setups;
    std::vector<std::vector<Outcome>> found(setups);
    std::atomic<std::size_t> next{0};
    std::mutex telling;
    std::size_t done = 0;
    const auto work = [&] {
        sight::take_draws(effort.draws);
        for (std::size_t i = next++; i < setups; i = next++) {
            if (stop != nullptr && *stop) return;
            found[i] = judged(draw_setup(effort.first + i), effort.only);
            const std::lock_guard<std::mutex> lock(telling);
            ++done;
            if (told) told(done);
        }
    };
    std::vector<std::thread> threads;
    for (int i = 1; i < effort.jobs; ++i)
        threads.emplace_back(work);
    work();
    for (std::thread& thread : threads)
        thread.join();
    sight::take_draws(sight::kDraws);
    Trials out;
    out.setups = done;
    for (std::vector<Outcome>& one : found)
        std::move(one.begin(), one.end(), std::back_inserter(out.outcomes));
    return out;
}

}  // namespace plumbmark::trials
