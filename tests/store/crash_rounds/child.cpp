#include "store/crash_rounds/child.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>

#include "support/test_places.h"

namespace plumbmark::test {
namespace {

const std::string kProgram = (test::build_folder() / "store-crash-child").string();
constexpr uid_t kNobody = 65534;

using Clock = std::chrono::steady_clock;

[[noreturn]] void become_child(const std::vector<std::string>& words, const ChildOptions& options, int out) {
    ::dup2(out, STDOUT_FILENO);
    if (options.largest_file) {
        ::signal(SIGXFSZ, SIG_IGN);  // so that the write fails and does not end the program
        const rlimit limit{*options.largest_file, RLIM_INFINITY};
        ::setrlimit(RLIMIT_FSIZE, &limit);
    }
    if (options.as_ordinary_user && ::geteuid() == 0) {
        if (::setgid(kNobody) != 0 || ::setuid(kNobody) != 0) ::_exit(126);
    }
    std::vector<char*> arguments;
    for (const std::string& word : words)
        arguments.push_back(const_cast<char*>(word.c_str()));
    arguments.push_back(nullptr);
    ::execv(kProgram.c_str(), arguments.data());
    ::_exit(127);
}

}  // namespace

Child::Child(const std::filesystem::path& file, const ChildOptions& options) {
    std::vector<std::string> words{kProgram, file.string(), std::to_string(options.seed),
                                   std::to_string(options.depth)};
    words.insert(words.end(), options.fault.begin(), options.fault.end());
    int ends[2];
    if (::pipe2(ends, O_CLOEXEC) != 0) std::abort();
    process_ = ::fork();
    if (process_ < 0) std::abort();
    if (process_ == 0) become_child(words, options, ends[1]);
    ::close(ends[1]);
    said_ = ends[0];
}

Child::~Child() {
    if (process_ > 0) (void)kill();
}

// False where there is nothing more to come.
bool Child::take(int patience_ms) {
    pollfd ready{said_, POLLIN, 0};
    if (::poll(&ready, 1, patience_ms) <= 0) return true;
    char buffer[4096];
    const ssize_t got = ::read(said_, buffer, sizeof buffer);
    if (got <= 0) return false;
    begun_.append(buffer, static_cast<std::size_t>(got));
    for (std::size_t end = begun_.find('\n'); end != std::string::npos; end = begun_.find('\n')) {
        take_line(begun_.substr(0, end));
        begun_.erase(0, end + 1);
    }
    return true;
}

void Child::take_line(const std::string& line) {
    if (line.starts_with("f ")) {
        ++failures_;
        last_failure_ = line.substr(2);
    } else {
        confirmed_ = std::stoll(line);
    }
}

bool Child::wait_until(const std::function<bool()>& enough) {
    const auto end = Clock::now() + std::chrono::seconds(30);
    while (!enough()) {
        if (Clock::now() > end || !take(100)) return false;
    }
    return true;
}

void Child::wait_for(std::chrono::microseconds time) {
    const auto end = Clock::now() + time;
    for (auto now = Clock::now(); now < end; now = Clock::now()) {
        const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(end - now).count();
        if (left == 0) {
            ::usleep(static_cast<useconds_t>((end - now) / std::chrono::microseconds(1)));
        } else if (!take(static_cast<int>(left))) {
            return;
        }
    }
}

void Child::lift_size_limit() const {
    const rlimit limit{RLIM_INFINITY, RLIM_INFINITY};
    ::prlimit(process_, RLIMIT_FSIZE, &limit, nullptr);
}

bool Child::kill() {
    ::kill(process_, SIGKILL);
    while (take(1'000)) {
    }
    ::close(said_);
    int status = 0;
    ::waitpid(process_, &status, 0);
    process_ = -1;
    if (WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL) return true;
    ending_ = WIFSIGNALED(status) ? "signal " + std::to_string(WTERMSIG(status))
                                  : "exit code " + std::to_string(WEXITSTATUS(status));
    return false;
}

}  // namespace plumbmark::test
