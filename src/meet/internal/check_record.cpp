// What a key, a seal and a cover must be like, taken alone.
#include "meet/internal/checker.h"

namespace plumbmark::meet {

using base::to_translate;

namespace {

constexpr std::size_t kKeyDigits = 64, kHashDigits = 64, kSignatureDigits = 128;

}  // namespace

void check(Checker& checker, const SigningKey& key) {
    checker.hex_digits(key.public_key, kKeyDigits, to_translate("public key"));
    checker.text(key.holder, to_translate("holder"));
    checker.whole_number(key.added_at.ms, to_translate("time"));
    if (!key.signature.empty())
        checker.hex_digits(key.signature, kSignatureDigits, to_translate("signature"));
    checker.require(key.signature.empty() || key.replaces.valid(),
                    to_translate("it is signed by a key that it does not replace"));
    checker.require(!key.replaces.valid() || key.replaces != key.id, to_translate("it replaces itself"));
}

void check(Checker& checker, const Seal& seal) {
    checker.whole_number(seal.row, to_translate("row"));
    checker.require(seal.row >= 1, to_translate("its row is not 1 or more"));
    checker.hex_digits(seal.row_sha256, kHashDigits, to_translate("row's SHA-256"));
    checker.whole_number(seal.at.ms, to_translate("time"));
    checker.hex_digits(seal.signature, kSignatureDigits, to_translate("signature"));
}

void check(Checker& checker, const Cover& cover) {
    checker.whole_number(cover.first.number, to_translate("first frame"));
    checker.whole_number(cover.last.number, to_translate("last frame"));
    checker.require(cover.first.number <= cover.last.number && cover.first.pts <= cover.last.pts,
                    to_translate("its last frame is before its first"));
    const auto& [x, y, width, height] = cover.box;
    // Written so that what is not a number is refused as well.
    checker.require(x >= 0 && y >= 0 && width > 0 && height > 0,
                    to_translate("its box is empty, or begins outside the picture"));
    checker.require(x + width <= 1 && y + height <= 1, to_translate("its box goes beyond the picture"));
    checker.text(cover.shows, to_translate("words"));
}

}  // namespace plumbmark::meet
