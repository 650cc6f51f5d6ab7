// What of a review can matter to its worlds: which parts, which contacts have to be remembered, and of which
// sides of planes no mark speaks.
#pragma once

#include <set>
#include <utility>
#include <vector>

#include "oracle/worlds.h"

namespace plumbmark::oracle {

class Reach {
  public:
    explicit Reach(const Case& review);

    std::vector<course::Part> parts;
    std::uint64_t tracked = 0;               ///< pairs of part and surface whose contact has to be remembered
    std::uint64_t said = 0;                  ///< pairs that some mark or statement names
    std::uint64_t finish_pairs = 0;          ///< pairs with the surface on which the finish is struck
    std::vector<std::size_t> unnamed_sides;  ///< that no mark on their plane can speak of
    /// Who can cross which plane so that it matters: plane, and part or whole athlete.
    std::set<std::pair<std::size_t, std::size_t>> crossings;

  private:
    void name(const ruling::Happening& what);
    void name_pair(course::Part part, course::SurfaceId surface);
    void find_crossings();
    void find_unnamed_sides();
    [[nodiscard]] bool speaks_of(course::PlaneId plane, std::optional<course::Part> part) const;
    [[nodiscard]] bool alike(course::Part a, course::Part b) const;
    void choose_parts();
    void track(course::Part part);
    void track(course::Part part, const course::Station& station);

    const Case& review_;
    course::PartSet named_;
};

}  // namespace plumbmark::oracle
