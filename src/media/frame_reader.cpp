#include "media/frame_reader.h"

#include <algorithm>
#include <array>
#include <set>
#include <unordered_map>

#include "base/worded.h"
#include "media/internal/decoder.h"
#include "media/internal/demuxer.h"
#include "media/internal/frame_pool.h"
#include "media/internal/packet_finder.h"
#include "media/internal/table_data.h"

namespace plumbmark::media {

using base::Category;

namespace {

constexpr std::int64_t max_threads = 4;  // see Decoder::open

}  // namespace

class FrameReader::Impl {
  public:
    Impl(std::filesystem::path path, std::shared_ptr<const FrameTable> table, ReaderOptions options)
        : path_(std::move(path)),
          table_(std::move(table)),
          data_(table_->data()),
          options_(std::move(options)),
          finder_(data_),
          store_(options_.store ? options_.store : std::make_shared<PictureStore>(options_.cache_bytes)),
          shelf_(*store_),
          stop_(options_.stop),
          one_thread_(data_.single_thread) {}

    base::Result<void> restart();
    base::Result<std::shared_ptr<const Picture>> read(std::int64_t n, bool alone);
    bool fill(std::int64_t first, std::int64_t last);
    [[nodiscard]] bool lies_ahead(std::int64_t n) const;

    void set_stop(std::stop_token stop) {
        if (demuxer_) demuxer_->set_stop(stop);
        stop_ = std::move(stop);
    }

    ReaderCounters counters_;
    Witness witness_;
    [[nodiscard]] PictureStore& store() { return *store_; }
    [[nodiscard]] PictureStore::Shelf& shelf() { return shelf_; }

  private:
    enum class Step { found, missing, lost, cancelled, tainted };

    [[nodiscard]] std::int64_t packet_count() const {
        return static_cast<std::int64_t>(data_.packets.size());
    }
    [[nodiscard]] const PacketEntry& packet_entry(std::int64_t p) const {
        return data_.packets[static_cast<std::size_t>(p)];
    }
    [[nodiscard]] bool can_go_on(std::int64_t n) const;
    [[nodiscard]] std::int64_t start_packet(std::int64_t n) const;
    bool learn_damage(std::int64_t packet);
    Step reach_with_damage(std::int64_t n);
    Step reach(std::int64_t n);
    Step reach_from(std::int64_t start, std::int64_t n);
    Step move_to(std::int64_t start);
    Step go_from_seek(std::int64_t start);
    Step skip_to(std::int64_t start, std::int64_t at);
    Step run_to(std::int64_t n);
    Step feed();
    Step send();
    [[nodiscard]] bool may_skip() const;
    Step skip();
    void take(AVFrame& frame);
    void begin_at(std::int64_t start);
    [[nodiscard]] bool prefers_bytes() const;
    [[nodiscard]] base::Error failure(Step step, std::int64_t n) const;

    std::filesystem::path path_;
    std::shared_ptr<const FrameTable> table_;
    const TableData& data_;
    ReaderOptions options_;
    PacketFinder finder_;
    std::shared_ptr<PictureStore> store_;  // before the decoder, which draws into its pool
    PictureStore::Shelf shelf_;
    std::stop_token stop_;
    std::optional<Demuxer> demuxer_;
    std::optional<Decoder> decoder_;
    PacketPtr packet_ = new_packet();
    FramePtr frame_ = new_frame();

    bool placed_ = false;           // the decoder and next_packet_ agree with the file position
    bool finished_ = false;         // the decoder has had its last packet
    bool held_ = false;             // packet_ already holds next_packet_
    std::int64_t next_packet_ = 0;  // number of the packet that the file gives next
    std::int64_t started_at_ = 0;   // packet that decoding began with
    std::int64_t accept_from_ = 0;  // earlier frames may be wrong after a start in mid-file
    std::int64_t last_out_ = -1;    // highest frame that came out since the start
    std::int64_t count_out_ = 0;    // frames that came out since the start
    std::int64_t skip_below_ = 0;   // earlier frames are not asked for: what only they need is not decoded
    std::int64_t skipped_to_ = -1;  // highest frame that was skipped since the start
    std::int64_t last_read_ = -1;   // where the hand was
    std::shared_ptr<const Picture> wanted_;
    std::int64_t wanted_number_ = -1;
    std::unordered_map<std::int64_t, int> occurrences_;
    std::set<std::int64_t> learned_;  // damaged packets that the table does not know
    bool one_thread_ = false;         // set by the table's damage, or once some was learned
    std::int64_t errors_seen_ = 0;
    std::unordered_map<std::int64_t, base::Error> unreadable_;
};

base::Result<void> FrameReader::Impl::restart() {
    placed_ = false;
    auto demuxer = Demuxer::open(path_, table_->info().stream, stop_, options_.open_bytes);
    if (!demuxer) return demuxer.error();
    const std::string codec = avcodec_get_name(demuxer->stream().codecpar->codec_id);
    if (codec != table_->info().codec) {
        return clip_error(Category::damaged,
                          base::worded("The file no longer holds the clip that was opened. Open it again."),
                          path_);
    }
    // What libav makes up for damage must not rest on what a used block held before.
    auto decoder = Decoder::open(demuxer->stream(), one_thread_ ? 1 : options_.threads,
                                 one_thread_ ? nullptr : &store_->pool());
    if (!decoder) return clip_error(decoder.error().category, decoder.error().sentence, path_);
    demuxer_ = std::move(*demuxer);
    decoder_ = std::move(*decoder);
    ++counters_.restarts;
    errors_seen_ = 0;
    held_ = false;
    begin_at(0);
    return {};
}

void FrameReader::Impl::begin_at(std::int64_t start) {
    placed_ = true;
    finished_ = false;
    next_packet_ = start;
    started_at_ = start;
    accept_from_ = start == 0 ? 0 : packet_entry(start).frame;
    last_out_ = -1;
    count_out_ = 0;
    skipped_to_ = -1;
    occurrences_.clear();
}

base::Result<std::shared_ptr<const Picture>> FrameReader::Impl::read(std::int64_t n, bool alone) {
    if (n < 0 || n >= table_->size()) {
        return clip_error(
            Category::bad_input,
            base::worded("There is no frame {}; the clip has frames 0 to {}.", n, table_->size() - 1), path_);
    }
    shelf_.place_hand(n, last_read_ < 0 || n == last_read_ ? 0 : n > last_read_ ? 1 : -1);
    last_read_ = n;
    if (auto kept = shelf_.find(n)) {
        ++counters_.cache_hits;
        return kept;
    }
    if (const auto bad = unreadable_.find(n); bad != unreadable_.end()) return bad->second;
    wanted_number_ = n;
    wanted_.reset();
    skip_below_ = alone ? n : 0;
    const Step step = reach_with_damage(n);
    wanted_number_ = -1;
    if (step == Step::found) return std::move(wanted_);
    const base::Error error = failure(step, n);
    if (step == Step::missing) unreadable_.emplace(n, error);
    return error;
}

bool FrameReader::Impl::fill(std::int64_t first, std::int64_t last) {
    PLUMBMARK_CHECK(0 <= first && first <= last && last < table_->size());
    wanted_number_ = last;
    wanted_.reset();
    skip_below_ = first;
    const Step step = can_go_on(first) ? run_to(last) : reach_from(start_packet(first), last);
    wanted_number_ = -1;
    wanted_.reset();
    if (step == Step::tainted) placed_ = false;  // the next read of such a frame finds out in full
    return step == Step::found || step == Step::missing;
}

bool FrameReader::Impl::lies_ahead(std::int64_t n) const {
    return placed_ && n > last_out_ && n >= accept_from_ && n > skipped_to_ && start_packet(n) >= started_at_;
}

base::Error FrameReader::Impl::failure(Step step, std::int64_t n) const {
    if (step == Step::cancelled || stop_.stop_requested())
        return clip_error(Category::cancelled, base::worded("Frame {} is no longer wanted.", n), path_);
    if (step == Step::missing) {
        return clip_error(Category::damaged,
                          base::worded("Frame {} cannot be decoded: the file is damaged there.", n), path_);
    }
    if (auto known = what_happened(data_.mark, path_, options_.open_bytes,
                                   demuxer_ ? demuxer_->trouble() : std::nullopt, stop_)) {
        known->where = base::worded("{}, frame {}", known->where, n);
        return *known;
    }
    return clip_error(
        Category::io,
        base::worded("Frame {} cannot be reached: the file cannot be read or has changed. Open it "
                     "again.",
                     n),
        path_);
}

// The target lies ahead, and reading on costs no more than a jump would.
bool FrameReader::Impl::can_go_on(std::int64_t n) const {
    constexpr std::int64_t short_way = 16;
    return lies_ahead(n) && start_packet(n) <= next_packet_ + short_way;
}

FrameReader::Impl::Step FrameReader::Impl::reach(std::int64_t n) {
    if (can_go_on(n)) {
        const Step step = run_to(n);
        if (step != Step::missing && step != Step::lost) return step;
    }
    const std::int64_t nearest = start_packet(n);
    const std::int64_t frame_before = nearest == 0 ? -1 : packet_entry(nearest).frame - 1;
    const std::int64_t earlier = frame_before < 0 ? 0 : start_packet(frame_before);
    Step step = Step::lost;
    std::int64_t tried = -1;
    for (const std::int64_t start : {nearest, earlier, std::int64_t{0}}) {
        if (start == tried) continue;
        tried = start;
        step = reach_from(start, n);
        if (step != Step::missing && step != Step::lost) return step;
    }
    return step;
}

// The table's start, or the first packet once damage that the table does not know lies before the frame.
std::int64_t FrameReader::Impl::start_packet(std::int64_t n) const {
    const std::int64_t start = data_.start_packet(n);

    return !learned_.empty() && *learned_.begin() <= (*table_)[n].packet ? 0 : start;
}

// True when the damage is news and what the decoder makes up from here on would depend on how it came here.
// It was met late where several threads decode, so the packets in flight are all under suspicion.
bool FrameReader::Impl::learn_damage(std::int64_t packet) {
    const bool from_scratch = one_thread_ && started_at_ == 0;
    bool news = false;
    for (std::int64_t p = std::max<std::int64_t>(0, packet - (one_thread_ ? 0 : max_threads)); p <= packet;
         ++p) {
        news = learned_.insert(p).second || news;
    }
    return news && !from_scratch;
}

// As reach, and again on one thread from the first packet as often as unknown damage is met.
FrameReader::Impl::Step FrameReader::Impl::reach_with_damage(std::int64_t n) {
    Step step = reach(n);
    while (step == Step::tainted) {
        placed_ = false;
        wanted_.reset();
        if (!one_thread_) {
            one_thread_ = true;
            shelf_.clear();
            if (!restart()) return Step::lost;
        }
        step = reach(n);
    }
    return step;
}

FrameReader::Impl::Step FrameReader::Impl::reach_from(std::int64_t start, std::int64_t n) {
    const Step moved = move_to(start);
    return moved == Step::found ? run_to(n) : moved;
}

// Containers whose time search lands anywhere, but whose packets can be met at their byte position.
bool FrameReader::Impl::prefers_bytes() const {
    static constexpr std::array names = {"mpegts", "mpeg", "h264", "hevc", "m4v", "mpegvideo"};
    const std::string& container = table_->info().container;
    return std::any_of(names.begin(), names.end(), [&](const char* name) { return container == name; });
}

FrameReader::Impl::Step FrameReader::Impl::move_to(std::int64_t start) {
    const PacketEntry& target = packet_entry(start);

    const auto by_byte = [&] {
        return target.pos >= 0 && demuxer_->can_seek_byte() && demuxer_->seek_byte(target.pos);
    };
    const auto by_time = [&](std::int64_t time) { return time != no_time && demuxer_->seek_time(time); };
    enum Way { bytes, shown, decoded };  // containers differ in which of a packet's two times they search by
    // A damaged clip is decoded from the start by a new decoder: what libav makes up must not depend on the
    // past.
    const bool fresh = start == 0 && (one_thread_ || data_.identity_by_count);
    if (demuxer_ && !fresh) {
        const auto ways =
            prefers_bytes() ? std::array{bytes, shown, decoded} : std::array{shown, decoded, bytes};
        for (const Way way : ways) {
            placed_ = false;
            ++counters_.seeks;
            if (!(way == bytes ? by_byte() : by_time(way == shown ? target.pts : target.dts))) continue;
            const Step step = go_from_seek(start);
            if (step != Step::lost) return step;
        }
    }
    if (auto restarted = restart(); !restarted) return Step::lost;
    return start == 0 ? Step::found : skip_to(start, 0);
}

// After a jump: know a packet again, at the start or before it, and read on to the start.
FrameReader::Impl::Step FrameReader::Impl::go_from_seek(std::int64_t start) {
    constexpr int strangers_allowed = 32;  // packets cut short by landing in their middle
    held_ = false;
    for (int strangers = 0; strangers < strangers_allowed; ++strangers) {
        av_packet_unref(packet_.get());
        const auto got = demuxer_->read(*packet_);
        if (got != Demuxer::Read::packet)
            return got == Demuxer::Read::cancelled ? Step::cancelled : Step::lost;
        ++counters_.packets_read;
        const std::int64_t at = finder_.find(*packet_);
        if (at > start) return Step::lost;
        if (at < 0) continue;
        held_ = true;
        return skip_to(start, at);
    }
    return Step::lost;
}

// Reads, without decoding, from packet 'at' (held already after a jump) until 'start' is held.
FrameReader::Impl::Step FrameReader::Impl::skip_to(std::int64_t start, std::int64_t at) {
    for (;; ++at) {
        if (stop_.stop_requested()) return placed_ = false, Step::cancelled;
        if (!held_) {
            av_packet_unref(packet_.get());
            if (demuxer_->read(*packet_) != Demuxer::Read::packet) return placed_ = false, Step::lost;
            ++counters_.packets_read;
            if (!finder_.is(*packet_, at)) return placed_ = false, Step::lost;
        }
        held_ = at == start;
        if (held_) break;
    }
    decoder_->reset();
    begin_at(start);
    return Step::found;
}

FrameReader::Impl::Step FrameReader::Impl::run_to(std::int64_t n) {
    constexpr std::int64_t patience =
        80;  // packets past the target: more than any codec may hold back, and the threads
    const std::int64_t packet = (*table_)[n].packet;
    for (;;) {
        if (stop_.stop_requested()) return Step::cancelled;
        const Decoder::Out out = decoder_->receive(*frame_);
        if (out == Decoder::Out::frame) {
            const bool news = frame_->decode_error_flags != 0 && learn_damage(frame_->pts);
            if (news) {
                av_frame_unref(frame_.get());
                return Step::tainted;
            }
            take(*frame_);
            if (wanted_) return Step::found;
        } else if (out == Decoder::Out::end || next_packet_ > packet + patience) {
            if (out == Decoder::Out::end) placed_ = false;
            return Step::missing;
        } else if (const Step step = feed(); step != Step::found) {
            return step;
        }
    }
}

FrameReader::Impl::Step FrameReader::Impl::feed() {
    if (next_packet_ >= packet_count()) {
        if (!finished_) decoder_->finish();
        finished_ = true;
        return Step::found;
    }
    if (!held_) {
        av_packet_unref(packet_.get());
        if (demuxer_->read(*packet_) != Demuxer::Read::packet || !finder_.is(*packet_, next_packet_)) {
            return placed_ = false, Step::lost;
        }
        ++counters_.packets_read;
    }
    held_ = false;
    return may_skip() ? skip() : send();
}

// Nothing that is still to come out is made from this packet's picture, and it is not asked for itself.
bool FrameReader::Impl::may_skip() const {
    const PacketEntry& packet = packet_entry(next_packet_);
    return packet.disposable && packet.frame < skip_below_ && !data_.identity_by_count &&
           data_.first_damage == INT64_MAX && learned_.empty();
}

FrameReader::Impl::Step FrameReader::Impl::skip() {
    skipped_to_ = std::max(skipped_to_, packet_entry(next_packet_).frame);
    ++next_packet_;
    ++counters_.skipped;
    return Step::found;
}

FrameReader::Impl::Step FrameReader::Impl::send() {
    const std::int64_t packet = next_packet_++;
    decoder_->send(*packet_, packet);
    if (decoder_->errors() == errors_seen_) return Step::found;
    errors_seen_ = decoder_->errors();
    return learn_damage(packet) ? Step::tainted : Step::found;
}

void FrameReader::Impl::take(AVFrame& frame) {
    ++counters_.frames_decoded;
    const std::int64_t packet = frame.pts;
    std::int64_t number = count_out_++;
    if (!data_.identity_by_count) {
        number = data_.frame_of(packet, data_.further.empty() ? 0 : occurrences_[packet]++);
    }
    last_out_ = std::max(last_out_, number);
    const bool exact = number >= accept_from_ && number < table_->size() &&
                       (!one_thread_ || start_packet(number) >= started_at_);
    if (!exact) {
        av_frame_unref(&frame);
        return;
    }
    auto native = std::make_unique<NativeFrame>(NativeFrame{new_frame(), store_->pool().owns(frame)});
    av_frame_move_ref(native->frame.get(), &frame);
    const ClipInfo& info = table_->info();
    auto picture = std::make_shared<const Picture>(std::move(native), info.quarter_turns, info.mirrored,
                                                   info.pixel_aspect);
    if (number == wanted_number_) {
        wanted_ = picture;
    }
    shelf_.put(number, picture);
    if (witness_) witness_(number, picture);
}

FrameReader::FrameReader(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
FrameReader::~FrameReader() = default;
FrameReader::FrameReader(FrameReader&&) noexcept = default;
FrameReader& FrameReader::operator=(FrameReader&&) noexcept = default;

base::Result<FrameReader> FrameReader::open(const std::filesystem::path& path,
                                            std::shared_ptr<const FrameTable> table, ReaderOptions options) {
    PLUMBMARK_CHECK(table != nullptr);
    auto impl = std::make_unique<Impl>(path, std::move(table), std::move(options));
    if (auto opened = impl->restart(); !opened) return opened.error();
    impl->counters_ = {};
    return FrameReader(std::move(impl));
}

base::Result<std::shared_ptr<const Picture>> FrameReader::read(std::int64_t frame_number) {
    return impl_->read(frame_number, false);
}

base::Result<std::shared_ptr<const Picture>> FrameReader::read_alone(std::int64_t frame_number) {
    return impl_->read(frame_number, true);
}

bool FrameReader::fill(std::int64_t first, std::int64_t last) {
    return impl_->fill(first, last);
}

void FrameReader::set_witness(Witness witness) {
    impl_->witness_ = std::move(witness);
}

bool FrameReader::lies_ahead(std::int64_t frame_number) const {
    return impl_->lies_ahead(frame_number);
}

PictureStore::Shelf& FrameReader::shelf() {
    return impl_->shelf();
}

std::shared_ptr<const Picture> FrameReader::cached(std::int64_t frame_number) const {
    return impl_->shelf().find(frame_number);
}

void FrameReader::set_stop(std::stop_token stop) {
    impl_->set_stop(std::move(stop));
}

const ReaderCounters& FrameReader::counters() const {
    return impl_->counters_;
}

std::size_t FrameReader::cached_bytes() const {
    return impl_->store().kept_bytes();
}

}  // namespace plumbmark::media
