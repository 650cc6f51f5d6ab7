#include "cli/internal/passphrase.h"

#include <bsd/readpassphrase.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <cstring>

#include "store/signing.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

constexpr std::size_t kLongest = 1'023;

std::string variable(const char* name) {
    const char* value = std::getenv(name);
    return value == nullptr ? std::string() : std::string(value);
}

/// One line, byte by byte, so that the next one is still there for whoever reads next.
Result<Passphrase> read_line(int descriptor) {
    std::string line;
    line.reserve(kLongest + 1);  // so that no copy stays behind
    char c = 0;
    while (true) {
        const ssize_t got = ::read(descriptor, &c, 1);
        if (got < 0 && errno == EINTR) continue;
        if (got < 0 || (got == 0 && line.empty())) {
            store::wipe(line);
            return Error{Category::io,
                         fmt::format("No passphrase can be read from file descriptor {}: {}.", descriptor,
                                     got < 0 ? std::strerror(errno) : "it has ended"),
                         ""};
        }
        if (got == 0 || c == '\n') return Passphrase(std::move(line));
        if (line.size() == kLongest) {
            store::wipe(line);
            return Error{Category::bad_input, fmt::format("A passphrase has at most {} bytes.", kLongest),
                         ""};
        }
        line.push_back(c);
    }
}

Result<Passphrase> ask(const std::string& prompt) {
    std::string buffer(kLongest + 1, '\0');
    if (readpassphrase((prompt + " ").c_str(), buffer.data(), buffer.size(), RPP_REQUIRE_TTY) == nullptr) {
        store::wipe(buffer);
        return Error{
            Category::not_found,
            fmt::format("A passphrase is needed, and there is no terminal to ask for it. Give it in the "
                        "variable {}, or with --passphrase-fd.",
                        kPassphraseVariable),
            ""};
    }
    Passphrase answer{std::string(buffer.c_str())};
    store::wipe(buffer);
    return answer;
}

}  // namespace

Passphrase::~Passphrase() {
    store::wipe(text_);
}

void add_passphrase_option(CLI::App& command, PassphraseOptions& options) {
    command
        .add_option(
            "--passphrase-fd", options.descriptor,
            std::string(
                "Read passphrases from this open file descriptor, a line each; else they come from ") +
                kPassphraseVariable + ", or are asked for on the terminal")
        ->check(CLI::NonNegativeNumber);
}

bool passphrase_is_given(const PassphraseOptions& options) {
    return options.descriptor >= 0 || std::getenv(kPassphraseVariable) != nullptr;
}

bool passphrase_can_be_asked() {
    const int terminal = ::open("/dev/tty", O_RDWR | O_CLOEXEC | O_NOCTTY);
    if (terminal < 0) return false;
    ::close(terminal);
    return true;
}

Result<Passphrase> read_passphrase(const PassphraseOptions& options, const std::string& prompt) {
    if (options.descriptor >= 0) return read_line(options.descriptor);
    if (passphrase_is_given(options)) return Passphrase(variable(kPassphraseVariable));
    return ask(prompt);
}

Result<Passphrase> read_new_passphrase(const PassphraseOptions& options, const std::string& prompt) {
    if (options.descriptor >= 0) return read_line(options.descriptor);
    if (std::getenv(kNewPassphraseVariable) != nullptr) return Passphrase(variable(kNewPassphraseVariable));
    if (passphrase_is_given(options)) return Passphrase(variable(kPassphraseVariable));
    Result<Passphrase> first = ask(prompt);
    if (!first) return first;
    const Result<Passphrase> again = ask("The same once more:");
    if (!again) return again.error();
    if (first->text() == again->text()) return first;
    return Error{Category::bad_input, "The two passphrases differ; nothing was changed.", ""};
}

}  // namespace plumbmark::cli
