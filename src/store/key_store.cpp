#include "store/key_store.h"

#include <fmt/format.h>
#include <sodium.h>
#include <sys/stat.h>

#include <cstdlib>

#include "base/check.h"
#include "base/worded.h"
#include "store/internal/private_file.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
namespace fs = std::filesystem;

constexpr const char* kFormat = "plumbmark-secret-key/1";
constexpr const char* kDerivation = "argon2id13";
constexpr const char* kCipher = "xchacha20poly1305-ietf";
// A file that asks for more was made to make us wait, or to fill the memory.
constexpr std::uint64_t kMostPasses = 64, kMostMemory = 2'048ULL << 20U;
constexpr std::size_t kLargestFile = 4'096;

/// What stands in the file beside the sealed seed; it is authenticated together with it.
struct Envelope {
    std::string public_key;
    PassphraseCost cost;
    std::string salt, nonce;  ///< bytes
};

Json to_json(const Envelope& envelope) {
    return {{"format", kFormat},
            {"public_key", envelope.public_key},
            {"derivation", kDerivation},
            {"passes", envelope.cost.passes},
            {"memory_bytes", envelope.cost.memory_bytes},
            {"salt", hex_of(envelope.salt)},
            {"cipher", kCipher},
            {"nonce", hex_of(envelope.nonce)}};
}

const unsigned char* in(const std::string& bytes) {
    return reinterpret_cast<const unsigned char*>(bytes.data());
}
unsigned char* out(std::string& bytes) {
    return reinterpret_cast<unsigned char*>(bytes.data());
}

/// The key that the passphrase gives; it is wiped when this object goes.
class Derived {
  public:
    Derived() = default;
    Derived(const Derived&) = delete;
    Derived& operator=(const Derived&) = delete;
    ~Derived() { sodium_memzero(bytes_.data(), bytes_.size()); }

    [[nodiscard]] Result<void> derive(const std::string& passphrase, const Envelope& envelope) {
        const int failed = crypto_pwhash(bytes_.data(), bytes_.size(), passphrase.data(), passphrase.size(),
                                         in(envelope.salt), envelope.cost.passes, envelope.cost.memory_bytes,
                                         crypto_pwhash_ALG_ARGON2ID13);
        if (failed == 0) return {};
        return Error{Category::io,
                     worded("The passphrase needs {} MiB of memory to be tried, and there is not as "
                            "much free. Close other programs and try again.",
                            envelope.cost.memory_bytes >> 20U),
                     ""};
    }
    [[nodiscard]] const unsigned char* data() const { return bytes_.data(); }

  private:
    std::array<unsigned char, crypto_aead_xchacha20poly1305_ietf_KEYBYTES> bytes_{};
};

std::string random_bytes(std::size_t count) {
    std::string bytes(count, '\0');
    randombytes_buf(bytes.data(), bytes.size());
    return bytes;
}

std::string read_bytes(const Members& members, const std::string& name, std::size_t count) {
    const auto bytes = bytes_of_hex(members.text(name));
    if (!bytes || bytes->size() != count)
        fail_at(members.path_of(name), worded("{} hexadecimal digits are expected here", 2 * count));
    return *bytes;
}

std::uint64_t read_number(const Members& members, const std::string& name, std::uint64_t least,
                          std::uint64_t most) {
    const auto number = static_cast<std::uint64_t>(members.whole_number(name));
    if (number < least || number > most)
        fail_at(members.path_of(name), worded("a number from {} to {} is expected here", least, most));
    return number;
}

void expect(const Members& members, const std::string& name, const char* word) {
    if (members.text(name) != word) fail_at(members.path_of(name), worded("'{}' is expected here", word));
}

struct KeptKey {
    Envelope envelope;
    std::string sealed;
};

KeptKey read_kept(const std::string& text) {
    const Result<Json> json = parse_json(text);
    if (!json) throw ReadProblem{json.error()};
    const Members members(*json, "",
                          {"format", "public_key", "derivation", "passes", "memory_bytes", "salt", "cipher",
                           "nonce", "sealed"});
    expect(members, "format", kFormat);
    expect(members, "derivation", kDerivation);
    expect(members, "cipher", kCipher);
    KeptKey kept;
    kept.envelope.public_key = hex_of(read_bytes(members, "public_key", crypto_sign_PUBLICKEYBYTES));
    kept.envelope.cost.passes =
        read_number(members, "passes", crypto_pwhash_argon2id_OPSLIMIT_MIN, kMostPasses);
    kept.envelope.cost.memory_bytes =
        read_number(members, "memory_bytes", crypto_pwhash_argon2id_MEMLIMIT_MIN, kMostMemory);
    kept.envelope.salt = read_bytes(members, "salt", crypto_pwhash_SALTBYTES);
    kept.envelope.nonce = read_bytes(members, "nonce", crypto_aead_xchacha20poly1305_ietf_NPUBBYTES);
    kept.sealed = read_bytes(members, "sealed", kSeedBytes + crypto_aead_xchacha20poly1305_ietf_ABYTES);
    return kept;
}

Result<SecretKey> unseal(const KeptKey& kept, const std::string& passphrase, const fs::path& path) {
    Derived derived;
    if (Result<void> made = derived.derive(passphrase, kept.envelope); !made)
        return Error{made.error().category, made.error().sentence, path.string()};
    const std::string said = canonical_text(to_json(kept.envelope));
    std::array<unsigned char, kSeedBytes> seed{};
    const int failed = crypto_aead_xchacha20poly1305_ietf_decrypt(
        seed.data(), nullptr, nullptr, in(kept.sealed), kept.sealed.size(), in(said), said.size(),
        in(kept.envelope.nonce), derived.data());
    if (failed != 0)
        return Error{
            Category::bad_input,
            worded("This is not the passphrase of the key, or its file was changed. Nothing was signed."),
            path.string()};
    SecretKey key = SecretKey::from_seed(seed);
    wipe(seed);
    if (key.public_key() == kept.envelope.public_key) return key;
    return Error{Category::damaged, worded("the file holds another secret key than it says"), path.string()};
}

}  // namespace

Result<fs::path> key_folder() {
    const auto set = [](const char* name) -> std::string {
        const char* value = std::getenv(name);
        // The specification: a relative path is none.
        return value != nullptr && value[0] == '/' ? value : "";
    };
    if (const std::string data = set("XDG_DATA_HOME"); !data.empty())
        return fs::path(data) / "plumbmark" / "keys";
    if (const std::string home = set("HOME"); !home.empty())
        return fs::path(home) / ".local" / "share" / "plumbmark" / "keys";
    return Error{
        Category::not_found,
        worded("Neither XDG_DATA_HOME nor HOME says where your files are, so there is no place for keys. "
               "Set one of them."),
        ""};
}

fs::path key_path(const fs::path& folder, const std::string& public_key) {
    return folder / (public_key + ".key");
}

bool holds_key(const fs::path& folder, const std::string& public_key) {
    std::error_code ignored;
    return fs::exists(key_path(folder, public_key), ignored);
}

Result<void> check_new_passphrase(const std::string& passphrase) {
    if (passphrase.size() >= kShortestPassphrase) return {};
    return Error{Category::bad_input,
                 worded("A passphrase has at least {} characters; whoever copies the key's file can "
                        "try as many as they like.",
                        kShortestPassphrase),
                 ""};
}

Result<void> keep_key(const fs::path& folder, const SecretKey& key, const std::string& passphrase,
                      const PassphraseCost& cost) {
    PLUMBMARK_CHECK(sodium_init() >= 0);
    if (Result<void> good = check_new_passphrase(passphrase); !good) return good;
    if (Result<void> made = make_private_folder(folder); !made) return made;
    const fs::path path = key_path(folder, key.public_key());
    const Envelope envelope{key.public_key(), cost, random_bytes(crypto_pwhash_SALTBYTES),
                            random_bytes(crypto_aead_xchacha20poly1305_ietf_NPUBBYTES)};
    Derived derived;
    if (Result<void> done = derived.derive(passphrase, envelope); !done) return done;
    const std::string said = canonical_text(to_json(envelope));
    std::string sealed(kSeedBytes + crypto_aead_xchacha20poly1305_ietf_ABYTES, '\0');
    std::array<unsigned char, kSeedBytes> seed = key.seed();
    const int failed =
        crypto_aead_xchacha20poly1305_ietf_encrypt(out(sealed), nullptr, seed.data(), seed.size(), in(said),
                                                   said.size(), nullptr, in(envelope.nonce), derived.data());
    wipe(seed);
    PLUMBMARK_CHECK(failed == 0);
    Json whole = to_json(envelope);
    whole["sealed"] = hex_of(sealed);
    return write_private_file(path, canonical_text(whole) + "\n");
}

Result<SecretKey> open_key(const fs::path& folder, const std::string& public_key,
                           const std::string& passphrase) {
    PLUMBMARK_CHECK(sodium_init() >= 0);
    const fs::path path = key_path(folder, public_key);
    const Result<std::string> text = read_private_file(path, kLargestFile);
    if (!text) return text.error();
    KeptKey kept;
    try {
        kept = read_kept(*text);
    } catch (const ReadProblem& problem) {
        return Error{Category::damaged, worded("the key's file cannot be read: {}", whole_of(problem.error)),
                     path.string()};
    }
    if (kept.envelope.public_key != public_key)
        return Error{Category::damaged, worded("the file is that of another key"), path.string()};
    return unseal(kept, passphrase, path);
}

}  // namespace plumbmark::store
