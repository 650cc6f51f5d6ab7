#include "media/internal/frame_pool.h"

#include <algorithm>
#include <cstdlib>

namespace plumbmark::media {
namespace {

constexpr std::size_t kAlignment = 64;  // of blocks and lines: the widest vector registers that libav uses
constexpr std::size_t kTail = 64 + 64;  // decoders may read and write a little past the last line
constexpr std::size_t kIdleBlocks = 4;  // what leaves the store while the next picture is drawn

struct Shape {
    int lines[4] = {};            // bytes from one line to the next
    std::size_t offsets[4] = {};  // of each plane in the block
    std::size_t bytes = 0;        // of the whole block; 0: a format that this pool does not lay out
};

bool widths_align(const int (&lines)[4], const int (&wanted)[AV_NUM_DATA_POINTERS]) {
    for (int plane = 0; plane < 4; ++plane) {
        const int step = std::max(wanted[plane], static_cast<int>(kAlignment));
        if (lines[plane] % step != 0) return false;
    }
    return true;
}

// As libavcodec's own allocator lays pictures out (libavcodec/get_buffer.c, update_frame_pool): the width
// grows until every plane's lines are aligned, so that the planes' line lengths keep their ratio.
Shape shape_of(AVCodecContext& context, const AVFrame& frame) {
    const auto format = static_cast<AVPixelFormat>(frame.format);
    int width = frame.width, height = frame.height;
    int wanted[AV_NUM_DATA_POINTERS] = {};
    avcodec_align_dimensions2(&context, &width, &height, wanted);
    Shape shape;
    do {
        if (av_image_fill_linesizes(shape.lines, format, width) < 0) return {};
        width += width & ~(width - 1);
    } while (!widths_align(shape.lines, wanted));
    const std::ptrdiff_t lines[4] = {shape.lines[0], shape.lines[1], shape.lines[2], shape.lines[3]};
    std::size_t sizes[4] = {};
    if (av_image_fill_plane_sizes(sizes, format, height, lines) < 0) return {};
    for (int plane = 0; plane < 4; ++plane) {
        shape.offsets[plane] = shape.bytes;
        if (sizes[plane] > 0)
            shape.bytes += (sizes[plane] + kTail + kAlignment - 1) / kAlignment * kAlignment;
    }
    return shape;
}

bool can_lay_out(const AVCodecContext& context, const AVFrame& frame) {
    if (!(context.codec->capabilities & AV_CODEC_CAP_DR1) || context.hw_frames_ctx) return false;
    const AVPixFmtDescriptor* format = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
    return format && !(format->flags & (AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_HWACCEL));
}

}  // namespace

struct FramePool::Books {
    ~Books() {
        for (const auto& [data, bytes] : idle)
            std::free(data);
    }

    // 'self' are these books.
    std::uint8_t* take(std::size_t bytes, const std::shared_ptr<Books>& self) {
        std::uint8_t* data = nullptr;
        {
            const std::lock_guard lock(mutex);
            const auto found = std::find_if(idle.rbegin(), idle.rend(),
                                            [&](const auto& block) { return block.second == bytes; });
            if (found != idle.rend()) {
                data = found->first;
                idle_bytes -= bytes;
                idle.erase(std::next(found).base());
            }
        }
        if (!data) data = static_cast<std::uint8_t*>(std::aligned_alloc(kAlignment, bytes));
        if (!data) return nullptr;
        const std::lock_guard lock(mutex);
        live.emplace(data, bytes);
        live_bytes += bytes;
        while_blocks_are_out = self;
        return data;
    }

    void give_back(std::uint8_t* data) {
        std::uint8_t* dropped = nullptr;
        std::shared_ptr<Books> last;  // may be all that holds these books, so it goes after the lock
        {
            const std::lock_guard lock(mutex);
            const auto found = live.find(data);
            const std::size_t bytes = found->second;
            live.erase(found);
            live_bytes -= bytes;
            if (live.empty()) last = std::move(while_blocks_are_out);
            idle.emplace_back(data, bytes);
            idle_bytes += bytes;
            if (idle.size() > kIdleBlocks) {
                dropped = idle.front().first;
                idle_bytes -= idle.front().second;
                idle.erase(idle.begin());
            }
        }
        std::free(dropped);
    }

    // Called by whichever thread lets a picture go, libav's among them: all it reads is behind the mutex.
    static void release(void* books, std::uint8_t* data) { static_cast<Books*>(books)->give_back(data); }

    mutable std::mutex mutex;
    std::vector<std::pair<std::uint8_t*, std::size_t>> idle;  // oldest first
    std::unordered_map<const std::uint8_t*, std::size_t> live;
    std::size_t live_bytes = 0, idle_bytes = 0;
    std::shared_ptr<Books> while_blocks_are_out;  // a picture may outlive its pool
};

FramePool::FramePool() : books_(std::make_shared<Books>()) {}
FramePool::~FramePool() = default;

void FramePool::serve(AVCodecContext& context) {
    context.opaque = this;
    context.get_buffer2 = &FramePool::fill;
    allow_callbacks_on_threads(context);
}

int FramePool::fill(AVCodecContext* context, AVFrame* frame, int flags) {
    if (!can_lay_out(*context, *frame)) return avcodec_default_get_buffer2(context, frame, flags);
    const Shape shape = shape_of(*context, *frame);
    if (shape.bytes == 0) return avcodec_default_get_buffer2(context, frame, flags);
    const auto& books = static_cast<FramePool*>(context->opaque)->books_;
    std::uint8_t* data = books->take(shape.bytes, books);
    if (!data) return AVERROR(ENOMEM);
    frame->buf[0] = av_buffer_create(data, shape.bytes, &Books::release, books.get(), 0);
    if (!frame->buf[0]) {
        books->give_back(data);
        return AVERROR(ENOMEM);
    }
    for (int plane = 0; plane < 4; ++plane) {
        if (shape.lines[plane] == 0) break;
        frame->data[plane] = data + shape.offsets[plane];
        frame->linesize[plane] = shape.lines[plane];
    }
    frame->extended_data = frame->data;
    return 0;
}

std::size_t FramePool::live_bytes() const {
    const std::lock_guard lock(books_->mutex);
    return books_->live_bytes;
}

std::size_t FramePool::idle_bytes() const {
    const std::lock_guard lock(books_->mutex);
    return books_->idle_bytes;
}

bool FramePool::owns(const AVFrame& frame) const {
    const std::lock_guard lock(books_->mutex);
    return frame.buf[0] && books_->live.contains(frame.buf[0]->data);
}

}  // namespace plumbmark::media
