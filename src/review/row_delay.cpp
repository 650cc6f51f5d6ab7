#include "review/row_delay.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <string>

#include "base/catalogue.h"
#include "base/worded.h"
#include "media/frame_reader.h"
#include "meet/capture.h"
#include "review/capture_time.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
using sight::FlashKind;
using sight::kRowParts;

constexpr std::size_t kReaderCache = std::size_t{16} << 20;  // the pass goes forward only
/// So many gaps before and after one are taken for its mean, where they are like it.
constexpr std::int64_t kGaps = 30;
constexpr double kAlike = 0.02;

/// Means over the parts of rows whose samples lie 'Step' apart; 'by' brings them to 8 bits.
template <class Sample, int Step>
sight::RowLight row_light(const std::uint8_t* first, std::ptrdiff_t stride, int width, int height,
                          double by) {
    sight::RowLight light;
    light.reserve(static_cast<std::size_t>(height) * kRowParts);
    std::vector<Sample> row(static_cast<std::size_t>(width) * Step - (Step - 1));
    for (int y = 0; y < height; ++y) {
        std::memcpy(row.data(), first + y * stride, row.size() * sizeof(Sample));
        for (int part = 0; part < kRowParts; ++part) {
            const int from = width * part / kRowParts, to = width * (part + 1) / kRowParts;
            std::uint32_t sum = 0;  // pictures are 16384 wide at most
            for (int x = from; x < to; ++x)
                sum += row[static_cast<std::size_t>(x) * Step];
            light.push_back(static_cast<float>(sum * by / (to - from)));
        }
    }
    return light;
}

/// The picture as it is stored: its luma where the first plane is that, in the byte order of this machine.
sight::RowLight row_light(const media::Picture& picture) {
    const std::string& format = picture.format();
    const int width = picture.width(), height = picture.height(), bits = picture.bit_depth();
    if (width < kRowParts || height < 1) return {};
    const bool planar = format.rfind("yuv", 0) == 0 && format.find('p') != std::string::npos;
    const bool luma = (planar || format == "nv12" || format.rfind("gray", 0) == 0) && picture.planes() > 0;
    if (luma && bits == 8)
        return row_light<std::uint8_t, 1>(picture.plane(0), picture.stride(0), width, height, 1);
    if (luma && format.size() > 2 && format.compare(format.size() - 2, 2, "le") == 0)
        return row_light<std::uint16_t, 1>(picture.plane(0), picture.stride(0), width, height,
                                           1.0 / (1 << (bits - 8)));
    const media::RgbaImage image = media::to_rgba(picture, media::Orientation::stored);
    if (image.pixels.empty()) return {};
    return row_light<std::uint8_t, 4>(image.pixels.data() + 1, std::ptrdiff_t{4} * width, width, height, 1);
}

/// When the frames were taken.
class Intervals {
  public:
    Intervals(const RowDelayCall& call) : table_(*call.table), clock_({}, table_.time_base()) {
        meet::Clip clip = call.clip.value_or(meet::Clip{});
        if (!clip.slowed) clip.slowed = slowed_by_file(table_);
        clock_ = meet::CaptureClock(capture_in_force(clip), table_.time_base());
    }

    /// The mean of the gaps around that are like this one: time stamps are rounded, and a camera's rate is
    /// steadier than they are. Where its own gap is another by more than they are rounded, it may be that.
    [[nodiscard]] std::optional<sight::FrameInterval> after(std::int64_t n) const {
        const auto own = gap(n);
        if (!own) return std::nullopt;
        const double ticks = static_cast<double>(table_[n + 1].pts - table_[n].pts), tick = *own / ticks;
        const auto alike = [&](std::int64_t at) {
            const auto other = gap(at);
            return other && std::abs(*other - *own) <= 2 * tick + kAlike * *own;
        };
        std::int64_t first = n, last = n;
        while (first > std::max<std::int64_t>(0, n - kGaps) && alike(first - 1))
            --first;
        while (last < n + kGaps && alike(last + 1))
            ++last;
        double sum = 0;
        for (std::int64_t at = first; at <= last; ++at)
            sum += *gap(at);
        const auto count = static_cast<double>(last - first + 1);
        const double mean = sum / count, away = std::abs(mean - *own);
        return sight::FrameInterval{mean, std::max(tick / count, away > tick ? away : 0)};
    }

  private:
    [[nodiscard]] std::optional<double> gap(std::int64_t n) const {
        if (n < 0 || n + 1 >= table_.size()) return std::nullopt;
        const std::int64_t from = table_[n].pts, to = table_[n + 1].pts;
        if (to <= from || clock_.unknown_between(from, to)) return std::nullopt;
        return static_cast<double>((clock_.time(to) - clock_.time(from)).ns) / 1e9;
    }

    const media::FrameTable& table_;
    meet::CaptureClock clock_;
};

Result<void> look_over(const RowDelayCall& call) {
    const media::ClipInfo& info = call.table->info();
    if (info.field_order == media::FieldOrder::top_first ||
        info.field_order == media::FieldOrder::bottom_first)
        return Error{Category::unsupported,
                     worded("This clip is interlaced: each picture is made of two fields taken one after the "
                            "other, so its rows tell no row delay. Film with a progressive mode."),
                     call.file.string()};
    if (call.frames && (call.frames->first < 0 || call.frames->second < call.frames->first ||
                        call.frames->second >= call.table->size()))
        return Error{Category::bad_input,
                     worded("The clip has the frames 0 to {}; not all of those that are asked for.",
                            call.table->size() - 1),
                     call.file.string()};
    return {};
}

std::string number(double value, int digits) {
    return fmt::format("{:.{}f}", value, digits);
}

/// Rows of people, from 1: the first one that is lit, or the last.
std::string first_row(const sight::RowEdge& edge) {
    return number(std::floor(edge.at) + 1, 0);
}
std::string last_row(const sight::RowEdge& edge) {
    return number(std::ceil(edge.at), 0);
}

base::Sentence why_words(const RowDelayMeasure& measure) {
    const sight::RowDelayOutcome& outcome = measure.outcome;
    switch (outcome.why) {
        case sight::NoRowDelay::all_whole:
            return worded(
                "The flashes light every row: this camera takes its picture as a whole (its row delay is 0), "
                "or "
                "its exposure is longer than it takes to read the rows. Film again with more light or a "
                "shorter exposure; where every row is lit then as well, it is the former.");
        case sight::NoRowDelay::none_within:
            return worded(
                "A flash that lies wholly within one frame is missing. Flash some more times; where none "
                "does, film with more light or a shorter exposure, the same for all flashes.");
        case sight::NoRowDelay::none_across:
            return worded(
                "A flash that lights the end of one frame and the beginning of the next is missing. Flash "
                "some more times; where none does, film with less light or a longer exposure, or with more "
                "pictures a second, the same for all flashes.");
        case sight::NoRowDelay::time_unknown:
            return worded(
                "How fast the frames around the flash were taken is not known, so that its rows cannot be "
                "timed. Say how the clip was taken first.");
        case sight::NoRowDelay::bands_differ:
            return worded(
                "The flashes do not go together (those within a frame light {} to {} rows): the exposure "
                "changed between them, or the picture was steadied. Lock the exposure, switch the "
                "steadying off and film again, or name frames over which the exposure stayed the same.",
                number(outcome.fewest, 0), number(outcome.most, 0));
        case sight::NoRowDelay::not_one_camera:
            return worded(
                "The lit and the dark rows make up less than the picture's {} rows, which no camera has: the "
                "exposure changed between the flashes, or frames are missing. Lock the exposure and film "
                "again.",
                measure.height);
        case sight::NoRowDelay::no_flash:
            break;
    }
    return worded(
        "No flash was found. Film a photo flash (no torch: a light that goes on and stays is none) that "
        "lights the whole scene, ten to twenty times with some seconds between, with the camera still and "
        "the "
        "exposure locked.");
}

}  // namespace

base::Duration RowDelayMeasure::least() const {
    return {static_cast<std::int64_t>(std::floor(outcome.delay->least * height * 1e9))};
}

base::Duration RowDelayMeasure::most() const {
    return {static_cast<std::int64_t>(std::ceil(outcome.delay->most * height * 1e9))};
}

Result<RowDelayMeasure> measure_row_delay(const RowDelayCall& call) {
    if (auto good = look_over(call); !good) return good.error();
    const auto stopped = [&] {
        return Error{Category::cancelled, worded("The search for flashes was stopped."), call.file.string()};
    };
    media::ReaderOptions reading;
    reading.cache_bytes = kReaderCache;
    reading.stop = call.stop;
    auto reader = media::FrameReader::open(call.file, call.table, reading);
    if (!reader) return call.stop.stop_requested() ? stopped() : reader.error();
    const auto [first, last] = call.frames.value_or(std::pair{std::int64_t{0}, call.table->size() - 1});
    RowDelayMeasure measure;
    measure.height = call.table->info().height;
    sight::FlashSearch search(measure.height);
    bool converted = false;
    for (std::int64_t n = first; n <= last; ++n) {
        const auto picture = reader->read(n);
        if (call.stop.stop_requested()) return stopped();
        // A picture that does not decode leaves the others; a drive that fails leaves nothing to say.
        if (!picture && picture.error().category != Category::damaged) return picture.error();
        const bool sound = picture.ok() && !(*picture)->damaged();
        sight::RowLight light = sound ? row_light(**picture) : sight::RowLight{};
        converted = converted || !sound || !light.empty();
        if (light.empty()) ++measure.unread;
        ++measure.frames;
        search.add(std::move(light));
        if (call.progress)
            call.progress(static_cast<double>(n - first + 1) / static_cast<double>(last - first + 1));
    }
    if (!converted)
        return Error{Category::unsupported,
                     worded("The clip's pictures are of a form that cannot be converted here."),
                     call.file.string()};
    if (measure.unread == measure.frames)
        return Error{Category::damaged, worded("None of these frames can be read."), call.file.string()};
    measure.flashes = search.finish(first);
    const Intervals intervals(call);
    measure.outcome = sight::row_delay_of_flashes(
        measure.flashes, [&](std::int64_t n) { return intervals.after(n); }, measure.height);
    return measure;
}

base::Sentence flash_words(const sight::Flash& flash, int height) {
    const std::string off = number(flash.rows_off(), 0), rows = number(flash.rows(), 0);
    const std::int64_t next = flash.frame + 1, end = flash.frame + flash.frames - 1;
    switch (flash.kind) {
        case FlashKind::within:
            return worded(
                "f {}: a flash lit the rows {} to {} of {}, all within this frame: the exposure is {} rows "
                "long (± {}).",
                flash.frame, first_row(flash.first), last_row(flash.last), height, rows, off);
        case FlashKind::across:
            return worded(
                "f {} and f {}: a flash lit the rows from {} to the end of the one and to {} of the other; "
                "{} "
                "rows between them stayed dark (± {}).",
                flash.frame, next, first_row(flash.first), last_row(flash.last), rows, off);
        case FlashKind::cut:
            return worded(
                "f {}: a flash lit rows up to the frame's edge, and no other frame has the rest. Not used.",
                flash.frame);
        case FlashKind::whole:
            return worded("f {}: a flash lit every row. Not used.", flash.frame);
        case FlashKind::lasting:
            return worded("f {} to f {}: a light that stayed over several frames is no flash. Not used.",
                          flash.frame, end);
        case FlashKind::unclear:
            break;
    }
    return worded("f {}: a flash lit rows, but where the lit ones begin and end is not clear. Not used.",
                  flash.frame);
}

base::Sentence row_delay_words(const RowDelayMeasure& measure) {
    if (!measure.outcome.delay) return why_words(measure);
    const auto [least, most] = *measure.outcome.delay;
    // Outward, as people take these numbers over.
    const std::string from = number(std::floor(static_cast<double>(measure.least().ns) / 1e4) / 100, 2),
                      to = number(std::ceil(static_cast<double>(measure.most().ns) / 1e4) / 100, 2);
    return worded(
        "From one row to the next it takes {} to {} µs, from the picture's first row to its last {} to {} "
        "ms. "
        "Take the upper end: --row-delay {}.",
        number(std::floor(least * 1e8) / 100, 2), number(std::ceil(most * 1e8) / 100, 2), from, to, to);
}

Result<meet::Change> row_delay_kept(const meet::Clip& clip, const RowDelayMeasure& measure) {
    if (!measure.outcome.delay)
        return Error{Category::bad_input, worded("No row delay was measured, so there is none to keep."),
                     clip.name};
    if (clip.picture) {
        const bool turned = clip.picture->quarter_turns % 2 != 0;
        const int rows = turned ? clip.picture->width : clip.picture->height;
        if (rows != measure.height)
            return Error{
                Category::bad_input,
                worded("The clip's stored picture has {} rows, the one that was measured {}; a camera "
                       "reads them at another pace then. Measure with a clip of the same mode.",
                       rows, measure.height),
                clip.name};
    }
    meet::Clip after = clip;
    after.row_delay = measure.most();
    return meet::Change{base::to_translate("row delay of a clip"), {{clip, after}}, 0};
}

}  // namespace plumbmark::review
