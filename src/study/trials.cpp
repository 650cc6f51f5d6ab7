#include "study/trials.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

#include "base/worded.h"
#include "study/internal/trial_questions.h"

namespace plumbmark::study {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::Sentence;
using base::worded;

void add(Tally& tally, const TrialResult& result) {
    ++tally.tried;
    tally.by_eye += result.by_eye ? 1 : 0;
    switch (result.came) {
        case TrialCame::cleared:
            ++tally.cleared;
            break;
        case TrialCame::failed:
            ++tally.failed;
            break;
        case TrialCame::not_shown:
            ++tally.not_shown;
            break;
    }
}

using ItemTuple = std::tuple<std::string, std::string, std::int64_t>;

std::vector<ItemTuple> sorted_items(const meet::RigState& rig) {
    std::vector<ItemTuple> items;
    for (const meet::RigItem& item : rig.items)
        items.emplace_back(item.what, item.where, item.height_mm ? *item.height_mm : -1);
    std::sort(items.begin(), items.end());
    return items;
}

Sentence item_words(const ItemTuple& item) {
    const auto& [what, where, height] = item;
    const std::string name = where.empty() ? what : what.empty() ? where : what + ", " + where;
    return height < 0 ? Sentence(name) : worded("{} at {} mm", name, height);
}

const meet::RigState* latest_rig(const StationTrials& trials, const std::string& station) {
    const meet::RigState* latest = nullptr;
    for (const meet::RigState& rig : trials.rigs) {
        if (rig.station == station && (latest == nullptr || latest->id < rig.id)) latest = &rig;
    }
    return latest;
}

const meet::RigState* find_rig(const StationTrials& trials, meet::RigId id) {
    const auto found = std::find_if(trials.rigs.begin(), trials.rigs.end(),
                                    [id](const meet::RigState& rig) { return rig.id == id; });
    return found == trials.rigs.end() ? nullptr : &*found;
}

/// Makes one station's report, step by step.
class Reporter {
  public:
    Reporter(const StationTrials& trials, const TrialsWish& wish) : trials_(trials), wish_(wish) {
        const course::Station& station = trials.book.station(trials.station);
        report_.key = station.key;
        report_.name = station.name;
        report_.definition = trials.definition;
        if (const meet::RigState* rig = latest_rig(trials, station.key)) report_.rig = *rig;
        report_.ways = ways_of(trials.book, trials.station);
        for (const TrialResult& result : trials.results) {
            if (counts(result))
                counted_.push_back(&result);
            else
                add(report_.set_aside, result);
        }
    }

    Result<StationReport> make() {
        matrix();
        Result<Rate> rate = study::rate(count_of(report_.all), wish_.confidence);
        if (!rate) return rate.error();
        report_.rate = *rate;
        if (Result<void> grouped = groups(); !grouped) return grouped.error();
        if (Result<void> looked = outlook(); !looked) return looked.error();
        report_.clauses = internal::clause_lines(trials_, counted_);
        report_.questions = internal::questions(trials_, report_, counted_);
        release();
        return std::move(report_);
    }

  private:
    [[nodiscard]] bool counts(const TrialResult& result) const {
        const bool defined = result.definition.empty() || result.definition == trials_.definition;
        const meet::RigState* rig = find_rig(trials_, result.rig);
        const bool rigged = !report_.rig || (rig != nullptr && rig_differences(*rig, *report_.rig).empty());
        return defined && rigged;
    }

    /// The way that a trial went, where it is known.
    [[nodiscard]] std::optional<Way> way_of(const TrialResult& result) const {
        Way way{result.start, result.landing, {}};
        if (way.landing.empty() && report_.ways.landings.size() == 1) way.landing = report_.ways.landings[0];
        if (way.landing.empty() && !report_.ways.landings[0].empty()) return std::nullopt;
        for (const std::string& item : result.items) {
            const auto& optional = report_.ways.optional_items;
            if (std::find(optional.begin(), optional.end(), item) != optional.end())
                way.items.push_back(item);
        }
        return way;
    }

    /// Of ways that are not listed: where all are, there are no others.
    [[nodiscard]] bool may_be_a_way(const Way& way) const {
        const auto has = [](const std::vector<std::string>& keys, const std::string& key) {
            return std::find(keys.begin(), keys.end(), key) != keys.end();
        };
        return !report_.ways.every && has(report_.ways.starts, way.start) &&
               has(report_.ways.landings, way.landing);
    }

    void matrix() {
        for (const Way& way : report_.ways.ways)
            report_.lines.push_back({way, {}, false});
        std::vector<Way> cleared;
        for (const TrialResult* result : counted_) {
            add(report_.all, *result);
            const std::optional<Way> way = way_of(*result);
            if (!way) {
                add(report_.elsewhere, *result);
                continue;
            }
            auto line = std::find_if(report_.lines.begin(), report_.lines.end(),
                                     [&](const WayLine& one) { return one.way == *way; });
            if (line == report_.lines.end() && !may_be_a_way(*way)) {
                add(report_.elsewhere, *result);
                continue;
            }
            if (line == report_.lines.end()) line = report_.lines.insert(line, {*way, {}, false});
            add(line->tally, *result);
            line->trials.push_back(result->id);
            if (result->came == TrialCame::cleared) cleared.push_back(*way);
        }
        const std::vector<bool> open = still_unproven(report_.ways, cleared);
        for (std::size_t i = 0; i < open.size(); ++i)
            report_.lines[i].unproven = open[i];
    }

    Result<void> groups() {
        using Key = std::tuple<GroupLine::By, std::int64_t, std::string>;
        std::map<Key, GroupLine> groups;
        constexpr std::int64_t kNotKnown = std::int64_t{1} << 40U;  // last
        for (const TrialResult* result : counted_) {
            const auto tester = trials_.testers.find(result->tester);
            const bool known = tester != trials_.testers.end();
            const auto stature = known ? tester->second.stature_mm : std::nullopt;
            const int from = stature ? *stature / kStatureStep * kStatureStep : 0;
            GroupLine& tall = groups[{GroupLine::By::stature, stature ? from : kNotKnown, ""}];
            tall.by = GroupLine::By::stature;
            tall.name = stature ? stature_words(from) : worded("stature not known");
            if (stature) tall.from_mm = from;
            add(tall.tally, *result);
            const std::string level = known ? tester->second.level : std::string();
            GroupLine& able = groups[{GroupLine::By::level, level.empty() ? kNotKnown : 0, level}];
            able.by = GroupLine::By::level;
            able.name = level.empty() ? worded("level not known") : Sentence(level);
            add(able.tally, *result);
        }
        for (auto& [key, group] : groups) {
            const Result<Rate> rate = study::rate(count_of(group.tally), wish_.confidence);
            if (!rate) return rate.error();
            group.rate = *rate;
            report_.groups.push_back(std::move(group));
        }
        return {};
    }
    static Sentence stature_words(int from) {
        constexpr double kMetre = 1000;
        return worded("{} m to under {} m tall", fmt::format("{:.2f}", from / kMetre),
                      fmt::format("{:.2f}", (from + kStatureStep) / kMetre));
    }

    Result<void> outlook() {
        if (!wish_.bound) return {};
        Wanted wanted;
        wanted.confidence = wish_.confidence;
        wanted.method = wish_.method;
        wanted.figure = *wish_.bound;
        const auto all = further_trials(count_of(report_.all), wanted);
        if (!all) return all.error();
        wanted.outlook = Outlook::as_so_far;
        const auto same = further_trials(count_of(report_.all), wanted);
        if (!same) return same.error();
        report_.if_all_clear = *all;
        report_.as_so_far = *same;
        return {};
    }

    void release() {
        ReleaseState& state = report_.release;
        for (const meet::Release& release : trials_.releases) {
            if (release.station != report_.key) continue;
            const auto order = [](const meet::Release& one) { return std::tuple(one.signed_at_ms, one.id); };
            if (!state.release || order(*state.release) < order(release)) state.release = release;
        }
        if (!state.release) return;
        state.definition_changed = state.release->definition != trials_.definition;
        if (state.definition_changed)
            state.changes.push_back(worded("The definition is another one than was released."));
        rig_since_release(state);
        if (state.definition_changed || state.rig_changed)
            state.standing = Standing::changed;
        else
            state.standing = report_.open().empty() ? Standing::proven : Standing::open;
    }
    void rig_since_release(ReleaseState& state) {
        if (!report_.rig || report_.rig->id == state.release->rig) return;
        state.rig_changed = true;
        state.changes.push_back(worded("The rig was written down anew since the release."));
        const meet::RigState* then = find_rig(trials_, state.release->rig);
        if (then == nullptr) return;
        const auto differences = rig_differences(*then, *report_.rig);
        state.changes.insert(state.changes.end(), differences.begin(), differences.end());
        if (differences.empty()) state.changes.push_back(worded("Its items are the same."));
    }

    const StationTrials& trials_;
    const TrialsWish& wish_;
    StationReport report_;
    std::vector<const TrialResult*> counted_;
};

}  // namespace

Sentence release_notice() {
    return worded(
        "A release proves that a station can be cleared as it is defined. It does not certify its structure, "
        "padding, fall height or rigging: those are for qualified inspection under the local codes.");
}

Count count_of(const Tally& tally) {
    return {tally.cleared, tally.cleared + tally.failed};
}

std::vector<Sentence> rig_differences(const meet::RigState& then, const meet::RigState& now) {
    std::vector<ItemTuple> before = sorted_items(then), after = sorted_items(now), gone, come;
    std::set_difference(before.begin(), before.end(), after.begin(), after.end(), std::back_inserter(gone));
    std::set_difference(after.begin(), after.end(), before.begin(), before.end(), std::back_inserter(come));
    std::vector<Sentence> all;
    for (const ItemTuple& item : gone)
        all.push_back(worded("No longer: {}.", item_words(item)));
    for (const ItemTuple& item : come)
        all.push_back(worded("New: {}.", item_words(item)));
    return all;
}

const char* standing_key(Standing standing) {
    switch (standing) {
        case Standing::never_released:
            return "never_released";
        case Standing::changed:
            return "changed";
        case Standing::open:
            return "open";
        case Standing::proven:
            return "proven";
    }
    return "";
}

std::vector<const Question*> StationReport::open() const {
    std::vector<const Question*> found;
    for (const Question& question : questions) {
        if (!question.closed) found.push_back(&question);
    }
    return found;
}

Result<StationReport> station_report(const StationTrials& trials, const TrialsWish& wish) {
    if (wish.bound && !(*wish.bound > 0 && *wish.bound < 1))
        return Error{Category::bad_input, worded("A bound for the rate lies between 0 and 1."), ""};
    return Reporter(trials, wish).make();
}

}  // namespace plumbmark::study
