#include "ruling/internal/support.h"

#include <algorithm>

namespace plumbmark::ruling {
namespace {

constexpr std::int64_t kMicrosecond = 1'000;
/// States that one attempt at leaving something out may look at.
constexpr std::int64_t kOneAttempt = 5'000;

/// Whether this evidence shows the station's ruling as the whole review does: the verdict, and where
/// 'same_clauses' is asked, a fail by no other clauses.
std::optional<bool> shows(const Inquiry& inquiry, const CoursePtr& course, std::size_t station,
                          const Evidence& evidence, bool same_clauses) {
    const BareVerdict& ruling = inquiry.decided.stations[station];
    const Enough refuted = [&](std::span<const Met> met) {
        const BareVerdict so_far = bare_verdict(met[station]);
        if (so_far.verdict == Verdict::not_reached) return !ruling.if_reached && met[station].not_reached;
        const bool other = so_far.verdict != ruling.verdict || (so_far.if_reached && !ruling.if_reached);
        return other || (same_clauses && (so_far.failing_clauses & ~ruling.failing_clauses) != 0);
    };
    const auto again = inquiry.work.rule(course, evidence, inquiry.settings, kOneAttempt, refuted);
    if (!again) return std::nullopt;
    if (!again->ok()) return false;
    const BareVerdict& found = (*again)->stations[station];
    return same_ruling(ruling, found) && (!same_clauses || ruling.failing_clauses == found.failing_clauses);
}

/// Where an item stands on its clip; spans and what has no time come last, since they are needed most.
std::int64_t distance(const Evidence& evidence, std::size_t item, std::int64_t decided) {
    std::optional<std::int64_t> at;
    if (item < evidence.marks.size()) {
        const Mark& mark = evidence.marks[item];
        if (!mark.sightings.empty() && mark.sightings.front().until) at = mark.sightings.front().until->ns;
    } else if (item < evidence.marks.size() + evidence.contacts.size()) {
        at = evidence.contacts[item - evidence.marks.size()].at.ns;
    }
    if (!at) return -1;
    // After the decision comes first, the latest before all; then from the earliest on towards the decision.
    constexpr std::int64_t kAfter = std::int64_t{1} << 61U;
    return *at > decided ? kAfter + (*at - decided) : decided - *at;
}

std::int64_t decided_time(const Inquiry& inquiry, std::size_t station) {
    std::int64_t latest = 0;
    for (const std::int16_t m : inquiry.decided.stations[station].marks) {
        if (m < 0) continue;
        const std::optional<Shown> shown = shown_of(inquiry.evidence.marks[static_cast<std::size_t>(m)]);
        if (shown && shown->until) latest = std::max(latest, shown->until->ns);
    }
    return latest;
}

std::vector<std::size_t> order_of_trying(const Inquiry& inquiry, std::size_t station) {
    const std::int64_t decided = decided_time(inquiry, station);
    std::vector<std::size_t> order(item_count(inquiry.evidence));
    for (std::size_t i = 0; i < order.size(); ++i)
        order[i] = i;
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return distance(inquiry.evidence, a, decided) > distance(inquiry.evidence, b, decided);
    });
    return order;
}

std::vector<std::size_t> kept_of(const std::vector<std::size_t>& items, const Kept& kept) {
    std::vector<std::size_t> some;
    for (const std::size_t item : items) {
        if (kept[item]) some.push_back(item);
    }
    return some;
}

const std::vector<base::Time>& frames_of(const Evidence& evidence, ClipIndex clip) {
    return evidence.clips[static_cast<std::size_t>(clip.value)].frame_times;
}

/// The frame so many before (or after) the one at or around this time; none beyond the clip.
std::optional<base::Time> frames_earlier(const std::vector<base::Time>& frames, base::Time time,
                                         std::int64_t k) {
    const auto at = std::lower_bound(frames.begin(), frames.end(), time) - frames.begin();
    if (at < k) return std::nullopt;
    return k == 0 ? time : frames[static_cast<std::size_t>(at - k)];
}
std::optional<base::Time> frames_later(const std::vector<base::Time>& frames, base::Time time,
                                       std::int64_t k) {
    if (k == 0) return time;
    const auto above = std::upper_bound(frames.begin(), frames.end(), time) - frames.begin();
    const std::int64_t at = above + k - 1;
    if (at >= static_cast<std::int64_t>(frames.size())) return std::nullopt;
    return frames[static_cast<std::size_t>(at)];
}

Evidence wider_by_frames(Evidence evidence, std::int64_t k) {
    for (Mark& mark : evidence.marks) {
        for (Sighting& seen : mark.sightings) {
            const std::vector<base::Time>& frames = frames_of(evidence, seen.clip);
            if (seen.after) seen.after = frames_earlier(frames, *seen.after, k);
            if (seen.until) seen.until = frames_later(frames, *seen.until, k);
        }
    }
    return evidence;
}

Evidence wider_by_time(Evidence evidence, base::Duration d) {
    for (Mark& mark : evidence.marks) {
        for (Sighting& seen : mark.sightings) {
            const std::vector<base::Time>& frames = frames_of(evidence, seen.clip);
            if (seen.after) seen.after = *seen.after - d;
            if (seen.until) seen.until = *seen.until + d;
            if (frames.empty()) continue;
            if (seen.after && *seen.after < frames.front()) seen.after.reset();
            if (seen.until && *seen.until > frames.back()) seen.until.reset();
        }
    }
    return evidence;
}

/// The largest step count from 'good' on (which holds) below 'bad' (which does not) that holds.
template <class Holds>
std::optional<std::int64_t> last_that_holds(std::int64_t good, std::int64_t bad, Holds&& holds) {
    while (bad - good > 1) {
        const std::int64_t middle = good + (bad - good) / 2;
        const std::optional<bool> held = holds(middle);
        if (!held) return std::nullopt;
        (*held ? good : bad) = middle;
    }
    return good;
}

std::int64_t most_frames(const Evidence& evidence) {
    std::size_t most = 1;
    for (const ClipFacts& clip : evidence.clips)
        most = std::max(most, clip.frame_times.size());
    return static_cast<std::int64_t>(most);
}

/// The longest and the shortest gap between two frames of any clip.
std::pair<std::int64_t, std::int64_t> gaps(const Evidence& evidence) {
    std::int64_t shortest = 1'000'000'000, longest = 1;
    for (const ClipFacts& clip : evidence.clips) {
        for (std::size_t i = 1; i < clip.frame_times.size(); ++i) {
            const std::int64_t gap = (clip.frame_times[i] - clip.frame_times[i - 1]).ns;
            shortest = std::min(shortest, gap);
            longest = std::max(longest, gap);
        }
    }
    return {shortest, longest};
}

/// What most likely shows the ruling: signals and the judge's words, what speaks of starts, landings, planes,
/// rows and required items up to this station, what decided, all statements and spans. Only a guess to begin
/// with.
Kept likely(const Inquiry& inquiry, std::size_t station) {
    const Evidence& evidence = inquiry.evidence;
    Kept kept(item_count(evidence), true);
    std::vector<course::SurfaceId> surfaces;
    for (std::size_t k = 0; k <= station; ++k) {
        const course::Station& definition = inquiry.book.stations[k];
        surfaces.insert(surfaces.end(), definition.start.begin(), definition.start.end());
        surfaces.insert(surfaces.end(), definition.landing.surfaces.begin(),
                        definition.landing.surfaces.end());
        for (const course::Item& item : definition.in_play) {
            if (item.required || item.after) surfaces.push_back(item.surface);
        }
        for (const course::ItemRow& row : definition.rows)
            surfaces.insert(surfaces.end(), row.members.begin(), row.members.end());
    }
    const auto matters = [&](const Happening& what) {
        const auto* touch = std::get_if<Touch>(&what);
        const auto* release = std::get_if<Release>(&what);
        if (!touch && !release) return true;
        const course::SurfaceId surface = touch ? touch->surface : release->surface;
        return std::find(surfaces.begin(), surfaces.end(), surface) != surfaces.end();
    };
    const std::vector<std::int16_t>& decided = inquiry.decided.stations[station].marks;
    const std::int64_t by = decided_time(inquiry, station);
    for (std::size_t m = 0; m < evidence.marks.size(); ++m) {
        const Mark& mark = evidence.marks[m];
        const std::optional<Shown> shown = shown_of(mark);
        const bool later = shown && shown->after && shown->after->ns > by;
        const bool decides =
            std::find(decided.begin(), decided.end(), static_cast<std::int16_t>(m)) != decided.end();
        kept[m] =
            decides || (!later && std::any_of(mark.alternatives.begin(), mark.alternatives.end(), matters));
    }
    return kept;
}

}  // namespace

std::size_t item_count(const Evidence& evidence) {
    return evidence.marks.size() + evidence.contacts.size() + evidence.spans.size();
}

MarkId item_id(const Evidence& evidence, std::size_t item) {
    if (item < evidence.marks.size()) return evidence.marks[item].id;
    item -= evidence.marks.size();
    if (item < evidence.contacts.size()) return evidence.contacts[item].id;
    return evidence.spans[item - evidence.contacts.size()].id;
}

Evidence only(const Evidence& evidence, const Kept& kept) {
    Evidence some{evidence.clips, {}, {}, {}};
    std::size_t item = 0;
    for (const Mark& mark : evidence.marks) {
        if (kept[item++]) some.marks.push_back(mark);
    }
    for (const ContactStatement& contact : evidence.contacts) {
        if (kept[item++]) some.contacts.push_back(contact);
    }
    for (const WatchedSpan& span : evidence.spans) {
        if (kept[item++]) some.spans.push_back(span);
    }
    return some;
}

std::optional<Kept> rests_on(const Inquiry& inquiry, std::size_t station) {
    // A mark left out of a watched span did not happen, by the span's own word. A fail must therefore stay a
    // fail by the same clauses, or it would come to rest on what was left out.
    const CoursePtr course = course_up_to(inquiry.course, station);
    const auto still = [&](const Kept& kept) {
        return shows(inquiry, course, station, only(inquiry.evidence, kept), true);
    };
    std::vector<std::size_t> marks, spans;
    for (const std::size_t item : order_of_trying(inquiry, station))
        (item < item_count(inquiry.evidence) - inquiry.evidence.spans.size() ? marks : spans).push_back(item);
    // Spans last: without them there are many more worlds, and few marks by then to look through.
    Kept begin = likely(inquiry, station);
    const std::optional<bool> guessed = still(begin);
    if (!guessed) return std::nullopt;
    if (!*guessed) begin.assign(begin.size(), true);
    std::optional<Kept> kept = minimal(begin, kept_of(marks, begin), still);
    while (kept) {
        const std::optional<Kept> fewer_spans = minimal(*kept, kept_of(spans, *kept), still);
        if (!fewer_spans || *fewer_spans == *kept) return fewer_spans;
        kept = minimal(*fewer_spans, kept_of(marks, *fewer_spans), still);
        if (kept == fewer_spans) return kept;
    }
    return std::nullopt;
}

std::optional<Margin> margin_of(const Inquiry& inquiry, std::size_t station, const Kept& kept) {
    const Evidence base = only(inquiry.evidence, kept);
    const CoursePtr course = course_up_to(inquiry.course, station);
    const auto by_frames = [&](std::int64_t k) {
        return shows(inquiry, course, station, wider_by_frames(base, k), false);
    };
    const auto by_time = [&](std::int64_t us) {
        return shows(inquiry, course, station, wider_by_time(base, base::Duration{us * kMicrosecond}), false);
    };
    const std::int64_t most = most_frames(base);
    std::int64_t good = 0, bad = 1;
    for (; bad <= most * 2; bad *= 2) {
        const std::optional<bool> held = by_frames(bad);
        if (!held) return std::nullopt;
        if (!*held) break;
        good = bad;
    }
    Margin margin;
    if (good >= most) {
        margin.frames = good;
        margin.unlimited = true;
        return margin;
    }
    const std::optional<std::int64_t> frames = last_that_holds(good, bad, by_frames);
    if (!frames) return std::nullopt;
    margin.frames = *frames;
    // Widening by k frames widens by at least k of the shortest gaps and at most k of the longest.
    const auto [shortest, longest] = gaps(base);
    const std::int64_t least = margin.frames * shortest / kMicrosecond;
    const std::int64_t over = (margin.frames + 1) * longest / kMicrosecond + 1;
    const std::optional<std::int64_t> time = last_that_holds(least, over, by_time);
    if (!time) return std::nullopt;
    margin.time = base::Duration{*time * kMicrosecond};
    return margin;
}

}  // namespace plumbmark::ruling
