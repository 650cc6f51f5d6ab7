// What later marks and statements say of a contact now (docs/rulings.md, 'What a watched span says').
#include "ruling/internal/foresight.h"

#include <catch2/catch.hpp>

#include "ruling/prepared_case.h"

using namespace plumbmark;
using namespace plumbmark::ruling;
using course::Part;
using test::PreparedCase;

namespace {

/// One clip of 121 frames; the lines are marks 0, 1, ... and moments as they are written.
PreparedCase hop(const std::string& lines) {
    return PreparedCase(R"(--- course
course = "hop"
revision = "1"
[surfaces]
deck = "deck"
quay = "quay deck"
floor = { name = "floor", out_of_play = true }
[[station]]
key = "hop"
name = "hop"
start = "deck"
landing = { surface = "quay" }
--- case: one
)" + lines);
}

/// Of the left foot on the deck, once so many moments of the clip and these marks lie behind.
std::optional<bool> told(const PreparedCase& one, std::uint16_t passed,
                         const std::vector<std::size_t>& done = {}) {
    MarkBits bits;
    for (const std::size_t mark : done)
        bits.set(mark);
    const std::vector<std::uint16_t> by_clip(one.prepared.clips, passed);
    return Foresight(one.prepared.foresight, bits, by_clip).contact(one.pair(Part::left_foot, "deck"));
}

}  // namespace

TEST_CASE("a statement tells of the watched time before it, and of no other", "[parts]") {
    const PreparedCase watched = hop("watch 10..40 everything\nat 20 left foot on deck\n");
    CHECK(told(watched, 0) == std::nullopt);
    CHECK(told(watched, 1) == true);
    CHECK(told(watched, 2) == std::nullopt);
    const PreparedCase off = hop("watch 10..40 everything\nat 20 left foot off deck\n");
    CHECK(told(off, 1) == false);
    const PreparedCase gap = hop("watch 0..10 everything\nat 30 left foot on deck\n");
    CHECK(told(gap, 1) == std::nullopt);
    CHECK(told(gap, 2) == std::nullopt);
    const PreparedCase floor = hop("watch 0..40 floor\nat 30 left foot on deck\n");
    CHECK(told(floor, 1) == std::nullopt);
}

TEST_CASE("a mark tells of the watched time before it until it is done, the first mark as every other",
          "[parts]") {
    const PreparedCase touch = hop("watch 0..40 everything\ntouch left foot deck @ 29..30\n");
    CHECK(told(touch, 0) == std::nullopt);
    CHECK(told(touch, 1) == false);
    CHECK(told(touch, 1, {0}) == std::nullopt);
    const PreparedCase gap = hop("watch 0..10 everything\ntouch left foot deck @ 29..30\n");
    CHECK(told(gap, 1) == std::nullopt);
    const PreparedCase both =
        hop("watch 0..60 everything\ntouch left foot deck @ 29..30\nrelease left foot deck @ 39..40\n");
    CHECK(told(both, 1) == false);
    CHECK(told(both, 1, {0}) == true);
    CHECK(told(both, 1, {0, 1}) == std::nullopt);
}

TEST_CASE("a mark in doubt tells nothing: possible, of two kinds, of two contacts, or in no certain order",
          "[parts]") {
    const std::string watched = "watch 0..60 everything\n";
    CHECK(told(hop(watched + "possible touch left foot deck @ 29..30\n"), 1) == std::nullopt);
    CHECK(told(hop(watched + "touch left foot deck or release left foot deck @ 29..30\n"), 1) ==
          std::nullopt);
    CHECK(told(hop(watched + "touch left foot deck or touch right foot deck @ 29..30\n"), 1) == std::nullopt);
    CHECK(told(hop(watched + "touch left foot deck or signal over @ 29..30\n"), 1) == std::nullopt);
    CHECK(told(hop(watched + "signal over or touch left foot deck @ 29..30\n"), 1) == std::nullopt);
    const std::string overlapping = "touch left foot deck @ 28..30\nrelease left foot deck @ 29..31\n";
    CHECK(told(hop(watched + overlapping), 1) == std::nullopt);
    const std::string meeting = "touch left foot deck @ 28..30\nrelease left foot deck @ 30..31\n";
    CHECK(told(hop(watched + meeting), 1) == false);
    CHECK(told(hop(watched + "touch left foot deck @ 29..after\n"), 1) == std::nullopt);
}

TEST_CASE("a contact that no one clip shows whole is told by none", "[parts]") {
    const std::string clips = "clip A 30 fps 121\nclip B 30 fps 121\n";
    const std::string watched = "watch A 0..60 everything\nwatch B 0..60 everything\n";
    CHECK(told(hop(clips + watched + "touch left foot deck @ A 29..30\n"), 1) == false);
    CHECK(told(hop(clips + watched + "touch left foot deck @ B 29..30\n"), 1) == false);
    CHECK(told(hop(clips + watched + "touch left foot deck @ A 29..30\nrelease left foot deck @ B 39..40\n"),
               1) == std::nullopt);
    CHECK(told(hop(clips + watched + "at A 10 left foot off deck\ntouch left foot deck @ B 29..30\n"), 1) ==
          std::nullopt);
    CHECK(told(hop(clips + watched + "at B 10 left foot off deck\ntouch left foot deck @ A 29..30\n"), 1) ==
          std::nullopt);
}
