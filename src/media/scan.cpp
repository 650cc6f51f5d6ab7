#include <algorithm>

#include "media/frame_table.h"
#include "media/internal/damage.h"
#include "media/internal/decoder.h"
#include "media/internal/demuxer.h"
#include "media/internal/first_picture.h"
#include "media/internal/packet_look.h"
#include "media/internal/stream_info.h"
#include "media/internal/table_build.h"

namespace plumbmark::media {
namespace {

using base::Category;

/// One scan. Its steps in order: open, read_packets, then frames from packets or decode.
class Scan {
  public:
    Scan(const std::filesystem::path& path, const ScanOptions& options) : path_(path), options_(options) {}

    base::Result<FrameTable> run() {
        auto opened = Demuxer::open(path_, options_.stream, options_.stop, options_.open_bytes);
        if (!opened) return opened.error();
        data_.info = describe(*opened);
        data_.mark = opened->bytes().mark();
        if (auto read = read_packets(*opened); !read) return read.error();
        settle_basis(*opened);
        if (data_.info.basis == TableBasis::packets) {
            frames_from_packets(data_);
        } else if (auto decoded = decode(); !decoded) {
            return decoded.error();
        }
        if (data_.frames.empty()) {
            return clip_error(
                data_.info.damage.empty() ? Category::bad_input : Category::damaged,
                base::worded("The clip holds no picture that can be shown. Copy it again from the camera."),
                path_);
        }
        for (std::size_t i = data_.packets.size(); i-- > 0;) {
            if (data_.packets[i].damaged()) data_.first_damage = static_cast<std::int64_t>(i);
        }
        find_bad_stretches(data_, missing_end_);
        report(1.0);
        return FrameTable(std::make_shared<const TableData>(std::move(data_)));
    }

  private:
    base::Error stopped() const {
        return clip_error(Category::cancelled, base::worded("Reading the clip was stopped."), path_);
    }

    void report(double share) {
        if (!options_.progress || share <= reported_) return;
        reported_ = share;
        options_.progress(share);
    }

    void note_damage(const FileDamage& found) {
        auto& damage = data_.info.damage;
        if (std::find(damage.begin(), damage.end(), found) == damage.end()) damage.push_back(found);
        if (const base::Sentence clause = found.missing_end(); !clause.empty())
            missing_end_ = clause.english();
    }

    void doubt(const std::string& why) {
        if (doubt_.empty()) doubt_ = why;
    }

    void take_packet(const AVPacket& packet, const PacketLooker& looker) {
        const PacketLook look = looker.look(packet);
        PacketEntry entry;
        entry.pts = packet.pts;
        entry.dts = packet.dts;
        entry.pos = packet.pos;
        entry.duration = packet.duration;
        entry.size = packet.size;
        entry.digest = packet_digest(packet);
        entry.key = (packet.flags & AV_PKT_FLAG_KEY) != 0;
        entry.cut = (packet.flags & AV_PKT_FLAG_DISCARD) != 0;
        entry.start = look.start && !look.broken;
        entry.disposable = look.unreferenced;
        layers_.push_back(static_cast<std::uint8_t>(look.layer));
        if (look.doubt) doubt(look.doubt);
        if (packet.flags & AV_PKT_FLAG_CORRUPT) {
            const bool at_end = packet.pos >= 0 && packet.pos + packet.size >= data_.mark.size;
            entry.blame(at_end ? Wrong::cut_off : Wrong::marked);
            doubt("a packet is marked as corrupt");
            note_damage({FileDamage::Kind::marked_packet, number()});
        } else if (look.broken) {
            entry.blame(Wrong::ill_formed);
            note_damage({FileDamage::Kind::broken_stream, number(), 0, look.doubt});
        }
        data_.packets.push_back(entry);
    }

    std::int64_t number() const { return static_cast<std::int64_t>(data_.packets.size()); }

    base::Result<void> read_packets(Demuxer& demuxer) {
        const PacketLooker looker(*demuxer.stream().codecpar);
        if (!looker.knows_codec()) doubt("the make-up of " + data_.info.codec + " packets is not checked");
        FirstPicture first(demuxer, options_.first_picture);
        const PacketPtr packet = new_packet();
        for (;;) {
            const auto got = demuxer.read(*packet);
            if (got == Demuxer::Read::cancelled) return stopped();
            if (got != Demuxer::Read::packet) first.finish();
            if (got == Demuxer::Read::end) return note_short_end(demuxer), base::Result<void>{};
            if (got == Demuxer::Read::failed) return end_by_failure(demuxer);
            take_packet(*packet, looker);
            first.take(*packet);
            av_packet_unref(packet.get());
            report(packet_share * demuxer.share());
        }
    }

    // A picture that its own temporal layer does not refer to may still serve the layers above.
    void settle_disposable() {
        const auto top = std::max_element(layers_.begin(), layers_.end());
        for (std::size_t i = 0; i < layers_.size(); ++i)
            data_.packets[i].disposable &= doubt_.empty() && layers_[i] == *top;
    }

    // The file is told as changed when it is; what cannot be read of one that stays is damage.
    base::Result<void> end_by_failure(const Demuxer& demuxer) {
        if (auto changed = what_changed(data_.mark, demuxer.bytes().look(options_.stop), path_))
            return *changed;
        doubt("the file cannot be read to its end");
        note_damage({FileDamage::Kind::unreadable_end, number(), 0, demuxer.failure().english()});
        note_short_end(demuxer);
        return {};
    }

    void note_short_end(const Demuxer& demuxer) {
        const std::int64_t behind = packets_behind_end(demuxer);
        const std::int64_t declared = declared_beyond_end(demuxer);
        if (behind > 0) {
            note_damage({FileDamage::Kind::missing_listed, behind});
        } else if (declared > 0) {
            note_damage({FileDamage::Kind::missing_declared, declared, data_.mark.size});
        }
    }

    void settle_basis(const Demuxer& demuxer) {
        const AVCodecParameters& parameters = *demuxer.stream().codecpar;
        if (data_.info.container == "avi" && parameters.codec_id == AV_CODEC_ID_MPEG4) {
            doubt("MPEG-4 in AVI has guessed times and may pack two pictures into one packet");
        }
        // Which of the pictures cut away still come out differs between libav's decoders; of these two it is
        // known.
        const bool cut_is_known =
            parameters.codec_id == AV_CODEC_ID_H264 || parameters.codec_id == AV_CODEC_ID_HEVC;
        if (!cut_is_known && std::any_of(data_.packets.begin(), data_.packets.end(),
                                         [](const PacketEntry& p) { return p.cut; })) {
            doubt("an edit list cuts pictures away");
        }
        if (doubt_.empty()) doubt(reason_to_decode(data_, parameters.video_delay));
        if (doubt_.empty() && options_.verify == Verify::always) doubt_ = "asked for";
        // A stream without packet lengths does not show that a picture is cut short; one thread finds it out
        // reliably.
        const bool framed = data_.info.container != "mpegts" && data_.info.container != "mpeg";
        data_.single_thread = doubt_.empty() && !framed;
        settle_disposable();
        if (doubt_.empty()) return;
        data_.info.basis = TableBasis::decoded;
        data_.info.basis_reason = doubt_;
        data_.single_thread = !data_.info.damage.empty();
    }

    // One thread: with several, libav does not report every damaged picture, and how missing parts are made
    // up depends on their number (the ffmpeg program's output does, too). Where damage shows, readers use one
    // thread as well.
    base::Result<void> decode() {
        std::vector<ShownFrame> shown;
        const auto sound = decode_all(shown);
        if (!sound) return sound.error();
        if (!*sound) {
            data_.single_thread = true;
            note_damage({FileDamage::Kind::undecoded});
        }
        frames_from_decoding(data_, shown);
        if (data_.single_thread) {
            for (PacketEntry& packet : data_.packets) {
                if (packet.frame < 0 && !packet.cut) packet.blame(Wrong::never_shown);
            }
        }
        return {};
    }

    void take_frame(const AVFrame& frame, std::vector<ShownFrame>& shown, std::map<std::int64_t, int>& seen) {
        ShownFrame one;
        one.packet = frame.pts;
        if (one.packet < 0 || one.packet >= static_cast<std::int64_t>(data_.packets.size())) {
            data_.identity_by_count = true;
            one.packet = shown.empty() ? 0 : shown.back().packet;
        } else if (data_.packets[static_cast<std::size_t>(one.packet)].cut) {
            return;  // libav's decoders differ here: some give out what an edit list cuts away (dav1d)
        }
        one.occurrence = seen[one.packet]++;
        one.dts = frame.pkt_dts;
        one.damaged = frame.decode_error_flags != 0 || (frame.flags & AV_FRAME_FLAG_CORRUPT) != 0;
        if (one.damaged) data_.packets[static_cast<std::size_t>(one.packet)].blame(Wrong::made_up);
        shown.push_back(one);
    }

    void drain(Decoder& decoder, AVFrame& frame, std::vector<ShownFrame>& shown,
               std::map<std::int64_t, int>& seen) {
        while (decoder.receive(frame) == Decoder::Out::frame) {
            take_frame(frame, shown, seen);
            av_frame_unref(&frame);
        }
    }

    // True when nothing was damaged.
    base::Result<bool> decode_all(std::vector<ShownFrame>& shown) {
        auto demuxer = Demuxer::open(path_, options_.stream, options_.stop, options_.open_bytes);
        if (!demuxer) return demuxer.error();
        auto decoder = Decoder::open(demuxer->stream(), 1);
        if (!decoder) return clip_error(decoder.error().category, decoder.error().sentence, path_);
        const PacketPtr packet = new_packet();
        const FramePtr frame = new_frame();
        std::map<std::int64_t, int> seen;
        for (std::size_t i = 0; i < data_.packets.size(); ++i) {
            const auto got = demuxer->read(*packet);
            if (got == Demuxer::Read::cancelled) return stopped();
            if (got != Demuxer::Read::packet || packet_digest(*packet) != data_.packets[i].digest) {
                return changed(*demuxer);
            }
            const std::int64_t errors = decoder->errors();
            if (!decoder->send(*packet, static_cast<std::int64_t>(i))) data_.packets[i].blame(Wrong::refused);
            av_packet_unref(packet.get());
            drain(*decoder, *frame, shown, seen);
            if (decoder->errors() != errors) data_.packets[i].blame(Wrong::made_up);
            report(packet_share +
                   (1 - packet_share) * static_cast<double>(i) / static_cast<double>(data_.packets.size()));
        }
        decoder->finish();
        drain(*decoder, *frame, shown, seen);
        const bool any_damaged =
            std::any_of(shown.begin(), shown.end(), [](const ShownFrame& s) { return s.damaged; });
        return decoder->errors() == 0 && !any_damaged;
    }

    base::Error changed(const Demuxer& demuxer) const {
        if (auto known = what_changed(data_.mark, demuxer.bytes().look(options_.stop), path_)) return *known;
        if (demuxer.trouble()) return *demuxer.trouble();
        return clip_error(Category::io,
                          base::worded("The file has changed while it was read. Open it again."), path_);
    }

    static constexpr double packet_share = 0.2;  // of the progress; the rest is decoding, when there is any
    const std::filesystem::path& path_;
    const ScanOptions& options_;
    TableData data_;
    std::vector<std::uint8_t> layers_;  // temporal layer of each packet
    std::string doubt_, missing_end_;
    double reported_ = -1;
};

}  // namespace

base::Result<FrameTable> scan_clip(const std::filesystem::path& path, const ScanOptions& options) {
    return Scan(path, options).run();
}

}  // namespace plumbmark::media
