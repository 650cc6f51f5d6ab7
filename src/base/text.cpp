#include "base/text.h"

#include <algorithm>

namespace plumbmark::base {
namespace {

constexpr char32_t kReplacement = 0xFFFD;

struct Decoded {
    char32_t point;
    std::size_t length;
    bool good;
};

// One code point from the front of the bytes, by the well-formed byte sequences of the Unicode Standard,
// table 3-7.
Decoded decode_one(std::string_view bytes) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(bytes[i]); };
    const unsigned char first = byte(0);
    if (first < 0x80) return {first, 1, true};
    const std::size_t length = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
    if (first < 0xC2 || first > 0xF4 || bytes.size() < length) return {kReplacement, 1, false};
    char32_t point = first & (0xFF >> (length + 1));
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(i) & 0xC0) != 0x80) return {kReplacement, 1, false};
        point = (point << 6) | (byte(i) & 0x3F);
    }
    const bool overlong = (length == 3 && point < 0x800) || (length == 4 && point < 0x10000);
    if (overlong || (point >= 0xD800 && point <= 0xDFFF) || point > 0x10FFFF) return {kReplacement, 1, false};
    return {point, length, true};
}

}  // namespace

bool is_utf8(std::string_view bytes) {
    while (!bytes.empty()) {
        // Most texts are ASCII from end to end.
        if (static_cast<unsigned char>(bytes.front()) < 0x80) {
            bytes.remove_prefix(1);
            continue;
        }
        const Decoded next = decode_one(bytes);
        if (!next.good) return false;
        bytes.remove_prefix(next.length);
    }
    return true;
}

std::u32string code_points(std::string_view utf8) {
    std::u32string points;
    while (!utf8.empty()) {
        const Decoded next = decode_one(utf8);
        points.push_back(next.point);
        utf8.remove_prefix(next.length);
    }
    return points;
}

int edit_distance(std::string_view a, std::string_view b) {
    const std::u32string s = code_points(a);
    const std::u32string t = code_points(b);
    std::vector<std::vector<int>> cost(s.size() + 1, std::vector<int>(t.size() + 1));
    for (std::size_t i = 0; i <= s.size(); ++i)
        cost[i][0] = static_cast<int>(i);
    for (std::size_t j = 0; j <= t.size(); ++j)
        cost[0][j] = static_cast<int>(j);
    for (std::size_t i = 1; i <= s.size(); ++i) {
        for (std::size_t j = 1; j <= t.size(); ++j) {
            const int change = s[i - 1] == t[j - 1] ? 0 : 1;
            cost[i][j] = std::min({cost[i - 1][j] + 1, cost[i][j - 1] + 1, cost[i - 1][j - 1] + change});
            const bool swapped = i > 1 && j > 1 && s[i - 1] == t[j - 2] && s[i - 2] == t[j - 1];
            if (swapped) cost[i][j] = std::min(cost[i][j], cost[i - 2][j - 2] + 1);
        }
    }
    return cost[s.size()][t.size()];
}

std::optional<std::string> nearest_name(std::string_view word, const std::vector<std::string>& known) {
    std::optional<std::string> best;
    int best_distance = 0;
    const std::size_t letters = code_points(word).size();
    for (const std::string& name : known) {
        const int distance = edit_distance(word, name);
        const std::size_t longer = std::max(letters, code_points(name).size());
        const int limit = std::max(1, static_cast<int>(longer / 3));
        if (distance <= limit && (!best || distance < best_distance)) {
            best = name;
            best_distance = distance;
        }
    }
    return best;
}

std::string listed(const std::vector<std::string>& words, std::string_view conjunction) {
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) text += i + 1 == words.size() ? " " + std::string(conjunction) + " " : std::string(", ");
        text += words[i];
    }
    return text;
}

std::string counted(std::int64_t n, std::string_view noun) {
    return std::to_string(n) + " " + std::string(noun) + (n == 1 ? "" : "s");
}

std::string_view trimmed(std::string_view text, std::string_view of) {
    const auto first = text.find_first_not_of(of);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(of) - first + 1);
}

std::string sentence_case(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

}  // namespace plumbmark::base
