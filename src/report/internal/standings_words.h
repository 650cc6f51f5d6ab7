// The words of a line of results, the same in every form of the standings; standings_document.h has more.
#pragma once

#include <string>

#include "report/standings_document.h"

namespace plumbmark::report {

[[nodiscard]] bool counts_points(const StandingsDocument& document);
/// "3"; empty for a line without a place.
[[nodiscard]] std::string place_of(const meet::Line& line);
/// "1:01.20", "61.18 to 61.30"; empty without a place or a time.
[[nodiscard]] std::string time_of(const StandingsDocument& document, const meet::Line& line);
/// "official, publication 2", "so far".
[[nodiscard]] std::string state_words(const StandingsTable& table);
/// "points" or "cleared".
[[nodiscard]] const char* cleared_word(const StandingsDocument& document);
[[nodiscard]] std::int32_t counted(const StandingsDocument& document, const meet::Line& line);

}  // namespace plumbmark::report
