#include "meet/changes.h"

#include <algorithm>

#include "base/check.h"

namespace plumbmark::meet {
namespace {

constexpr std::array<const char*, kKinds> kKindWords{
    "meet",     "athlete",     "book",    "clip",     "run",       "mark",  "contact",    "watched",
    "drawing",  "floor_call",  "rules",   "division", "round",     "entry", "clock_time", "appeal",
    "decision", "publication", "key",     "seal",     "cover",     "lens",  "stand",      "tester",
    "rig",      "trial",       "closing", "release",  "coach_note"};

}  // namespace

EntityKey key_of(const Entity& entity) {
    const auto kind = static_cast<Kind>(entity.index());
    const std::int64_t id = std::visit(
        [](const auto& thing) -> std::int64_t {
            if constexpr (requires { thing.id; }) return thing.id.value;
            return 0;
        },
        entity);
    return {kind, id};
}

const char* kind_word(Kind kind) {
    return kKindWords.at(static_cast<std::size_t>(kind));
}

std::optional<Kind> kind_from_word(std::string_view word) {
    const auto found = std::find(kKindWords.begin(), kKindWords.end(), word);
    if (found == kKindWords.end()) return std::nullopt;
    return static_cast<Kind>(found - kKindWords.begin());
}

EntityKey Edit::key() const {
    PLUMBMARK_CHECK(before || after);
    return key_of(after ? *after : *before);
}

Change inverse(const Change& change) {
    Change back;
    back.label = change.label;
    back.edits.reserve(change.edits.size());
    for (auto edit = change.edits.rbegin(); edit != change.edits.rend(); ++edit)
        back.edits.push_back({edit->after, edit->before});
    return back;
}

}  // namespace plumbmark::meet
