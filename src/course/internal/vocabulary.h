// Every key and every word of the course book format, in one place: the reader accepts exactly these, the
// writer uses them, and a test holds the reference table of docs/course-book.md to them.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "course/book.h"

namespace plumbmark::course::internal {

inline constexpr std::array<std::string_view, 15> kCourseKeys{
    "course",      "revision", "format",   "brush_counts", "loose_counts", "at_cap_is_in_time",
    "false_start", "run_cap",  "surfaces", "planes",       "station",      "finish",
    "division",    "lane",     "plan"};
inline constexpr std::array<std::string_view, 3> kSurfaceKeys{"name", "faces", "out_of_play"};
inline constexpr std::array<std::string_view, 2> kFaceKeys{"name", "out_of_play"};
inline constexpr std::array<std::string_view, 14> kStationKeys{
    "key",    "name",      "start", "start_plane", "in_play",           "landing",
    "exit",   "attempts",  "cap",   "rest_limit",  "step_down_allowed", "previous_items_neutral",
    "points", "checkpoint"};
inline constexpr std::array<std::string_view, 3> kStartPlaneKeys{"plane", "parts", "until"};
inline constexpr std::array<std::string_view, 7> kItemKeys{"surface", "row",  "parts",      "required",
                                                           "after",   "once", "max_skipped"};
inline constexpr std::array<std::string_view, 7> kLandingKeys{"surface", "parts",   "same_surface", "plane",
                                                              "hold",    "control", "no_hands_down"};
inline constexpr std::array<std::string_view, 2> kPlaneConditionKeys{"plane", "by"};
inline constexpr std::array<std::string_view, 5> kCheckpointKeys{"key", "name", "touched", "crossed",
                                                                 "points"};
inline constexpr std::array<std::string_view, 3> kFinishKeys{"name", "required", "surface"};
inline constexpr std::array<std::string_view, 5> kDivisionKeys{"key", "name", "run_cap", "left_out",
                                                               "station"};
inline constexpr std::array<std::string_view, 3> kLaneKeys{"key", "name", "in_place"};
inline constexpr std::array<std::string_view, 3> kPlanKeys{"tolerance", "surfaces", "planes"};
inline constexpr std::array<std::string_view, 4> kSurfacePlanKeys{"outline", "top", "line", "tolerance"};
inline constexpr std::array<std::string_view, 3> kPlanePlanKeys{"line", "past", "tolerance"};

/// One word a setter can choose and what it stands for.
template <class Value>
struct Word {
    std::string_view word;
    Value value;
};

inline constexpr std::array<Word<Format>, 2> kFormatWords{
    {{"first fail ends", Format::first_fail_ends}, {"every station counts", Format::every_station_counts}}};
inline constexpr std::array<Word<FalseStart>, 2> kFalseStartWords{
    {{"fails the first station", FalseStart::fails_first_station}, {"no effect", FalseStart::no_effect}}};
inline constexpr std::array<Word<Exit>, 2> kExitWords{{{"shared", Exit::shared}, {"free", Exit::free}}};
inline constexpr std::array<Word<BehindUntil>, 2> kUntilWords{
    {{"signal", BehindUntil::signal}, {"set-off", BehindUntil::set_off}}};
/// LandingParts::listed has no word: it is written as a list of parts.
inline constexpr std::array<Word<LandingParts>, 6> kLandingWords{{{"any part", LandingParts::any_part},
                                                                  {"any foot", LandingParts::any_foot},
                                                                  {"both feet", LandingParts::both_feet},
                                                                  {"any hand", LandingParts::any_hand},
                                                                  {"both hands", LandingParts::both_hands},
                                                                  {"none", LandingParts::none}}};
inline constexpr PartSet kEveryPart{Part::left_hand,  Part::right_hand, Part::left_foot,
                                    Part::right_foot, Part::other,      Part::loose};
/// Sets of parts by one word; "body" is everything but hair, clothing and gear.
inline constexpr std::array<Word<PartSet>, 10> kPartWords{{{"any", kEveryPart},
                                                           {"body", kWholeBody},
                                                           {"hands", kHands},
                                                           {"feet", kFeet},
                                                           {"left hand", PartSet{Part::left_hand}},
                                                           {"right hand", PartSet{Part::right_hand}},
                                                           {"left foot", PartSet{Part::left_foot}},
                                                           {"right foot", PartSet{Part::right_foot}},
                                                           {"other", PartSet{Part::other}},
                                                           {"loose", PartSet{Part::loose}}}};
inline constexpr std::string_view kWholeAthlete = "whole athlete";

/// The word with '_' read as a space: "both_feet" is taken as "both feet".
[[nodiscard]] std::string with_spaces(std::string_view word);

template <class Value, std::size_t N>
std::optional<Value> value_of(std::string_view word, const std::array<Word<Value>, N>& words) {
    const std::string spaced = with_spaces(word);
    for (const Word<Value>& known : words) {
        if (known.word == spaced) return known.value;
    }
    return std::nullopt;
}

template <class Value, std::size_t N>
std::string_view word_for(Value value, const std::array<Word<Value>, N>& words) {
    for (const Word<Value>& known : words) {
        if (known.value == value) return known.word;
    }
    return {};
}

template <class Value, std::size_t N>
std::vector<std::string> words_of(const std::array<Word<Value>, N>& words) {
    std::vector<std::string> all;
    for (const Word<Value>& known : words)
        all.emplace_back(known.word);
    return all;
}

}  // namespace plumbmark::course::internal
