// The card of the guided first ruling, over the pictures' upper right corner.
#include <fmt/format.h>

#include <algorithm>

#include "desk/internal/guide.h"
#include "desk/internal/panels.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {

void draw_guide(const Scene& scene, const Box& pictures, const Guide& guide) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    const float pad = look.unit(14), width = std::min(look.unit(420), pictures.w * 0.36F),
                inner = width - 2 * pad, row = look.unit(28);
    const std::string words = guide.words(scene.session);
    const float text = look.words->draw_wrapped(nullptr, look.fonts.body, {0, 0}, inner, c.ink, words);
    const std::vector<Action> keys = guide.keys();
    const float height =
        pad + look.unit(26) + text + look.unit(10) + row * static_cast<float>(keys.size() + 1) + pad;
    const Box card{pictures.right() - width - look.unit(12), pictures.y + look.unit(44), width, height};
    begin_float("guide", card, c.float_ground);
    ImDrawList* list = ImGui::GetWindowDrawList();
    list->AddRect(top_left(card), bottom_right(card), ink(c.float_line), look.unit(4), 0,
                  std::max(1.0F, look.unit(1.5F)));
    const float left = card.x + pad;
    float y = card.y + pad;
    look.words->draw(list, look.fonts.strong, {left, y}, c.ink, tr("A first ruling"));
    const std::string count = tr("step {} of {}", guide.step() + 1, Guide::kSteps);
    const float counted = look.words->width(look.fonts.small, count);
    look.words->draw(list, look.fonts.small, {card.right() - pad - counted, y + look.unit(2)}, c.soft, count);
    // One dash a step, those that are done solid.
    const float share = inner / static_cast<float>(Guide::kSteps), under = y + look.unit(22);
    for (int step = 0; step < Guide::kSteps; ++step) {
        const float from = left + share * static_cast<float>(step);
        list->AddRectFilled({from, under}, {from + share - look.unit(4), under + look.unit(3)},
                            ink(step <= guide.step() ? c.chosen : c.line));
    }
    y = under + look.unit(12);
    y += look.words->draw_wrapped(list, look.fonts.body, {left, y}, inner, c.ink, words) + look.unit(6);
    const auto invite = [&](Action action, const std::string& what) {
        const Box line{left, y, inner, row};
        const std::string label = scene.keys.label(action);
        if (hit(fmt::format("guide {}", scene.keys.binding(action).name).c_str(), line))
            scene.commands.add(Do{action});
        draw_invitation(list, look, line, label,
                        look.words->fitted(look.fonts.body, what, inner - look.unit(130)));
        y += row;
    };
    for (const Action action : keys)
        invite(action, tr(scene.keys.binding(action).words));
    invite(Action::guide, tr("leave the seven steps"));
    ImGui::End();
}

}  // namespace plumbmark::desk
