#include "ruling/internal/say.h"

#include "base/catalogue.h"
#include "base/text.h"

namespace plumbmark::ruling {
namespace {

/// Also of the letters with marks above them of Latin-1, which German begins sentences with.
void capitalise(std::string& text) {
    text = base::sentence_case(std::move(text));
    if (text.size() < 2 || text[0] != '\xC3') return;
    const auto low = static_cast<unsigned char>(text[1]);
    if (low >= 0xA0 && low <= 0xBE && low != 0xB7) text[1] = static_cast<char>(low - 0x20);
}

std::string listed_anew(std::vector<std::string> spoken, const std::string& conjunction) {
    if (spoken.size() < 2 || conjunction != "or" || spoken[spoken.size() - 2].find(',') == std::string::npos)
        return base::listed(spoken, base::spoken(conjunction.c_str()));
    // A clause within the last but one may have to be closed before the conjunction.
    const std::string last = std::move(spoken.back());
    spoken.pop_back();
    std::string before;
    for (const std::string& one : spoken)
        before += (before.empty() ? "" : ", ") + one;
    const Filling with[] = {Filling(before), Filling(last)};
    const char* joined = base::spoken_in("of clauses that have commas themselves", "{} or {}");
    return base::filled_in(joined, nullptr, with, 2);
}

}  // namespace

Sentence fill_in(const char* context, const char* english, const Filling* with, std::size_t count) {
    const char* other = nullptr;
    if (base::is_speaking())
        other = context != nullptr ? base::spoken_in(context, english) : base::spoken(english);
    return base::filled_in(english, other, with, count);
}

Sentence looked_up(const std::string& english) {
    if (!base::is_speaking()) return english;
    return {english, base::spoken(english.c_str())};
}

Sentence named(std::string english, const std::string& name) {
    if (!base::is_speaking()) return english;
    const Filling with(name);
    const char* quoted = base::spoken_in("a name that stands in the course book", "{}");
    return {std::move(english), base::filled_in(quoted, nullptr, &with, 1)};
}

Sentence listed(const std::vector<Sentence>& all, const char* conjunction) {
    std::vector<std::string> english, spoken;
    for (const Sentence& one : all)
        english.push_back(one.english());
    std::string text = base::listed(english, conjunction);
    if (!base::is_speaking()) return text;
    for (const Sentence& one : all)
        spoken.push_back(one.spoken());
    return {std::move(text), listed_anew(spoken, conjunction)};
}

Sentence sentence_case(const Sentence& sentence) {
    std::string english = base::sentence_case(sentence.english());
    if (!base::is_speaking()) return english;
    std::string spoken = sentence.spoken();
    capitalise(spoken);
    return {std::move(english), std::move(spoken)};
}

}  // namespace plumbmark::ruling
