// What a key, a seal and a cover must be like, taken alone.
#include "meet/internal/checker.h"

namespace plumbmark::meet {
namespace {

constexpr std::size_t kKeyDigits = 64, kHashDigits = 64, kSignatureDigits = 128;

}  // namespace

void check(Checker& checker, const SigningKey& key) {
    checker.hex_digits(key.public_key, kKeyDigits, "public key");
    checker.text(key.holder, "holder");
    checker.whole_number(key.added_at.ms, "time");
    if (!key.signature.empty()) checker.hex_digits(key.signature, kSignatureDigits, "signature");
    checker.require(key.signature.empty() || key.replaces.valid(),
                    "it is signed by a key that it does not replace");
    checker.require(!key.replaces.valid() || key.replaces != key.id, "it replaces itself");
}

void check(Checker& checker, const Seal& seal) {
    checker.whole_number(seal.row, "row");
    checker.require(seal.row >= 1, "its row is not 1 or more");
    checker.hex_digits(seal.row_sha256, kHashDigits, "row's SHA-256");
    checker.whole_number(seal.at.ms, "time");
    checker.hex_digits(seal.signature, kSignatureDigits, "signature");
}

void check(Checker& checker, const Cover& cover) {
    checker.whole_number(cover.first.number, "first frame");
    checker.whole_number(cover.last.number, "last frame");
    checker.require(cover.first.number <= cover.last.number && cover.first.pts <= cover.last.pts,
                    "its last frame is before its first");
    const auto& [x, y, width, height] = cover.box;
    // Written so that what is not a number is refused as well.
    checker.require(x >= 0 && y >= 0 && width > 0 && height > 0,
                    "its box is empty, or begins outside the picture");
    checker.require(x + width <= 1 && y + height <= 1, "its box goes beyond the picture");
    checker.text(cover.shows, "words");
}

}  // namespace plumbmark::meet
