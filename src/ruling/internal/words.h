// How events, places and times are told: in the course book's own names, on the clip's own clock.
#pragma once

#include <string>
#include <vector>

#include "course/book.h"
#include "ruling/evidence.h"
#include "ruling/ruling.h"

namespace plumbmark::ruling {

class Words {
  public:
    /// Both must outlive this.
    Words(const course::CourseBook& book, const Evidence& evidence) : book_(book), evidence_(evidence) {}

    /// "the gantry deck", "rung 2", "something undeclared".
    [[nodiscard]] std::string surface(course::SurfaceId surface) const;
    [[nodiscard]] std::string surfaces(const std::vector<course::SurfaceId>& surfaces,
                                       std::string_view conjunction) const;
    [[nodiscard]] std::string plane(course::PlaneId plane) const;
    [[nodiscard]] std::string finish() const;
    /// "the left hand", "the knee, trunk or head", "hair, clothing or gear".
    [[nodiscard]] std::string part(course::Part part) const;
    /// "hands", "feet", "the left foot and the right hand".
    [[nodiscard]] std::string parts(course::PartSet parts) const;

    /// "the left foot touches the floor".
    [[nodiscard]] std::string happens(const Happening& what) const;
    /// "the left foot touched the floor".
    [[nodiscard]] std::string happened(const Happening& what) const;
    /// "the left foot touching the floor".
    [[nodiscard]] std::string happening(const Happening& what) const;
    /// All alternatives of a mark, joined by 'or'; "possibly ..." where it may not have happened.
    [[nodiscard]] std::string all_of(const Mark& mark) const;

    /// "0:03.317 to 0:03.333", "before 0:03.333", "after 0:03.317"; "an unknown time".
    [[nodiscard]] std::string range(const Shown& shown) const;
    /// "by 0:09.133"; "after 0:09.100" where nothing shows when at the latest; the clip where there are
    /// several.
    [[nodiscard]] std::string by(const Shown& shown) const;
    /// "between 0:05.100 and 0:05.133", with the clip where there are several.
    [[nodiscard]] std::string between(const Shown& shown) const;
    /// " (camera A)" or "": the clip's name where the review has several.
    [[nodiscard]] std::string on_clip(ClipIndex clip) const;
    [[nodiscard]] const std::string& clip(ClipIndex clip) const;

  private:
    [[nodiscard]] std::string tell(const Happening& what, int form) const;

    const course::CourseBook& book_;
    const Evidence& evidence_;
};

/// The first sighting of a mark; none for one at an unknown time.
[[nodiscard]] std::optional<Shown> shown_of(const Mark& mark);

}  // namespace plumbmark::ruling
