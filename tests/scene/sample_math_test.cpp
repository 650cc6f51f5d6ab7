// The world's own mathematics against the system's, and against published numbers.
#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "digest.h"
#include "vec.h"

using namespace plumbmark::scene;

TEST_CASE("Own sine, cosine, angle, exponential and logarithm agree with the system's library within 1e-12") {
    for (int i = -40000; i <= 40000; ++i) {
        const double x = i * 0.0137;
        REQUIRE(std::fabs(sine(x) - std::sin(x)) < 1e-12);
        REQUIRE(std::fabs(cosine(x) - std::cos(x)) < 1e-12);
        const double y = i * 0.0021 - 3.3;
        REQUIRE(std::fabs(angle_of(y, x) - std::atan2(y, x)) < 1e-12);
    }
    for (int i = -3000; i <= 3000; ++i) {
        const double x = i * 0.2;
        REQUIRE(std::fabs(exponential(x) / std::exp(x) - 1) < 1e-12);
        const double v = std::exp(i * 0.01);
        REQUIRE(std::fabs(logarithm(v) - std::log(v)) < 1e-12);
    }
    REQUIRE(std::fabs(power(0.218, 1 / 2.4) - std::pow(0.218, 1 / 2.4)) < 1e-12);
}

TEST_CASE("SHA-256 gives the digests of FIPS 180 and CRC-32 its published check value") {
    const auto digest = [](const std::string& text) {
        Sha256 sha;
        sha.add(text.data(), text.size());
        return sha.finish();
    };
    REQUIRE(digest("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    REQUIRE(digest("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    REQUIRE(digest("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    Sha256 million;
    const std::string piece(1000, 'a');
    for (int i = 0; i < 1000; ++i)
        million.add(piece.data(), piece.size());
    REQUIRE(million.finish() == "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
    REQUIRE(hex(crc32(0, "123456789", 9)) ==
            "cbf43926");  // the check value of the CRC-32/ISO-HDLC catalogue entry
}
