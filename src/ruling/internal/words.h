// How events, places and times are told: in the course book's own names, on the clip's own clock.
#pragma once

#include <string>
#include <vector>

#include "course/book.h"
#include "ruling/evidence.h"
#include "ruling/internal/say.h"
#include "ruling/ruling.h"

namespace plumbmark::ruling {

/// How an event is told. 'after_if' is the past as it stands after 'if', 'whether', 'unless', 'before' or 'in
/// which': in English the past itself, in other languages with the verb elsewhere.
enum class Form { present, past, after_if };

/// An event in two halves, so that a pattern may say between them when or how it was.
struct Told {
    Sentence who;  ///< "the left foot"
    Sentence did;  ///< "touched the floor"
};
/// Both halves, with nothing between them.
[[nodiscard]] Sentence whole(const Told& told);

class Words {
  public:
    /// Both must outlive this.
    Words(const course::CourseBook& book, const Evidence& evidence) : book_(book), evidence_(evidence) {}

    /// "the gantry deck", "rung 2", "something undeclared".
    [[nodiscard]] Sentence surface(course::SurfaceId surface) const;
    [[nodiscard]] Sentence surfaces(const std::vector<course::SurfaceId>& surfaces,
                                    const char* conjunction) const;
    /// "on the gantry deck", "on something undeclared".
    [[nodiscard]] Sentence on_surface(course::SurfaceId surface) const;
    [[nodiscard]] Sentence plane(course::PlaneId plane) const;
    [[nodiscard]] Sentence finish() const;
    [[nodiscard]] Sentence station(course::StationId station) const;
    /// "the left hand", "another part of the body", "hair, clothing or gear".
    [[nodiscard]] Sentence part(course::Part part) const;
    /// "hands", "feet", "the left foot and the right hand".
    [[nodiscard]] Sentence parts(course::PartSet parts) const;

    [[nodiscard]] Told told(const Happening& what, Form form) const;
    /// "the left foot touches the floor"; "the left foot touched the floor".
    [[nodiscard]] Sentence tell(const Happening& what, Form form) const { return whole(told(what, form)); }
    /// All alternatives of a mark, joined by 'or'.
    [[nodiscard]] Sentence ways(const Mark& mark, Form form) const;

    /// "0:03.317 to 0:03.333", "before 0:03.333", "after 0:03.317"; "at an unknown time".
    [[nodiscard]] Sentence range(const Shown& shown) const;
    /// "by 0:09.133"; "after 0:09.100" where nothing shows when at the latest; the clip where there are
    /// several.
    [[nodiscard]] Sentence by(const Shown& shown) const;
    /// "between 0:05.100 and 0:05.133", with the clip where there are several.
    [[nodiscard]] Sentence between(const Shown& shown) const;
    /// "... (camera A)": with the clip's name where the review has several.
    [[nodiscard]] Sentence on_clip(const Sentence& time, ClipIndex clip) const;
    [[nodiscard]] const std::string& clip(ClipIndex clip) const;

  private:
    const course::CourseBook& book_;
    const Evidence& evidence_;
};

/// The first sighting of a mark; none for one at an unknown time.
[[nodiscard]] std::optional<Shown> shown_of(const Mark& mark);

}  // namespace plumbmark::ruling
