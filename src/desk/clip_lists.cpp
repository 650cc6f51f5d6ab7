// Lists about the clip's file: what is wrong with it.
#include <fmt/format.h>

#include <algorithm>

#include "desk/damage.h"
#include "desk/internal/desk_core.h"

namespace plumbmark::desk {

void DeskCore::list_damage() {
    const review::ClipView* clip = session_->current_clip();
    if (!clip || !clip->table) return say("The clip is not read yet, so nothing is known of damage.");
    const media::FrameTable& table = *clip->table;
    const auto stretches = damaged_stretches(table);
    if (damage_summary(table).empty())
        return say(fmt::format("Nothing is known to be wrong with the file of {}.", clip->name));
    Chooser list;
    list.title = fmt::format("What is wrong with the file of {}", clip->name);
    list.wide = true;
    list.typed = stretches.size() > 9;
    for (const DamagedStretch& stretch : stretches) {
        if (stretch.frame <= session_->frame()) list.cursor = static_cast<int>(list.choices.size());
        list.choices.push_back({stretch.words, "go there", GoFrame{stretch.frame}});
    }
    for (const std::string& sentence : table.info().damage)
        list.choices.push_back({sentence, "", GoFrame{session_->frame()}});
    views_.chooser = std::move(list);
}

}  // namespace plumbmark::desk
