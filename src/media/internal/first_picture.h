// The first picture of a clip, before anything is known of its frames: out of the packets that a scan reads.
#pragma once

#include <optional>

#include "media/frame_table.h"
#include "media/internal/decoder.h"
#include "media/internal/demuxer.h"
#include "media/internal/libav.h"

namespace plumbmark::media {

/// Decodes the packets it is given until a picture comes out, shows it and is idle from then on: most often
/// it is frame 0, but only the frame table can tell. Where none of the first packets decodes, none is shown.
/// One thread.
class FirstPicture {
  public:
    /// 'show' empty: nobody wants it, and nothing is done.
    FirstPicture(const Demuxer& demuxer, FirstPictureShow show);

    /// The next packet of the stream; its time is lost by it.
    void take(AVPacket& packet);
    /// No more packets come.
    void finish();

  private:
    void show_what_comes();

    const FirstPictureShow show_;
    std::optional<Decoder> decoder_;  // while the picture is waited for
    FramePtr frame_;
    int quarter_turns_ = 0;
    bool mirrored_ = false;
    base::Rational pixel_aspect_{1, 1};
    int packets_ = 0;
};

}  // namespace plumbmark::media
