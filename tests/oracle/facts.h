// What one world says at one instant: contacts, sides of planes, items used, and whether the landing's
// conditions hold. The plain judge asks; where the answer is not known yet it is tried both ways.
#pragma once

#include <algorithm>

#include "oracle/plain_judge.h"

namespace plumbmark::oracle {

// Thrown when the judge needs a fact that is not known: both answers are then tried from the state before.
struct Unknown {
    bool side;
    std::size_t bit;
};
// Thrown when the event cannot happen in this world.
struct Impossible {};

inline bool has(const std::vector<course::SurfaceId>& list, course::SurfaceId surface) {
    return std::find(list.begin(), list.end(), surface) != list.end();
}

inline bool is_hand(course::Part part) {
    return course::kHands.has(part);
}

class Facts {
  public:
    Facts(const course::CourseBook& book, const Grid& grid, const std::vector<course::Part>& parts,
          std::uint64_t tracked, RunState& state, Step now)
        : book_(book), grid_(grid), parts_(parts), tracked_(tracked), s_(state), now_(now) {}

  protected:
    [[nodiscard]] const course::Station& station(int i) const {
        return book_.stations[static_cast<std::size_t>(i)];
    }
    [[nodiscard]] const course::Station& here() const { return station(s_.station); }
    [[nodiscard]] int count() const { return static_cast<int>(book_.stations.size()); }

    // Facts
    // ---------------------------------------------------------------------------------------------------

    [[nodiscard]] bool on(course::Part part, course::SurfaceId surface) const {
        const std::size_t bit = PlainJudge::pair(part, surface);
        if (((tracked_ >> bit) & 1U) == 0) return false;
        if (!s_.contacts.is_known(bit)) throw Unknown{false, bit};
        return s_.contacts.is_set(bit);
    }

    [[nodiscard]] bool known_on(course::Part part, course::SurfaceId surface) const {
        return s_.contacts.is_set(PlainJudge::pair(part, surface));
    }

    [[nodiscard]] bool part_on(course::Part part, const std::vector<course::SurfaceId>& surfaces) const {
        for (course::SurfaceId surface : surfaces) {
            if (known_on(part, surface)) return true;
        }
        return std::any_of(surfaces.begin(), surfaces.end(),
                           [&](course::SurfaceId surface) { return on(part, surface); });
    }

    [[nodiscard]] bool any_on(const std::vector<course::SurfaceId>& surfaces) const {
        for (course::Part part : parts_) {
            for (course::SurfaceId surface : surfaces) {
                if (known_on(part, surface)) return true;
            }
        }
        return std::any_of(parts_.begin(), parts_.end(),
                           [&](course::Part part) { return part_on(part, surfaces); });
    }

    [[nodiscard]] bool past(std::optional<course::Part> part, course::PlaneId plane) const {
        const std::size_t bit = PlainJudge::side(part, plane);
        if (!s_.sides.is_known(bit)) throw Unknown{true, bit};
        return s_.sides.is_set(bit);
    }

    void move_contact(course::Part part, course::SurfaceId surface, bool to) {
        const std::size_t bit = PlainJudge::pair(part, surface);
        if (((tracked_ >> bit) & 1U) == 0) return;
        if (s_.contacts.is_known(bit) && s_.contacts.is_set(bit) == to) throw Impossible{};
        s_.contacts.set(bit, to);
    }

    void move_side(std::optional<course::Part> part, course::PlaneId plane, bool to) {
        const std::size_t bit = PlainJudge::side(part, plane);
        if (s_.sides.is_known(bit) && s_.sides.is_set(bit) == to) throw Impossible{};
        s_.sides.set(bit, to);
        const std::size_t whole = PlainJudge::side(std::nullopt, plane);
        if (!part) {
            for (course::Part each : course::kAllParts) {
                const std::size_t its = PlainJudge::side(each, plane);
                if (to) s_.sides.set(its, true);
                if (!to) s_.sides.forget(std::uint64_t{1} << its);  // which part came back is not said
            }
        } else if (!to) {
            s_.sides.set(whole, false);
        } else if (course::kWholeBody.has(*part)) {
            bool all = true;
            for (course::Part each : course::kAllParts)
                all =
                    all && (!course::kWholeBody.has(each) || s_.sides.is_set(PlainJudge::side(each, plane)));
            s_.sides.set(whole, all);
        }
    }

    // Items and landing
    // ---------------------------------------------------------------------------------------

    [[nodiscard]] static int item_index(const course::Station& st, course::SurfaceId surface) {
        for (std::size_t i = 0; i < st.in_play.size(); ++i) {
            if (st.in_play[i].surface == surface) return static_cast<int>(i);
        }
        return -1;
    }
    [[nodiscard]] bool used(int item) const { return ((s_.used >> item) & 1U) != 0; }
    [[nodiscard]] bool used(course::SurfaceId surface) const {
        const int item = item_index(here(), surface);
        return item >= 0 && used(item);
    }

    [[nodiscard]] bool items_done() const {
        for (std::size_t i = 0; i < here().in_play.size(); ++i) {
            if (here().in_play[i].required && !used(static_cast<int>(i))) return false;
        }
        for (const course::ItemRow& row : here().rows) {
            const auto skipped = std::count_if(row.members.begin(), row.members.end(),
                                               [&](course::SurfaceId member) { return !used(member); });
            if (skipped > row.max_skipped) return false;
        }
        return true;
    }

    [[nodiscard]] bool parts_on_landing() const {
        const course::Landing& landing = here().landing;
        std::vector<course::Part> needed;
        switch (landing.parts) {
            case course::LandingParts::none:
                return true;
            case course::LandingParts::any_part:
                return any_on(landing.surfaces);
            case course::LandingParts::any_foot:
                return part_on(course::Part::left_foot, landing.surfaces) ||
                       part_on(course::Part::right_foot, landing.surfaces);
            case course::LandingParts::any_hand:
                return part_on(course::Part::left_hand, landing.surfaces) ||
                       part_on(course::Part::right_hand, landing.surfaces);
            case course::LandingParts::both_feet:
                needed = {course::Part::left_foot, course::Part::right_foot};
                break;
            case course::LandingParts::both_hands:
                needed = {course::Part::left_hand, course::Part::right_hand};
                break;
            case course::LandingParts::listed:
                for (course::Part part : course::kAllParts) {
                    if (landing.listed_parts.has(part)) needed.push_back(part);
                }
                break;
        }
        const auto all_on = [&](const std::vector<course::SurfaceId>& surfaces) {
            return std::all_of(needed.begin(), needed.end(),
                               [&](course::Part part) { return part_on(part, surfaces); });
        };
        if (!landing.same_surface) return all_on(landing.surfaces);
        return std::any_of(landing.surfaces.begin(), landing.surfaces.end(),
                           [&](course::SurfaceId surface) { return all_on({surface}); });
    }

    [[nodiscard]] bool landing_holds() const {
        const std::uint8_t all = static_cast<std::uint8_t>((1U << here().landing.planes.size()) - 1U);
        return items_done() && (s_.crossed & all) == all && parts_on_landing();
    }

    const course::CourseBook& book_;
    const Grid& grid_;
    const std::vector<course::Part>& parts_;
    std::uint64_t tracked_;
    RunState& s_;
    Step now_;
};

}  // namespace plumbmark::oracle
