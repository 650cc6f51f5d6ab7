#include "contestant.h"

extern "C" {
#include <libavutil/mem.h>
#include <libavutil/murmur3.h>
}

#include <algorithm>
#include <array>
#include <random>
#include <tuple>

#include "samples.h"

namespace plumbmark::bench {
namespace {

constexpr std::size_t trial_seeks = 5;
constexpr int trial_frames = 240;

using Opened = std::vector<std::unique_ptr<Contestant>>;

/// How long each took for the same work, in ms; the seeks in turns, so that a busy moment of the machine hits
/// all.
std::vector<double> trial(const Clip& clip, const Opened& opened, Task task) {
    std::vector<double> took;
    if (task == Task::reading) {
        for (const auto& contestant : opened) {
            const Stopwatch watch;
            for (int i = 0; i < trial_frames && contestant->next(); ++i) {
            }
            took.push_back(watch.milliseconds());
        }
        return took;
    }
    std::vector<std::vector<double>> times(opened.size());
    for (const std::int64_t n : random_frames(clip, trial_seeks, 11)) {
        for (std::size_t i = 0; i < opened.size(); ++i) {
            const Stopwatch watch;
            opened[i]->show(n);
            times[i].push_back(watch.milliseconds());
        }
    }
    for (const auto& of_one : times)
        took.push_back(median(of_one));
    return took;
}

base::Result<int> best_threads(const Entrant& entrant, const Clip& clip, Task task) {
    Opened opened;
    for (const int threads : entrant.thread_choices) {
        auto one = entrant.open(clip, threads);
        if (!one) return one.error();
        opened.push_back(std::move(*one));
    }
    if (opened.size() == 1) return entrant.thread_choices.front();
    const std::vector<double> took = trial(clip, opened, task);
    const auto least = std::min_element(took.begin(), took.end()) - took.begin();
    return entrant.thread_choices[static_cast<std::size_t>(least)];
}

}  // namespace

std::string Entry::setting(Task task) const {
    const int threads = task == Task::seeking ? seeking_threads : reading_threads;
    if (threads == 0) return "own choice";
    return std::to_string(threads) + (threads == 1 ? " thread" : " threads");
}

std::vector<Entrant> peers() {
    return {bare_libav_entrant(), opencv_entrant(), ffms2_entrant(), mpv_entrant()};
}

base::Result<Entry> enter(const Entrant& entrant, const Clip& clip, bool seeking, bool reading) {
    Entry entry{entrant};
    for (const auto& [asked, task, kept] : {std::tuple(seeking, Task::seeking, &entry.seeking_threads),
                                            std::tuple(reading, Task::reading, &entry.reading_threads)}) {
        if (!asked) continue;
        auto best = best_threads(entrant, clip, task);
        if (!best) return best.error();
        *kept = *best;
    }
    return entry;
}

std::vector<std::int64_t> random_frames(const Clip& clip, std::size_t n, std::uint32_t seed) {
    // The engine's numbers are laid down by the standard, a distribution's are not.
    std::mt19937 engine(seed);
    std::vector<std::int64_t> numbers(n);
    std::generate(numbers.begin(), numbers.end(),
                  [&] { return static_cast<std::int64_t>(engine()) % clip.frames(); });
    return numbers;
}

std::string quick_digest(const std::uint8_t* first, std::size_t row_bytes, std::ptrdiff_t stride, int rows) {
    AVMurMur3* state = av_murmur3_alloc();
    if (state == nullptr) return {};
    av_murmur3_init(state);
    for (int row = 0; row < rows; ++row)
        av_murmur3_update(state, first + row * stride, row_bytes);
    std::array<std::uint8_t, 16> sum{};
    av_murmur3_final(state, sum.data());
    av_free(state);
    return {sum.begin(), sum.end()};
}

}  // namespace plumbmark::bench
