#include "cli/internal/interrupt.h"

#include <semaphore.h>

#include <cerrno>

namespace plumbmark::cli {
namespace {

// A handler may post a semaphore and little else (POSIX.1-2017, 2.4.3); a thread then asks for the stop.
sem_t bell;

void ring(int) {
    const int kept = errno;
    sem_post(&bell);
    errno = kept;
}

void catch_signal(int number, struct sigaction& before) {
    sigaction(number, nullptr, &before);
    if (before.sa_handler == SIG_IGN) return;
    struct sigaction ours {};
    ours.sa_handler = ring;
    ours.sa_flags = static_cast<int>(SA_RESETHAND | static_cast<unsigned>(SA_RESTART));
    sigemptyset(&ours.sa_mask);
    sigaction(number, &ours, nullptr);
}

}  // namespace

Interrupt::Interrupt() {
    sem_init(&bell, 0, 0);
    waiter_ = std::jthread([this](const std::stop_token& over) {
        while (sem_wait(&bell) != 0) {
        }
        if (!over.stop_requested()) stop_.request_stop();
    });
    catch_signal(SIGINT, before_int_);
    catch_signal(SIGTERM, before_term_);
}

Interrupt::~Interrupt() {
    sigaction(SIGINT, &before_int_, nullptr);
    sigaction(SIGTERM, &before_term_, nullptr);
    waiter_.request_stop();
    sem_post(&bell);
    waiter_.join();
    sem_destroy(&bell);
}

base::Error cancelled(const std::string& of_what) {
    return {base::Category::cancelled,
            "cancelled; nothing was written" + (of_what.empty() ? "" : " " + of_what), ""};
}

}  // namespace plumbmark::cli
