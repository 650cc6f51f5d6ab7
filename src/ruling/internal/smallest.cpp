#include "ruling/internal/smallest.h"

#include <algorithm>

namespace plumbmark::ruling {
namespace {

using Items = std::vector<std::size_t>;

std::size_t size_of(const Kept& kept) {
    return static_cast<std::size_t>(std::count(kept.begin(), kept.end(), true));
}

/// The fewest items that meet every one of the sets, by trying each item of a set that is not met yet.
class HittingSet {
  public:
    HittingSet(const std::vector<Items>& sets, std::size_t items, std::size_t fewer_than)
        : sets_(sets), chosen_(items, false), fewer_than_(fewer_than) {}

    /// None where every one has as many items as allowed, or more.
    [[nodiscard]] std::optional<Kept> find() {
        choose(0);
        return best_;
    }

  private:
    void choose(std::size_t count) {
        const Items* unmet = smallest_unmet();
        if (!unmet) {
            fewer_than_ = count;
            best_ = chosen_;
            return;
        }
        if (count + at_least() >= fewer_than_) return;
        for (const std::size_t item : *unmet) {
            chosen_[item] = true;
            choose(count + 1);
            chosen_[item] = false;
            if (count + 1 >= fewer_than_) return;
        }
    }
    [[nodiscard]] bool is_met(const Items& set) const {
        return std::any_of(set.begin(), set.end(), [this](std::size_t item) { return chosen_[item]; });
    }
    [[nodiscard]] const Items* smallest_unmet() const {
        const Items* smallest = nullptr;
        for (const Items& set : sets_) {
            if (!is_met(set) && (!smallest || set.size() < smallest->size())) smallest = &set;
        }
        return smallest;
    }
    /// Sets without a common item need an item each.
    [[nodiscard]] std::size_t at_least() const {
        std::vector<bool> used(chosen_.size(), false);
        std::size_t apart = 0;
        for (const Items& set : sets_) {
            if (is_met(set) || std::any_of(set.begin(), set.end(), [&](std::size_t i) { return used[i]; }))
                continue;
            for (const std::size_t item : set)
                used[item] = true;
            ++apart;
        }
        return apart;
    }

    const std::vector<Items>& sets_;
    Kept chosen_;
    std::size_t fewer_than_;
    std::optional<Kept> best_;
};

/// Adds of these items all that can be, in pieces.
void grow(Kept& kept, const Items& items, const Refused& refused) {
    if (items.empty()) return;
    Kept more = kept;
    for (const std::size_t item : items)
        more[item] = true;
    if (refused(more) == false) {
        kept = more;
        return;
    }
    if (items.size() == 1) return;
    const auto middle = items.begin() + static_cast<std::ptrdiff_t>(items.size() / 2);
    grow(kept, Items(items.begin(), middle), refused);
    grow(kept, Items(middle, items.end()), refused);
}

Items left_out_of(const Kept& kept) {
    Items items;
    for (std::size_t i = 0; i < kept.size(); ++i) {
        if (!kept[i]) items.push_back(i);
    }
    return items;
}

}  // namespace

Smallest smallest_refused(const Kept& known, const Refused& refused, int most_rounds) {
    std::vector<Items> to_meet;
    for (int round = 0; round < most_rounds; ++round) {
        std::optional<Kept> few = HittingSet(to_meet, known.size(), size_of(known)).find();
        if (!few) return {known, true};
        const std::optional<bool> is_refused = refused(*few);
        if (!is_refused) break;
        if (*is_refused) return {*few, true};
        grow(*few, left_out_of(*few), refused);
        to_meet.push_back(left_out_of(*few));
    }
    return {known, false};
}

}  // namespace plumbmark::ruling
