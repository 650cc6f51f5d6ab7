#include "ruling/spans.h"

#include <algorithm>
#include <limits>
#include <set>

#include "base/check.h"
#include "base/worded.h"
#include "ruling/internal/decide.h"

namespace plumbmark::ruling {
namespace {

using base::Category;
using base::Error;
using base::worded;

constexpr std::int64_t kUnbounded = std::numeric_limits<std::int64_t>::max();
constexpr std::size_t kMostLooseTies = 64;

std::size_t at(ClipIndex clip) {
    return static_cast<std::size_t>(clip.value);
}

/// The least that a length can be that was read as at least 'ns'. Order outlasts any drift.
std::int64_t with_drift_low(std::int64_t ns, const Settings& settings) {
    const std::int64_t low = ns - drift_over(ns < 0 ? -ns : ns, settings);
    return ns > 0 ? std::max<std::int64_t>(low, 1) : low;
}

std::vector<const Mark*> loose_ties(const Evidence& evidence, std::size_t clip) {
    std::vector<const Mark*> ties;
    for (const Mark& mark : evidence.marks) {
        if (mark.possible) continue;
        bool here = false, elsewhere = false;
        for (const Sighting& seen : mark.sightings)
            (at(seen.clip) == clip ? here : elsewhere) = true;
        if (here && elsewhere) ties.push_back(&mark);
    }
    if (ties.size() <= kMostLooseTies) return ties;
    std::vector<const Mark*> some;
    for (std::size_t i = 0; i < kMostLooseTies; ++i)
        some.push_back(ties[i * (ties.size() - 1) / (kMostLooseTies - 1)]);
    return some;
}

std::optional<Error> fault_of(const Evidence& evidence) {
    for (const Mark& mark : evidence.marks) {
        for (const Sighting& seen : mark.sightings) {
            if (!seen.clip.valid() || at(seen.clip) >= evidence.clips.size())
                return Error{Category::bad_input, worded("it names a clip that the review does not have"),
                             worded("mark {}", mark.id.value)};
            if (seen.after && seen.until && *seen.after >= *seen.until)
                return Error{Category::bad_input,
                             worded("its bracket is empty: the early end is not before the late one"),
                             worded("mark {}", mark.id.value)};
        }
    }
    return std::nullopt;
}

}  // namespace

base::Result<Spans> Spans::make(const Evidence& evidence, const Settings& settings) {
    if (std::optional<Error> fault = fault_of(evidence)) return *fault;
    Spans spans;
    spans.settings_ = settings;
    spans.settings_.stopped = nullptr;
    for (const ClipFacts& clip : evidence.clips)
        spans.durations_known_ &= clip.durations_known;
    spans.give_clocks(evidence);
    spans.tie(evidence);
    if (!spans.close()) return Error{Category::contradiction, worded("These marks cannot all be true."), ""};
    spans.guess_offsets();
    for (const Mark& mark : evidence.marks) {
        spans.index_.emplace(mark.id, spans.marks_.size());
        spans.marks_.push_back(mark.sightings);
    }
    return spans;
}

/// Of a clip that shows order only, a moment matters to other clips only where a mark that ties them has an
/// end of its bracket there.
void Spans::give_clocks(const Evidence& evidence) {
    for (std::size_t c = 0; c < evidence.clips.size(); ++c) {
        Clip clip;
        clip.known = evidence.clips[c].durations_known;
        clip.row_delay = evidence.clips[c].row_delay.ns;
        clips_.push_back(clip);
        if (clip.known) {
            clips_.back().clock = clocks_++;
            continue;
        }
        std::set<std::int64_t> moments;
        for (const Mark* mark : loose_ties(evidence, c)) {
            for (const Sighting& seen : mark->sightings) {
                if (at(seen.clip) != c) continue;
                if (seen.after) moments.insert(seen.after->ns);
                if (seen.until) moments.insert(until_of(seen));
            }
        }
        for (const std::int64_t moment : moments)
            clips_.back().tie_clocks.emplace_back(moment, clocks_++);
    }
}

std::int64_t Spans::most(std::size_t from, std::size_t to) const {
    return most_[from * clocks_ + to];
}

void Spans::bound(std::size_t from, std::size_t to, std::int64_t most) {
    std::int64_t& held = most_[from * clocks_ + to];
    held = std::min(held, most);
}

void Spans::tie(const Evidence& evidence) {
    most_.assign(clocks_ * clocks_, kUnbounded);
    for (std::size_t c = 0; c < clocks_; ++c)
        bound(c, c, 0);
    for (const Clip& clip : clips_) {
        for (std::size_t i = 1; i < clip.tie_clocks.size(); ++i)
            bound(clip.tie_clocks[i].second, clip.tie_clocks[i - 1].second, 0);
    }
    for (const Mark& mark : evidence.marks) {
        if (mark.possible) continue;
        for (const Sighting& a : mark.sightings) {
            for (const Sighting& b : mark.sightings) {
                // clock(a) + after < t <= clock(b) + until
                const std::optional<End> after = early(a), until = late(b);
                if (after && until) bound(until->clock, after->clock, until->time - after->time);
            }
        }
    }
}

bool Spans::close() {
    for (std::size_t k = 0; k < clocks_; ++k) {
        for (std::size_t i = 0; i < clocks_; ++i) {
            if (most(i, k) == kUnbounded) continue;
            for (std::size_t j = 0; j < clocks_; ++j) {
                if (most(k, j) != kUnbounded) bound(i, j, most(i, k) + most(k, j));
            }
            if (most(i, i) < 0) return false;
        }
    }
    return true;
}

void Spans::guess_offsets() {
    const auto first =
        std::find_if(clips_.begin(), clips_.end(), [](const Clip& clip) { return clip.known; });
    if (first == clips_.end()) return;
    for (Clip& clip : clips_) {
        if (!clip.known) {
            if (clip.tie_clocks.empty()) continue;
            const auto& [moment, clock] = clip.tie_clocks.front();
            const std::int64_t ahead = most(first->clock, clock), behind = most(clock, first->clock);
            if (ahead != kUnbounded && behind != kUnbounded)
                clip.likely_offset = (ahead - behind) / 2 - moment;
            continue;
        }
        const std::int64_t ahead = most(first->clock, clip.clock), behind = most(clip.clock, first->clock);
        if (ahead != kUnbounded && behind != kUnbounded) clip.likely_offset = (ahead - behind) / 2;
    }
}

std::int64_t Spans::until_of(const Sighting& seen) const {
    return seen.until->ns + (seen.row_known ? 0 : clips_[at(seen.clip)].row_delay);
}

std::optional<Spans::End> Spans::early(const Sighting& seen) const {
    if (!seen.after) return std::nullopt;
    const Clip& clip = clips_[at(seen.clip)];
    if (clip.known) return End{clip.clock, seen.after->ns};
    const auto later =
        std::upper_bound(clip.tie_clocks.begin(), clip.tie_clocks.end(), seen.after->ns,
                         [](std::int64_t time, const auto& moment) { return time < moment.first; });
    if (later == clip.tie_clocks.begin()) return std::nullopt;
    return End{std::prev(later)->second, 0};
}

std::optional<Spans::End> Spans::late(const Sighting& seen) const {
    if (!seen.until) return std::nullopt;
    const Clip& clip = clips_[at(seen.clip)];
    if (clip.known) return End{clip.clock, until_of(seen)};
    const auto from =
        std::lower_bound(clip.tie_clocks.begin(), clip.tie_clocks.end(), until_of(seen),
                         [](const auto& moment, std::int64_t time) { return moment.first < time; });
    if (from == clip.tie_clocks.end()) return std::nullopt;
    return End{from->second, 0};
}

std::optional<std::int64_t> Spans::less_than(std::span<const Sighting> from,
                                             std::span<const Sighting> to) const {
    std::optional<std::int64_t> least;
    const auto tighten = [&least](std::int64_t most) { least = least ? std::min(*least, most) : most; };
    for (const Sighting& a : from) {
        const std::optional<End> after = early(a);
        for (const Sighting& b : to) {
            // On a clip that shows order only, 'to' lies before 'from' where its bracket does.
            if (a.clip == b.clip && !clips_[at(a.clip)].known && a.after && b.until &&
                until_of(b) <= a.after->ns)
                tighten(0);
            const std::optional<End> until = late(b);
            if (!after || !until || most(after->clock, until->clock) == kUnbounded) continue;
            tighten(until->time - after->time + most(after->clock, until->clock));
        }
    }
    return least;
}

SpanBounds Spans::between(std::span<const Sighting> from, std::span<const Sighting> to) const {
    SpanBounds bounds;
    if (const auto high = less_than(from, to))
        bounds.high = base::Duration{-with_drift_low(1 - *high, settings_)};
    if (const auto high = less_than(to, from))
        bounds.low = base::Duration{with_drift_low(1 - *high, settings_)};
    return bounds;
}

SpanBounds Spans::between(MarkId from, MarkId to) const {
    if (from == to) return {base::Duration{0}, base::Duration{0}};
    return between(sightings(from), sightings(to));
}

SpanBounds Spans::between(std::span<const SettledBy> from, std::span<const SettledBy> to) const {
    SpanBounds all;
    bool first = true;
    for (const SettledBy& a : from) {
        for (const SettledBy& b : to) {
            SpanBounds one;
            if (a.mark.valid() && b.mark.valid()) {
                one = between(a.mark, b.mark);
                const std::int64_t later = b.later.ns - a.later.ns;
                const std::int64_t drift =
                    drift_over(b.later.ns, settings_) + drift_over(a.later.ns, settings_);
                if (one.low) one.low->ns += later - drift;
                if (one.high) one.high->ns += later + drift;
                // The length that a clip without known lengths runs on is anything above none.
                if (later != 0 && !durations_known_) one = {};
            }
            if (b.at_the_latest) one.low.reset();
            if (a.at_the_latest) one.high.reset();
            if (first) {
                all = one;
            } else {
                all.low = all.low && one.low ? std::optional(std::min(*all.low, *one.low)) : std::nullopt;
                all.high =
                    all.high && one.high ? std::optional(std::max(*all.high, *one.high)) : std::nullopt;
            }
            first = false;
        }
    }
    return all;
}

SpanBounds Spans::on_clip(ClipIndex clip, std::span<const Sighting> instant) const {
    SpanBounds bounds;
    const auto not_before = [&bounds](std::int64_t ns) {
        bounds.low = bounds.low ? std::max(*bounds.low, base::Duration{ns}) : base::Duration{ns};
    };
    const auto not_after = [&bounds](std::int64_t ns) {
        bounds.high = bounds.high ? std::min(*bounds.high, base::Duration{ns}) : base::Duration{ns};
    };
    const Clip& here = clips_[at(clip)];
    for (const Sighting& seen : instant) {
        if (!here.known) {
            if (seen.clip != clip) continue;
            if (seen.after) not_before(seen.after->ns + 1);
            if (seen.until) not_after(until_of(seen));
            continue;
        }
        const std::optional<End> after = early(seen), until = late(seen);
        if (after && most(after->clock, here.clock) != kUnbounded)
            not_before(after->time - most(after->clock, here.clock) + 1);
        if (until && most(here.clock, until->clock) != kUnbounded)
            not_after(until->time + most(here.clock, until->clock));
    }
    return bounds;
}

std::int64_t Spans::likely_place(std::span<const Sighting> instant) const {
    for (const Sighting& seen : instant) {
        if (!seen.after && !seen.until) continue;
        const std::int64_t offset = clips_[at(seen.clip)].likely_offset;
        if (!seen.after) return seen.until->ns + offset;
        if (!seen.until) return seen.after->ns + 1 + offset;
        return seen.after->ns + (seen.until->ns - seen.after->ns + 1) / 2 + offset;
    }
    return kUnbounded;
}

std::span<const Sighting> Spans::sightings(MarkId mark) const {
    const auto found = index_.find(mark);
    PLUMBMARK_CHECK(found != index_.end());
    return marks_[found->second];
}

// --- by which marks stations begin and are completed ---

namespace {

/// One station in one world: the steps with which it began and was completed.
class Settling {
  public:
    Settling(const Decided& decided, const course::CourseBook& book, const Evidence& evidence,
             const Settings& settings, const Spans& spans)
        : decided_(decided), book_(book), evidence_(evidence), settings_(settings), spans_(spans) {
        for (std::size_t k = 0; k < book.stations.size(); ++k)
            moments_.push_back({course::StationId{static_cast<std::int64_t>(k)},
                                decided.stations[k].verdict,
                                decided.stations[k].if_reached,
                                {},
                                {}});
        shared_.resize(book.stations.size());
    }

    std::vector<StationMoments> all() {
        for (const Ending& ending : decided_.endings)
            take(ending);
        for (std::size_t k = 0; k < moments_.size(); ++k) {
            if (!shared_[k] || k == 0) continue;
            for (const SettledBy& way : moments_[k - 1].completes)
                add(moments_[k].begins, way);
        }
        return std::move(moments_);
    }

  private:
    static void add(std::vector<SettledBy>& ways, const SettledBy& way) {
        if (std::find(ways.begin(), ways.end(), way) == ways.end()) ways.push_back(way);
    }
    [[nodiscard]] MarkId id(std::int16_t mark) const {
        return mark < 0 ? MarkId{} : evidence_.marks[static_cast<std::size_t>(mark)].id;
    }

    void take(const Ending& ending) {
        const std::vector<Search::Passage> path = decided_.search->path(ending);
        std::vector<bool> begun(moments_.size());
        for (std::size_t i = 0; i < path.size(); ++i) {
            std::optional<std::size_t> cleared;
            for (const Fact& fact : path[i].facts) {
                if (fact.decision.outcome != Outcome::cleared) continue;
                cleared = fact.station;
                complete(fact.station, path, i);
            }
            const WorldState& world = *path[i].after;
            for (std::size_t k = 0; k < begun.size(); ++k) {
                const bool here = world.phase == Phase::under_way && world.at == k;
                const bool decided =
                    std::any_of(path[i].facts.begin(), path[i].facts.end(), [k](const Fact& f) {
                        return f.station == k && (f.decision.outcome == Outcome::cleared ||
                                                  f.decision.outcome == Outcome::failed);
                    });
                if (begun[k] || (!here && !decided)) continue;
                begun[k] = true;
                if (cleared && *cleared + 1 == k)
                    shared_[k] = true;
                else
                    begin(k, path, i);
            }
        }
    }

    /// The seen event with this step, or the first after it.
    static std::int16_t seen_from(const std::vector<Search::Passage>& path, std::size_t i) {
        for (; i < path.size(); ++i) {
            if (is_seen(*path[i].step)) return path[i].step->mark;
        }
        return -1;
    }

    void complete(std::size_t k, const std::vector<Search::Passage>& path, std::size_t i) {
        const Step& step = *path[i].step;
        const MarkId by = id(seen_from(path, i));
        if (step.kind == Step::Kind::deadline && step.deadline == kHold)
            add_holds(k, by);
        else
            add(moments_[k].completes, {by, {}, step.kind != Step::Kind::mark});
    }

    /// Whatever can have begun the hold: the landing's own contacts and crossings, and the items that it
    /// waits for. One before which some part that the landing asks for cannot have come down is none.
    void add_holds(std::size_t k, MarkId told_by) {
        const course::Station& station = book_.stations[k];
        const base::Duration hold = *station.landing.hold;
        if (!is_watched(station.landing)) {
            add(moments_[k].completes, {told_by, {}, true});
            return;
        }
        const std::int64_t least = hold.ns - drift_over(hold.ns, settings_);
        for (const Mark& mark : evidence_.marks) {
            if (!may_begin_hold(station, mark) || !parts_may_be_down(station.landing, mark)) continue;
            if (told_by.valid()) {
                const std::optional<base::Duration> most = spans_.between(mark.id, told_by).high;
                if (most && most->ns < least) continue;
            }
            add(moments_[k].completes, {mark.id, hold, false});
        }
    }

    static bool names(const std::vector<course::SurfaceId>& surfaces, course::SurfaceId surface) {
        return std::find(surfaces.begin(), surfaces.end(), surface) != surfaces.end();
    }
    bool may_begin_hold(const course::Station& station, const Mark& mark) const {
        return std::any_of(mark.alternatives.begin(), mark.alternatives.end(), [&](const Happening& what) {
            if (const auto* cross = std::get_if<Cross>(&what))
                return std::any_of(station.landing.planes.begin(), station.landing.planes.end(),
                                   [&](const auto& need) { return need.plane == cross->plane; });
            const auto* touch = std::get_if<Touch>(&what);
            return touch != nullptr &&
                   (names(station.landing.surfaces, touch->surface) ||
                    std::any_of(station.in_play.begin(), station.in_play.end(),
                                [&](const auto& i) { return i.surface == touch->surface; }));
        });
    }
    bool parts_may_be_down(const course::Landing& landing, const Mark& by) const {
        std::vector<course::Part> needed;
        if (landing.parts == course::LandingParts::both_feet)
            needed = {course::Part::left_foot, course::Part::right_foot};
        if (landing.parts == course::LandingParts::both_hands)
            needed = {course::Part::left_hand, course::Part::right_hand};
        for (const course::Part part : course::kAllParts) {
            if (landing.parts == course::LandingParts::listed && landing.listed_parts.has(part))
                needed.push_back(part);
        }
        return std::all_of(needed.begin(), needed.end(), [&](course::Part part) {
            return stated(landing, part) ||
                   std::any_of(evidence_.marks.begin(), evidence_.marks.end(), [&](const Mark& mark) {
                       return brings_down(landing, part, mark) && !surely_after(mark.id, by.id);
                   });
        });
    }
    bool stated(const course::Landing& landing, course::Part part) const {
        return std::any_of(evidence_.contacts.begin(), evidence_.contacts.end(), [&](const auto& said) {
            return said.on && said.part == part && names(landing.surfaces, said.surface);
        });
    }
    static bool brings_down(const course::Landing& landing, course::Part part, const Mark& mark) {
        return std::any_of(mark.alternatives.begin(), mark.alternatives.end(), [&](const Happening& what) {
            // Who leaves it was on it before, whether or not a mark says since when.
            if (const auto* left = std::get_if<Release>(&what))
                return left->part == part && names(landing.surfaces, left->surface);
            const auto* touch = std::get_if<Touch>(&what);
            return touch != nullptr && touch->part == part && names(landing.surfaces, touch->surface);
        });
    }
    bool surely_after(MarkId mark, MarkId other) const {
        if (mark == other) return false;
        const std::optional<base::Duration> least = spans_.between(other, mark).low;
        return least && least->ns > 0;
    }
    /// One span over all that the review names of its clip: then nobody came down on the landing unseen.
    bool is_watched(const course::Landing& landing) const {
        if (evidence_.spans.empty()) return false;
        return std::any_of(evidence_.spans.begin(), evidence_.spans.end(), [&](const WatchedSpan& span) {
            const bool covers =
                span.scope.whole_athlete ||
                std::all_of(landing.surfaces.begin(), landing.surfaces.end(),
                            [&](course::SurfaceId s) { return names(span.scope.surfaces, s); });
            if (!covers) return false;
            const std::int64_t from = span.after.ns + evidence_.clips[at(span.clip)].row_delay.ns;
            return std::all_of(evidence_.marks.begin(), evidence_.marks.end(), [&](const Mark& mark) {
                if (std::holds_alternative<Signal>(mark.alternatives.front()) ||
                    std::holds_alternative<SharedMoment>(mark.alternatives.front()))
                    return true;
                const SpanBounds where = spans_.on_clip(span.clip, mark.sightings);
                return where.low && where.low->ns > from && where.high && where.high->ns <= span.until.ns;
            });
        });
    }

    void begin(std::size_t k, const std::vector<Search::Passage>& path, std::size_t i) {
        const Step& step = *path[i].step;
        const MarkId by = id(seen_from(path, i));
        add(moments_[k].begins, {by, {}, step.kind != Step::Kind::mark});
        if (!by.valid()) return;
        // What overlaps it, or may or may not have been, and would begin the station likewise.
        const bool at_signal = step.kind == Step::Kind::mark && step.event.kind == EventKind::signal;
        for (const Mark& mark : evidence_.marks) {
            if (mark.id == by || !would_begin(book_.stations[k], mark, at_signal)) continue;
            const bool doubtful = mark.possible || mark.alternatives.size() > 1;
            const SpanBounds apart = spans_.between(by, mark.id);
            const bool earlier = apart.high && apart.high->ns < 0;
            const bool overlaps = !earlier && (!apart.low || apart.low->ns <= 0);
            if (overlaps || doubtful) add(moments_[k].begins, {mark.id, {}, false});
        }
    }
    static bool would_begin(const course::Station& station, const Mark& mark, bool at_signal) {
        return std::any_of(mark.alternatives.begin(), mark.alternatives.end(), [&](const Happening& what) {
            if (const auto* signal = std::get_if<Signal>(&what))
                return at_signal && signal->kind == SignalKind::start_given;
            if (at_signal) return false;
            if (const auto* left = std::get_if<Release>(&what)) return names(station.start, left->surface);
            const auto* touch = std::get_if<Touch>(&what);
            return touch != nullptr &&
                   (names(station.landing.surfaces, touch->surface) ||
                    std::any_of(station.in_play.begin(), station.in_play.end(),
                                [&](const auto& i) { return i.surface == touch->surface; }));
        });
    }

    const Decided& decided_;
    const course::CourseBook& book_;
    const Evidence& evidence_;
    const Settings& settings_;
    const Spans& spans_;
    std::vector<StationMoments> moments_;
    std::vector<bool> shared_;
};

}  // namespace

base::Result<std::vector<StationMoments>> station_moments(const PreparedCourse& course,
                                                          const Evidence& evidence,
                                                          const Settings& settings) {
    const base::Result<Decided> decided = decide(course.roles(), evidence, settings);
    if (!decided) return decided.error();
    const base::Result<Spans> spans = Spans::make(evidence, settings);
    if (!spans) return spans.error();
    return Settling(*decided, course.book(), evidence, settings, *spans).all();
}

}  // namespace plumbmark::ruling
