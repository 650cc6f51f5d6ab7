#include "review/internal/trial_ruling.h"

#include <algorithm>

#include "base/worded.h"
#include "course/read.h"
#include "media/fingerprint.h"
#include "review/capture_time.h"
#include "review/competition.h"
#include "review/course_revision.h"
#include "review/trial_book.h"
#include "review/words.h"

namespace plumbmark::review::internal {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

/// Of surfaces that are declared out of play, too: those are ruled out in so many words.
std::set<std::string> named_surfaces(const course::CourseBook& book) {
    std::set<course::SurfaceId> ids = course::surfaces_named(book);
    for (const course::Division& division : book.divisions) {
        for (const course::Station& station : division.stations)
            ids.merge(course::surfaces_named(station));
    }
    for (const course::Lane& lane : book.lanes) {
        for (const auto& place : lane.surfaces)
            ids.insert(place.here);
    }
    std::set<std::string> keys;
    for (std::size_t i = 0; i < book.surfaces.size(); ++i) {
        const bool named = ids.count({static_cast<std::int64_t>(i)}) != 0 || book.surfaces[i].out_of_play;
        if (named) keys.insert(book.surfaces[i].key);
    }
    return keys;
}

/// What the marks of one run say of one station.
class Reading {
  public:
    Reading(const meet::State& state, const meet::Trial& trial, const course::CourseBook& book,
            course::StationId station, const ruling::StationRuling& ruling, const RunEvidence& evidence,
            const TableOf& table_of)
        : state_(state),
          trial_(trial),
          book_(book),
          station_(book.station(station)),
          ruling_(ruling),
          evidence_(evidence),
          table_of_(table_of) {}

    void put(const std::set<std::string>& named, study::TrialResult& result) const {
        for (const meet::Mark& mark : state_.marks_of(trial_.run)) {
            if (!within(mark)) continue;
            for (const meet::Event& event : mark.alternatives) {
                const bool touches =
                    event.kind == meet::EventKind::touch || event.kind == meet::EventKind::release;
                if (!touches || named.count(event.surface) != 0) continue;
                result.strays.push_back(
                    {mark.id, event.surface, mark_sentence(mark, &book_), still_of(mark.id)});
                break;
            }
        }
        put_way(result);
        put_still(result);
    }

  private:
    /// Not surely before the station began or after it was completed; on other clips nobody asks.
    [[nodiscard]] bool within(const meet::Mark& mark) const {
        const auto time_on = [&](const ruling::Shown& shown, const std::optional<meet::FrameRef>& frame,
                                 const meet::Sighting& sighting) -> std::optional<base::Time> {
            const meet::ClipId clip = evidence_.clips.at(static_cast<std::size_t>(shown.clip.value));
            if (sighting.clip != clip || !frame) return std::nullopt;
            return frame_time(state_.clips().at(clip), *frame);
        };
        for (const meet::Sighting& sighting : mark.sightings) {
            if (ruling_.begins_at && ruling_.begins_at->after) {
                const auto late = time_on(*ruling_.begins_at, sighting.late, sighting);
                if (late && *late <= *ruling_.begins_at->after) return false;
            }
            const auto& decided = ruling_.decided_at;
            if (ruling_.verdict == ruling::Verdict::clear && decided && decided->until) {
                const auto early = time_on(*decided, sighting.early, sighting);
                if (early && *early >= *decided->until) return false;
            }
        }
        return true;
    }

    /// Which items were used, and where it landed, by marks that leave nothing open.
    void put_way(study::TrialResult& result) const {
        std::set<std::string> items(result.items.begin(), result.items.end()), landed;
        const auto on = [&](const meet::Mark& mark) {
            const std::string& key = mark.alternatives[0].surface;
            if (const auto still = still_of(mark.id))
                result.touched.try_emplace(key, study::Sighted{mark.id, *still});
            const course::SurfaceId surface = book_.find_surface(key);
            const auto& landings = station_.landing.surfaces;
            if (std::find(landings.begin(), landings.end(), surface) != landings.end()) landed.insert(key);
            if (std::any_of(station_.in_play.begin(), station_.in_play.end(),
                            [&](const course::Item& item) { return item.surface == surface; }))
                items.insert(key);
        };
        for (const meet::Mark& mark : state_.marks_of(trial_.run)) {
            const bool plain = mark.alternatives.size() == 1 && !mark.possible &&
                               mark.alternatives[0].kind == meet::EventKind::touch;
            if (plain && within(mark)) on(mark);
        }
        result.items.assign(items.begin(), items.end());
        if (result.landing.empty() && result.came == study::TrialCame::cleared && landed.size() == 1)
            result.landing = *landed.begin();
    }

    void put_still(study::TrialResult& result) const {
        const auto take = [&](meet::MarkId mark) {
            if (result.still || !mark.valid()) return;
            result.still = still_of(mark);
            if (result.still && state_.marks().count(mark) != 0) result.deciding = mark;
        };
        take(ruling_.deciding_mark);
        for (const ruling::SettleStep& step : ruling_.settle) {
            if (!step.marks.empty()) take(step.marks.front());
            if (!result.still && step.where) result.still = still_at(*step.where);
        }
    }
    /// Where the desk goes to look.
    [[nodiscard]] std::optional<study::Still> still_at(const ruling::Shown& shown) const {
        const auto index = static_cast<std::size_t>(shown.clip.value);
        const std::optional<base::Time> wanted = shown.until ? shown.until : shown.after;
        if (!shown.clip.valid() || index >= evidence_.clips.size() || !wanted) return std::nullopt;
        const meet::Clip& clip = state_.clips().at(evidence_.clips[index]);
        const auto table = table_of_(clip.id);
        if (!table || table->size() == 0) return std::nullopt;
        const std::int64_t frame = std::max<std::int64_t>(0, frame_captured_at(clip, *table, *wanted));
        return study::Still{clip.id, {frame, (*table)[frame].pts}};
    }
    [[nodiscard]] std::optional<study::Still> still_of(meet::MarkId id) const {
        if (const auto mark = state_.marks().find(id); mark != state_.marks().end()) {
            const meet::Sighting& seen = mark->second.sightings.front();
            const auto& frame = seen.late ? seen.late : seen.early;
            if (!frame) return std::nullopt;
            return study::Still{seen.clip, *frame};
        }
        if (const auto span = state_.watched().find(id); span != state_.watched().end())
            return study::Still{span->second.clip, span->second.from};
        if (const auto contact = state_.contacts().find(id); contact != state_.contacts().end())
            return study::Still{contact->second.clip, contact->second.frame};
        return std::nullopt;
    }

    const meet::State& state_;
    const meet::Trial& trial_;
    const course::CourseBook& book_;
    const course::Station& station_;
    const ruling::StationRuling& ruling_;
    const RunEvidence& evidence_;
    const TableOf& table_of_;
};

study::TrialCame came(ruling::Verdict verdict) {
    switch (verdict) {
        case ruling::Verdict::clear:
            return study::TrialCame::cleared;
        case ruling::Verdict::fail:
            return study::TrialCame::failed;
        case ruling::Verdict::not_shown:
        case ruling::Verdict::not_reached:
            break;
    }
    return study::TrialCame::not_shown;
}

}  // namespace

Result<meet::RigPhoto> photo_of(const std::filesystem::path& meet_file, const std::filesystem::path& photo) {
    Result<std::string> sha256 = media::sha256_file(photo);
    if (!sha256) return sha256.error();
    return meet::RigPhoto{stored_path(meet_file, photo).path, std::move(*sha256), 0};
}

TrialRulings::TrialRulings(const meet::State& state, TableOf table_of, std::function<bool()> stopped)
    : state_(state), table_of_(std::move(table_of)), stopped_(std::move(stopped)) {
    if (!table_of_) table_of_ = [](meet::ClipId) { return std::shared_ptr<const media::FrameTable>(); };
}

Result<study::TrialResult> TrialRulings::of(const meet::Trial& trial) {
    if (stopped_ && stopped_())
        return Error{Category::cancelled, worded("Stopped before every trial was ruled."), ""};
    study::TrialResult result;
    result.id = trial.id;
    result.tester = trial.tester;
    result.rig = trial.rig;
    result.run = trial.run;
    result.start = trial.start;
    result.landing = trial.landing;
    result.items = trial.items;
    result.how = trial.how;
    if (!trial.run.valid()) {
        result.by_eye = true;
        result.came =
            trial.seen == meet::TrialOutcome::cleared ? study::TrialCame::cleared : study::TrialCame::failed;
        return result;
    }
    if (const Result<void> ruled = put_ruling(trial, result); !ruled) {
        if (ruled.error().category == Category::cancelled) return ruled.error();
        result.came = study::TrialCame::not_shown;
        result.how = worded("its run cannot be ruled: {}", ruled.error().sentence);
    }
    return result;
}

const TrialRulings::Course& TrialRulings::course_of(const meet::Run& run) {
    const Key key{run.book, course_division(state_, run), course_lane(state_, run)};
    const auto known = courses_.find(key);
    return known != courses_.end() ? known->second : courses_.emplace(key, made(run)).first->second;
}

TrialRulings::Course TrialRulings::made(const meet::Run& run) const {
    const auto stored = state_.books().find(run.book);
    if (stored == state_.books().end())
        return {Error{Category::not_found, worded("This run has no course book."), ""}, {}};
    const Result<course::CourseBook> whole =
        course::read_book_or_error(stored->second.text, stored->second.file_name);
    if (!whole) return {whole.error(), {}};
    Result<course::CourseBook> own =
        course::run_book(*whole, course_division(state_, run), course_lane(state_, run));
    if (!own) return {own.error(), {}};
    return {ruling::PreparedCourse(std::move(*own)), named_surfaces(*whole)};
}

Result<ruling::RunRuling> TrialRulings::rule(const ruling::PreparedCourse& course,
                                             const ruling::Evidence& evidence,
                                             course::StationId station) const {
    ruling::Settings settings;
    settings.stopped = stopped_;
    settings.explain = false;
    const auto place = static_cast<std::size_t>(station.value);
    const std::vector<bool> called(place, true);
    const auto ruled_so = [&](bool as_appeal, bool explain) {
        settings.explain = explain;
        return as_appeal ? ruling::rule_appeal(course, evidence, station, called, settings)
                         : ruling::rule_run(course, evidence, settings);
    };
    const auto verdict_of = [place](const ruling::RunRuling& ruled) {
        return ruled.stations.at(place).verdict;
    };
    Result<ruling::RunRuling> ruled = ruled_so(false, false);
    bool as_appeal = false;
    if (ruled && verdict_of(*ruled) == ruling::Verdict::not_reached && place > 0) {
        as_appeal = true;
        ruled = ruled_so(true, false);
    }
    if (!ruled || verdict_of(*ruled) != ruling::Verdict::not_shown) return ruled;
    // Reasons may be beyond the budget of a ruling that was reached without them.
    Result<ruling::RunRuling> explained = ruled_so(as_appeal, true);
    return explained || explained.error().category == Category::cancelled ? explained : ruled;
}

Result<void> TrialRulings::put_ruling(const meet::Trial& trial, study::TrialResult& result) {
    const meet::Run& run = state_.runs().at(trial.run);
    const Course& course = course_of(run);
    if (!course.prepared) return course.prepared.error();
    const course::CourseBook& book = course.prepared->book();
    const course::StationId station = book.find_station(trial.station);
    if (!station.valid())
        return Error{Category::not_found, worded("The run's course has no station '{}'.", trial.station), ""};
    result.definition = definition_digest(book, station);
    const Result<RunEvidence> evidence = run_evidence(state_, run.id, book, table_of_);
    if (!evidence) return evidence.error();
    Result<ruling::RunRuling> ruled = rule(*course.prepared, evidence->evidence, station);
    if (!ruled) return ruled.error();
    ruling::StationRuling& own = ruled->stations.at(static_cast<std::size_t>(station.value));
    result.came = came(own.verdict);
    result.how =
        own.verdict == ruling::Verdict::not_reached ? worded("the station was not reached") : own.sentence;
    Reading(state_, trial, book, station, own, *evidence, table_of_).put(course.named, result);
    result.clauses = std::move(own.clauses);
    result.settle = std::move(own.settle);
    return {};
}

}  // namespace plumbmark::review::internal
