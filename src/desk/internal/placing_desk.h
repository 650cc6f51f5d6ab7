// Where to put a camera, worked out beside the window, and the page that shows it as a map over the plan.
#pragma once

#include <functional>
#include <memory>
#include <optional>

#include "desk/internal/panels.h"
#include "desk/internal/placing_state.h"
#include "review/placing_job.h"
#include "review/placing_told.h"

namespace plumbmark::desk {

/// UI thread only; nothing here waits for longer than the map of one place takes.
class PlacingDesk {
  public:
    explicit PlacingDesk(std::function<void()> wake) : wake_(std::move(wake)) {}

    /// Asks for what the view wants and has not been asked for yet, and takes in what has come. Once per
    /// drawn frame while the page is open. 'book' may go afterwards.
    void update(const course::CourseBook* book, const PlacingView& view);
    /// The page is closed: what is not finished is stopped and forgotten.
    void close();

    /// What was asked; null before, and where it could not be.
    [[nodiscard]] const review::Placing* placing() const { return placing_ ? &*placing_ : nullptr; }
    /// Null while there is none; rough at first.
    [[nodiscard]] const sight::PlacingMap* map() const { return map_.get(); }
    [[nodiscard]] const std::optional<base::Error>& trouble() const { return trouble_; }
    [[nodiscard]] bool working() const { return job_ != nullptr; }
    [[nodiscard]] double progress() const { return job_ ? job_->progress() : 1; }
    /// The map over the plan, in the chosen language; without cells while there is no map. Needs placing().
    [[nodiscard]] report::PlacingPicture picture(const PlacingView& view) const;

  private:
    void ask(const course::CourseBook& book, const PlacingView& view);

    std::function<void()> wake_;
    std::optional<course::CourseBook> book_;  ///< as it was when it was asked
    review::PlacingWish wish_;
    std::optional<sight::FloorPlace> first_;
    std::optional<review::Placing> placing_;
    std::shared_ptr<const sight::PlacingMap> map_;
    std::optional<base::Error> trouble_;
    std::unique_ptr<review::PlacingJob> job_;
};

/// What the view is asked for: plane, lens, height.
[[nodiscard]] review::PlacingWish placing_wish(const course::CourseBook& book, const PlacingView& view);
[[nodiscard]] review::PlacingAsked placing_asked(const PlacingView& view);
/// The cell in which a place lies; none where it lies beside the floor.
[[nodiscard]] std::optional<std::size_t> cell_at(const sight::FloorGrid& floor, sight::FloorPlace place);

/// A key on the page; false: it has no meaning there.
bool placing_key(PlacingView& view, const PlacingDesk& desk, std::size_t planes, int key, int mods);
/// The same for what a key or the pointer can change.
void change_placing_plane(PlacingView& view, std::size_t planes, int by);
void change_placing_bound(PlacingView& view, int by);
void change_placing_height(PlacingView& view, int by);
void change_placing_lens(PlacingView& view, int by);
void change_placing_wanted(PlacingView& view);
/// A second camera to one at the cursor; or a single one again.
void change_placing_second(PlacingView& view);
/// The cursor goes through the best places.
void walk_placing_best(PlacingView& view, const PlacingDesk& desk, int by);

/// "65° wide, not measured", or the name of a measured one.
[[nodiscard]] std::string placing_lens_words(const PlacingView& view);
/// What a camera would be worth at a place: "x 6.25, y -5.00: in the air within 28 mm ..."; empty where there
/// is no map, or it does not reach there.
[[nodiscard]] std::string placing_worth_words(const PlacingDesk& desk, sight::FloorPlace place);

/// A click outside closes it, by PageKind::none.
void draw_placing(const Look& look, const Keymap& keys, const Box& box, const PlacingDesk& desk,
                  std::size_t planes, PlacingView& view, PageView& page);

}  // namespace plumbmark::desk
