#include "ruling/internal/changes.h"

#include <algorithm>

namespace plumbmark::ruling {
namespace {

/// A bracket over more frames than this is tried at its ends and in a few places between.
constexpr std::size_t kMostGaps = 8;
constexpr std::size_t kMostPairs = 24;

/// What of one clip can bear on the station.
struct Window {
    base::Time from{0};
    base::Time to{0};
};

class Changes {
  public:
    Changes(const Inquiry& inquiry, std::size_t station)
        : inquiry_(inquiry), evidence_(inquiry.evidence), words_(inquiry.words) {
        for (std::size_t clip = 0; clip < evidence_.clips.size(); ++clip)
            windows_.push_back(window_of(station, ClipIndex{static_cast<std::int64_t>(clip)}));
    }

    std::vector<Change> all() {
        resolve();
        order();
        tighten();
        watch();
        return std::move(changes_);
    }

  private:
    // --- where to look ---

    [[nodiscard]] const std::vector<base::Time>& frames(ClipIndex clip) const {
        return evidence_.clips[static_cast<std::size_t>(clip.value)].frame_times;
    }
    Window window_of(std::size_t station, ClipIndex clip) const {
        Window window;
        if (frames(clip).empty()) return window;
        window = {frames(clip).front(), frames(clip).back()};
        const std::optional<Shown> begins = begins_at(inquiry_, station);
        if (begins && begins->clip == clip && begins->after)
            window.from = std::max(window.from, *begins->after);
        std::optional<base::Time> last;
        for (const std::int16_t m : inquiry_.decided.stations[station].marks) {
            if (m < 0) return window;
            for (const Sighting& seen : evidence_.marks[static_cast<std::size_t>(m)].sightings) {
                if (seen.clip == clip && seen.until && (!last || *seen.until > *last)) last = seen.until;
            }
        }
        if (last && *last > window.from) window.to = std::min(window.to, *last);
        return window;
    }
    [[nodiscard]] bool near(const Mark& mark) const {
        return mark.sightings.empty() ||
               std::any_of(mark.sightings.begin(), mark.sightings.end(), [this](const Sighting& seen) {
                   const Window& window = windows_[static_cast<std::size_t>(seen.clip.value)];
                   return (!seen.after || *seen.after < window.to) &&
                          (!seen.until || *seen.until > window.from);
               });
    }

    [[nodiscard]] Change change(SettleKind kind, Sentence sentence, std::vector<std::size_t> marks) const {
        Change made;
        made.step.kind = kind;
        made.step.sentence = std::move(sentence);
        for (const std::size_t m : marks)
            made.step.marks.push_back(evidence_.marks[m].id);
        if (!marks.empty()) made.step.where = shown_of(evidence_.marks[marks.front()]);
        return made;
    }
    /// "between 0:05.100 and 0:05.133"; empty for a mark that is at no time.
    [[nodiscard]] Sentence when(const Mark& mark) const {
        const std::optional<Shown> shown = shown_of(mark);
        return shown ? words_.between(*shown) : Sentence();
    }
    /// The event as it stands after 'whether'.
    [[nodiscard]] Sentence whether(const Mark& mark) const { return words_.ways(mark, Form::after_if); }
    [[nodiscard]] static Sentence settle_whether(const Sentence& what, const Sentence& when) {
        return when.empty() ? say("settle whether {}", what) : say("settle whether {} {}", what, when);
    }
    [[nodiscard]] static Sentence settle_which(const Sentence& ways, const Sentence& when) {
        return when.empty() ? say("settle which it was: {}", ways)
                            : say("settle which it was {}: {}", when, ways);
    }
    [[nodiscard]] static Sentence settle_grade(const Sentence& what, const Sentence& when) {
        return when.empty() ? say("settle whether {} with weight or only in a brush", what)
                            : say("settle whether {} with weight or only in a brush {}", what, when);
    }
    [[nodiscard]] static Sentence other_angle(const Sentence& what, const Sentence& when) {
        return when.empty() ? say("find another angle that shows whether {}", what)
                            : say("find another angle that shows whether {} {}", what, when);
    }
    [[nodiscard]] Evidence with(std::size_t m, const Mark& mark) const {
        Evidence changed = evidence_;
        changed.marks[m] = mark;
        return changed;
    }

    // --- the changes ---

    /// Possible events: did it happen? Alternatives: which was it?
    void resolve() {
        for (std::size_t m = 0; m < evidence_.marks.size(); ++m) {
            const Mark& mark = evidence_.marks[m];
            if (!near(mark)) continue;
            if (mark.possible) {
                Change made =
                    change(SettleKind::resolve_possible, settle_whether(whether(mark), when(mark)), {m});
                Mark certain = mark;
                certain.possible = false;
                made.outcomes.push_back(with(m, certain));
                Evidence without = evidence_;
                without.marks.erase(without.marks.begin() + static_cast<std::ptrdiff_t>(m));
                made.outcomes.push_back(std::move(without));
                changes_.push_back(std::move(made));
            }
            if (!inquiry_.book.brush_counts) grade(m);
            if (mark.alternatives.size() < 2) continue;
            Change made = change(SettleKind::resolve_possible,
                                 settle_which(words_.ways(mark, Form::present), when(mark)), {m});
            for (const Happening& what : mark.alternatives) {
                Mark certain = mark;
                certain.alternatives = {what};
                made.outcomes.push_back(with(m, certain));
            }
            changes_.push_back(std::move(made));
        }
    }
    /// Where a brush does not count: was it one?
    void grade(std::size_t m) {
        const Mark& mark = evidence_.marks[m];
        const auto* touch =
            mark.alternatives.size() == 1 ? std::get_if<Touch>(&mark.alternatives.front()) : nullptr;
        if (!touch || touch->grade != Grade::ungraded) return;
        Change made = change(SettleKind::resolve_possible, settle_grade(whether(mark), when(mark)), {m});
        for (const Grade grade : {Grade::brush, Grade::weight}) {
            Mark graded = mark;
            graded.alternatives = {Touch{touch->part, touch->surface, grade}};
            made.outcomes.push_back(with(m, graded));
        }
        changes_.push_back(std::move(made));
    }
    /// Two marks of one clip whose brackets overlap: which came first? Where both lie in one gap between
    /// frames, only another angle can show it.
    void order() {
        std::size_t pairs = 0;
        for (std::size_t a = 0; a < evidence_.marks.size(); ++a) {
            for (std::size_t b = a + 1; b < evidence_.marks.size(); ++b) {
                if (only_ties(evidence_.marks[a]) || only_ties(evidence_.marks[b])) continue;
                if (!near(evidence_.marks[a]) || !near(evidence_.marks[b])) continue;
                const std::optional<bool> frame_between = overlap(evidence_.marks[a], evidence_.marks[b]);
                if (!frame_between || ++pairs > kMostPairs) continue;
                add_order(a, b, *frame_between);
            }
        }
    }
    /// What came before or after a moment that clips share does not matter.
    [[nodiscard]] static bool only_ties(const Mark& mark) {
        return std::holds_alternative<SharedMoment>(mark.alternatives.front());
    }
    /// None when the order is known; else whether a frame lies between the ends of what they share.
    [[nodiscard]] std::optional<bool> overlap(const Mark& a, const Mark& b) const {
        std::optional<bool> between;
        for (const Sighting& one : a.sightings) {
            for (const Sighting& two : b.sightings) {
                if (one.clip != two.clip) continue;
                if (one.until && two.after && *one.until <= *two.after) return std::nullopt;
                if (two.until && one.after && *two.until <= *one.after) return std::nullopt;
                between = between.value_or(false) || frame_inside(one, two);
            }
        }
        return between;
    }
    [[nodiscard]] bool frame_inside(const Sighting& one, const Sighting& two) const {
        return std::any_of(frames(one.clip).begin(), frames(one.clip).end(), [&](base::Time frame) {
            return (!one.after || frame > *one.after) && (!two.after || frame > *two.after) &&
                   (!one.until || frame < *one.until) && (!two.until || frame < *two.until);
        });
    }
    void add_order(std::size_t a, std::size_t b, bool frame_between) {
        const Mark& one = evidence_.marks[a];
        const Mark& two = evidence_.marks[b];
        const Sentence which = say_in("after if", "{} before {}", whether(one), whether(two));
        Change made = frame_between
                          ? change(SettleKind::order_marks, settle_whether(which, when(one)), {a, b})
                          : change(SettleKind::another_angle, other_angle(which, when(one)), {a, b});
        made.outcomes = {ordered(a, b), ordered(b, a)};
        changes_.push_back(std::move(made));
    }
    /// The order as another clip of two frame gaps would show it.
    [[nodiscard]] Evidence ordered(std::size_t first, std::size_t second) const {
        Evidence changed = evidence_;
        const ClipIndex clip{static_cast<std::int64_t>(changed.clips.size())};
        ClipFacts facts;
        facts.name = "another angle";
        facts.frame_times = {base::Time{0}, base::Time{1}, base::Time{2}};
        changed.clips.push_back(facts);
        const base::Time middle{1};
        changed.marks[first].sightings.push_back({clip, std::nullopt, middle});
        changed.marks[second].sightings.push_back({clip, middle, std::nullopt});
        return changed;
    }

    /// A bracket over several frames: in which gap was it?
    void tighten() {
        for (std::size_t m = 0; m < evidence_.marks.size(); ++m) {
            if (!near(evidence_.marks[m])) continue;
            for (std::size_t s = 0; s < evidence_.marks[m].sightings.size(); ++s)
                tighten(m, s);
        }
    }
    void tighten(std::size_t m, std::size_t s) {
        const Mark& mark = evidence_.marks[m];
        const Sighting& seen = mark.sightings[s];
        std::vector<base::Time> inside;
        for (const base::Time frame : frames(seen.clip)) {
            if ((!seen.after || frame >= *seen.after) && (!seen.until || frame <= *seen.until))
                inside.push_back(frame);
        }
        if (inside.size() < 3) return;
        Change made = change(SettleKind::tighten_bracket,
                             say("tighten the bracket in which {} ({})", whether(mark),
                                 words_.range({seen.clip, seen.after, seen.until})),
                             {m});
        made.step.where = Shown{seen.clip, seen.after, seen.until};
        const std::size_t gaps = inside.size() - 1;
        const std::size_t tries = std::min(gaps, kMostGaps);
        for (std::size_t i = 0; i < tries; ++i) {
            const std::size_t gap = tries == 1 ? 0 : i * (gaps - 1) / (tries - 1);
            Mark tight = mark;
            tight.sightings[s].after = inside[gap];
            tight.sightings[s].until = inside[gap + 1];
            made.outcomes.push_back(with(m, tight));
        }
        changes_.push_back(std::move(made));
    }

    /// An unwatched gap: nothing more happened in it. Shorter gaps first, then everything up to the decision.
    void watch() {
        std::vector<WatchedSpan> gaps;
        for (std::size_t c = 0; c < windows_.size(); ++c) {
            const ClipIndex clip{static_cast<std::int64_t>(c)};
            Scope finish, all;
            finish.finish_signal = all.finish_signal = all.whole_athlete = true;
            const std::size_t before = gaps.size();
            add_gaps(clip, finish, gaps);
            // Watching the whole athlete there says more, where that was not watched either.
            if (!add_gaps(clip, all, gaps)) continue;
            gaps.erase(gaps.begin() + static_cast<std::ptrdiff_t>(before),
                       std::find_if(gaps.begin() + static_cast<std::ptrdiff_t>(before), gaps.end(),
                                    [](const WatchedSpan& gap) { return gap.scope.whole_athlete; }));
        }
        std::stable_sort(gaps.begin(), gaps.end(), [](const WatchedSpan& a, const WatchedSpan& b) {
            return a.until - a.after < b.until - b.after;
        });
        for (const WatchedSpan& gap : gaps) {
            Change made;
            made.step.kind = SettleKind::watch_span;
            const Sentence stretch = words_.on_clip(words_.range({gap.clip, gap.after, gap.until}), gap.clip);
            made.step.sentence = gap.scope.whole_athlete ? say("watch the whole athlete from {}", stretch)
                                                         : say("watch {} from {}", words_.finish(), stretch);
            made.step.where = Shown{gap.clip, gap.after, gap.until};
            Evidence watched = evidence_;
            watched.spans.push_back(gap);
            made.outcomes.push_back(std::move(watched));
            changes_.push_back(std::move(made));
        }
    }
    [[nodiscard]] static bool vouches(const Scope& scope, const Scope& wanted) {
        return wanted.whole_athlete ? scope.whole_athlete : scope.finish_signal;
    }
    /// The gaps of this scope on the clip within the station's window; whether there are any.
    bool add_gaps(ClipIndex clip, const Scope& scope, std::vector<WatchedSpan>& gaps) const {
        const Window& window = windows_[static_cast<std::size_t>(clip.value)];
        std::vector<std::pair<base::Time, base::Time>> watched;
        for (const WatchedSpan& span : evidence_.spans) {
            if (span.clip == clip && vouches(span.scope, scope)) watched.emplace_back(span.after, span.until);
        }
        std::sort(watched.begin(), watched.end());
        watched.emplace_back(window.to, window.to);
        const std::size_t before = gaps.size();
        base::Time at = window.from;
        for (const auto& [after, until] : watched) {
            const base::Time end = std::min(after, window.to);
            if (end > at) gaps.push_back({unused_id(), clip, at, end, scope});
            at = std::max(at, until);
        }
        if (gaps.size() - before > 1) gaps.push_back({unused_id(), clip, window.from, window.to, scope});
        return gaps.size() > before;
    }
    [[nodiscard]] MarkId unused_id() const {
        std::int64_t highest = 0;
        for (const Mark& mark : evidence_.marks)
            highest = std::max(highest, mark.id.value);
        for (const ContactStatement& contact : evidence_.contacts)
            highest = std::max(highest, contact.id.value);
        for (const WatchedSpan& span : evidence_.spans)
            highest = std::max(highest, span.id.value);
        return MarkId{highest + 1};
    }

    const Inquiry& inquiry_;
    const Evidence& evidence_;
    const Words& words_;
    std::vector<Window> windows_;
    std::vector<Change> changes_;
};

}  // namespace

std::vector<Change> changes_for(const Inquiry& inquiry, std::size_t station) {
    return Changes(inquiry, station).all();
}

}  // namespace plumbmark::ruling
