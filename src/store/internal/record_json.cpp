#include "store/internal/record_json.h"

#include "base/worded.h"
#include "store/internal/competition_json.h"
#include "store/internal/read_word.h"

namespace plumbmark::store {
namespace {

using base::worded;

std::string read_signature_or_none(const Members& members, const std::string& name) {
    if (members.required(name).is_null()) return {};
    std::string signature = members.text(name);
    // Else one value would have two forms.
    if (signature.empty()) fail_at(members.path_of(name), worded("where there is none, this member is null"));
    return signature;
}

}  // namespace

Json frame_json(const meet::FrameRef& frame) {
    return {{"number", frame.number}, {"pts", std::to_string(frame.pts)}};
}

meet::FrameRef read_frame(const Members& parent, const std::string& name) {
    const Members members(parent.required(name), parent.path_of(name), {"number", "pts"});
    return {members.whole_number("number"), members.long_number("pts")};
}

Json id_or_null(std::int64_t id) {
    return id < 0 ? Json(nullptr) : Json(id);
}

std::int64_t read_id_or_none(const Members& members, const std::string& name) {
    return members.required(name).is_null() ? -1 : members.whole_number(name);
}

Json record_json(const meet::SigningKey& key) {
    return {{"public_key", key.public_key},
            {"holder", sealed_text(key.holder)},
            {"capacity", word_for(meet::kCapacityWords, key.capacity)},
            {"added_at_ms", key.added_at.ms},
            {"replaces", id_or_null(key.replaces.value)},
            {"signature", key.signature.empty() ? Json(nullptr) : Json(key.signature)}};
}

Json record_json(const meet::Seal& seal) {
    return {{"row", seal.row},
            {"sha256", seal.row_sha256},
            {"key", seal.key.value},
            {"at_ms", seal.at.ms},
            {"signature", seal.signature},
            {"publication", id_or_null(seal.publication.value)}};
}

Json record_json(const meet::Cover& cover) {
    return {{"clip", cover.clip.value},
            {"first", frame_json(cover.first)},
            {"last", frame_json(cover.last)},
            {"box", cover.box},
            {"shows", sealed_text(cover.shows)}};
}

meet::SigningKey read_key(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path,
                          {"public_key", "holder", "capacity", "added_at_ms", "replaces", "signature"});
    meet::SigningKey key;
    key.id = {id};
    key.public_key = members.text("public_key");
    key.holder = read_sealed(members, "holder");
    key.capacity = read_word(members, "capacity", meet::kCapacityWords);
    key.added_at = {members.whole_number("added_at_ms")};
    key.replaces = {read_id_or_none(members, "replaces")};
    key.signature = read_signature_or_none(members, "signature");
    return key;
}

meet::Seal read_seal(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"row", "sha256", "key", "at_ms", "signature", "publication"});
    meet::Seal seal;
    seal.id = {id};
    seal.row = members.whole_number("row");
    seal.row_sha256 = members.text("sha256");
    seal.key = {members.whole_number("key")};
    seal.at = {members.whole_number("at_ms")};
    seal.signature = members.text("signature");
    seal.publication = {read_id_or_none(members, "publication")};
    return seal;
}

meet::Cover read_cover(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"clip", "first", "last", "box", "shows"});
    meet::Cover cover;
    cover.id = {id};
    cover.clip = {members.whole_number("clip")};
    cover.first = read_frame(members, "first");
    cover.last = read_frame(members, "last");
    const Json& box = members.list("box");
    if (box.size() != cover.box.size())
        fail_at(members.path_of("box"), worded("a box has four numbers: x, y, width and height"));
    for (std::size_t i = 0; i < box.size(); ++i)
        cover.box[i] = read_number(box[i], item_path(members.path_of("box"), i));
    cover.shows = read_sealed(members, "shows");
    return cover;
}

}  // namespace plumbmark::store
