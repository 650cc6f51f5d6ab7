#include "media/repeated_pictures.h"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <limits>
#include <string>
#include <string_view>
#include <thread>

#include "base/worded.h"
#include "media/frame_reader.h"
#include "media/internal/kept_file.h"

namespace plumbmark::media {
namespace {

constexpr std::string_view kMagic = "PLMKREP1\n";
constexpr std::size_t kReaderCache = std::size_t{16} << 20;  // the pass goes forward only
constexpr std::chrono::milliseconds kWait{2};

enum class Kind : std::uint8_t { fresh, nearly, exact };

/// What the pass notes of each frame.
struct Noted {
    double change = std::numeric_limits<double>::infinity();  ///< to the frame before, PictureChange's
    Kind kind = Kind::fresh;
};

/// Holds each picture against the one before and against the first of its group.
class Comparison {
  public:
    Noted next(const std::shared_ptr<const Picture>& picture) {
        const Noted noted = against(picture);
        if (noted.kind == Kind::fresh) first_ = picture;
        before_ = picture;
        return noted;
    }

  private:
    [[nodiscard]] Noted against(const std::shared_ptr<const Picture>& picture) const {
        if (!picture || !before_) return {};
        const PictureChange change = picture_change(*before_, *picture);
        if (change.equal) return {0, Kind::exact};
        const bool still =
            change.largest_block <= kNearlyEqual &&
            (before_ == first_ || picture_change(*first_, *picture).largest_block <= kNearlyEqual);
        return {change.largest_block, still ? Kind::nearly : Kind::fresh};
    }

    std::shared_ptr<const Picture> before_;
    std::shared_ptr<const Picture> first_;
};

/// The repetitions that an encoder made different: short runs of quiet pairs between two loud ones.
void add_quiet_between_loud(std::vector<Noted>& frames) {
    std::size_t at = 1;
    while (at < frames.size()) {
        std::size_t end = at;
        double loudest = 0;
        while (end < frames.size() && frames[end].change <= kNearlyEqualBetween)
            loudest = std::max(loudest, frames[end++].change);
        // Where nothing can be compared nothing is known to move.
        const auto moves = [&](std::size_t i) {
            return i < frames.size() && frames[i].change < std::numeric_limits<double>::infinity() &&
                   frames[i].change >= kOutstanding * loudest;
        };
        const bool few = end > at && end - at <= static_cast<std::size_t>(kMostBetween);
        if (few && at >= 2 && moves(at - 1) && moves(end)) {
            for (std::size_t i = at; i < end; ++i) {
                if (frames[i].kind == Kind::fresh) frames[i].kind = Kind::nearly;
            }
        }
        at = std::max(end, at + 1);
    }
}

std::vector<RepeatedStretch> stretches_of(const std::vector<Noted>& frames) {
    std::vector<RepeatedStretch> stretches;
    for (std::size_t i = 1; i < frames.size(); ++i) {
        if (frames[i].kind == Kind::fresh) continue;
        const auto n = static_cast<std::int64_t>(i);
        const bool exact = frames[i].kind == Kind::exact;
        if (!stretches.empty() && stretches.back().last == n - 1 && stretches.back().exact == exact)
            stretches.back().last = n;
        else
            stretches.push_back({n - 1, n, exact});
    }
    return stretches;
}

void wait_while_busy(const RepeatOptions& options) {
    while (options.busy && options.busy() && !options.stop.stop_requested())
        std::this_thread::sleep_for(kWait);
}

bool read_numbers(std::string_view line, std::int64_t& first, std::int64_t& last, std::int64_t& exact) {
    const char* at = line.data();
    const char* const end = at + line.size();
    for (std::int64_t* number : {&first, &last, &exact}) {
        const auto [next, problem] = std::from_chars(at, end, *number);
        if (problem != std::errc{}) return false;
        at = next == end ? next : next + 1;
    }
    return at == end;
}

}  // namespace

base::Result<std::vector<RepeatedStretch>> find_repeated_pictures(
    const std::filesystem::path& path, const std::shared_ptr<const FrameTable>& table,
    const RepeatOptions& options) {
    ReaderOptions reading;
    reading.cache_bytes = kReaderCache;
    reading.threads = options.threads;
    reading.open_bytes = options.open_bytes;
    reading.stop = options.stop;
    base::Result<FrameReader> reader = FrameReader::open(path, table, reading);
    if (!reader) return reader.error();
    Comparison comparison;
    std::vector<Noted> frames;
    frames.reserve(static_cast<std::size_t>(table->size()));
    for (std::int64_t n = 0; n < table->size(); ++n) {
        wait_while_busy(options);
        auto picture = reader->read(n);
        if (options.stop.stop_requested())
            return base::Error{base::Category::cancelled,
                               base::worded("Looking for repeated pictures was stopped."), path.string()};
        const bool sound = picture.ok() && !(*picture)->damaged();
        frames.push_back(comparison.next(sound ? *picture : nullptr));
        if (options.progress)
            options.progress(static_cast<double>(n + 1) / static_cast<double>(table->size()));
    }
    add_quiet_between_loud(frames);
    return stretches_of(frames);
}

std::int64_t first_of_equal(const std::vector<RepeatedStretch>& stretches, std::int64_t n) {
    // Stretches of two kinds may follow on each other.
    while (true) {
        const auto after = std::partition_point(stretches.begin(), stretches.end(),
                                                [n](const RepeatedStretch& s) { return s.last < n; });
        if (after == stretches.end() || n <= after->first) return n;
        n = after->first;
    }
}

std::optional<std::vector<RepeatedStretch>> recall_repeated_pictures(const TableKey& key) {
    const auto kept = read_kept(key.file.string() + ".repeats", kMagic, key.facts);
    if (!kept) return std::nullopt;
    std::vector<RepeatedStretch> stretches;
    std::string_view rest = kept->payload();
    while (!rest.empty()) {
        const std::size_t end = std::min(rest.find('\n'), rest.size());
        std::int64_t exact = 0;
        RepeatedStretch stretch;
        if (!read_numbers(rest.substr(0, end), stretch.first, stretch.last, exact)) return std::nullopt;
        stretch.exact = exact == 1;
        const bool in_order = stretches.empty() || stretches.back().last <= stretch.first;
        if (stretch.first < 0 || stretch.last <= stretch.first || !in_order) return std::nullopt;
        stretches.push_back(stretch);
        rest.remove_prefix(std::min(end + 1, rest.size()));
    }
    return stretches;
}

void keep_repeated_pictures(const TableKey& key, const std::vector<RepeatedStretch>& stretches) {
    std::string text;
    for (const RepeatedStretch& stretch : stretches) {
        text += std::to_string(stretch.first) + ' ' + std::to_string(stretch.last) +
                (stretch.exact ? " 1\n" : " 0\n");
    }
    write_kept(key.file.string() + ".repeats", kMagic, key.facts, text);
}

}  // namespace plumbmark::media
