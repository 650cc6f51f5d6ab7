#include "media/internal/table_bytes.h"

#include <cstring>
#include <type_traits>

#include "base/time.h"
#include "media/internal/table_rows.h"

namespace plumbmark::media {
namespace {

class Writer {
  public:
    void number(std::int64_t value) {
        // Zigzag: small numbers of either sign become short.
        auto bits = static_cast<std::uint64_t>(value) << 1 ^ static_cast<std::uint64_t>(value >> 63);
        for (; bits >= 0x80; bits >>= 7)
            bytes_ += static_cast<char>(bits | 0x80);
        bytes_ += static_cast<char>(bits);
    }
    void operator()(const std::string& text) {
        number(static_cast<std::int64_t>(text.size()));
        bytes_ += text;
    }
    void operator()(const base::Rational& ratio) { number(ratio.num), number(ratio.den); }
    template <class Value>
    requires std::is_integral_v<Value> || std::is_enum_v<Value>
    void operator()(const Value& value) { number(static_cast<std::int64_t>(value)); }
    template <class Item>
    void operator()(const std::vector<Item>& items) {
        number(static_cast<std::int64_t>(items.size()));
        for (const Item& item : items)
            (*this)(item);
    }
    template <class Value>
    void operator()(const std::optional<Value>& value) {
        (*this)(value.has_value());
        if (value) (*this)(*value);
    }
    void operator()(const StreamInfo& stream);
    void operator()(const SoundStream& stream);
    void operator()(const BadStretch& stretch);
    void operator()(const FileDamage& damage);
    std::string& bytes() { return bytes_; }
    std::string take() { return std::move(bytes_); }

  private:
    std::string bytes_;
};

class Reader {
  public:
    explicit Reader(std::string_view bytes) : at_(bytes.data()), end_(bytes.data() + bytes.size()) {}

    [[nodiscard]] bool whole() const { return good_ && at_ == end_; }
    [[nodiscard]] bool good() const { return good_; }
    std::int64_t number() {
        std::uint64_t bits = 0;
        for (int shift = 0; shift < 64; shift += 7) {
            if (at_ == end_) return good_ = false, 0;
            const auto byte = static_cast<std::uint8_t>(*at_++);
            bits |= static_cast<std::uint64_t>(byte & 0x7F) << shift;
            if (byte < 0x80) return static_cast<std::int64_t>(bits >> 1 ^ (~(bits & 1) + 1));
        }
        return good_ = false, 0;
    }
    /// How many items follow, each of at least one byte: no more than there are bytes left.
    std::size_t count() {
        const std::int64_t n = number();
        if (n < 0 || n > end_ - at_) return good_ = false, 0;
        return static_cast<std::size_t>(n);
    }
    void operator()(std::string& text) {
        const std::size_t size = count();
        text.assign(at_, size);
        at_ += size;
    }
    void operator()(base::Rational& ratio) { ratio.num = number(), ratio.den = number(); }
    template <class Value>
    requires std::is_integral_v<Value> || std::is_enum_v<Value>
    void operator()(Value& value) { value = static_cast<Value>(number()); }
    template <class Item>
    void operator()(std::vector<Item>& items) {
        items.resize(count());
        for (Item& item : items)
            (*this)(item);
    }
    template <class Value>
    void operator()(std::optional<Value>& value) {
        bool there = false;
        (*this)(there);
        if (there) (*this)(value.emplace());
    }
    void operator()(StreamInfo& stream);
    void operator()(SoundStream& stream);
    void operator()(BadStretch& stretch);
    void operator()(FileDamage& damage);
    /// What is not read yet; its reader says how much is left.
    [[nodiscard]] std::string_view rest() const { return {at_, static_cast<std::size_t>(end_ - at_)}; }
    void go_on_with(std::string_view left) { at_ = left.data(); }

  private:
    const char* at_;
    const char* end_;
    bool good_ = true;
};

// One list of fields for both ways.
template <class Way, class Label>
void each_label_field(Way& way, Label& label) {
    way(label.language), way(label.title), way(label.program), way(label.program_name);
}
template <class Way, class Stream>
void each_stream_field(Way& way, Stream& stream) {
    way(stream.ordinal), way(stream.index), way(stream.codec), way(stream.width), way(stream.height);
    each_label_field(way, stream.label);
}
template <class Way, class Stream>
void each_sound_field(Way& way, Stream& stream) {
    way(stream.ordinal), way(stream.index), way(stream.codec), way(stream.rate), way(stream.channels);
    way(stream.preset), way(stream.time_base);
    each_label_field(way, stream.label);
}
void Writer::operator()(const SoundStream& stream) {
    each_sound_field(*this, stream);
}
void Reader::operator()(SoundStream& stream) {
    each_sound_field(*this, stream);
}
void Writer::operator()(const StreamInfo& stream) {
    each_stream_field(*this, stream);
}
void Reader::operator()(StreamInfo& stream) {
    each_stream_field(*this, stream);
}

template <class Way, class Stretch>
void each_stretch_field(Way& way, Stretch& stretch) {
    way(stretch.first), way(stretch.last), way(stretch.lean_until);
    way(stretch.from.ns), way(stretch.until.ns), way(stretch.what);
}
void Writer::operator()(const BadStretch& stretch) {
    each_stretch_field(*this, stretch);
}
void Reader::operator()(BadStretch& stretch) {
    each_stretch_field(*this, stretch);
}

template <class Way, class Damage>
void each_damage_field(Way& way, Damage& damage) {
    way(damage.kind), way(damage.number), way(damage.size), way(damage.why);
}
void Writer::operator()(const FileDamage& damage) {
    each_damage_field(*this, damage);
}
void Reader::operator()(FileDamage& damage) {
    each_damage_field(*this, damage);
}

template <class Way, class Info>
void each_info_field(Way& way, Info& info) {
    way(info.container), way(info.codec), way(info.width), way(info.height);
    way(info.quarter_turns), way(info.mirrored), way(info.pixel_aspect), way(info.time_base);
    way(info.nominal_rate), way(info.pixel_format), way(info.bit_depth), way(info.matrix), way(info.range);
    way(info.primaries), way(info.transfer), way(info.field_order), way(info.capture_rate);
    way(info.has_sound), way(info.stream), way(info.streams), way(info.sounds), way(info.basis),
        way(info.basis_reason);
    way(info.damage), way(info.variable_rate);
}

template <class Way, class Data>
void each_table_field(Way& way, Data& data) {
    way(data.bad_stretches);
    way(data.mark.size), way(data.mark.changed_at), way(data.mark.device), way(data.mark.file);
    way(data.first_damage), way(data.times_rise), way(data.identity_by_count), way(data.single_thread);
}

}  // namespace

std::string table_bytes(const TableData& data) {
    Writer out;
    each_info_field(out, data.info);
    each_table_field(out, data);
    out(data.packets.size()), out(data.frames.size());
    append_rows(data, out.bytes());
    out(data.further.size());
    for (const auto& [place, frame] : data.further)
        out(place.first), out(place.second), out(frame);
    return out.take();
}

std::shared_ptr<const TableData> table_from_bytes(std::string_view bytes) {
    Reader in(bytes);
    auto data = std::make_shared<TableData>();
    each_info_field(in, data->info);
    each_table_field(in, *data);
    const std::size_t packets = in.count(), frames = in.count();
    std::string_view rows = in.rest();
    const bool unit = data->info.time_base.num > 0 && data->info.time_base.den > 0;
    if (!in.good() || !unit || !take_rows(packets, frames, rows, *data)) return nullptr;
    in.go_on_with(rows);
    for (std::size_t i = in.count(); i > 0 && in.good(); --i) {
        const std::int64_t packet = in.number();
        const auto occurrence = static_cast<int>(in.number());
        data->further[{packet, occurrence}] = in.number();
    }
    return in.whole() ? data : nullptr;
}

}  // namespace plumbmark::media
