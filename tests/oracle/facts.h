// What one world says at one instant: contacts, sides of planes, items used, and whether the landing's
// conditions hold. Where the judge needs a fact that is not known, it goes on as if the answer were no, and
// notes the past in which it is yes, which is then judged as well.
#pragma once

#include <algorithm>

#include "oracle/plain_judge.h"

namespace plumbmark::oracle {

inline bool has(const std::vector<course::SurfaceId>& list, course::SurfaceId surface) {
    return std::find(list.begin(), list.end(), surface) != list.end();
}

inline bool is_hand(course::Part part) {
    return course::kHands.has(part);
}

class Facts {
  public:
    /// 'other_pasts' receives the pasts that have to be judged besides this one.
    Facts(const course::CourseBook& book, Durations durations, const std::vector<course::Part>& parts,
          std::uint64_t tracked, const RunState& past, Step now, std::vector<RunState>& other_pasts)
        : book_(book),
          durations_(durations),
          parts_(parts),
          tracked_(tracked),
          past_(past),
          other_pasts_(other_pasts),
          s_(past),
          now_(now) {}

    /// False when the event cannot happen in this world.
    [[nodiscard]] bool possible() const { return possible_; }
    [[nodiscard]] const RunState& state() const { return s_; }

  protected:
    [[nodiscard]] const course::Station& station(int i) const {
        return book_.stations[static_cast<std::size_t>(i)];
    }
    [[nodiscard]] const course::Station& here() const { return station(s_.station); }
    [[nodiscard]] int count() const { return static_cast<int>(book_.stations.size()); }
    [[nodiscard]] bool points_count() const { return book_.format == course::Format::every_station_counts; }

    // Facts
    // ---------------------------------------------------------------------------------------------------

    bool ask(Bits RunState::*facts, std::size_t bit) {
        if ((s_.*facts).is_known(bit)) return (s_.*facts).is_set(bit);
        other_pasts_.push_back(past_);
        (other_pasts_.back().*facts).set(bit, true);
        (past_.*facts).set(bit, false);
        (s_.*facts).set(bit, false);
        return false;
    }

    [[nodiscard]] bool on(course::Part part, course::SurfaceId surface) {
        const std::size_t bit = PlainJudge::pair(part, surface);
        return ((tracked_ >> bit) & 1U) != 0 && ask(&RunState::contacts, bit);
    }

    [[nodiscard]] bool known_on(course::Part part, course::SurfaceId surface) const {
        return s_.contacts.is_set(PlainJudge::pair(part, surface));
    }

    // What is known to be on answers the question, before anything has to be guessed.
    [[nodiscard]] bool part_on(course::Part part, const std::vector<course::SurfaceId>& surfaces) {
        return std::any_of(surfaces.begin(), surfaces.end(),
                           [&](course::SurfaceId surface) { return known_on(part, surface); }) ||
               std::any_of(surfaces.begin(), surfaces.end(),
                           [&](course::SurfaceId surface) { return on(part, surface); });
    }

    [[nodiscard]] bool any_on(course::SurfaceId surface) {
        return std::any_of(parts_.begin(), parts_.end(),
                           [&](course::Part part) { return known_on(part, surface); }) ||
               std::any_of(parts_.begin(), parts_.end(),
                           [&](course::Part part) { return on(part, surface); });
    }

    [[nodiscard]] bool any_on(const std::vector<course::SurfaceId>& surfaces) {
        for (course::Part part : parts_) {
            for (course::SurfaceId surface : surfaces) {
                if (known_on(part, surface)) return true;
            }
        }
        return std::any_of(surfaces.begin(), surfaces.end(),
                           [&](course::SurfaceId surface) { return any_on(surface); });
    }

    [[nodiscard]] bool past(course::Part part, course::PlaneId plane) {
        return ask(&RunState::sides, PlainJudge::side(part, plane));
    }

    // False when the contact is so already: then this cannot happen.
    bool move_contact(course::Part part, course::SurfaceId surface, bool to) {
        const std::size_t bit = PlainJudge::pair(part, surface);
        if (((tracked_ >> bit) & 1U) == 0) return true;
        if (s_.contacts.is_known(bit) && s_.contacts.is_set(bit) == to) return possible_ = false;
        s_.contacts.set(bit, to);
        return true;
    }

    bool move_side(std::optional<course::Part> part, course::PlaneId plane, bool to) {
        const std::size_t bit = PlainJudge::side(part, plane);
        if (s_.sides.is_known(bit) && s_.sides.is_set(bit) == to) return possible_ = false;
        s_.sides.set(bit, to);
        if (!part) {
            for (course::Part each : course::kAllParts) {
                const std::size_t its = PlainJudge::side(each, plane);
                if (to) s_.sides.set(its, true);
                if (!to) s_.sides.forget(std::uint64_t{1} << its);  // which part came back is not said
            }
            return true;
        }
        const std::size_t whole = PlainJudge::side(std::nullopt, plane);
        if (!to) s_.sides.set(whole, false);
        if (to && course::kWholeBody.has(*part)) s_.sides.set(whole, every_part_past(plane));
        return true;
    }

    // One part known to be behind answers it, before anything has to be guessed.
    [[nodiscard]] bool every_part_past(course::PlaneId plane) {
        const auto counts = [](course::Part part) { return course::kWholeBody.has(part); };
        const auto known_behind = [&](course::Part part) {
            const std::size_t bit = PlainJudge::side(part, plane);
            return counts(part) && s_.sides.is_known(bit) && !s_.sides.is_set(bit);
        };
        const auto& all = course::kAllParts;
        return std::none_of(all.begin(), all.end(), known_behind) &&
               std::all_of(all.begin(), all.end(),
                           [&](course::Part part) { return !counts(part) || past(part, plane); });
    }
    [[nodiscard]] bool whole_athlete_past(course::PlaneId plane) const {
        return s_.sides.is_set(PlainJudge::side(std::nullopt, plane));
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

    [[nodiscard]] bool parts_on_landing() {
        using course::Part;
        const course::Landing& landing = here().landing;
        switch (landing.parts) {
            case course::LandingParts::none:
                return true;
            case course::LandingParts::any_part:
                return any_on(landing.surfaces);
            case course::LandingParts::any_foot:
                return part_on(Part::left_foot, landing.surfaces) ||
                       part_on(Part::right_foot, landing.surfaces);
            case course::LandingParts::any_hand:
                return part_on(Part::left_hand, landing.surfaces) ||
                       part_on(Part::right_hand, landing.surfaces);
            case course::LandingParts::both_feet:
                return all_on_landing(course::kFeet);
            case course::LandingParts::both_hands:
                return all_on_landing(course::kHands);
            case course::LandingParts::listed:
                return all_on_landing(landing.listed_parts);
        }
        return false;
    }

    [[nodiscard]] bool all_on_landing(course::PartSet needed) {
        const course::Landing& landing = here().landing;
        const auto all_on = [&](const std::vector<course::SurfaceId>& surfaces) {
            return std::all_of(course::kAllParts.begin(), course::kAllParts.end(), [&](course::Part part) {
                return !needed.has(part) || part_on(part, surfaces);
            });
        };
        if (!landing.same_surface) return all_on(landing.surfaces);
        return std::any_of(landing.surfaces.begin(), landing.surfaces.end(),
                           [&](course::SurfaceId surface) { return all_on({surface}); });
    }

    [[nodiscard]] bool landing_holds() {
        const std::uint8_t all = static_cast<std::uint8_t>((1U << here().landing.planes.size()) - 1U);
        return items_done() && (s_.crossed & all) == all && parts_on_landing();
    }

    const course::CourseBook& book_;
    Durations durations_;
    const std::vector<course::Part>& parts_;
    std::uint64_t tracked_;
    RunState past_;  ///< before the event, with what was asked since
    std::vector<RunState>& other_pasts_;
    RunState s_;
    Step now_;
    bool possible_ = true;
};

}  // namespace plumbmark::oracle
