#include <sodium.h>

#include <array>

#include "base/check.h"
#include "store/internal/json_text.h"
#include "store/meet_file.h"

namespace plumbmark::store {

base::Result<std::string> canonical_json(const std::string& json_text) {
    base::Result<Json> value = parse_json(json_text);
    if (!value) return value.error();
    return canonical_text(*value);
}

std::string sha256_hex(const std::string& bytes) {
    std::array<unsigned char, crypto_hash_sha256_BYTES> digest{};
    crypto_hash_sha256(digest.data(), reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
    std::array<char, 2 * crypto_hash_sha256_BYTES + 1> hex{};
    sodium_bin2hex(hex.data(), hex.size(), digest.data(), digest.size());
    return hex.data();
}

}  // namespace plumbmark::store
