// A clip made of pictures and sound: MP4 with exact times.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>

#include "base/result.h"
#include "base/time.h"
#include "media/picture.h"

namespace plumbmark::media {

struct ClipWriterOptions {
    struct Sound {
        int rate = 0;  ///< samples per second of what is given
        int channels = 0;
    };
    int width = 0, height = 0;          ///< of every picture; an odd side gets one more line, a repeated one
    base::Rational pixel_aspect{1, 1};  ///< a pixel's width by its height
    base::Rational time_base{0, 1};     ///< seconds per tick of the times that are given
    base::Rational rate{30, 1};  ///< about how many pictures a second: for the encoder, no time depends on it
    std::optional<Sound> sound = {};
    /// Takes the other codec although there is an encoder for H.264, as for players that have none.
    bool without_h264 = false;
    std::stop_token stop = {};  ///< when requested, calls end with Category::cancelled
};

/// Pictures are coded as H.264 (ITU-T H.264, High, 4:2:0, 8 bits) by the encoder that libav has, else as
/// MPEG-4 part 2 (ISO/IEC 14496-2), in an MP4 file whose index stands first, so that players can begin before
/// they have all of it. Colours are those of BT.709, limited range, tagged as such. No picture is shown out
/// of the order in which it is coded, and a key frame comes at least every 24 pictures: every player steps it
/// exactly and quickly. Sound is AAC at up to two channels. The file holds no time of its making and no name
/// of a machine.
///
/// Times are kept exactly: ticks of the time base, brought to the file's unit by whole numbers. Each picture
/// lasts until the next; nothing is repeated, left out or invented.
///
/// The file has its name once finish() was good (media/new_file.h); until then, after an error, and where the
/// writer is destroyed before, nothing is left. One owner thread at a time.
class ClipWriter {
  public:
    /// Errors: bad_input (a size that is not 2 to 16384, a time base that is not positive, or whose unit does
    /// not fit the file), unsupported (no encoder: says which would do), io.
    [[nodiscard]] static base::Result<ClipWriter> create(const std::filesystem::path& path,
                                                         const ClipWriterOptions& options);
    ~ClipWriter();
    ClipWriter(ClipWriter&&) noexcept;
    ClipWriter& operator=(ClipWriter&&) noexcept;

    /// The next picture, and when it is shown: later than the one before; the first is best at 0, where sound
    /// begins. Alpha is dropped. Errors: bad_input (another size; not later; more than 2^31 of the file's
    /// units later, which a file cannot say), io, cancelled. After an error nothing more can be added.
    [[nodiscard]] base::Result<void> add(const RgbaImage& picture, std::int64_t ticks);
    /// The next samples, interleaved; the first sample of all lies at tick 0. Give sound and pictures in
    /// turns, as time goes on. Errors: bad_input (the clip has no sound), io, cancelled.
    [[nodiscard]] base::Result<void> add_sound(const float* samples, std::int64_t frames);
    /// The last picture lasts until 'end'. Errors as add(), and bad_input without a picture.
    [[nodiscard]] base::Result<void> finish(std::int64_t end);

    /// "H.264 in MP4".
    [[nodiscard]] const std::string& kind() const;
    /// What is to be said where it is not the usual codec; usually empty.
    [[nodiscard]] const base::Sentence& notice() const;

  private:
    class Impl;
    explicit ClipWriter(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> impl_;
};

}  // namespace plumbmark::media
