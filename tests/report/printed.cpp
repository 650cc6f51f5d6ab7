#include "printed.h"

#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <regex>

namespace plumbmark::test {
namespace {

std::string output_of(const std::string& command) {
    std::string out;
    FILE* pipe = popen(command.c_str(), "r");
    if (pipe == nullptr) return out;
    std::array<char, 4096> block{};
    for (std::size_t read; (read = fread(block.data(), 1, block.size(), pipe)) > 0;)
        out.append(block.data(), read);
    pclose(pipe);
    return out;
}

}  // namespace

bool poppler_is_here() {
    static const bool here = std::system("command -v pdftotext pdfinfo pdffonts >/dev/null 2>&1") == 0;
    if (!here) std::cout << "skipped: poppler-utils is not installed\n";
    return here;
}

std::string poppler(const std::string& program, const std::string& options, const std::string& pdf) {
    const std::filesystem::path file =
        std::filesystem::temp_directory_path() / ("plumbmark-printed-" + std::to_string(getpid()) + ".pdf");
    std::ofstream(file, std::ios::binary) << pdf;
    const std::string to = program == "pdftotext" ? " -" : "";
    std::string out = output_of(program + " " + options + " '" + file.string() + "'" + to + " 2>&1");
    std::filesystem::remove(file);
    return out;
}

std::vector<std::string> pages_as_text(const std::string& pdf) {
    std::vector<std::string> pages;
    const std::string text = poppler("pdftotext", "-raw", pdf);
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t end = std::min(text.find('\f', from), text.size());
        pages.push_back(text.substr(from, end - from));
        from = end + 1;
    }
    return pages;
}

std::string squeezed(const std::string& text) {
    std::string out;
    for (const char c : text)
        if (c != ' ' && c != '\n' && c != '\f') out.push_back(c);
    return out;
}

Placed placed_words(const std::string& pdf) {
    static const std::regex page(R"rx(<page width="([0-9.]+)" height="([0-9.]+)")rx");
    static const std::regex word(
        R"rx(<word xMin="([-0-9.]+)" yMin="([-0-9.]+)" xMax="([-0-9.]+)" yMax="([-0-9.]+)">(.*)</word>)rx");
    Placed placed;
    int number = 0;
    const std::string text = poppler("pdftotext", "-bbox", pdf);
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t end = std::min(text.find('\n', from), text.size());
        const std::string line = text.substr(from, end - from);
        from = end + 1;
        std::smatch match;
        if (std::regex_search(line, match, page)) {
            if (++number == 1) placed.width = std::stod(match[1]), placed.height = std::stod(match[2]);
        } else if (std::regex_search(line, match, word)) {
            placed.words.push_back({number, std::stod(match[1]), std::stod(match[2]), std::stod(match[3]),
                                    std::stod(match[4]), match[5]});
        }
    }
    return placed;
}

std::vector<std::string> misplaced(const Placed& placed) {
    std::vector<std::string> out;
    const auto over = [](double a0, double a1, double b0, double b1) {
        return std::min(a1, b1) - std::max(a0, b0);
    };
    for (std::size_t i = 0; i < placed.words.size(); ++i) {
        const PlacedWord& a = placed.words[i];
        if (a.left < 0 || a.top < 0 || a.right > placed.width || a.bottom > placed.height)
            out.push_back("beyond the page: " + a.text);
        for (std::size_t j = i + 1; j < placed.words.size() && placed.words[j].page == a.page; ++j) {
            const PlacedWord& b = placed.words[j];
            // A box is as high as its font, which is more than its letters: a third may be shared.
            const double high = over(a.top, a.bottom, b.top, b.bottom);
            if (over(a.left, a.right, b.left, b.right) > 1 &&
                high > 0.34 * std::min(a.bottom - a.top, b.bottom - b.top))
                out.push_back("over each other: " + a.text + " | " + b.text);
        }
    }
    return out;
}

}  // namespace plumbmark::test
