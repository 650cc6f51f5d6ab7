// Which events of two runs are the same: a longest common subsequence, station by station.
#include <algorithm>
#include <limits>
#include <map>
#include <optional>
#include <tuple>
#include <utility>

#include "study/compare.h"
#include "study/same_contacts.h"

namespace plumbmark::study {
namespace {

using course::Part;

constexpr std::size_t kAllPairs = 4'000'000;  ///< of events of a station that are all tried
constexpr std::int64_t kBand = 500;           ///< else: how far from the diagonal

/// What an event is, whichever run it is of.
struct Kind {
    enum class What : std::uint8_t { start, touch, leave, cross, back } what = What::start;
    std::int64_t of = -1;  ///< surface or plane
    int limb = 0;          ///< hands, feet, other, loose; the whole athlete
    friend bool operator==(const Kind&, const Kind&) = default;
};

struct Event {
    ruling::MarkId mark;
    Kind kind;
    int part = -1;
    std::int64_t place = 0;
    std::size_t station = 0;
};

int limb_of(Part part) {
    if (course::kHands.has(part)) return 0;
    if (course::kFeet.has(part)) return 1;
    return part == Part::other ? 2 : 3;
}

std::optional<Event> event_of(const ruling::Mark& mark) {
    if (mark.possible || mark.alternatives.size() != 1) return std::nullopt;
    const ruling::Happening& what = mark.alternatives.front();
    Event event;
    event.mark = mark.id;
    if (const auto* touch = std::get_if<ruling::Touch>(&what)) {
        event.kind = {Kind::What::touch, touch->surface.value, limb_of(touch->part)};
        event.part = static_cast<int>(touch->part);
    } else if (const auto* left = std::get_if<ruling::Release>(&what)) {
        event.kind = {Kind::What::leave, left->surface.value, limb_of(left->part)};
        event.part = static_cast<int>(left->part);
    } else if (const auto* cross = std::get_if<ruling::Cross>(&what)) {
        const bool back = cross->direction == ruling::Direction::back;
        event.kind = {back ? Kind::What::back : Kind::What::cross, cross->plane.value,
                      cross->part ? limb_of(*cross->part) : 4};
        event.part = cross->part ? static_cast<int>(*cross->part) : -1;
    } else {
        const auto* signal = std::get_if<ruling::Signal>(&what);
        if (signal == nullptr || signal->kind != ruling::SignalKind::start_given) return std::nullopt;
    }
    return event;
}

/// Where the station likely begins in the run; none where no world reaches it.
std::optional<std::int64_t> begins(const StudiedRun& run, std::size_t k) {
    std::optional<std::int64_t> place;
    if (k >= run.moments.size()) return place;
    for (const ruling::SettledBy& way : run.moments[k].begins) {
        if (!way.mark.valid()) continue;
        const std::int64_t here = run.spans.likely_place(run.spans.sightings(way.mark)) + way.later.ns;
        place = place ? std::max(*place, here) : here;
    }
    return place;
}

/// In likely order, with the station that each is in: of those that both runs reach, the last that has begun.
std::vector<Event> events_of(const StudiedRun& run, const StudiedRun& other) {
    std::vector<Event> events;
    for (const ruling::Mark& mark : run.evidence.marks) {
        std::optional<Event> event = event_of(mark);
        if (!event) continue;
        event->place = run.spans.likely_place(run.spans.sightings(mark.id));
        events.push_back(*event);
    }
    std::stable_sort(events.begin(), events.end(), [](const Event& a, const Event& b) {
        return std::tuple(a.place, a.kind.what, a.kind.of, a.kind.limb, a.part) <
               std::tuple(b.place, b.kind.what, b.kind.of, b.kind.limb, b.part);
    });
    for (std::size_t k = 0; k < run.moments.size(); ++k) {
        const auto here = begins(run, k);
        if (!here || !begins(other, k)) continue;
        for (Event& event : events) {
            if (event.place >= *here) event.station = k + 1;
        }
    }
    return events;
}

/// The most events in common of two stretches; among those, the most by the same hand or foot.
class Common {
  public:
    Common(std::span<const Event> a, std::span<const Event> b) : a_(a), b_(b) {
        const bool all = a.size() * b.size() <= kAllPairs;
        band_ = all ? static_cast<std::int64_t>(b.size()) : kBand;
        width_ = static_cast<std::size_t>(2 * band_ + 1);
        ways_.assign((a.size() + 1) * width_, Way::end);
    }

    std::vector<std::pair<std::size_t, std::size_t>> find() {
        if (a_.empty() || b_.empty()) return {};
        std::vector<std::int64_t> before, now;
        for (std::size_t i = 0; i <= a_.size(); ++i) {
            now.assign(width_, kOutside);
            for (std::int64_t j = std::max<std::int64_t>(0, middle(i) - band_);
                 j <= std::min<std::int64_t>(static_cast<std::int64_t>(b_.size()), middle(i) + band_); ++j)
                fill(i, j, before, now);
            std::swap(before, now);
        }
        return way_back();
    }

  private:
    enum class Way : std::uint8_t { end, both, over_a, over_b };
    static constexpr std::int64_t kOutside = -1;
    static constexpr std::int64_t kOne = std::int64_t{1}
                                         << 24;  // a match; one by the same part counts 1 more

    [[nodiscard]] std::int64_t middle(std::size_t i) const {
        return static_cast<std::int64_t>(i) * static_cast<std::int64_t>(b_.size()) /
               static_cast<std::int64_t>(a_.size());
    }
    [[nodiscard]] bool in_band(std::size_t i, std::int64_t j) const {
        return j >= 0 && middle(i) - band_ <= j && j <= middle(i) + band_;
    }
    [[nodiscard]] std::size_t column(std::size_t i, std::int64_t j) const {
        return static_cast<std::size_t>(j - middle(i) + band_);
    }
    void fill(std::size_t i, std::int64_t j, const std::vector<std::int64_t>& before,
              std::vector<std::int64_t>& now) {
        std::int64_t best = i == 0 && j == 0 ? 0 : kOutside;
        Way way = Way::end;
        const auto offer = [&](std::int64_t score, Way by) {
            if (score <= best) return;
            best = score;
            way = by;
        };
        if (i > 0 && in_band(i - 1, j - 1)) {
            const Event& a = a_[i - 1];
            const Event& b = b_[static_cast<std::size_t>(j) - 1];
            const std::int64_t so_far = before[column(i - 1, j - 1)];
            if (so_far != kOutside && a.kind == b.kind)
                offer(so_far + kOne + (a.part == b.part ? 1 : 0), Way::both);
        }
        if (i > 0 && in_band(i - 1, j)) offer(before[column(i - 1, j)], Way::over_a);
        if (in_band(i, j - 1)) offer(now[column(i, j - 1)], Way::over_b);
        now[column(i, j)] = best;
        ways_[i * width_ + column(i, j)] = way;
    }
    [[nodiscard]] std::vector<std::pair<std::size_t, std::size_t>> way_back() const {
        std::vector<std::pair<std::size_t, std::size_t>> common;
        std::size_t i = a_.size();
        auto j = static_cast<std::int64_t>(b_.size());
        while (true) {
            const Way way = ways_[i * width_ + column(i, j)];
            if (way == Way::end) break;
            if (way == Way::both) common.emplace_back(i - 1, static_cast<std::size_t>(j) - 1);
            i -= way == Way::over_b ? 0 : 1;
            j -= way == Way::over_a ? 0 : 1;
        }
        std::reverse(common.begin(), common.end());
        return common;
    }

    std::span<const Event> a_, b_;
    std::int64_t band_ = 0;
    std::size_t width_ = 0;
    std::vector<Way> ways_;
};

/// Of each leaving, the touch that began its contact; none: nothing shows one.
std::map<ruling::MarkId, std::optional<ruling::MarkId>> begun_by(const StudiedRun& run) {
    std::map<ruling::MarkId, std::optional<ruling::MarkId>> begun;
    std::map<std::pair<int, std::int64_t>, ruling::MarkId> on;  // by part and surface
    for (const Event& event : events_of(run, run)) {
        const std::pair contact(event.part, event.kind.of);
        if (event.kind.what == Kind::What::touch) {
            on[contact] = event.mark;
        } else if (event.kind.what == Kind::What::leave) {
            const auto touch = on.find(contact);
            begun[event.mark] = touch == on.end() ? std::nullopt : std::optional(touch->second);
            if (touch != on.end()) on.erase(touch);
        }
    }
    return begun;
}

}  // namespace

std::vector<SameEvent> of_same_contacts(const StudiedRun& a, const StudiedRun& b,
                                        const std::vector<SameEvent>& same) {
    const auto begun_a = begun_by(a), begun_b = begun_by(b);
    std::map<ruling::MarkId, ruling::MarkId> partner;
    for (const SameEvent& event : same)
        partner[event.a] = event.b;
    std::vector<SameEvent> kept;
    for (const SameEvent& event : same) {
        const auto in_a = begun_a.find(event.a), in_b = begun_b.find(event.b);
        if (in_a != begun_a.end() && in_b != begun_b.end()) {
            const auto& touch_a = in_a->second;
            const auto& touch_b = in_b->second;
            if (touch_a.has_value() != touch_b.has_value()) continue;
            if (touch_a) {
                const auto there = partner.find(*touch_a);
                if (there == partner.end() || there->second != *touch_b) continue;
            }
        }
        kept.push_back(event);
    }
    return kept;
}

std::vector<SameEvent> same_events(const StudiedRun& a, const StudiedRun& b) {
    const std::vector<Event> of_a = events_of(a, b), of_b = events_of(b, a);
    std::vector<SameEvent> same;
    std::size_t from_a = 0, from_b = 0;
    for (std::size_t station = 0; station <= a.moments.size(); ++station) {
        const auto end_of = [station](const std::vector<Event>& events, std::size_t from) {
            while (from < events.size() && events[from].station <= station)
                ++from;
            return from;
        };
        const std::size_t to_a = end_of(of_a, from_a), to_b = end_of(of_b, from_b);
        const std::span part_a = std::span(of_a).subspan(from_a, to_a - from_a);
        const std::span part_b = std::span(of_b).subspan(from_b, to_b - from_b);
        for (const auto& [i, j] : Common(part_a, part_b).find()) {
            const course::StationId in = station == 0
                                             ? course::StationId{}
                                             : course::StationId{static_cast<std::int64_t>(station) - 1};
            same.push_back({part_a[i].mark, part_b[j].mark, in});
        }
        from_a = to_a;
        from_b = to_b;
    }
    return same;
}

}  // namespace plumbmark::study
