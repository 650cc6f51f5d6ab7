#include "media/internal/stream_info.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <locale>
#include <sstream>

namespace plumbmark::media {
namespace {

std::string words(const char* name) {
    return name && std::string(name) != "unknown" ? name : "";
}

FieldOrder field_order(AVFieldOrder order) {
    switch (order) {
        case AV_FIELD_PROGRESSIVE:
            return FieldOrder::progressive;
        case AV_FIELD_TT:
        case AV_FIELD_TB:
            return FieldOrder::top_first;
        case AV_FIELD_BB:
        case AV_FIELD_BT:
            return FieldOrder::bottom_first;
        default:
            return FieldOrder::unknown;
    }
}

std::optional<base::Rational> capture_rate(const AVFormatContext& format, const AVStream& stream) {
    const AVDictionaryEntry* entry = av_dict_get(format.metadata, "com.android.capture.fps", nullptr, 0);
    if (!entry) entry = av_dict_get(stream.metadata, "com.android.capture.fps", nullptr, 0);
    if (!entry) return std::nullopt;
    std::istringstream text(entry->value);
    text.imbue(std::locale::classic());
    double rate = 0;
    if (!(text >> rate) || !(rate > 0) || rate > 100000) return std::nullopt;
    return base::reduced({std::llround(rate * 1000000.0), 1000000});
}

void describe_colour(const AVCodecParameters& parameters, ClipInfo& info) {
    const auto format = static_cast<AVPixelFormat>(parameters.format);
    info.pixel_format = words(av_get_pix_fmt_name(format));
    if (const AVPixFmtDescriptor* descriptor = av_pix_fmt_desc_get(format))
        info.bit_depth = descriptor->comp[0].depth;
    info.matrix = words(av_color_space_name(stated(parameters.color_space)));
    info.range = words(av_color_range_name(stated(parameters.color_range)));
    info.primaries = words(av_color_primaries_name(stated(parameters.color_primaries)));
    info.transfer = words(av_color_transfer_name(stated(parameters.color_trc)));
}

}  // namespace

void read_orientation(const std::int32_t* matrix, int& quarter_turns, bool& mirrored) {
    quarter_turns = 0;
    mirrored = false;
    if (!matrix) return;
    // x' = a x + c y, y' = b x + d y, y downward. Mirroring first negates (a, b), so (c, d) gives the turn
    // either way.
    const double a = matrix[0], b = matrix[1], c = matrix[3], d = matrix[4];
    const double determinant = a * d - b * c;
    if (determinant == 0) return;  // a damaged matrix turns nothing
    mirrored = determinant < 0;
    const double quarters = std::atan2(-c, d) / (std::acos(-1.0) / 2);
    quarter_turns = ((static_cast<int>(std::lround(quarters)) % 4) + 4) % 4;
}

StreamLabel label_of(const AVFormatContext& format, const AVStream& stream) {
    const auto tag = [](const AVDictionary* tags, const char* name) {
        const AVDictionaryEntry* entry = av_dict_get(tags, name, nullptr, 0);
        return std::string(entry ? entry->value : "");
    };
    StreamLabel label;
    label.language = tag(stream.metadata, "language");
    if (label.language == "und") label.language.clear();  // ISO 639-2: undetermined
    label.title = tag(stream.metadata, "title");
    auto* looked_at = const_cast<AVFormatContext*>(&format);  // looking changes nothing
    if (const AVProgram* program = av_find_program_from_stream(looked_at, nullptr, stream.index)) {
        label.program = program->id;
        label.program_name = tag(program->metadata, "service_name");
    }
    return label;
}

std::vector<SoundStream> sound_streams(const AVFormatContext& format, int pictures) {
    auto* looked_at = const_cast<AVFormatContext*>(&format);
    const int preset = av_find_best_stream(looked_at, AVMEDIA_TYPE_AUDIO, -1, pictures, nullptr, 0);
    std::vector<SoundStream> found;
    for (unsigned i = 0; i < format.nb_streams; ++i) {
        const AVStream& one = *format.streams[i];
        const AVCodecParameters& parameters = *one.codecpar;
        if (parameters.codec_type != AVMEDIA_TYPE_AUDIO) continue;
        found.push_back({static_cast<int>(found.size()), static_cast<int>(i),
                         avcodec_get_name(parameters.codec_id), parameters.sample_rate,
                         parameters.ch_layout.nb_channels, static_cast<int>(i) == preset,
                         from_av(one.time_base), label_of(format, one)});
    }
    return found;
}

ClipInfo describe(const Demuxer& demuxer) {
    const AVStream& stream = demuxer.stream();
    const AVCodecParameters& parameters = *stream.codecpar;
    ClipInfo info;
    info.container = demuxer.format().iformat->name;
    info.codec = avcodec_get_name(parameters.codec_id);
    info.width = parameters.width;
    info.height = parameters.height;
    read_orientation(display_matrix(stream), info.quarter_turns, info.mirrored);
    auto* format = const_cast<AVFormatContext*>(&demuxer.format());  // libav's guesses change nothing
    auto* mutable_stream = const_cast<AVStream*>(&stream);
    const AVRational aspect = av_guess_sample_aspect_ratio(format, mutable_stream, nullptr);
    if (aspect.num > 0 && aspect.den > 0) info.pixel_aspect = base::reduced({aspect.num, aspect.den});
    if (stream.time_base.num > 0 && stream.time_base.den > 0) info.time_base = from_av(stream.time_base);
    const AVRational rate = av_guess_frame_rate(format, mutable_stream, nullptr);
    if (rate.num > 0 && rate.den > 0) info.nominal_rate = base::reduced(from_av(rate));
    describe_colour(parameters, info);
    info.field_order = field_order(stated(parameters.field_order));
    info.capture_rate = capture_rate(demuxer.format(), stream);
    info.sounds = sound_streams(demuxer.format(), stream.index);
    info.has_sound = av_find_best_stream(format, AVMEDIA_TYPE_AUDIO, -1, -1, nullptr, 0) >= 0;
    info.stream = demuxer.ordinal();
    info.streams = demuxer.video_streams();
    return info;
}

}  // namespace plumbmark::media
