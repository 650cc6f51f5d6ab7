// What is left when the program ends by a fault of its own: a text file on this machine, for whoever mends
// it. Nothing is sent anywhere; the meet has everything that was marked.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

namespace plumbmark::desk {

/// From now on a fault that ends the process (a signal of SIGSEGV, SIGBUS, SIGILL, SIGFPE, SIGABRT) first
/// writes a report into 'folder', which is made where it is not there: the version, the signal, the last
/// steps, and where the thread stood (addresses in the program and its libraries; 'addr2line' makes lines of
/// them). Then the process ends as it would have. Signals keep this meaning until the process ends. Once,
/// from the main thread. Only what POSIX calls async-signal-safe is done in the handler.
void keep_crash_reports(const std::filesystem::path& folder, const std::string& version);

/// Notes what is being done, for the report: the last two dozen are kept. 'what' must live as long as the
/// process, and name nobody. Main thread.
void note_step(const char* what);

/// A report that nobody was told of yet, the newest; it counts as told from now on. Keeps the ten newest, and
/// removes older ones. None where there is none, or the folder cannot be read.
[[nodiscard]] std::optional<std::filesystem::path> untold_crash(const std::filesystem::path& folder);

}  // namespace plumbmark::desk
