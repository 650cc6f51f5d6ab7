#include "desk/crash_report.h"

#include <execinfo.h>
#include <fcntl.h>
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <csignal>
#include <cstring>
#include <ctime>
#include <string_view>
#include <vector>

namespace plumbmark::desk {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view kUntold = ".new.txt", kTold = ".txt";
constexpr std::size_t kMostKept = 10, kSteps = 24;

// What the handler reads is all here, made before: it may neither take memory nor a lock.
struct Kept {
    std::array<char, 4096> file{};
    std::array<char, 256> head{};
    std::array<std::atomic<const char*>, kSteps> steps{};
    std::atomic<std::size_t> next{0};
    std::atomic_flag writing = ATOMIC_FLAG_INIT;
    // A stack that ran over has no room for a handler.
    alignas(64) std::array<char, 65536> stack{};
};
Kept& kept() {
    static Kept all;
    return all;
}

void put(int file, const char* words) {
    std::size_t left = std::strlen(words);
    while (left > 0) {
        const ssize_t wrote = ::write(file, words, left);
        if (wrote <= 0) return;
        words += wrote;
        left -= static_cast<std::size_t>(wrote);
    }
}

const char* name_of(int signal) {
    switch (signal) {
        case SIGSEGV:
            return "SIGSEGV (memory that is not there)";
        case SIGBUS:
            return "SIGBUS (memory that cannot be read)";
        case SIGILL:
            return "SIGILL (no instruction)";
        case SIGFPE:
            return "SIGFPE (division by zero)";
        default:
            return "SIGABRT (it gave up by itself)";
    }
}

void on_fault(int signal) {
    Kept& all = kept();
    if (!all.writing.test_and_set()) {
        const int file = ::open(all.file.data(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
        if (file >= 0) {
            put(file, all.head.data());
            put(file, name_of(signal));
            put(file, "\n\nlast steps, the newest last:\n");
            const std::size_t next = all.next.load();
            for (std::size_t i = 0; i < kSteps; ++i) {
                const char* step = all.steps[(next + i) % kSteps].load();
                if (!step) continue;
                put(file, "  ");
                put(file, step);
                put(file, "\n");
            }
            put(file, "\nwhere it stood:\n");
            std::array<void*, 64> frames{};
            const int depth = ::backtrace(frames.data(), static_cast<int>(frames.size()));
            ::backtrace_symbols_fd(frames.data(), depth, file);
            ::close(file);
        }
    }
    // The handler is gone by now (SA_RESETHAND): the process ends as it would have.
    ::raise(signal);
}

bool ends_with(std::string_view name, std::string_view ending) {
    return name.size() >= ending.size() && name.substr(name.size() - ending.size()) == ending;
}

}  // namespace

void keep_crash_reports(const fs::path& folder, const std::string& version) {
    Kept& all = kept();
    std::error_code problem;
    fs::create_directories(folder, problem);
    const std::string when = fmt::format("{:%Y-%m-%d-%H%M%S}", fmt::localtime(std::time(nullptr)));
    const std::string file = (folder / fmt::format("crash-of-{}-{}{}", when, ::getpid(), kUntold)).string();
    if (file.size() >= all.file.size()) return;
    std::copy(file.begin(), file.end(), all.file.begin());
    const std::string head = fmt::format("Plumbmark {}, opened {}\nended by ", version, when);
    std::copy_n(head.begin(), std::min(head.size(), all.head.size() - 1), all.head.begin());
    // The first call loads a library, which a handler must not.
    std::array<void*, 1> one{};
    (void)::backtrace(one.data(), 1);
    stack_t stack{};
    stack.ss_sp = all.stack.data();
    stack.ss_size = all.stack.size();
    (void)::sigaltstack(&stack, nullptr);
    struct sigaction action {};
    action.sa_handler = on_fault;
    action.sa_flags = static_cast<int>(SA_RESETHAND | SA_ONSTACK | SA_NODEFER);
    for (const int signal : {SIGSEGV, SIGBUS, SIGILL, SIGFPE, SIGABRT})
        (void)::sigaction(signal, &action, nullptr);
}

void note_step(const char* what) {
    Kept& all = kept();
    const std::size_t at = all.next.load();
    all.steps[at % kSteps].store(what);
    all.next.store(at + 1);
}

std::optional<fs::path> untold_crash(const fs::path& folder) {
    std::error_code problem;
    std::vector<fs::path> reports;
    for (const auto& entry : fs::directory_iterator(folder, problem))
        if (ends_with(entry.path().filename().string(), kTold) &&
            entry.path().filename().string().starts_with("crash-of-"))
            reports.push_back(entry.path());
    // The names begin with the time.
    std::sort(reports.rbegin(), reports.rend());
    for (std::size_t i = kMostKept; i < reports.size(); ++i)
        fs::remove(reports[i], problem);
    reports.resize(std::min(reports.size(), kMostKept));
    std::optional<fs::path> newest;
    for (const fs::path& report : reports) {
        const std::string name = report.string();
        if (!ends_with(name, kUntold)) continue;
        const fs::path told = name.substr(0, name.size() - kUntold.size()) + std::string(kTold);
        fs::rename(report, told, problem);
        if (!newest) newest = problem ? report : told;
    }
    return newest;
}

}  // namespace plumbmark::desk
