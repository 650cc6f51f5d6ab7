// Lists about the clip's file: its streams, and what is wrong with it.
#include <fmt/format.h>

#include <algorithm>

#include "desk/damage.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/say.h"
#include "desk/stream_words.h"

namespace plumbmark::desk {

void DeskCore::list_streams() {
    const review::ClipView* clip = session_->current_clip();
    if (!clip || !clip->table) return say(tr("The clip is not read yet, so its streams are not known."));
    const media::ClipInfo& info = clip->table->info();
    if (!has_choice_of_streams(info))
        return say(tr("The file of {} has one stream of pictures and {}.", clip->name,
                      info.sounds.empty() ? tr("no sound") : tr("one of sound")));
    Chooser list;
    list.title = tr("Which pictures and which sound of {}?", clip->name);
    list.wide = true;
    list.typed = info.streams.size() + info.sounds.size() > 9;
    const auto add = [&](const std::string& words, bool taken, const meet::StreamChoice& choice) {
        list.choices.push_back({words, taken ? tr("taken") : "", TakeStreams{choice}});
    };
    for (const media::StreamInfo& one : info.streams)
        add(stream_words(one), one.ordinal == info.stream, {one.ordinal, clip->streams.sound});
    for (const media::SoundStream& one : info.sounds)
        add(stream_words(one), one.ordinal == sound_of(*clip), {clip->streams.video, one.ordinal});
    list.cursor = info.stream;
    views_.chooser = std::move(list);
}

void DeskCore::list_damage() {
    const review::ClipView* clip = session_->current_clip();
    if (!clip || !clip->table) return say(tr("The clip is not read yet, so nothing is known of damage."));
    const media::FrameTable& table = *clip->table;
    const auto stretches = damaged_stretches(table);
    if (damage_summary(table).empty())
        return say(tr("Nothing is known to be wrong with the file of {}.", clip->name));
    Chooser list;
    list.title = tr("What is wrong with the file of {}", clip->name);
    list.wide = true;
    list.typed = stretches.size() > 9;
    for (const DamagedStretch& stretch : stretches) {
        if (stretch.frame <= session_->frame()) list.cursor = static_cast<int>(list.choices.size());
        list.choices.push_back({stretch.words, tr("go there"), GoFrame{stretch.frame}});
    }
    for (const media::FileDamage& one : table.info().damage)
        list.choices.push_back({one.sentence().spoken(), "", GoFrame{session_->frame()}});
    views_.chooser = std::move(list);
}

}  // namespace plumbmark::desk
