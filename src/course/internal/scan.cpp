#include "course/internal/scan.h"

#include <algorithm>
#include <string>

#include "base/text.h"

namespace plumbmark::course::internal {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

enum class Broken {
    nothing,
    nesting,
    dots,
    nameless_heading,
    letter_outside_quotes,
    quote_in_word,
    long_text,
    other_bracket,
    control
};

// Walks over TOML just closely enough to tell brackets and dots from those inside texts and comments. Up to
// the first mistake in the file it agrees with a parser about what is a text, and a parser stops at that
// mistake.
//
// Some things are refused here because toml++ 3.3 and 3.4 leave undefined what they do with them: a heading
// that begins with neither letter nor quotation mark, letters beyond ASCII outside of texts (TOML does not
// allow them there either), and such letters behind a line's end in a text over several lines (no use in a
// course book).
class StructureScan {
  public:
    explicit StructureScan(std::string_view text) : text_(text) {
        if (text.substr(0, 3) == kByteOrderMark) at_ = 3;
    }

    // The offset at which a limit is broken, or the text's size.
    std::size_t run() {
        while (at_ < text_.size()) {
            const std::size_t here = at_;
            step();
            if (broken_ != Broken::nothing) return here;
        }
        return text_.size();
    }
    [[nodiscard]] Broken broken() const { return broken_; }

  private:
    void step() {
        const char c = text_[at_];
        if (c == '#') {
            at_ = std::min(text_.find('\n', at_), text_.size());
        } else if (c == '"' || c == '\'') {
            skip_text(c);
        } else {
            take(c);
            ++at_;
        }
    }

    void take(char c) {
        if (c == '[' && open_.empty() && !in_value_) {
            in_heading_ = true;
            if (!name_follows()) broken_ = Broken::nameless_heading;
        }
        if (static_cast<unsigned char>(c) >= 0x80) broken_ = Broken::letter_outside_quotes;
        if (is_stray_control(c)) broken_ = Broken::control;
        if (c == '=') in_value_ = true;
        if (c == '\n') in_value_ = in_heading_ = false;
        if (c == '[' || c == '{') open_ += c;
        if (c == ']' || c == '}') close(c);
        if (c == '.') ++dots_;
        if (std::string_view("[]{}=,\n").find(c) != std::string_view::npos) dots_ = 0;
        if (open_.size() > kDeepestNesting) broken_ = Broken::nesting;
        if (dots_ > kMostDots) broken_ = Broken::dots;
    }

    // A bracket with nothing to close is left to the parser.
    void close(char c) {
        if (open_.empty()) return;
        if ((open_.back() == '[') != (c == ']')) broken_ = Broken::other_bracket;
        open_.pop_back();
    }

    // A control character that is neither a tab nor a line's end.
    [[nodiscard]] bool is_stray_control(char c) const {
        if (c == '\r') return text_.substr(at_ + 1, 1) != "\n";
        const auto byte = static_cast<unsigned char>(c);
        return (byte < 0x20 && c != '\t' && c != '\n') || byte == 0x7F;
    }

    // Whether behind '[' or '[[' stands what a key begins with.
    [[nodiscard]] bool name_follows() const {
        std::size_t at = at_ + 1;
        if (at < text_.size() && text_[at] == '[') ++at;
        while (at < text_.size() && (text_[at] == ' ' || text_[at] == '\t'))
            ++at;
        if (at == text_.size()) return false;
        const char c = text_[at];
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
               c == '-' || c == '"' || c == '\'' || static_cast<unsigned char>(c) >= 0x80;
    }

    // Whether a text may begin here. Behind anything else a parser that reads a number would take the
    // quotation mark and what follows for a part of it, and the two would no longer agree.
    [[nodiscard]] bool text_may_begin() const {
        if (at_ == 0) return true;
        const char before = text_[at_ - 1];
        if (before == '.') return !in_value_ && (open_.empty() || in_heading_);
        const bool behind_mark = at_ == 3 && text_.substr(0, 3) == kByteOrderMark;
        return behind_mark || std::string_view(" \t\r\n=,[{").find(before) != std::string_view::npos;
    }

    void skip_text(char quote) {
        if (!text_may_begin()) {
            broken_ = Broken::quote_in_word;
            return;
        }
        if (text_.substr(at_, 3) == std::string(3, quote)) {
            broken_ = Broken::long_text;
            return;
        }
        for (++at_; at_ < text_.size() && text_[at_] != '\n'; ++at_) {
            if (text_[at_] == quote) {
                ++at_;
                return;
            }
            if (quote == '"' && text_[at_] == '\\' && text_.substr(at_ + 1, 1) != "\n") ++at_;
        }
    }

    std::string_view text_;
    std::size_t at_ = 0;
    std::string open_;  // the brackets that are open
    int dots_ = 0;
    bool in_value_ = false;    // behind a '=' on this line
    bool in_heading_ = false;  // on a line that began with '['
    Broken broken_ = Broken::nothing;
};

Place place_of(std::string_view text, std::size_t offset) {
    const std::string_view before = text.substr(0, std::min(offset, text.size()));
    const std::size_t line_start = before.rfind('\n') == std::string_view::npos ? 0 : before.rfind('\n') + 1;
    const auto line = std::count(before.begin(), before.end(), '\n') + 1;
    std::string_view in_line = before.substr(line_start);
    if (line_start == 0 && in_line.substr(0, 3) == kByteOrderMark)
        in_line.remove_prefix(3);  // byte order mark
    const std::size_t letters = base::code_points(in_line).size();
    return {static_cast<std::int32_t>(line), static_cast<std::int32_t>(letters + 1)};
}

// Bytes that the first byte of a code point announces.
std::size_t announced_length(char first) {
    const auto byte = static_cast<unsigned char>(first);
    return byte < 0x80 ? 1 : byte < 0xE0 ? 2 : byte < 0xF0 ? 3 : 4;
}

std::size_t first_bad_byte(std::string_view text) {
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t length = announced_length(text[at]);
        if (!base::is_utf8(text.substr(at, length))) return at;
        at += length;
    }
    return text.size();
}

bool lines_are_short(std::string_view text, Problems& problems) {
    std::size_t start = 0;
    while (start < text.size()) {
        const std::size_t end = std::min(text.find('\n', start), text.size());
        if (end - start > kLongestLine) {
            problems.add(place_of(text, start), worded("this line is longer than 10000 bytes"),
                         worded("shorter lines (a list may go on over several)"));
            return false;
        }
        start = end + 1;
    }
    return true;
}

void add_broken(Broken broken, Place place, Problems& problems) {
    switch (broken) {
        case Broken::nothing:
            return;
        case Broken::nesting:
            problems.add(place, worded("brackets are nested more than 16 deep"),
                         worded("lists and tables as the course book describes them, at most 4 deep"));
            return;
        case Broken::dots:
            problems.add(place, worded("a key has more than 8 dots"), worded("keys without dots"));
            return;
        case Broken::nameless_heading:
            problems.add(place, worded("this heading has no name"),
                         worded("a name between the brackets, as in [surfaces]"));
            return;
        case Broken::letter_outside_quotes:
            problems.add(place, worded("a letter beyond a to z stands outside of quotes"),
                         worded("names, and keys with such letters, in \"quotes\""));
            return;
        case Broken::quote_in_word:
            problems.add(place, worded("a quotation mark stands in the middle of a word"),
                         worded("a whole text in quotes; a quotation mark inside it as {}", "\\\""));
            return;
        case Broken::other_bracket:
            problems.add(place, worded("a bracket is closed by one of the other kind"),
                         worded("'{}' for '{}' and '{}' for '{}'", "]", "[", "}", "{"));
            return;
        case Broken::control:
            problems.add(place, worded("a control character stands outside of quotes"),
                         worded("the line without it"));
            return;
        case Broken::long_text:
            problems.add(place, worded("a text begins with three quotation marks"),
                         worded("a text on one line, in one pair of quotes"));
            return;
    }
}

}  // namespace

bool within_limits(std::string_view text, Problems& problems) {
    if (text.size() > kMostBytes) {
        problems.add({1, 1}, worded("the text has {} bytes", text.size()),
                     worded("a course book of at most 1048576 bytes (1 MiB)"));
        return false;
    }
    if (!base::is_utf8(text)) {
        problems.add(place_of(text, first_bad_byte(text)), worded("this byte is not UTF-8 text"),
                     worded("a file saved as UTF-8 (in the editor: save with encoding UTF-8)"));
        return false;
    }
    if (!lines_are_short(text, problems)) return false;
    StructureScan scan(text);
    const std::size_t broken = scan.run();
    add_broken(scan.broken(), place_of(text, broken), problems);
    return scan.broken() == Broken::nothing;
}

}  // namespace plumbmark::course::internal
