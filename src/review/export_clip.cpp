#include "review/export_clip.h"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

#include "base/worded.h"
#include "media/clip_writer.h"
#include "media/new_file.h"
#include "media/still.h"
#include "review/documents.h"
#include "review/internal/frame_marks.h"
#include "review/internal/hidden_frames.h"
#include "review/internal/placed_drawings.h"
#include "review/internal/stretch_sound.h"
#include "review/outlines.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

/// Shown as long as the one before it where the file does not say how long the last frame is.
std::int64_t last_duration(const media::FrameTable& table, std::int64_t last) {
    if (table[last].duration > 0) return table[last].duration;
    if (last > 0 && table[last].pts > table[last - 1].pts) return table[last].pts - table[last - 1].pts;
    const base::Rational unit = table.time_base();
    return std::max<std::int64_t>(1, unit.den / std::max<std::int64_t>(1, 30 * unit.num));
}

/// The times of a stretch in the coarsest unit that keeps them all, from 0 on.
struct Times {
    std::vector<std::int64_t> ticks;  ///< one for each frame, and the end
    base::Rational unit;
};

Times times_of(const ExportWork& work) {
    const media::FrameTable& table = *work.table;
    Times times;
    for (std::int64_t n = work.first; n <= work.last; ++n)
        times.ticks.push_back(table[n].pts - table[work.first].pts);
    times.ticks.push_back(times.ticks.back() + last_duration(table, work.last));
    std::int64_t common = 0;
    for (const std::int64_t tick : times.ticks)
        common = std::gcd(common, tick);
    common = std::max<std::int64_t>(1, common);
    for (std::int64_t& tick : times.ticks)
        tick /= common;
    const base::Rational unit = table.time_base();
    // Slower is a larger unit: the ticks stay as they are, so nothing is rounded.
    times.unit = base::reduced({unit.num * common * work.wish.slower, unit.den});
    return times;
}

/// About how many pictures a second.
base::Rational rate_of(const Times& times) {
    const auto frames = static_cast<std::int64_t>(times.ticks.size()) - 1;
    const base::Time length = base::floor_to_time(times.ticks.back(), times.unit);
    const std::int64_t ms = std::max<std::int64_t>(1, length.ns / 1'000'000);
    return base::reduced({std::max<std::int64_t>(1, frames * 1000), ms});
}

base::Rational upright_aspect(const media::ClipInfo& info) {
    const base::Rational aspect = info.pixel_aspect;
    if (aspect.num <= 0 || aspect.den <= 0) return {1, 1};
    return info.quarter_turns % 2 == 0 ? aspect : base::Rational{aspect.den, aspect.num};
}

std::string speed_words(int slower) {
    return slower == 1 ? std::string() : fmt::format("1/{} speed", slower);
}

/// One export while it is done.
class Exporter {
  public:
    Exporter(const ExportWork& work, const std::function<void(double)>& progress, const std::stop_token& stop)
        : work_(work), progress_(progress), stop_(stop) {}

    Result<Exported> carry_out() {
        auto reader = media::FrameReader::open(work_.file, work_.table, {.stop = stop_});
        if (!reader) return reader.error();
        frames_.emplace(work_.state, work_.wish.clip, std::move(*reader), *work_.table,
                        std::array{work_.first, work_.last}, stop_);
        if (!work_.wish.plain) {
            marks_.emplace(work_.state, work_.run, work_.wish.clip, book(), work_.table, work_.clock);
            drawings_.emplace(work_.state, work_.wish.clip);
        }
        return work_.wish.still ? still() : clip();
    }

  private:
    const course::CourseBook* book() const { return work_.book ? &*work_.book : nullptr; }

    std::vector<report::StillOutline> outlines(std::int64_t n) {
        return outlines_of(drawings_->in(n, [this](std::int64_t at) { return frames_->as_filmed(at); }),
                           book());
    }

    Result<Exported> still() {
        auto picture = picture_of(work_.first);
        if (!picture) return picture.error();
        const auto bytes = media::encode_png(*picture);
        if (!bytes) return bytes.error();
        if (auto written = media::write_new_file(work_.wish.out, bytes->data(), bytes->size()); !written)
            return written.error();
        written_ = 1;
        return done("PNG", "");
    }

    Result<Exported> clip() {
        const Times times = times_of(work_);
        for (std::int64_t n = work_.first; n <= work_.last; ++n) {
            auto picture = picture_of(n);
            if (!picture && picture.error().category == Category::damaged) {
                left_out_.push_back(n);
                continue;
            }
            if (!picture) return picture.error();
            if (auto begun = begin(*picture, times); !begun) return begun.error();
            const auto index = static_cast<std::size_t>(n - work_.first);
            if (auto added = writer_->add(*picture, times.ticks[index]); !added)
                return with_frame(added.error(), n);
            ++written_;
            if (auto added = add_sound(n); !added) return added.error();
            if (progress_)
                progress_(static_cast<double>(n + 1 - work_.first) /
                          static_cast<double>(work_.last + 1 - work_.first));
        }
        if (!writer_)
            return Error{Category::damaged,
                         worded("None of these frames decodes, so there is nothing to give out."),
                         work_.file.string()};
        if (auto finished = writer_->finish(times.ticks.back()); !finished) return finished.error();
        return done(writer_->kind(), writer_->notice());
    }

    static Error with_frame(const Error& error, std::int64_t n) {
        if (error.category != Category::bad_input) return error;
        return {error.category, worded("{} Give the frames before and after it out apart.", error.sentence),
                worded("f {}", n)};
    }

    /// The first picture says how large they are.
    Result<void> begin(const media::RgbaImage& picture, const Times& times) {
        if (writer_) return {};
        if (work_.wish.sound)
            if (auto opened = open_sound(); !opened) return opened;
        media::ClipWriterOptions options;
        options.width = picture.width;
        options.height = picture.height;
        options.pixel_aspect = upright_aspect(work_.table->info());
        options.time_base = times.unit;
        options.rate = rate_of(times);
        if (sound_) options.sound = {sound_->rate(), sound_->channels()};
        options.stop = stop_;
        auto writer = media::ClipWriter::create(work_.wish.out, options);
        if (!writer) return writer.error();
        writer_.emplace(std::move(*writer));
        return {};
    }

    Result<void> open_sound() {
        media::SoundOptions options;
        options.stream = work_.state.clips().at(work_.wish.clip).streams.sound;
        options.stop = stop_;
        auto reader = media::SoundReader::open(work_.file, options);
        if (!reader) return reader.error();
        auto sound = StretchSound::open(std::move(*reader), work_.table->time(work_.first));
        if (!sound) return sound.error();
        sound_.emplace(std::move(*sound));
        return {};
    }

    /// Up to when the frame goes.
    Result<void> add_sound(std::int64_t n) {
        if (!sound_) return {};
        const media::FrameTable& table = *work_.table;
        const base::Time until =
            n < work_.last ? table.time(n + 1)
                           : base::floor_to_time(table[n].pts + last_duration(table, n), table.time_base());
        const std::vector<float> samples = sound_->up_to(until);
        return writer_->add_sound(
            samples.data(), static_cast<std::int64_t>(samples.size()) / std::max(1, sound_->channels()));
    }

    Result<media::RgbaImage> picture_of(std::int64_t n) {
        auto picture = frames_->frame(n);
        if (!picture || !marks_) return picture;
        if (!annotator_)
            annotator_.emplace(picture->width, picture->height, work_.caption,
                               marks_->most_notes(work_.first, work_.last));
        const std::string ending = (*work_.table)[n].damaged
                                       ? "the file is damaged here"
                                       : speed_words(work_.wish.still ? 1 : work_.wish.slower);
        auto drawn = annotator_->draw(*picture, marks_->of(n, ending, outlines(n)));
        if (!drawn) return with_frame(drawn.error(), n);
        return drawn;
    }

    Exported done(const std::string& kind, const std::string& notice) {
        Exported out;
        out.file = work_.wish.out;
        out.frames = written_;
        out.kind = kind;
        out.faces = frames_->sentence();
        if (!notice.empty()) out.notices.push_back(notice);
        if (!left_out_.empty())
            out.notices.push_back(
                base::worded_n("{} frame does not decode and is left out (the first is f {}); the frame "
                               "before lasts longer in its place.",
                               "{} frames do not decode and are left out (the first is f {}); the frame "
                               "before lasts longer in its place.",
                               std::ssize(left_out_), left_out_.front()));
        if (sound_ && sound_->trouble())
            out.notices.push_back(worded("The sound breaks off: {}", sound_->trouble()->sentence));
        out.words = words(kind);
        return out;
    }

    base::Sentence words(const std::string& kind) const {
        const std::string& name = work_.state.clips().at(work_.wish.clip).name;
        if (work_.wish.still) return worded("f {} of {}, {}", work_.first, name, kind);
        const base::Sentence frames = base::worded_n("{} frame", "{} frames", written_);
        base::Sentence words =
            worded("f {} to {} of {}, {}, {}", work_.first, work_.last, name, frames, kind);
        if (sound_) words = worded("{} with sound", words);
        return work_.wish.slower > 1 ? worded("{}, 1/{} speed", words, work_.wish.slower) : words;
    }

    const ExportWork& work_;
    const std::function<void(double)>& progress_;
    std::stop_token stop_;
    std::optional<HiddenFrames> frames_;
    std::optional<FrameMarks> marks_;
    std::optional<PlacedDrawings> drawings_;
    std::optional<report::PictureAnnotator> annotator_;
    std::optional<media::ClipWriter> writer_;
    std::optional<StretchSound> sound_;
    std::vector<std::int64_t> left_out_;
    std::int64_t written_ = 0;
};

}  // namespace

Result<Exported> carry_out_export(const ExportWork& work, const std::function<void(double)>& progress,
                                  const std::stop_token& stop) {
    return Exporter(work, progress, stop).carry_out();
}

}  // namespace plumbmark::review
