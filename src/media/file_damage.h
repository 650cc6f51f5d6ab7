// What is wrong with a clip's file as a whole.
#pragma once

#include <cstdint>
#include <string>

#include "base/sentence.h"

namespace plumbmark::media {

/// Kept as what it is and not as a sentence, so that a frame table that comes from the disk says it in the
/// language of whoever looks.
struct FileDamage {
    enum class Kind : std::uint8_t {
        marked_packet,     ///< a packet is cut off or marked as corrupt
        broken_stream,     ///< packets do not have the form that they should
        unreadable_end,    ///< the file cannot be read further
        missing_listed,    ///< it ends before what its index lists
        missing_declared,  ///< it ends before the length that it declares
        undecoded,         ///< pictures could not be decoded whole
    };
    Kind kind = Kind::undecoded;
    /// Of the first packet concerned; of missing_listed how many pictures, of missing_declared how many
    /// bytes.
    std::int64_t number = 0;
    std::int64_t size = 0;  ///< of the file, in bytes; for missing_declared
    std::string why =
        {};  ///< of broken_stream and unreadable_end: a clause in English, in the catalogue if fixed

    /// What is wrong, a whole sentence.
    [[nodiscard]] base::Sentence sentence() const;
    /// Why there are no pictures after the last one, a clause in small letters; empty where it is no reason.
    [[nodiscard]] base::Sentence missing_end() const;
    friend bool operator==(const FileDamage&, const FileDamage&) = default;
};

}  // namespace plumbmark::media
