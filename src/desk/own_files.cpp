#include "desk/own_files.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "base/catalogue.h"
#include "base/word_list.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

namespace fs = std::filesystem;
using base::Category;
using base::Error;
using base::Result;

constexpr std::size_t kMostRecent = 12;
constexpr double kLeastSize = 0.5, kMostSize = 3;

constexpr std::array kThemes{base::Word<Theme>{Theme::dark, "dark"}, base::Word<Theme>{Theme::light, "light"},
                             base::Word<Theme>{Theme::high_contrast, "high contrast"}};
constexpr std::array kOnOff{base::Word<bool>{true, "on"}, base::Word<bool>{false, "off"}};
constexpr std::array kFolded{base::Word<bool>{true, "folded"}, base::Word<bool>{false, "whole"}};
constexpr std::array kFiles{base::Word<bool>{true, "own"}, base::Word<bool>{false, "system"}};
constexpr std::array kAngles{base::Word<bool>{true, "one"}, base::Word<bool>{false, "all"}};

std::string trimmed(std::string_view text) {
    const auto from = text.find_first_not_of(" \t\r");
    if (from == std::string_view::npos) return {};
    return std::string(text.substr(from, text.find_last_not_of(" \t\r") - from + 1));
}

/// What was expected instead; empty: the value is taken.
template <class List, class Value>
std::string take_word(const List& list, const std::string& text, Value& into) {
    const auto value = base::value_of(list, text);
    if (value) into = *value;
    std::string expected;
    for (const std::string& word : base::words_in(list))
        expected += (expected.empty() ? std::string() : fmt::format(" {} ", tr("or"))) + word;
    return value ? std::string() : expected;
}

std::string take_size(const std::string& text, double& into) {
    double size = 0;
    const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), size);
    if (problem != std::errc() || end != text.data() + text.size() ||
        !(size >= kLeastSize && size <= kMostSize))
        return tr("a number from {} to {}", kLeastSize, kMostSize);
    into = size;
    return {};
}

constexpr const char* kAutomatic = "automatic";

std::string take_language(const std::string& text, std::string& into) {
    std::string expected = kAutomatic;
    bool known = text == kAutomatic;
    for (const base::LanguageName& one : base::languages()) {
        known = known || text == one.code;
        expected += fmt::format(" {} {}", tr("or"), one.code);
    }
    if (!known) return expected;
    into = text == kAutomatic ? "" : text;
    return {};
}

std::string take_preference(const std::string& name, const std::string& value, Preferences& into) {
    if (name == "theme") return take_word(kThemes, value, into.theme);
    if (name == "size") return take_size(value, into.size);
    if (name == "sound") return take_word(kOnOff, value, into.sound);
    if (name == "run_strip") return take_word(kFolded, value, into.strip_folded);
    if (name == "cameras") return take_word(kAngles, value, into.angles_alone);
    if (name == "files") return take_word(kFiles, value, into.own_list_of_files);
    if (name == "language") return take_language(value, into.language);
    return tr("one of {}", "theme, size, sound, run_strip, cameras, files, language");
}

}  // namespace

Result<Preferences> read_preferences(std::string_view text, const std::string& file) {
    Preferences read;
    std::istringstream lines{std::string(text)};
    int number = 0;
    for (std::string line; std::getline(lines, line);) {
        ++number;
        line = trimmed(line.substr(0, line.find('#')));
        if (line.empty()) continue;
        const auto equals = line.find('=');
        const std::string name = trimmed(line.substr(0, equals)),
                          value = equals == std::string::npos ? "" : trimmed(line.substr(equals + 1));
        const std::string expected =
            equals == std::string::npos ? "'name = value'" : take_preference(name, value, read);
        if (!expected.empty())
            return Error{Category::bad_input, tr("'{}' is not understood; expected {}.", line, expected),
                         tr("{}, line {}", file, number)};
    }
    return read;
}

std::string write_preferences(const Preferences& p) {
    return fmt::format(
        "# Preferences of the desk; F10 there changes them.\ntheme = {}\nsize = {:.2g}\nsound = {}\n"
        "run_strip = {}\ncameras = {}\nfiles = {}\nlanguage = {}\n",
        base::word_for(kThemes, p.theme), p.size, base::word_for(kOnOff, p.sound),
        base::word_for(kFolded, p.strip_folded), base::word_for(kAngles, p.angles_alone),
        base::word_for(kFiles, p.own_list_of_files), p.language.empty() ? kAutomatic : p.language);
}

std::vector<fs::path> read_recent(const fs::path& file) {
    std::vector<fs::path> list;
    std::ifstream in(file);
    for (std::string line; list.size() < kMostRecent && std::getline(in, line);)
        if (!line.empty()) list.emplace_back(line);
    return list;
}

std::vector<fs::path> with_recent(std::vector<fs::path> list, const fs::path& meet) {
    std::erase(list, meet);
    list.insert(list.begin(), meet);
    list.resize(std::min(list.size(), kMostRecent));
    return list;
}

std::string write_recent(const std::vector<fs::path>& list) {
    std::string text;
    for (const fs::path& path : list)
        // A name with a line break in it would be read as two.
        if (path.string().find('\n') == std::string::npos) text += path.string() + "\n";
    return text;
}

}  // namespace plumbmark::desk
