#include "tools/desk_script_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

namespace plumbmark::script {
namespace {

using base::Category;
using base::Error;
using base::Result;

constexpr std::array kSteps{"title", "key", "type", "move",  "click", "drag",
                            "down",  "up",  "shot", "pause", "close"};

/// Words of a line; '...' and "..." hold a word together.
std::vector<std::string> words_in(const std::string& text) {
    std::vector<std::string> words;
    std::string word;
    char quote = 0;
    bool any = false;
    for (const char c : text) {
        if (quote != 0 ? c == quote : c == '\'' || c == '"') {
            quote = quote != 0 ? 0 : c;
            any = true;
        } else if (quote == 0 && c == ' ') {
            if (any) words.push_back(word);
            word.clear();
            any = false;
        } else {
            word += c;
            any = true;
        }
    }
    if (any) words.push_back(word);
    return words;
}

std::string trimmed(const std::string& text) {
    const auto from = text.find_first_not_of(' ');
    return from == std::string::npos ? "" : text.substr(from, text.find_last_not_of(' ') - from + 1);
}

class Reader {
  public:
    explicit Reader(std::string file) : file_(std::move(file)) {}

    Result<void> take(int line, const std::string& word, const std::string& rest) {
        line_ = line;
        if (word == "window") return script_.window = rest, Result<void>{};
        if (word == "set") return script_.environment.push_back(rest), Result<void>{};
        if (word == "copy") return script_.preparations.push_back({line, rest, {}}), Result<void>{};
        if (word == "run") return script_.preparations.push_back({line, {}, words_in(rest)}), Result<void>{};
        if (word == "open") return script_.program = words_in(rest), Result<void>{};
        if (word == "keys") return take_most(rest);
        if (word == "expect") return take_expectation(rest);
        if (std::find(kSteps.begin(), kSteps.end(), word) == kSteps.end())
            return wrong(fmt::format("'{}' is no word of a list", word));
        if (script_.program.empty()) return wrong("a program is opened first ('open plumbmark desk FILE')");
        script_.steps.push_back({line, word, rest});
        return {};
    }

    Result<Script> done() {
        if (script_.program.empty()) return wrong("the list opens no program").error();
        return std::move(script_);
    }

  private:
    Result<void> wrong(const std::string& what) const {
        return Error{Category::bad_input, what + ".", fmt::format("{}, line {}", file_, line_)};
    }

    Result<void> take_most(const std::string& rest) {
        std::istringstream words(rest);
        std::string at, most;
        if (!(words >> at >> most >> script_.most_keys) || at != "at" || most != "most")
            return wrong("expected 'keys at most NUMBER'");
        return {};
    }

    Result<void> take_expectation(const std::string& rest) {
        const auto bar = rest.rfind(" | "), equals = rest.find(" = ", bar == std::string::npos ? 0 : bar);
        if (bar == std::string::npos || equals == std::string::npos)
            return wrong("expected 'expect PROGRAM ARGUMENTS | /pointer = value'");
        Expectation expected{line_, words_in(rest.substr(0, bar)),
                             trimmed(rest.substr(bar + 3, equals - bar - 3)),
                             trimmed(rest.substr(equals + 3))};
        if (nlohmann::json::parse(expected.value, nullptr, false).is_discarded())
            return wrong(fmt::format("{} is no JSON value", expected.value));
        if (expected.pointer.empty() || expected.pointer.front() != '/')
            return wrong("a pointer into JSON begins with '/'");
        script_.expectations.push_back(std::move(expected));
        return {};
    }

    std::string file_;
    int line_ = 0;
    Script script_;
};

/// Characters of UTF-8.
std::int64_t characters_in(const std::string& text) {
    return std::count_if(text.begin(), text.end(), [](unsigned char c) { return (c & 0xC0U) != 0x80U; });
}

}  // namespace

Result<Script> read_script(const std::filesystem::path& file) {
    std::ifstream in(file);
    if (!in) return Error{Category::io, "The list cannot be read.", file.string()};
    Reader reader(file.string());
    int number = 0;
    for (std::string text; std::getline(in, text);) {
        ++number;
        text = trimmed(text);
        if (text.empty() || text.front() == '#') continue;
        const auto space = text.find(' ');
        const std::string rest = space == std::string::npos ? "" : trimmed(text.substr(space));
        if (auto taken = reader.take(number, text.substr(0, space), rest); !taken) return taken.error();
    }
    return reader.done();
}

Count count_of(const Script& script) {
    Count count;
    for (const Step& step : script.steps) {
        if (step.word == "key") count.keys += static_cast<std::int64_t>(words_in(step.rest).size());
        if (step.word == "type") count.keys += characters_in(step.rest);
        count.clicks += step.word == "click" || step.word == "drag" || step.word == "down";
        count.moves += step.word == "move";
        count.pictures += step.word == "shot";
    }
    return count;
}

std::string words_of(const Count& count) {
    return fmt::format("{} keys, {} clicks, {} pointer moves, {} pictures", count.keys, count.clicks,
                       count.moves, count.pictures);
}

std::string events_of(const Script& script, const std::filesystem::path& pictures) {
    std::string text;
    for (const Step& step : script.steps)
        text += step.word + " " + (step.word == "shot" ? (pictures / step.rest).string() : step.rest) + "\n";
    return text;
}

}  // namespace plumbmark::script
