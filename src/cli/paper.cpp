#include "cli/internal/paper.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

namespace plumbmark::cli {

bool is_pdf(const std::filesystem::path& file) {
    std::string extension = file.extension().string();
    std::transform(extension.begin(), extension.end(), extension.begin(),
                   [](unsigned char c) { return static_cast<char>(c < 0x80 ? std::tolower(c) : c); });
    return extension == ".pdf";
}

void add_paper_option(CLI::App& command, std::string& word) {
    command.add_option("--paper", word, "What a PDF is printed on: a4 (the default) or letter")
        ->check(CLI::IsMember({"a4", "letter"}));
}

report::PaperSize paper_size(const std::string& word) {
    return word == "letter" ? report::PaperSize::letter : report::PaperSize::a4;
}

int put_out(const std::filesystem::path& file, const base::Result<std::string>& bytes) {
    if (!bytes) return complain(bytes.error());
    if (const base::Result<void> written = write_file(file, *bytes); !written)
        return complain(written.error());
    fmt::print("{}\n", file.string());
    return kDone;
}

}  // namespace plumbmark::cli
