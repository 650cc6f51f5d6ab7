#include "study/internal/contact_spells.h"

#include <algorithm>
#include <utility>

namespace plumbmark::study {

using ruling::Sighting;
using ruling::SpanBounds;
using ruling::Spans;

// --- what is watched ---

namespace {

std::size_t at(ruling::ClipIndex clip) {
    return static_cast<std::size_t>(clip.value);
}

Watching::Parts united(Watching::Parts parts) {
    std::sort(parts.begin(), parts.end(), [](const auto& a, const auto& b) {
        return std::pair(a.after, a.until) < std::pair(b.after, b.until);
    });
    Watching::Parts one;
    for (const auto& part : parts) {
        if (!one.empty() && part.after <= one.back().until)
            one.back().until = std::max(one.back().until, part.until);
        else
            one.push_back(part);
    }
    return one;
}

/// As a ruling has it: spans that touch or overlap are one, and vouch from the row delay after their first
/// frame on.
Watching::Parts vouching(const Watching::Parts& parts, std::int64_t row_delay) {
    Watching::Parts one = united(parts);
    for (auto& part : one)
        part.after += row_delay;
    std::erase_if(one, [](const auto& part) { return part.after >= part.until; });
    return one;
}

}  // namespace

Watching::Watching(const ruling::Evidence& evidence, const Spans& spans) : spans_(spans) {
    for (std::size_t c = 0; c < evidence.clips.size(); ++c) {
        Parts whole;
        std::map<course::SurfaceId, Parts> named;
        for (const ruling::WatchedSpan& span : evidence.spans) {
            if (at(span.clip) != c) continue;
            if (span.scope.whole_athlete) whole.push_back({span.after.ns, span.until.ns});
            for (const course::SurfaceId surface : span.scope.surfaces)
                named[surface].push_back({span.after.ns, span.until.ns});
        }
        const std::int64_t delay = evidence.clips[c].row_delay.ns;
        whole_.push_back(vouching(whole, delay));
        for (auto& [surface, parts] : named) {
            parts = vouching(parts, delay);
            parts.insert(parts.end(), whole_[c].begin(), whole_[c].end());
            parts = united(std::move(parts));
        }
        named_.push_back(std::move(named));
    }
}

const Watching::Parts& Watching::over(course::SurfaceId surface, std::size_t clip) const {
    const auto found = named_[clip].find(surface);
    return found == named_[clip].end() ? whole_[clip] : found->second;
}

std::optional<Watching::Part> Watching::around(course::SurfaceId surface, std::size_t clip,
                                               std::int64_t time) const {
    for (const Part& part : over(surface, clip)) {
        if (part.after < time && time <= part.until) return part;
    }
    return std::nullopt;
}

bool Watching::holds(const Edge& from, const Edge& to,
                     const std::function<const Parts&(std::size_t)>& parts) const {
    if (!from.low || !to.high) return false;
    for (std::size_t c = 0; c < whole_.size(); ++c) {
        const Parts& here = parts(c);
        if (here.empty()) continue;
        const ruling::ClipIndex clip{static_cast<std::int64_t>(c)};
        const auto first = spans_.on_clip(clip, *from.low).low;
        const auto last = spans_.on_clip(clip, *to.high).high;
        if (!first || !last) continue;
        const auto part = std::upper_bound(here.begin(), here.end(), first->ns,
                                           [](std::int64_t time, const Part& p) { return time < p.after; });
        if (part != here.begin() && last->ns <= std::prev(part)->until) return true;
    }
    return false;
}

bool Watching::surface(course::SurfaceId surface, const Edge& from, const Edge& to) const {
    return holds(from, to, [&](std::size_t clip) -> const Parts& { return over(surface, clip); });
}

bool Watching::athlete(const Edge& from, const Edge& to) const {
    return holds(from, to, [&](std::size_t clip) -> const Parts& { return whole_[clip]; });
}

// --- stretches ---

SpanBounds between(const Spans& spans, const Edge& from, const Edge& to) {
    if (from.mark.valid() && from.mark == to.mark) return {base::Duration{0}, base::Duration{0}};
    SpanBounds bounds;
    if (from.high && to.low) bounds.low = spans.between(*from.high, *to.low).low;
    if (from.low && to.high) bounds.high = spans.between(*from.low, *to.high).high;
    return bounds;
}

namespace {

bool surely_after(const Spans& spans, const Edge& from, const Edge& to) {
    const auto low = between(spans, from, to).low;
    return low && low->ns > 0;
}
bool surely_not_after(const Spans& spans, const Edge& from, const Edge& to) {
    const auto high = between(spans, from, to).high;
    return high && high->ns <= 0;
}

/// Keeps those that can be the last to leave.
void add_last(const Spans& spans, std::vector<const Spell*>& lasts, const Spell* spell) {
    const bool outlasted = std::any_of(lasts.begin(), lasts.end(), [&](const Spell* other) {
        return surely_after(spans, spell->leave, other->leave);
    });
    if (outlasted) return;
    std::erase_if(lasts, [&](const Spell* other) { return surely_after(spans, other->leave, spell->leave); });
    lasts.push_back(spell);
}
/// Keeps those that can be the first to touch.
void add_first(const Spans& spans, std::vector<const Spell*>& firsts, const Spell* spell) {
    const bool later = std::any_of(firsts.begin(), firsts.end(), [&](const Spell* other) {
        return surely_after(spans, other->touch, spell->touch);
    });
    if (later) return;
    std::erase_if(firsts,
                  [&](const Spell* other) { return surely_after(spans, spell->touch, other->touch); });
    firsts.push_back(spell);
}

}  // namespace

std::vector<Hold> holds_of(const Spans& spans, const std::vector<const Spell*>& spells) {
    std::vector<Hold> holds;
    for (const Spell* spell : spells) {
        const bool apart =
            holds.empty() ||
            std::all_of(holds.back().lasts.begin(), holds.back().lasts.end(),
                        [&](const Spell* last) { return surely_after(spans, last->leave, spell->touch); });
        if (apart) {
            holds.push_back({{spell}, {spell}, {}, spell->doubt});
            continue;
        }
        Hold& hold = holds.back();
        const auto none_surely = [&](const auto& one) {
            return std::none_of(hold.lasts.begin(), hold.lasts.end(), one);
        };
        if (none_surely([&](const Spell* l) { return surely_not_after(spans, l->leave, spell->touch); }))
            hold.joints.emplace_back(hold.lasts.back(), spell);
        if (none_surely([&](const Spell* l) { return surely_not_after(spans, spell->leave, l->touch); }))
            hold.joints.emplace_back(spell, hold.lasts.back());
        add_first(spans, hold.firsts, spell);
        add_last(spans, hold.lasts, spell);
        hold.doubt.add(spell->doubt);
    }
    return holds;
}

namespace {

void add_marked(const Doubt& doubt, Doubt& to) {
    to.possible |= doubt.possible;
    to.alternatives |= doubt.alternatives;
}

Gap gap_between(std::vector<const Spell*> before, std::vector<const Spell*> after) {
    Gap gap;
    for (const Spell* spell : before) {
        gap.stretch.from.push_back({&spell->leave});
        gap.stretch.doubt.begin_unseen |= spell->doubt.end_unseen;
        add_marked(spell->doubt, gap.stretch.doubt);
    }
    for (const Spell* spell : after) {
        gap.stretch.to.push_back({&spell->touch});
        gap.stretch.doubt.end_unseen |= spell->doubt.begin_unseen;
        add_marked(spell->doubt, gap.stretch.doubt);
    }
    gap.before = std::move(before);
    gap.after = std::move(after);
    return gap;
}

}  // namespace

/// Between two spells that follow each other in likely order there is a gap unless some spell before surely
/// lasts into one after. What lies before may leave in any order, and what lies after may touch in any.
std::vector<Gap> gaps_of(const Spans& spans, const std::vector<const Spell*>& spells) {
    std::vector<std::vector<const Spell*>> firsts(spells.size() + 1);
    for (std::size_t i = spells.size(); i-- > 0;) {
        firsts[i] = firsts[i + 1];
        add_first(spans, firsts[i], spells[i]);
    }
    std::vector<Gap> gaps;
    std::vector<const Spell*> lasts;
    for (std::size_t i = 0; i < spells.size(); ++i) {
        // A short spell that likely began after another may have been over before that one began.
        const bool reversed =
            !lasts.empty() && std::none_of(lasts.begin(), lasts.end(), [&](const Spell* last) {
                return surely_not_after(spans, spells[i]->leave, last->touch);
            });
        if (reversed) {
            std::vector<const Spell*> soonest;
            for (const Spell* last : lasts)
                add_first(spans, soonest, last);
            Gap gap = gap_between({spells[i]}, std::move(soonest));
            gap.stretch.may_not_be = true;
            gap.before = gap.after = {};
            gaps.push_back(std::move(gap));
        }
        add_last(spans, lasts, spells[i]);
        const bool lasts_on =
            i + 1 < spells.size() && std::any_of(lasts.begin(), lasts.end(), [&](const Spell* last) {
                return surely_not_after(spans, last->leave, spells[i + 1]->touch);
            });
        if (!lasts_on) gaps.push_back(gap_between(lasts, firsts[i + 1]));
    }
    return gaps;
}

std::optional<Length> length_of(const Spans& spans, const FuzzyStretch& stretch) {
    Length length;
    length.doubt = stretch.doubt;
    bool some = false, low_open = false;
    for (const auto& from : stretch.from) {
        for (const auto& to : stretch.to) {
            // The latest of 'to' minus the earliest of 'from': the greatest of the differences.
            std::optional<base::Duration> low, high;
            bool high_open = false;
            for (const Edge* a : from) {
                for (const Edge* b : to) {
                    const SpanBounds one = between(spans, *a, *b);
                    if (one.low) low = low ? std::max(*low, *one.low) : one.low;
                    if (one.high) high = high ? std::max(*high, *one.high) : one.high;
                    high_open |= !one.high;
                }
            }
            low_open |= !low;
            if (low) length.low = some && length.low ? std::min(*length.low, *low) : low;
            if (!high_open && high) length.high = length.high ? std::min(*length.high, *high) : high;
            some = true;
        }
    }
    if (length.high && length.high->ns <= 0) return std::nullopt;
    if (low_open || !length.low) length.low = base::Duration{0};
    for (const auto& [before, after] : stretch.joints) {
        const auto gap = between(spans, before->leave, after->touch).high;
        length.low = gap ? *length.low - std::max(*gap, base::Duration{0}) : base::Duration{0};
    }
    if (stretch.may_not_be) length.low = base::Duration{0};
    if (length.low->ns <= 0) {
        length.low = base::Duration{0};
        length.doubt.order_open |= !low_open;
    }
    return length;
}

// --- spells ---

/// What the review says of one part on one surface.
struct ContactSpells::Said {
    enum class What : std::uint8_t { touch, leave, stated_on, stated_off } what;
    std::span<const Sighting> when;
    ruling::MarkId mark;
    std::int64_t place = 0;
    Doubt doubt;
    [[nodiscard]] bool makes_on() const { return what == What::touch || what == What::stated_on; }
};

class ContactSpells::OnePair {
  public:
    OnePair(ContactSpells& spells, course::Part part, course::SurfaceId surface)
        : spells_(spells), part_(part), surface_(surface) {}

    void take(std::vector<Said> said) {
        std::stable_sort(said.begin(), said.end(),
                         [](const Said& a, const Said& b) { return a.place < b.place; });
        for (auto next = said.begin(); next != said.end(); ++next) {
            if (const auto sooner = that_fits(next, said.end()); sooner != next)
                std::rotate(next, sooner, std::next(sooner));
            take(*next);
        }
        if (open_) end_unseen();
    }

  private:
    /// Who touches was off, and who leaves was on: of those whose order is open, the likely first that fits.
    template <class At>
    At that_fits(At next, At end) const {
        for (At one = next; one != end; ++one) {
            if (one != next && spells_.is_surely_after(next->when, one->when)) break;
            if (one->makes_on() != open_.has_value()) return one;
        }
        return next;
    }
    void take(const Said& said) {
        switch (said.what) {
            case Said::What::touch:
                if (open_) close({last_on_, said.when, {}}, true);
                open({said.when, said.when, said.mark}, said, false);
                break;
            case Said::What::stated_on:
                if (!open_) open({last_off_, said.when, {}}, said, true);
                last_on_ = said.when;
                break;
            case Said::What::leave:
                if (!open_) open({last_off_, said.when, {}}, said, true);
                open_->doubt.add(said.doubt);
                close({said.when, said.when, said.mark}, false);
                break;
            case Said::What::stated_off:
                if (open_) close({last_on_, said.when, {}}, true);
                break;
        }
        if (!open_) last_off_ = said.when;
    }
    void open(const Edge& touch, const Said& said, bool unseen) {
        open_ = Spell{part_, surface_, touch, {}, said.place, said.doubt};
        open_->doubt.begin_unseen = unseen;
        last_on_ = said.when;
    }
    void close(const Edge& leave, bool unseen) {
        open_->leave = leave;
        open_->doubt.end_unseen = unseen;
        // As far as it was seen at all: of a contact that was not seen to begin, from when it was there.
        const Edge from = open_->touch.low ? open_->touch : Edge{open_->touch.high, open_->touch.high, {}};
        if (leave.high) open_->doubt.unwatched = !spells_.watching_.surface(surface_, from, leave);
        spells_.all_.push_back(*open_);
        open_.reset();
    }
    /// It was on to the end of what somebody watched without seeing it leave.
    void end_unseen() {
        Edge leave{last_on_, std::nullopt, {}};
        open_->doubt.unwatched = true;
        for (const Sighting& seen : *last_on_) {
            if (!seen.until) continue;
            const std::size_t clip = at(seen.clip);
            const auto last = spells_.spans_.on_clip(seen.clip, *last_on_).high;
            const auto part = last ? spells_.watching_.around(surface_, clip, last->ns) : std::nullopt;
            if (!part) continue;
            leave.low = spells_.keep({seen.clip, base::Time{part->until}, std::nullopt, true});
            open_->doubt.unwatched = false;
            break;
        }
        close(leave, true);
    }

    ContactSpells& spells_;
    course::Part part_;
    course::SurfaceId surface_;
    std::optional<Spell> open_;
    std::optional<std::span<const Sighting>> last_on_, last_off_;
};

bool ContactSpells::is_surely_after(std::span<const Sighting> from, std::span<const Sighting> to) const {
    const auto low = spans_.between(from, to).low;
    return low && low->ns > 0;
}

std::span<const Sighting> ContactSpells::keep(const Sighting& seen) {
    kept_.push_back(seen);
    return {&kept_.back(), 1};
}

ContactSpells::ContactSpells(const ruling::Evidence& evidence, const Spans& spans, const Watching& watching)
    : spans_(spans), watching_(watching) {
    std::map<std::pair<course::Part, course::SurfaceId>, std::vector<Said>> by_pair;
    for (const ruling::Mark& mark : evidence.marks) {
        Said said{Said::What::touch, spans.sightings(mark.id), mark.id, 0, {}};
        said.place = spans.likely_place(said.when);
        said.doubt.possible = mark.possible;
        said.doubt.alternatives = mark.alternatives.size() > 1;
        for (const ruling::Happening& what : mark.alternatives) {
            if (const auto* touch = std::get_if<ruling::Touch>(&what)) {
                said.what = Said::What::touch;
                by_pair[{touch->part, touch->surface}].push_back(said);
            } else if (const auto* left = std::get_if<ruling::Release>(&what)) {
                said.what = Said::What::leave;
                by_pair[{left->part, left->surface}].push_back(said);
            }
        }
    }
    for (const ruling::ContactStatement& stated : evidence.contacts) {
        Said said{stated.on ? Said::What::stated_on : Said::What::stated_off,
                  keep({stated.clip, stated.at - base::Duration{1}, stated.at, true}),
                  {},
                  0,
                  {}};
        said.place = spans.likely_place(said.when);
        by_pair[{stated.part, stated.surface}].push_back(said);
    }
    for (auto& [pair, said] : by_pair)
        OnePair(*this, pair.first, pair.second).take(std::move(said));
    std::stable_sort(all_.begin(), all_.end(),
                     [](const Spell& a, const Spell& b) { return a.place < b.place; });
}

std::vector<const Spell*> ContactSpells::of(course::PartSet parts,
                                            std::optional<course::SurfaceId> surface) const {
    std::vector<const Spell*> some;
    for (const Spell& spell : all_) {
        if (parts.has(spell.part) && (!surface || spell.surface == *surface)) some.push_back(&spell);
    }
    return some;
}

}  // namespace plumbmark::study
