// A file layer for SQLite over the system's own, in which operations of one sort fail for a while.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

namespace plumbmark::test {

enum class Fault : std::uint8_t {
    full,         ///< a write finds the disk full
    short_write,  ///< half of a write is written, then the disk is full
    write_fails,  ///< a write fails
    sync_fails,   ///< a sync fails
    delete_fails  ///< removing the rollback journal fails
};

/// "full", "short-write" ...; none: there is no such fault.
[[nodiscard]] std::optional<Fault> fault_from_word(const std::string& word);
[[nodiscard]] const char* fault_word(Fault fault);

/// Registers the layer for as long as the program runs and gives its name: after 'after' operations of the
/// fault's sort, 'length' of them fail, and then all goes well again. Once per program.
[[nodiscard]] std::string faulty_layer(Fault fault, std::int64_t after, std::int64_t length);

}  // namespace plumbmark::test
