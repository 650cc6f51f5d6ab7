#include "ruling/internal/prepared.h"

#include <algorithm>
#include <limits>
#include <set>

#include "base/check.h"
#include "base/worded.h"

namespace plumbmark::ruling {
namespace {

using base::Category;
using base::Error;
using base::worded;

bool is_shared_moment(const Happening& what) {
    return std::holds_alternative<SharedMoment>(what);
}

class Checker {
  public:
    Checker(const course::CourseBook& book, const Evidence& evidence) : book_(book), evidence_(evidence) {}

    std::optional<Error> check() {
        for (const ClipFacts& clip : evidence_.clips) {
            if (clip.row_delay.ns < 0) fail(worded("a clip's row delay is negative"), MarkId{});
        }
        for (const Mark& mark : evidence_.marks)
            check_mark(mark);
        for (const ContactStatement& contact : evidence_.contacts) {
            use_id(contact.id);
            clip(contact.clip, contact.id);
            surface(contact.surface, contact.id);
        }
        for (const WatchedSpan& span : evidence_.spans)
            check_span(span);
        return error_;
    }

  private:
    void fail(const base::Sentence& what, MarkId id) {
        if (!error_)
            error_ =
                Error{Category::bad_input, what, id.valid() ? worded("mark {}", id.value) : base::Sentence()};
    }
    void use_id(MarkId id) {
        if (!ids_.insert(id).second) fail(worded("two marks of the review have the same number"), id);
    }
    void clip(ClipIndex clip, MarkId id) {
        if (static_cast<std::size_t>(clip.value) >= evidence_.clips.size())
            fail(worded("it names a clip that the review does not have"), id);
    }
    void surface(course::SurfaceId surface, MarkId id) {
        if (surface.value >= static_cast<std::int64_t>(book_.surfaces.size()))
            fail(worded("it names a surface that the course book does not have"), id);
    }
    void plane(course::PlaneId plane, MarkId id) {
        if (!plane.valid() || plane.value >= static_cast<std::int64_t>(book_.planes.size()))
            fail(worded("it names a plane that the course book does not have"), id);
    }
    void check_mark(const Mark& mark) {
        use_id(mark.id);
        if (mark.alternatives.empty()) fail(worded("it names no event"), mark.id);
        for (const Happening& what : mark.alternatives) {
            if (const auto* touch = std::get_if<Touch>(&what)) surface(touch->surface, mark.id);
            if (const auto* release = std::get_if<Release>(&what)) surface(release->surface, mark.id);
            if (const auto* cross = std::get_if<Cross>(&what)) plane(cross->plane, mark.id);
            if (is_shared_moment(what) && (mark.possible || mark.alternatives.size() > 1))
                fail(worded("a moment that clips share is neither possible nor one of several"), mark.id);
        }
        for (const Sighting& sighting : mark.sightings) {
            clip(sighting.clip, mark.id);
            if (sighting.after && sighting.until && *sighting.after >= *sighting.until)
                fail(worded("its bracket is empty: the early end is not before the late one"), mark.id);
        }
    }
    void check_span(const WatchedSpan& span) {
        use_id(span.id);
        clip(span.clip, span.id);
        if (span.after >= span.until) fail(worded("the watched span ends before it begins"), span.id);
        for (const course::SurfaceId id : span.scope.surfaces)
            surface(id, span.id);
        for (const course::PlaneId id : span.scope.planes)
            plane(id, span.id);
    }

    const course::CourseBook& book_;
    const Evidence& evidence_;
    std::set<MarkId> ids_;
    std::optional<Error> error_;
};

struct Span {
    std::int64_t after;
    std::int64_t until;
    Scope scope;
    Coverage coverage;  ///< of its scope
};

/// Spans of one clip; those of one scope that touch or overlap are joined, then each loses the clip's row
/// delay at its beginning: what a late row saw of an event may lie that much before the event.
std::vector<Span> joined_spans(const Roles& roles, const Evidence& evidence, std::size_t clip) {
    std::vector<Span> spans;
    for (const WatchedSpan& span : evidence.spans) {
        if (static_cast<std::size_t>(span.clip.value) == clip)
            spans.push_back({span.after.ns, span.until.ns, span.scope, {}});
    }
    std::sort(spans.begin(), spans.end(), [](const Span& a, const Span& b) {
        return std::pair(a.after, a.until) < std::pair(b.after, b.until);
    });
    std::vector<Span> joined;
    for (const Span& span : spans) {
        const auto same = std::find_if(joined.begin(), joined.end(), [&](const Span& other) {
            return other.scope == span.scope && other.until >= span.after;
        });
        if (same != joined.end()) {
            same->until = std::max(same->until, span.until);
        } else {
            joined.push_back(span);
        }
    }
    const std::int64_t delay = evidence.clips[clip].row_delay.ns;
    for (Span& span : joined)
        span.after += delay;
    std::erase_if(joined, [](const Span& span) { return span.after >= span.until; });
    for (Span& span : joined)
        span.coverage = {roles.pairs_in(span.scope), roles.sides_in(span.scope), span.scope.finish_signal};
    return joined;
}

/// The sides that crossings name: a part's its own and the whole athlete's, the whole athlete's all.
SideBits named_sides(const Roles& roles, const std::vector<Event>& events) {
    SideBits named;
    for (const Event& event : events) {
        if (event.kind != EventKind::cross) continue;
        named.set(roles.side(event.crosser, event.plane));
        named.set(roles.side(kWhole, event.plane));
        if (event.crosser != kWhole) continue;
        for (std::size_t crosser = 0; crosser < kCrossersCount; ++crosser)
            named.set(roles.side(crosser, event.plane));
    }
    return named;
}

/// What the spans vouch for at this instant: those that open with it among them, and those that close with it
/// where they are asked for.
Coverage coverage_of(const std::vector<Span>& spans, std::int64_t time, bool closing) {
    Coverage all;
    for (const Span& span : spans) {
        if (span.after > time || span.until < time || (span.until == time && !closing)) continue;
        all.add(span.coverage);
    }
    return all;
}

std::vector<Moment> moments_of(const Roles& roles, const Evidence& evidence, const Prepared& prepared,
                               std::size_t clip) {
    const std::vector<Span> spans = joined_spans(roles, evidence, clip);
    std::set<std::int64_t> openings, closings;
    for (const Span& span : spans) {
        openings.insert(span.after);
        closings.insert(span.until);
    }
    // At one instant a span that opens comes first, then what is stated, then a span that closes: it still
    // covers its last instant, and nothing can happen between a statement and a span that begins with it.
    std::vector<Moment> moments;
    for (const std::int64_t time : openings)
        moments.push_back({time, -1, {}, coverage_of(spans, time, true), {}, {}, {}});
    for (std::size_t i = 0; i < evidence.contacts.size(); ++i) {
        const ContactStatement& contact = evidence.contacts[i];
        if (static_cast<std::size_t>(contact.clip.value) != clip) continue;
        Moment moment{
            contact.at.ns, static_cast<int>(i), {}, coverage_of(spans, contact.at.ns, true), {}, {}, {}};
        moment.pairs.set(roles.pair(prepared.statements[i].part, prepared.statements[i].surface));
        moments.push_back(moment);
    }
    for (const std::int64_t time : closings)
        moments.push_back({time, -1, {}, coverage_of(spans, time, false), {}, {}, {}});
    std::stable_sort(moments.begin(), moments.end(),
                     [](const Moment& a, const Moment& b) { return a.time < b.time; });
    // Between two statements of one instant nothing changes, watched or not.
    for (std::size_t i = moments.size(); i-- > 1;) {
        Moment& before = moments[i - 1];
        if (before.time != moments[i].time) continue;
        before.stated_with |= moments[i].stated_with | moments[i].pairs;
        before.after.pairs |= before.stated_with;
    }
    return moments;
}

/// Every moment of the clip that some bracket, span or statement names.
std::set<std::int64_t> named_moments(const Prepared& prepared, std::size_t clip) {
    std::set<std::int64_t> named;
    for (const PreparedMark& mark : prepared.marks) {
        for (const Interval& interval : mark.intervals) {
            if (interval.clip != clip) continue;
            if (interval.after) named.insert(*interval.after);
            if (interval.until) named.insert(*interval.until);
        }
    }
    for (const Moment& moment : prepared.moments[clip])
        named.insert(moment.time);
    return named;
}

void give_clocks(Prepared& prepared, const Evidence& evidence) {
    prepared.loose.resize(prepared.clips);
    prepared.clock_of.resize(prepared.clips);
    for (std::size_t clip = 0; clip < prepared.clips; ++clip) {
        // One clip alone has nothing that the lengths of its stretches could be held against.
        if (evidence.clips[clip].durations_known || prepared.clips == 1) {
            prepared.clock_of[clip] = prepared.clocks++;
            continue;
        }
        for (const std::int64_t time : named_moments(prepared, clip))
            prepared.loose[clip].push_back({time, prepared.clocks++});
    }
    for (PreparedMark& mark : prepared.marks) {
        for (Interval& interval : mark.intervals) {
            if (interval.after) interval.after_at = instant_of(prepared, interval.clip, *interval.after);
            if (interval.until) interval.until_at = instant_of(prepared, interval.clip, *interval.until);
        }
    }
    for (std::size_t clip = 0; clip < prepared.clips; ++clip) {
        for (Moment& moment : prepared.moments[clip])
            moment.at = instant_of(prepared, clip, moment.time);
    }
}

/// The late end of a mark's first bracket that has one. Clips begin at times of their own: the order is a
/// good guess only, and nothing but speed rests on it.
std::int64_t rough_time(const PreparedMark& mark) {
    for (const Interval& interval : mark.intervals) {
        if (interval.until) return *interval.until;
    }
    return std::numeric_limits<std::int64_t>::max();
}

void put_in_time(Prepared& prepared) {
    for (std::size_t m = 0; m < prepared.marks.size(); ++m)
        prepared.by_time.push_back({m, {}, {}});
    std::stable_sort(prepared.by_time.begin(), prepared.by_time.end(),
                     [&](const MarkInTime& a, const MarkInTime& b) {
                         return rough_time(prepared.marks[a.mark]) < rough_time(prepared.marks[b.mark]);
                     });
    PairBits pairs;
    SideBits sides;
    for (std::size_t i = prepared.by_time.size(); i-- > 0;) {
        MarkInTime& here = prepared.by_time[i];
        here.pairs_from = pairs |= prepared.marks[here.mark].pairs;
        here.sides_from = sides |= prepared.marks[here.mark].sides;
    }
    for (std::vector<Moment>& moments : prepared.moments) {
        PairBits stated;
        for (std::size_t i = moments.size(); i-- > 0;)
            moments[i].pairs_from = stated |= moments[i].pairs;
    }
}

}  // namespace

Instant instant_of(const Prepared& prepared, std::size_t clip, std::int64_t time) {
    const auto& loose = prepared.loose[clip];
    if (loose.empty()) return {prepared.clock_of[clip], time};
    const auto found = std::lower_bound(loose.begin(), loose.end(), time,
                                        [](const LooseMoment& m, std::int64_t t) { return m.time < t; });
    return {found->clock, 0};
}

Event event_of(const Roles& roles, const Happening& what) {
    Event event;
    if (const auto* touch = std::get_if<Touch>(&what)) {
        event.kind = EventKind::touch;
        event.part = touch->part;
        event.surface = roles.class_of(touch->surface);
        event.grade = touch->grade;
    } else if (const auto* release = std::get_if<Release>(&what)) {
        event.kind = EventKind::release;
        event.part = release->part;
        event.surface = roles.class_of(release->surface);
    } else if (const auto* cross = std::get_if<Cross>(&what)) {
        event.kind = EventKind::cross;
        event.crosser =
            static_cast<std::uint8_t>(cross->part ? static_cast<std::size_t>(*cross->part) : kWhole);
        event.plane = static_cast<std::uint8_t>(cross->plane.value);
        event.direction = cross->direction;
    } else if (const auto* signal = std::get_if<Signal>(&what)) {
        event.kind = EventKind::signal;
        event.signal = signal->kind;
    } else if (const auto* infraction = std::get_if<Infraction>(&what)) {
        event.kind = EventKind::infraction;
        event.infraction = infraction->kind;
    } else {
        PLUMBMARK_CHECK(std::holds_alternative<Control>(what));
        event.kind = EventKind::control;
    }
    return event;
}

base::Result<Prepared> prepare(const Roles& roles, const Evidence& evidence) {
    if (std::optional<Error> error = Checker(roles.book(), evidence).check()) return *error;
    Prepared prepared;
    prepared.clips = evidence.clips.size();
    for (const ClipFacts& clip : evidence.clips)
        prepared.durations_known &= clip.durations_known;
    for (const Mark& mark : evidence.marks) {
        PreparedMark made;
        made.possible = mark.possible;
        if (mark.possible) prepared.possible.set(prepared.marks.size());
        made.only_ties = is_shared_moment(mark.alternatives.front());
        if (made.only_ties) prepared.only_ties.set(prepared.marks.size());
        for (const Happening& what : mark.alternatives) {
            if (made.only_ties) break;
            const Event event = event_of(roles, what);
            if (event.kind == EventKind::touch || event.kind == EventKind::release)
                made.pairs.set(roles.pair(event.part, event.surface));
            if (event.kind == EventKind::cross) {
                // A crossing by a part speaks of the whole athlete too, and the other way round.
                for (std::size_t crosser = 0; crosser < kCrossersCount; ++crosser)
                    made.sides.set(roles.side(crosser, event.plane));
            }
            made.alternatives.push_back(event);
        }
        for (const Sighting& sighting : mark.sightings) {
            Interval interval;
            interval.clip = static_cast<std::size_t>(sighting.clip.value);
            if (sighting.after) interval.after = sighting.after->ns;
            if (sighting.until)
                interval.until = sighting.until->ns +
                                 (sighting.row_known ? 0 : evidence.clips[interval.clip].row_delay.ns);
            made.intervals.push_back(interval);
        }
        prepared.named_pairs |= made.pairs;
        prepared.named_sides |= named_sides(roles, made.alternatives);
        prepared.marks.push_back(std::move(made));
    }
    for (const ContactStatement& contact : evidence.contacts)
        prepared.statements.push_back({contact.part, roles.class_of(contact.surface), contact.on});
    for (std::size_t clip = 0; clip < prepared.clips; ++clip)
        prepared.moments.push_back(moments_of(roles, evidence, prepared, clip));
    for (const PreparedStatement& stated : prepared.statements)
        prepared.named_pairs.set(roles.pair(stated.part, stated.surface));
    give_clocks(prepared, evidence);
    put_in_time(prepared);
    prepared.foresight = ForesightTable(prepared);
    return prepared;
}

Named named_from(const Prepared& prepared, const MarkBits& done, std::span<const std::uint16_t> passed) {
    Named named;
    // Of the marks in the order of their times nearly all are done up to one, and none after it.
    std::size_t first_left = prepared.by_time.size();
    for (std::size_t i = prepared.by_time.size(); i-- > 0 && !done[prepared.by_time[i].mark];)
        first_left = i;
    if (first_left < prepared.by_time.size()) {
        named.pairs = prepared.by_time[first_left].pairs_from;
        named.sides = prepared.by_time[first_left].sides_from;
    }
    for (std::size_t i = 0; i < first_left; ++i) {
        const std::size_t mark = prepared.by_time[i].mark;
        if (done[mark]) continue;
        named.pairs |= prepared.marks[mark].pairs;
        named.sides |= prepared.marks[mark].sides;
    }
    for (std::size_t clip = 0; clip < prepared.clips; ++clip) {
        const auto& moments = prepared.moments[clip];
        if (passed[clip] < moments.size()) named.pairs |= moments[passed[clip]].pairs_from;
    }
    return named;
}

Coverage coverage_at(const Prepared& prepared, std::span<const std::uint16_t> passed) {
    Coverage all;
    for (std::size_t clip = 0; clip < prepared.clips; ++clip) {
        if (passed[clip] == 0) continue;
        all.add(prepared.moments[clip][passed[clip] - 1U].after);
    }
    return all;
}

std::int64_t drift_over(std::int64_t length, const Settings& settings) {
    return (length * settings.drift_parts_per_million + 999'999) / 1'000'000;
}

}  // namespace plumbmark::ruling
