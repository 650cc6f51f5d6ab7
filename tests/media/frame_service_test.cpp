// The service as the window uses it: many requests, one thread that must not wait.
#include "media/frame_service.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <random>

#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
using plumbmark::base::Category;

namespace {

std::filesystem::path service_clip() {
    return made_clip("service.mp4",
                     "-f lavfi -i testsrc2=s=160x120:r=25:d=4 -c:v libx264 -preset veryfast -bf 2 -g 25 ");
}

/// Waits for a state by the service's wake-ups alone.
class Waker {
  public:
    std::function<void()> callback() {
        return [this] {
            {
                std::lock_guard lock(mutex_);
                ++wakes_;
            }
            changed_.notify_all();
        };
    }
    template <class Done>
    ServiceState wait(const FrameService& service, Done done) {
        std::unique_lock lock(mutex_);
        ServiceState state;
        const bool came = changed_.wait_for(lock, std::chrono::seconds(60), [&] {
            state = service.poll();
            return done(state);
        });
        REQUIRE(came);
        return state;
    }
    int wakes() {
        std::lock_guard lock(mutex_);
        return wakes_;
    }

  private:
    std::mutex mutex_;
    std::condition_variable changed_;
    int wakes_ = 0;
};

}  // namespace

TEST_CASE("the newest of many rapid requests is shown, with its own picture") {
    const auto sums = framemd5(service_clip());
    Waker waker;
    FrameService service(service_clip(), waker.callback());
    service.request(10);  // before the scan is done
    auto state = waker.wait(service, [](const ServiceState& s) { return s.settled(); });
    CHECK(state.phase == ServiceState::Phase::ready);
    REQUIRE(state.table);
    CHECK(state.table->size() == 100);
    std::mt19937 generator(5);
    std::int64_t last = 0;
    for (int i = 0; i < 400; ++i) {
        last = static_cast<std::int64_t>(generator() % 100);
        service.request(last);
        state = service.poll();
        if (state.picture)
            CHECK(md5_hex(*state.picture) == sums[static_cast<std::size_t>(state.picture_frame)]);
    }
    state = waker.wait(service, [](const ServiceState& s) { return s.settled(); });
    CHECK(state.picture_frame == last);
    CHECK(md5_hex(*state.picture) == sums[static_cast<std::size_t>(last)]);
    CHECK(state.answers <= 401);
    CHECK(waker.wakes() >= 2);
}

TEST_CASE("a frame outside the clip is answered with an error beside the last good picture") {
    Waker waker;
    FrameService service(service_clip(), waker.callback());
    service.request(3);
    waker.wait(service, [](const ServiceState& s) { return s.settled(); });
    service.request(1000);
    const auto state = waker.wait(service, [](const ServiceState& s) { return s.settled(); });
    REQUIRE(state.error);
    CHECK(state.error->category == Category::bad_input);
    CHECK(state.frame == 1000);
    CHECK(state.picture_frame == 3);
    CHECK(state.picture);
}

TEST_CASE("a clip that cannot be opened fails with its reason") {
    Waker waker;
    FrameService service(scratch() / "nothing-here.mp4", waker.callback());
    const auto state =
        waker.wait(service, [](const ServiceState& s) { return s.phase == ServiceState::Phase::failed; });
    REQUIRE(state.error);
    CHECK(state.error->category == Category::not_found);
}

TEST_CASE("a scan that is cancelled ends as such, and services that are dropped at once end cleanly") {
    Waker waker;
    ServiceOptions options;
    options.scan.verify = Verify::always;
    FrameService service(service_clip(), waker.callback(), options);
    service.cancel_scan();
    const auto state =
        waker.wait(service, [](const ServiceState& s) { return s.phase != ServiceState::Phase::scanning; });
    // The scan may have been done before the word came.
    if (state.phase == ServiceState::Phase::failed) CHECK(state.error->category == Category::cancelled);
    for (int i = 0; i < 20; ++i) {
        FrameService dropped(service_clip(), {});
        dropped.request(i);
    }
}

TEST_CASE("a table made before saves the scan") {
    auto table = scan_clip(service_clip());
    REQUIRE(table.ok());
    Waker waker;
    ServiceOptions options;
    options.table = std::make_shared<const FrameTable>(std::move(*table));
    FrameService service(service_clip(), waker.callback(), options);
    service.request(42);
    const auto state = waker.wait(service, [](const ServiceState& s) { return s.settled(); });
    CHECK(state.table == options.table);
    CHECK(state.picture_frame == 42);
}
