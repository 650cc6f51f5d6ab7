#include "study/run_figures.h"

#include <algorithm>
#include <set>
#include <utility>

#include "base/worded.h"
#include "study/internal/contact_spells.h"

namespace plumbmark::study {
namespace {

using course::Part;
using ruling::SettledBy;
using ruling::SpanBounds;
using ruling::Spans;

Edge edge_of(const Spans& spans, ruling::MarkId mark) {
    const auto seen = spans.sightings(mark);
    return {seen, seen, mark};
}

/// A length that is what it is because of what it is about, and so not negative.
Length not_negative(const SpanBounds& bounds, Doubt doubt) {
    Length length{bounds.low, bounds.high, doubt};
    if (!length.low || length.low->ns <= 0) {
        length.doubt.order_open |= length.low && !doubt.begin_unseen && !doubt.end_unseen;
        length.low = base::Duration{0};
    }
    if (length.high && length.high->ns < 0) length.high = base::Duration{0};
    length.doubt.no_lengths |= !length.high && !doubt.begin_unseen && !doubt.end_unseen;
    return length;
}

class Laying {
  public:
    Laying(const course::CourseBook& book, const ruling::Evidence& evidence, const Spans& spans,
           const std::vector<ruling::StationMoments>& moments)
        : book_(book),
          evidence_(evidence),
          spans_(spans),
          moments_(moments),
          watching_(evidence, spans),
          contacts_(evidence, spans, watching_) {
        for (const ruling::Mark& mark : evidence.marks) {
            if (mark.possible || mark.alternatives.size() > 1) doubtful_.emplace(mark.id, doubt_of(mark));
            const auto* signal = std::get_if<ruling::Signal>(&mark.alternatives.front());
            if (signal == nullptr || signal->kind != ruling::SignalKind::start_given) continue;
            if (!moments.empty() && moments.front().begins.size() == 1 &&
                moments.front().begins.front().mark == mark.id)
                start_ = edge_of(spans, mark.id);
        }
        find_places();
    }

    RunFigures all() {
        RunFigures figures;
        for (std::size_t k = 0; k < book_.stations.size(); ++k)
            figures.stations.push_back(station(k));
        grips(figures);
        hangs(figures);
        flights(figures);
        rests(figures);
        touches(figures);
        unwatched(figures);
        return figures;
    }

  private:
    static Doubt doubt_of(const ruling::Mark& mark) {
        Doubt doubt;
        doubt.possible = mark.possible;
        doubt.alternatives = mark.alternatives.size() > 1;
        return doubt;
    }
    [[nodiscard]] Doubt doubt_of(ruling::MarkId mark) const {
        const auto found = doubtful_.find(mark);
        return found == doubtful_.end() ? Doubt{} : found->second;
    }

    // --- where stations lie ---

    struct Place {
        std::int64_t from = 0, to = 0;  ///< likely
        bool begins = false, completes = false;
    };
    void find_places() {
        for (const ruling::StationMoments& moment : moments_) {
            Place place;
            place.begins = likely(moment.begins, place.from);
            place.completes = likely(moment.completes, place.to);
            places_.push_back(place);
        }
    }
    /// Where the last of the ways likely lies.
    bool likely(const std::vector<SettledBy>& ways, std::int64_t& place) const {
        bool some = false;
        for (const SettledBy& way : ways) {
            if (!way.mark.valid()) continue;
            const std::int64_t here = spans_.likely_place(spans_.sightings(way.mark)) + way.later.ns;
            place = some ? std::max(place, here) : here;
            some = true;
        }
        return some;
    }
    /// The station under way at a likely place: begun, and the last of those.
    [[nodiscard]] course::StationId station_at(std::int64_t place) const {
        for (std::size_t k = places_.size(); k-- > 0;) {
            if (!places_[k].begins || place < places_[k].from) continue;
            if (places_[k].completes && place >= places_[k].to) return {};
            return course::StationId{static_cast<std::int64_t>(k)};
        }
        return {};
    }

    // --- stations ---

    StationFigures station(std::size_t k) const {
        StationFigures figures;
        const ruling::StationMoments& moment = moments_[k];
        figures.station = moment.station;
        figures.verdict = moment.verdict;
        figures.if_reached = moment.if_reached;
        if (moment.completes.empty()) return figures;
        figures.time = from_to(moment.begins, moment.completes);
        figures.from_start = from_to(moments_.front().begins, moment.completes);
        const bool shown = figures.verdict == ruling::Verdict::clear;
        figures.time.doubt.only_if_cleared = figures.from_start.doubt.only_if_cleared = !shown;
        for (const Part part : course::kAllParts) {
            if (part != Part::loose) figures.touches.push_back({part, 0, 0});
        }
        return figures;
    }
    [[nodiscard]] Length from_to(const std::vector<SettledBy>& from, const std::vector<SettledBy>& to) const {
        Doubt doubt;
        for (const auto* ways : {&from, &to}) {
            for (const SettledBy& way : *ways) {
                const bool unseen = way.at_the_latest || !way.mark.valid();
                (ways == &from ? doubt.begin_unseen : doubt.end_unseen) |= unseen;
                if (way.mark.valid()) doubt.add(doubt_of(way.mark));
            }
        }
        Length length = not_negative(spans_.between(from, to), doubt);
        length.doubt.order_open = false;  // a station's end is after its beginning, whichever marks they are
        return length;
    }

    // --- contacts ---

    void grips(RunFigures& figures) const {
        for (const Spell* spell : contacts_.of(course::kHands))
            figures.grips.push_back(
                {spell->part, spell->surface, spell->touch.mark, spell->leave.mark, station_at(spell->place),
                 not_negative(between(spans_, spell->touch, spell->leave), spell->doubt)});
    }

    /// Some part of the group on something: from the earliest touch to the latest leaving.
    static void take_hold(const Hold& hold, FuzzyStretch& stretch) {
        std::vector<const Edge*> touches, leaves;
        for (const Spell* spell : hold.firsts)
            touches.push_back(&spell->touch);
        for (const Spell* spell : hold.lasts)
            leaves.push_back(&spell->leave);
        stretch.from.push_back(std::move(touches));
        stretch.to.push_back(std::move(leaves));
        stretch.joints = hold.joints;
        take_doubt(hold, stretch);
    }
    /// Both ends of a hold are looked at for what was not seen; a spell in its middle is not.
    static void take_doubt(const Hold& hold, FuzzyStretch& stretch) {
        Doubt doubt = hold.doubt;
        doubt.begin_unseen = doubt.end_unseen = false;
        for (const Spell* spell : hold.firsts)
            doubt.begin_unseen |= spell->doubt.begin_unseen;
        for (const Spell* spell : hold.lasts)
            doubt.end_unseen |= spell->doubt.end_unseen;
        stretch.doubt.add(doubt);
    }
    /// The edge that likely is the last of 'from', or the first of 'to'.
    [[nodiscard]] const Edge* likely_edge(const std::vector<std::vector<const Edge*>>& groups,
                                          bool last) const {
        const Edge* likely = nullptr;
        std::int64_t where = 0;
        for (const auto& group : groups) {
            const Edge* of_group = nullptr;
            std::int64_t group_at = 0;
            for (const Edge* edge : group) {
                const std::int64_t here = place_of(*edge);
                if (of_group != nullptr && (last ? here >= group_at : here <= group_at)) continue;
                of_group = edge;
                group_at = here;
            }
            if (likely != nullptr && (last ? group_at <= where : group_at >= where)) continue;
            likely = of_group;
            where = group_at;
        }
        return likely;
    }
    [[nodiscard]] std::int64_t place_of(const Edge& edge) const {
        const auto& some = edge.low ? edge.low : edge.high;
        return some ? spans_.likely_place(*some) : 0;
    }

    void add_stretch(const FuzzyStretch& fuzzy, std::vector<Stretch>& to) const {
        std::optional<Length> length = length_of(spans_, fuzzy);
        if (!length) return;
        const Edge* from = likely_edge(fuzzy.from, true);
        const Edge* until = likely_edge(fuzzy.to, false);
        if (from == nullptr || until == nullptr) return;
        length->doubt.unwatched |= !is_watched(*from, *until);
        length->doubt.no_lengths |= !length->high && !length->doubt.begin_unseen && !length->doubt.end_unseen;
        to.push_back({from->mark, until->mark, station_at(place_of(*from)), *length});
    }

    /// As far as it was seen at all: from when it was there, until when it still was.
    [[nodiscard]] bool is_watched(const Edge& from, const Edge& until) const {
        const Edge first = from.low ? from : Edge{from.high, from.high, {}};
        if (until.high) return watching_.athlete(first, until);
        std::vector<ruling::Sighting> still;
        for (ruling::Sighting seen : *until.low) {
            if (!seen.until) seen.until = seen.after;
            if (seen.until == seen.after && seen.after) seen.after = *seen.after - base::Duration{1};
            still.push_back(seen);
        }
        return watching_.athlete(first, Edge{std::span(still), std::span(still), {}});
    }

    void hangs(RunFigures& figures) const {
        const std::vector<Hold> hands = holds_of(spans_, contacts_.of(course::kHands));
        std::size_t first_hand = 0;
        for (const Gap& off : gaps_of(spans_, contacts_.of(course::kFeet))) {
            for (std::size_t h = first_hand; h < hands.size(); ++h) {
                if (!off.before.empty() && surely_before(hands[h].lasts, off.before)) {
                    if (h == first_hand) ++first_hand;
                    continue;
                }
                if (!off.after.empty() && surely_before(off.after, hands[h].firsts)) break;
                FuzzyStretch hang = off.stretch;
                take_hold(hands[h], hang);
                add_stretch(hang, figures.hangs);
            }
        }
    }
    /// Those of 'a' are over before any of 'b' begins.
    [[nodiscard]] bool surely_before(const std::vector<const Spell*>& a,
                                     const std::vector<const Spell*>& b) const {
        for (const Spell* last : a) {
            for (const Spell* next : b) {
                const auto low = between(spans_, last->leave, next->touch).low;
                if (!low || low->ns < 0) return false;
            }
        }
        return true;
    }

    void flights(RunFigures& figures) const {
        for (const Gap& gap : gaps_of(spans_, contacts_.of(course::kWholeBody))) {
            if (!gap.stretch.to.empty()) add_stretch(gap.stretch, figures.flights);
        }
    }

    void rests(RunFigures& figures) const {
        std::set<course::SurfaceId> platforms;
        for (const course::Station& station : book_.stations) {
            platforms.insert(station.start.begin(), station.start.end());
            platforms.insert(station.landing.surfaces.begin(), station.landing.surfaces.end());
        }
        struct At {
            std::int64_t place;
            Rest rest;
        };
        std::vector<At> found;
        for (const course::SurfaceId surface : platforms) {
            for (const Hold& hold : holds_of(spans_, contacts_.of(course::kFeet, surface))) {
                FuzzyStretch stretch;
                take_hold(hold, stretch);
                if (start_) since_start(stretch);
                std::vector<Stretch> one;
                add_stretch(stretch, one);
                if (!one.empty())
                    found.push_back({place_of(*likely_edge(stretch.from, true)), {surface, one.front()}});
            }
        }
        std::stable_sort(found.begin(), found.end(),
                         [](const At& a, const At& b) { return a.place < b.place; });
        for (At& at : found)
            figures.rests.push_back(std::move(at.rest));
    }
    /// Who stood there before the signal rests from the signal on.
    void since_start(FuzzyStretch& stretch) const {
        bool stood = true;
        for (const Edge* touch : stretch.from.front()) {
            const auto high = touch->high ? spans_.between(*start_->low, *touch->high).high : std::nullopt;
            stood &= high && high->ns <= 0;
        }
        if (stood) {
            stretch.from = {{&*start_}};
            stretch.doubt.begin_unseen = false;
            return;
        }
        stretch.from.push_back({&*start_});
    }

    // --- touches ---

    struct Touched {
        ruling::MarkId mark;
        Part part;
        std::int64_t place;
        bool surely;  ///< a touch of this part, that happened
    };
    [[nodiscard]] std::vector<Touched> all_touched() const {
        std::vector<Touched> all;
        for (const ruling::Mark& mark : evidence_.marks) {
            course::PartSet parts;
            bool only_touches = !mark.possible;
            for (const ruling::Happening& what : mark.alternatives) {
                const auto* touch = std::get_if<ruling::Touch>(&what);
                only_touches &= touch != nullptr;
                if (touch != nullptr && touch->part != Part::loose) parts.add(touch->part);
            }
            const std::int64_t place = spans_.likely_place(spans_.sightings(mark.id));
            for (const Part part : course::kAllParts) {
                const bool alone = parts == course::PartSet{part};
                if (parts.has(part)) all.push_back({mark.id, part, place, only_touches && alone});
            }
        }
        std::stable_sort(all.begin(), all.end(),
                         [](const Touched& a, const Touched& b) { return a.place < b.place; });
        return all;
    }
    void touches(RunFigures& figures) const {
        std::vector<std::vector<ruling::MarkId>> hands(places_.size()), feet(places_.size());
        for (const Touched& touched : all_touched()) {
            for (std::size_t k = 0; k < places_.size(); ++k) {
                if (!places_[k].begins || !places_[k].completes) continue;
                const int inside = is_inside(touched.mark, k);
                if (inside == 0) continue;
                count(figures.stations[k], touched, inside == 2);
                const bool likely = places_[k].from < touched.place && touched.place <= places_[k].to;
                if (!likely && inside != 2) continue;
                if (course::kHands.has(touched.part)) add_once(hands[k], touched.mark);
                if (course::kFeet.has(touched.part)) add_once(feet[k], touched.mark);
            }
        }
        for (std::size_t k = 0; k < places_.size(); ++k) {
            StationFigures& station = figures.stations[k];
            station.hands = beats(hands[k]);
            station.feet = beats(feet[k]);
            if (station.touches.empty() || is_watched(k)) continue;
            for (TouchCount& touched : station.touches)
                touched.high.reset();
        }
    }
    static void add_once(std::vector<ruling::MarkId>& marks, ruling::MarkId mark) {
        if (marks.empty() || marks.back() != mark) marks.push_back(mark);
    }
    /// 0: surely not; 1: it may be; 2: surely.
    [[nodiscard]] int is_inside(ruling::MarkId mark, std::size_t k) const {
        const SettledBy touch{mark, {}, false};
        const SpanBounds after = spans_.between(moments_[k].begins, {&touch, 1});
        if (after.high && after.high->ns <= 0) return 0;
        const SpanBounds before = spans_.between({&touch, 1}, moments_[k].completes);
        if (before.high && before.high->ns < 0) return 0;
        const bool surely = after.low && after.low->ns > 0 && before.low && before.low->ns >= 0;
        return surely ? 2 : 1;
    }
    static void count(StationFigures& station, const Touched& touched, bool inside) {
        for (TouchCount& counted : station.touches) {
            if (counted.part != touched.part) continue;
            if (inside && touched.surely) ++counted.low;
            ++*counted.high;
        }
    }
    [[nodiscard]] bool is_watched(std::size_t k) const {
        for (const SettledBy& from : moments_[k].begins) {
            for (const SettledBy& to : moments_[k].completes) {
                if (!from.mark.valid() || !to.mark.valid() || from.at_the_latest || to.at_the_latest)
                    return false;
                std::vector<ruling::Sighting> ends;
                for (ruling::Sighting seen : spans_.sightings(to.mark)) {
                    if (seen.until) seen.until = *seen.until + to.later;
                    ends.push_back(seen);
                }
                const Edge last{std::span(ends), std::span(ends), {}};
                if (!watching_.athlete(edge_of(spans_, from.mark), last)) return false;
            }
        }
        return true;
    }
    [[nodiscard]] std::vector<Beat> beats(const std::vector<ruling::MarkId>& touched) const {
        std::vector<Beat> all;
        for (std::size_t i = 1; i < touched.size(); ++i) {
            const Edge from = edge_of(spans_, touched[i - 1]);
            const Edge to = edge_of(spans_, touched[i]);
            Doubt doubt = doubt_of(from.mark);
            doubt.add(doubt_of(to.mark));
            doubt.unwatched = !watching_.athlete(from, to);
            all.push_back({from.mark, to.mark, not_negative(between(spans_, from, to), doubt)});
        }
        return all;
    }

    // --- what nobody watched ---

    void unwatched(RunFigures& figures) const {
        if (evidence_.clips.empty()) return;
        std::size_t clip = 0;
        while (clip + 1 < evidence_.clips.size() && !evidence_.clips[clip].durations_known)
            ++clip;
        if (!evidence_.clips[clip].durations_known) clip = 0;
        const ruling::ClipIndex here{static_cast<std::int64_t>(clip)};
        std::optional<std::int64_t> first, last;
        for (const ruling::Mark& mark : evidence_.marks) {
            const SpanBounds where = spans_.on_clip(here, mark.sightings);
            if (where.low) first = first ? std::min(*first, where.low->ns) : where.low->ns;
            if (where.high) last = last ? std::max(*last, where.high->ns) : where.high->ns;
        }
        if (!first || !last) return;
        std::int64_t seen_to = *first - 1;
        for (const Watching::Part& part : watched_as_on(here)) {
            if (part.after > seen_to && seen_to < *last)
                figures.unwatched.push_back(
                    {here, base::Time{seen_to}, base::Time{std::min(part.after, *last)}});
            seen_to = std::max(seen_to, part.until);
        }
        if (seen_to < *last) figures.unwatched.push_back({here, base::Time{seen_to}, base::Time{*last}});
    }
    /// What all clips surely show watched, on the clock of one, ascending.
    [[nodiscard]] Watching::Parts watched_as_on(ruling::ClipIndex here) const {
        Watching::Parts parts;
        for (std::size_t c = 0; c < evidence_.clips.size(); ++c) {
            const ruling::ClipIndex clip{static_cast<std::int64_t>(c)};
            for (const Watching::Part& part : watching_.athlete_on(c)) {
                if (clip == here) {
                    parts.push_back(part);
                    continue;
                }
                const ruling::Sighting begins{clip, base::Time{part.after - 1}, base::Time{part.after}, true};
                const ruling::Sighting ends{clip, base::Time{part.until - 1}, base::Time{part.until}, true};
                const auto after = spans_.on_clip(here, {&begins, 1}).high;
                const auto until = spans_.on_clip(here, {&ends, 1}).low;
                if (after && until && *after < *until) parts.push_back({after->ns, until->ns});
            }
        }
        std::sort(parts.begin(), parts.end(), [](const auto& a, const auto& b) {
            return std::pair(a.after, a.until) < std::pair(b.after, b.until);
        });
        return parts;
    }

    const course::CourseBook& book_;
    const ruling::Evidence& evidence_;
    const Spans& spans_;
    const std::vector<ruling::StationMoments>& moments_;
    Watching watching_;
    ContactSpells contacts_;
    std::optional<Edge> start_;
    std::map<ruling::MarkId, Doubt> doubtful_;
    std::vector<Place> places_;
};

}  // namespace

void Doubt::add(const Doubt& other) {
    possible |= other.possible;
    alternatives |= other.alternatives;
    unwatched |= other.unwatched;
    begin_unseen |= other.begin_unseen;
    end_unseen |= other.end_unseen;
    order_open |= other.order_open;
    no_lengths |= other.no_lengths;
    only_if_cleared |= other.only_if_cleared;
}

base::Result<StudiedRun> lay_open(const ruling::PreparedCourse& course, const ruling::Evidence& evidence,
                                  const ruling::Settings& settings) {
    base::Result<std::vector<ruling::StationMoments>> moments =
        ruling::station_moments(course, evidence, settings);
    if (!moments) return moments.error();
    return lay_open(course, evidence, std::move(*moments), settings);
}

base::Result<StudiedRun> lay_open(const ruling::PreparedCourse& course, const ruling::Evidence& evidence,
                                  std::vector<ruling::StationMoments> moments,
                                  const ruling::Settings& settings) {
    if (moments.size() != course.book().stations.size())
        return base::Error{base::Category::bad_input,
                           base::worded("The moments of the stations are not those of this course."), ""};
    base::Result<Spans> spans = Spans::make(evidence, settings);
    if (!spans) return spans.error();
    RunFigures figures = Laying(course.book(), evidence, *spans, moments).all();
    return StudiedRun{evidence, std::move(*spans), std::move(moments), std::move(figures)};
}

}  // namespace plumbmark::study
