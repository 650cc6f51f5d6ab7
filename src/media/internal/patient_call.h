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

namespace plumbmark::media {

/// What work() answers; nothing when a stop was requested first. The system cannot be asked to give up
/// opening a file or looking at its facts (open(2) and stat(2) on a network or a failing drive sleep without
/// end), so the wait is given up instead: the thread that hangs keeps 'work' and its answer alive, and ends
/// when the drive answers. Where nobody can request a stop, 'work' is done here. Any thread.
template <class Work>
[[nodiscard]] auto call_patiently(Work work, const std::stop_token& stop) {
    using Answer = decltype(work());
    if (!stop.stop_possible()) return std::optional<Answer>(work());
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
    std::unique_lock lock(shared->mutex);
    if (!shared->news.wait(lock, stop, [&] { return shared->answer.has_value(); }))
        return std::optional<Answer>();
    return std::move(shared->answer);
}

}  // namespace plumbmark::media
