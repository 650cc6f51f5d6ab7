#include "ruling/internal/roles.h"

#include <algorithm>

#include "base/worded.h"

namespace plumbmark::ruling {

using course::SurfaceId;

const Role Roles::kNoRole{};

base::Result<Roles> Roles::make(std::shared_ptr<const CourseRoles> course, const Evidence& evidence) {
    if (course->too_large()) return *course->too_large();
    Roles roles;
    roles.course_ = std::move(course);
    for (const Mark& mark : evidence.marks) {
        for (const Happening& what : mark.alternatives) {
            if (const auto* touch = std::get_if<Touch>(&what)) roles.name(touch->surface);
            if (const auto* release = std::get_if<Release>(&what)) roles.name(release->surface);
        }
    }
    for (const ContactStatement& contact : evidence.contacts)
        roles.name(contact.surface);
    for (const WatchedSpan& span : evidence.spans) {
        for (const SurfaceId surface : span.scope.surfaces)
            roles.name(surface);
    }
    const std::size_t pairs = roles.class_count() * kPartsCount;
    if (pairs > kMostPairs)
        return base::Error{base::Category::unsupported,
                           base::worded("The marks name {} surfaces that no station uses; together with the "
                                        "course's own that is more than the engine takes ({}). Split the "
                                        "course book in two.",
                                        roles.named_.size(), kMostPairs / kPartsCount),
                           roles.book().name};
    const std::vector<course::Surface>& surfaces = roles.book().surfaces;
    for (std::size_t i = 0; i < surfaces.size() && !roles.rest_.valid(); ++i) {
        const SurfaceId id{static_cast<std::int64_t>(i)};
        if (roles.class_of(id) == CourseRoles::kRest) roles.rest_ = id;
    }
    for (std::size_t p = 0; p < pairs; ++p)
        roles.all_pairs_.set(p);
    for (std::size_t s = 0; s < roles.plane_count() * kCrossersCount; ++s)
        roles.all_sides_.set(s);
    return roles;
}

void Roles::name(SurfaceId surface) {
    // One that the book does not have is told by prepare().
    if (surface.value >= static_cast<std::int64_t>(book().surfaces.size())) return;
    if (class_of(surface) == CourseRoles::kRest) named_.push_back(surface);
}

SurfaceClass Roles::class_of(SurfaceId surface) const {
    if (!surface.valid()) return CourseRoles::kUndeclared;
    const SurfaceClass c = course_->class_of(static_cast<std::size_t>(surface.value));
    if (c != CourseRoles::kRest) return c;
    const auto named = std::find(named_.begin(), named_.end(), surface);
    return named == named_.end()
               ? c
               : static_cast<SurfaceClass>(course_->class_count() +
                                           static_cast<std::size_t>(named - named_.begin()));
}

SurfaceId Roles::surface_of(SurfaceClass c) const {
    if (c == CourseRoles::kRest) return rest_;
    return c < course_->class_count() ? course_->surface_of(c) : named_[c - course_->class_count()];
}

std::uint32_t Roles::kind_of(PairIndex pair) const {
    // A surface that no station uses tells parts apart only where no definition asks: none are alike there.
    const std::size_t known = course_->class_count() * kPartsCount;
    return pair < known ? course_->kind_of(pair) : static_cast<std::uint32_t>(known + pair);
}

PairBits Roles::pairs_in(const Scope& scope) const {
    if (scope.whole_athlete) return all_pairs_;
    PairBits bits;
    for (const SurfaceId surface : scope.surfaces) {
        for (const PairIndex p : all_parts_on(class_of(surface)))
            bits.set(p);
    }
    return bits;
}

SideBits Roles::sides_in(const Scope& scope) const {
    if (scope.whole_athlete) return all_sides_;
    SideBits bits;
    for (const course::PlaneId plane : scope.planes) {
        for (std::size_t crosser = 0; crosser < kCrossersCount; ++crosser)
            bits.set(side(crosser, static_cast<std::size_t>(plane.value)));
    }
    return bits;
}

}  // namespace plumbmark::ruling
