#include "base/worded.h"

#include "base/text.h"

namespace plumbmark::base {
namespace {

using Side = std::string_view (Filling::*)() const;

/// '{}' is the next one, '{1}' the second; the catalogue has been held to that when it was read.
std::string filled(std::string_view pattern, const Filling* with, std::size_t count, Side side) {
    std::string text;
    std::size_t next = 0;
    while (true) {
        const std::size_t hole = pattern.find('{');
        text += pattern.substr(0, hole);
        if (hole == std::string_view::npos) return text;
        const std::size_t end = pattern.find('}', hole);
        std::size_t number = 0;
        for (std::size_t i = hole + 1; i < end; ++i)
            number = number * 10 + static_cast<std::size_t>(pattern[i] - '0');
        if (end == hole + 1) number = next++;
        if (number < count) text += (with[number].*side)();
        pattern.remove_prefix(end + 1);
    }
}

}  // namespace

Sentence filled_in(const char* english, const char* other, const Filling* with, std::size_t count) {
    std::string text = filled(english, with, count, &Filling::english);
    if (other == nullptr) return text;
    return {std::move(text), filled(other, with, count, &Filling::spoken)};
}

Sentence looked_up_word(const char* english) {
    if (english_is_chosen()) return english;
    return {english, translate(english)};
}

Sentence listed_words(const std::vector<Sentence>& all, const char* conjunction) {
    std::vector<std::string> texts, others;
    for (const Sentence& one : all) {
        texts.push_back(one.english());
        others.push_back(one.spoken());
    }
    std::string text = listed(texts, conjunction);
    if (english_is_chosen()) return text;
    return {std::move(text), listed(others, translate(conjunction))};
}

}  // namespace plumbmark::base
