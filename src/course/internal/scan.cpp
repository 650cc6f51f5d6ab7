#include "course/internal/scan.h"

#include <algorithm>

#include "base/text.h"

namespace plumbmark::course::internal {
namespace {

// Walks over TOML just closely enough to tell brackets and dots from those inside strings and comments. Up to
// the first mistake in the text it agrees with a parser about what is a string, and a parser stops at that
// mistake.
class DepthScan {
  public:
    explicit DepthScan(std::string_view text) : text_(text) {}

    // The offset at which a limit is broken, or the text's size.
    std::size_t run() {
        while (at_ < text_.size()) {
            const std::size_t here = at_;
            step();
            if (nesting_ > kDeepestNesting || dots_ > kMostDots) return here;
        }
        return text_.size();
    }
    [[nodiscard]] bool too_nested() const { return nesting_ > kDeepestNesting; }

  private:
    void step() {
        switch (text_[at_]) {
            case '#':
                at_ = std::min(text_.find('\n', at_), text_.size());
                return;
            case '"':
            case '\'':
                skip_string(text_[at_]);
                return;
            case '[':
            case '{':
                ++nesting_;
                dots_ = 0;
                break;
            case ']':
            case '}':
                nesting_ = std::max(0, nesting_ - 1);
                dots_ = 0;
                break;
            case '.':
                ++dots_;
                break;
            case '=':
            case ',':
            case '\n':
                dots_ = 0;
                break;
            default:
                break;
        }
        ++at_;
    }

    void skip_string(char quote) {
        const std::string three(3, quote);
        if (text_.substr(at_, 3) == three) return skip_long_string(quote, three);
        for (++at_; at_ < text_.size() && text_[at_] != '\n'; ++at_) {
            if (text_[at_] == quote) {
                ++at_;
                return;
            }
            if (quote == '"' && text_[at_] == '\\') ++at_;
        }
    }

    void skip_long_string(char quote, const std::string& three) {
        for (at_ += 3; at_ < text_.size(); ++at_) {
            if (text_.substr(at_, 3) == three) {
                at_ += 3;
                // Up to two more quotes belong to the string: """a""""" ends with two of its own.
                for (int i = 0; i < 2 && at_ < text_.size() && text_[at_] == quote; ++i)
                    ++at_;
                return;
            }
            if (quote == '"' && text_[at_] == '\\') ++at_;
        }
    }

    std::string_view text_;
    std::size_t at_ = 0;
    int nesting_ = 0;
    int dots_ = 0;
};

Place place_of(std::string_view text, std::size_t offset) {
    const std::string_view before = text.substr(0, std::min(offset, text.size()));
    const std::size_t line_start = before.rfind('\n') == std::string_view::npos ? 0 : before.rfind('\n') + 1;
    const auto line = std::count(before.begin(), before.end(), '\n') + 1;
    std::string_view in_line = before.substr(line_start);
    if (line_start == 0 && in_line.substr(0, 3) == "\xEF\xBB\xBF")
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
            problems.add(place_of(text, start), "this line is longer than 10000 bytes",
                         "shorter lines (a list may go on over several)");
            return false;
        }
        start = end + 1;
    }
    return true;
}

}  // namespace

bool within_limits(std::string_view text, Problems& problems) {
    if (text.size() > kMostBytes) {
        problems.add({1, 1}, "the text has " + std::to_string(text.size()) + " bytes",
                     "a course book of at most 1048576 bytes (1 MiB)");
        return false;
    }
    if (!base::is_utf8(text)) {
        problems.add(place_of(text, first_bad_byte(text)), "this byte is not UTF-8 text",
                     "a file saved as UTF-8 (in the editor: save with encoding UTF-8)");
        return false;
    }
    if (!lines_are_short(text, problems)) return false;
    DepthScan scan(text);
    const std::size_t broken = scan.run();
    if (broken == text.size()) return true;
    if (scan.too_nested()) {
        problems.add(place_of(text, broken), "brackets are nested more than 16 deep",
                     "lists and tables as the course book describes them, at most 4 deep");
    } else {
        problems.add(place_of(text, broken), "a key has more than 8 dots", "keys without dots");
    }
    return false;
}

}  // namespace plumbmark::course::internal
