#include "review/evidence.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "base/text.h"
#include "base/worded.h"
#include "review/camera_stands.h"
#include "review/capture_time.h"
#include "review/words.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

template <class PtsOf>
std::vector<base::Time> distinct_times(const meet::CaptureClock& clock, std::int64_t count,
                                       const PtsOf& pts_of) {
    std::vector<base::Time> times;
    times.reserve(static_cast<std::size_t>(count));
    for (std::int64_t n = 0; n < count; ++n)
        times.push_back(clock.time(pts_of(n)));
    // Two pictures with one time stamp are one instant.
    times.erase(std::unique(times.begin(), times.end()), times.end());
    return times;
}

/// Turns stored values into the ruling's, remembering the first thing that does not fit.
class Collector {
  public:
    Collector(const meet::State& state, const course::CourseBook& book, const TableOf& table_of,
              base::Duration default_row_delay)
        : state_(state), book_(book), table_of_(table_of), default_row_delay_(default_row_delay) {}

    void add_clips(const meet::Run& run) {
        for (const meet::ClipId id : run.clips) {
            const auto table = table_of_(id);
            meet::Clip clip = state_.clips().at(id);
            // A meet that an older program wrote does not say it yet.
            if (table && !clip.slowed) clip.slowed = slowed_by_file(*table);
            ruling::ClipFacts facts;
            facts.name = clip.name;
            facts.row_delay = clip.row_delay.value_or(default_row_delay_);
            clocks_.emplace(
                id, meet::CaptureClock(capture_in_force(clip), table ? table->time_base() : clip.time_base));
            if (table) {
                facts.frame_times = distinct_times(clocks_.at(id), table->size(),
                                                   [&](std::int64_t n) { return (*table)[n].pts; });
            } else {
                without_table_.push_back(out_.clips.size());
            }
            index_[id] = ruling::ClipIndex{static_cast<std::int64_t>(out_.clips.size())};
            out_.clips.push_back(id);
            out_.evidence.clips.push_back(std::move(facts));
        }
    }

    void add(const meet::Mark& mark) {
        // On one clip alone a moment says nothing, and must not widen what the clip's lengths are asked for.
        if (mark.alternatives.front().kind == meet::EventKind::moment && mark.sightings.size() < 2) return;
        ruling::Mark made;
        made.id = mark.id;
        made.possible = mark.possible;
        const base::Sentence name = worded("the mark '{}'", mark_sentence(mark, &book_));
        for (const meet::Event& event : mark.alternatives)
            made.alternatives.push_back(happening(event, name));
        for (const meet::Sighting& sighting : mark.sightings) {
            made.sightings.push_back({index(sighting.clip, name),
                                      time(sighting.clip, sighting.early, name, Over::all),
                                      time(sighting.clip, sighting.late, name, Over::none)});
            narrow(mark, sighting, made.sightings.back());
        }
        out_.evidence.marks.push_back(std::move(made));
    }

    /// By an instant that was measured and taken into the mark, else by the row of the picture that shows it:
    /// both say when, rows reckoned with, so that the clip's row delay is not added any more. What a
    /// measurement says outside the mark's own frames (they were moved since, or the clip's capture time was)
    /// does not count.
    void narrow(const meet::Mark& mark, const meet::Sighting& sighting, ruling::Sighting& made) {
        if (!made.after || !made.until) return;
        const auto clock = clocks_.find(sighting.clip);
        const auto clip = state_.clips().find(sighting.clip);
        if (clock == clocks_.end() || clip == state_.clips().end()) return;
        if (mark.measured && mark.measured->clip == sighting.clip) {
            const base::Time frame = clock->second.time(mark.measured->frame.pts);
            const base::Duration rows = clip->second.row_delay.value_or(default_row_delay_);
            const base::Time after = std::max(*made.after, frame + mark.measured->from);
            const base::Time until = std::min(*made.until + rows, frame + mark.measured->to);
            if (!(after < until)) return;
            made.after = after;
            made.until = until;
            made.row_known = true;
            return;
        }
        const auto row = row_time(mark, sighting, clip->second);
        if (!row) return;
        made.after = *made.after + *row;
        made.until = *made.until + *row + base::Duration{1};  // 'row' was rounded down
        made.row_known = true;
    }

    void add(const meet::ContactStatement& contact) {
        const base::Sentence part =
            base::looked_up_word(std::string(course::part_words(contact.part)).c_str());
        const base::Sentence name =
            contact.on ? worded("the statement that the {} is on '{}'", part, contact.surface)
                       : worded("the statement that the {} is off '{}'", part, contact.surface);
        out_.evidence.contacts.push_back(
            {contact.id, index(contact.clip, name),
             time(contact.clip, contact.frame, name, Over::all).value_or(base::Time{}), contact.part,
             surface(contact.surface, name), contact.on});
    }

    void add(const meet::WatchedSpan& span) {
        const base::Sentence name = worded("the watched span f {} to {}", span.from.number, span.to.number);
        ruling::Scope scope;
        scope.whole_athlete = span.scope.whole_athlete;
        scope.finish_signal = span.scope.finish_signal;
        for (const std::string& key : span.scope.surfaces)
            scope.surfaces.push_back(surface(key, name));
        for (const std::string& key : span.scope.planes)
            scope.planes.push_back(plane(key, name));
        const base::Time after = time(span.clip, span.from, name, Over::exact).value_or(base::Time{});
        const base::Time until = time(span.clip, span.to, name, Over::all).value_or(base::Time{});
        // Where every picture of a span shows its first one again, nothing was seen to vouch for.
        if (after >= until && span.from.number < span.to.number && has_repeats(span.clip)) return;
        out_.evidence.spans.push_back({span.id, index(span.clip, name), after, until, std::move(scope)});
    }

    Result<RunEvidence> finish() {
        if (error_) return *error_;
        for (const std::size_t i : without_table_)
            out_.evidence.clips[i].frame_times = named_times(i);
        for (std::size_t i = 0; i < out_.clips.size(); ++i) {
            const auto named = named_.find(out_.clips[i]);
            if (named == named_.end()) continue;
            const auto [first, last] = named->second;
            out_.evidence.clips[i].durations_known = !clocks_.at(out_.clips[i]).unknown_between(first, last);
        }
        return std::move(out_);
    }

  private:
    void refuse(const base::Sentence& name, base::Sentence sentence) {
        if (!error_) error_ = Error{Category::bad_input, std::move(sentence), name};
    }

    ruling::ClipIndex index(meet::ClipId clip, const base::Sentence& name) {
        const auto found = index_.find(clip);
        if (found != index_.end()) return found->second;
        refuse(name, worded("names a clip that does not belong to this run; remove the mark or add the clip "
                            "to the run"));
        return {};
    }

    /// Over which repeated pictures a frame goes back to the one that it shows again.
    enum class Over { none, exact, all };

    [[nodiscard]] bool has_repeats(meet::ClipId clip) const {
        const auto stored = state_.clips().find(clip);
        return stored != state_.clips().end() && stored->second.repeated.has_value();
    }

    std::optional<base::Time> time(meet::ClipId clip, const std::optional<meet::FrameRef>& frame,
                                   const base::Sentence& name, Over over) {
        if (!frame) return std::nullopt;
        const auto stored = state_.clips().find(clip);
        if (stored == state_.clips().end()) return std::nullopt;
        const auto table = table_of_(clip);
        const bool fits = !table || (frame->number >= 0 && frame->number < table->size() &&
                                     (*table)[frame->number].pts == frame->pts);
        if (!fits)
            refuse(name, worded("names frame {} of {}, which is not that frame any more; the clip's file was "
                                "replaced. Put the original file back",
                                frame->number, stored->second.name));
        meet::FrameRef shown = *frame;
        if (over != Over::none && stored->second.repeated)
            shown = meet::first_shown(*stored->second.repeated, shown, over == Over::exact);
        std::pair<std::int64_t, std::int64_t>& named =
            named_.try_emplace(clip, shown.pts, frame->pts).first->second;
        named = {std::min(named.first, shown.pts), std::max(named.second, frame->pts)};
        const auto clock = clocks_.find(clip);
        return clock == clocks_.end() ? base::Time{} : clock->second.time(shown.pts);
    }

    course::SurfaceId surface(const std::string& key, const base::Sentence& name) {
        if (key.empty()) return {};
        const course::SurfaceId id = book_.find_surface(key);
        if (!id.valid())
            refuse(name, worded("the course book in force for this run declares no surface '{}'; mark it on "
                                "a declared surface, or declare it",
                                key));
        return id;
    }

    course::PlaneId plane(const std::string& key, const base::Sentence& name) {
        const course::PlaneId id = book_.find_plane(key);
        if (!id.valid())
            refuse(name, worded("the course book in force for this run declares no plane '{}'", key));
        return id;
    }

    ruling::Happening happening(const meet::Event& event, const base::Sentence& name) {
        switch (event.kind) {
            case meet::EventKind::touch:
                return ruling::Touch{part(event, name), surface(event.surface, name), event.grade};
            case meet::EventKind::release:
                return ruling::Release{part(event, name), surface(event.surface, name)};
            case meet::EventKind::cross:
                return ruling::Cross{event.part, plane(event.plane, name), event.direction};
            case meet::EventKind::signal:
                return ruling::Signal{event.signal};
            case meet::EventKind::infraction:
                return ruling::Infraction{event.infraction};
            case meet::EventKind::control:
                return ruling::Control{};
            case meet::EventKind::moment:
                return ruling::SharedMoment{};
        }
        return ruling::Control{};
    }

    course::Part part(const meet::Event& event, const base::Sentence& name) {
        if (!event.part) refuse(name, worded("names no body part; a touch and a release need one"));
        return event.part.value_or(course::Part::other);
    }

    std::vector<base::Time> named_times(std::size_t clip) const {
        std::vector<base::Time> times;
        const ruling::ClipIndex wanted{static_cast<std::int64_t>(clip)};
        for (const ruling::Mark& mark : out_.evidence.marks) {
            for (const ruling::Sighting& sighting : mark.sightings) {
                if (sighting.clip != wanted) continue;
                if (sighting.after) times.push_back(*sighting.after);
                if (sighting.until) times.push_back(*sighting.until);
            }
        }
        for (const ruling::ContactStatement& contact : out_.evidence.contacts) {
            if (contact.clip == wanted) times.push_back(contact.at);
        }
        for (const ruling::WatchedSpan& span : out_.evidence.spans) {
            if (span.clip != wanted) continue;
            times.push_back(span.after);
            times.push_back(span.until);
        }
        std::sort(times.begin(), times.end());
        times.erase(std::unique(times.begin(), times.end()), times.end());
        return times;
    }

    /// How much later than its frame's time a mark's row was taken, where the clip's row delay and the row
    /// are known: whole nanoseconds, rounded down.
    static std::optional<base::Duration> row_time(const meet::Mark& mark, const meet::Sighting& sighting,
                                                  const meet::Clip& clip) {
        if (!clip.row_delay || !clip.picture || !mark.spot || sighting.clip != mark.sightings.front().clip)
            return std::nullopt;
        const double share = row_share(
            {clip.picture->width, clip.picture->height, 1, clip.picture->quarter_turns}, *mark.spot);
        const double within = std::clamp(share, 0.0, 1.0);
        return base::Duration{
            static_cast<std::int64_t>(std::floor(within * static_cast<double>(clip.row_delay->ns)))};
    }

    const meet::State& state_;
    const course::CourseBook& book_;
    const TableOf& table_of_;
    const base::Duration default_row_delay_;
    RunEvidence out_;
    std::map<meet::ClipId, ruling::ClipIndex> index_;
    std::map<meet::ClipId, meet::CaptureClock> clocks_;
    /// First and last time stamp that anything of the run names, by clip.
    std::map<meet::ClipId, std::pair<std::int64_t, std::int64_t>> named_;
    std::vector<std::size_t> without_table_;
    std::optional<Error> error_;
};

}  // namespace

base::Time frame_time(const meet::Clip& clip, const meet::FrameRef& frame) {
    return meet::CaptureClock(capture_in_force(clip), clip.time_base).time(frame.pts);
}

std::vector<base::Time> frame_times(const meet::Clip& clip, const std::vector<meet::FrameRef>& frames) {
    return distinct_times(meet::CaptureClock(capture_in_force(clip), clip.time_base), std::ssize(frames),
                          [&](std::int64_t n) { return frames[static_cast<std::size_t>(n)].pts; });
}

std::string repeats_words(const meet::State& state, meet::MarkId id) {
    std::vector<std::string> words;
    const auto add = [&](meet::ClipId clip, const std::optional<meet::FrameRef>& frame, bool exact_only) {
        const auto stored = state.clips().find(clip);
        if (!frame || stored == state.clips().end() || !stored->second.repeated) return;
        const meet::FrameRef shown = meet::first_shown(*stored->second.repeated, *frame, exact_only);
        if (shown.number != frame->number)
            words.push_back(
                fmt::format("f {} of {} shows f {} again", frame->number, stored->second.name, shown.number));
    };
    if (const auto mark = state.marks().find(id); mark != state.marks().end()) {
        for (const meet::Sighting& sighting : mark->second.sightings)
            add(sighting.clip, sighting.early, false);
    } else if (const auto contact = state.contacts().find(id); contact != state.contacts().end()) {
        add(contact->second.clip, contact->second.frame, false);
    } else if (const auto span = state.watched().find(id); span != state.watched().end()) {
        add(span->second.clip, span->second.from, true);
        add(span->second.clip, span->second.to, false);
    }
    return base::listed(words);
}

base::Result<RunEvidence> run_evidence(const meet::State& state, meet::RunId run,
                                       const course::CourseBook& book, const TableOf& table_of,
                                       base::Duration default_row_delay) {
    const auto stored = state.runs().find(run);
    if (stored == state.runs().end())
        return Error{Category::not_found, worded("There is no such run in this meet."), ""};
    Collector collector(state, book, table_of, default_row_delay);
    collector.add_clips(stored->second);
    for (const meet::Mark& mark : state.marks_of(run))
        collector.add(mark);
    for (const meet::ContactStatement& contact : state.contacts_of(run))
        collector.add(contact);
    for (const meet::WatchedSpan& span : state.watched_of(run))
        collector.add(span);
    return collector.finish();
}

}  // namespace plumbmark::review
