// What a clip's file says about its pictures, before any of them is looked at closely.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/time.h"
#include "media/file_damage.h"

namespace plumbmark::media {

/// How the lines of a picture were taken.
enum class FieldOrder { unknown, progressive, top_first, bottom_first };

/// What the frame table rests on (see scan_clip).
enum class TableBasis {
    packets,  ///< the packets' own times, one frame a packet: all checks on the packets passed
    decoded,  ///< every packet was decoded once, because the packets alone cannot tell what is shown
};

/// What a file says about one of its streams, for the eye; empty where it says nothing.
struct StreamLabel {
    std::string language;        ///< as the file writes it, mostly three letters ("deu"); empty for 'und'
    std::string title;           ///< a name that somebody gave it
    std::optional<int> program;  ///< number of the first program that it belongs to (transport streams)
    std::string program_name;
    friend bool operator==(const StreamLabel&, const StreamLabel&) = default;
};

/// One video stream of a file.
struct StreamInfo {
    int ordinal = 0;  ///< 0 for the file's first video stream, counted without cover pictures
    int index = 0;    ///< its number among all of the file's streams
    std::string codec;
    int width = 0, height = 0;
    StreamLabel label = {};
    friend bool operator==(const StreamInfo&, const StreamInfo&) = default;
};

/// One sound stream of a file.
struct SoundStream {
    int ordinal = 0;  ///< 0 for the file's first sound stream
    int index = 0;    ///< its number among all of the file's streams
    std::string codec;
    int rate = 0;  ///< samples per second as the container declares; blocks carry the decoder's
    int channels = 0;
    /// The stream that is taken when none is named: the file's choice, within the program of the chosen
    /// pictures where pictures were chosen and their program has sound.
    bool preset = false;
    base::Rational time_base{1, 1};  ///< seconds per tick of SoundBlock::pts
    StreamLabel label = {};
    friend bool operator==(const SoundStream&, const SoundStream&) = default;
};

/// Facts of the chosen stream. Names ("h264", "yuv420p", "bt709") are those that the ffmpeg programs print,
/// lower case; an untagged value is empty.
struct ClipInfo {
    std::string container;  ///< for example "mov,mp4,m4a,3gp,3g2,mj2" or "matroska,webm"
    std::string codec;      ///< for example "hevc"
    int width = 0;  ///< pixels of the decoded picture, after the stream's own crop, before any rotation
    int height = 0;
    /// To show the picture upright: first mirror it left to right when 'mirrored', then turn it clockwise by
    /// this many quarter turns (0 to 3). Taken from the display matrix, rounded to the nearest quarter.
    int quarter_turns = 0;
    bool mirrored = false;
    base::Rational pixel_aspect{1,
                                1};  ///< width of a pixel over its height, before rotation; 1/1 where unsaid
    base::Rational time_base{1, 1};  ///< seconds per tick of FrameEntry::pts
    base::Rational nominal_rate{
        0, 1};  ///< frames per second as the file declares; 0/1 where unsaid. Never used for times
    std::string pixel_format;  ///< the decoder's, for example "yuv420p10le"
    int bit_depth = 8;
    std::string matrix, range, primaries, transfer;  ///< colour tags ("bt709", "tv", ...)
    FieldOrder field_order = FieldOrder::unknown;
    /// Frames per second at capture where the file says so (com.android.capture.fps): slow motion when it
    /// differs from the shown rate. Read from a decimal, kept to a millionth.
    std::optional<base::Rational> capture_rate;
    bool has_sound = false;
    int stream = 0;                   ///< ordinal of the chosen video stream
    std::vector<StreamInfo> streams;  ///< all video streams that can be chosen
    std::vector<SoundStream> sounds;  ///< all sound streams
    TableBasis basis = TableBasis::packets;
    std::string basis_reason;  ///< why the packets alone were not trusted; empty for TableBasis::packets
    std::vector<FileDamage> damage;  ///< what is wrong with the file, each once; empty for a sound one
    bool variable_rate = false;      ///< durations between frames differ by more than one tick

    /// Width and height as shown upright, pixel aspect not applied.
    [[nodiscard]] int upright_width() const { return quarter_turns % 2 == 0 ? width : height; }
    [[nodiscard]] int upright_height() const { return quarter_turns % 2 == 0 ? height : width; }
};

}  // namespace plumbmark::media
