// A camera's row delay from the flashes of light in one of its clips: reads the clip, and puts into words
// what was found.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <stop_token>
#include <utility>
#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "media/frame_table.h"
#include "meet/changes.h"
#include "sight/flash_rows.h"

namespace plumbmark::review {

struct RowDelayCall {
    std::filesystem::path file;
    std::shared_ptr<const media::FrameTable> table;  ///< of the file
    /// The clip as the meet has it, for its capture time; none: what the file says of it.
    std::optional<meet::Clip> clip = {};
    std::optional<std::pair<std::int64_t, std::int64_t>> frames =
        {};                                          ///< first and last; none: the whole clip
    std::function<void(double)> progress = nullptr;  ///< share done, 0 to 1; on the calling thread
    std::stop_token stop = {};
};

struct RowDelayMeasure {
    std::int64_t frames = 0, unread = 0;  ///< looked at; of those, so many could not be read
    int height = 0;                       ///< rows of the stored picture
    std::vector<sight::Flash> flashes;    ///< in order
    sight::RowDelayOutcome outcome;

    /// From the first row of the picture to the last, as Clip::row_delay has it (evidence.h): rounded down
    /// and up to whole nanoseconds. Only where outcome.delay is there.
    [[nodiscard]] base::Duration least() const;
    [[nodiscard]] base::Duration most() const;
};

/// Reads the frames in order and looks for flashes in their stored rows' luma (of R'G'B' pictures: green).
/// Blocks; any thread. Errors: as media::FrameReader::open; bad_input (no such frames), unsupported (two
/// fields make a picture: its rows were not read one after the other; or its form cannot be converted),
/// damaged (no frame can be read), cancelled.
[[nodiscard]] base::Result<RowDelayMeasure> measure_row_delay(const RowDelayCall& call);

/// What became of one flash, a whole sentence. Rows are counted from 1.
[[nodiscard]] base::Sentence flash_words(const sight::Flash& flash, int height);
/// The range, or why there is none and what to do.
[[nodiscard]] base::Sentence row_delay_words(const RowDelayMeasure& measure);

/// The change that gives the clip this row delay: the range's upper end, as a bracket must never be tighter
/// than what is known. Errors bad_input: nothing was measured; the clip's stored picture has another number
/// of rows, and a camera reads those of another size at another pace.
[[nodiscard]] base::Result<meet::Change> row_delay_kept(const meet::Clip& clip,
                                                        const RowDelayMeasure& measure);

}  // namespace plumbmark::review
