#include "desk/internal/form_panel.h"

#include <fmt/format.h>

#include <algorithm>

namespace plumbmark::desk {

float draw_words(const Look& look, ImFont* font, const Box& box, Colour colour, const std::string& words) {
    if (words.empty()) return 0;
    return look.words->draw_wrapped(ImGui::GetWindowDrawList(), font, top_left(box), box.w, colour, words);
}

float draw_form(const Scene& scene, const Box& box, const Form& form) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    ImDrawList* list = ImGui::GetWindowDrawList();
    const float row = look.unit(36), label = std::min(look.unit(150), box.w * 0.35F), gap = look.unit(4);
    float y = box.y;
    for (std::size_t i = 0; i < form.fields.size(); ++i) {
        const FormField& field = form.fields[i];
        const bool here = i == form.cursor, acts = field.kind == FieldKind::act;
        if (acts) y += look.unit(8);
        const Box whole{box.x, y, box.w, row};
        const Box value{acts ? box.x : box.x + label, y, acts ? box.w : box.w - label, row};
        if (hit(fmt::format("field {}", i).c_str(), whole)) scene.commands.add(OfMeet{TakeLine{i}});
        const float line = y + (row - Words::line_height(look.fonts.body)) / 2;
        list->AddRectFilled(top_left(value), bottom_right(value), ink(acts ? c.segment : c.row),
                            look.unit(4));
        list->AddRect(top_left(value), bottom_right(value), ink(here ? c.chosen : c.line), look.unit(4), 0,
                      std::max(1.0F, look.unit(here ? 2 : 1)));
        const float left = value.x + look.unit(12), room = value.w - look.unit(40);
        if (acts) {
            look.words->draw(list, look.fonts.strong, {left, line}, c.ink,
                             look.words->fitted(look.fonts.strong, field.label, room));
            const std::string key = scene.keys.label(Action::take);
            if (here)
                draw_key(list, look, {value.right() - key_width(look, key) - look.unit(10), y + look.unit(8)},
                         key, c.key, c.ink, c.line);
        } else {
            look.words->draw(list, look.fonts.body, {box.x, line}, c.soft,
                             look.words->fitted(look.fonts.body, field.label, label - look.unit(8)));
            const bool empty = field.value.empty();
            look.words->draw(list, look.fonts.body, {left, line}, empty ? c.soft : c.ink,
                             look.words->fitted(look.fonts.body, empty ? field.hint : field.value, room));
            if (field.kind == FieldKind::choice) {
                // A small triangle: there is a list behind it.
                const float x = value.right() - look.unit(18), middle = y + row / 2, r = look.unit(4);
                list->AddTriangleFilled({x - r, middle - r * 0.6F}, {x + r, middle - r * 0.6F},
                                        {x, middle + r}, ink(c.soft));
            }
        }
        y += row + gap;
    }
    return y - box.y;
}

}  // namespace plumbmark::desk
