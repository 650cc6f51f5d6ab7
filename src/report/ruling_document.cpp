#include "report/ruling_document.h"

#include <algorithm>

namespace plumbmark::report {

std::optional<std::int64_t> frame_at(const ruling::Evidence& evidence, ruling::ClipIndex clip, base::Time t) {
    if (!clip.valid() || static_cast<std::size_t>(clip.value) >= evidence.clips.size()) return std::nullopt;
    const auto& times = evidence.clips[static_cast<std::size_t>(clip.value)].frame_times;
    const auto next = std::upper_bound(times.begin(), times.end(), t);
    if (next == times.begin()) return std::nullopt;
    return next - times.begin() - 1;
}

namespace {

CallOutcome outcome_when_not_shown(WhenNotShown rule) {
    switch (rule) {
        case WhenNotShown::athletes_favour:
            return CallOutcome::athletes_favour;
        case WhenNotShown::run_again:
            return CallOutcome::run_again;
        case WhenNotShown::call_stands:
            break;
    }
    return CallOutcome::stands;
}

}  // namespace

CallOutcome outcome_of(meet::Call call, const ruling::StationRuling& ruling, WhenNotShown when_not_shown) {
    switch (ruling.verdict) {
        case ruling::Verdict::clear:
            return call == meet::Call::clear ? CallOutcome::upheld : CallOutcome::overturned;
        case ruling::Verdict::fail:
            return call == meet::Call::fail ? CallOutcome::upheld : CallOutcome::overturned;
        case ruling::Verdict::not_shown:
            return outcome_when_not_shown(when_not_shown);
        case ruling::Verdict::not_reached:
            break;
    }
    return CallOutcome::falls_away;
}

const char* outcome_key(CallOutcome outcome) {
    switch (outcome) {
        case CallOutcome::upheld:
            return "upheld";
        case CallOutcome::overturned:
            return "overturned";
        case CallOutcome::stands:
            return "stands";
        case CallOutcome::athletes_favour:
            return "athletes_favour";
        case CallOutcome::run_again:
            return "run_again";
        case CallOutcome::falls_away:
            break;
    }
    return "falls_away";
}

}  // namespace plumbmark::report
