#include "desk/internal/clip_sound.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace plumbmark::desk {
namespace {

bool has_sound(const review::ClipView& clip) {
    return clip.table && clip.table->size() > 0 && clip.table->info().has_sound;
}

/// When the frame goes: the next one's time, for the last one its own duration later.
base::Time end_of(const media::FrameTable& table, std::int64_t frame) {
    if (frame + 1 < table.size()) return table.time(frame + 1);
    const media::FrameEntry& last = table[frame];
    const base::Time end =
        base::floor_to_time(last.pts + std::max<std::int64_t>(1, last.duration), table.time_base());
    return std::max(end, last.time + base::Duration{1});
}

/// Times within ten years: what lies outside is damage, and nothing to draw.
bool sensible(base::Time t) {
    return std::abs(static_cast<double>(t.ns)) < 3e17;
}

}  // namespace

std::optional<int> sound_of(const review::ClipView& clip) {
    if (clip.streams.sound || !clip.table) return clip.streams.sound;
    for (const media::SoundStream& sound : clip.table->info().sounds)
        if (sound.preset) return sound.ordinal;
    return std::nullopt;
}

ClipSound::ClipSound(std::function<void()> wake, MakeDevice make_device)
    : wake_(std::move(wake)), make_device_(std::move(make_device)) {}

void ClipSound::update(const review::Session& session, const PlayView& play_view, bool muted, double now) {
    const auto& clips = session.clips();
    std::erase_if(scans_, [&](const auto& one) {
        return std::none_of(clips.begin(), clips.end(), [&](const review::ClipView& clip) {
            return clip.id == one.first && clip.file == one.second.file &&
                   (!clip.table || sound_of(clip) == one.second.stream);
        });
    });
    const review::ClipView* clip = session.current_clip();
    if (clip && has_sound(*clip) && !scans_.contains(clip->id)) {
        const base::Time begin = clip->table->time(0), end = end_of(*clip->table, clip->table->size() - 1);
        if (sensible(begin) && sensible(end))
            scans_[clip->id] = {
                clip->file, sound_of(*clip),
                std::make_unique<media::SoundScan>(clip->file, begin, end, wake_, sound_of(*clip))};
    }
    play(session, play_view, muted, now);
}

void ClipSound::play(const review::Session& session, const PlayView& play, bool muted, double now) {
    const review::ClipView* clip = session.current_clip();
    const bool real_time = kSpeeds[static_cast<std::size_t>(play.speed)].factor == 1;
    if (!play.playing || muted || !real_time || !clip || !has_sound(*clip)) {
        if (player_) player_->pause();
        return;
    }
    // While the picture is still coming the sound goes on by itself; the player knows how long it may.
    if (!session.picture().exact) return;
    if (!player_) player_ = std::make_unique<media::SoundPlayer>(make_device_());
    const base::Time shown = session.time();
    const auto passed = static_cast<std::int64_t>(std::clamp(now - play.since, 0.0, 0.25) * 1e9);
    player_->follow(clip->file, shown + base::Duration{passed}, end_of(*clip->table, session.frame()),
                    sound_of(*clip));
}

const media::SoundScan* ClipSound::of(meet::ClipId clip) const {
    const auto found = scans_.find(clip);
    return found == scans_.end() ? nullptr : found->second.scan.get();
}

bool ClipSound::settled(const review::ClipView* clip) const {
    if (!clip || clip->error) return true;
    if (!clip->table) return false;
    const media::SoundScan* scan = of(clip->id);
    return scan ? scan->poll().phase != media::SoundScanState::Phase::reading : !has_sound(*clip);
}

void ClipSound::stop_reading(meet::ClipId clip) {
    const auto found = scans_.find(clip);
    if (found != scans_.end()) found->second.scan->stop();
}

bool ClipSound::heard_in(const review::Session& session) {
    return std::any_of(session.clips().begin(), session.clips().end(), has_sound);
}

}  // namespace plumbmark::desk
