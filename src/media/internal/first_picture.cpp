#include "media/internal/first_picture.h"

#include <utility>

#include "media/internal/stream_info.h"
#include "media/picture.h"

namespace plumbmark::media {

FirstPicture::FirstPicture(const Demuxer& demuxer, FirstPictureShow show) : show_(std::move(show)) {
    if (!show_) return;
    auto decoder = Decoder::open(demuxer.stream(), 1);  // several threads would first want more packets
    if (!decoder) return;                               // the scan tells what matters of it
    decoder_ = std::move(*decoder);
    frame_ = new_frame();
    const ClipInfo info = describe(demuxer);
    quarter_turns_ = info.quarter_turns;
    mirrored_ = info.mirrored;
    pixel_aspect_ = info.pixel_aspect;
}

void FirstPicture::take(AVPacket& packet) {
    constexpr int packets_tried = 200;
    if (!decoder_) return;
    decoder_->send(packet, packets_);
    ++packets_;
    show_what_comes();
    if (packets_ == packets_tried) decoder_.reset();
}

void FirstPicture::finish() {
    if (!decoder_) return;
    decoder_->finish();
    show_what_comes();
    decoder_.reset();
}

void FirstPicture::show_what_comes() {
    if (decoder_->receive(*frame_) != Decoder::Out::frame) return;
    decoder_.reset();
    auto native = std::make_unique<NativeFrame>();
    native->frame = std::move(frame_);
    show_(std::make_shared<const Picture>(std::move(native), quarter_turns_, mirrored_, pixel_aspect_));
}

}  // namespace plumbmark::media
