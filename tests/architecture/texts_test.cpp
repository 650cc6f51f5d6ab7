// Every sentence that the window says goes through the catalogue of languages (docs/languages.md): no literal
// of two words stands in src/desk that is not handed to it, but for those named here with a reason.
#include <catch2/catch.hpp>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "support/test_places.h"

namespace {

namespace fs = std::filesystem;

const std::set<std::string> kHandsOn{"tr", "tr_n", "tr_in", "to_translate"};
/// Names that the toolkit tells its regions and buttons apart by; nobody sees them.
const std::set<std::string> kNames{"begin_zone", "begin_child", "begin_float", "begin_page", "hit"};
/// What is said on the command line's standard error, before or without a window; a report that is sent on.
const std::set<std::string> kWithoutWindow{"still.cpp", "gl_canvas.cpp", "window.cpp", "crash_report.cpp"};
/// File and text of what is no text of the window.
const std::set<std::string> kOthers{
    "course_lists.cpp: run {}",             // a run's label, which is stored
    "entry_page.cpp: status of number ",    // the label of a change, which is stored
    "deciding_page.cpp: decide an appeal",  // the same, of a change that is tried and never made
    "deciding_page.cpp: not signed yet",    // stands in the change that is tried and never made
    "system_files.cpp: no answer",          // of the bus; the desk then shows its own list instead
    "own_files.cpp: high contrast",         // a word of a file
};

struct Literal {
    std::string text;
    int line = 0;
    std::vector<std::string> within;  ///< the calls that it is an argument of, the outermost first
};

bool letter(char c) {
    return std::isalpha(static_cast<unsigned char>(c)) != 0;
}
bool of_name(char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_';
}

/// The literals of a source; neighbours are one. Raw ones (shaders) and included files are left out.
class Reader {
  public:
    explicit Reader(std::string source) : source_(std::move(source)) {}

    std::vector<Literal> literals() {
        while (at_ < source_.size())
            step();
        return std::move(found_);
    }

  private:
    [[nodiscard]] bool here(std::string_view text) const {
        return source_.compare(at_, text.size(), text) == 0;
    }

    void step() {
        const char c = source_[at_];
        if (c == '\n') {
            ++line_;
            ++at_;
        } else if (here("//") || (c == '#' && begins_line())) {
            at_ = std::min(source_.find('\n', at_), source_.size());
        } else if (here("R\"")) {
            const std::size_t open = source_.find('(', at_);
            const std::string end = ")" + source_.substr(at_ + 2, open - at_ - 2) + "\"";
            skip_to(source_.find(end, open) + end.size());
        } else if (c == '"') {
            take();
        } else if (c == '\'' &&
                   (at_ == 0 || std::isxdigit(static_cast<unsigned char>(source_[at_ - 1])) == 0)) {
            at_ = end_of_quoted('\'');
            joined_ = false;
        } else {
            if (c == '(' || c == '{' || c == '[') within_.push_back(c == '[' ? "" : name_before());
            if ((c == ')' || c == '}' || c == ']') && !within_.empty()) within_.pop_back();
            if (std::isspace(static_cast<unsigned char>(c)) == 0) joined_ = false;
            ++at_;
        }
    }

    [[nodiscard]] bool begins_line() const {
        const std::size_t line = source_.rfind('\n', at_);
        return source_.find_first_not_of(' ', line == std::string::npos ? 0 : line + 1) == at_;
    }

    void skip_to(std::size_t end) {
        for (; at_ < end && at_ < source_.size(); ++at_)
            line_ += source_[at_] == '\n' ? 1 : 0;
    }

    [[nodiscard]] std::size_t end_of_quoted(char quote) const {
        std::size_t end = at_ + 1;
        while (end < source_.size() && source_[end] != quote)
            end += source_[end] == '\\' ? 2 : 1;
        return end + 1;
    }

    [[nodiscard]] std::string name_before() const {
        std::size_t end = at_;
        while (end > 0 && std::isspace(static_cast<unsigned char>(source_[end - 1])) != 0)
            --end;
        std::size_t from = end;
        while (from > 0 && of_name(source_[from - 1]))
            --from;
        return source_.substr(from, end - from);
    }

    void take() {
        const std::size_t end = end_of_quoted('"');
        const std::string text = source_.substr(at_ + 1, end - at_ - 2);
        if (joined_)
            found_.back().text += text;
        else
            found_.push_back({text, line_, within_});
        joined_ = true;
        at_ = end;
    }

    std::string source_;
    std::size_t at_ = 0;
    int line_ = 1;
    bool joined_ = false;  ///< nothing but space since the last literal
    std::vector<std::string> within_;
    std::vector<Literal> found_;
};

bool any_in(const std::vector<std::string>& calls, const std::set<std::string>& names) {
    for (const std::string& call : calls)
        if (names.contains(call)) return true;
    return false;
}

/// Words with a blank between them: what names and keys do not have.
bool is_sentence(const std::string& text) {
    for (std::size_t i = 1; i + 1 < text.size(); ++i)
        if (text[i] == ' ' && letter(text[i + 1]) &&
            (letter(text[i - 1]) || std::string_view(",:}").find(text[i - 1]) != std::string_view::npos))
            return true;
    return false;
}

std::vector<std::string> bare_sentences(const fs::path& file) {
    std::ifstream in(file);
    std::vector<std::string> bare;
    for (const Literal& one : Reader({std::istreambuf_iterator<char>(in), {}}).literals()) {
        if (!is_sentence(one.text) || any_in(one.within, kHandsOn) || any_in(one.within, kNames)) continue;
        if (one.text.starts_with("# ")) continue;  // begins a file of preferences or keys
        if (kOthers.contains(file.filename().string() + ": " + one.text)) continue;
        bare.push_back(file.filename().string() + ":" + std::to_string(one.line) + ": " + one.text);
    }
    return bare;
}

}  // namespace

TEST_CASE("every sentence of the window goes through the catalogue of languages") {
    int files = 0;
    for (const auto& entry :
         fs::recursive_directory_iterator(plumbmark::test::source_folder() / "src" / "desk")) {
        const fs::path& file = entry.path();
        if (file.extension() != ".h" && file.extension() != ".cpp") continue;
        ++files;
        // Pairs of colours that are tested for contrast have names for the tests alone.
        if (kWithoutWindow.contains(file.filename().string()) || file.filename() == "theme.cpp") continue;
        for (const std::string& bare : bare_sentences(file)) {
            INFO("wrap it in tr(), or say here why nobody sees it");
            CHECK(bare == "");
        }
    }
    CHECK(files > 80);
}

TEST_CASE("the reader of literals sees what it should") {
    const fs::path folder = plumbmark::test::build_folder() / "architecture-probe";
    fs::create_directories(folder);
    const fs::path probe = folder / "texts.txt";
    std::ofstream(probe)
        << "#include \"not this one\"\n// \"nor this one\"\nsay(\"said as \"\n   \"it is\");\n"
           "say(tr(\"looked up first\"));\nbegin_zone(\"a zone\", box);\nauto c = '\"';\n"
           "list = {{tr(\"one\"), \"two words\"}};\nconst int n = 1'000;\nR\"(raw one)\";\n"
           "x(\"one\", fmt::format(\"{} and {}\", 1));\n";
    CHECK(bare_sentences(probe) == std::vector<std::string>{"texts.txt:3: said as it is",
                                                            "texts.txt:8: two words",
                                                            "texts.txt:11: {} and {}"});
}
