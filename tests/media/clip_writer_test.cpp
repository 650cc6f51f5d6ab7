// Clips that are written, against what the project's own reader and the ffprobe program read in them.
#include "media/clip_writer.h"

#include <sys/resource.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <csignal>
#include <map>
#include <random>

#include "media/frame_reader.h"
#include "media/new_file.h"
#include "media/reference.h"
#include "media/sound.h"
#include "support/file_bytes.h"
#include "support/names_in.h"
#include "support/sanitized.h"
#include "support/temporary_folder.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
using plumbmark::base::Category;
using plumbmark::base::Rational;
using plumbmark::test::bytes_of;
using plumbmark::test::TemporaryFolder;
namespace fs = std::filesystem;

namespace {

/// Soft shapes that move, and a square whose place says the number.
RgbaImage numbered(int n, int width, int height) {
    RgbaImage image{width, height, {}};
    const int at = 8 + n * 3 % std::max(1, width - 24);
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x) {
            const bool square = x >= at && x < at + 12 && y >= height / 2 && y < height / 2 + 12;
            const auto wave = [&](double by) {
                return static_cast<std::uint8_t>(128 +
                                                 90 * std::sin((x + n) / by) * std::cos((y - n) / (by + 9)));
            };
            const std::array<std::uint8_t, 4> pixel =
                square ? std::array<std::uint8_t, 4>{240, 240, 240, 255}
                       : std::array<std::uint8_t, 4>{wave(31), wave(47), wave(71), 255};
            image.pixels.insert(image.pixels.end(), pixel.begin(), pixel.end());
        }
    return image;
}

/// Peak signal to noise ratio over R, G and B where both are, in dB.
double psnr(const RgbaImage& a, const RgbaImage& b) {
    double sum = 0;
    for (int y = 0; y < a.height; ++y)
        for (int x = 0; x < a.width; ++x)
            for (int c = 0; c < 3; ++c) {
                const auto of = [&](const RgbaImage& image) {
                    return static_cast<double>(
                        image
                            .pixels[4 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(image.width) +
                                         static_cast<std::size_t>(x)) +
                                    static_cast<std::size_t>(c)]);
                };
                sum += (of(a) - of(b)) * (of(a) - of(b));
            }
    return 10 * std::log10(255 * 255 * 3.0 * a.width * a.height / std::max(sum, 1e-9));
}

ClipWriterOptions options_of(int width, int height, Rational unit) {
    ClipWriterOptions options;
    options.width = width;
    options.height = height;
    options.time_base = unit;
    options.rate = {60, 1};
    return options;
}

/// Uneven, as a phone's clip is: about 60 a second, one long gap, two a tick apart.
const std::vector<std::int64_t> kTicks{0, 1501, 3002, 4500, 4501, 9000, 10500, 99000, 100501, 102000};
constexpr std::int64_t kEnd = 103517;

void write(const fs::path& path, const ClipWriterOptions& options) {
    fs::remove(path);
    auto writer = ClipWriter::create(path, options);
    REQUIRE(writer.ok());
    for (std::size_t i = 0; i < kTicks.size(); ++i)
        REQUIRE(writer->add(numbered(static_cast<int>(i), options.width, options.height), kTicks[i]).ok());
    CHECK_FALSE(fs::exists(path));
    REQUIRE(writer->finish(kEnd).ok());
}

std::shared_ptr<const FrameTable> table_of(const fs::path& path) {
    auto table = scan_clip(path);
    REQUIRE(table.ok());
    return std::make_shared<const FrameTable>(std::move(*table));
}

std::string probed(const fs::path& path, const std::string& what) {
    return output_of("ffprobe -v error -select_streams v:0 -show_entries " + what +
                     " -of default=noprint_wrappers=1:nokey=1 " + quoted(path));
}

using plumbmark::test::names_in;

}  // namespace

TEST_CASE("a written clip keeps every picture and its exact uneven time at each speed") {
    const TemporaryFolder folder;
    for (const bool without_h264 : {false, true})
        for (const std::int64_t slower : {1, 2, 4, 8}) {
            if (plumbmark::test::kSanitized && slower != 1 && slower != 8) continue;
            INFO(without_h264 << ", " << slower);
            ClipWriterOptions options = options_of(320, 180, {slower, 90000});
            options.without_h264 = without_h264;
            const fs::path path = folder / "clip.mp4";
            write(path, options);
            const auto table = table_of(path);
            REQUIRE(table->size() == static_cast<std::int64_t>(kTicks.size()));
            CHECK(table->info().codec == (without_h264 ? "mpeg4" : "h264"));
            CHECK_FALSE(table->info().has_sound);
            for (std::int64_t n = 0; n < table->size(); ++n)
                CHECK(table->exact_time(n) == plumbmark::base::exact_seconds(
                                                  kTicks[static_cast<std::size_t>(n)] * slower, {1, 90000}));
            // The last one lasts as long as was said.
            const std::int64_t last = table->size() - 1;
            CHECK(plumbmark::base::exact_seconds((*table)[last].pts + (*table)[last].duration,
                                                 table->time_base()) ==
                  plumbmark::base::exact_seconds(kEnd * slower, {1, 90000}));
            const auto frames = probed_frames(path);
            REQUIRE(frames.size() == kTicks.size());
            for (std::size_t i = 0; i < frames.size(); ++i)
                CHECK(frames[i].pts == (*table)[static_cast<std::int64_t>(i)].pts);
            auto reader = FrameReader::open(path, table);
            REQUIRE(reader.ok());
            for (std::int64_t n = 0; n < table->size(); ++n) {
                const auto picture = reader->read(n);
                REQUIRE(picture.ok());
                const double db = psnr(numbered(static_cast<int>(n), 320, 180), to_rgba(**picture));
                INFO(n << ": " << db << " dB");
                CHECK(db > 38);
            }
        }
}

TEST_CASE("a written clip says its colours and its size and has its index before its pictures") {
    const TemporaryFolder folder;
    ClipWriterOptions options = options_of(180, 320, {1, 60000});
    options.pixel_aspect = {4, 3};
    write(folder / "clip.mp4", options);
    CHECK(probed(folder / "clip.mp4", "stream=codec_name,profile,width,height,sample_aspect_ratio,pix_fmt") ==
          "h264\nHigh\n180\n320\n4:3\nyuv420p\n");
    CHECK(probed(folder / "clip.mp4", "stream=color_range,color_space,color_transfer,color_primaries") ==
          "tv\nbt709\nbt709\nbt709\n");
    const std::string bytes = bytes_of(folder / "clip.mp4");
    CHECK(bytes.find("moov") < bytes.find("mdat"));
    CHECK(bytes.find("moov") != std::string::npos);
    CHECK(bytes.find(folder.path().string()) == std::string::npos);
    CHECK(output_of("ffprobe -v error -show_entries format_tags " + quoted(folder / "clip.mp4"))
              .find("creation_time") == std::string::npos);
}

TEST_CASE("the same pictures and times give the same bytes") {
    const TemporaryFolder folder;
    const ClipWriterOptions options = options_of(160, 90, {1, 60000});
    write(folder / "one.mp4", options);
    write(folder / "two.mp4", options);
    CHECK(bytes_of(folder / "one.mp4") == bytes_of(folder / "two.mp4"));
}

TEST_CASE("an odd side gets one more line and the rest stays where it is") {
    const TemporaryFolder folder;
    write(folder / "clip.mp4", options_of(161, 91, {1, 60000}));
    const auto table = table_of(folder / "clip.mp4");
    CHECK(table->info().width == 162);
    CHECK(table->info().height == 92);
    auto reader = FrameReader::open(folder / "clip.mp4", table);
    REQUIRE(reader.ok());
    const auto picture = reader->read(3);
    REQUIRE(picture.ok());
    CHECK(psnr(numbered(3, 161, 91), to_rgba(**picture)) > 36);
}

TEST_CASE("times in nanoseconds and in thousandths come out exactly") {
    const TemporaryFolder folder;
    for (const auto& [unit, step] :
         std::map<std::int64_t, std::int64_t>{{1'000'000'000, 16'683'350}, {1000, 17}, {25, 1}}) {
        ClipWriterOptions options = options_of(64, 64, {1, unit});
        auto writer = ClipWriter::create(folder / "clip.mp4", options);
        REQUIRE(writer.ok());
        for (int i = 0; i < 5; ++i)
            REQUIRE(writer->add(numbered(i, 64, 64), i * step).ok());
        REQUIRE(writer->finish(5 * step).ok());
        const auto table = table_of(folder / "clip.mp4");
        REQUIRE(table->size() == 5);
        for (std::int64_t n = 0; n < 5; ++n)
            CHECK(table->exact_time(n) == plumbmark::base::exact_seconds(n * step, {1, unit}));
    }
}

TEST_CASE("sound begins with the first picture and keeps its place") {
    const TemporaryFolder folder;
    for (const int rate : {48000, 44100, 22000}) {
        INFO(rate);
        ClipWriterOptions options = options_of(160, 90, {1, 30});
        options.sound = {rate, 2};
        auto writer = ClipWriter::create(folder / "clip.mp4", options);
        REQUIRE(writer.ok());
        // Silence with one loud click of 2 ms that begins at 1.2 s.
        const auto click = static_cast<std::int64_t>(rate) * 12 / 10;
        std::int64_t given = 0;
        for (int i = 0; i < 60; ++i) {
            REQUIRE(writer->add(numbered(i, 160, 90), i).ok());
            const std::int64_t until = static_cast<std::int64_t>(rate) * (i + 1) / 30;
            std::vector<float> samples;
            for (; given < until; ++given) {
                const float value = given >= click && given < click + rate / 500 ? 0.8F : 0.0F;
                samples.insert(samples.end(), {value, -value});
            }
            REQUIRE(writer->add_sound(samples.data(), static_cast<std::int64_t>(samples.size()) / 2).ok());
        }
        REQUIRE(writer->finish(60).ok());
        const auto table = table_of(folder / "clip.mp4");
        CHECK(table->size() == 60);
        CHECK(table->exact_time(30) == Rational{1, 1});
        auto sound = SoundReader::open(folder / "clip.mp4");
        REQUIRE(sound.ok());
        CHECK(sound->stream().codec == "aac");
        std::optional<std::int64_t> begins;
        std::int64_t first = INT64_MAX, end = 0;
        for (;;) {
            auto block = sound->read();
            REQUIRE(block.ok());
            if (!*block) break;
            first = std::min(first, (*block)->time.ns);
            end = std::max(end, (*block)->end().ns);
            for (std::int64_t i = 0; i < (*block)->frames() && !begins; ++i)
                if (std::abs((*block)->samples[static_cast<std::size_t>(i * (*block)->channels)]) > 0.4F)
                    begins = (*block)->time_of(i).ns;
        }
        CHECK(std::abs(first) < 1'000'000);
        CHECK(std::abs(end - 2'000'000'000) < 50'000'000);
        REQUIRE(begins);
        CHECK(std::abs(*begins - 1'200'000'000) < 2'000'000);
    }
}

TEST_CASE("a writer that is stopped or let go leaves nothing and what was there before is unchanged") {
    const TemporaryFolder folder;
    const fs::path path = folder / "clip.mp4";
    write_file(path, "what was there");
    std::stop_source stop;
    ClipWriterOptions options = options_of(160, 90, {1, 30});
    options.stop = stop.get_token();
    {
        auto writer = ClipWriter::create(path, options);
        REQUIRE(writer.ok());
        for (int i = 0; i < 4; ++i)
            REQUIRE(writer->add(numbered(i, 160, 90), i).ok());
        stop.request_stop();
        CHECK(writer->add(numbered(4, 160, 90), 4).error().category == Category::cancelled);
        CHECK(writer->finish(5).error().category == Category::cancelled);
    }
    CHECK(names_in(folder.path()) == std::vector<std::string>{"clip.mp4"});
    CHECK(bytes_of(path) == "what was there");
    {
        options.stop = {};
        auto writer = ClipWriter::create(path, options);
        REQUIRE(writer.ok());
        REQUIRE(writer->add(numbered(0, 160, 90), 0).ok());
    }
    CHECK(names_in(folder.path()) == std::vector<std::string>{"clip.mp4"});
    CHECK(bytes_of(path) == "what was there");
}

namespace {

/// No file may be larger than this while it lives: what a full disk is to a program, but for the number of
/// the error.
class SmallDisk {
  public:
    explicit SmallDisk(rlim_t bytes) {
        getrlimit(RLIMIT_FSIZE, &before_);
        const rlimit small{bytes, before_.rlim_max};
        setrlimit(RLIMIT_FSIZE, &small);
        signal_ = std::signal(SIGXFSZ, SIG_IGN);
    }
    ~SmallDisk() {
        setrlimit(RLIMIT_FSIZE, &before_);
        std::signal(SIGXFSZ, signal_);
    }
    SmallDisk(const SmallDisk&) = delete;
    SmallDisk& operator=(const SmallDisk&) = delete;

  private:
    rlimit before_{};
    void (*signal_)(int) = nullptr;
};

RgbaImage noise(int n) {
    std::mt19937 random(static_cast<unsigned>(n));
    RgbaImage image{320, 180, {}};
    for (int i = 0; i < 320 * 180 * 4; ++i)
        image.pixels.push_back(static_cast<std::uint8_t>(i % 4 == 3 ? 255 : random() & 255));
    return image;
}

}  // namespace

TEST_CASE("a disk that gets full while a clip is written leaves no file and is said as such") {
    const TemporaryFolder folder;
    for (const rlim_t room : {1, 40'000, 400'000}) {
        plumbmark::base::Result<void> outcome;
        {
            const SmallDisk small(room);
            auto writer = ClipWriter::create(folder / "clip.mp4", options_of(320, 180, {1, 30}));
            if (!writer)
                outcome = writer.error();
            else {
                for (int i = 0; i < 40 && outcome.ok(); ++i)
                    outcome = writer->add(noise(i), i);
                if (outcome.ok()) outcome = writer->finish(40);
            }
        }
        INFO(room);
        REQUIRE_FALSE(outcome.ok());
        CHECK(outcome.error().category == Category::io);
        CHECK(outcome.error().text().find("Writing the file failed: File too large") != std::string::npos);
        CHECK(outcome.error().where == (folder / "clip.mp4").string());
        CHECK(names_in(folder.path()).empty());
    }
    const SmallDisk small(3);
    CHECK(write_new_file(folder / "still.png", "12345678", 8).error().category == Category::io);
    CHECK(names_in(folder.path()).empty());
}

TEST_CASE("what a clip cannot hold is refused with a sentence") {
    const TemporaryFolder folder;
    const fs::path path = folder / "clip.mp4";
    CHECK(ClipWriter::create(path, options_of(1, 90, {1, 30})).error().category == Category::bad_input);
    CHECK(ClipWriter::create(path, options_of(160, 90, {0, 30})).error().category == Category::bad_input);
    CHECK(ClipWriter::create(path, options_of(160, 90, {1, 5'000'000'000})).error().category ==
          Category::bad_input);
    CHECK(ClipWriter::create("/no/such/folder/clip.mp4", options_of(160, 90, {1, 30})).error().category ==
          Category::io);
    const auto writer_with = [&](auto act) {
        auto writer = ClipWriter::create(path, options_of(160, 90, {1, 30}));
        REQUIRE(writer.ok());
        return act(*writer);
    };
    CHECK(writer_with([](ClipWriter& w) { return w.finish(1); }).error().sentence ==
          "A clip without a picture cannot be written.");
    CHECK(writer_with([](ClipWriter& w) { return w.add(numbered(0, 160, 92), 0); }).error().category ==
          Category::bad_input);
    CHECK(writer_with([](ClipWriter& w) {
              REQUIRE(w.add(numbered(0, 160, 90), 5).ok());
              return w.add(numbered(1, 160, 90), 5);
          })
              .error()
              .sentence == "Each picture must be shown later than the one before.");
    CHECK(writer_with([](ClipWriter& w) {
              REQUIRE(w.add(numbered(0, 160, 90), 0).ok());
              return w.add(numbered(1, 160, 90), INT32_MAX);
          })
              .error()
              .category == Category::bad_input);
    CHECK(writer_with([](ClipWriter& w) {
              const float sample = 0;
              return w.add_sound(&sample, 1);
          })
              .error()
              .sentence == "This clip was begun without sound.");
    CHECK(names_in(folder.path()).empty());
    fs::create_directory(folder / "taken.mp4");
    CHECK(ClipWriter::create(folder / "taken.mp4", options_of(160, 90, {1, 30})).error().category ==
          Category::io);
    CHECK(names_in(folder.path()) == std::vector<std::string>{"taken.mp4"});
}
