// The ruling in plain sentences, for a terminal.
#pragma once

#include <string>

#include "report/ruling_document.h"

namespace plumbmark::report {

/// The ruling as a parent, a coach or a judge can read it: who and what was asked, each station with its
/// verdict, its reason, what decided it, its margin, what it rests on, what would settle it and what becomes
/// of the floor call; then the run. UTF-8, lines end in a line feed, no colour codes. Control characters in
/// names become U+FFFD, so that no name can steer a terminal. Pure; any thread.
[[nodiscard]] std::string ruling_text(const RulingDocument& document);

/// "Upheld: the footage shows the same." and its kin: the sentence for a floor call beside a station's
/// ruling. Empty when the station has no floor call.
[[nodiscard]] std::string floor_call_sentence(const RulingDocument& document, course::StationId station);

}  // namespace plumbmark::report
