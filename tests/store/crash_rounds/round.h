// One round: a meet file is made, written to by another program, and hit by one to four faults, one after the
// other. After each it must hold all that was confirmed.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

#include "store/crash_rounds/places.h"

namespace plumbmark::test {

enum class Hit : std::uint8_t {
    killed,            ///< SIGKILL at a random moment; all others end with one as well
    disk_full,         ///< the file system itself has no room left
    write_finds_full,  ///< from here on: by a layer between SQLite and the system
    short_write,
    write_fails,
    sync_fails,
    delete_fails,
    folder_read_only,  ///< the folder's permissions are taken away and given back
    second_program,    ///< others read, want to write, and hold SQLite's own lock
};
inline constexpr std::size_t kHits = 9;

[[nodiscard]] const char* hit_words(Hit hit);

/// What came of all hits of one kind.
struct Tally {
    std::int64_t hits = 0;
    std::int64_t confirmed = 0;     ///< changes that the program had told as confirmed
    std::int64_t found = 0;         ///< of these, found again with the right content
    std::int64_t one_more = 0;      ///< hits after which more was there than was confirmed
    std::int64_t half_written = 0;  ///< hits that left a rollback journal, which the next opening rolled back
    std::int64_t told = 0;          ///< hits of which the program said what had gone wrong
    std::int64_t went_on = 0;       ///< hits after which it wrote on, once the cause was gone
};
using Tallies = std::array<Tally, kHits>;

/// Runs the round of this seed. A sentence, with the fault, where something was lost or is not as it must be;
/// none: all is well. 'keep': a folder that then takes the file and its journal as the fault left them,
/// since another run of the round may kill the program at another moment; empty: they are not kept.
[[nodiscard]] std::optional<std::string> run_round(std::uint64_t seed, const Places& places, Tallies& tallies,
                                                   const std::filesystem::path& keep = {});

}  // namespace plumbmark::test
