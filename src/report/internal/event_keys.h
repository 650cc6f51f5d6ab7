// The words that files use for what a mark names, as docs/marks.md has them.
#pragma once

#include <string>

#include "meet/values.h"

namespace plumbmark::report {

[[nodiscard]] const char* event_key(meet::EventKind kind);
[[nodiscard]] const char* grade_key(ruling::Grade grade);
[[nodiscard]] const char* direction_key(ruling::Direction direction);
[[nodiscard]] const char* signal_key(ruling::SignalKind kind);
[[nodiscard]] const char* infraction_key(ruling::InfractionKind kind);
/// "left_foot", or "whole" for the whole athlete; empty for an event that names no part.
[[nodiscard]] std::string part_key_of(const meet::Event& event);

}  // namespace plumbmark::report
