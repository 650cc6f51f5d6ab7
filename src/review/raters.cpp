#include "review/raters.h"

#include <algorithm>
#include <cstdlib>
#include <map>
#include <tuple>
#include <utility>
#include <vector>

#include "base/worded.h"
#include "review/documents.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
using meet::EventKind;
using ruling::Verdict;

bool same_footage(const meet::Clip& a, const meet::Clip& b) {
    if (a.streams.video != b.streams.video) return false;
    if (a.content && b.content) return a.content->sha256 == b.content->sha256;
    return !a.fingerprint.empty() && a.fingerprint == b.fingerprint;
}

/// Clips of A's run by those of B's that are the same.
std::map<meet::ClipId, meet::ClipId> clips_in_common(const Rater& a, const Rater& b) {
    std::map<meet::ClipId, meet::ClipId> common;
    for (const meet::ClipId of_b : b.state.runs().at(b.run).clips) {
        for (const meet::ClipId of_a : a.state.runs().at(a.run).clips) {
            if (same_footage(a.state.clips().at(of_a), b.state.clips().at(of_b))) {
                common.emplace(of_b, of_a);
                break;
            }
        }
    }
    return common;
}

/// What a mark must have in common with another to be taken for the same event; not the surface.
using Alike = std::tuple<EventKind, int, std::string, int, int>;

struct Seen {
    Alike alike;
    std::string surface;
    std::map<meet::ClipId, std::int64_t> late;  ///< frame, by A's clips
};

struct Marked {
    std::vector<Seen> marks;
    std::int64_t left_out = 0;
};

/// 'clip_of': A's clip for one of this rater's; none where the other does not have it.
template <class ClipOf>
Marked marked_by(const Rater& rater, const ClipOf& clip_of) {
    Marked marked;
    for (const meet::Mark& mark : rater.state.marks_of(rater.run)) {
        const meet::Event& event = mark.alternatives.front();
        if (event.kind == EventKind::moment) continue;  // no event of the run
        Seen seen;
        for (const meet::Sighting& sighting : mark.sightings) {
            const auto clip = clip_of(sighting.clip);
            if (clip && sighting.late) seen.late[*clip] = sighting.late->number;
        }
        if (mark.possible || mark.alternatives.size() > 1 || seen.late.empty()) {
            ++marked.left_out;
            continue;
        }
        seen.alike = {event.kind, event.part ? static_cast<int>(*event.part) : -1, event.plane,
                      static_cast<int>(event.direction),
                      event.kind == EventKind::signal       ? static_cast<int>(event.signal)
                      : event.kind == EventKind::infraction ? static_cast<int>(event.infraction)
                                                            : 0};
        const bool contact = event.kind == EventKind::touch || event.kind == EventKind::release;
        if (contact) seen.surface = event.surface.empty() ? "undeclared" : event.surface;
        marked.marks.push_back(std::move(seen));
    }
    return marked;
}

struct Pair {
    std::size_t a, b;
    std::int64_t frame_a, frame_b;
};

/// The first clip on which both were seen.
std::optional<std::pair<std::int64_t, std::int64_t>> frames_of(const Seen& a, const Seen& b) {
    for (const auto& [clip, frame] : a.late) {
        if (const auto there = b.late.find(clip); there != b.late.end())
            return std::pair(frame, there->second);
    }
    return std::nullopt;
}

std::vector<Pair> pairs_of(const std::vector<Seen>& a, const std::vector<Seen>& b) {
    std::vector<Pair> near;
    for (std::size_t i = 0; i < a.size(); ++i) {
        for (std::size_t j = 0; j < b.size(); ++j) {
            if (a[i].alike != b[j].alike) continue;
            const auto frames = frames_of(a[i], b[j]);
            if (frames && std::abs(frames->first - frames->second) <= kFramesApart)
                near.push_back({i, j, frames->first, frames->second});
        }
    }
    std::stable_sort(near.begin(), near.end(), [](const Pair& x, const Pair& y) {
        return std::abs(x.frame_a - x.frame_b) < std::abs(y.frame_a - y.frame_b);
    });
    std::vector<bool> used_a(a.size()), used_b(b.size());
    std::vector<Pair> pairs;
    for (const Pair& pair : near) {
        if (used_a[pair.a] || used_b[pair.b]) continue;
        used_a[pair.a] = used_b[pair.b] = true;
        pairs.push_back(pair);
    }
    return pairs;
}

/// Counts of both raters' categories, in the order in which the categories came.
class Ratings {
  public:
    void add(const std::string& a, const std::string& b) { all_.emplace_back(place(a), place(b)); }
    [[nodiscard]] bool empty() const { return all_.empty(); }
    [[nodiscard]] const std::vector<std::string>& keys() const { return keys_; }
    [[nodiscard]] study::RatingTable table() const {
        study::RatingTable table(keys_.size(), std::vector<std::int64_t>(keys_.size()));
        for (const auto& [a, b] : all_)
            ++table[a][b];
        return table;
    }

  private:
    std::size_t place(const std::string& key) {
        const auto found = std::find(keys_.begin(), keys_.end(), key);
        if (found != keys_.end()) return static_cast<std::size_t>(found - keys_.begin());
        keys_.push_back(key);
        return keys_.size() - 1;
    }

    std::vector<std::string> keys_;
    std::vector<std::pair<std::size_t, std::size_t>> all_;
};

Result<std::optional<study::Kappa>> kappa_of(const Ratings& ratings, double confidence) {
    if (ratings.empty()) return std::optional<study::Kappa>();
    Result<study::Kappa> kappa = study::kappa(ratings.table(), study::Weights::none, confidence);
    if (!kappa) return kappa.error();
    return std::optional(*kappa);
}

Result<void> compare_verdicts(const Rater& a, const Rater& b, double confidence,
                              report::RatersDocument& document) {
    Ratings ratings;
    for (const study::StationFigures& figures : a.open.run.figures.stations) {
        const course::Station& station = a.open.book->station(figures.station);
        const course::StationId there = b.open.book->find_station(station.key);
        if (!there.valid()) continue;
        const Verdict other = b.open.run.figures.stations[static_cast<std::size_t>(there.value)].verdict;
        document.stations.push_back({station.key, station.name, figures.verdict, other});
        ratings.add(ruling::verdict_key(figures.verdict), ruling::verdict_key(other));
    }
    auto kappa = kappa_of(ratings, confidence);
    if (!kappa) return kappa.error();
    document.verdicts = *kappa;
    document.verdict_keys = ratings.keys();
    document.verdict_table = ratings.table();
    return {};
}

Result<void> compare_marks(const Marked& a, const Marked& b, double confidence,
                           report::RatersDocument& document) {
    Ratings surfaces;
    std::vector<study::MomentPair> moments;
    std::vector<bool> paired_a(a.marks.size()), paired_b(b.marks.size());
    for (const Pair& pair : pairs_of(a.marks, b.marks)) {
        paired_a[pair.a] = paired_b[pair.b] = true;
        moments.push_back({pair.frame_a, pair.frame_b});
        if (!a.marks[pair.a].surface.empty()) surfaces.add(a.marks[pair.a].surface, b.marks[pair.b].surface);
    }
    for (std::size_t i = 0; i < a.marks.size(); ++i) {
        if (!paired_a[i]) moments.push_back({a.marks[i].late.begin()->second, std::nullopt});
    }
    for (std::size_t i = 0; i < b.marks.size(); ++i) {
        if (!paired_b[i]) moments.push_back({std::nullopt, b.marks[i].late.begin()->second});
    }
    auto kappa = kappa_of(surfaces, confidence);
    if (!kappa) return kappa.error();
    document.surfaces = *kappa;
    document.surface_keys = surfaces.keys();
    document.surface_table = surfaces.table();
    document.moments = study::agreement_of_moments(moments, document.tolerance);
    return {};
}

}  // namespace

Result<report::RatersDocument> raters(const Rater& a, const Rater& b, std::int64_t tolerance,
                                      double confidence) {
    const std::map<meet::ClipId, meet::ClipId> common = clips_in_common(a, b);
    if (common.empty())
        return Error{Category::bad_input,
                     worded("{} and {} are not of the same footage: no clip of the one has the content of a "
                            "clip of the other.",
                            a.open.name.label, b.open.name.label),
                     "--raters"};
    report::RatersDocument document;
    document.program_version = program_version();
    document.a = a.open.name;
    document.b = b.open.name;
    document.tolerance = tolerance;
    document.frames_apart = kFramesApart;
    std::map<meet::ClipId, bool> of_a;
    for (const auto& [clip_b, clip_a] : common)
        of_a[clip_a] = true;
    for (const meet::ClipId clip : a.state.runs().at(a.run).clips) {
        if (of_a.count(clip) > 0) document.clips.push_back(a.state.clips().at(clip).name);
    }
    const Marked by_a = marked_by(
        a, [&](meet::ClipId clip) { return of_a.count(clip) > 0 ? std::optional(clip) : std::nullopt; });
    const Marked by_b = marked_by(b, [&](meet::ClipId clip) {
        const auto found = common.find(clip);
        return found != common.end() ? std::optional(found->second) : std::nullopt;
    });
    document.left_out = by_a.left_out + by_b.left_out;
    if (auto told = compare_verdicts(a, b, confidence, document); !told) return told.error();
    if (auto told = compare_marks(by_a, by_b, confidence, document); !told) return told.error();
    if (document.verdicts && document.verdicts->rated < 30)
        document.notes.push_back(worded("Kappa over {} stations says little; its interval is meant for many.",
                                        document.verdicts->rated));
    return document;
}

}  // namespace plumbmark::review
