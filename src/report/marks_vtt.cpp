// WebVTT: The Web Video Text Tracks Format, W3C Candidate Recommendation of 4 April 2019.
#include <fmt/format.h>

#include <algorithm>

#include "base/check.h"
#include "base/text.h"
#include "report/internal/plain.h"
#include "report/marks_export.h"

namespace plumbmark::report {
namespace {

/// Long enough to be read: a cue of one frame could not be.
constexpr base::Duration kReading{2'000'000'000};

struct Cue {
    std::int64_t from_ms = 0, to_ms = 0;
    std::string id, text;
};

/// Rounded up, so that the frame is on the screen when the cue begins, and the one before is not any more.
std::int64_t up_to_ms(base::Time t) {
    const std::int64_t whole = t.ns / 1'000'000;
    return std::max<std::int64_t>(0, whole + (t.ns % 1'000'000 > 0 ? 1 : 0));
}

/// Section 4.1, 'WebVTT timestamp': two digits of hours, or more.
std::string stamp(std::int64_t ms) {
    return fmt::format("{:02}:{:02}:{:02}.{:03}", ms / 3'600'000, ms / 60'000 % 60, ms / 1000 % 60,
                       ms % 1000);
}

/// Section 4.2.2, 'WebVTT cue text': & and < are written as character references; > too, so that no text can
/// hold the arrow that tells times apart.
std::string cue_text(const std::string& words) {
    std::string out;
    for (const char c : plain(words)) {
        if (c == '&')
            out += "&amp;";
        else if (c == '<')
            out += "&lt;";
        else if (c == '>')
            out += "&gt;";
        else
            out += c;
    }
    return out;
}

std::string end_words(const std::optional<ListedInstant>& at, const char* outside) {
    return at ? fmt::format("f {}", at->frame) : std::string(outside);
}

std::string exact_words(const std::optional<ListedInstant>& at) {
    return at ? decimal_seconds(at->shown.ns) + " s" : std::string("open");
}

std::string bracket(const ListedMark& mark, const ListedSighting& seen) {
    if (mark.kind == ListedKind::contact)
        return fmt::format("at {} ({})", end_words(seen.late, ""), exact_words(seen.late));
    const bool both = seen.early && seen.late;
    const std::string frames =
        both ? fmt::format("f {} to {}", seen.early->frame, seen.late->frame)
             : end_words(seen.early, "before the clip") + " to " + end_words(seen.late, "after the clip");
    return fmt::format("{} ({} to {})", frames, exact_words(seen.early), exact_words(seen.late));
}

Cue cue_of(const ListedMark& mark, const ListedSighting& seen) {
    const std::optional<ListedInstant>& first = seen.late ? seen.late : seen.early;
    Cue cue;
    if (mark.kind == ListedKind::watched && seen.early && seen.late) {
        cue.from_ms = up_to_ms(seen.early->shown);
        cue.to_ms = up_to_ms(seen.late->shown);
    } else if (first) {
        cue.from_ms = up_to_ms(first->shown);
        cue.to_ms = up_to_ms(first->shown + kReading);
    }
    cue.to_ms = std::max(cue.to_ms, cue.from_ms + 1);  // an end lies after its beginning
    cue.id = fmt::format("mark {}", mark.id.value);
    cue.text = cue_text(base::listed(mark.words, "or") + (mark.possible ? ", possible" : "")) + "\n" +
               cue_text(bracket(mark, seen)) + "\n";
    if (const std::string note = cue_text(mark.note); !base::trimmed(note).empty()) cue.text += note + "\n";
    return cue;
}

}  // namespace

std::string marks_vtt(const MarkList& list, std::size_t clip) {
    PLUMBMARK_CHECK(clip < list.clips.size());
    std::vector<Cue> cues;
    for (const ListedMark& mark : list.marks)
        for (const ListedSighting& seen : mark.sightings)
            if (seen.clip == clip) cues.push_back(cue_of(mark, seen));
    std::stable_sort(cues.begin(), cues.end(),
                     [](const Cue& a, const Cue& b) { return a.from_ms < b.from_ms; });
    // A comment block may not hold the arrow; plain() and cue_text() keep it out of names.
    std::string out = fmt::format(
        "WEBVTT\n\nNOTE\nMarks of {} on {}. A cue begins with the first frame at which its mark had "
        "happened;\nthe frames of its bracket stand in it: not yet at the first, it had at the second.\n",
        cue_text(list.run_label), cue_text(list.clips[clip].name));
    for (const Cue& cue : cues)
        out += fmt::format("\n{}\n{} --> {}\n{}", cue.id, stamp(cue.from_ms), stamp(cue.to_ms), cue.text);
    return out;
}

}  // namespace plumbmark::report
