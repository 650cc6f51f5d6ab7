#include "desk/internal/placing_desk.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

/// Cells so many times as long are looked at first: a map that says the most of it, in a tenth of the time.
constexpr double kRough = 3;
constexpr double kHeightStep = 0.1, kLowest = 0.1, kHighest = 12;  ///< metres
constexpr double kFarStep = 4;                                     ///< cells, with Shift

template <class T>
T turned(T at, std::size_t count, int by) {
    if (count == 0) return at;
    const auto n = static_cast<std::ptrdiff_t>(count);
    return static_cast<T>(((static_cast<std::ptrdiff_t>(at) + by) % n + n) % n);
}

/// Onto the middle of its cell, within the floor.
sight::FloorPlace on_floor(const sight::FloorGrid& floor, sight::FloorPlace place) {
    const double wide = (floor.x_to - floor.x_from) / floor.columns;
    const double tall = (floor.y_to - floor.y_from) / floor.rows;
    place.x = std::clamp(place.x, floor.x_from + wide / 2, floor.x_to - wide / 2);
    place.y = std::clamp(place.y, floor.y_from + tall / 2, floor.y_to - tall / 2);
    const auto cell = cell_at(floor, place);
    return cell ? floor.middle(*cell) : place;
}

void move_cursor(PlacingView& view, const PlacingDesk& desk, int right, int up, double cells) {
    if (desk.placing() == nullptr) return;
    const sight::FloorGrid& floor = desk.map() ? desk.map()->floor : desk.placing()->plan.floor;
    if (!view.cursor) {
        const auto best = desk.map() ? review::best_places(*desk.map(), placing_asked(view)).cells
                                     : std::vector<std::size_t>();
        view.cursor = floor.middle(best.empty() ? floor.count() / 2 : best.front());
        return;
    }
    const double wide = (floor.x_to - floor.x_from) / floor.columns;
    const double tall = (floor.y_to - floor.y_from) / floor.rows;
    view.best = -1;
    view.cursor =
        on_floor(floor, {view.cursor->x + right * cells * wide, view.cursor->y + up * cells * tall});
}

}  // namespace

review::PlacingWish placing_wish(const course::CourseBook& book, const PlacingView& view) {
    review::PlacingWish wish;
    const auto planes = review::planned_planes(book);
    if (!planes.empty()) {
        const auto at =
            static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(view.plane, 0, std::ssize(planes) - 1));
        wish.plane = book.plane(planes[at]).key;
    }
    wish.camera_height = view.height;
    if (view.lens < kPlacingAcross.size())
        wish.lens = sight::lens_with(kPlacingAcross[view.lens], 1920, 1080);
    else if (view.lens - kPlacingAcross.size() < view.lenses.size())
        review::take_lens(wish, view.lenses[view.lens - kPlacingAcross.size()]);
    return wish;
}

review::PlacingAsked placing_asked(const PlacingView& view) {
    return {view.wanted, kPlacingBounds[view.bound], view.first};
}

std::optional<std::size_t> cell_at(const sight::FloorGrid& floor, sight::FloorPlace place) {
    const double column = std::floor((place.x - floor.x_from) / (floor.x_to - floor.x_from) * floor.columns);
    const double row = std::floor((place.y - floor.y_from) / (floor.y_to - floor.y_from) * floor.rows);
    if (!(column >= 0 && column < floor.columns && row >= 0 && row < floor.rows)) return std::nullopt;
    return static_cast<std::size_t>(row) * static_cast<std::size_t>(floor.columns) +
           static_cast<std::size_t>(column);
}

void PlacingDesk::update(const course::CourseBook* book, const PlacingView& view) {
    if (book == nullptr) return close();
    const review::PlacingWish wish = placing_wish(*book, view);
    if (!book_ || !(wish == wish_) || view.first != first_ || !(*book_ == *book)) {
        wish_ = wish;
        first_ = view.first;
        ask(*book, view);
    }
    if (!job_) return;
    const bool last = job_->done();
    if (auto answer = job_->take()) {
        if (*answer)
            map_ = **answer;
        else
            trouble_ = answer->error();
    }
    if (last) job_.reset();
}

void PlacingDesk::ask(const course::CourseBook& book, const PlacingView& view) {
    const base::Speaking in_the_windows_language;
    job_.reset();
    placing_.reset();
    map_.reset();
    trouble_.reset();
    book_ = book;
    auto placing = review::placing_plan(book, wish_);
    if (!placing) return void(trouble_ = placing.error());
    placing_ = std::move(*placing);
    review::PlacingWish rough = wish_;
    rough.cell *= kRough;
    std::vector<sight::PlacingPlan> plans;
    if (const auto first = review::placing_plan(book, rough)) plans.push_back(first->plan);
    plans.push_back(placing_->plan);
    job_ = std::make_unique<review::PlacingJob>(std::move(plans), view.first, wake_);
}

void PlacingDesk::close() {
    if (!job_) return;
    job_.reset();
    book_.reset();
    placing_.reset();
    map_.reset();
}

report::PlacingPicture PlacingDesk::picture(const PlacingView& view) const {
    const base::Speaking in_the_windows_language;
    static const sight::PlacingMap none;
    report::PlacingPicture picture =
        review::placing_picture(*book_, *placing_, map_ ? *map_ : none, placing_asked(view));
    if (map_) return picture;
    const sight::FloorGrid& floor = placing_->plan.floor;
    std::tie(picture.x_from, picture.x_to) = std::pair(floor.x_from, floor.x_to);
    std::tie(picture.y_from, picture.y_to) = std::pair(floor.y_from, floor.y_to);
    return picture;
}

void change_placing_plane(PlacingView& view, std::size_t planes, int by) {
    view.plane = turned(view.plane, planes, by);
    view.best = -1;
}

void change_placing_bound(PlacingView& view, int by) {
    const auto last = static_cast<std::ptrdiff_t>(kPlacingBounds.size()) - 1;
    view.bound = static_cast<std::size_t>(
        std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(view.bound) + by, 0, last));
    view.best = -1;
}

void change_placing_height(PlacingView& view, int by) {
    const double steps = std::round(view.height / kHeightStep) + by;
    view.height = std::clamp(steps * kHeightStep, kLowest, kHighest);
}

void change_placing_lens(PlacingView& view, int by) {
    view.lens = turned(view.lens, kPlacingAcross.size() + view.lenses.size(), by);
}

void change_placing_wanted(PlacingView& view) {
    using sight::Wanted;
    view.wanted = view.wanted == Wanted::both     ? Wanted::in_air
                  : view.wanted == Wanted::in_air ? Wanted::on_level
                                                  : Wanted::both;
    view.best = -1;
}

void change_placing_second(PlacingView& view) {
    view.first = view.first ? std::nullopt : view.cursor;
    view.best = -1;
}

void walk_placing_best(PlacingView& view, const PlacingDesk& desk, int by) {
    if (desk.map() == nullptr) return;
    const auto best = review::best_places(*desk.map(), placing_asked(view)).cells;
    if (best.empty()) return;
    view.best =
        view.best < 0 ? (by > 0 ? 0 : static_cast<int>(best.size()) - 1) : turned(view.best, best.size(), by);
    view.cursor = desk.map()->floor.middle(best[static_cast<std::size_t>(view.best)]);
}

bool placing_key(PlacingView& view, const PlacingDesk& desk, std::size_t planes, int key, int mods) {
    const int right = key == key_right ? 1 : key == key_left ? -1 : 0;
    const int up = key == key_up ? 1 : key == key_down ? -1 : 0;
    if (right != 0 || up != 0) {
        if ((mods & kCtrl) != 0)
            move_cursor(view, desk, right, up, (mods & kShift) != 0 ? kFarStep : 1);
        else if (right != 0)
            change_placing_plane(view, planes, right);
        else if ((mods & kShift) != 0)
            change_placing_height(view, up);
        else
            change_placing_bound(view, up);
        return true;
    }
    if ((mods & (kCtrl | kAlt)) != 0) return false;
    const int by = (mods & kShift) != 0 ? -1 : 1;
    switch (key) {
        case key_tab:
            return walk_placing_best(view, desk, by), true;
        case ' ':
            return change_placing_wanted(view), true;
        case 'L':
            return change_placing_lens(view, by), true;
        case 'S':
            return change_placing_second(view), true;
        case key_page_down:
        case key_page_up:
            view.scroll += key == key_page_down ? 4 : -4;
            return true;
        default:
            return false;
    }
}

std::string placing_lens_words(const PlacingView& view) {
    if (view.lens < kPlacingAcross.size()) return tr("{:.0f}° wide, not measured", kPlacingAcross[view.lens]);
    const std::size_t at = view.lens - kPlacingAcross.size();
    return at < view.lenses.size() ? view.lenses[at].camera : std::string();
}

std::string placing_worth_words(const PlacingDesk& desk, sight::FloorPlace place) {
    const base::Speaking in_the_windows_language;
    if (desk.map() == nullptr || desk.placing() == nullptr) return {};
    const auto cell = cell_at(desk.map()->floor, place);
    if (!cell) return {};
    const sight::FloorPlace middle = desk.map()->floor.middle(*cell);
    return tr("x {:.2f}, y {:.2f}: {}", middle.x, middle.y,
              review::worth_words(*desk.placing(), desk.map()->each[*cell]).spoken());
}

}  // namespace plumbmark::desk
