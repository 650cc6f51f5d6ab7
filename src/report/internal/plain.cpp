#include "report/internal/plain.h"

#include "base/text.h"
#include "base/utf8.h"

namespace plumbmark::report {
namespace {

bool breaks_lines(char32_t c) {
    return c == U'\t' || c == U'\n' || c == U'\r' || c == 0x2028 || c == 0x2029 || c == 0x85;
}

constexpr char32_t kIsolate = 0x2068, kIsolateEnd = 0x2069;

bool steers(char32_t c) {
    const bool control = c < 0x20 || (c >= 0x7F && c <= 0x9F);
    const bool turns_round = (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);
    return control || turns_round;
}

std::string cleaned(std::string_view text, bool keeps_isolates) {
    std::string out;
    out.reserve(text.size());
    for (const char32_t c : base::code_points(text)) {
        const bool isolates = keeps_isolates && (c == kIsolate || c == kIsolateEnd);
        if (breaks_lines(c))
            out.push_back(' ');
        else
            base::append_utf8(out, steers(c) && !isolates ? U'\uFFFD' : c);
    }
    return out;
}

}  // namespace

std::string plain(std::string_view text) {
    return cleaned(text, false);
}

base::Sentence plain_both(const base::Sentence& sentence) {
    return {plain(sentence.english()), plain(sentence.spoken())};
}

std::string isolated(std::string_view name) {
    if (name.empty()) return {};
    std::string out;
    base::append_utf8(out, kIsolate);
    out += plain(name);
    base::append_utf8(out, kIsolateEnd);
    return out;
}

std::string printable(std::string_view text) {
    return cleaned(text, true);
}

std::string unisolated(std::string_view text) {
    std::string out;
    for (const char32_t c : base::code_points(text))
        if (c != kIsolate && c != kIsolateEnd) base::append_utf8(out, c);
    return out;
}

std::string html(std::string_view text) {
    return escaped(plain(text));
}

std::string escaped(std::string_view text) {
    std::string out;
    for (const char32_t c : base::code_points(printable(text))) {
        switch (c) {
            case U'&':
                out += "&amp;";
                break;
            case U'<':
                out += "&lt;";
                break;
            case U'>':
                out += "&gt;";
                break;
            case U'"':
                out += "&quot;";
                break;
            case U'\'':
                out += "&#39;";
                break;
            case kIsolate:
                out += "<bdi>";
                break;
            case kIsolateEnd:
                out += "</bdi>";
                break;
            default:
                base::append_utf8(out, c);
        }
    }
    return out;
}

std::string base64(const std::vector<std::uint8_t>& bytes) {
    static constexpr std::string_view kLetters =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string out;
    out.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        const std::size_t left = bytes.size() - i;
        std::uint32_t group = static_cast<std::uint32_t>(bytes[i]) << 16;
        if (left > 1) group |= static_cast<std::uint32_t>(bytes[i + 1]) << 8;
        if (left > 2) group |= bytes[i + 2];
        out.push_back(kLetters[group >> 18]);
        out.push_back(kLetters[(group >> 12) & 63]);
        out.push_back(left > 1 ? kLetters[(group >> 6) & 63] : '=');
        out.push_back(left > 2 ? kLetters[group & 63] : '=');
    }
    return out;
}

}  // namespace plumbmark::report
