// Any frame of a clip by its number, exactly, whichever way one comes to it.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <stop_token>

#include "base/result.h"
#include "media/frame_table.h"
#include "media/picture.h"
#include "media/picture_store.h"

namespace plumbmark::media {

struct ReaderOptions {
    /// Budget of the reader's own store; at least the last picture read stays. Not looked at with 'store'.
    std::size_t cache_bytes = std::size_t{256} << 20;
    int threads = 0;  ///< decoder threads; 0: as many as suit this machine
    /// Where pictures are kept together with those of other clips; null: a store of the reader's own.
    std::shared_ptr<PictureStore> store = nullptr;
    BytesOpener open_bytes = {};  ///< where the clip's bytes come from; empty: the file of that name
    std::stop_token stop = {};    ///< ends opening with Category::cancelled, and reading until set_stop
};

/// Work done since opening; tests hold the reader to it.
struct ReaderCounters {
    std::int64_t packets_read = 0;    ///< packets of the clip's stream taken from the file
    std::int64_t frames_decoded = 0;  ///< pictures that came out of the decoder
    std::int64_t skipped = 0;     ///< packets not decoded, as nothing that was asked for is made from them
    std::int64_t seeks = 0;       ///< times the file position was moved
    std::int64_t restarts = 0;    ///< times decoding began again at the first packet
    std::int64_t cache_hits = 0;  ///< reads answered without the decoder
};

/// Blocking reader with one owner: create, use and destroy it on one thread at a time (it may be moved to
/// another thread between calls). Several readers of one clip are independent.
class FrameReader {
  public:
    /// Opens the file that the table was made from. Errors: not_found, io, unsupported, cancelled; damaged
    /// when the file no longer has the stream the table speaks of.
    [[nodiscard]] static base::Result<FrameReader> open(const std::filesystem::path& path,
                                                        std::shared_ptr<const FrameTable> table,
                                                        ReaderOptions options = {});
    ~FrameReader();
    FrameReader(FrameReader&&) noexcept;
    FrameReader& operator=(FrameReader&&) noexcept;

    /// The picture of frame n: the same on every path (forward, backward, random, after errors). The
    /// container's seek is never trusted: each packet after a jump is recognised in the table by size,
    /// checksum and position before it is decoded; what cannot be recognised is reached from an earlier key
    /// frame, in the end from the first packet. Errors: bad_input (no such frame), damaged (the frame does
    /// not decode, or the file changed under us), io, cancelled (see set_stop). After an error other frames
    /// can still be read.
    [[nodiscard]] base::Result<std::shared_ptr<const Picture>> read(std::int64_t frame_number);

    /// As read, but pictures that stand before the frame and that it is not made from are not decoded: the
    /// quickest way to one frame, leaving less behind for steps back.
    [[nodiscard]] base::Result<std::shared_ptr<const Picture>> read_alone(std::int64_t frame_number);

    /// Decodes frames first to last (0 <= first <= last < size) in one pass and keeps what the budget allows,
    /// the last ones before the first where the hand of the shelf stands above them. Quietly leaves out what
    /// cannot be decoded. True when the pass came to its end, false when it was stopped or broke off.
    bool fill(std::int64_t first, std::int64_t last);

    /// Told of every exact picture that comes out, in the order shown within a pass; called inside read,
    /// read_alone and fill.
    using Witness = std::function<void(std::int64_t frame, const std::shared_ptr<const Picture>&)>;
    void set_witness(Witness witness);
    /// True when frame n can still come out of the pass that runs, or ran last, by decoding on: no jump.
    [[nodiscard]] bool lies_ahead(std::int64_t frame_number) const;
    /// The shelf where this reader keeps its pictures; it may be asked from any thread while the reader
    /// lives.
    [[nodiscard]] PictureStore::Shelf& shelf();

    /// The picture when it is kept in the cache; null otherwise. Does no work.
    [[nodiscard]] std::shared_ptr<const Picture> cached(std::int64_t frame_number) const;

    /// A running read ends early with Category::cancelled once this is requested (from any thread).
    void set_stop(std::stop_token stop);

    [[nodiscard]] const ReaderCounters& counters() const;
    [[nodiscard]] std::size_t cached_bytes() const;  ///< of the pictures kept in its store

  private:
    class Impl;
    explicit FrameReader(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> impl_;
};

}  // namespace plumbmark::media
