// What the subcommands that print share.
#pragma once

#include <filesystem>
#include <string>

#include "cli/internal/common.h"
#include "report/paper_size.h"

namespace plumbmark::cli {

/// Whether a file's name says that it is to be a PDF (.pdf, in any case).
[[nodiscard]] bool is_pdf(const std::filesystem::path& file);

/// --paper a4 or letter; anything else is refused as a wrong option. 'word' is "a4" at first.
void add_paper_option(CLI::App& command, std::string& word);
[[nodiscard]] report::PaperSize paper_size(const std::string& word);

/// Writes the bytes, or complains of what kept them from being made or written; prints the file's name. Gives
/// the exit code.
[[nodiscard]] int put_out(const std::filesystem::path& file, const base::Result<std::string>& bytes);

}  // namespace plumbmark::cli
