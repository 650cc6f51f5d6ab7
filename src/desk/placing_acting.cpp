// The page of where to put a camera: opening it, its keys, and what is worked out for it.
#include "desk/internal/desk_core.h"
#include "desk/internal/say.h"
#include "review/lens_shelf.h"

namespace plumbmark::desk {

void DeskCore::open_placing() {
    const course::CourseBook* book = session_->book();
    if (book == nullptr) return say(tr("The plan comes from a course book. Drop a .course file here."));
    if (book->plan.planes.empty())
        return complain(
            {base::Category::bad_input,
             tr("The course book does not say where a plane is. Add a [plan] with its line and the "
                "corners of the surfaces as you taped them; then it can be worked out where to put "
                "a camera."),
             ""});
    std::vector<meet::CameraLens> kept;
    if (options_.remember) {
        auto own = review::kept_lenses(review::lens_shelf_file());
        if (!own) complain(own.error());
        if (own) kept = std::move(*own);
    }
    views_.placing.lenses = review::lenses_to_take(session_->state(), kept);
    // The plane in hand is the one that is thought of.
    const auto planes = review::planned_planes(*book);
    for (std::size_t i = 0; i < planes.size(); ++i)
        if (book->plane(planes[i]).key == session_->hand().plane) views_.placing.plane = static_cast<int>(i);
    views_.play.playing = false;
    views_.page = {PageKind::placing, 0};
    update_placing();
}

void DeskCore::update_placing() {
    if (!on_the_map()) return placing_.close();
    placing_.update(session_->book(), views_.placing);
    if (placing_.placing() == nullptr && !placing_.trouble()) views_.page = {};  // the book is gone
}

void DeskCore::placing_page_key(int physical_key, int mods, std::optional<Action> action) {
    const std::size_t planes = session_->book() ? session_->book()->plan.planes.size() : 0;
    if (action == Action::let_go || action == Action::take || action == Action::placing) {
        views_.page = {};
        return placing_.close();
    }
    (void)placing_key(views_.placing, placing_, planes, physical_key, mods);
}

void DeskCore::draw_placing_page(const Box& box) {
    const std::size_t planes =
        session_ && session_->book() ? session_->book()->plan.planes.size() : std::size_t{0};
    draw_placing(look_, keys_, box, placing_, planes, views_.placing, views_.page);
    if (!on_the_map()) placing_.close();
}

}  // namespace plumbmark::desk
