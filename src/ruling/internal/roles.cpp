#include "ruling/internal/roles.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

namespace plumbmark::ruling {
namespace {

using base::Category;
using base::Error;
using course::LandingParts;
using course::Part;
using course::SurfaceId;

std::set<SurfaceId> used_surfaces(const course::CourseBook& book) {
    std::set<SurfaceId> used;
    for (const course::Station& station : book.stations) {
        used.insert(station.start.begin(), station.start.end());
        used.insert(station.landing.surfaces.begin(), station.landing.surfaces.end());
        for (const course::Item& item : station.in_play)
            used.insert(item.surface);
        for (const course::Checkpoint& checkpoint : station.checkpoints) {
            if (checkpoint.touched) used.insert(*checkpoint.touched);
        }
    }
    if (book.finish.surface) used.insert(*book.finish.surface);
    return used;
}

std::set<SurfaceId> named_surfaces(const Evidence& evidence) {
    std::set<SurfaceId> named;
    for (const Mark& mark : evidence.marks) {
        for (const Happening& what : mark.alternatives) {
            if (const auto* touch = std::get_if<Touch>(&what)) named.insert(touch->surface);
            if (const auto* release = std::get_if<Release>(&what)) named.insert(release->surface);
        }
    }
    for (const ContactStatement& contact : evidence.contacts)
        named.insert(contact.surface);
    for (const WatchedSpan& span : evidence.spans)
        named.insert(span.scope.surfaces.begin(), span.scope.surfaces.end());
    return named;
}

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

base::Result<Roles> Roles::make(const course::CourseBook& book, const Evidence& evidence) {
    Roles roles;
    roles.book_ = &book;
    roles.make_classes(evidence);
    if (roles.class_count_ * kPartsCount > kMostPairs || book.planes.size() * kCrossersCount > kMostSides ||
        book.stations.size() > kMostStations)
        return Error{
            Category::unsupported,
            fmt::format(
                "This course has {} stations, {} surfaces that matter and {} planes; the engine takes at "
                "most {}, {} and {}. Split the course book in two.",
                book.stations.size(), roles.class_count_, book.planes.size(), kMostStations,
                kMostPairs / kPartsCount, kMostSides / kCrossersCount),
            book.name};
    for (const course::Station& station : book.stations) {
        if (station.in_play.size() > 64)
            return Error{Category::unsupported, "A station can have at most 64 items in play.", station.name};
    }
    roles.stations_.resize(book.stations.size());
    for (std::size_t k = 0; k < book.stations.size(); ++k)
        roles.make_station(k);
    if (book.finish.surface) {
        roles.finish_class_ = roles.class_of(*book.finish.surface);
        roles.on_finish_ = roles.all_parts_on(*roles.finish_class_);
    }
    roles.make_matters();
    roles.make_kinds();
    return roles;
}

SurfaceClass Roles::class_of(SurfaceId surface) const {
    // The last class stands for undeclared things.
    return surface.valid() ? class_by_surface_[static_cast<std::size_t>(surface.value)]
                           : static_cast<SurfaceClass>(class_count_ - 1);
}

void Roles::make_classes(const Evidence& evidence) {
    const std::set<SurfaceId> used = used_surfaces(*book_);
    const std::set<SurfaceId> named = named_surfaces(evidence);
    std::optional<SurfaceClass> out_of_play;
    class_by_surface_.resize(book_->surfaces.size());
    for (std::size_t i = 0; i < book_->surfaces.size(); ++i) {
        const SurfaceId id{static_cast<std::int64_t>(i)};
        // Surfaces that no station uses and that nobody named are all alike: one class stands for them.
        const bool alike = !used.contains(id) && !named.contains(id);
        if (alike && out_of_play) {
            class_by_surface_[i] = *out_of_play;
            continue;
        }
        class_by_surface_[i] = static_cast<SurfaceClass>(representative_.size());
        if (alike) out_of_play = class_by_surface_[i];
        representative_.push_back(id);
    }
    representative_.push_back(SurfaceId{});
    class_count_ = representative_.size();
}

std::vector<PairIndex> Roles::all_parts_on(SurfaceClass c) const {
    std::vector<PairIndex> pairs;
    for (const Part part : course::kAllParts)
        pairs.push_back(pair(part, c));
    return pairs;
}

void Roles::make_station(std::size_t k) {
    StationRoles& roles = stations_[k];
    const course::Station& station = book_->stations[k];
    roles.station = &station;
    roles.roles.resize(class_count_);
    for (const SurfaceId start : station.start) {
        roles.roles[class_of(start)].start = true;
        const std::vector<PairIndex> pairs = all_parts_on(class_of(start));
        roles.on_start.insert(roles.on_start.end(), pairs.begin(), pairs.end());
    }
    std::map<SurfaceId, int> item_index;
    for (const course::Item& item : station.in_play) {
        const auto index = static_cast<int>(roles.items.size());
        item_index[item.surface] = index;
        roles.roles[class_of(item.surface)].item = index;
        roles.items.push_back({class_of(item.surface), item.parts, item.required, -1, item.once,
                               all_parts_on(class_of(item.surface))});
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
    for (const SurfaceId landing : station.landing.surfaces)
        roles.roles[class_of(landing)].landing = true;
    roles.return_ends_attempt = std::any_of(roles.roles.begin(), roles.roles.end(), [](const Role& role) {
        return role.start && role.item < 0 && !role.landing;
    });
    if (k > 0 && station.previous_items_neutral && book_->stations[k - 1].exit == course::Exit::shared) {
        for (const course::Item& item : book_->stations[k - 1].in_play)
            roles.roles[class_of(item.surface)].previous_item = true;
    }
    for (const course::PlaneCondition& condition : station.landing.planes) {
        roles.planes.push_back({static_cast<std::size_t>(condition.plane.value),
                                condition.part ? static_cast<std::size_t>(*condition.part) : kWhole});
    }
    if (station.start_plane) {
        roles.has_start_plane = true;
        roles.start_plane = static_cast<std::size_t>(station.start_plane->value);
        for (const Part part : course::kAllParts) {
            if (station.start_plane_parts.has(part))
                roles.start_sides.push_back(side(static_cast<std::size_t>(part), roles.start_plane));
        }
    }
    make_landing(roles);
    make_checkpoints(roles);
}

void Roles::make_checkpoints(StationRoles& roles) {
    if (book_->format != course::Format::every_station_counts) return;  // nobody counts points there
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

void Roles::make_landing(StationRoles& roles) {
    const course::Landing& landing = roles.station->landing;
    const auto pairs_of = [&](const std::vector<Part>& parts, const std::vector<SurfaceId>& surfaces) {
        std::vector<PairIndex> pairs;
        for (const Part part : parts) {
            for (const SurfaceId surface : surfaces)
                pairs.push_back(pair(part, class_of(surface)));
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

void Roles::make_matters() {
    matters_from_.resize(stations_.size() + 1);
    PairBits later;
    for (const PairIndex p : on_finish_)
        later.set(p);
    matters_from_[stations_.size()] = later;
    for (std::size_t k = stations_.size(); k-- > 0;) {
        for (const PairIndex p : stations_[k].on_start)
            later.set(p);
        for (const auto& way : stations_[k].landing) {
            for (const auto& any : way) {
                for (const PairIndex p : any)
                    later.set(p);
            }
        }
        for (const ItemRoles& item : stations_[k].items) {
            for (const PairIndex p : item.pairs)
                later.set(p);
        }
        matters_from_[k] = later;
    }
}

bool Roles::has_finish() const {
    return book_->finish.required || !book_->finish.name.empty() || book_->finish.surface.has_value();
}

void Roles::make_kinds() {
    // What a definition can ask of a part on a surface: is it among those of a landing's lists, may it touch
    // the item, is it a hand where hands must stay up, does it count at all.
    std::map<std::vector<std::uint32_t>, std::uint32_t> known;
    kinds_.resize(class_count_ * kPartsCount);
    for (SurfaceClass c = 0; c < class_count_; ++c) {
        for (const Part part : course::kAllParts) {
            const PairIndex p = pair(part, c);
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

PairBits Roles::pairs_in(const Scope& scope) const {
    PairBits bits;
    if (scope.whole_athlete) {
        for (std::size_t i = 0; i < class_count_ * kPartsCount; ++i)
            bits.set(i);
        return bits;
    }
    for (const SurfaceId surface : scope.surfaces) {
        for (const PairIndex p : all_parts_on(class_of(surface)))
            bits.set(p);
    }
    return bits;
}

SideBits Roles::sides_in(const Scope& scope) const {
    SideBits bits;
    if (scope.whole_athlete) {
        for (std::size_t i = 0; i < plane_count() * kCrossersCount; ++i)
            bits.set(i);
        return bits;
    }
    for (const course::PlaneId plane : scope.planes) {
        for (std::size_t crosser = 0; crosser < kCrossersCount; ++crosser)
            bits.set(side(crosser, static_cast<std::size_t>(plane.value)));
    }
    return bits;
}

}  // namespace plumbmark::ruling
