// Asks the system what it may never answer, on a thread that can be left behind.
#pragma once

#include <condition_variable>
#include <memory>
#include <mutex>
#include <optional>
#include <stop_token>
#include <system_error>
#include <thread>
#include <utility>

#include "media/clip_bytes.h"

namespace plumbmark::media {

/// What work() answers; nothing when the patience ended first. The system cannot be asked to give up opening
/// a file or looking at its facts (open(2) and stat(2) on a network or a failing drive sleep without end), so
/// the wait is given up instead: the thread that hangs keeps 'work' and its answer alive, and ends when the
/// drive answers. Where the patience has no end, 'work' is done here. Any thread.
template <class Work>
[[nodiscard]] auto call_patiently(Work work, const Patience& patience) {
    using Answer = decltype(work());
    if (!patience.stop.stop_possible() && !patience.most) return std::optional<Answer>(work());
    // Else a quick answer could come before the first look at the stop.
    if (patience.stop.stop_requested()) return std::optional<Answer>();
    struct Shared {
        std::mutex mutex;
        std::condition_variable_any news;
        std::optional<Answer> answer;  // guarded by mutex
    };
    auto shared = std::make_shared<Shared>();
    auto asked = std::make_shared<Work>(std::move(work));
    try {
        std::thread([shared, asked] {
            Answer answer = (*asked)();
            const std::lock_guard lock(shared->mutex);
            shared->answer.emplace(std::move(answer));
            shared->news.notify_all();
        }).detach();
    } catch (const std::system_error&) {
        return std::optional<Answer>((*asked)());  // no more threads to be had: as good as can be
    }
    const auto answered = [&] { return shared->answer.has_value(); };
    std::unique_lock lock(shared->mutex);
    const bool in_time = patience.most ? shared->news.wait_for(lock, patience.stop, *patience.most, answered)
                                       : shared->news.wait(lock, patience.stop, answered);
    if (!in_time) return std::optional<Answer>();
    return std::move(shared->answer);
}

}  // namespace plumbmark::media
