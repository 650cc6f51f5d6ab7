// Things that are done once a round, one contestant after another.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "figures.h"

namespace plumbmark::bench {

/// Something that is timed: it returns how long it took in ms, without what it does to tidy up.
struct Job {
    Row row;
    std::function<base::Result<double>()> work;
    bool broken = false;
};

/// Does all jobs 'rounds' times, in turns; who begins changes from round to round. A job's value is
/// value_of(its time in ms); one that fails keeps no values and says why. Rows go to the figure in the order
/// of the jobs.
void take_turns(std::vector<Job>& jobs, int rounds, const std::function<double(double)>& value_of,
                Figure& figure);

/// The arguments of an ffmpeg run that reads the clip's pictures and throws what comes of them away.
/// 'threads' 0: its own choice of decoder threads.
[[nodiscard]] std::vector<std::string> ffmpeg_words(const Clip& clip, bool copy, int threads);

}  // namespace plumbmark::bench
