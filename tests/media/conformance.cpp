#include "media/conformance.h"

#include <random>

#include "media/reference.h"

namespace plumbmark::media::test {
namespace {

std::string sum_of(FrameReader& reader, std::int64_t n) {
    const auto picture = reader.read(n);
    return picture ? md5_hex(**picture) : picture.error().text();
}

/// One comparison: the table, the programs' truth, and the differences found so far.
class Comparison {
  public:
    Comparison(std::filesystem::path clip, const Conformance& how) : clip_(std::move(clip)), how_(how) {}

    Compared run() {
        ScanOptions options;
        options.stream = how_.stream;
        auto scanned = scan_clip(clip_, options);
        if (!scanned) {
            differ(scanned.error().text());
            return std::move(found_);
        }
        found_.table = std::make_shared<const FrameTable>(std::move(*scanned));
        // How ffmpeg makes up damaged parts depends on its number of threads: one is the stated rule. Whole
        // streams come out the same with any number.
        sums_ = framemd5(clip_, how_.input_options + " -threads 1", how_.stream);
        probed_ = probed_frames(clip_, how_.stream);
        const bool same_count = probed_.size() == sums_.size();
        if (!same_count) {
            differ("ffprobe has " + std::to_string(probed_.size()) + " frames for ffmpeg's " +
                   std::to_string(sums_.size()));
        } else {
            leave_out_what_is_cut();
        }
        if (static_cast<std::size_t>(table().size()) != sums_.size()) {
            differ("frames: " + std::to_string(table().size()) + " for ffmpeg's " +
                   std::to_string(sums_.size()));
            return std::move(found_);
        }
        if (same_count) compare_times();
        compare_pictures();
        return std::move(found_);
    }

  private:
    [[nodiscard]] const FrameTable& table() const { return *found_.table; }

    void differ(const std::string& what) { found_.differences.push_back(what); }

    void leave_out_what_is_cut() {
        const auto cut = cut_times(clip_, how_.stream);
        cut_ = static_cast<std::int64_t>(cut.size());
        const auto is_cut = [&](std::size_t i) { return probed_[i].pts && cut.contains(*probed_[i].pts); };
        std::size_t kept = 0;
        for (std::size_t i = 0; i < probed_.size(); ++i) {
            if (is_cut(i)) continue;
            probed_[kept] = probed_[i];
            sums_[kept++] = sums_[i];
        }
        probed_.resize(kept);
        sums_.resize(kept);
    }

    void compare_times() {
        for (std::int64_t n = 0; n < table().size(); ++n) {
            const ProbedFrame& truth = probed_[static_cast<std::size_t>(n)];
            const auto time = truth.pts ? truth.pts : truth.best_effort;
            if (!time || table()[n].pts == *time) continue;
            return differ("time of frame " + std::to_string(n) + ": " + std::to_string(table()[n].pts) +
                          " for ffprobe's " + std::to_string(*time));
        }
    }

    void compare_order(FrameReader& reader, const std::vector<std::int64_t>& order, const std::string& name) {
        for (const std::int64_t n : order) {
            const std::string sum = sum_of(reader, n);
            const std::string& truth = sums_[static_cast<std::size_t>(n)];
            if (sum == truth) continue;
            return differ(name + ", frame " + std::to_string(n) + ": " + sum + " for ffmpeg's " + truth);
        }
    }

    [[nodiscard]] std::vector<std::int64_t> random_order() const {
        const bool large = table().info().width * table().info().height > 700000;
        const int reads = how_.random_reads >= 0 ? how_.random_reads : large ? 2 : 10;
        std::mt19937 generator(20260);
        std::uniform_int_distribution<std::int64_t> any(0, table().size() - 1);
        std::vector<std::int64_t> order;
        for (int i = 0; i < reads; ++i)
            order.push_back(any(generator));
        return order;
    }

    void compare_pictures() {
        std::vector<std::int64_t> forward;
        for (std::int64_t n = 0; n < table().size(); ++n)
            forward.push_back(n);
        auto keeping_little = FrameReader::open(clip_, found_.table, {.cache_bytes = 1});
        if (!keeping_little) return differ(keeping_little.error().text());
        compare_order(*keeping_little, forward, "forward");
        // Damage that only the reader meets is decoded anew from the first packet.
        const ReaderCounters work = keeping_little->counters();
        if (work.restarts == 0 && work.frames_decoded > table().size() + cut_ + 8)
            differ("forward: " + std::to_string(work.frames_decoded) + " pictures decoded");
        compare_order(*keeping_little, random_order(), "random");
        if (!how_.backward) return;
        auto keeping = FrameReader::open(clip_, found_.table, {.cache_bytes = std::size_t{192} << 20});
        if (!keeping) return differ(keeping.error().text());
        compare_order(*keeping, {forward.rbegin(), forward.rend()}, "backward");
    }

    std::filesystem::path clip_;
    Conformance how_;
    Compared found_;
    std::vector<std::string> sums_;
    std::vector<ProbedFrame> probed_;
    std::int64_t cut_ = 0;  // packets that an edit list cuts away; they are decoded all the same
};

}  // namespace

Compared compare_with_programs(const std::filesystem::path& clip, const Conformance& how) {
    return Comparison(clip, how).run();
}

Conformance how_to_compare(const std::filesystem::path& clip) {
    Conformance how;
    // The published sum of this stream agrees with ffmpeg only when its crop is applied in full.
    if (clip.extension() == ".jsv") how.input_options = "-flags unaligned";
    return how;
}

}  // namespace plumbmark::media::test
