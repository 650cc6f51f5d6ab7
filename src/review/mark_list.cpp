#include "review/mark_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "base/text.h"
#include "base/worded.h"
#include "review/capture_time.h"
#include "review/documents.h"
#include "review/evidence.h"
#include "review/words.h"
#include "ruling/network.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;

/// The network wants fewer than 1,000 nodes and n^3 steps; so many events that several clips show tie them as
/// well as anybody needs.
constexpr std::size_t kMostTyingEvents = 200;

bool is_start(const meet::Mark& mark) {
    return !mark.possible && mark.alternatives.size() == 1 &&
           mark.alternatives.front().kind == meet::EventKind::signal &&
           mark.alternatives.front().signal == ruling::SignalKind::start_given;
}

bool keeps_time(const meet::Clip& clip) {
    const meet::CaptureMap map = capture_in_force(clip);
    return std::none_of(map.begin(), map.end(),
                        [](const auto& stretch) { return stretch.pace == meet::Pace::unknown; });
}

/// Clips and events as nodes; a sighting bounds an event's place after the beginning of its clip's clock.
class RunNetwork {
  public:
    RunNetwork(const meet::State& state, const meet::Run& run) : state_(state) {
        for (const meet::ClipId id : run.clips)
            if (keeps_time(state.clips().at(id))) clips_[id] = network_.add_node();
    }

    ruling::NodeId add(const meet::Mark& mark) {
        const ruling::NodeId event = network_.add_node();
        for (const meet::Sighting& seen : mark.sightings) {
            const auto clip = clips_.find(seen.clip);
            if (clip == clips_.end()) continue;
            const meet::Clip& stored = state_.clips().at(seen.clip);
            if (seen.late)
                network_.add_bound(clip->second, event, {frame_time(stored, *seen.late).ns, false});
            if (seen.early)
                network_.add_bound(event, clip->second, {-frame_time(stored, *seen.early).ns, true});
        }
        return event;
    }

    std::map<meet::ClipId, report::RunClock> clocks(ruling::NodeId start) const {
        std::map<meet::ClipId, report::RunClock> out;
        const auto minimal = network_.minimal();
        if (!minimal) return out;
        for (const auto& [id, node] : clips_) {
            const auto low = minimal->lower(start, node), high = minimal->upper(start, node);
            if (low && high) out[id] = {{low->ns}, {high->ns}};
        }
        return out;
    }

  private:
    const meet::State& state_;
    ruling::Network network_;
    std::map<meet::ClipId, ruling::NodeId> clips_;
};

report::ListedInstant instant(const meet::Clip& clip, const meet::FrameRef& frame) {
    return {frame.number, frame.pts, base::floor_to_time(frame.pts, clip.time_base), frame_time(clip, frame)};
}

std::string key_words(const std::string& key, const course::CourseBook* book) {
    const course::SurfaceId id = book ? book->find_surface(key) : course::SurfaceId{};
    if (key.empty()) return "something undeclared";
    return id.valid() ? book->surface_name(id) : key;
}

std::string scope_words(const meet::Scope& scope, const course::CourseBook* book) {
    std::vector<std::string> names;
    if (scope.whole_athlete) names.emplace_back("the whole athlete");
    for (const std::string& key : scope.surfaces)
        names.push_back(key_words(key, book));
    for (const std::string& key : scope.planes) {
        const course::PlaneId id = book ? book->find_plane(key) : course::PlaneId{};
        names.push_back(id.valid() ? book->plane(id).name : key);
    }
    if (scope.finish_signal) names.emplace_back("the finish signal");
    return base::listed(names);
}

/// Puts the stored values of one run into a list.
class Lister {
  public:
    Lister(const meet::State& state, const meet::Run& run, const course::CourseBook* book)
        : state_(state), run_(run), book_(book) {
        const auto clocks = run_clocks(state, run.id);
        for (const meet::ClipId id : run.clips) {
            const meet::Clip& clip = state.clips().at(id);
            const std::string path = clip.relative_path.empty() ? clip.last_known_path : clip.relative_path;
            index_[id] = list_.clips.size();
            report::ListedClip& listed = list_.clips.emplace_back();
            listed.name = clip.name;
            listed.file = std::filesystem::path(path).filename().string();
            listed.fingerprint = clip.fingerprint;
            if (clip.content) listed.sha256 = clip.content->sha256;
            listed.frames = clip.frame_count;
            listed.time_base = clip.time_base;
            listed.capture = capture_sentence(clip);
            if (const auto clock = clocks.find(id); clock != clocks.end()) listed.run = clock->second;
        }
    }

    report::MarkList list() {
        list_.program_version = program_version();
        list_.meet_name = state_.info().name;
        list_.run_label = run_.label;
        if (book_) {
            list_.course_name = book_->name;
            list_.course_revision = book_->revision;
        }
        for (const meet::Mark& mark : state_.marks_of(run_.id))
            add(mark);
        for (const meet::ContactStatement& contact : state_.contacts_of(run_.id))
            add(contact);
        for (const meet::WatchedSpan& span : state_.watched_of(run_.id))
            add(span);
        return std::move(list_);
    }

  private:
    report::ListedSighting sighting(const meet::Sighting& seen) const {
        const meet::Clip& clip = state_.clips().at(seen.clip);
        report::ListedSighting out;
        out.clip = index_.at(seen.clip);
        if (seen.early) out.early = instant(clip, *seen.early);
        if (seen.late) out.late = instant(clip, *seen.late);
        return out;
    }

    void add(const meet::Mark& mark) {
        report::ListedMark out;
        out.id = mark.id;
        out.alternatives = mark.alternatives;
        for (const meet::Event& event : mark.alternatives)
            out.words.push_back(event_words(event, book_));
        out.possible = mark.possible;
        for (const meet::Sighting& seen : mark.sightings)
            out.sightings.push_back(sighting(seen));
        out.note = mark.note;
        out.spot = mark.spot;
        for (const meet::Pointed& pointed : mark.pointed) {
            out.pointed.push_back({index_.at(pointed.clip),
                                   instant(state_.clips().at(pointed.clip), pointed.frame), pointed.at});
            if (pointed.followed) out.pointed.back().followed_from = pointed.followed->from;
        }
        if (const auto& measured = mark.measured)
            out.measured = {index_.at(measured->clip),
                            instant(state_.clips().at(measured->clip), measured->frame), measured->from,
                            measured->to};
        list_.marks.push_back(std::move(out));
    }

    void add(const meet::ContactStatement& contact) {
        report::ListedMark out;
        out.id = contact.id;
        out.kind = report::ListedKind::contact;
        out.words = {fmt::format("{} {} {}", course::part_words(contact.part), contact.on ? "on" : "off",
                                 key_words(contact.surface, book_))};
        out.sightings = {sighting({contact.clip, contact.frame, contact.frame})};
        out.part = contact.part;
        out.surface = contact.surface;
        out.on = contact.on;
        list_.marks.push_back(std::move(out));
    }

    void add(const meet::WatchedSpan& span) {
        report::ListedMark out;
        out.id = span.id;
        out.kind = report::ListedKind::watched;
        out.words = {"watched: " + scope_words(span.scope, book_)};
        out.sightings = {sighting({span.clip, span.from, span.to})};
        out.scope = span.scope;
        list_.marks.push_back(std::move(out));
    }

    const meet::State& state_;
    const meet::Run& run_;
    const course::CourseBook* book_;
    std::map<meet::ClipId, std::size_t> index_;
    report::MarkList list_;
};

}  // namespace

std::map<meet::ClipId, report::RunClock> run_clocks(const meet::State& state, meet::RunId run) {
    const auto found = state.runs().find(run);
    if (found == state.runs().end()) return {};
    RunNetwork network(state, found->second);
    std::optional<ruling::NodeId> start;
    std::size_t tying = 0;
    for (const meet::Mark& mark : state.marks_of(run)) {
        if (is_start(mark)) {
            if (start) return {};
            start = network.add(mark);
        } else if (!mark.possible && mark.sightings.size() > 1 && tying < kMostTyingEvents) {
            ++tying;
            (void)network.add(mark);
        }
    }
    return start ? network.clocks(*start) : std::map<meet::ClipId, report::RunClock>{};
}

base::Result<report::MarkList> mark_list(const meet::State& state, meet::RunId run,
                                         const course::CourseBook* book) {
    const auto found = state.runs().find(run);
    if (found == state.runs().end())
        return Error{Category::not_found, base::worded("There is no run to give marks out of."), ""};
    return Lister(state, found->second, book).list();
}

}  // namespace plumbmark::review
