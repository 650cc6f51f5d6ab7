// What a stored value must be like, taken alone.
#include <algorithm>
#include <set>

#include "meet/changes.h"
#include "meet/internal/checker.h"
#include "meet/internal/names.h"

namespace plumbmark::meet {

using base::to_translate;

namespace {

// A clip with a fault may carry one time stamp twice, so only the numbers must differ.
bool in_order(const FrameRef& first, const FrameRef& second) {
    return first.number < second.number && first.pts <= second.pts;
}

void check(Checker& checker, const MeetInfo& info) {
    checker.text(info.name, to_translate("name"));
    checker.text(info.venue, to_translate("venue"));
    checker.text(info.date, to_translate("date"));
}

void check(Checker& checker, const Athlete& athlete) {
    checker.text(athlete.number, to_translate("number"));
    checker.text(athlete.name, to_translate("name"));
    checker.text(athlete.club, to_translate("club"));
    checker.text(athlete.division, to_translate("division"));
    checker.text(athlete.born, to_translate("year of birth"));
    checker.text(athlete.category, to_translate("category"));
}

void check(Checker& checker, const BookRevision& book) {
    checker.text(book.file_name, to_translate("file name"));
    checker.text(book.text, to_translate("text"), kLongestBook);
    checker.text(book.path, to_translate("path"));
}

void check(Checker& checker, const std::vector<RepeatedPictures>& repeated) {
    std::int64_t last = 0;
    for (const RepeatedPictures& one : repeated) {
        checker.whole_number(one.last, to_translate("repeated frame"));
        checker.require(one.first.number >= last && one.first.number < one.last,
                        to_translate("its repeated frames are not in order"));
        last = one.last;
    }
}

void check(Checker& checker, const Clip& clip) {
    checker.text(clip.name, to_translate("name"));
    checker.text(clip.relative_path, to_translate("relative path"));
    checker.text(clip.last_known_path, to_translate("last known path"));
    checker.text(clip.fingerprint, to_translate("fingerprint"));
    checker.whole_number(clip.frame_count, to_translate("frame count"));
    checker.require(clip.time_base.den > 0 && clip.time_base.num >= 0,
                    to_translate("its time base is not a fraction of a second"));
    checker.require(!clip.row_delay || clip.row_delay->ns >= 0, to_translate("its row delay is negative"));
    for (const std::optional<int>& stream : {clip.streams.video, clip.streams.sound})
        checker.require(!stream || (*stream >= 0 && *stream <= kMostStreams),
                        to_translate("it takes a stream that no file has"));
    checker.require(
        !clip.picture || (clip.picture->width >= 1 && clip.picture->height >= 1 &&
                          clip.picture->width <= kLargestPicture && clip.picture->height <= kLargestPicture &&
                          clip.picture->quarter_turns >= 0 && clip.picture->quarter_turns <= 3),
        to_translate("its picture has a form that none has"));
    if (clip.content) checker.hex_digits(clip.content->sha256, 64, to_translate("file's SHA-256"));
    const base::Sentence capture = problem_of(clip.capture);
    checker.require_none(capture);
    for (const CaptureStretch& stretch : clip.capture)
        checker.whole_number(stretch.from.number, to_translate("capture time's frame"));
    checker.require(!clip.slowed || (is_rate(clip.slowed->recorded) && is_rate(clip.slowed->shown)),
                    to_translate("the rate that its file states is none"));
    check(checker, clip.repeated.value_or(std::vector<RepeatedPictures>{}));
}

void check(Checker& checker, const Run& run) {
    checker.text(run.label, to_translate("label"));
    checker.text(run.question, to_translate("question"));
    checker.text(run.division, to_translate("division"));
    checker.text(run.lane, to_translate("lane"));
    checker.require(std::set<ClipId>(run.clips.begin(), run.clips.end()).size() == run.clips.size(),
                    to_translate("it names one clip twice"));
    checker.require(!run.rerun_of.valid() || run.rerun_of != run.id,
                    to_translate("it is a re-run of itself"));
}

bool takes_part(EventKind kind) {
    return kind == EventKind::touch || kind == EventKind::release || kind == EventKind::cross;
}

// Every field that the kind does not use must be as a new Event has it, so that equal events compare equal.
void check(Checker& checker, const Event& event) {
    const Event plain;
    const bool on_surface = event.kind == EventKind::touch || event.kind == EventKind::release;
    const bool on_plane = event.kind == EventKind::cross;
    // None: something that the course book does not declare (docs/rulings.md, section 1).
    if (on_surface) checker.text(event.surface, to_translate("surface"));
    if (on_plane) checker.key(event.plane, to_translate("plane"));
    checker.require(!on_surface || event.part, to_translate("it names no part of the body"));
    checker.require(takes_part(event.kind) || !event.part,
                    to_translate("a part of the body has no place in such an event"));
    checker.require(on_surface || event.surface.empty(),
                    to_translate("a surface has no place in such an event"));
    checker.require(on_plane || event.plane.empty(), to_translate("a plane has no place in such an event"));
    checker.require(on_plane || event.direction == plain.direction,
                    to_translate("a direction belongs to a crossing only"));
    checker.require(event.kind == EventKind::touch || event.grade == plain.grade,
                    to_translate("a grade belongs to a touch only"));
    checker.require(event.kind == EventKind::signal || event.signal == plain.signal,
                    to_translate("a kind of signal belongs to a signal only"));
    checker.require(event.kind == EventKind::infraction || event.infraction == plain.infraction,
                    to_translate("a kind of infraction belongs to an infraction only"));
}

void check(Checker& checker, const Sighting& sighting) {
    if (sighting.early) checker.whole_number(sighting.early->number, to_translate("early frame"));
    if (sighting.late) checker.whole_number(sighting.late->number, to_translate("late frame"));
    checker.require(!sighting.early || !sighting.late || in_order(*sighting.early, *sighting.late),
                    to_translate("its early frame is not before its late frame"));
}

void check(Checker& checker, const Mark& mark) {
    checker.require(!mark.alternatives.empty(), to_translate("it names no event"));
    checker.require(!mark.sightings.empty(), to_translate("it is on no clip"));
    for (auto event = mark.alternatives.begin(); event != mark.alternatives.end(); ++event) {
        check(checker, *event);
        checker.require(std::find(mark.alternatives.begin(), event, *event) == event,
                        to_translate("two of its alternatives are the same"));
        checker.require(
            event->kind != EventKind::moment || (!mark.possible && mark.alternatives.size() == 1),
            to_translate(
                "a moment that clips share can be neither possible nor one of several alternatives"));
    }
    std::set<ClipId> clips;
    for (const Sighting& sighting : mark.sightings) {
        check(checker, sighting);
        checker.require(clips.insert(sighting.clip).second, to_translate("it has two brackets on one clip"));
    }
    checker.text(mark.note, to_translate("note"));
    if (mark.spot) checker.point(*mark.spot, to_translate("spot"));
    check_measured(checker, mark);
}

void check(Checker& checker, const ContactStatement& contact) {
    checker.whole_number(contact.frame.number, to_translate("frame"));
    checker.key(contact.surface, to_translate("surface"));
}

void check(Checker& checker, const WatchedSpan& span) {
    checker.whole_number(span.from.number, to_translate("first frame"));
    checker.whole_number(span.to.number, to_translate("last frame"));
    checker.require(in_order(span.from, span.to),
                    to_translate("its first frame is not before its last frame"));
    const Scope& scope = span.scope;
    checker.require(
        scope.whole_athlete || scope.finish_signal || !scope.surfaces.empty() || !scope.planes.empty(),
        to_translate("its scope is empty"));
    for (const std::string& surface : scope.surfaces)
        checker.key(surface, to_translate("surface"));
    for (const std::string& plane : scope.planes)
        checker.key(plane, to_translate("plane"));
}

void check(Checker& checker, const Drawing& drawing) {
    const bool plane = drawing.kind == DrawingKind::plane;
    checker.key(drawing.key, plane ? to_translate("plane") : to_translate("surface"));
    checker.require(plane || drawing.points.size() >= 3,
                    to_translate("a surface's outline needs three points"));
    checker.require(!plane || drawing.points.size() >= 2, to_translate("a plane's line needs two points"));
    checker.require(plane || !drawing.towards, to_translate("only a plane has a far side"));
    for (const Point& point : drawing.points)
        checker.point(point, to_translate("outline"));
    if (drawing.towards) checker.point(*drawing.towards, to_translate("far side"));
    if (drawing.still) checker.whole_number(drawing.still->number, to_translate("frame"));
}

void check(Checker& checker, const FloorCall& call) {
    checker.key(call.station, to_translate("station"));
    checker.text(call.judge, to_translate("judge"));
    if (call.at) checker.whole_number(call.at->ms, to_translate("time"));
    if (call.points) checker.whole_number(*call.points, to_translate("points"));
    checker.require(!call.points || call.call == Call::fail,
                    to_translate("only a fail comes to points of checkpoints"));
}

}  // namespace

base::Result<void> check_values(const Entity& entity) {
    Checker checker;
    checker.whole_number(key_of(entity).id, to_translate("id"));
    std::visit([&](const auto& thing) { check(checker, thing); }, entity);
    if (checker.sentence().empty()) return {};
    return base::Error{base::Category::bad_input, checker.sentence(), name_of(key_of(entity))};
}

}  // namespace plumbmark::meet
