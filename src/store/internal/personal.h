// Personal values and the hashes that stand for them in the journal and the tables.
#pragma once

#include <functional>
#include <string>
#include <unordered_map>
#include <vector>

#include "meet/changes.h"
#include "meet/personal.h"

namespace plumbmark::store {

inline constexpr std::size_t kSaltBytes = 32;

/// A value kept apart: hash = apart_hash(salt, value).
struct ApartValue {
    std::string hash;
    std::string salt;  ///< kSaltBytes bytes
    std::string value;
};

/// SHA-256, in hex, of the salt's bytes followed by the value's UTF-8 bytes. The salt has one length, so that
/// no two pairs run together.
[[nodiscard]] std::string apart_hash(const std::string& salt, const std::string& value);

using RandomSource = std::function<void(unsigned char*, std::size_t)>;

/// A change whose personal values are replaced by hashes, and the values that are new with it.
struct SealedChange {
    meet::Change change;
    std::vector<ApartValue> fresh;
};

/// Seals a change. 'stored' holds the sealed state that the change applies to: what a field was before keeps
/// its hash, and a value that does not change keeps it too; every new value gets a salt of its own, so that
/// equal names cannot be told from different ones.
[[nodiscard]] SealedChange seal(const meet::Change& change, const meet::State& stored,
                                const RandomSource& random);

using ApartValues = std::unordered_map<std::string, std::string>;

/// Puts the values back in place of their hashes; a value that was erased becomes the empty text.
void unseal(meet::Entity& entity, const ApartValues& values);
[[nodiscard]] meet::Entity unsealed(meet::Entity entity, const ApartValues& values);
[[nodiscard]] meet::Change unsealed(meet::Change change, const ApartValues& values);

}  // namespace plumbmark::store
