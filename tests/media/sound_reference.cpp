#include "media/sound_reference.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <nlohmann/json.hpp>
#include <string>

#include "media/reference.h"

namespace plumbmark::media::test {

namespace fs = std::filesystem;

std::vector<ProbedSound> probed_sound(const fs::path& clip, int stream) {
    const auto json = nlohmann::json::parse(output_of(
        "ffprobe -v quiet -select_streams a:" + std::to_string(stream) +
        " -show_entries frame=best_effort_timestamp,nb_samples -of json " + quoted(clip) + " 2>/dev/null"));
    std::vector<ProbedSound> frames;
    for (const auto& frame : json.value("frames", nlohmann::json::array())) {
        ProbedSound one;
        if (frame.contains("best_effort_timestamp"))
            one.pts = frame["best_effort_timestamp"].get<std::int64_t>();
        one.samples = frame["nb_samples"].get<std::int64_t>();
        frames.push_back(one);
    }
    return frames;
}

std::vector<float> decoded_sound(const fs::path& clip, int stream) {
    const std::string bytes = output_of("ffmpeg -v quiet -nostdin -i " + quoted(clip) +
                                        " -map 0:a:" + std::to_string(stream) + " -f f32le - 2>/dev/null");
    std::vector<float> samples(bytes.size() / sizeof(float));
    std::memcpy(samples.data(), bytes.data(), samples.size() * sizeof(float));
    return samples;
}

std::vector<SoundBlock> all_blocks(const fs::path& clip, std::optional<int> stream) {
    auto reader = SoundReader::open(clip, {stream, {}});
    INFO(clip.filename().string() << (reader ? std::string() : reader.error().text()));
    REQUIRE(reader);
    std::vector<SoundBlock> blocks;
    for (;;) {
        auto block = reader->read();
        INFO((block ? std::string() : block.error().text()));
        REQUIRE(block);
        if (!*block) return blocks;
        blocks.push_back(std::move(**block));
    }
}

std::vector<SoundBlock> check_sound(const fs::path& clip, int stream) {
    INFO(clip.filename().string());
    const auto reader = SoundReader::open(clip, {stream, {}});
    REQUIRE(reader);
    const base::Rational tick = reader->stream().time_base;
    auto blocks = all_blocks(clip, stream);
    const auto probed = probed_sound(clip, stream);
    REQUIRE(blocks.size() == probed.size());
    REQUIRE_FALSE(blocks.empty());
    std::vector<float> ours;
    for (std::size_t i = 0; i < blocks.size(); ++i) {
        const SoundBlock& block = blocks[i];
        REQUIRE(block.pts == probed[i].pts);
        REQUIRE(block.frames() == probed[i].samples);
        if (block.pts) {
            const auto apart = block.time - base::floor_to_time(*block.pts, tick);
            const double bound =
                1e9 * static_cast<double>(tick.num) / static_cast<double>(tick.den) + 1e9 / block.rate + 3;
            REQUIRE(std::abs(static_cast<double>(apart.ns)) <= bound);
        }
        ours.insert(ours.end(), block.samples.begin(), block.samples.end());
    }
    const auto theirs = decoded_sound(clip, stream);
    REQUIRE(ours.size() == theirs.size());
    REQUIRE(std::memcmp(ours.data(), theirs.data(), ours.size() * sizeof(float)) == 0);
    return blocks;
}

namespace {

/// Calls see(time, amplitude) for each sample within [from, to) until it says true.
template <class See>
void walk(const std::vector<SoundBlock>& blocks, base::Time from, base::Time to, See see) {
    for (const SoundBlock& block : blocks) {
        if (block.end() <= from || block.time >= to) continue;
        for (std::int64_t i = 0; i < block.frames(); ++i) {
            const base::Time t = block.time_of(i);
            if (t < from || t >= to) continue;
            for (int c = 0; c < block.channels; ++c)
                if (see(t, std::abs(block.samples[static_cast<std::size_t>(i * block.channels + c)]))) return;
        }
    }
}

}  // namespace

std::optional<base::Time> first_louder(const std::vector<SoundBlock>& blocks, float amplitude,
                                       base::Time from, base::Time to) {
    std::optional<base::Time> found;
    walk(blocks, from, to, [&](base::Time t, float here) {
        if (here >= amplitude) found = t;
        return found.has_value();
    });
    return found;
}

float loudest(const std::vector<SoundBlock>& blocks, base::Time from, base::Time to) {
    float most = 0;
    walk(blocks, from, to, [&](base::Time, float here) {
        most = std::max(most, here);
        return false;
    });
    return most;
}

}  // namespace plumbmark::media::test
