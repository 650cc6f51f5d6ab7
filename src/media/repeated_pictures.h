// Pictures that a camera, a converter or an editor put into a clip twice. A repeated picture shows nothing
// new: what it shows was so when the first of the equal pictures was taken.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <stop_token>
#include <vector>

#include "base/result.h"
#include "media/frame_table.h"
#include "media/picture.h"
#include "media/table_cache.h"

namespace plumbmark::media {

/// Frames that show the picture of the frame before them again.
struct RepeatedStretch {
    std::int64_t first = 0;  ///< the first frame of the equal ones, which is itself no repetition
    std::int64_t last = 0;   ///< frames first + 1 to last repeat it
    bool exact =
        true;  ///< every sample of every plane is the same; false: nearly (see find_repeated_pictures)
    friend bool operator==(const RepeatedStretch&, const RepeatedStretch&) = default;
};

struct RepeatOptions {
    std::function<void(double)> progress = nullptr;  ///< share done, 0 to 1; on the calling thread
    std::stop_token stop = {};
    /// Asked before each picture: while true, nothing is decoded. For work that must not be slowed.
    std::function<bool()> busy = nullptr;
    int threads = 1;  ///< of the decoder
    BytesOpener open_bytes = {};
};

/// How two pictures differ.
struct PictureChange {
    bool equal = false;  ///< same size, format, and every sample
    /// The largest change, over all blocks of 4 x 4 samples of all planes, of a block's mean, in code values
    /// of 8 bits. Infinite where the pictures cannot be compared so (another size or format, samples in the
    /// other byte order).
    double largest_block = 0;
};
/// Compares all planes as the decoder gave them. Any thread.
[[nodiscard]] PictureChange picture_change(const Picture& before, const Picture& after);

/// The change of a block up to which a pair is nearly equal whatever stands around it. An edge of at least
/// four samples' length that moves by one sample changes the mean of a block that it lies in by a quarter of
/// its contrast; so every such edge with a contrast of more than 20 code values, a twelfth of the range of
/// video, is seen to move. It is the largest block that counts, never a mean over the picture: one foot that
/// moves in a still hall is a new picture.
inline constexpr double kNearlyEqual = 5;
/// A repetition that was encoded anew can differ by more, where the encoder was coarse. Up to this much it
/// still counts where the pairs right before and right after it differ kOutstanding times as much: bodies do
/// not stop for one frame and go on. At most kMostBetween repetitions in a row: 24 pictures a second brought
/// to 120 repeat each four times.
inline constexpr double kNearlyEqualBetween = 24;
inline constexpr double kOutstanding = 5;
inline constexpr int kMostBetween = 4;

/// Reads the whole clip once, in order, with a reader of its own, and gives the stretches in ascending order.
/// Exact and near ones are kept apart: where a group holds both, the near stretch begins at the exact one's
/// last frame, or the other way round. Near ones of the first kind (kNearlyEqual) are held against the first
/// of the group as well as against the frame before, so that what creeps is not called still. A frame that
/// cannot be decoded, or that is damaged, is no repetition and nothing repeats it. Blocks; call it off the
/// window's thread. Errors: as FrameReader::open; cancelled.
[[nodiscard]] base::Result<std::vector<RepeatedStretch>> find_repeated_pictures(
    const std::filesystem::path& path, const std::shared_ptr<const FrameTable>& table,
    const RepeatOptions& options = {});

/// The first of the equal frames that frame n belongs to; n itself where it repeats nothing.
[[nodiscard]] std::int64_t first_of_equal(const std::vector<RepeatedStretch>& stretches, std::int64_t n);

/// What was found for the clip of this key before, kept beside its frame table; none when there is nothing,
/// or when it is damaged. Any thread.
[[nodiscard]] std::optional<std::vector<RepeatedStretch>> recall_repeated_pictures(const TableKey& key);
/// Keeps it, whole or not at all; what fails is not told. Any thread, any number of programs at once.
void keep_repeated_pictures(const TableKey& key, const std::vector<RepeatedStretch>& stretches);

}  // namespace plumbmark::media
