// A program as a person runs it from a shell: what it prints, and how it ends.
#pragma once

#include <sys/wait.h>

#include <array>
#include <cstdio>
#include <stdexcept>
#include <string>

namespace plumbmark::test {

struct Answer {
    int code = -1;      ///< what it ended with; -1 when a signal ended it
    std::string words;  ///< its standard output
};

/// Runs a line of the shell and waits for its end. Throws std::runtime_error when no shell can be started.
inline Answer run_line(const std::string& line) {
    FILE* pipe = popen(line.c_str(), "r");
    if (pipe == nullptr) throw std::runtime_error("cannot run: " + line);
    Answer answer;
    std::array<char, 65536> block{};
    while (const std::size_t count = std::fread(block.data(), 1, block.size(), pipe))
        answer.words.append(block.data(), count);
    const int status = pclose(pipe);
    answer.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return answer;
}

}  // namespace plumbmark::test
