#include "turns.h"

namespace plumbmark::bench {

void take_turns(std::vector<Job>& jobs, int rounds, const std::function<double(double)>& value_of,
                Figure& figure) {
    for (int round = 0; round < rounds; ++round) {
        for (const std::size_t i : turn(jobs.size(), static_cast<std::size_t>(round))) {
            Job& job = jobs[i];
            if (job.broken) continue;
            const base::Result<double> took = job.work();
            if (took) {
                job.row.values.push_back(value_of(*took));
                continue;
            }
            job.broken = true;
            job.row.values.clear();
            job.row.note = took.error().sentence;
        }
    }
    for (Job& job : jobs)
        figure.rows.push_back(std::move(job.row));
}

std::vector<std::string> ffmpeg_words(const Clip& clip, bool copy, int threads) {
    std::vector<std::string> words{"ffmpeg", "-v", "error", "-nostdin", "-noautorotate"};
    if (threads > 0) words.insert(words.end(), {"-threads", std::to_string(threads)});
    words.insert(words.end(), {"-i", clip.path.string(), "-map", "0:v:0"});
    if (copy) {
        words.insert(words.end(), {"-c", "copy"});
    } else {
        words.insert(words.end(), {"-fps_mode", "passthrough"});
    }
    words.insert(words.end(), {"-f", "null", "-"});
    return words;
}

}  // namespace plumbmark::bench
