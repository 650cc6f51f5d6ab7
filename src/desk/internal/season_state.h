// What the page of a season keeps, and what its keys, clicks and lists ask for.
#pragma once

#include <filesystem>
#include <string>
#include <variant>
#include <vector>

namespace plumbmark::desk {

struct SeasonView {
    std::vector<std::filesystem::path> files;  ///< beside the open meet, in the order they were taken in
    std::string athlete;                       ///< as review::season takes one; empty: everybody
    std::string station;                       ///< key of the chosen one; none of these: the first
    float scroll = 0;                          ///< rows to move the words by when drawn next
    bool show_station = false;                 ///< the chosen one is brought into sight when drawn next
};

/// Asks for whose season it is.
struct ListSeasonAthletes {};
struct SeasonOf {
    std::string athlete;  ///< empty: everybody
};
/// Asks for another meet file.
struct ListSeasonFiles {};
/// Takes the meet file in, or out where it is in already. Of a folder it lists what is there.
struct SeasonFrom {
    std::filesystem::path path;
};
struct TakeSeasonStation {
    std::string key;
};
/// The plots as a picture beside the meet.
struct PrintSeason {};

using SeasonCommand =
    std::variant<ListSeasonAthletes, SeasonOf, ListSeasonFiles, SeasonFrom, TakeSeasonStation, PrintSeason>;

}  // namespace plumbmark::desk
