#include "oracle/reach.h"

namespace plumbmark::oracle {
namespace {

using course::Part;
using course::SurfaceId;

// Whether this part on a landing can help to complete it.
bool lands(const course::Landing& landing, Part part) {
    switch (landing.parts) {
        case course::LandingParts::any_part:
            return true;
        case course::LandingParts::any_foot:
        case course::LandingParts::both_feet:
            return course::kFeet.has(part);
        case course::LandingParts::any_hand:
        case course::LandingParts::both_hands:
            return course::kHands.has(part);
        case course::LandingParts::listed:
            return landing.listed_parts.has(part);
        case course::LandingParts::none:
            return false;
    }
    return true;
}

}  // namespace

Reach::Reach(const Case& review) : review_(review) {
    for (const ruling::Mark& mark : review.evidence.marks) {
        for (const ruling::Happening& what : mark.alternatives)
            name(what);
    }
    for (const ruling::ContactStatement& one : review.evidence.contacts)
        name_pair(one.part, one.surface);
    choose_parts();
    for (Part part : parts)
        track(part);
    find_unnamed_sides();
    find_crossings();
}

void Reach::name(const ruling::Happening& what) {
    if (const auto* touch = std::get_if<ruling::Touch>(&what)) name_pair(touch->part, touch->surface);
    if (const auto* release = std::get_if<ruling::Release>(&what)) name_pair(release->part, release->surface);
    if (const auto* cross = std::get_if<ruling::Cross>(&what)) {
        if (cross->part) named_.add(*cross->part);
    }
}

void Reach::name_pair(Part part, SurfaceId surface) {
    if (part == Part::loose && !review_.book.loose_counts) return;
    named_.add(part);
    said |= std::uint64_t{1} << PlainJudge::pair(part, surface);
}

void Reach::find_crossings() {
    const auto want = [&](course::PlaneId plane, std::optional<Part> part) {
        crossings.insert(
            {static_cast<std::size_t>(plane.value), part ? static_cast<std::size_t>(*part) : kWhole});
    };
    for (const course::Station& station : review_.book.stations) {
        for (const course::PlaneCondition& condition : station.landing.planes)
            want(condition.plane, condition.part);
        for (const course::Checkpoint& checkpoint : station.checkpoints) {
            if (checkpoint.crossed) want(*checkpoint.crossed, std::nullopt);
        }
        for (Part part : course::kAllParts) {
            if (station.start_plane && station.start_plane_parts.has(part)) want(*station.start_plane, part);
        }
    }
    // Where one part's side is asked for, too, it may have crossed before it counts, and another part takes
    // the whole athlete over: the whole athlete's crossing does not speak for that.
    const auto asked = crossings;
    for (const auto& [plane, crosser] : asked) {
        if (crosser == kWhole || !asked.contains({plane, kWhole})) continue;
        for (Part part : course::kAllParts) {
            if (course::kWholeBody.has(part)) crossings.insert({plane, static_cast<std::size_t>(part)});
        }
    }
    for (const ruling::Mark& mark : review_.evidence.marks) {
        for (const ruling::Happening& what : mark.alternatives) {
            if (const auto* cross = std::get_if<ruling::Cross>(&what)) want(cross->plane, cross->part);
        }
    }
}

// A mark of a part speaks of that part and of the whole athlete, a mark of the whole athlete of every part.
void Reach::find_unnamed_sides() {
    for (std::size_t p = 0; p < review_.book.planes.size(); ++p) {
        const course::PlaneId plane{static_cast<std::int64_t>(p)};
        for (Part part : course::kAllParts) {
            if (!speaks_of(plane, part)) unnamed_sides.push_back(PlainJudge::side(part, plane));
        }
        if (!speaks_of(plane, std::nullopt)) unnamed_sides.push_back(PlainJudge::side(std::nullopt, plane));
    }
}

bool Reach::speaks_of(course::PlaneId plane, std::optional<Part> part) const {
    for (const ruling::Mark& mark : review_.evidence.marks) {
        for (const ruling::Happening& what : mark.alternatives) {
            const auto* cross = std::get_if<ruling::Cross>(&what);
            if (cross == nullptr || cross->plane != plane) continue;
            if (!part || !cross->part || cross->part == part) return true;
        }
    }
    return false;
}

// Of two parts that nothing names and nothing tells apart, one stands for both.
bool Reach::alike(Part a, Part b) const {
    if (named_.has(a) || named_.has(b)) return false;
    for (const course::Station& station : review_.book.stations) {
        for (const course::Item& item : station.in_play) {
            if (item.once || item.parts.has(a) != item.parts.has(b)) return false;
        }
        const course::Landing& landing = station.landing;
        if (landing.parts == course::LandingParts::listed) return false;
        if (landing.parts == course::LandingParts::both_feet && course::kFeet.has(a)) return false;
        if (landing.parts == course::LandingParts::both_hands && course::kHands.has(a)) return false;
        if (station.start_plane || !landing.planes.empty()) return false;
    }
    return true;
}

void Reach::choose_parts() {
    for (Part part : course::kAllParts) {
        if (part == Part::loose && !review_.book.loose_counts) continue;
        if (part == Part::right_hand && alike(Part::left_hand, part)) continue;
        if (part == Part::right_foot && alike(Part::left_foot, part)) continue;
        if (part == Part::loose && alike(Part::other, part)) continue;
        parts.push_back(part);
    }
}

void Reach::track(Part part) {
    for (const course::Station& station : review_.book.stations)
        track(part, station);
    if (review_.book.finish.surface) {
        finish_pairs |= std::uint64_t{1} << PlainJudge::pair(part, *review_.book.finish.surface);
    }
    tracked |= said | finish_pairs;
}

void Reach::track(Part part, const course::Station& station) {
    const auto add = [&](SurfaceId surface) {
        tracked |= std::uint64_t{1} << PlainJudge::pair(part, surface);
    };
    for (SurfaceId surface : station.start)
        add(surface);
    for (SurfaceId surface : station.landing.surfaces) {
        if (lands(station.landing, part)) add(surface);
    }
    for (const course::Item& item : station.in_play)
        add(item.surface);
}

}  // namespace plumbmark::oracle
