#include "review/words.h"

#include <fmt/format.h>

#include "base/text.h"
#include "course/parts.h"
#include "review/internal/spoken.h"

namespace plumbmark::review {
namespace {

using base::spoken;

std::string surface_words(const std::string& key, const course::CourseBook* book) {
    if (key.empty()) return spoken("something undeclared");
    const course::SurfaceId id = book ? book->find_surface(key) : course::SurfaceId{};
    return id.valid() ? book->surface_name(id) : key;
}

std::string plane_words(const std::string& key, const course::CourseBook* book) {
    const course::PlaneId id = book ? book->find_plane(key) : course::PlaneId{};
    return id.valid() ? book->plane(id).name : key;
}

std::string who(const meet::Event& event) {
    return event.part ? spoken(std::string(course::part_words(*event.part)).c_str())
                      : spoken("whole athlete");
}

std::string signal_words(ruling::SignalKind kind, const course::CourseBook* book) {
    switch (kind) {
        case ruling::SignalKind::start_given:
            return spoken("start signal");
        case ruling::SignalKind::finish_registers:
            return format_spoken("{} registers", book && !book->finish.name.empty()
                                                     ? book->finish.name
                                                     : std::string(spoken("finish signal")));
        case ruling::SignalKind::run_over:
            return spoken("run over");
    }
    return {};
}

std::string infraction_words(ruling::InfractionKind kind) {
    switch (kind) {
        case ruling::InfractionKind::assistance:
            return spoken("assistance");
        case ruling::InfractionKind::false_start:
            return spoken("false start");
        case ruling::InfractionKind::lack_of_control:
            return spoken("lack of control");
    }
    return {};
}

std::string with_grade(std::string words, ruling::Grade grade) {
    switch (grade) {
        case ruling::Grade::ungraded:
            return words;
        case ruling::Grade::brush:
            return format_spoken("{} (brush)", words);
        case ruling::Grade::weight:
            return format_spoken("{} (weight)", words);
    }
    return words;
}

std::string end_words(const std::optional<meet::FrameRef>& frame, const char* outside) {
    return frame ? format_spoken("f {}", frame->number) : std::string(outside);
}

}  // namespace

std::string event_words(const meet::Event& event, const course::CourseBook* book) {
    switch (event.kind) {
        case meet::EventKind::touch:
            return with_grade(format_spoken("{} touches {}", who(event), surface_words(event.surface, book)),
                              event.grade);
        case meet::EventKind::release:
            return format_spoken("{} leaves {}", who(event), surface_words(event.surface, book));
        case meet::EventKind::cross:
            return event.direction == ruling::Direction::forward
                       ? format_spoken("{} past {}", who(event), plane_words(event.plane, book))
                       : format_spoken("{} back over {}", who(event), plane_words(event.plane, book));
        case meet::EventKind::signal:
            return signal_words(event.signal, book);
        case meet::EventKind::infraction:
            return infraction_words(event.infraction);
        case meet::EventKind::control:
            return spoken("in control on the landing");
        case meet::EventKind::moment:
            return spoken("moment that clips share");
    }
    return {};
}

std::string bracket_words(const meet::Sighting& sighting) {
    if (sighting.early && sighting.late)
        return format_spoken("f {} to {}", sighting.early->number, sighting.late->number);
    return format_spoken("{} to {}", end_words(sighting.early, spoken("before the clip")),
                         end_words(sighting.late, spoken("after the clip")));
}

std::string mark_words(const meet::Mark& mark, const course::CourseBook* book) {
    std::vector<std::string> events;
    for (const meet::Event& event : mark.alternatives)
        events.push_back(event_words(event, book));
    std::string text = base::listed(events, spoken("or"));
    for (const meet::Sighting& sighting : mark.sightings)
        text += ", " + bracket_words(sighting);
    if (mark.possible) text = format_spoken("{}, possible", text);
    return text;
}

}  // namespace plumbmark::review
