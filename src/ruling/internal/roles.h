// The numbers of one ruling: those of the course, and classes for the surfaces that the evidence names though
// no station uses them.
#pragma once

#include <memory>
#include <vector>

#include "base/result.h"
#include "ruling/evidence.h"
#include "ruling/internal/course_roles.h"

namespace plumbmark::ruling {

/// Immutable once made.
class Roles {
  public:
    /// Error unsupported when course and evidence are larger than the engine's words.
    [[nodiscard]] static base::Result<Roles> make(std::shared_ptr<const CourseRoles> course,
                                                  const Evidence& evidence);

    [[nodiscard]] const course::CourseBook& book() const { return course_->book(); }
    [[nodiscard]] std::size_t station_count() const { return course_->stations().size(); }
    [[nodiscard]] const StationRoles& station(std::size_t k) const { return course_->stations()[k]; }
    /// What the surface class is on station k.
    [[nodiscard]] const Role& role(std::size_t k, SurfaceClass c) const {
        return c < course_->class_count() ? station(k).roles[c] : kNoRole;
    }
    [[nodiscard]] std::size_t class_count() const { return course_->class_count() + named_.size(); }
    /// Of these, those that the course's stations use come before all others from kFirstUsed on.
    [[nodiscard]] std::size_t used_class_count() const { return course_->class_count(); }
    [[nodiscard]] SurfaceClass class_of(course::SurfaceId surface) const;
    /// One surface that stands for the class; none for undeclared things.
    [[nodiscard]] course::SurfaceId surface_of(SurfaceClass c) const;
    /// Whether anything is of this class at all: nothing may be left of what is only declared.
    [[nodiscard]] bool is_empty(SurfaceClass c) const {
        return c == CourseRoles::kRest && !surface_of(c).valid();
    }
    [[nodiscard]] PairIndex pair(course::Part part, SurfaceClass c) const { return pair_of(part, c); }
    [[nodiscard]] std::size_t plane_count() const { return book().planes.size(); }
    [[nodiscard]] SideIndex side(std::size_t crosser, std::size_t plane) const {
        return side_of(crosser, plane);
    }
    [[nodiscard]] const std::vector<PairIndex>& on_finish() const { return course_->on_finish(); }
    [[nodiscard]] bool has_finish() const { return course_->has_finish(); }
    /// As CourseRoles::kind_of.
    [[nodiscard]] std::uint32_t kind_of(PairIndex pair) const;
    [[nodiscard]] const PairBits& matters_from(std::size_t k) const { return course_->matters_from(k); }
    [[nodiscard]] const SideBits& sides_from(std::size_t k) const { return course_->sides_from(k); }
    /// Every pair there is.
    [[nodiscard]] const PairBits& all_pairs() const { return all_pairs_; }
    [[nodiscard]] const SideBits& all_sides() const { return all_sides_; }
    /// The pairs and sides that a watched span of this scope vouches for.
    [[nodiscard]] PairBits pairs_in(const Scope& scope) const;
    [[nodiscard]] SideBits sides_in(const Scope& scope) const;

  private:
    static const Role kNoRole;

    void name(course::SurfaceId surface);

    std::shared_ptr<const CourseRoles> course_;
    std::vector<course::SurfaceId> named_;  ///< of those that no station uses: a class each
    course::SurfaceId rest_;                ///< one of those that nothing uses or names; none: there is none
    PairBits all_pairs_;
    SideBits all_sides_;
};

}  // namespace plumbmark::ruling
