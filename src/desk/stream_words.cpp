#include "desk/stream_words.h"

#include <fmt/format.h>

#include "base/text.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

/// A file may carry anything under its names: what is no text is left out, what is long is cut.
std::string shown(const std::string& text) {
    constexpr std::size_t most = 60;
    if (!base::is_utf8(text)) return "";
    std::string out;
    for (const char c : text) {
        if (out.size() >= most && (static_cast<unsigned char>(c) & 0xC0) != 0x80) return out + "…";
        out += static_cast<unsigned char>(c) < 32 ? ' ' : c;
    }
    return out;
}

void add(std::string& words, const std::string& more) {
    if (!more.empty()) words += " · " + more;
}

std::string quoted(const std::string& text) {
    return text.empty() ? "" : "'" + text + "'";
}

void add_label(std::string& words, const media::StreamLabel& label) {
    add(words, shown(label.language));
    if (label.program) {
        const std::string name = quoted(shown(label.program_name));
        add(words,
            name.empty() ? tr("program {}", *label.program) : tr("program {} {}", *label.program, name));
    }
    add(words, quoted(shown(label.title)));
}

std::string channel_words(int channels) {
    if (channels == 1) return tr("mono");
    if (channels == 2) return tr("stereo");
    return channels > 0 ? tr_n("{} channel", "{} channels", channels) : "";
}

}  // namespace

bool has_choice_of_streams(const media::ClipInfo& info) {
    return info.streams.size() > 1 || info.sounds.size() > 1;
}

std::string stream_words(const media::StreamInfo& stream) {
    std::string words = tr("pictures {} · {}", stream.ordinal + 1, stream.codec);
    if (stream.width > 0 && stream.height > 0) add(words, tr("{} x {}", stream.width, stream.height));
    add_label(words, stream.label);
    return words;
}

std::string stream_words(const media::SoundStream& stream) {
    std::string words = tr("sound {} · {}", stream.ordinal + 1, stream.codec);
    add(words, channel_words(stream.channels));
    if (stream.rate > 0) add(words, tr("{:g} kHz", stream.rate / 1000.0));
    add_label(words, stream.label);
    return words;
}

}  // namespace plumbmark::desk
