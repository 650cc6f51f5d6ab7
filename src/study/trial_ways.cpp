#include "study/trial_ways.h"

#include <algorithm>
#include <optional>
#include <unordered_set>
#include <utility>

namespace plumbmark::study {
namespace {

/// What counting may cost, in looks at an item.
constexpr std::int64_t kMostLooks = 30'000'000;

/// Whether an item is used: not decided yet, or one of the two.
enum class Use : std::uint8_t { open, left_out, used };

/// The items of a station with what rows and 'after' ask of them.
class Items {
  public:
    Items(const course::CourseBook& book, const course::Station& station) {
        for (const course::Item& item : station.in_play) {
            if (is_place(station, item.surface) || index_of(item.surface)) continue;
            surfaces_.push_back(item.surface);
            keys_.push_back(book.surface(item.surface).key);
            fixed_.push_back(item.required ? Use::used : Use::open);
        }
        after_.resize(surfaces_.size());
        for (const course::Item& item : station.in_play) {
            const auto self = index_of(item.surface);
            if (self && item.after) after_[*self] = index_of(*item.after);
        }
        for (const course::ItemRow& row : station.rows) {
            Row own{{}, row.max_skipped};
            for (const course::SurfaceId member : row.members) {
                if (const auto index = index_of(member)) own.members.push_back(*index);
            }
            rows_.push_back(std::move(own));
        }
        settle();
    }

    [[nodiscard]] std::size_t size() const { return keys_.size(); }
    [[nodiscard]] const std::string& key(std::size_t item) const { return keys_[item]; }
    [[nodiscard]] const std::vector<Use>& fixed() const { return fixed_; }
    [[nodiscard]] const std::vector<std::size_t>& choices() const { return choices_; }

    /// Whether what is open can be decided so that rows and 'after' hold: with everything used that may be,
    /// since using more never breaks a row.
    [[nodiscard]] bool possible(std::vector<Use> uses) const {
        for (bool moved = true; moved;) {
            moved = false;
            for (std::size_t i = 0; i < uses.size(); ++i) {
                if (!after_[i]) continue;
                Use& before = uses[*after_[i]];
                if (uses[i] == Use::used && before == Use::left_out) return false;
                if (uses[i] == Use::used && before == Use::open) moved = true, before = Use::used;
                if (before == Use::left_out && uses[i] == Use::open) moved = true, uses[i] = Use::left_out;
            }
        }
        return std::all_of(rows_.begin(), rows_.end(), [&](const Row& row) {
            return std::count_if(row.members.begin(), row.members.end(), [&](std::size_t member) {
                       return uses[member] == Use::left_out;
                   }) <= row.max_skipped;
        });
    }

  private:
    struct Row {
        std::vector<std::size_t> members;
        std::int32_t max_skipped = 0;
    };

    static bool is_place(const course::Station& station, course::SurfaceId surface) {
        const auto among = [surface](const std::vector<course::SurfaceId>& list) {
            return std::find(list.begin(), list.end(), surface) != list.end();
        };
        return among(station.start) || among(station.landing.surfaces);
    }
    [[nodiscard]] std::optional<std::size_t> index_of(course::SurfaceId surface) const {
        const auto found = std::find(surfaces_.begin(), surfaces_.end(), surface);
        if (found == surfaces_.end()) return std::nullopt;
        return static_cast<std::size_t>(found - surfaces_.begin());
    }
    /// Items that can go one way only are no choices.
    void settle() {
        for (std::size_t i = 0; i < size(); ++i) {
            if (fixed_[i] != Use::open) continue;
            std::vector<Use> without = fixed_, with = fixed_;
            without[i] = Use::left_out;
            with[i] = Use::used;
            if (!possible(without)) {
                fixed_[i] = Use::used;
            } else if (!possible(with)) {
                fixed_[i] = Use::left_out;
            } else {
                choices_.push_back(i);
            }
        }
    }

    std::vector<course::SurfaceId> surfaces_;
    std::vector<std::string> keys_;
    std::vector<Use> fixed_;
    std::vector<std::optional<std::size_t>> after_;
    std::vector<Row> rows_;
    std::vector<std::size_t> choices_;
};

/// Goes through the choices of items, used before left out, and keeps the first 'keep' of them.
class Choices {
  public:
    Choices(const Items& items, std::size_t keep) : items_(items), keep_(keep) {
        std::vector<Use> uses = items.fixed();
        go_on(uses, 0);
    }
    [[nodiscard]] std::int64_t count() const { return count_; }
    [[nodiscard]] bool all() const { return !stopped_; }
    [[nodiscard]] const std::vector<std::vector<Use>>& kept() const { return kept_; }

  private:
    // Every choice that is gone on with can be finished, so nothing is looked through in vain.
    void go_on(std::vector<Use>& uses, std::size_t place) {
        if (stopped_) return;
        if (place == items_.choices().size()) {
            ++count_;
            if (kept_.size() < keep_) kept_.push_back(uses);
            if (count_ > kMostCountedWays) stopped_ = true;
            return;
        }
        Use& use = uses[items_.choices()[place]];
        for (const Use next : {Use::used, Use::left_out}) {
            use = next;
            looks_ += static_cast<std::int64_t>(items_.size());
            if (looks_ > kMostLooks) stopped_ = true;
            if (!stopped_ && items_.possible(uses)) go_on(uses, place + 1);
        }
        use = Use::open;
    }

    const Items& items_;
    std::size_t keep_;
    std::int64_t count_ = 0, looks_ = 0;
    bool stopped_ = false;
    std::vector<std::vector<Use>> kept_;
};

/// A way as numbers: its start, its landing, and for each item that is a choice whether it is used.
using Values = std::vector<std::uint32_t>;

std::uint64_t pair_of(std::size_t one, std::uint32_t at_one, std::size_t other, std::uint32_t at_other) {
    constexpr unsigned kBits = 16;  // surfaces are fewer than 2^16
    return ((static_cast<std::uint64_t>(one) << kBits | at_one) << kBits | other) << kBits | at_other;
}

/// Pairs of choices that stand together in some of the ways added.
class Pairs {
  public:
    /// Whether it brought something new.
    bool add(const Values& way) {
        bool fresh = false;
        for (std::size_t a = 0; a < way.size(); ++a) {
            for (std::size_t b = a + 1; b < way.size(); ++b)
                fresh |= there_.insert(pair_of(a, way[a], b, way[b])).second;
        }
        return fresh;
    }
    [[nodiscard]] bool has(std::size_t a, std::uint32_t at_a, std::size_t b, std::uint32_t at_b) const {
        return there_.count(a < b ? pair_of(a, at_a, b, at_b) : pair_of(b, at_b, a, at_a)) != 0;
    }

  private:
    std::unordered_set<std::uint64_t> there_;
};

/// So many ways that each two choices that go together are together in one: one pair after the other, each
/// filled up with the choices that bring most (the greedy way of D. M. Cohen and others, 'The AETG system',
/// IEEE Trans. Software Eng. 23 (1997) 437-444, without its random part).
class Cover {
  public:
    Cover(const Items& items, std::uint32_t starts, std::uint32_t landings) : items_(items) {
        options_ = {starts, landings};
        options_.resize(2 + items.choices().size(), 2);
        for (std::size_t a = 0; a < options_.size(); ++a) {
            for (std::size_t b = a + 1; b < options_.size(); ++b)
                cover(a, b);
        }
    }
    [[nodiscard]] const std::vector<Values>& ways() const { return ways_; }

  private:
    static constexpr std::uint32_t kOpen = UINT32_MAX;

    [[nodiscard]] bool possible(const Values& way) const {
        std::vector<Use> uses = items_.fixed();
        for (std::size_t i = 0; i < items_.choices().size(); ++i) {
            if (way[i + 2] != kOpen) uses[items_.choices()[i]] = way[i + 2] == 0 ? Use::left_out : Use::used;
        }
        return items_.possible(std::move(uses));
    }
    void cover(std::size_t a, std::size_t b) {
        for (std::uint32_t at_a = 0; at_a < options_[a]; ++at_a) {
            for (std::uint32_t at_b = 0; at_b < options_[b]; ++at_b) {
                if (covered_.has(a, at_a, b, at_b)) continue;
                Values way(options_.size(), kOpen);
                way[a] = at_a;
                way[b] = at_b;
                if (!possible(way)) continue;
                fill(way);
                covered_.add(way);
                ways_.push_back(std::move(way));
            }
        }
    }
    void fill(Values& way) const {
        for (std::size_t f = 0; f < way.size(); ++f) {
            if (way[f] != kOpen) continue;
            std::optional<std::size_t> best;
            std::uint32_t chosen = 0;
            for (std::uint32_t value = options_[f]; value-- > 0;) {
                way[f] = value;
                const std::size_t brings = fresh_with(way, f);
                if ((!best || brings > *best) && possible(way)) best = brings, chosen = value;
            }
            way[f] = chosen;
        }
    }
    [[nodiscard]] std::size_t fresh_with(const Values& way, std::size_t f) const {
        std::size_t fresh = 0;
        for (std::size_t other = 0; other < way.size(); ++other) {
            if (other != f && way[other] != kOpen && !covered_.has(f, way[f], other, way[other])) ++fresh;
        }
        return fresh;
    }

    const Items& items_;
    std::vector<std::uint32_t> options_;
    Pairs covered_;
    std::vector<Values> ways_;
};

std::vector<std::string> keys_of(const course::CourseBook& book,
                                 const std::vector<course::SurfaceId>& surfaces) {
    std::vector<std::string> keys;
    for (const course::SurfaceId id : surfaces) {
        const std::string& key = book.surface(id).key;
        if (std::find(keys.begin(), keys.end(), key) == keys.end()) keys.push_back(key);
    }
    return keys;
}

std::optional<std::uint32_t> place_in(const std::vector<std::string>& keys, const std::string& key) {
    const auto found = std::find(keys.begin(), keys.end(), key);
    if (found == keys.end()) return std::nullopt;
    return static_cast<std::uint32_t>(found - keys.begin());
}

std::optional<Values> values_of(const Ways& ways, const Way& way) {
    const auto start = place_in(ways.starts, way.start);
    const auto landing = place_in(ways.landings, way.landing);
    if (!start || !landing) return std::nullopt;
    Values values{*start, *landing};
    for (const std::string& item : ways.optional_items)
        values.push_back(std::count(way.items.begin(), way.items.end(), item) > 0 ? 1 : 0);
    return values;
}

Way way_of(const Ways& ways, std::uint32_t start, std::uint32_t landing, std::vector<std::string> items) {
    std::sort(items.begin(), items.end());
    return {ways.starts[start], ways.landings[landing], std::move(items)};
}

void list_every(Ways& ways, const Items& items, const Choices& choices) {
    for (std::uint32_t start = 0; start < ways.starts.size(); ++start) {
        for (std::uint32_t landing = 0; landing < ways.landings.size(); ++landing) {
            for (const std::vector<Use>& uses : choices.kept()) {
                std::vector<std::string> used;
                for (const std::size_t item : items.choices()) {
                    if (uses[item] == Use::used) used.push_back(items.key(item));
                }
                ways.ways.push_back(way_of(ways, start, landing, std::move(used)));
            }
        }
    }
}

void list_cover(Ways& ways, const Items& items) {
    ways.every = false;
    const Cover cover(items, static_cast<std::uint32_t>(ways.starts.size()),
                      static_cast<std::uint32_t>(ways.landings.size()));
    for (const Values& values : cover.ways()) {
        std::vector<std::string> used;
        for (std::size_t i = 0; i < ways.optional_items.size(); ++i) {
            if (values[i + 2] == 1) used.push_back(ways.optional_items[i]);
        }
        ways.ways.push_back(way_of(ways, values[0], values[1], std::move(used)));
    }
}

}  // namespace

Ways ways_of(const course::CourseBook& book, course::StationId id, std::size_t most) {
    const course::Station& station = book.station(id);
    Ways ways;
    ways.starts = keys_of(book, station.start);
    ways.landings = keys_of(book, station.landing.surfaces);
    if (ways.landings.empty()) ways.landings.emplace_back();
    const Items items(book, station);
    for (const std::size_t item : items.choices())
        ways.optional_items.push_back(items.key(item));
    if (ways.starts.empty()) return ways;
    const Choices choices(items, most);
    const auto places = static_cast<std::int64_t>(ways.starts.size() * ways.landings.size());
    ways.counted = choices.all() && choices.count() <= kMostCountedWays / places;
    ways.count = std::min(choices.count(), kMostCountedWays / places) * places;
    if (ways.counted && ways.count <= static_cast<std::int64_t>(most))
        list_every(ways, items, choices);
    else
        list_cover(ways, items);
    return ways;
}

std::vector<bool> still_unproven(const Ways& ways, const std::vector<Way>& cleared) {
    std::vector<bool> open;
    Pairs shown;
    if (!ways.every) {
        for (const Way& way : cleared) {
            if (const auto values = values_of(ways, way)) shown.add(*values);
        }
    }
    for (const Way& way : ways.ways) {
        const bool done = std::find(cleared.begin(), cleared.end(), way) != cleared.end();
        // A way that is proposed brings its pairs, so that later ones need not.
        open.push_back(!done && (ways.every || shown.add(*values_of(ways, way))));
    }
    return open;
}

}  // namespace plumbmark::study
