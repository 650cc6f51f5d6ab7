#include "media/sound_tie.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "base/worded.h"
#include "media/internal/mono_sound.h"
#include "media/internal/sound_file.h"
#include "media/internal/tie_search.h"
#include "media/internal/whitener.h"

namespace plumbmark::media {
namespace {

using base::Result;

// Of the work: learning both, picking stretches, looking for them; what is left finds the moment.
constexpr double kLearned = 0.1, kPicked = 0.15, kFound = 0.95;
// Over so many samples, 4 ms, what both hear is added up to find where that is strongest.
constexpr std::size_t kInstant = 64;

/// One of the two clips, as it is read again and again.
struct Side {
    std::filesystem::path path;
    SoundOptions options;
    base::Sentence name;
    Whitener whitener = {};
    std::int64_t length = 0;  ///< samples
    std::int64_t tick_ns = 0;
    bool has_sound = true;

    [[nodiscard]] Result<MonoSound> open() const { return MonoSound::open(path, options); }
};

class Tying {
  public:
    Tying(Side& first, Side& second, const std::function<void(double)>& progress)
        : first_(first), second_(second), progress_(progress) {}

    Result<SoundTieOutcome> tie() {
        for (Side* side : {&first_, &second_}) {
            if (auto learned = learn(*side); !learned) return learned.error();
            if (!side->has_sound)
                return none(NoSoundTie::no_sound,
                            base::worded("{} has no sound, so sound ties nothing.", side->name));
            if (!side->whitener.heard())
                return none(NoSoundTie::no_sound,
                            base::worded("{} is silent, so sound ties nothing.", side->name));
            if (side->length < StretchPicker::kShortest)
                return none(
                    NoSoundTie::too_short,
                    base::worded("{} has less than 1.5 s of sound, so sound ties nothing.", side->name));
        }
        report(kLearned);
        swapped_ = first_.length > second_.length;
        Side& shorter = swapped_ ? second_ : first_;
        Side& longer = swapped_ ? first_ : second_;
        if (auto picked = pick(shorter); !picked) return picked.error();
        report(kPicked);
        auto choice = find(longer);
        if (!choice) return choice.error();
        if (!choice->place) return no_place(choice->why);
        return place_tie(*choice->place, shorter, longer);
    }

  private:
    void report(double share) const {
        if (progress_) progress_(share);
    }
    static SoundTieOutcome none(NoSoundTie why, base::Sentence sentence) {
        return {std::nullopt, why, std::move(sentence)};
    }
    [[nodiscard]] SoundTieOutcome no_place(NoPlace why) const {
        switch (why) {
            case NoPlace::several_fit:
                return none(
                    NoSoundTie::several_places_fit,
                    base::worded("{} and {} sound alike at several places, as where a sound comes again "
                                 "and again, so sound ties nothing.",
                                 first_.name, second_.name));
            case NoPlace::stretches_disagree:
                return none(
                    NoSoundTie::stretches_disagree,
                    base::worded("Some of what {} and {} hear fits at one place, and some at others, so "
                                 "sound ties nothing.",
                                 first_.name, second_.name));
            case NoPlace::nothing_fits:
                break;
        }
        return none(
            NoSoundTie::nothing_in_common,
            base::worded("{} and {} have nothing in common that is sure enough, so sound ties nothing.",
                         first_.name, second_.name));
    }

    static Result<void> learn(Side& side) {
        auto sound = side.open();
        if (!sound && says_no_sound(sound.error())) {
            side.has_sound = false;
            return {};
        }
        if (!sound) return sound.error();
        for (;;) {
            auto samples = sound->read();
            if (!samples) return samples.error();
            if (!*samples) break;
            side.whitener.learn(**samples);
            side.length += static_cast<std::int64_t>((*samples)->size());
        }
        side.whitener.learned();
        side.tick_ns = sound->tick_ns();
        return {};
    }

    Result<void> pick(Side& side) {
        auto sound = side.open();
        if (!sound) return sound.error();
        StretchPicker picker(side.length);
        std::vector<float> white;
        for (bool more = true; more;) {
            auto samples = sound->read();
            if (!samples) return samples.error();
            more = samples->has_value();
            if (more) side.whitener.whiten(**samples, white);
            if (!more) side.whitener.finish(white);
            picker.add(white);
            white.clear();
        }
        length_ = picker.length();
        stretches_ = picker.take();
        return {};
    }

    Result<Choice> find(Side& side) {
        auto sound = side.open();
        if (!sound) return sound.error();
        StretchFinder finder(stretches_, length_);
        std::vector<float> white;
        double done = 0;
        for (bool more = true; more;) {
            auto samples = sound->read();
            if (!samples) return samples.error();
            more = samples->has_value();
            if (more) {
                done += static_cast<double>((*samples)->size());
                side.whitener.whiten(**samples, white);
            } else {
                side.whitener.finish(white);
            }
            finder.add(white);
            white.clear();
            if (!more) finder.end();
            for (; finder.ready();
                 report(kPicked + (kFound - kPicked) * done / static_cast<double>(side.length)))
                finder.step();
        }
        finder.calibrate();
        return choose_place(stretches_, finder.fits(), side.length);
    }

    Result<SoundTieOutcome> place_tie(const Place& place, Side& shorter, Side& longer) {
        const Stretch& stretch = stretches_[place.stretch];
        const auto moved = static_cast<std::int64_t>(std::llround(place.best.offset));
        auto there = whitened(longer, stretch.begin + moved);
        if (!there) return there.error();
        const auto at = static_cast<double>(stretch.begin + strongest(stretch.samples, *there));
        auto here = shorter.open();
        if (!here) return here.error();
        if (auto any = here->read(); !any) return any.error();  // its times are known once there is something
        SoundTie tie;
        tie.first_at = here->time_of(at);
        tie.second_at =
            longer_begin_ + base::Duration{std::llround((at + place.best.offset) * 1e9 / kMonoRate)};
        if (swapped_) std::swap(tie.first_at, tie.second_at);
        constexpr double kSample = 1e9 / kMonoRate;
        tie.half_width = {static_cast<std::int64_t>(std::ceil((place.most_apart + 2) * kSample)) +
                          shorter.tick_ns + longer.tick_ns};
        tie.sharpness = place.height;
        tie.stretches = static_cast<int>(place.agreeing);
        report(1);
        return SoundTieOutcome{tie, {}, {}};
    }

    /// A stretch's length of whitened sound from 'begin' on; silence where there is none.
    Result<std::vector<float>> whitened(Side& side, std::int64_t begin) {
        auto sound = side.open();
        if (!sound) return sound.error();
        std::vector<float> all(length_, 0.0F), white;
        std::int64_t at = 0;
        const std::int64_t end = begin + static_cast<std::int64_t>(length_);
        for (bool more = true; more && at < end;) {
            auto samples = sound->read();
            if (!samples) return samples.error();
            longer_begin_ = sound->time_of(0);
            more = samples->has_value();
            if (more) side.whitener.whiten(**samples, white);
            if (!more) side.whitener.finish(white);
            for (std::size_t i = 0; i < white.size(); ++i, ++at) {
                if (at >= begin && at < end) all[static_cast<std::size_t>(at - begin)] = white[i];
            }
            white.clear();
        }
        return all;
    }
    /// Where within the stretch the two have most in common.
    static std::int64_t strongest(const std::vector<float>& one, const std::vector<float>& other) {
        double most = -1;
        std::size_t where = 0;
        for (std::size_t from = 0; from + kInstant <= one.size(); from += kInstant) {
            double common = 0;
            for (std::size_t i = from; i < from + kInstant; ++i)
                common += static_cast<double>(one[i]) * static_cast<double>(other[i]);
            if (std::abs(common) <= most) continue;
            most = std::abs(common);
            where = from;
        }
        return static_cast<std::int64_t>(where);
    }

    Side& first_;
    Side& second_;
    const std::function<void(double)>& progress_;
    bool swapped_ = false;
    std::size_t length_ = 0;  ///< of a stretch
    std::vector<Stretch> stretches_;
    base::Time longer_begin_;
};

SoundOptions sound_options(const SoundTieOptions& options, std::optional<int> stream) {
    return {stream, options.stop, options.open_bytes};
}

}  // namespace

Result<SoundTieOutcome> tie_by_sound(const std::filesystem::path& first, const std::filesystem::path& second,
                                     const SoundTieOptions& options) {
    Side one{
        first, sound_options(options, options.first_stream),
        options.first_name.empty() ? base::worded("the first clip") : base::Sentence(options.first_name)};
    Side two{
        second, sound_options(options, options.second_stream),
        options.second_name.empty() ? base::worded("the second clip") : base::Sentence(options.second_name)};
    return Tying(one, two, options.progress).tie();
}

}  // namespace plumbmark::media
