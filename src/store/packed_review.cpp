#include "store/packed_review.h"

#include <fmt/format.h>

#include <charconv>

#include "store/internal/camera_json.h"
#include "store/internal/entity_json.h"
#include "store/internal/json_values.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;

constexpr const char* kFormat = "plumbmark-review/1";
/// A day of pictures at 240 a second.
constexpr std::size_t kMostFrames = 24 * 3'600 * 240;

/// Numbers in one text: a clip has thousands, and 64 bits do not fit JSON's numbers.
template <class Get>
std::string numbers_text(const std::vector<meet::FrameRef>& frames, const Get& get) {
    std::string text;
    for (const meet::FrameRef& frame : frames)
        fmt::format_to(std::back_inserter(text), "{}{}", text.empty() ? "" : " ", get(frame));
    return text;
}

std::vector<std::int64_t> read_numbers(const Members& members, const std::string& name) {
    const std::string text = members.text(name);
    std::vector<std::int64_t> numbers;
    const char* at = text.data();
    const char* const end = at + text.size();
    while (at < end) {
        std::int64_t number = 0;
        const auto read = std::from_chars(at, end, number);
        if (read.ec != std::errc{} || (read.ptr < end && *read.ptr != ' ') || numbers.size() >= kMostFrames)
            fail_at(members.path_of(name),
                    "whole numbers with one blank between two are expected in this text");
        numbers.push_back(number);
        at = read.ptr + 1;
    }
    return numbers;
}

Json clip_json(const PackedClip& packed) {
    meet::Clip facts = packed.clip;
    facts.id = {0};
    facts.name = facts.relative_path = facts.last_known_path = "";
    Json made{{"name", packed.clip.name},
              {"file", packed.file},
              {"facts", to_json(facts)},
              {"pts", numbers_text(packed.frames, [](const meet::FrameRef& frame) { return frame.pts; })}};
    if (!packed.whole)
        made["frames"] =
            numbers_text(packed.frames, [](const meet::FrameRef& frame) { return frame.number; });
    return made;
}

PackedClip read_clip(const Json& value, const std::string& path) {
    const Members members(value, path, {"name", "file", "facts", "pts", "frames"});
    PackedClip packed;
    packed.file = members.text("file");
    packed.clip = std::get<meet::Clip>(
        entity_from_json({meet::Kind::clip, 0}, members.required("facts"), members.path_of("facts")));
    if (!packed.clip.name.empty() || !packed.clip.relative_path.empty() ||
        !packed.clip.last_known_path.empty())
        fail_at(members.path_of("facts"), "names have no place among these members");
    packed.clip.name = members.text("name");
    if (const Result<void> good = meet::check_values(packed.clip); !good)
        fail_at(members.path_of("facts"), good.error().sentence);
    packed.whole = !members.has("frames");
    const std::vector<std::int64_t> pts = read_numbers(members, "pts");
    const std::vector<std::int64_t> named =
        packed.whole ? std::vector<std::int64_t>() : read_numbers(members, "frames");
    if (!packed.whole && named.size() != pts.size())
        fail_at(members.path_of("frames"), "there are as many numbers as time stamps");
    for (std::size_t i = 0; i < pts.size(); ++i) {
        const std::int64_t number = packed.whole ? static_cast<std::int64_t>(i) : named[i];
        if (i > 0 && (number <= packed.frames.back().number || pts[i] < packed.frames.back().pts))
            fail_at(path, "its frames are not in order");
        packed.frames.push_back({number, pts[i]});
    }
    return packed;
}

std::vector<std::int64_t> read_ids(const Members& members, const std::string& name) {
    std::vector<std::int64_t> ids;
    const Json& list = members.list(name);
    for (std::size_t i = 0; i < list.size(); ++i)
        ids.push_back(read_whole_number(list[i], item_path(members.path_of(name), i)));
    return ids;
}

/// Nothing is sealed in a package: what somebody called a camera stands there as it is.
Json value_json(const meet::CameraLens& lens) {
    return plain_lens_json(lens);
}
Json value_json(const meet::CameraStand& stand) {
    return camera_json(stand);
}
meet::Entity read_value(meet::EntityKey key, const Json& value, const std::string& path) {
    if (key.kind == meet::Kind::lens) return read_plain_lens(key.id, value, path);
    return entity_from_json(key, value, path);
}

/// A list of things of one kind by their ids, which is left out where there is none.
template <class Thing>
Json numbered(const std::vector<Thing>& things) {
    Json list = Json::array();
    for (const Thing& thing : things)
        list.push_back({{"id", thing.id.value}, {"value", value_json(thing)}});
    return list;
}

template <class Thing>
std::vector<Thing> read_numbered(const Members& parent, const std::string& name) {
    if (!parent.has(name)) return {};
    return read_each<Thing>(parent, name, [](const Json& item, const std::string& path) {
        const Members members(item, path, {"id", "value"});
        const meet::EntityKey key{meet::kind_for<Thing>(), members.whole_number("id")};
        meet::Entity thing = read_value(key, members.required("value"), members.path_of("value"));
        if (const Result<void> good = meet::check_values(thing); !good)
            fail_at(members.path_of("value"), good.error().sentence);
        return std::get<Thing>(std::move(thing));
    });
}

void read_cameras(const Members& members, PackedReview& review) {
    review.lenses = read_numbered<meet::CameraLens>(members, "lenses");
    review.stands = read_numbered<meet::CameraStand>(members, "stands");
    for (std::size_t i = 0; i < review.stands.size(); ++i) {
        if (review.stands[i].clip.value >= std::ssize(review.clips))
            fail_at(item_path("stands", i) + ".value.clip", "there is no such clip in this list of clips");
    }
}

PackedReview read(const Json& json) {
    const Members members(
        json, "",
        {"format", "division", "lane", "clips", "marks", "contacts", "watched", "stands", "lenses"});
    if (members.text("format") != kFormat) fail_at("format", "this form of review is not known");
    PackedReview review;
    review.division = members.text("division");
    review.lane = members.text("lane");
    const Json& clips = members.list("clips");
    for (std::size_t i = 0; i < clips.size(); ++i)
        review.clips.push_back(read_clip(clips[i], item_path("clips", i)));
    review.marks = read_ids(members, "marks");
    review.contacts = read_ids(members, "contacts");
    review.watched = read_ids(members, "watched");
    read_cameras(members, review);
    return review;
}

/// The first member, by its path, in which two values differ; empty: none.
std::string first_difference(const Json& one, const Json& other, const std::string& path) {
    if (one == other) return {};
    if (one.is_array() && other.is_array() && one.size() == other.size()) {
        for (std::size_t i = 0; i < one.size(); ++i) {
            if (std::string at = first_difference(one[i], other[i], item_path(path, i)); !at.empty())
                return at;
        }
    }
    if (one.is_object() && other.is_object()) {
        for (const auto& [name, value] : one.items()) {
            const auto same = other.find(name);
            if (same == other.end()) return member_path(path, name);
            if (std::string at = first_difference(value, *same, member_path(path, name)); !at.empty())
                return at;
        }
    }
    return path;
}

/// These members of an object; those that are not there stand as null.
Json only(const Json& object, const std::vector<const char*>& names) {
    Json part = Json::object();
    for (const char* name : names)
        part[name] = object.contains(name) ? object.at(name) : Json(nullptr);
    return part;
}

/// What a ruling comes to, and what else it says.
struct RulingParts {
    Json outcome, words;
};

RulingParts parts_of(std::string_view text) {
    const Result<Json> json = parse_json(text);
    if (!json) throw ReadProblem{json.error()};
    if (!json->is_object() || !json->contains("stations") || !json->at("stations").is_array())
        fail_at("stations", "a ruling has a list of stations");
    RulingParts parts{only(*json, {"results", "split_low_ns", "split_high_ns"}),
                      only(*json, {"sentence", "split"})};
    parts.outcome["stations"] = Json::array();
    parts.words["stations"] = Json::array();
    for (const Json& station : json->at("stations")) {
        if (!station.is_object()) fail_at("stations", "a station is an object");
        parts.outcome["stations"].push_back(
            only(station, {"station", "verdict", "if_reached", "failing_clauses", "points"}));
        parts.words["stations"].push_back(station);
        parts.words["stations"].back().erase("floor_calls");
    }
    return parts;
}

}  // namespace

std::string write_packed_review(const PackedReview& review) {
    Json clips = Json::array();
    for (const PackedClip& clip : review.clips)
        clips.push_back(clip_json(clip));
    Json whole{{"format", kFormat},        {"division", review.division}, {"lane", review.lane},
               {"clips", clips},           {"marks", review.marks},       {"contacts", review.contacts},
               {"watched", review.watched}};
    if (!review.stands.empty()) whole["stands"] = numbered(review.stands);
    if (!review.lenses.empty()) whole["lenses"] = numbered(review.lenses);
    return whole.dump(2) + "\n";
}

Result<PackedReview> read_packed_review(std::string_view json_text) {
    try {
        const Result<Json> json = parse_json(json_text);
        if (!json) return json.error();
        return read(*json);
    } catch (const ReadProblem& problem) {
        return problem.error;
    }
}

std::string things_json(const std::vector<meet::Entity>& things) {
    Json list = Json::array();
    for (const meet::Entity& thing : things) {
        Json one = to_json(thing);
        const meet::EntityKey key = meet::key_of(thing);
        // A drawing has a kind of its own.
        list.push_back({{"kind", meet::kind_word(key.kind)}, {"id", key.id}, {"value", std::move(one)}});
    }
    return list.dump(2) + "\n";
}

Result<RulingComparison> compare_rulings(std::string_view one, std::string_view other) {
    try {
        const RulingParts first = parts_of(one), second = parts_of(other);
        return RulingComparison{first_difference(first.outcome, second.outcome, ""),
                                first_difference(first.words, second.words, "")};
    } catch (const ReadProblem& problem) {
        return problem.error;
    }
}

}  // namespace plumbmark::store
