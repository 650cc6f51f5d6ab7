// Ctrl+C, and a system that wants programs to end: long commands stop at their next step.
#pragma once

#include <signal.h>

#include <stop_token>
#include <thread>

#include "cli/internal/common.h"

namespace plumbmark::cli {

/// While it lives, SIGINT and SIGTERM ask for a stop instead of ending the program; a second one of the same
/// kind ends it as usual. A signal that was ignored from the beginning (nohup, a shell's background) stays
/// ignored. One at a time; for the main thread.
class Interrupt {
  public:
    Interrupt();
    ~Interrupt();
    Interrupt(const Interrupt&) = delete;
    Interrupt& operator=(const Interrupt&) = delete;

    [[nodiscard]] std::stop_token token() const { return stop_.get_token(); }
    [[nodiscard]] bool asked() const { return stop_.stop_requested(); }

  private:
    std::stop_source stop_;
    struct sigaction before_int_ {};
    struct sigaction before_term_ {};
    std::jthread waiter_;
};

/// What a command says that was stopped before it wrote anything of what it makes: "cancelled; nothing was
/// written", and what of ("of the package") where it wrote something else. Category cancelled.
[[nodiscard]] base::Error cancelled(const std::string& of_what = {});

}  // namespace plumbmark::cli
