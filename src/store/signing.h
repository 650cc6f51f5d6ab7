// Ed25519 (RFC 8032): keys that sign a meet's record, and signatures that anybody can check.
#pragma once

#include <array>
#include <memory>
#include <string>
#include <string_view>

#include "base/result.h"

namespace plumbmark::store {

inline constexpr std::size_t kSeedBytes = 32;

/// The secret half of a key. It stands in memory that is locked where the system allows it, kept out of core
/// dumps, and wiped when this object goes. Move only.
class SecretKey {
  public:
    /// A new one, from the system's random source.
    [[nodiscard]] static SecretKey generate();
    /// The key of this seed (RFC 8032, 5.1.5: the 32 bytes that it calls the private key). The caller wipes
    /// its own copy.
    [[nodiscard]] static SecretKey from_seed(const std::array<unsigned char, kSeedBytes>& seed);

    SecretKey(SecretKey&&) noexcept;
    SecretKey& operator=(SecretKey&&) noexcept;
    ~SecretKey();

    /// 64 lower-case hexadecimal digits.
    [[nodiscard]] const std::string& public_key() const { return public_key_; }
    /// The signature over these bytes as 128 lower-case hexadecimal digits; the same bytes give the same one.
    [[nodiscard]] std::string sign(std::string_view bytes) const;
    /// The seed, for keeping; the caller wipes it (wipe()).
    [[nodiscard]] std::array<unsigned char, kSeedBytes> seed() const;

  private:
    SecretKey();
    struct Bytes;
    std::unique_ptr<Bytes> bytes_;
    std::string public_key_;
};

/// Whether 'signature' (128 digits) is this public key's (64 digits) over the bytes. False also where one of
/// the two is not such digits, or a key of small order. Pure.
[[nodiscard]] bool is_signed(const std::string& public_key, std::string_view bytes,
                             const std::string& signature);

/// The fingerprint of a public key, in a form that people can read to each other: eight groups of five
/// decimal digits, "04711 60312 ...", each a pair of bytes of the key's SHA-256, the first 16 bytes of it.
[[nodiscard]] std::string key_fingerprint(const std::string& public_key);

/// A public key as a PEM text (SubjectPublicKeyInfo, RFC 8410), as other programs want it. 'public_key' is 64
/// digits, else the program stops.
[[nodiscard]] std::string key_pem(const std::string& public_key);

/// Overwrites what a secret stood in.
void wipe(std::string& secret);
void wipe(std::array<unsigned char, kSeedBytes>& seed);

/// Bytes of lower-case hexadecimal digits, and the opposite. Error bad_input where it is none.
[[nodiscard]] std::string hex_of(std::string_view bytes);
[[nodiscard]] base::Result<std::string> bytes_of_hex(std::string_view digits);

}  // namespace plumbmark::store
