#include "ruling/internal/course_roles.h"

#include <algorithm>
#include <map>
#include <set>

#include "base/worded.h"
#include "course/limits.h"

namespace plumbmark::ruling {
namespace {

using base::Category;
using base::Error;
using course::LandingParts;
using course::Part;
using course::SurfaceId;

std::vector<Part> landing_parts(const course::Landing& landing) {
    std::vector<Part> parts;
    switch (landing.parts) {
        case LandingParts::both_feet:
            return {Part::left_foot, Part::right_foot};
        case LandingParts::both_hands:
            return {Part::left_hand, Part::right_hand};
        case LandingParts::listed:
            for (const Part part : course::kAllParts) {
                if (landing.listed_parts.has(part)) parts.push_back(part);
            }
            return parts;
        default:
            return {};
    }
}

std::vector<Part> any_of_parts(LandingParts parts) {
    switch (parts) {
        case LandingParts::any_foot:
            return {Part::left_foot, Part::right_foot};
        case LandingParts::any_hand:
            return {Part::left_hand, Part::right_hand};
        case LandingParts::any_part:
            return {course::kAllParts.begin(), course::kAllParts.end()};
        default:
            return {};
    }
}

}  // namespace

std::vector<PairIndex> all_parts_on(SurfaceClass c) {
    std::vector<PairIndex> pairs;
    for (const Part part : course::kAllParts)
        pairs.push_back(pair_of(part, c));
    return pairs;
}

SideBits body_sides(std::size_t plane) {
    SideBits sides;
    for (const Part part : course::kAllParts) {
        if (course::kWholeBody.has(part)) sides.set(side_of(static_cast<std::size_t>(part), plane));
    }
    return sides;
}

CourseRoles::CourseRoles(course::CourseBook book) : book_(std::move(book)) {
    make_classes();
    too_large_ = size_error();
    if (too_large_) return;
    stations_.resize(book_.stations.size());
    for (std::size_t k = 0; k < stations_.size(); ++k)
        make_station(k);
    has_finish_ = book_.finish.required || !book_.finish.name.empty() || book_.finish.surface.has_value();
    if (book_.finish.surface) on_finish_ = all_parts_on(class_of(*book_.finish.surface));
    make_matters();
    make_kinds();
}

std::optional<Error> CourseRoles::size_error() const {
    static_assert((course::kMostSurfacesNamed + kFirstUsed) * kPartsCount <= kMostPairs);
    static_assert(course::kMostPlanes * kCrossersCount <= kMostSides);
    if (class_count() - kFirstUsed > course::kMostSurfacesNamed ||
        book_.planes.size() > course::kMostPlanes || book_.stations.size() > course::kMostStations)
        return Error{
            Category::unsupported,
            base::worded(
                "This course has {} stations, {} surfaces that matter and {} planes; the engine takes at "
                "most {}, {} and {}. Split the course book in two.",
                book_.stations.size(), class_count() - kFirstUsed, book_.planes.size(), course::kMostStations,
                course::kMostSurfacesNamed, course::kMostPlanes),
            book_.name};
    for (const course::Station& station : book_.stations) {
        if (station.in_play.size() > course::kMostItems)
            return Error{Category::unsupported,
                         base::worded("A station can have at most {} items in play.", course::kMostItems),
                         station.name};
    }
    return std::nullopt;
}

SurfaceClass CourseRoles::class_of(SurfaceId surface) const {
    return surface.valid() ? classes_[static_cast<std::size_t>(surface.value)] : kUndeclared;
}

void CourseRoles::make_classes() {
    const std::set<SurfaceId> used = course::surfaces_named(book_);
    classes_.resize(book_.surfaces.size(), kRest);
    representatives_.resize(kFirstUsed);
    for (std::size_t i = 0; i < book_.surfaces.size(); ++i) {
        const SurfaceId id{static_cast<std::int64_t>(i)};
        if (used.contains(id)) {
            classes_[i] = static_cast<SurfaceClass>(representatives_.size());
            representatives_.push_back(id);
        } else if (!representatives_[kRest].valid()) {
            representatives_[kRest] = id;
        }
    }
}

void CourseRoles::make_station(std::size_t k) {
    StationRoles& roles = stations_[k];
    const course::Station& station = book_.stations[k];
    roles.station = &station;
    roles.roles.resize(class_count());
    for (const SurfaceId start : station.start) {
        roles.roles[class_of(start)].start = true;
        const std::vector<PairIndex> pairs = all_parts_on(class_of(start));
        roles.on_start.insert(roles.on_start.end(), pairs.begin(), pairs.end());
    }
    make_items(roles);
    for (const SurfaceId landing : station.landing.surfaces)
        roles.roles[class_of(landing)].landing = true;
    roles.return_ends_attempt = std::any_of(roles.roles.begin(), roles.roles.end(), [](const Role& role) {
        return role.start && role.item < 0 && !role.landing;
    });
    if (k > 0 && station.previous_items_neutral && book_.stations[k - 1].exit == course::Exit::shared) {
        for (const course::Item& item : book_.stations[k - 1].in_play)
            roles.roles[class_of(item.surface)].previous_item = true;
    }
    make_landing(roles);
    make_checkpoints(roles);
    make_planes(roles);
}

void CourseRoles::make_items(StationRoles& roles) {
    const course::Station& station = *roles.station;
    std::map<SurfaceId, int> item_index;
    for (const course::Item& item : station.in_play) {
        const auto index = static_cast<int>(roles.items.size());
        item_index[item.surface] = index;
        roles.roles[class_of(item.surface)].item = index;
        ItemRoles made{class_of(item.surface), item.parts, item.required, -1, item.once, {}, {}};
        made.pairs = all_parts_on(made.surface);
        std::copy_if(made.pairs.begin(), made.pairs.end(), std::back_inserter(made.allowed),
                     [&](PairIndex pair) { return item.parts.has(part_of(pair)); });
        roles.items.push_back(std::move(made));
    }
    for (std::size_t i = 0; i < station.in_play.size(); ++i) {
        const auto& after = station.in_play[i].after;
        if (after && item_index.contains(*after)) roles.items[i].after = item_index.at(*after);
    }
    for (const course::ItemRow& row : station.rows) {
        RowRoles made;
        made.max_skipped = row.max_skipped;
        for (const SurfaceId member : row.members) {
            if (item_index.contains(member)) made.members.push_back(item_index.at(member));
        }
        roles.rows.push_back(std::move(made));
    }
}

void CourseRoles::make_planes(StationRoles& roles) {
    const course::Station& station = *roles.station;
    for (const course::PlaneCondition& condition : station.landing.planes) {
        roles.planes.push_back({static_cast<std::size_t>(condition.plane.value),
                                condition.part ? static_cast<std::size_t>(*condition.part) : kWhole});
    }
    if (station.start_plane) {
        roles.has_start_plane = true;
        roles.start_plane = static_cast<std::size_t>(station.start_plane->value);
        for (const Part part : course::kAllParts) {
            if (station.start_plane_parts.has(part))
                roles.start_sides.push_back(side_of(static_cast<std::size_t>(part), roles.start_plane));
        }
    }
    const auto everybody_at = [&roles](std::size_t plane) {
        for (std::size_t crosser = 0; crosser < kCrossersCount; ++crosser)
            roles.sides.set(side_of(crosser, plane));
    };
    for (const PlaneNeed& need : roles.planes)
        everybody_at(need.plane);
    for (const CreditPlane& checkpoint : roles.credit_planes)
        everybody_at(checkpoint.plane);
    for (const SideIndex side : roles.start_sides)
        roles.sides.set(side);
}

void CourseRoles::make_checkpoints(StationRoles& roles) {
    if (book_.format != course::Format::every_station_counts) return;  // nobody counts points there
    for (const course::Checkpoint& checkpoint : roles.station->checkpoints) {
        if (checkpoint.touched) {
            std::int32_t& credit = roles.roles[class_of(*checkpoint.touched)].credit;
            credit = std::max(credit, checkpoint.points);
        }
        if (checkpoint.crossed)
            roles.credit_planes.push_back(
                {static_cast<std::size_t>(checkpoint.crossed->value), checkpoint.points});
    }
}

void CourseRoles::make_landing(StationRoles& roles) {
    const course::Landing& landing = roles.station->landing;
    const auto pairs_of = [&](const std::vector<Part>& parts, const std::vector<SurfaceId>& surfaces) {
        std::vector<PairIndex> pairs;
        for (const Part part : parts) {
            for (const SurfaceId surface : surfaces)
                pairs.push_back(pair_of(part, class_of(surface)));
        }
        return pairs;
    };
    if (landing.parts == LandingParts::none) return;
    const std::vector<Part> any = any_of_parts(landing.parts);
    if (!any.empty()) {
        roles.landing = {{pairs_of(any, landing.surfaces)}};
        return;
    }
    const auto all_on = [&](const std::vector<SurfaceId>& surfaces) {
        std::vector<std::vector<PairIndex>> all;
        for (const Part part : landing_parts(landing))
            all.push_back(pairs_of({part}, surfaces));
        return all;
    };
    if (!landing.same_surface) {
        roles.landing = {all_on(landing.surfaces)};
        return;
    }
    for (const SurfaceId surface : landing.surfaces)
        roles.landing.push_back(all_on({surface}));
}

void CourseRoles::make_matters() {
    matters_from_.resize(stations_.size() + 1);
    sides_from_.resize(stations_.size() + 1);
    PairBits later;
    SideBits sides;
    for (const PairIndex p : on_finish_)
        later.set(p);
    matters_from_[stations_.size()] = later;
    for (std::size_t k = stations_.size(); k-- > 0;) {
        StationRoles& station = stations_[k];
        const auto ask = [&station](const std::vector<PairIndex>& pairs) {
            for (const PairIndex p : pairs)
                station.asked.set(p);
        };
        ask(station.on_start);
        for (const auto& way : station.landing) {
            for (const auto& any : way)
                ask(any);
        }
        for (const ItemRoles& item : station.items) {
            if (item.once) ask(item.pairs);
            for (const PairIndex p : item.pairs)
                later.set(p);
        }
        later |= station.asked;
        matters_from_[k] = later;
        sides |= stations_[k].sides;
        sides_from_[k] = sides;
    }
}

void CourseRoles::make_kinds() {
    // What a definition can ask of a part on a surface: is it among those of a landing's lists, may it touch
    // the item, is it a hand where hands must stay up, does it count at all.
    std::map<std::vector<std::uint32_t>, std::uint32_t> known;
    kinds_.resize(class_count() * kPartsCount);
    for (SurfaceClass c = 0; c < class_count(); ++c) {
        for (const Part part : course::kAllParts) {
            const PairIndex p = pair_of(part, c);
            std::vector<std::uint32_t> answers{c, part == Part::loose ? 1U : 0U};
            for (const StationRoles& station : stations_) {
                std::uint32_t bits =
                    station.station->landing.no_hands_down && course::kHands.has(part) ? 1U : 0U;
                const int item = station.roles[c].item;
                if (item >= 0 && station.items[static_cast<std::size_t>(item)].parts.has(part)) bits |= 2U;
                answers.push_back(bits);
                for (const auto& way : station.landing) {
                    for (const auto& any : way)
                        answers.push_back(std::find(any.begin(), any.end(), p) != any.end() ? 1U : 0U);
                }
            }
            kinds_[p] = known.emplace(answers, static_cast<std::uint32_t>(known.size())).first->second;
        }
    }
}

}  // namespace plumbmark::ruling
