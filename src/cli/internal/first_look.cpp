#include "cli/internal/first_look.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"

namespace plumbmark::cli {
namespace {

constexpr std::size_t kLongestLine = 4'000;  ///< bytes; so many dots at most, each a level of recursion
constexpr std::size_t kDeepestNesting = 8;

bool is_of_name(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
}

/// Tells brackets from those inside texts and comments, up to the first thing that is not taken.
class Look {
  public:
    explicit Look(std::string_view text) : text_(text) {}

    std::optional<Unfit> whole() {
        while (at_ < text_.size() && !unfit_)
            step();
        return unfit_;
    }

  private:
    void step() {
        const char c = text_[at_];
        if (c == '#') {
            at_ = end_of_line();
        } else if (c == '"' || c == '\'') {
            skip_text(c);
        } else if (c == '[' && open_.empty() && !in_value_) {
            skip_heading();
        } else {
            take(c);
            ++at_;
        }
    }

    void take(char c) {
        const auto byte = static_cast<unsigned char>(c);
        const bool line_end = c == '\n' || (c == '\r' && text_.substr(at_ + 1, 1) == "\n");
        if (byte >= 0x80)
            refuse("a letter beyond a to z stands outside of quotes", "names in \"quotes\"");
        else if ((byte < 0x20 && c != '\t' && !line_end) || byte == 0x7F)
            refuse("a control character stands outside of quotes", "the line without it");
        if (c == '=') in_value_ = true;
        if (c == '\n') in_value_ = false;
        if (c == '[' || c == '{') open_ += c;
        if (open_.size() > kDeepestNesting)
            refuse("lists stand in lists too deeply", "lists of points [x, y] at most");
        if (c == ']' || c == '}') close(c);
    }

    void close(char c) {
        if (!open_.empty() && (open_.back() == '[') == (c == ']'))
            open_.pop_back();
        else
            refuse("this bracket closes none of its kind", "']' for '[' and '}' for '{'");
    }

    /// A text begins behind a blank or a mark, and ends on its line.
    void skip_text(char quote) {
        const bool begins =
            at_ == 0 || std::string_view(" \t\r\n=,[{").find(text_[at_ - 1]) != std::string_view::npos;
        if (!begins)
            return refuse("a quotation mark stands in the middle of a word",
                          "a whole text in quotes; a quotation mark inside it as \\\"");
        if (text_.substr(at_, 3) == std::string(3, quote))
            return refuse("a text begins with three quotation marks", "a text on one line, in one pair");
        const std::size_t end = end_of_line();
        for (std::size_t i = at_ + 1; i < end; ++i) {
            if (text_[i] == quote) {
                at_ = i + 1;
                return;
            }
            if (quote == '"' && text_[i] == '\\') ++i;
        }
        refuse("a text is not closed on its line", "a closing quotation mark");
    }

    /// "[name]" or "[[name]]", alone on its line but for a comment.
    void skip_heading() {
        const std::size_t end = end_of_line();
        std::string_view line = base::trimmed(text_.substr(at_, end - at_), " \t\r");
        line = base::trimmed(line.substr(0, line.find('#')));
        const std::size_t brackets = line.substr(0, 2) == "[[" ? 2 : 1;
        const bool closed =
            line.size() > 2 * brackets && line.substr(line.size() - brackets) == std::string(brackets, ']');
        const std::string_view name =
            closed ? line.substr(brackets, line.size() - 2 * brackets) : std::string_view();
        if (name.empty() || !std::all_of(name.begin(), name.end(), is_of_name))
            return refuse("this heading has no name, or is not closed", "one such as [[place]] or [lens]");
        at_ = end;
    }

    [[nodiscard]] std::size_t end_of_line() const { return std::min(text_.find('\n', at_), text_.size()); }

    void refuse(std::string found, std::string expected) {
        if (!unfit_) unfit_ = Unfit{at_, std::move(found), std::move(expected)};
    }

    std::string_view text_;
    std::size_t at_ = 0;
    std::string open_;       ///< the brackets that are open
    bool in_value_ = false;  ///< behind a '=' on this line
    std::optional<Unfit> unfit_;
};

}  // namespace

std::optional<Unfit> first_look(std::string_view text) {
    for (std::size_t start = 0; start < text.size();) {
        const std::size_t end = std::min(text.find('\n', start), text.size());
        if (end - start > kLongestLine)
            return Unfit{start, "this line is very long",
                         fmt::format("at most {} bytes; a list may go on over several lines", kLongestLine)};
        if (!base::is_utf8(text.substr(start, end - start)))
            return Unfit{start, "this line is not UTF-8 text", "a file saved as UTF-8"};
        start = end + 1;
    }
    return Look(text).whole();
}

}  // namespace plumbmark::cli
