#include "ruling/internal/foresight.h"

#include <algorithm>
#include <limits>

#include "ruling/internal/prepared.h"

namespace plumbmark::ruling {
namespace {

constexpr std::int64_t kNever = std::numeric_limits<std::int64_t>::max();
constexpr std::int64_t kEver = std::numeric_limits<std::int64_t>::min();

/// One telling with its bracket on the clip: not yet at 'after', it had by 'until'.
struct Bracketed {
    Foretelling telling;
    std::int64_t after = kEver;
    std::int64_t until = kNever;
};

class Maker {
  public:
    Maker(const Prepared& prepared, PairIndex pair) : prepared_(prepared), pair_(pair) {}

    std::optional<Foretellings> make() {
        for (std::size_t clip = 0; clip < prepared_.clips; ++clip) {
            std::optional<std::vector<Bracketed>> all = on_clip(clip);
            if (all) return ordered(clip, std::move(*all));
        }
        return std::nullopt;
    }

  private:
    /// None where the clip does not show all of them.
    [[nodiscard]] std::optional<std::vector<Bracketed>> on_clip(std::size_t clip) const {
        std::vector<Bracketed> all;
        for (std::size_t m = 0; m < prepared_.marks.size(); ++m) {
            const PreparedMark& mark = prepared_.marks[m];
            if (!mark.pairs[pair_]) continue;
            const auto seen = std::find_if(mark.intervals.begin(), mark.intervals.end(),
                                           [clip](const Interval& i) { return i.clip == clip; });
            if (seen == mark.intervals.end()) return std::nullopt;
            Bracketed one;
            one.telling.mark = static_cast<int>(m);
            one.after = seen->after.value_or(kEver);
            one.until = seen->until.value_or(kNever);
            const Event& first = mark.alternatives.front();
            one.telling.on = first.kind == EventKind::release;
            one.telling.tells = !mark.possible &&
                                std::all_of(mark.alternatives.begin(), mark.alternatives.end(),
                                            [&](const Event& event) { return says_the_same(event, first); });
            all.push_back(one);
        }
        for (std::size_t c = 0; c < prepared_.clips; ++c) {
            for (std::size_t i = 0; i < prepared_.moments[c].size(); ++i) {
                const Moment& moment = prepared_.moments[c][i];
                if (!moment.pairs[pair_]) continue;  // a span's end has none
                if (c != clip) return std::nullopt;
                Bracketed one;
                one.telling.moment = i;
                one.telling.on = prepared_.statements[static_cast<std::size_t>(moment.statement)].on;
                one.telling.tells = true;
                one.after = one.until = moment.time;
                all.push_back(one);
            }
        }
        return all;
    }
    /// One of the alternatives speaks of this contact: where all are of one kind they are contacts.
    [[nodiscard]] bool says_the_same(const Event& event, const Event& first) const {
        return event.kind == first.kind && pair_of(event.part, event.surface) == pair_;
    }

    [[nodiscard]] Foretellings ordered(std::size_t clip, std::vector<Bracketed> all) const {
        std::stable_sort(all.begin(), all.end(),
                         [](const Bracketed& a, const Bracketed& b) { return a.until < b.until; });
        Foretellings made;
        made.clip = clip;
        std::int64_t earliest_later = kNever;
        for (std::size_t i = all.size(); i-- > 0;) {
            Bracketed& one = all[i];
            // With the instant of a mark's late end unknown nothing is sure to be behind it.
            one.telling.tells &= one.until != kNever && earliest_later >= one.until;
            earliest_later = std::min(earliest_later, one.after);
            one.telling.watched_from = watched_from(clip, one);
        }
        for (const Bracketed& one : all)
            made.all.push_back(one.telling);
        return made;
    }
    /// The first of the moments after each of which, up to this telling, the contact is watched.
    [[nodiscard]] std::size_t watched_from(std::size_t clip, const Bracketed& one) const {
        const std::vector<Moment>& moments = prepared_.moments[clip];
        std::size_t end = one.telling.mark < 0 ? one.telling.moment : 0;
        if (one.telling.mark >= 0) {
            while (end < moments.size() && moments[end].time < one.until)
                ++end;
        }
        std::size_t from = end;
        while (from > 0 && moments[from - 1].after.pairs[pair_])
            --from;
        return from;
    }

    const Prepared& prepared_;
    PairIndex pair_;
};

}  // namespace

ForesightTable::ForesightTable(const Prepared& prepared) {
    place_.assign(kMostPairs, -1);
    for (std::size_t p = 0; p < kMostPairs; ++p) {
        if (!prepared.named_pairs[p]) continue;
        std::optional<Foretellings> made = Maker(prepared, static_cast<PairIndex>(p)).make();
        if (!made) continue;
        place_[p] = static_cast<std::int16_t>(tellings_.size());
        tellings_.push_back(std::move(*made));
    }
}

const Foretellings* ForesightTable::of(PairIndex pair) const {
    const std::int16_t place = place_.empty() ? std::int16_t{-1} : place_[pair];
    return place < 0 ? nullptr : &tellings_[static_cast<std::size_t>(place)];
}

std::optional<bool> Foresight::contact(PairIndex pair) const {
    const Foretellings* tellings = table_.of(pair);
    if (!tellings) return std::nullopt;
    const std::size_t passed = passed_[tellings->clip];
    for (const Foretelling& telling : tellings->all) {
        const bool over =
            telling.mark >= 0 ? done_[static_cast<std::size_t>(telling.mark)] : telling.moment < passed;
        if (over) continue;
        // Of the moments behind, the last must be one from which on all is watched.
        if (!telling.tells || passed <= telling.watched_from) return std::nullopt;
        return telling.on;
    }
    return std::nullopt;
}

}  // namespace plumbmark::ruling
