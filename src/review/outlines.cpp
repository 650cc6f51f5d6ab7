#include "review/outlines.h"

namespace plumbmark::review {

std::string drawing_name(const meet::Drawing& drawing, const course::CourseBook* book) {
    if (!book) return drawing.key;
    if (drawing.kind == meet::DrawingKind::plane) {
        const course::PlaneId id = book->find_plane(drawing.key);
        return id.valid() ? book->plane(id).name : drawing.key;
    }
    const course::SurfaceId id = book->find_surface(drawing.key);
    return id.valid() ? book->surface_name(id) : drawing.key;
}

std::vector<report::StillOutline> outlines_of(const std::vector<meet::Drawing>& drawings,
                                              const course::CourseBook* book) {
    std::vector<report::StillOutline> out;
    out.reserve(drawings.size());
    for (const meet::Drawing& drawing : drawings)
        out.push_back({drawing.points, drawing_name(drawing, book), drawing.kind, drawing.towards});
    return out;
}

}  // namespace plumbmark::review
