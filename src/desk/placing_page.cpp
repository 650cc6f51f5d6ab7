// The page of where to put a camera: the map, what is asked for and by which keys, and what it says in words.
#include <fmt/format.h>

#include <algorithm>

#include "desk/internal/large_page.h"
#include "desk/internal/placing_desk.h"
#include "desk/internal/placing_map.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

class PlacingPage {
  public:
    PlacingPage(const Look& look, const Keymap& keys, const PlacingDesk& desk, std::size_t planes,
                PlacingView& view)
        : look_(look), c_(*look.colours), keys_(keys), desk_(desk), planes_(planes), view_(view) {}

    /// True while the pointer's own place is told about.
    void map(const Box& box) {
        ImDrawList* list = ImGui::GetWindowDrawList();
        list->AddRectFilled(top_left(box), bottom_right(box), ink(rgb(report::kPlacingPaper)), look_.unit(3));
        const report::PlacingPicture picture = desk_.picture(view_);
        const MapFrame frame = placing_frame(look_, box, picture);
        const bool clicked = hit("placing map", frame.map);
        if (ImGui::IsItemHovered()) pointer_ = frame.to_floor(ImGui::GetMousePos());
        if (clicked && pointer_) {
            view_.cursor = pointer_;
            view_.best = -1;
            if (desk_.map() != nullptr)
                if (const auto cell = cell_at(desk_.map()->floor, *pointer_))
                    view_.cursor = desk_.map()->floor.middle(*cell);
        }
        // The cursor may have been set on another map, with other cells.
        auto cursor = view_.cursor;
        if (cursor && desk_.map() != nullptr)
            if (const auto cell = cell_at(desk_.map()->floor, *cursor))
                cursor = desk_.map()->floor.middle(*cell);
        draw_placing_map(look_, picture, frame, cursor, list);
        best_ = picture.best;
        supposed_ = picture.supposed;
        caution_ = picture.caution;
    }

    void words(const Box& box) {
        left_ = box.x;
        width_ = box.w - look_.unit(16);
        ImGui::SetCursorScreenPos(top_left(box));
        begin_child("placing words", {box.w, box.h}, ImGuiWindowFlags_NoNav);
        if (view_.scroll != 0) ImGui::SetScrollY(ImGui::GetScrollY() + view_.scroll * look_.unit(30));
        view_.scroll = 0;
        const float top = ImGui::GetCursorScreenPos().y;
        y_ = top;
        choices();
        gap(8);
        answer();
        legend();
        best();
        gap(8);
        for (const base::Sentence& one : supposed_)
            say(one.spoken(), look_.fonts.small, c_.soft);
        gap(6);
        say(caution_.spoken(), look_.fonts.small, c_.soft);
        ImGui::Dummy({1, y_ - top + look_.unit(8)});
        ImGui::EndChild();
    }

  private:
    void gap(float units) { y_ += look_.unit(units); }

    void say(const std::string& text, ImFont* font, Colour colour, float in = 0) {
        if (text.empty()) return;
        y_ += look_.words->draw_wrapped(ImGui::GetWindowDrawList(), font, {left_ + in, y_}, width_ - in,
                                        colour, text) +
              look_.unit(3);
    }

    /// What is asked for, with the keys that change it; their caps can be clicked.
    template <class Change>
    void choice(const char* id, const std::string& name, const std::string& value, const KeyPress& less,
                const KeyPress& more, const Change& change) {
        ImDrawList* list = ImGui::GetWindowDrawList();
        const float height = look_.unit(40);
        float x = left_ + width_;
        const auto cap = [&](const KeyPress& press, int by) {
            if (press.key == 0) return;
            const std::string label = keys_.label(press);
            x -= key_width(look_, label);
            const Box box{x, y_ + look_.unit(16), key_width(look_, label), look_.unit(20)};
            const bool clicked = hit(fmt::format("{} {}", id, by).c_str(), box);
            draw_key(list, look_, top_left(box), label, ImGui::IsItemHovered() ? c_.segment : c_.key, c_.ink,
                     c_.line);
            if (clicked) change(by);
            x -= look_.unit(4);
        };
        cap(more, 1);
        cap(less, -1);
        look_.words->draw(list, look_.fonts.small, {left_, y_}, c_.soft, name);
        look_.words->draw(list, look_.fonts.strong, {left_, y_ + look_.unit(16)}, c_.ink,
                          look_.words->fitted(look_.fonts.strong, value, x - left_ - look_.unit(6)));
        y_ += height;
    }

    [[nodiscard]] std::string wanted() const {
        switch (view_.wanted) {
            case sight::Wanted::in_air:
                return tr("a part in the air");
            case sight::Wanted::on_level:
                return tr("a contact on {}", desk_.placing()->surface);
            case sight::Wanted::both:
                break;
        }
        return tr("in the air and on {}", desk_.placing()->surface);
    }

    void choices() {
        choice("plane", tr("Plane"), desk_.placing()->plane, {key_left, 0}, {key_right, 0},
               [&](int by) { change_placing_plane(view_, planes_, by); });
        choice("bound", tr("Wanted"),
               report::placing_step_words(report::PlacingStep::within, kPlacingBounds[view_.bound]).spoken(),
               {key_down, 0}, {key_up, 0}, [&](int by) { change_placing_bound(view_, by); });
        choice("height", tr("Height of the camera"), tr("{:.1f} m", view_.height), {key_down, kShift},
               {key_up, kShift}, [&](int by) { change_placing_height(view_, by); });
        choice("lens", tr("Lens"), placing_lens_words(view_), {0, 0}, {'L', 0},
               [&](int by) { change_placing_lens(view_, by); });
        choice("wanted", tr("What is measured"), wanted(), {0, 0}, {' ', 0},
               [&](int) { change_placing_wanted(view_); });
        choice("second", tr("Cameras"),
               view_.first ? tr("a second one, to one at x {:.2f}, y {:.2f}", view_.first->x, view_.first->y)
               : view_.cursor ? std::string(tr("one; S puts it here and looks for a second"))
                              : std::string(tr("one camera")),
               {0, 0}, {'S', 0}, [&](int) { change_placing_second(view_); });
    }

    /// What holds under the pointer, or at the cursor; or how far it is.
    void answer() {
        if (desk_.trouble()) say(desk_.trouble()->spoken(), look_.fonts.body, c_.ink);
        if (desk_.working()) progress();
        const auto place = pointer_ ? pointer_ : view_.cursor;
        const std::string worth = place ? placing_worth_words(desk_, *place) : std::string();
        if (!worth.empty())
            say(worth, look_.fonts.strong, c_.ink);
        else if (desk_.map() != nullptr)
            say(tr("Point at a place, or move the cursor there with Ctrl and the arrows: then it is said "
                   "here "
                   "what a camera would be worth."),
                look_.fonts.body, c_.soft);
        gap(8);
    }

    void progress() {
        ImDrawList* list = ImGui::GetWindowDrawList();
        const auto share = static_cast<float>(desk_.progress());
        say(desk_.map() ? tr("Looking more closely: {:.0f} %", share * 100)
                        : tr("Looking from each place of the floor: {:.0f} %", share * 100),
            look_.fonts.body, c_.soft);
        const Box bar{left_, y_, width_, look_.unit(4)};
        list->AddRectFilled(top_left(bar), bottom_right(bar), ink(c_.line));
        list->AddRectFilled(top_left(bar), {bar.x + bar.w * share, bar.bottom()}, ink(c_.ink));
        gap(10);
    }

    void legend() {
        ImDrawList* list = ImGui::GetWindowDrawList();
        const base::Speaking in_the_windows_language;
        for (const report::PlacingStep step : report::kPlacingSteps) {
            const Box box{left_, y_, look_.unit(40), look_.unit(20)};
            draw_placing_step(look_, step, box, list);
            look_.words->draw(
                list, look_.fonts.body,
                {box.right() + look_.unit(10), box.y + (box.h - Words::line_height(look_.fonts.body)) / 2},
                c_.ink, report::placing_step_words(step, kPlacingBounds[view_.bound]).spoken());
            y_ += look_.unit(23);
        }
    }

    void best() {
        if (desk_.map() == nullptr) return;
        gap(8);
        const bool keep = review::best_places(*desk_.map(), placing_asked(view_)).keep;
        say(best_.empty() ? tr("From no place of the floor anything can be measured.")
            : keep        ? tr("The best places (Tab):")
                          : tr("No place is good enough; these come nearest (Tab):"),
            look_.fonts.body, c_.ink);
        for (std::size_t i = 0; i < best_.size(); ++i) {
            const auto& [at, says] = best_[i];
            const float top = y_;
            say(tr("{}: x {:.2f}, y {:.2f}: {}", i + 1, at[0], at[1], says.spoken()), look_.fonts.body,
                c_.ink, look_.unit(8));
            if (view_.cursor == sight::FloorPlace{at[0], at[1]})
                ImGui::GetWindowDrawList()->AddRectFilled({left_, top}, {left_ + look_.unit(3), y_},
                                                          ink(kVermilion));
            if (!hit(fmt::format("best {}", i).c_str(), {left_, top, width_, y_ - top})) continue;
            view_.best = static_cast<int>(i);
            view_.cursor = sight::FloorPlace{at[0], at[1]};
        }
    }

    const Look& look_;
    const Palette& c_;
    const Keymap& keys_;
    const PlacingDesk& desk_;
    const std::size_t planes_;
    PlacingView& view_;
    std::optional<sight::FloorPlace> pointer_;
    std::vector<report::PlacingSpot> best_;
    std::vector<base::Sentence> supposed_;
    base::Sentence caution_;
    float left_ = 0, width_ = 0, y_ = 0;
};

}  // namespace

void draw_placing(const Look& look, const Keymap& keys, const Box& box, const PlacingDesk& desk,
                  std::size_t planes, PlacingView& view, PageView& page) {
    const LargePage frame(look, box, "placing");
    frame.head(tr("Where to put a camera"),
               tr("Darker is better. Nothing is taken to hide anything. {} closes this.",
                  keys.label(Action::let_go)));
    const Box room = frame.room();
    const float column = std::min(look.unit(380), room.w * 0.43F);
    const Box words{room.right() - column, room.y, column, room.h};
    PlacingPage drawn(look, keys, desk, planes, view);
    if (desk.placing() != nullptr) {
        drawn.map({room.x, room.y, room.w - column - look.unit(20), room.h - look.unit(8)});
        drawn.words(words);
    } else if (desk.trouble()) {
        look.words->draw_wrapped(ImGui::GetWindowDrawList(), look.fonts.body, top_left(room), room.w,
                                 look.colours->ink, desk.trouble()->spoken());
    }
    frame.end(page);
}

}  // namespace plumbmark::desk
