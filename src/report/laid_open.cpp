#include "report/laid_open.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/worded.h"
#include "report/internal/plain.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

using base::Sentence;
using base::worded;
using study::Doubt;

constexpr std::int64_t kHundredth = 10'000'000;

/// Lengths are not negative.
std::string shortened(base::Duration d) {
    const std::int64_t count = d.ns / kHundredth;
    return fmt::format("{}.{:02}", count / 100, count % 100);
}
std::string lengthened(base::Duration d) {
    return shortened({d.ns + kHundredth - 1});
}

struct NamedDoubt {
    bool Doubt::*which;
    const char* key;
};
constexpr NamedDoubt kDoubts[] = {
    {&Doubt::only_if_cleared, "only_if_cleared"}, {&Doubt::possible, "possible"},
    {&Doubt::alternatives, "alternatives"},       {&Doubt::unwatched, "not_watched"},
    {&Doubt::begin_unseen, "beginning_not_seen"}, {&Doubt::end_unseen, "end_not_seen"},
    {&Doubt::order_open, "order_open"},           {&Doubt::no_lengths, "no_lengths"},
};

Sentence words_of(const NamedDoubt& doubt) {
    if (doubt.which == &Doubt::only_if_cleared) return worded("if it was cleared");
    if (doubt.which == &Doubt::possible) return worded("rests on what may not have happened");
    if (doubt.which == &Doubt::alternatives) return worded("rests on a mark that may be something else");
    if (doubt.which == &Doubt::unwatched) return worded("not watched all through");
    if (doubt.which == &Doubt::begin_unseen) return worded("its beginning was not seen");
    if (doubt.which == &Doubt::end_unseen) return worded("its end was not seen");
    if (doubt.which == &Doubt::order_open) return worded("which of its marks came first is open");
    return worded("a clip shows order only, or nothing ties the clips");
}

Sentence joined(const std::vector<Sentence>& all) {
    std::string english, spoken;
    for (const Sentence& one : all) {
        english += (english.empty() ? "" : ", ") + one.english();
        spoken += (spoken.empty() ? "" : ", ") + one.spoken();
    }
    return {english, spoken};
}

}  // namespace

Sentence run_words(const RunName& name) {
    std::vector<Sentence> parts{plain(name.label)};
    if (!name.number.empty()) parts.push_back(worded("number {}", plain(name.number)));
    if (!name.athlete.empty()) parts.emplace_back(plain(name.athlete));
    return joined(parts);
}

Sentence length_words(const study::Length& length) {
    if (!length.low) return worded("not known");
    if (!length.high) return worded("at least {} s", shortened(*length.low));
    return worded("{} to {} s", shortened(*length.low), lengthened(*length.high));
}

std::vector<Sentence> doubt_words(const Doubt& doubt) {
    std::vector<Sentence> all;
    for (const NamedDoubt& named : kDoubts) {
        if (doubt.*named.which) all.push_back(words_of(named));
    }
    return all;
}

Sentence with_doubts(const Sentence& figure, const Doubt& doubt) {
    const std::vector<Sentence> doubts = doubt_words(doubt);
    return doubts.empty() ? figure : worded("{} ({})", figure, joined(doubts));
}

Sentence count_words(const study::TouchCount& count) {
    if (!count.high) return worded("{} or more", count.low);
    if (*count.high == count.low) return std::to_string(count.low);
    if (*count.high == count.low + 1) return worded("{} or {}", count.low, *count.high);
    return worded("{} to {}", count.low, *count.high);
}

std::string event_of(const LaidOpen& run, ruling::MarkId mark) {
    const auto& marks = run.run.evidence.marks;
    const auto found = std::find_if(marks.begin(), marks.end(), [&](const auto& m) { return m.id == mark; });
    if (!mark.valid() || found == marks.end()) return "not seen";
    std::string words;
    for (const ruling::Happening& what : found->alternatives)
        words += (words.empty() ? "" : " or ") + happening_words(what, *run.book);
    return plain(words);
}

std::vector<std::string> doubt_keys(const Doubt& doubt) {
    std::vector<std::string> all;
    for (const NamedDoubt& named : kDoubts) {
        if (doubt.*named.which) all.emplace_back(named.key);
    }
    return all;
}

const char* told_key(study::Told told) {
    switch (told) {
        case study::Told::longer:
            return "longer";
        case study::Told::shorter:
            return "shorter";
        case study::Told::no_difference:
            return "no_difference";
        case study::Told::not_known:
            break;
    }
    return "not_known";
}

std::string study_text(const std::vector<StudyLine>& lines) {
    std::string out;
    for (const StudyLine& line : lines) {
        if (!line.text.empty()) out += std::string(static_cast<std::size_t>(line.depth) * 3, ' ');
        out += line.text.english() + "\n";
    }
    return out;
}

}  // namespace plumbmark::report
