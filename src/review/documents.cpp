#include "review/documents.h"

#include <filesystem>

#include "base/worded.h"
#include "meet/appeals.h"
#include "meet/who_ran.h"
#include "review/capture_time.h"
#include "review/evidence.h"
#include "review/internal/clip_source.h"
#include "review/internal/clip_stills.h"
#include "review/words.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;

constexpr int kStillWidth = 640;
constexpr int kStillHeight = 480;

std::string words_without_bracket(const meet::Mark& mark, const course::CourseBook* book) {
    std::string text;
    for (const meet::Event& event : mark.alternatives)
        text += (text.empty() ? "" : " or ") + event_words(event, book);
    return text;
}

void add_athlete(const meet::State& state, const meet::Run& run, report::RulingDocument& document) {
    const meet::Athlete* athlete = meet::athlete_of(state, run);
    if (athlete == nullptr) return;
    document.athlete_number = athlete->number;
    document.athlete_name = athlete->name;
}

void add_course_part(const course::CourseBook& book, const meet::Run& run, report::RulingDocument& document) {
    for (const course::Division& division : book.divisions) {
        if (division.key == run.division) document.division = division.name;
    }
    for (const course::Lane& lane : book.lanes) {
        if (lane.key == run.lane) document.lane = lane.name;
    }
}

void add_clips(const RuledRun& ruled, report::RulingDocument& document) {
    for (const meet::ClipId id : ruled.clips) {
        const meet::Clip& clip = ruled.state.clips().at(id);
        const std::string place = clip.relative_path.empty() ? clip.last_known_path : clip.relative_path;
        document.clips.push_back(
            {id, clip.name, std::filesystem::path(place).filename().string(), clip.fingerprint,
             clip.frame_count, clip.content ? clip.content->sha256 : std::string(),
             clip.streams.video.value_or(0), capture_sentence(clip), repeated_sentence(clip)});
    }
}

void add_repeats(const meet::State& state, report::RulingDocument& document) {
    const auto add = [&](meet::MarkId id) {
        std::string words = repeats_words(state, id);
        if (!words.empty()) document.repeats[id] = std::move(words);
    };
    for (const ruling::Mark& mark : document.evidence.marks)
        add(mark.id);
    for (const ruling::ContactStatement& contact : document.evidence.contacts)
        add(contact.id);
    for (const ruling::WatchedSpan& span : document.evidence.spans)
        add(span.id);
}

report::WhenNotShown when_not_shown(meet::WhenUnshown rule) {
    switch (rule) {
        case meet::WhenUnshown::athletes_favour:
            return report::WhenNotShown::athletes_favour;
        case meet::WhenUnshown::rerun:
            return report::WhenNotShown::run_again;
        case meet::WhenUnshown::call_stands:
            break;
    }
    return report::WhenNotShown::call_stands;
}

/// The appeals about the run; a call with one that waits is under appeal.
void add_appeals(const meet::State& state, const meet::Run& run, report::RulingDocument& document) {
    for (const auto& [id, appeal] : state.appeals()) {
        if (appeal.run != run.id) continue;
        const meet::Decision* decision = meet::decision_on(state, id);
        document.appeals.push_back(
            {appeal, decision ? std::optional<meet::Decision>(*decision) : std::nullopt});
        if (decision || appeal.status != meet::AppealStatus::lodged) continue;
        for (report::FloorCallEntry& call : document.floor_calls)
            call.under_appeal |= call.station == appeal.station;
    }
}

/// The mark that a pair is about.
const meet::Mark* mark_of(const meet::State& state, const report::StillPair& pair) {
    const auto found = state.marks().find(pair.mark);
    return found == state.marks().end() ? nullptr : &found->second;
}

}  // namespace

const char* program_version() {
    return PLUMBMARK_VERSION;
}

base::Result<report::RulingDocument> ruling_document(const Session& session) {
    const RulingView& view = session.ruling();
    if (view.error) return *view.error;
    if (!view.ruling || !view.current || !session.book())
        return Error{Category::busy, base::worded("The ruling is still being reached."), ""};
    return ruling_document({session.state(), session.run(), *session.whole_book(), *session.book(),
                            *view.evidence, view.clips, *view.ruling});
}

report::RulingDocument ruling_document(const RuledRun& ruled) {
    const meet::State& state = ruled.state;
    const meet::Run& run = state.runs().at(ruled.run);
    report::RulingDocument document;
    document.meet_name = state.info().name;
    document.venue = state.info().venue;
    document.date = state.info().date;
    document.run_label = run.label;
    document.question = run.question;
    add_athlete(state, run, document);
    for (const meet::FloorCall& call : state.floor_calls_of(run.id))
        document.floor_calls.push_back({call.station, call.call, call.judge, call.under_appeal});
    document.when_not_shown = when_not_shown(state.rules().appeals.when_unshown);
    add_appeals(state, run, document);
    document.book = ruled.book;
    add_course_part(ruled.whole_book, run, document);
    document.evidence = ruled.evidence;
    document.ruling = ruled.ruling;
    add_clips(ruled, document);
    for (const meet::Mark& mark : state.marks_of(run.id))
        document.mark_words[mark.id] = words_without_bracket(mark, &ruled.book);
    add_repeats(state, document);
    document.program_version = program_version();
    return document;
}

base::Result<SheetPictures> ruling_stills(const Session& session, const report::RulingDocument& document,
                                          const std::stop_token& stop) {
    ClipStills stills(
        session.state(), [&session](meet::ClipId clip) { return clip_source(session, clip); }, kStillWidth,
        kStillHeight, stop);
    SheetPictures pictures;
    for (const report::StillPair& pair : report::choose_stills(document)) {
        const meet::ClipId clip = session.ruling().clips[static_cast<std::size_t>(pair.clip.value)];
        std::vector<report::StillSide> sides;
        std::vector<std::int64_t> frames;
        const auto want = [&](std::optional<std::int64_t> frame, report::StillSide side) {
            if (!frame) return;
            frames.push_back(*frame);
            sides.push_back(side);
        };
        want(pair.before, report::StillSide::not_yet);
        want(pair.after, report::StillSide::it_is);
        auto taken = stills.about(clip, frames, mark_of(session.state(), pair), &document.book);
        if (!taken) return taken.error();
        const auto words = document.mark_words.find(pair.mark);
        for (std::size_t i = 0; i < taken->size(); ++i) {
            ClipStill& one = (*taken)[i];
            if (!one.picture) continue;
            report::Still& still = pictures.stills.emplace_back();
            if (words != document.mark_words.end()) still.caption = words->second;
            still.station_key = pair.station_key;
            still.picture = std::move(*one.picture);
            still.outlines = std::move(one.outlines);
            still.spot = one.spot;
            still.side = sides[i];
            still.clip = pair.clip;
            still.frame = one.frame;
            still.mark = pair.mark;
        }
    }
    pictures.faces = stills.faces().english();
    return pictures;
}

}  // namespace plumbmark::review
