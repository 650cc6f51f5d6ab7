#include "program.h"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <sstream>
#include <thread>

extern char** environ;

namespace plumbmark::bench {
namespace {

using base::Category;

std::string read_all(int descriptor) {
    std::string text;
    std::array<char, 1 << 16> part{};
    for (ssize_t got = 0; (got = read(descriptor, part.data(), part.size())) > 0;)
        text.append(part.data(), static_cast<std::size_t>(got));
    close(descriptor);
    return text;
}

struct Pipe {
    int reading = -1, writing = -1;
    bool open() {
        std::array<int, 2> ends{};
        if (pipe2(ends.data(), O_CLOEXEC) != 0) return false;
        reading = ends[0];
        writing = ends[1];
        return true;
    }
};

}  // namespace

bool program_there(const std::string& name) {
    const char* path = std::getenv("PATH");
    std::istringstream folders(path == nullptr ? "" : path);
    for (std::string folder; std::getline(folders, folder, ':');) {
        if (access((std::filesystem::path(folder) / name).c_str(), X_OK) == 0) return true;
    }
    return false;
}

base::Result<std::string> run_program(const std::vector<std::string>& words) {
    Pipe out, errors;
    if (!out.open() || !errors.open()) return base::Error{Category::io, "No pipe could be made.", words[0]};
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_adddup2(&actions, out.writing, STDOUT_FILENO);
    posix_spawn_file_actions_adddup2(&actions, errors.writing, STDERR_FILENO);
    std::vector<char*> arguments;
    for (const std::string& word : words)
        arguments.push_back(const_cast<char*>(word.c_str()));
    arguments.push_back(nullptr);
    pid_t child = 0;
    const int spawned = posix_spawnp(&child, arguments[0], &actions, nullptr, arguments.data(), environ);
    posix_spawn_file_actions_destroy(&actions);
    close(out.writing);
    close(errors.writing);
    std::string complaints;
    std::thread listener([&] { complaints = read_all(errors.reading); });
    std::string text = read_all(out.reading);
    listener.join();
    if (spawned != 0)
        return base::Error{Category::not_found,
                           std::string("It could not be started: ") + std::strerror(spawned), words[0]};
    int status = 0;
    waitpid(child, &status, 0);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
        const std::size_t from = complaints.size() > 400 ? complaints.size() - 400 : 0;
        return base::Error{Category::io, "It ended with an error: " + complaints.substr(from), words[0]};
    }
    return text;
}

std::int64_t resident_bytes() {
    // The file counts pages: all of the process, then those in main memory.
    std::ifstream file("/proc/self/statm");
    std::int64_t all = 0, resident = 0;
    file >> all >> resident;
    return resident * sysconf(_SC_PAGESIZE);
}

bool warm(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    std::vector<char> part(std::size_t{4} << 20);
    while (file.read(part.data(), static_cast<std::streamsize>(part.size()))) {
    }
    return file.eof();
}

}  // namespace plumbmark::bench
