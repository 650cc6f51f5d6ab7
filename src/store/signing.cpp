#include "store/signing.h"

#include <fmt/format.h>
#include <sodium.h>

#include <cstring>
#include <new>
#include <vector>

#include "base/check.h"
#include "base/worded.h"

namespace plumbmark::store {
namespace {

void start_sodium() {
    PLUMBMARK_CHECK(sodium_init() >= 0);
}

const unsigned char* bytes_of(std::string_view text) {
    return reinterpret_cast<const unsigned char*>(text.data());
}

// RFC 8410: SEQUENCE { SEQUENCE { OID 1.3.101.112 } BIT STRING of 32 bytes }.
constexpr std::string_view kPemPrefix = "302a300506032b6570032100";

}  // namespace

// Guarded pages of libsodium: locked, not dumped, wiped when they are freed.
struct SecretKey::Bytes {
    Bytes() : at(static_cast<unsigned char*>(sodium_malloc(crypto_sign_SECRETKEYBYTES))) {
        if (at == nullptr) throw std::bad_alloc();
    }
    ~Bytes() { sodium_free(at); }
    Bytes(const Bytes&) = delete;
    Bytes& operator=(const Bytes&) = delete;

    unsigned char* at;
};

SecretKey::SecretKey() : bytes_(std::make_unique<Bytes>()) {}
SecretKey::SecretKey(SecretKey&&) noexcept = default;
SecretKey& SecretKey::operator=(SecretKey&&) noexcept = default;
SecretKey::~SecretKey() = default;

SecretKey SecretKey::generate() {
    start_sodium();
    std::array<unsigned char, kSeedBytes> seed{};
    randombytes_buf(seed.data(), seed.size());
    SecretKey key = from_seed(seed);
    wipe(seed);
    return key;
}

SecretKey SecretKey::from_seed(const std::array<unsigned char, kSeedBytes>& seed) {
    start_sodium();
    SecretKey key;
    std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> open{};
    PLUMBMARK_CHECK(crypto_sign_seed_keypair(open.data(), key.bytes_->at, seed.data()) == 0);
    key.public_key_ = hex_of({reinterpret_cast<const char*>(open.data()), open.size()});
    return key;
}

std::string SecretKey::sign(std::string_view bytes) const {
    std::array<unsigned char, crypto_sign_BYTES> signature{};
    PLUMBMARK_CHECK(
        crypto_sign_detached(signature.data(), nullptr, bytes_of(bytes), bytes.size(), bytes_->at) == 0);
    return hex_of({reinterpret_cast<const char*>(signature.data()), signature.size()});
}

std::array<unsigned char, kSeedBytes> SecretKey::seed() const {
    std::array<unsigned char, kSeedBytes> seed{};
    PLUMBMARK_CHECK(crypto_sign_ed25519_sk_to_seed(seed.data(), bytes_->at) == 0);
    return seed;
}

bool is_signed(const std::string& public_key, std::string_view bytes, const std::string& signature) {
    start_sodium();
    const auto key = bytes_of_hex(public_key);
    const auto mark = bytes_of_hex(signature);
    if (!key || key->size() != crypto_sign_PUBLICKEYBYTES) return false;
    if (!mark || mark->size() != crypto_sign_BYTES) return false;
    return crypto_sign_verify_detached(bytes_of(*mark), bytes_of(bytes), bytes.size(), bytes_of(*key)) == 0;
}

std::string key_fingerprint(const std::string& public_key) {
    const auto key = bytes_of_hex(public_key);
    PLUMBMARK_CHECK(key.ok());
    std::array<unsigned char, crypto_hash_sha256_BYTES> hash{};
    PLUMBMARK_CHECK(crypto_hash_sha256(hash.data(), bytes_of(*key), key->size()) == 0);
    std::string words;
    for (std::size_t i = 0; i < 16; i += 2)
        words += fmt::format("{}{:05}", i == 0 ? "" : " ", hash[i] * 256 + hash[i + 1]);
    return words;
}

std::string key_pem(const std::string& public_key) {
    const auto bytes = bytes_of_hex(std::string(kPemPrefix) + public_key);
    PLUMBMARK_CHECK(bytes.ok() && public_key.size() == 2 * crypto_sign_PUBLICKEYBYTES);
    std::vector<char> base64(sodium_base64_ENCODED_LEN(bytes->size(), sodium_base64_VARIANT_ORIGINAL));
    sodium_bin2base64(base64.data(), base64.size(), bytes_of(*bytes), bytes->size(),
                      sodium_base64_VARIANT_ORIGINAL);
    return fmt::format("-----BEGIN PUBLIC KEY-----\n{}\n-----END PUBLIC KEY-----\n", base64.data());
}

void wipe(std::string& secret) {
    // All that was reserved: a longer secret may have stood there before.
    secret.resize(secret.capacity());
    sodium_memzero(secret.data(), secret.size());
    secret.clear();
}

void wipe(std::array<unsigned char, kSeedBytes>& seed) {
    sodium_memzero(seed.data(), seed.size());
}

std::string hex_of(std::string_view bytes) {
    std::string digits(bytes.size() * 2 + 1, '\0');
    sodium_bin2hex(digits.data(), digits.size(), bytes_of(bytes), bytes.size());
    digits.pop_back();
    return digits;
}

base::Result<std::string> bytes_of_hex(std::string_view digits) {
    const auto value = [](char c) {
        return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
    };
    std::string bytes;
    for (std::size_t i = 0; i + 1 < digits.size(); i += 2) {
        const int high = value(digits[i]), low = value(digits[i + 1]);
        if (high < 0 || low < 0) break;
        bytes.push_back(static_cast<char>(high * 16 + low));
    }
    if (bytes.size() * 2 != digits.size())
        return base::Error{base::Category::bad_input,
                           base::worded("these are not pairs of lower-case hexadecimal digits"), ""};
    return bytes;
}

}  // namespace plumbmark::store
