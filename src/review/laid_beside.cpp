#include "review/laid_beside.h"

#include <algorithm>
#include <utility>

#include "base/worded.h"
#include "review/compare_runs.h"
#include "review/study_runs.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::Sentence;
using base::worded;
using What = study::Alignable::What;

Error cancelled() {
    return {Category::cancelled, worded("Laying the run open was stopped."), ""};
}

class Laying {
  public:
    Laying(const meet::State& state, const std::filesystem::path& file, const std::function<bool()>& stopped)
        : state_(state), study_(state, file), stopped_(stopped) {}

    Result<LaidBeside> one(meet::RunId run) {
        const Result<Opened> mine = study_.open(run);
        if (!mine) return mine.error();
        std::vector<Group> groups;
        groups.push_back({report::Reference::Kind::own_best, worded("the athlete's other runs"),
                          opened_of(other_runs_of(state_, run))});
        const std::string& key = state_.runs().at(run).division;
        if (!key.empty()) {
            if (const auto ids = runs_of_division(state_, key, run)) {
                const Sentence name = worded("division {}", key);
                auto runs = opened_of(*ids);
                groups.push_back({report::Reference::Kind::group_best, name, runs});
                if (runs.size() > 1)
                    groups.push_back({report::Reference::Kind::group_median, name, std::move(runs)});
            }
        }
        if (stop()) return cancelled();
        return LaidBeside{compare_one(*mine, groups), {}, std::move(lacked_)};
    }

    Result<LaidBeside> two(const LaidBesideWish& wish) {
        Align align;
        if (!wish.align.empty()) {
            const Result<Align> read = read_align(wish.align);
            if (!read) return read.error();
            align = *read;
        }
        const Result<Opened> a = study_.open(wish.run);
        if (!a) return a.error();
        const Result<Opened> b = study_.open(wish.other);
        if (!b) return b.error();
        if (stop()) return cancelled();
        auto document = compare_two(*a, *b, align);
        if (!document) return document.error();
        return LaidBeside{std::move(*document), can_lie_at(**a, **b), {}};
    }

  private:
    [[nodiscard]] bool stop() const { return stopped_ && stopped_(); }

    std::vector<Opened> opened_of(const std::vector<meet::RunId>& ids) {
        std::vector<Opened> runs;
        for (const meet::RunId id : ids) {
            if (stop()) break;
            Result<Opened> open = study_.open(id);
            if (open)
                runs.push_back(std::move(*open));
            else if (const Sentence said = Sentence(open.error().text(), open.error().spoken());
                     std::find(lacked_.begin(), lacked_.end(), said) == lacked_.end())
                lacked_.push_back(said);  // a run may be the athlete's and of the division
        }
        return runs;
    }

    static std::vector<LaidAt> can_lie_at(const report::LaidOpen& a, const report::LaidOpen& b) {
        const auto in_a = study::alignable(a.run), in_b = study::alignable(b.run);
        const auto has_start = [](const std::vector<study::Alignable>& all) {
            return std::any_of(all.begin(), all.end(),
                               [](const auto& one) { return one.what == What::start; });
        };
        std::vector<LaidAt> all;
        if (has_start(in_a) && has_start(in_b)) all.push_back({"start", worded("the start")});
        for (const study::Alignable& one : in_a) {
            if (one.what != What::station) continue;
            const course::Station& station = a.book->station(one.station);
            const bool there = std::any_of(in_b.begin(), in_b.end(), [&](const study::Alignable& other) {
                return other.what == What::station && b.book->station(other.station).key == station.key;
            });
            if (there) all.push_back({"station:" + station.key, worded("the beginning of {}", station.name)});
        }
        const auto take_offs = [](const std::vector<study::Alignable>& of) {
            return std::count_if(of.begin(), of.end(),
                                 [](const auto& one) { return one.what == What::take_off; });
        };
        const auto both = std::min(take_offs(in_a), take_offs(in_b));
        std::int64_t n = 0;
        for (const study::Alignable& one : in_a) {
            if (one.what != What::take_off || ++n > both) continue;
            all.push_back({"take-off:" + std::to_string(n),
                           worded("take-off {}, '{}'", n, report::event_of(a, one.mark))});
        }
        return all;
    }

    const meet::State& state_;
    RunStudy study_;
    const std::function<bool()>& stopped_;
    std::vector<Sentence> lacked_;
};

ruling::ClipIndex index_of(std::size_t clip) {
    return ruling::ClipIndex{static_cast<std::int64_t>(clip)};
}

std::optional<base::Time> on_clip(const study::StudiedRun& run, std::size_t clip, ruling::MarkId mark) {
    if (clip >= run.evidence.clips.size()) return std::nullopt;
    return study::likely_time(run, index_of(clip), mark);
}

}  // namespace

Result<LaidBeside> laid_beside(const meet::State& state, const std::filesystem::path& file,
                               const LaidBesideWish& wish, const std::function<bool()>& stopped) {
    if (!state.runs().count(wish.run) || (wish.other.valid() && !state.runs().count(wish.other)))
        return Error{Category::not_found, worded("This run is not in the meet any more."), ""};
    Laying laying(state, file, stopped);
    return wish.other.valid() ? laying.two(wish) : laying.one(wish.run);
}

std::optional<study::TimeMap> together(const report::CompareDocument& document, std::size_t clip_a,
                                       std::size_t clip_b, Together how) {
    if (document.runs.size() != 2 || !document.two || !document.two->anchor) return std::nullopt;
    const study::StudiedRun& a = document.runs[0]->run;
    const study::StudiedRun& b = document.runs[1]->run;
    if (clip_a >= a.evidence.clips.size() || clip_b >= b.evidence.clips.size()) return std::nullopt;
    const report::Anchor& anchor = *document.two->anchor;
    if (how == Together::same_moment)
        return study::same_moment(a, index_of(clip_a), b, index_of(clip_b), {anchor.a, anchor.b, {}});
    std::vector<study::SameEvent> same;
    for (const study::CurvePoint& point : document.two->curve)
        same.push_back(point.event);
    study::TimeMap map = study::same_phase(a, index_of(clip_a), b, index_of(clip_b), same);
    // Without an instant in common it would lay one clock over the other, which says nothing.
    if (map.matched().empty()) return std::nullopt;
    return map;
}

std::optional<base::Time> anchor_time(const report::CompareDocument& document, std::size_t clip_a) {
    if (document.runs.size() != 2 || !document.two || !document.two->anchor) return std::nullopt;
    return on_clip(document.runs[0]->run, clip_a, document.two->anchor->a);
}

std::optional<base::Time> other_anchor_time(const report::CompareDocument& document, std::size_t clip_b) {
    if (document.runs.size() != 2 || !document.two || !document.two->anchor) return std::nullopt;
    return on_clip(document.runs[1]->run, clip_b, document.two->anchor->b);
}

}  // namespace plumbmark::review
