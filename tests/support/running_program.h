// A program that runs beside the test, so that it can be interrupted.
#pragma once

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

namespace plumbmark::test {

class RunningProgram {
  public:
    /// Starts it with all it says going into a file. Throws std::runtime_error where it cannot.
    RunningProgram(std::vector<std::string> words, const std::filesystem::path& says) {
        std::vector<char*> arguments;
        for (std::string& word : words)
            arguments.push_back(word.data());
        arguments.push_back(nullptr);
        // A spawned program is never seen with the signals of this one, as one that is forked first is.
        posix_spawn_file_actions_t files;
        posix_spawn_file_actions_init(&files);
        posix_spawn_file_actions_addopen(&files, STDOUT_FILENO, says.c_str(), O_WRONLY | O_CREAT | O_TRUNC,
                                         0600);
        posix_spawn_file_actions_adddup2(&files, STDOUT_FILENO, STDERR_FILENO);
        posix_spawnattr_t attributes;
        posix_spawnattr_init(&attributes);
        posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGDEF);
        sigset_t usual;
        sigemptyset(&usual);
        sigaddset(&usual, SIGINT);  // where it is ignored here, it would stay ignored there
        sigaddset(&usual, SIGTERM);
        posix_spawnattr_setsigdefault(&attributes, &usual);
        const int problem =
            posix_spawn(&id_, arguments.front(), &files, &attributes, arguments.data(), environ);
        posix_spawn_file_actions_destroy(&files);
        posix_spawnattr_destroy(&attributes);
        if (problem != 0) throw std::runtime_error("cannot start " + words.front());
    }
    ~RunningProgram() {
        if (id_ <= 0) return;
        ::kill(id_, SIGKILL);
        (void)wait();
    }
    RunningProgram(const RunningProgram&) = delete;
    RunningProgram& operator=(const RunningProgram&) = delete;

    /// Whether it has a handler for the signal (proc(5), SigCgt).
    [[nodiscard]] bool catches(int signal) const {
        std::ifstream status("/proc/" + std::to_string(id_) + "/status");
        for (std::string line; std::getline(status, line);)
            if (line.rfind("SigCgt:", 0) == 0)
                return std::stoull(line.substr(7), nullptr, 16) >> (signal - 1) & 1U;
        return false;
    }
    /// Until it does. False after a minute, or where it ends without.
    [[nodiscard]] bool wait_until_it_catches(int signal) const {
        for (int i = 0; i < 6'000 && !catches(signal); ++i)
            std::this_thread::sleep_for(std::chrono::milliseconds(10));
        return catches(signal);
    }
    void send(int signal) const { ::kill(id_, signal); }
    /// What it ended with; minus the signal that ended it.
    [[nodiscard]] int wait() {
        int status = 0;
        ::waitpid(id_, &status, 0);
        id_ = 0;
        return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
    }

  private:
    pid_t id_ = 0;
};

}  // namespace plumbmark::test
