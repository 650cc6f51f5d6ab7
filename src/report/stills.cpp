#include "report/stills.h"

#include <algorithm>

#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

constexpr std::size_t kMostPairsWhereNothingDecided = 2;
/// Where a station is contested, CLEAR stations only fill up its row of the sheet.
constexpr std::size_t kClearPairsFillUpTo = 2;

/// Collects pairs without repeats up to the most a sheet takes.
class Chooser {
  public:
    explicit Chooser(const RulingDocument& document) : document_(document) {}

    void add_deciding(const ruling::StationRuling& station) {
        if (const auto shown = deciding(station))
            add(station, *shown, station.deciding_mark);
        else if (station.verdict == ruling::Verdict::not_shown)
            add_undecided(station);
    }

    /// The same events as seen on the other clips.
    void add_other_clips(const ruling::StationRuling& station) {
        const std::vector<StillPair> so_far = pairs_;
        for (const StillPair& pair : so_far) {
            const ruling::Mark* mark = pair.station_key == key_of(station) ? find(pair.mark) : nullptr;
            if (!mark) continue;
            for (const ruling::Sighting& sighting : mark->sightings)
                if (sighting.clip != pair.clip)
                    add(station, {sighting.clip, sighting.after, sighting.until}, pair.mark);
        }
    }

    [[nodiscard]] std::size_t size() const { return pairs_.size(); }
    [[nodiscard]] std::vector<StillPair> take() { return std::move(pairs_); }

  private:
    std::string key_of(const ruling::StationRuling& station) const {
        const auto index = static_cast<std::size_t>(station.station.value);
        return station.station.valid() && index < document_.book.stations.size()
                   ? document_.book.stations[index].key
                   : std::string();
    }

    const ruling::Mark* find(ruling::MarkId id) const {
        const auto& marks = document_.evidence.marks;
        const auto found =
            std::find_if(marks.begin(), marks.end(), [id](const auto& mark) { return mark.id == id; });
        return found == marks.end() ? nullptr : &*found;
    }

    std::optional<std::int64_t> frame(ruling::ClipIndex clip, const std::optional<base::Time>& t) const {
        return t ? frame_at(document_.evidence, clip, *t) : std::nullopt;
    }

    /// How many frames a sighting leaves open; sightings with an open end come last.
    std::int64_t width(const ruling::Sighting& sighting) const {
        const auto early = frame(sighting.clip, sighting.after);
        const auto late = frame(sighting.clip, sighting.until);
        return early && late ? *late - *early : INT64_MAX;
    }

    std::optional<ruling::Shown> tightest(ruling::MarkId id) const {
        const ruling::Mark* mark = find(id);
        if (!mark || mark->sightings.empty()) return std::nullopt;
        const auto best =
            std::min_element(mark->sightings.begin(), mark->sightings.end(),
                             [this](const auto& a, const auto& b) { return width(a) < width(b); });
        return ruling::Shown{best->clip, best->after, best->until};
    }

    std::optional<ruling::Shown> deciding(const ruling::StationRuling& station) const {
        return station.decided_at ? station.decided_at : tightest(station.deciding_mark);
    }

    bool add(const ruling::StationRuling& station, const ruling::Shown& shown, ruling::MarkId mark) {
        const StillPair pair{key_of(station), shown.clip, frame(shown.clip, shown.after),
                             frame(shown.clip, shown.until), mark};
        const bool empty = !pair.before && !pair.after;
        const bool repeat = std::any_of(pairs_.begin(), pairs_.end(), [&pair](const StillPair& known) {
            return known.clip == pair.clip && known.before == pair.before && known.after == pair.after;
        });
        if (empty || repeat || pairs_.size() >= kMostStillPairs) return false;
        pairs_.push_back(pair);
        return true;
    }

    /// Where nothing decided, what the steps that would settle it look at; else the last seen event of each
    /// world.
    void add_undecided(const ruling::StationRuling& station) {
        std::size_t added = 0;
        const auto try_add = [&](const std::optional<ruling::Shown>& shown, ruling::MarkId mark) {
            if (shown && added < kMostPairsWhereNothingDecided && add(station, *shown, mark)) ++added;
        };
        for (const ruling::SettleStep& step : station.settle) {
            for (const ruling::MarkId mark : step.marks)
                try_add(tightest(mark), mark);
            if (step.marks.empty()) try_add(step.where, ruling::MarkId{});
        }
        if (added > 0) return;
        for (const ruling::World& world : station.worlds) {
            const auto seen = std::find_if(world.events.rbegin(), world.events.rend(), [](const auto& event) {
                return !event.unseen && event.mark.valid();
            });
            if (seen != world.events.rend()) try_add(tightest(seen->mark), seen->mark);
        }
    }

    const RulingDocument& document_;
    std::vector<StillPair> pairs_;
};

/// Smaller is more pressing; unlimited and unstated margins come last.
std::int64_t margin_frames(const ruling::StationRuling& station) {
    return station.margin && !station.margin->unlimited ? station.margin->frames : INT64_MAX;
}

}  // namespace

std::vector<StillPair> choose_stills(const RulingDocument& document) {
    std::vector<const ruling::StationRuling*> pressing, contested, clear;
    for (const ruling::StationRuling& station : document.ruling.stations) {
        if (under_appeal(document, station.station))
            pressing.push_back(&station);
        else if (station.verdict == ruling::Verdict::fail || station.verdict == ruling::Verdict::not_shown)
            contested.push_back(&station);
        else if (station.verdict == ruling::Verdict::clear)
            clear.push_back(&station);
    }
    pressing.insert(pressing.end(), contested.begin(), contested.end());
    std::stable_sort(clear.begin(), clear.end(),
                     [](const auto* a, const auto* b) { return margin_frames(*a) < margin_frames(*b); });

    Chooser chooser(document);
    for (const auto* station : pressing)
        chooser.add_deciding(*station);
    for (const auto* station : pressing)
        chooser.add_other_clips(*station);
    for (const auto* station : clear)
        if (pressing.empty() || chooser.size() < kClearPairsFillUpTo) chooser.add_deciding(*station);
    return chooser.take();
}

}  // namespace plumbmark::report
