#include "review/sound_ties.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <utility>

#include "base/catalogue.h"
#include "base/worded.h"
#include "review/capture_time.h"
#include "review/internal/sentences.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Duration;
using base::Error;
using base::Result;
using base::Time;
using base::worded;

constexpr double kMetresPerSecond = 343;

/// The sound that belongs to the clip's pictures, as chosen or by the file's own word.
std::optional<int> sound_stream(const TieClip& clip) {
    if (clip.clip.streams.sound || !clip.table) return clip.clip.streams.sound;
    for (const media::SoundStream& sound : clip.table->info().sounds) {
        if (sound.preset) return sound.ordinal;
    }
    return std::nullopt;
}

std::optional<Error> problem_of(const TieClip& clip) {
    if (clip.file.empty() || !clip.table)
        return Error{Category::not_found, worded("The clip's file could not be read."), clip.clip.name};
    meet::Clip known = clip.clip;
    if (!known.slowed) known.slowed = slowed_by_file(*clip.table);
    const meet::CaptureMap capture = capture_in_force(known);
    const bool real = std::all_of(capture.begin(), capture.end(), [](const meet::CaptureStretch& stretch) {
        return stretch.pace == meet::Pace::as_shown;
    });
    if (!real)
        return Error{
            Category::unsupported,
            worded("It is not shown as fast as it was taken, so its sound does not tell the time of its "
                   "pictures. Mark a moment that both clips show."),
            clip.clip.name};
    return std::nullopt;
}

/// Error cancelled alone; what else is wrong stands in the proposal.
Result<TieProposal> propose(const TieClip& first, const TieClip& second, const std::stop_token& stop,
                            const std::function<void(double)>& progress) {
    TieProposal proposal{first, second, {}};
    proposal.error = problem_of(first);
    if (!proposal.error) proposal.error = problem_of(second);
    if (proposal.error) return proposal;
    media::SoundTieOptions options;
    options.first_stream = sound_stream(first);
    options.second_stream = sound_stream(second);
    options.first_name = first.clip.name;
    options.second_name = second.clip.name;
    options.stop = stop;
    options.progress = progress;
    auto outcome = media::tie_by_sound(first.file, second.file, options);
    if (!outcome && outcome.error().category == Category::cancelled) return outcome.error();
    if (outcome) {
        proposal.outcome = std::move(*outcome);
    } else {
        proposal.error = outcome.error();
    }
    return proposal;
}

std::optional<meet::FrameRef> frame_of(const media::FrameTable& table, std::int64_t number) {
    if (number < 0 || number >= table.size()) return std::nullopt;
    return meet::FrameRef{number, table[number].pts};
}

/// From the last frame before 'from' to the first at or after 'to'.
meet::Sighting around(const TieClip& clip, Time from, Time to) {
    const media::FrameTable& table = *clip.table;
    return {clip.clip.id, frame_of(table, table.frame_at(from - Duration{1})),
            frame_of(table, table.frame_at(to - Duration{1}) + 1)};
}

/// Where on the first clip both have pictures on either side, as near as can be to where the tie was found.
std::optional<Time> marked_at(const TieProposal& proposal, Duration bound) {
    const media::FrameTable &one = *proposal.first.table, &other = *proposal.second.table;
    if (one.size() == 0 || other.size() == 0) return std::nullopt;
    const Duration later = proposal.outcome.tie->later();
    const Time from = std::max(one.time(0), other.time(0) + bound - later) + Duration{1};
    const Time to = std::min(one.time(one.size() - 1), other.time(other.size() - 1) - bound - later);
    if (from > to) return std::nullopt;
    return std::clamp(proposal.outcome.tie->first_at, from, to);
}

}  // namespace

Duration sound_over(double metres) {
    return {static_cast<std::int64_t>(std::ceil(metres / kMetresPerSecond * 1e9))};
}

Result<double> read_metres(const std::string& text) {
    double metres = 0;
    const char* end = text.data() + text.size();
    const auto [at, wrong] = std::from_chars(text.data(), end, metres);
    if (wrong != std::errc{} || at != end || !(metres >= 0 && metres <= kMostMetres))
        return Error{Category::bad_input,
                     worded("'{}' is no distance. Write metres, 0 to {}, as in 12.5.", text,
                            fmt::format("{:.0f}", kMostMetres)),
                     ""};
    return metres;
}

std::vector<TieClip> clips_to_tie(const Session& session) {
    std::vector<TieClip> clips;
    for (const ClipView& view : session.clips())
        clips.push_back({session.state().clips().at(view.id), view.file, view.table});
    return clips;
}

Result<std::vector<TieProposal>> propose_ties(const std::vector<TieClip>& clips, meet::ClipId with,
                                              const std::stop_token& stop,
                                              const std::function<void(double)>& progress) {
    std::vector<std::pair<std::size_t, std::size_t>> pairs;
    for (std::size_t a = 0; a < clips.size(); ++a) {
        for (std::size_t b = a + 1; b < clips.size(); ++b) {
            if (!with.valid() || clips[a].clip.id == with)
                pairs.emplace_back(a, b);
            else if (clips[b].clip.id == with)
                pairs.emplace_back(b, a);
        }
    }
    std::vector<TieProposal> proposals;
    for (const auto& [a, b] : pairs) {
        const auto so_far = [&](double share) {
            if (progress)
                progress((static_cast<double>(proposals.size()) + share) / static_cast<double>(pairs.size()));
        };
        Result<TieProposal> proposal = propose(clips[a], clips[b], stop, so_far);
        if (!proposal) return proposal.error();
        proposals.push_back(std::move(*proposal));
    }
    return proposals;
}

Duration bound_of(const media::SoundTie& tie, double metres) {
    return tie.half_width + sound_over(metres);
}

base::Sentence tie_words(const TieProposal& proposal, double metres) {
    if (proposal.error) return whole_of(*proposal.error);
    if (!proposal.outcome.tie) return proposal.outcome.sentence;
    const media::SoundTie& tie = *proposal.outcome.tie;
    const std::int64_t ns = tie.later().ns;
    const std::string by = fmt::format("{:.3f}", std::abs(static_cast<double>(ns)) / 1e9);
    const std::string bound =
        fmt::format("{:.0f}", std::ceil(static_cast<double>(bound_of(tie, metres).ns) / 1e6));
    const std::string &one = proposal.first.clip.name, &other = proposal.second.clip.name;
    return ns < 0 ? worded("{} is {} s earlier than {} (± {} ms, by sound)", other, by, one, bound)
                  : worded("{} is {} s later than {} (± {} ms, by sound)", other, by, one, bound);
}

Result<meet::Mark> mark_of(const TieProposal& proposal, meet::RunId run, meet::MarkId id, double metres) {
    if (!proposal.outcome.tie || !proposal.first.table || !proposal.second.table)
        return Error{Category::bad_input, worded("Nothing was tied, so there is nothing to mark."), ""};
    const media::SoundTie& tie = *proposal.outcome.tie;
    const Duration bound = bound_of(tie, metres);
    const std::optional<Time> here = marked_at(proposal, bound);
    if (!here)
        return Error{
            Category::bad_input,
            worded("The pictures of the two clips have too little time in common to mark a moment in it."),
            proposal.second.clip.name};
    meet::Mark mark;
    mark.id = id;
    mark.run = run;
    meet::Event event;
    event.kind = meet::EventKind::moment;
    mark.alternatives = {event};
    const Time there = *here + tie.later();
    mark.sightings = {around(proposal.first, *here, *here),
                      around(proposal.second, there - bound, there + bound)};
    mark.note = fmt::format("by sound, at most {} m difference, sharpness {:.1f}", metres, tie.sharpness);
    return mark;
}

Result<meet::Change> kept_ties(const meet::State& state, meet::RunId run,
                               const std::vector<TieProposal>& proposals, double metres) {
    meet::Change change;
    change.label = base::to_translate("tie by sound");
    std::int64_t id = state.next_id(meet::Kind::mark);
    for (const TieProposal& proposal : proposals) {
        if (proposal.error || !proposal.outcome.tie) continue;
        Result<meet::Mark> mark = mark_of(proposal, run, {id++}, metres);
        if (!mark) return mark.error();
        change.edits.push_back({std::nullopt, std::move(*mark)});
    }
    if (change.edits.empty())
        return Error{Category::bad_input, worded("Nothing was tied, so there is nothing to mark."), ""};
    return change;
}

SoundTieJob::SoundTieJob(std::vector<TieClip> clips, meet::ClipId with, std::function<void()> wake)
    : clips_(std::move(clips)),
      with_(with),
      wake_(std::move(wake)),
      thread_([this](const std::stop_token& stop) { work(stop); }) {}

SoundTieJob::~SoundTieJob() = default;

void SoundTieJob::work(const std::stop_token& stop) {
    auto answer = propose_ties(clips_, with_, stop, [this](double share) {
        progress_.store(share, std::memory_order_relaxed);
        if (wake_) wake_();
    });
    {
        const std::lock_guard lock(mutex_);
        answer_ = std::move(answer);
    }
    if (wake_) wake_();
}

std::optional<Result<std::vector<TieProposal>>> SoundTieJob::take() {
    const std::lock_guard lock(mutex_);
    return std::exchange(answer_, std::nullopt);
}

}  // namespace plumbmark::review
