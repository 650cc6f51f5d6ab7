// What a stored value must be like, taken alone.
#include <algorithm>
#include <set>

#include "meet/changes.h"
#include "meet/internal/checker.h"
#include "meet/internal/names.h"

namespace plumbmark::meet {
namespace {

// A clip with a fault may carry one time stamp twice, so only the numbers must differ.
bool in_order(const FrameRef& first, const FrameRef& second) {
    return first.number < second.number && first.pts <= second.pts;
}

void check(Checker& checker, const MeetInfo& info) {
    checker.text(info.name, "name");
    checker.text(info.venue, "venue");
    checker.text(info.date, "date");
}

void check(Checker& checker, const Athlete& athlete) {
    checker.text(athlete.number, "number");
    checker.text(athlete.name, "name");
    checker.text(athlete.club, "club");
    checker.text(athlete.division, "division");
    checker.text(athlete.born, "year of birth");
    checker.text(athlete.category, "category");
}

void check(Checker& checker, const BookRevision& book) {
    checker.text(book.file_name, "file name");
    checker.text(book.text, "text", kLongestBook);
    checker.text(book.path, "path");
}

void check(Checker& checker, const std::vector<RepeatedPictures>& repeated) {
    std::int64_t last = 0;
    for (const RepeatedPictures& one : repeated) {
        checker.whole_number(one.last, "repeated frame");
        checker.require(one.first.number >= last && one.first.number < one.last,
                        "its repeated frames are not in order");
        last = one.last;
    }
}

void check(Checker& checker, const Clip& clip) {
    checker.text(clip.name, "name");
    checker.text(clip.relative_path, "relative path");
    checker.text(clip.last_known_path, "last known path");
    checker.text(clip.fingerprint, "fingerprint");
    checker.whole_number(clip.frame_count, "frame count");
    checker.require(clip.time_base.den > 0 && clip.time_base.num >= 0,
                    "its time base is not a fraction of a second");
    checker.require(!clip.row_delay || clip.row_delay->ns >= 0, "its row delay is negative");
    for (const std::optional<int>& stream : {clip.streams.video, clip.streams.sound})
        checker.require(!stream || (*stream >= 0 && *stream <= kMostStreams),
                        "it takes a stream that no file has");
    if (clip.content) checker.hex_digits(clip.content->sha256, 64, "file's SHA-256");
    const std::string capture = problem_of(clip.capture);
    checker.require(capture.empty(), capture.c_str());
    for (const CaptureStretch& stretch : clip.capture)
        checker.whole_number(stretch.from.number, "capture time's frame");
    checker.require(!clip.slowed || (is_rate(clip.slowed->recorded) && is_rate(clip.slowed->shown)),
                    "the rate that its file states is none");
    check(checker, clip.repeated.value_or(std::vector<RepeatedPictures>{}));
}

void check(Checker& checker, const Run& run) {
    checker.text(run.label, "label");
    checker.text(run.question, "question");
    checker.text(run.division, "division");
    checker.text(run.lane, "lane");
    checker.require(std::set<ClipId>(run.clips.begin(), run.clips.end()).size() == run.clips.size(),
                    "it names one clip twice");
    checker.require(!run.rerun_of.valid() || run.rerun_of != run.id, "it is a re-run of itself");
}

bool takes_part(EventKind kind) {
    return kind == EventKind::touch || kind == EventKind::release || kind == EventKind::cross;
}

// Every field that the kind does not use must be as a new Event has it, so that equal events compare equal.
void check(Checker& checker, const Event& event) {
    const Event plain;
    const bool on_surface = event.kind == EventKind::touch || event.kind == EventKind::release;
    const bool on_plane = event.kind == EventKind::cross;
    if (on_surface) checker.key(event.surface, "surface");
    if (on_plane) checker.key(event.plane, "plane");
    checker.require(!on_surface || event.part, "it names no part of the body");
    checker.require(takes_part(event.kind) || !event.part,
                    "a part of the body has no place in such an event");
    checker.require(on_surface || event.surface.empty(), "a surface has no place in such an event");
    checker.require(on_plane || event.plane.empty(), "a plane has no place in such an event");
    checker.require(on_plane || event.direction == plain.direction, "a direction belongs to a crossing only");
    checker.require(event.kind == EventKind::touch || event.grade == plain.grade,
                    "a grade belongs to a touch only");
    checker.require(event.kind == EventKind::signal || event.signal == plain.signal,
                    "a kind of signal belongs to a signal only");
    checker.require(event.kind == EventKind::infraction || event.infraction == plain.infraction,
                    "a kind of infraction belongs to an infraction only");
}

void check(Checker& checker, const Sighting& sighting) {
    if (sighting.early) checker.whole_number(sighting.early->number, "early frame");
    if (sighting.late) checker.whole_number(sighting.late->number, "late frame");
    checker.require(!sighting.early || !sighting.late || in_order(*sighting.early, *sighting.late),
                    "its early frame is not before its late frame");
}

void check(Checker& checker, const Mark& mark) {
    checker.require(!mark.alternatives.empty(), "it names no event");
    checker.require(!mark.sightings.empty(), "it is on no clip");
    for (auto event = mark.alternatives.begin(); event != mark.alternatives.end(); ++event) {
        check(checker, *event);
        checker.require(std::find(mark.alternatives.begin(), event, *event) == event,
                        "two of its alternatives are the same");
        checker.require(event->kind != EventKind::moment || (!mark.possible && mark.alternatives.size() == 1),
                        "a moment that clips share can be neither possible nor one of several alternatives");
    }
    std::set<ClipId> clips;
    for (const Sighting& sighting : mark.sightings) {
        check(checker, sighting);
        checker.require(clips.insert(sighting.clip).second, "it has two brackets on one clip");
    }
    checker.text(mark.note, "note");
    if (mark.spot) checker.point(*mark.spot, "spot");
}

void check(Checker& checker, const ContactStatement& contact) {
    checker.whole_number(contact.frame.number, "frame");
    checker.key(contact.surface, "surface");
}

void check(Checker& checker, const WatchedSpan& span) {
    checker.whole_number(span.from.number, "first frame");
    checker.whole_number(span.to.number, "last frame");
    checker.require(in_order(span.from, span.to), "its first frame is not before its last frame");
    const Scope& scope = span.scope;
    checker.require(
        scope.whole_athlete || scope.finish_signal || !scope.surfaces.empty() || !scope.planes.empty(),
        "its scope is empty");
    for (const std::string& surface : scope.surfaces)
        checker.key(surface, "surface");
    for (const std::string& plane : scope.planes)
        checker.key(plane, "plane");
}

void check(Checker& checker, const Drawing& drawing) {
    const bool plane = drawing.kind == DrawingKind::plane;
    checker.key(drawing.key, plane ? "plane" : "surface");
    checker.require(plane || drawing.points.size() >= 3, "a surface's outline needs three points");
    checker.require(!plane || drawing.points.size() >= 2, "a plane's line needs two points");
    checker.require(plane || !drawing.towards, "only a plane has a far side");
    for (const Point& point : drawing.points)
        checker.point(point, "outline");
    if (drawing.towards) checker.point(*drawing.towards, "far side");
    if (drawing.still) checker.whole_number(drawing.still->number, "frame");
}

void check(Checker& checker, const FloorCall& call) {
    checker.key(call.station, "station");
    checker.text(call.judge, "judge");
    if (call.at) checker.whole_number(call.at->ms, "time");
    if (call.points) checker.whole_number(*call.points, "points");
    checker.require(!call.points || call.call == Call::fail, "only a fail comes to points of checkpoints");
}

}  // namespace

base::Result<void> check_values(const Entity& entity) {
    Checker checker;
    checker.whole_number(key_of(entity).id, "id");
    std::visit([&](const auto& thing) { check(checker, thing); }, entity);
    if (checker.sentence().empty()) return {};
    return base::Error{base::Category::bad_input, checker.sentence(), name_of(key_of(entity))};
}

}  // namespace plumbmark::meet
