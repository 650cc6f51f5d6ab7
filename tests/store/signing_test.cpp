// Keys and signatures, held to RFC 8032, section 7.1 (tests 1 to 3), and to the openssl program where it is
// there.
#include "store/signing.h"

#include <catch2/catch.hpp>

#include "store/meet_file.h"
#include "support/file_bytes.h"
#include "support/run_program.h"
#include "support/temporary_folder.h"

namespace {

using namespace plumbmark;
using store::SecretKey;

struct Vector {
    std::string seed, public_key, message, signature;  // hexadecimal
};

const std::vector<Vector> kRfc8032{
    {"9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
     "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
     "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f"
     "0"
     "595bbe24655141438e7a100b"},
    {"4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
     "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
     "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2ea"
     "e"
     "b4302aeeb00d291612bb0c00"},
    {"c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
     "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
     "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e"
     "9"
     "716ed28dc027beceea1ec40a"},
};

SecretKey key_of(const Vector& vector) {
    std::array<unsigned char, store::kSeedBytes> seed{};
    const std::string bytes = *store::bytes_of_hex(vector.seed);
    std::copy(bytes.begin(), bytes.end(), seed.begin());
    return SecretKey::from_seed(seed);
}

}  // namespace

TEST_CASE("keys and signatures are those of RFC 8032") {
    for (const Vector& vector : kRfc8032) {
        const SecretKey key = key_of(vector);
        const std::string message = *store::bytes_of_hex(vector.message);
        CHECK(key.public_key() == vector.public_key);
        CHECK(key.sign(message) == vector.signature);
        CHECK(store::is_signed(vector.public_key, message, vector.signature));
        const auto seed = key.seed();
        CHECK(store::hex_of({reinterpret_cast<const char*>(seed.data()), seed.size()}) == vector.seed);
    }
}

TEST_CASE("a signature holds for its own bytes and its own key alone") {
    const Vector& vector = kRfc8032[2];
    const std::string message = *store::bytes_of_hex(vector.message);
    CHECK_FALSE(store::is_signed(vector.public_key, message + "x", vector.signature));
    CHECK_FALSE(store::is_signed(kRfc8032[0].public_key, message, vector.signature));
    for (std::size_t digit = 0; digit < vector.signature.size(); ++digit) {
        std::string changed = vector.signature;
        changed[digit] = changed[digit] == '0' ? '1' : '0';
        CHECK_FALSE(store::is_signed(vector.public_key, message, changed));
    }
    for (const std::string& bad : {std::string(), vector.signature.substr(2), vector.signature + "00",
                                   std::string(128, 'g'), std::string(128, '0')})
        CHECK_FALSE(store::is_signed(vector.public_key, message, bad));
    // The neutral element as a key would sign anything; RFC 8032 leaves it to the reader, libsodium refuses
    // it.
    CHECK_FALSE(store::is_signed("01" + std::string(62, '0'), message, vector.signature));
    CHECK_FALSE(store::is_signed("", message, vector.signature));
}

TEST_CASE("two new keys differ, and each signs") {
    const SecretKey one = SecretKey::generate(), other = SecretKey::generate();
    CHECK(one.public_key() != other.public_key());
    CHECK(store::is_signed(one.public_key(), "ruling", one.sign("ruling")));
    CHECK_FALSE(store::is_signed(other.public_key(), "ruling", one.sign("ruling")));
}

TEST_CASE("a fingerprint is the first 16 bytes of the key's SHA-256, by twos, in decimal digits") {
    const std::string key = kRfc8032[0].public_key;
    const std::string hash = store::sha256_hex(*store::bytes_of_hex(key));
    std::string expected;
    for (std::size_t at = 0; at < 32; at += 4) {
        std::string group = std::to_string(std::stoi(hash.substr(at, 4), nullptr, 16));
        group.insert(0, 5 - group.size(), '0');
        expected += (at == 0 ? "" : " ") + group;
    }
    CHECK(store::key_fingerprint(key) == expected);
    CHECK(store::key_fingerprint(key) != store::key_fingerprint(kRfc8032[1].public_key));
}

TEST_CASE("hexadecimal digits read back, and nothing else is read as such") {
    CHECK(store::hex_of(std::string("\0\x7f\xff", 3)) == "007fff");
    CHECK(*store::bytes_of_hex("007fff") == std::string("\0\x7f\xff", 3));
    CHECK(store::bytes_of_hex("")->empty());
    for (const char* bad : {"0", "0g", "0F", "00 0", "\xff\xff"})
        CHECK_FALSE(store::bytes_of_hex(bad).ok());
}

TEST_CASE("the openssl program reads our keys and agrees with our signatures") {
    if (test::run_line("openssl version 2>/dev/null").words.find("OpenSSL 3") != 0) {
        WARN("skipped: there is no openssl program of version 3");
        return;
    }
    const test::TemporaryFolder folder;
    for (const Vector& vector : kRfc8032) {
        // Its -rawin takes no empty file.
        if (vector.message.empty()) continue;
        test::write_bytes(folder / "key.pem", store::key_pem(vector.public_key));
        test::write_bytes(folder / "message", *store::bytes_of_hex(vector.message));
        test::write_bytes(folder / "signature", *store::bytes_of_hex(vector.signature));
        const std::string line = "cd '" + folder.path().string() +
                                 "' && openssl pkeyutl -verify -pubin -inkey key.pem -rawin -in message "
                                 "-sigfile signature 2>&1";
        CHECK(test::run_line(line).code == 0);
        test::write_bytes(folder / "message", "another");
        CHECK(test::run_line(line).code != 0);
    }
}
