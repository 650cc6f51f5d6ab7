#include "media/conformance.h"

#include <catch2/catch.hpp>
#include <random>

#include "media/reference.h"

namespace plumbmark::media::test {
namespace {

FrameReader opened(const std::filesystem::path& clip, std::shared_ptr<const FrameTable> table,
                   std::size_t cache) {
    auto reader = FrameReader::open(clip, std::move(table), {.cache_bytes = cache, .threads = 0});
    INFO((reader ? "" : reader.error().text()));
    REQUIRE(reader.ok());
    return std::move(*reader);
}

std::string sum_of(FrameReader& reader, std::int64_t n) {
    const auto picture = reader.read(n);
    return picture ? md5_hex(**picture) : picture.error().text();
}

void check_times(const FrameTable& table, const std::vector<ProbedFrame>& probed) {
    REQUIRE(static_cast<std::size_t>(table.size()) == probed.size());
    for (std::int64_t n = 0; n < table.size(); ++n) {
        const ProbedFrame& truth = probed[static_cast<std::size_t>(n)];
        const auto time = truth.pts ? truth.pts : truth.best_effort;
        if (time && table[n].pts != *time) {
            INFO("frame " << n);
            CHECK(table[n].pts == *time);
            return;
        }
    }
}

void check_order(FrameReader& reader, const std::vector<std::string>& sums,
                 const std::vector<std::int64_t>& order, const char* name) {
    for (const std::int64_t n : order) {
        const std::string sum = sum_of(reader, n);
        if (sum != sums[static_cast<std::size_t>(n)]) {
            INFO(name << ", frame " << n);
            CHECK(sum == sums[static_cast<std::size_t>(n)]);
            return;
        }
    }
}

}  // namespace

std::shared_ptr<const FrameTable> check_against_programs(const std::filesystem::path& clip,
                                                         const Conformance& how) {
    INFO(clip.filename().string());
    ScanOptions options;
    options.stream = how.stream;
    auto scanned = scan_clip(clip, options);
    INFO((scanned ? scanned->info().basis_reason : scanned.error().text()));
    REQUIRE(scanned.ok());
    auto table = std::make_shared<const FrameTable>(std::move(*scanned));

    // How ffmpeg makes up damaged parts depends on its number of threads: one is the stated rule. Whole
    // streams come out the same with any number.
    const auto sums = framemd5(clip, how.input_options + " -threads 1", how.stream);
    REQUIRE(static_cast<std::size_t>(table->size()) == sums.size());
    check_times(*table, probed_frames(clip, how.stream));

    std::vector<std::int64_t> forward, backward, random;
    for (std::int64_t n = 0; n < table->size(); ++n)
        forward.push_back(n);
    backward.assign(forward.rbegin(), forward.rend());
    std::mt19937 generator(20260);
    std::uniform_int_distribution<std::int64_t> any(0, table->size() - 1);
    const bool large = table->info().width * table->info().height > 700000;
    const int random_reads = how.random_reads >= 0 ? how.random_reads : large ? 2 : 10;
    for (int i = 0; i < random_reads; ++i)
        random.push_back(any(generator));

    FrameReader keeping_little = opened(clip, table, 1);
    check_order(keeping_little, sums, forward, "forward");
    // Damage that only the reader meets is decoded anew from the first packet.
    if (keeping_little.counters().restarts == 0) {
        CHECK(keeping_little.counters().frames_decoded <= table->size() + 8);
    }
    check_order(keeping_little, sums, random, "random");
    if (how.backward) {
        FrameReader keeping = opened(clip, table, std::size_t{192} << 20);
        check_order(keeping, sums, backward, "backward");
    }
    return table;
}

}  // namespace plumbmark::media::test
