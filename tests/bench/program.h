// Other programs, run and waited for; and what the kernel knows of this one.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"

namespace plumbmark::bench {

/// True when a program of that name stands on the search path.
[[nodiscard]] bool program_there(const std::string& name);

/// Runs words[0] with the rest as its arguments, without a shell and without input. Returns what it wrote to
/// standard output. Errors: not_found (it could not be started), io (it ended with another code than 0; the
/// sentence has the end of its error output).
[[nodiscard]] base::Result<std::string> run_program(const std::vector<std::string>& words);

/// Memory of this process that is in main memory now, in bytes (VmRSS of proc(5)).
[[nodiscard]] std::int64_t resident_bytes();

/// Reads a file through once, so that what is measured later comes from memory. False when it cannot be read.
bool warm(const std::filesystem::path& path);

}  // namespace plumbmark::bench
