#include "review/words.h"

#include <fmt/format.h>

#include "base/text.h"
#include "course/parts.h"

namespace plumbmark::review {
namespace {

std::string surface_words(const std::string& key, const course::CourseBook* book) {
    if (key.empty()) return "something undeclared";
    const course::SurfaceId id = book ? book->find_surface(key) : course::SurfaceId{};
    return id.valid() ? book->surface_name(id) : key;
}

std::string plane_words(const std::string& key, const course::CourseBook* book) {
    const course::PlaneId id = book ? book->find_plane(key) : course::PlaneId{};
    return id.valid() ? book->plane(id).name : key;
}

std::string who(const meet::Event& event) {
    return event.part ? std::string(course::part_words(*event.part)) : "whole athlete";
}

std::string signal_words(ruling::SignalKind kind, const course::CourseBook* book) {
    switch (kind) {
        case ruling::SignalKind::start_given:
            return "start signal";
        case ruling::SignalKind::finish_registers:
            return (book && !book->finish.name.empty() ? book->finish.name : std::string("finish signal")) +
                   " registers";
        case ruling::SignalKind::run_over:
            return "run over";
    }
    return {};
}

std::string infraction_words(ruling::InfractionKind kind) {
    switch (kind) {
        case ruling::InfractionKind::assistance:
            return "assistance";
        case ruling::InfractionKind::false_start:
            return "false start";
        case ruling::InfractionKind::lack_of_control:
            return "lack of control";
    }
    return {};
}

std::string grade_words(ruling::Grade grade) {
    switch (grade) {
        case ruling::Grade::ungraded:
            return "";
        case ruling::Grade::brush:
            return " (brush)";
        case ruling::Grade::weight:
            return " (weight)";
    }
    return {};
}

std::string end_words(const std::optional<meet::FrameRef>& frame, const char* outside) {
    return frame ? fmt::format("f {}", frame->number) : std::string(outside);
}

}  // namespace

std::string event_words(const meet::Event& event, const course::CourseBook* book) {
    switch (event.kind) {
        case meet::EventKind::touch:
            return who(event) + " touches " + surface_words(event.surface, book) + grade_words(event.grade);
        case meet::EventKind::release:
            return who(event) + " leaves " + surface_words(event.surface, book);
        case meet::EventKind::cross:
            return who(event) + (event.direction == ruling::Direction::forward ? " past " : " back over ") +
                   plane_words(event.plane, book);
        case meet::EventKind::signal:
            return signal_words(event.signal, book);
        case meet::EventKind::infraction:
            return infraction_words(event.infraction);
        case meet::EventKind::control:
            return "in control on the landing";
        case meet::EventKind::moment:
            return "moment that clips share";
    }
    return {};
}

std::string bracket_words(const meet::Sighting& sighting) {
    if (sighting.early && sighting.late)
        return fmt::format("f {} to {}", sighting.early->number, sighting.late->number);
    return end_words(sighting.early, "before the clip") + " to " + end_words(sighting.late, "after the clip");
}

std::string mark_words(const meet::Mark& mark, const course::CourseBook* book) {
    std::vector<std::string> events;
    for (const meet::Event& event : mark.alternatives)
        events.push_back(event_words(event, book));
    std::string text = base::listed(events, "or");
    for (const meet::Sighting& sighting : mark.sightings)
        text += ", " + bracket_words(sighting);
    if (mark.possible) text += ", possible";
    return text;
}

}  // namespace plumbmark::review
