#include "review/documents.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <memory>

#include "base/worded.h"
#include "media/frame_reader.h"
#include "media/still.h"
#include "meet/appeals.h"
#include "meet/who_ran.h"
#include "review/capture_time.h"
#include "review/evidence.h"
#include "review/faces.h"
#include "review/internal/placed_drawings.h"
#include "review/outlines.h"
#include "review/words.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;

constexpr int kStillWidth = 640;
constexpr int kStillHeight = 480;
/// Over so many frames nobody's head moves far: a face that is found in one is hidden in both.
constexpr std::int64_t kNeighbours = 6;

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

sight::Box around(double x, double y, int width, int height, const media::RgbaImage& picture) {
    const int w = std::min(width, picture.width);
    const int h = std::min(height, picture.height);
    const int left = std::clamp(static_cast<int>(std::lround(x)) - w / 2, 0, picture.width - w);
    const int top = std::clamp(static_cast<int>(std::lround(y)) - h / 2, 0, picture.height - h);
    return {left, top, w, h};
}

/// Pixels of the still for one of the frame, where it is made smaller.
double shrinking(const sight::Box& window) {
    return std::min({1.0, static_cast<double>(kStillWidth) / window.width,
                     static_cast<double>(kStillHeight) / window.height});
}

/// Fetches the stills of one document, keeping one reader a clip.
class StillMaker {
  public:
    StillMaker(const Session& session, const report::RulingDocument& document, const std::stop_token& stop)
        : session_(session), document_(document), stop_(stop), hider_(session.state(), stop) {}

    base::Result<void> add(const report::StillPair& pair) {
        if (stop_.stop_requested())
            return Error{Category::cancelled, base::worded("Fetching the stills was stopped."), ""};
        std::vector<Shot> shots;
        take(shots, pair, pair.before, report::StillSide::not_yet);
        take(shots, pair, pair.after, report::StillSide::it_is);
        if (shots.empty()) return {};
        std::vector<ClipPicture> pictures;
        for (Shot& shot : shots)
            pictures.push_back({&shot.picture, shot.frame, shot.window, pointed_at(pair, shot.window),
                                shrinking(shot.window)});
        const bool neighbours = shots.back().frame - shots.front().frame <= kNeighbours;
        if (auto hidden = hider_.hide(clip_id(pair.clip), pictures, neighbours); !hidden) return hidden;
        for (const Shot& shot : shots)
            add(pair, shot);
        return {};
    }

    SheetPictures finish() { return {std::move(stills_), hider_.sentence()}; }

  private:
    media::FrameReader* reader(ruling::ClipIndex clip) {
        const auto kept = readers_.find(clip.value);
        if (kept != readers_.end()) return kept->second.get();
        std::unique_ptr<media::FrameReader>& made = readers_[clip.value];
        const meet::Clip& stored =
            session_.state().clips().at(session_.ruling().clips[static_cast<std::size_t>(clip.value)]);
        const ClipView* view = view_of(stored.id);
        if (!view || !view->table || view->error) return nullptr;
        auto opened = media::FrameReader::open(view->file, view->table);
        if (opened) made = std::make_unique<media::FrameReader>(std::move(*opened));
        return made.get();
    }

    const ClipView* view_of(meet::ClipId id) const {
        for (const ClipView& view : session_.clips()) {
            if (view.id == id) return &view;
        }
        return nullptr;
    }

    /// A whole frame, upright, and the part of it that the still shows.
    struct Shot {
        report::StillSide side;
        std::int64_t frame;
        media::RgbaImage picture;
        sight::Box window;
        std::vector<meet::Drawing> drawings;  ///< of the clip, as they lie in this frame
    };

    /// The clip's drawings as they lie in this frame; without those that are not known to.
    std::vector<meet::Drawing> drawings_in(ruling::ClipIndex clip, std::int64_t frame,
                                           media::FrameReader& source) {
        const auto placed = placed_.try_emplace(clip.value, session_.state(), clip_id(clip)).first;
        return placed->second.in(frame, [&source](std::int64_t n) { return source.read_alone(n); });
    }

    void take(std::vector<Shot>& shots, const report::StillPair& pair, std::optional<std::int64_t> frame,
              report::StillSide side) {
        media::FrameReader* source = frame ? reader(pair.clip) : nullptr;
        if (!source) return;
        auto picture = source->read(*frame);
        if (!picture) return;
        Shot shot{side, *frame, media::to_rgba(**picture), {}, drawings_in(pair.clip, *frame, *source)};
        shot.window = choose_window(pair, shot);
        shots.push_back(std::move(shot));
    }

    void add(const report::StillPair& pair, const Shot& shot) {
        const sight::Box& window = shot.window;
        auto part = media::cropped(shot.picture, window.x, window.y, window.width, window.height);
        if (!part) return;
        auto fitted = media::fitted(*part, kStillWidth, kStillHeight);
        if (!fitted) return;
        report::Still still;
        still.caption = caption(pair);
        still.station_key = pair.station_key;
        still.side = shot.side;
        still.clip = pair.clip;
        still.frame = shot.frame;
        still.mark = pair.mark;
        const double scale = static_cast<double>(fitted->width) / window.width;
        const auto place = [&](std::array<double, 2> p) {
            return std::array<double, 2>{(p[0] - window.x) * scale, (p[1] - window.y) * scale};
        };
        still.outlines = outlines_of(shot.drawings, &document_.book);
        for (report::StillOutline& outline : still.outlines) {
            for (auto& point : outline.points)
                point = place(point);
            if (outline.towards) outline.towards = place(*outline.towards);
        }
        if (const auto spot = spot_of(pair)) still.spot = place(*spot);
        still.picture = std::move(*fitted);
        stills_.push_back(std::move(still));
    }

    meet::ClipId clip_id(ruling::ClipIndex clip) const {
        return session_.ruling().clips[static_cast<std::size_t>(clip.value)];
    }

    const meet::Mark* stored_mark(ruling::MarkId id) const {
        const auto found = session_.state().marks().find(id);
        return found == session_.state().marks().end() ? nullptr : &found->second;
    }

    /// Where the mark was pointed at, when that was on this clip.
    std::optional<std::array<double, 2>> spot_of(const report::StillPair& pair) const {
        const meet::Mark* mark = stored_mark(pair.mark);
        const bool here =
            mark && !mark->sightings.empty() && mark->sightings.front().clip == clip_id(pair.clip);
        return here ? mark->spot : std::nullopt;
    }

    /// What the ring around the spot encloses is what was pointed at. In a still as high as an athlete that
    /// is a hand with its wrist: a tenth of the height of the body (R. Drillis and R. Contini, 'Body Segment
    /// Parameters', 1966: hand 0.108 of it; from memory), which shows what touches what and no more.
    std::optional<PointedAt> pointed_at(const report::StillPair& pair, const sight::Box& window) const {
        const auto spot = spot_of(pair);
        if (!spot) return std::nullopt;
        const double ring = 2 * report::kRingRadius * std::max(window.width, window.height);
        return PointedAt{*spot, static_cast<int>(std::lround(ring))};
    }

    std::string caption(const report::StillPair& pair) const {
        const auto words = document_.mark_words.find(pair.mark);
        return words == document_.mark_words.end() ? std::string() : words->second;
    }

    sight::Box choose_window(const report::StillPair& pair, const Shot& shot) const {
        const media::RgbaImage& whole = shot.picture;
        const meet::Mark* mark = stored_mark(pair.mark);
        if (!mark) return {0, 0, whole.width, whole.height};
        if (const auto spot = spot_of(pair))
            return around((*spot)[0], (*spot)[1], kStillWidth, kStillHeight, whole);
        const std::string& key = mark->alternatives.front().surface;
        for (const meet::Drawing& drawing : shot.drawings) {
            if (drawing.key != key || drawing.points.empty()) continue;
            std::array<double, 2> low = drawing.points.front();
            std::array<double, 2> high = low;
            for (const auto& point : drawing.points) {
                for (std::size_t axis = 0; axis < 2; ++axis) {
                    low[axis] = std::min(low[axis], point[axis]);
                    high[axis] = std::max(high[axis], point[axis]);
                }
            }
            // Room for the body above the surface: twice the surface's size, at least a still.
            const int width = std::max(kStillWidth, static_cast<int>(1.5 * (high[0] - low[0])));
            return around((low[0] + high[0]) / 2, (low[1] + high[1]) / 2 - width / 8.0, width, width * 3 / 4,
                          whole);
        }
        return {0, 0, whole.width, whole.height};
    }

    const Session& session_;
    const report::RulingDocument& document_;
    std::map<std::int64_t, std::unique_ptr<media::FrameReader>> readers_;
    std::map<std::int64_t, PlacedDrawings> placed_;  ///< by clip
    std::stop_token stop_;
    FaceHider hider_;
    std::vector<report::Still> stills_;
};

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
    StillMaker maker(session, document, stop);
    for (const report::StillPair& pair : report::choose_stills(document))
        if (auto added = maker.add(pair); !added) return added.error();
    return maker.finish();
}

}  // namespace plumbmark::review
