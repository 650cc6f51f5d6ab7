// What makes a meet's record hold: the keys that sign it, and the seals made with them. Plain values; signing
// and checking are the store's. Members marked personal are kept apart from the journal's chain.
#pragma once

#include <cstdint>
#include <string>

#include "base/ids.h"
#include "meet/competition.h"

namespace plumbmark::meet {

using KeyId = base::Id<struct KeyTag>;
using SealId = base::Id<struct SealTag>;

/// The public half of a key that signs for this meet. The secret half never stands in a meet file.
struct SigningKey {
    KeyId id;
    std::string public_key;  ///< Ed25519 (RFC 8032), 64 lower-case hexadecimal digits
    std::string holder;      ///< personal; who signs with it
    Capacity capacity = Capacity::head_judge;
    WallTime added_at;
    KeyId replaces = {};    ///< the key that was in force before; none: the first
    std::string signature;  ///< of this key by the one it replaces, 128 digits; empty: that one was lost
    friend bool operator==(const SigningKey&, const SigningKey&) = default;
};

/// A signature over one row of the journal, and so over all rows before it.
struct Seal {
    SealId id;
    std::int64_t row = 0;    ///< from 1
    std::string row_sha256;  ///< of that row, 64 lower-case hexadecimal digits
    KeyId key;
    WallTime at;
    std::string signature;           ///< Ed25519, 128 lower-case hexadecimal digits
    PublicationId publication = {};  ///< what it was made for; none: nothing in particular
    friend bool operator==(const Seal&, const Seal&) = default;
};

}  // namespace plumbmark::meet
