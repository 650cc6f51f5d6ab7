#include "desk/internal/start_page.h"

#include "desk/internal/say.h"

namespace plumbmark::desk {

void StartPage::update(review::Session&) {}

bool StartPage::key(const MeetHands& hands, const MeetKey& pressed) {
    if (pressed.action != Action::take) return false;
    hands.commands.add(Do{Action::start_list});
    return true;
}

std::vector<Hint> StartPage::hints(const Keymap& keys) const {
    return {{{keys.label(Action::start_list)}, tr("take in a start list")},
            {{keys.label(Action::meet)}, tr("back to the run")},
            {{keys.label(Action::trials)}, tr("the trials")},
            {{keys.label(Action::help)}, tr("all keys")}};
}

void StartPage::draw(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    begin_zone("meet start", box, c.ground);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const std::string title = tr("Nobody is entered in this meet yet.");
    float y = box.y + box.h * 0.36F;
    look.words->draw(list, look.fonts.title,
                     {box.x + (box.w - look.words->width(look.fonts.title, title)) / 2, y}, c.ink, title);
    y += look.unit(44);
    const struct {
        Action action;
        const char* words;
    } lines[] = {{Action::start_list, tr("take in a start list")},
                 {Action::meet, tr("back to the run")},
                 {Action::trials, tr("what the trials prove of each station")},
                 {Action::help, tr("all keys")}};
    for (const auto& line : lines) {
        const Box row{box.x + box.w / 2 - look.unit(150), y, look.unit(330), look.unit(32)};
        draw_invitation(list, look, row, scene.keys.label(line.action), line.words);
        if (hit(line.words, row)) scene.commands.add(Do{line.action});
        y += row.h;
    }
    const std::string more =
        tr("A start list is a table (CSV) with one athlete a line. Which column is what is shown first, and "
           "can be changed.");
    look.words->draw(list, look.fonts.small,
                     {box.x + (box.w - look.words->width(look.fonts.small, more)) / 2, y + look.unit(16)},
                     c.soft, more);
    ImGui::End();
}

}  // namespace plumbmark::desk
