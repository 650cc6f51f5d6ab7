#include "ruling/internal/appeal.h"

#include <algorithm>
#include <set>

namespace plumbmark::ruling {
namespace {

constexpr std::int64_t kOneAttempt = 5'000;
constexpr std::size_t kMostCandidates = 6;

MarkId unused_id(const Evidence& evidence) {
    std::int64_t highest = 0;
    for (const Mark& mark : evidence.marks)
        highest = std::max(highest, mark.id.value);
    for (const ContactStatement& contact : evidence.contacts)
        highest = std::max(highest, contact.id.value);
    for (const WatchedSpan& span : evidence.spans)
        highest = std::max(highest, span.id.value);
    return MarkId{highest + 1'000'000};  // no span that an explanation tries has it
}

/// The calls with the last clear completed by this mark, and nothing unseen up to the frame before it.
Calls completed_by(const Evidence& evidence, Calls calls, const Mark& mark) {
    calls.completed_by = mark.id;
    for (const Sighting& seen : mark.sightings) {
        const auto& frames = evidence.clips[static_cast<std::size_t>(seen.clip.value)].frame_times;
        if (!seen.after || frames.empty() || frames.front() >= *seen.after) continue;
        WatchedSpan span{unused_id(evidence), seen.clip, frames.front(), *seen.after, {}};
        span.scope.whole_athlete = true;
        span.scope.finish_signal = true;
        calls.assumed = {span};
        break;
    }
    return calls;
}

/// Whether a touch, a crossing or a judge's word: what can complete a station at its own instant.
bool can_complete(const Mark& mark) {
    return std::any_of(mark.alternatives.begin(), mark.alternatives.end(), [](const Happening& what) {
        return std::holds_alternative<Touch>(what) || std::holds_alternative<Cross>(what) ||
               std::holds_alternative<Control>(what);
    });
}

}  // namespace

Calls with_seen_completion(const CoursePtr& course, const Evidence& evidence, const Settings& settings,
                           const Calls& calls, const Decided& decided) {
    if (calls.clear.empty() || !calls.clear.back()) return calls;
    std::set<std::size_t> candidates;
    for (const Ending& ending : decided.endings) {
        const std::int16_t mark = ending.stations[calls.clear.size() - 1].mark;
        if (mark >= 0 && can_complete(evidence.marks[static_cast<std::size_t>(mark)]))
            candidates.insert(static_cast<std::size_t>(mark));
    }
    if (candidates.size() > kMostCandidates) return calls;
    std::optional<Calls> fitting;
    for (const std::size_t mark : candidates) {
        Calls by_mark = completed_by(evidence, calls, evidence.marks[mark]);
        Work work(kOneAttempt, by_mark);
        const auto ruled = work.rule(course, evidence, settings, kOneAttempt);
        if (!ruled) return calls;
        if (!ruled->ok()) continue;
        if (fitting) return calls;
        fitting = std::move(by_mark);
    }
    return fitting.value_or(calls);
}

}  // namespace plumbmark::ruling
