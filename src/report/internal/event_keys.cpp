#include "report/internal/event_keys.h"

namespace plumbmark::report {

const char* event_key(meet::EventKind kind) {
    switch (kind) {
        case meet::EventKind::touch:
            return "touch";
        case meet::EventKind::release:
            return "release";
        case meet::EventKind::cross:
            return "cross";
        case meet::EventKind::signal:
            return "signal";
        case meet::EventKind::infraction:
            return "infraction";
        case meet::EventKind::moment:
            return "moment";
        case meet::EventKind::control:
            break;
    }
    return "control";
}

const char* grade_key(ruling::Grade grade) {
    switch (grade) {
        case ruling::Grade::brush:
            return "brush";
        case ruling::Grade::weight:
            return "weight";
        case ruling::Grade::ungraded:
            break;
    }
    return "ungraded";
}

const char* direction_key(ruling::Direction direction) {
    return direction == ruling::Direction::forward ? "forward" : "back";
}

const char* signal_key(ruling::SignalKind kind) {
    switch (kind) {
        case ruling::SignalKind::start_given:
            return "start";
        case ruling::SignalKind::finish_registers:
            return "finish";
        case ruling::SignalKind::run_over:
            break;
    }
    return "over";
}

const char* infraction_key(ruling::InfractionKind kind) {
    switch (kind) {
        case ruling::InfractionKind::assistance:
            return "assistance";
        case ruling::InfractionKind::false_start:
            return "false_start";
        case ruling::InfractionKind::lack_of_control:
            break;
    }
    return "lack_of_control";
}

std::string part_key_of(const meet::Event& event) {
    if (event.part) return std::string(course::part_key(*event.part));
    return event.kind == meet::EventKind::cross ? "whole" : "";
}

}  // namespace plumbmark::report
