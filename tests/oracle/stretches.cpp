#include "oracle/stretches.h"

#include <algorithm>
#include <set>

#include "oracle/facts.h"

namespace plumbmark::oracle {
namespace {

using course::Part;
using course::SurfaceId;

bool covers_surface(const ruling::Scope& scope, SurfaceId surface) {
    return scope.whole_athlete || has(scope.surfaces, surface);
}

bool covers_plane(const ruling::Scope& scope, course::PlaneId plane) {
    return scope.whole_athlete ||
           std::find(scope.planes.begin(), scope.planes.end(), plane) != scope.planes.end();
}

bool covers(const ruling::Scope& scope, const ruling::Happening& what) {
    if (const auto* touch = std::get_if<ruling::Touch>(&what)) return covers_surface(scope, touch->surface);
    if (const auto* release = std::get_if<ruling::Release>(&what))
        return covers_surface(scope, release->surface);
    if (const auto* cross = std::get_if<ruling::Cross>(&what)) return covers_plane(scope, cross->plane);
    const auto* signal = std::get_if<ruling::Signal>(&what);
    return signal != nullptr && signal->kind == ruling::SignalKind::finish_registers && scope.finish_signal;
}

bool finish_exists(const course::Finish& finish) {
    return finish.required || !finish.name.empty() || finish.surface.has_value();
}

}  // namespace

Stretches::Stretches(const Case& review, const Reach& reach) : review_(review), reach_(reach) {
    read_brackets();
    read_spans();
    find_moments();
    say_at_moments();
    std::size_t places = 1;
    for (const std::vector<Moment>& clip : moments_)
        places *= clip.size() + 1;
    made_.resize(places);
}

std::int64_t Stretches::row_delay(ruling::ClipIndex clip) const {
    return review_.evidence.clips[static_cast<std::size_t>(clip.value)].row_delay.ns;
}

// The late end of a bracket moves by the clip's row delay, unless its row is known.
void Stretches::read_brackets() {
    for (std::size_t i = 0; i < review_.evidence.marks.size(); ++i) {
        const ruling::Mark& mark = review_.evidence.marks[i];
        if (!mark.possible) certain |= std::uint32_t{1} << i;
        std::vector<Bracket>& seen = brackets_.emplace_back();
        for (const ruling::Sighting& sighting : mark.sightings) {
            Bracket& bracket = seen.emplace_back();
            bracket.clip = static_cast<std::size_t>(sighting.clip.value);
            if (sighting.after) bracket.after = units(sighting.after->ns);
            if (!sighting.until) continue;
            const std::int64_t delay = sighting.row_known ? 0 : row_delay(sighting.clip);
            bracket.until = units(sighting.until->ns + delay);
        }
    }
}

// Spans of one scope on one clip that touch or overlap are joined; then each begins by the row delay later.
void Stretches::read_spans() {
    std::vector<ruling::WatchedSpan> spans = review_.evidence.spans;
    std::stable_sort(spans.begin(), spans.end(),
                     [](const auto& a, const auto& b) { return a.after < b.after; });
    std::vector<ruling::WatchedSpan> joined;
    for (const ruling::WatchedSpan& span : spans) {
        const auto before = std::find_if(joined.begin(), joined.end(), [&](const ruling::WatchedSpan& other) {
            return other.clip == span.clip && other.scope == span.scope && other.until >= span.after;
        });
        if (before == joined.end()) {
            joined.push_back(span);
        } else {
            before->until = std::max(before->until, span.until);
        }
    }
    for (const ruling::WatchedSpan& span : joined) {
        const std::int64_t after = span.after.ns + row_delay(span.clip);
        if (after >= span.until.ns) continue;
        spans_.push_back(
            {static_cast<std::size_t>(span.clip.value), units(after), units(span.until.ns), span.scope});
    }
}

void Stretches::find_moments() {
    std::vector<std::set<std::int64_t>> named(std::max<std::size_t>(1, review_.evidence.clips.size()));
    for (const std::vector<Bracket>& mark : brackets_) {
        for (const Bracket& bracket : mark) {
            if (bracket.after) named[bracket.clip].insert(*bracket.after);
            if (bracket.until) named[bracket.clip].insert(*bracket.until);
        }
    }
    for (const Span& span : spans_)
        named[span.clip].insert({span.after, span.until});
    for (const ruling::ContactStatement& said : review_.evidence.contacts)
        named[static_cast<std::size_t>(said.clip.value)].insert(units(said.at.ns));
    for (const std::set<std::int64_t>& clip : named) {
        std::vector<Moment>& moments = moments_.emplace_back();
        for (const std::int64_t at : clip)
            moments.emplace_back().at = at;
    }
}

Moment& Stretches::moment(std::size_t clip, std::int64_t at) {
    return *std::find_if(moments_[clip].begin(), moments_[clip].end(),
                         [&](const Moment& moment) { return moment.at == at; });
}

void Stretches::say_at_moments() {
    for (const ruling::ContactStatement& said : review_.evidence.contacts) {
        if (said.part == Part::loose && !review_.book.loose_counts) continue;
        Moment& its = moment(static_cast<std::size_t>(said.clip.value), units(said.at.ns));
        const std::size_t pair = PlainJudge::pair(said.part, said.surface);
        if (its.stated.is_known(pair) && its.stated.is_set(pair) != said.on) its.contradictory = true;
        its.stated.set(pair, said.on);
    }
    for (const Span& span : spans_)
        open_span(span);
}

// Where a span opens, what it covers and no mark or statement of the whole review names is off, and behind.
void Stretches::open_span(const Span& span) {
    Moment& its = moment(span.clip, span.after);
    for (Part part : reach_.parts) {
        for (SurfaceId surface : all_surfaces()) {
            if (covers_surface(span.scope, surface))
                its.must_be_off |= std::uint64_t{1} << PlainJudge::pair(part, surface);
        }
    }
    its.must_be_off &= reach_.tracked & ~reach_.said;
    for (const std::size_t side : reach_.unnamed_sides) {
        if (covers_plane(span.scope, course::PlaneId{static_cast<std::int64_t>(side % kMostPlanes)}))
            its.must_be_behind |= std::uint64_t{1} << side;
    }
}

bool Stretches::pass(const Moment& moment, RunState& state) {
    const auto agree = [](Bits& facts, std::uint64_t known, std::uint64_t yes) {
        if (((facts.yes ^ yes) & facts.known & known) != 0) return false;
        facts.known |= known;
        facts.yes |= yes;
        return true;
    };
    return !moment.contradictory && agree(state.contacts, moment.stated.known, moment.stated.yes) &&
           agree(state.contacts, moment.must_be_off, 0) && agree(state.sides, moment.must_be_behind, 0);
}

bool Stretches::is_last(const Passed& passed) const {
    for (std::size_t clip = 0; clip < clips(); ++clip) {
        if (passed[clip] < moments_[clip].size()) return false;
    }
    return true;
}

bool Stretches::brackets_meet(double offset) const {
    for (std::size_t i = 0; i < brackets_.size(); ++i) {
        if (((certain >> i) & 1U) == 0) continue;
        for (const Bracket& a : brackets_[i]) {
            for (const Bracket& b : brackets_[i]) {
                if (!a.after || !b.until) continue;
                const double apart = (b.clip == 1 ? offset : 0.0) - (a.clip == 1 ? offset : 0.0);
                if (static_cast<double>(*a.after) >= static_cast<double>(*b.until) + apart) return false;
            }
        }
    }
    return true;
}

// One stretch
// -----------------------------------------------------------------------------------------------------------

bool Stretches::lies_behind(std::size_t clip, std::int64_t at, const Passed& passed) const {
    return passed[clip] > 0 && moments_[clip][passed[clip] - 1U].at >= at;
}

bool Stretches::open(const Span& span, const Passed& passed) const {
    return lies_behind(span.clip, span.after, passed) && !lies_behind(span.clip, span.until, passed);
}

bool Stretches::watched(const ruling::Happening& what, const Passed& passed) const {
    return std::any_of(spans_.begin(), spans_.end(),
                       [&](const Span& span) { return open(span, passed) && covers(span.scope, what); });
}

// A possible event that has no bracket on a clip did not happen inside a span of it that covers it.
bool Stretches::shown_not_to_happen(std::size_t mark, const ruling::Happening& what,
                                    const Passed& passed) const {
    if (((certain >> mark) & 1U) != 0) return false;
    return std::any_of(spans_.begin(), spans_.end(), [&](const Span& span) {
        const bool seen_there = std::any_of(brackets_[mark].begin(), brackets_[mark].end(),
                                            [&](const Bracket& b) { return b.clip == span.clip; });
        return !seen_there && open(span, passed) && covers(span.scope, what);
    });
}

// Every declared surface, and what is not declared.
std::vector<SurfaceId> Stretches::all_surfaces() const {
    std::vector<SurfaceId> surfaces{SurfaceId{}};
    for (std::size_t i = 0; i < review_.book.surfaces.size(); ++i)
        surfaces.push_back(SurfaceId{static_cast<std::int64_t>(i)});
    return surfaces;
}

bool Stretches::named_by_course(SurfaceId surface) const {
    return review_.book.finish.surface == surface ||
           std::any_of(review_.book.stations.begin(), review_.book.stations.end(),
                       [&](const course::Station& station) {
                           return has(station.start, surface) || has(station.landing.surfaces, surface) ||
                                  std::any_of(station.in_play.begin(), station.in_play.end(),
                                              [&](const course::Item& i) { return i.surface == surface; });
                       });
}

const Stretch& Stretches::at(const Passed& passed) {
    std::size_t place = passed[0];
    if (clips() > 1) place = place * (moments_[1].size() + 1) + passed[1];
    if (!made_[place]) made_[place] = make(passed);
    return *made_[place];
}

std::unique_ptr<Stretch> Stretches::make(const Passed& passed) const {
    auto stretch = std::make_unique<Stretch>();
    offer_marks(*stretch, passed);
    offer_contacts(*stretch, passed);
    offer_crossings(*stretch, passed);
    const ruling::Happening finish = ruling::Signal{ruling::SignalKind::finish_registers};
    stretch->unseen_finish = finish_exists(review_.book.finish) && !watched(finish, passed);
    return stretch;
}

void Stretches::offer_marks(Stretch& stretch, const Passed& passed) const {
    for (std::size_t i = 0; i < brackets_.size(); ++i) {
        const auto may_be = std::all_of(brackets_[i].begin(), brackets_[i].end(), [&](const Bracket& b) {
            return !b.after || lies_behind(b.clip, *b.after, passed);
        });
        const auto past = std::any_of(brackets_[i].begin(), brackets_[i].end(), [&](const Bracket& b) {
            return b.until && lies_behind(b.clip, *b.until, passed);
        });
        if (past) stretch.past_marks |= std::uint32_t{1} << i;
        if (may_be && !past) stretch.open_marks |= std::uint32_t{1} << i;
        const std::vector<ruling::Happening>& alternatives = review_.evidence.marks[i].alternatives;
        std::uint8_t allowed = 0;
        for (std::size_t k = 0; k < alternatives.size(); ++k) {
            if (!shown_not_to_happen(i, alternatives[k], passed))
                allowed = static_cast<std::uint8_t>(allowed | (1U << k));
        }
        stretch.alternatives.push_back(allowed);
    }
}

// Of the surfaces that the course gives no part to play, one stands for all that are watched alike.
void Stretches::offer_contacts(Stretch& stretch, const Passed& passed) const {
    for (Part part : reach_.parts) {
        bool stands_for_all = false;
        for (SurfaceId surface : all_surfaces()) {
            Contact contact{part,  surface, std::uint64_t{1} << PlainJudge::pair(part, surface),
                            false, {},      {}};
            contact.touch = ruling::Touch{part, surface, ruling::Grade::ungraded};
            contact.release = ruling::Release{part, surface};
            if (watched(contact.touch, passed)) continue;
            stretch.unwatched_pairs |= contact.bit;
            contact.remembered = (reach_.tracked & contact.bit) != 0;
            const bool alike = !contact.remembered && !named_by_course(surface);
            if (alike && stands_for_all) continue;
            if (alike) stands_for_all = true;
            stretch.unwatched.push_back(contact);
        }
    }
}

void Stretches::offer_crossings(Stretch& stretch, const Passed& passed) const {
    for (const auto& [plane, crosser] : reach_.crossings) {
        ruling::Cross cross{std::nullopt, course::PlaneId{static_cast<std::int64_t>(plane)},
                            ruling::Direction::forward};
        if (crosser != kWhole) cross.part = static_cast<Part>(crosser);
        if (watched(cross, passed)) continue;
        stretch.unseen_crossings.push_back(cross);
        cross.direction = ruling::Direction::back;
        stretch.unseen_crossings.push_back(cross);
    }
    for (std::size_t p = 0; p < review_.book.planes.size(); ++p) {
        const course::PlaneId plane{static_cast<std::int64_t>(p)};
        if (watched(ruling::Cross{std::nullopt, plane, ruling::Direction::forward}, passed)) continue;
        for (std::size_t crosser = 0; crosser <= kWhole; ++crosser)
            stretch.unwatched_sides |= std::uint64_t{1} << (crosser * kMostPlanes + p);
    }
}

}  // namespace plumbmark::oracle
