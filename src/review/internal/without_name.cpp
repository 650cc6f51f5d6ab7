#include "review/internal/without_name.h"

#include <algorithm>
#include <set>
#include <vector>

#include "base/ascii.h"
#include "base/check.h"
#include "meet/who_ran.h"

namespace plumbmark::review {
namespace {

bool is_plain(char c) {
    return (base::ascii_lower(c) >= 'a' && base::ascii_lower(c) <= 'z') || (c >= '0' && c <= '9');
}

/// Bytes of letters beyond ASCII are parts of words.
bool in_word(char c) {
    return static_cast<unsigned char>(c) >= 0x80 || is_plain(c);
}

/// So that 'Ann' is not found in 'Annual'. Beyond ASCII many scripts set no blanks between words: there a
/// name is rather taken out once too often.
bool joined(char one, char other) {
    return is_plain(one) && is_plain(other);
}

std::string replaced(const std::string& text, const std::string& word, const std::string& by) {
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const bool fits =
            text.size() - at >= word.size() &&
            std::equal(word.begin(), word.end(), text.begin() + static_cast<std::ptrdiff_t>(at),
                       [](char a, char b) { return base::ascii_lower(a) == base::ascii_lower(b); });
        const std::size_t end = at + word.size();
        if (fits && (at == 0 || !joined(text[at - 1], text[at])) &&
            (end == text.size() || !joined(text[end - 1], text[end]))) {
            out += by;
            at = end;
        } else {
            out.push_back(text[at++]);
        }
    }
    return out;
}

std::vector<std::string> words_of(const std::string& name) {
    std::vector<std::string> words{name};
    std::string word;
    for (const char c : name + " ") {
        if (in_word(c)) {
            word.push_back(c);
            continue;
        }
        if (word.size() >= 3) words.push_back(word);
        word.clear();
    }
    return words;
}

/// Edits of one kind, for the things that changed.
template <class T>
void add_edit(std::vector<meet::Edit>& edits, const T& before, const T& after) {
    if (!(before == after)) edits.push_back({before, after});
}

/// The lenses that the clips' cameras stood with.
std::set<meet::LensId> lenses_of(const meet::State& state, const std::vector<meet::ClipId>& clips) {
    std::set<meet::LensId> lenses;
    for (const auto& [id, stand] : state.stands()) {
        if (stand.lens.valid() && std::find(clips.begin(), clips.end(), stand.clip) != clips.end())
            lenses.insert(stand.lens);
    }
    return lenses;
}

}  // namespace

bool refuses_name(const meet::State& state, meet::RunId run) {
    const meet::Athlete* athlete = meet::athlete_of(state, state.runs().at(run));
    return athlete != nullptr && athlete->consent == meet::Consent::refused;
}

std::string without_name(const std::string& text, const std::string& name, const std::string& number) {
    if (name.empty()) return text;
    std::string out = text;
    for (const std::string& word : words_of(name))
        out = replaced(out, word, number);
    return out;
}

meet::State without_name(const meet::State& state, meet::RunId run) {
    const meet::Athlete* named = meet::athlete_of(state, state.runs().at(run));
    PLUMBMARK_CHECK(named != nullptr);
    const meet::Athlete& athlete = *named;
    const auto clean = [&](std::string& text) { text = without_name(text, athlete.name, athlete.number); };
    std::vector<meet::Edit> edits;
    meet::Athlete nameless = athlete;
    nameless.name = nameless.club = nameless.born = nameless.category = "";
    add_edit(edits, athlete, nameless);
    meet::Run after = state.runs().at(run);
    clean(after.label);
    clean(after.question);
    add_edit(edits, state.runs().at(run), after);
    for (const meet::ClipId id : after.clips) {
        meet::Clip clip = state.clips().at(id);
        for (std::string* text : {&clip.name, &clip.relative_path, &clip.last_known_path})
            clean(*text);
        add_edit(edits, state.clips().at(id), clip);
    }
    for (const meet::LensId id : lenses_of(state, after.clips)) {
        meet::CameraLens lens = state.lenses().at(id);
        clean(lens.camera);
        clean(lens.source);
        // Athletes may be without a number, cameras are never without a name.
        if (lens.camera.empty()) lens.camera = "lens " + std::to_string(id.value);
        add_edit(edits, state.lenses().at(id), lens);
    }
    for (const auto& [id, mark] : state.marks()) {
        meet::Mark changed = mark;
        clean(changed.note);
        if (mark.run == run) add_edit(edits, mark, changed);
    }
    for (const auto& [id, appeal] : state.appeals()) {
        meet::Appeal changed = appeal;
        for (std::string* text : {&changed.point, &changed.lodged_by, &changed.reason})
            clean(*text);
        if (changed.capacity == meet::Capacity::athlete) changed.lodged_by = athlete.number;
        if (appeal.run == run) add_edit(edits, appeal, changed);
    }
    for (const auto& [id, decision] : state.decisions()) {
        meet::Decision changed = decision;
        clean(changed.reason);
        if (state.appeals().at(decision.appeal).run == run) add_edit(edits, decision, changed);
    }
    meet::State nameless_state = state;
    PLUMBMARK_CHECK(nameless_state.apply({"without a name", std::move(edits), 0}).ok());
    return nameless_state;
}

}  // namespace plumbmark::review
