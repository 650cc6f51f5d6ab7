// Numbers that the clips' own publishers give, as collected beside the shared clips.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <nlohmann/json.hpp>

#include "media/frame_reader.h"
#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
using plumbmark::base::Rational;

namespace {

std::shared_ptr<const FrameTable> table_of(const std::filesystem::path& clip, int stream = 0) {
    ScanOptions options;
    options.stream = stream;
    auto table = scan_clip(clip, options);
    REQUIRE(table.ok());
    return std::make_shared<const FrameTable>(std::move(*table));
}

FrameReader reader_of(const std::filesystem::path& clip, std::shared_ptr<const FrameTable> table) {
    auto reader = FrameReader::open(clip, std::move(table));
    REQUIRE(reader.ok());
    return std::move(*reader);
}

// CRC-32 as in ISO 3309 / ITU-T V.42 (polynomial 04C11DB7 reflected), the one that zlib computes.
std::string crc32_hex(const std::vector<std::uint8_t>& bytes) {
    std::uint32_t crc = 0xFFFFFFFFU;
    for (const std::uint8_t byte : bytes) {
        crc ^= byte;
        for (int i = 0; i < 8; ++i)
            crc = (crc >> 1) ^ (crc & 1U ? 0xEDB88320U : 0U);
    }
    char text[9];
    std::snprintf(text, sizeof text, "%08x", static_cast<unsigned>(~crc));
    return text;
}

// Luma, then Cb and Cr sample by sample: the layout that the published sums are taken over.
std::vector<std::uint8_t> as_nv12(const Picture& picture) {
    std::vector<std::uint8_t> i420 = packed_bytes(picture);
    const std::size_t luma =
        static_cast<std::size_t>(picture.width()) * static_cast<std::size_t>(picture.height());
    std::vector<std::uint8_t> nv12(i420.begin(), i420.begin() + static_cast<std::ptrdiff_t>(luma));
    for (std::size_t i = 0; i < luma / 4; ++i) {
        nv12.push_back(i420[luma + i]);
        nv12.push_back(i420[luma + luma / 4 + i]);
    }
    return nv12;
}

// BT.709's luma of R'G'B', which does not depend on how colour samples are interpolated while nothing is cut.
template <class Number>
double luma(const Number* rgb) {
    return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2];
}

// Mean difference of R, G and B in an image from the same, three a pixel.
template <class Number>
double offset(const RgbaImage& image, const Number* truth) {
    const std::size_t pixels = image.pixels.size() / 4;
    double mean = 0;
    for (std::size_t i = 0; i < pixels; ++i) {
        for (std::size_t c = 0; c < 3; ++c) {
            mean += (image.pixels[4 * i + c] - static_cast<double>(truth[3 * i + c])) /
                    static_cast<double>(3 * pixels);
        }
    }
    return mean;
}

// R'G'B' from eight-bit limited-range 4:2:0 by BT.709's equations, colour samples repeated.
std::vector<double> by_the_equations(const Picture& picture) {
    const auto width = static_cast<std::size_t>(picture.width());
    const auto height = static_cast<std::size_t>(picture.height());
    const auto sample = [&](int plane, std::size_t x, std::size_t y) {
        return picture.plane(
            plane)[static_cast<std::ptrdiff_t>(y) * picture.stride(plane) + static_cast<std::ptrdiff_t>(x)];
    };
    std::vector<double> result;
    for (std::size_t y = 0; y < height; ++y) {
        for (std::size_t x = 0; x < width; ++x) {
            const double luma = (sample(0, x, y) - 16) / 219.0;
            const double cb = (sample(1, x / 2, y / 2) - 128) / 224.0;
            const double cr = (sample(2, x / 2, y / 2) - 128) / 224.0;
            const double red = luma + 1.5748 * cr, blue = luma + 1.8556 * cb;
            const double green = (luma - 0.2126 * red - 0.0722 * blue) / 0.7152;
            for (const double part : {red, green, blue})
                result.push_back(255 * std::clamp(part, 0.0, 1.0));
        }
    }
    return result;
}

double seconds(const FrameTable& table, std::int64_t n) {
    const Rational t = table.exact_time(n);
    return static_cast<double>(t.num) / static_cast<double>(t.den);
}

}  // namespace

TEST_CASE("each frame has the CRC-32 published in cros-codecs' test data") {
    for (const auto& [clip, sums] :
         {std::pair{"bear.h265", "bear.h265.crc"},
          {"test-25fps.h264", "test-25fps.h264.crc"},
          {"test-25fps.av1.ivf", "test-25fps.ivf.av1.crc"},
          {"vp90-2-10-show-existing-frame2.vp9.ivf", "vp90-2-10-show-existing-frame2.vp9.ivf.crc"}}) {
        const auto path = shared_clip(std::string("decode/cros-codecs/") + clip);
        if (!path) return;
        INFO(clip);
        const auto published = lines_of(read_file(path->parent_path() / sums));
        const auto table = table_of(*path);
        REQUIRE(static_cast<std::size_t>(table->size()) == published.size());
        FrameReader reader = reader_of(*path, table);
        std::size_t agreeing = 0;
        for (std::int64_t n = 0; n < table->size(); ++n) {
            const auto picture = reader.read(n);
            REQUIRE(picture.ok());
            agreeing += crc32_hex(as_nv12(**picture)) == published[static_cast<std::size_t>(n)] ? 1 : 0;
        }
        CHECK(agreeing == published.size());
    }
}

TEST_CASE("whole streams have the SHA-1 published in openh264's decoder test") {
    const auto list = shared_clip("decode/openh264/expected_sha1.csv");
    if (!list) return;
    int checked = 0;
    for (const std::string& line : lines_of(read_file(*list))) {
        const auto comma = line.find(',');
        const std::string name = line.substr(0, comma), sum = line.substr(comma + 1, 40);
        // One listed stream agrees with no libav release; its row says not to use it as truth.
        if (name == "file" || line.find("DOES NOT agree") != std::string::npos) continue;
        const auto clip = list->parent_path() / name;
        const auto table = table_of(clip);
        FrameReader reader = reader_of(clip, table);
        std::string all;
        for (std::int64_t n = 0; n < table->size(); ++n) {
            const auto picture = reader.read(n);
            REQUIRE(picture.ok());
            const auto bytes = packed_bytes(**picture);
            all.append(bytes.begin(), bytes.end());
        }
        const auto out = scratch() / (name + ".i420");
        write_file(out, all);
        INFO(name);
        CHECK(output_of("sha1sum " + quoted(out)).substr(0, 40) == sum);
        std::filesystem::remove(out);
        ++checked;
    }
    CHECK(checked == 4);
}

TEST_CASE("a stream that declares 300 x 168 comes out 300 wide, not 26 pixels wider") {
    const auto clip = shared_clip("decode/openh264/CVFC1_Sony_C.jsv");
    if (!clip) return;
    const auto table = table_of(*clip);
    CHECK(table->info().width == 300);
    FrameReader reader = reader_of(*clip, table);
    const auto picture = reader.read(3);
    REQUIRE(picture.ok());
    CHECK((*picture)->width() == 300);
    CHECK((*picture)->height() == 168);
}

TEST_CASE("times agree with torchcodec's recorded ones for two streams of one file") {
    const auto clip = shared_clip("decode/torchcodec/nasa_13013.mp4");
    if (!clip) return;
    for (const auto& [stream, name] : {std::pair{0, "nasa_13013.mp4.stream0.all_frames_info.json"},
                                       {1, "nasa_13013.mp4.stream3.all_frames_info.json"}}) {
        const auto table = table_of(*clip, stream);
        const auto recorded = nlohmann::json::parse(read_file(clip->parent_path() / name));
        REQUIRE(static_cast<std::size_t>(table->size()) == recorded.size());
        double worst = 0;  // the recorded times have six decimals
        for (std::int64_t n = 0; n < table->size(); ++n) {
            const auto time = recorded[static_cast<std::size_t>(n)]["pts_time"].get<std::string>();
            worst = std::max(worst, std::abs(seconds(*table, n) - std::stod(time)));
        }
        CHECK(worst <= 0.000001);
    }
}

TEST_CASE("RGB agrees with torchcodec's stored pixels") {
    const auto clip = shared_clip("decode/torchcodec/nasa_13013.mp4");
    if (!clip) return;
    const auto table = table_of(*clip, 1);
    FrameReader reader = reader_of(*clip, table);
    for (const auto& [n, name] : {std::pair{0, "nasa_13013.mp4.stream3.frame000000.pt"},
                                  {180, "nasa_13013.mp4.stream3.frame000180.pt"}}) {
        const std::string zip = read_file(clip->parent_path() / name);
        const std::size_t at = zip.find("/data/0") + 7;
        const std::size_t name_at = zip.rfind("PK\x03\x04", at);
        const auto extra =
            static_cast<std::uint8_t>(zip[name_at + 28]) + 256 * static_cast<std::uint8_t>(zip[name_at + 29]);
        const auto* truth = reinterpret_cast<const std::uint8_t*>(zip.data()) + at + extra;
        const auto picture = reader.read(n);
        REQUIRE(picture.ok());
        const RgbaImage image = to_rgba(**picture);
        REQUIRE(image.width == 480);
        REQUIRE(image.height == 270);
        // Theirs are libswscale's fast path to the bit, which rounds down in each step and repeats colour
        // samples, wherever they lie. So the picture as decoded is held to theirs in all parts by the same
        // repetition and the equations of ITU-R BT.709-6, section 3, in limited range; what we show is held
        // to theirs by luma, which does not depend on where colour samples lie. (That ours lie where the
        // stream says is equations_test's.)
        const std::vector<double> exact = by_the_equations(**picture);
        double parts_apart = 0, luma_apart = 0;
        for (std::size_t i = 0; i < exact.size(); ++i)
            parts_apart += std::abs(exact[i] - truth[i]) / static_cast<double>(exact.size());
        for (std::size_t i = 0; i < image.pixels.size() / 4; ++i)
            luma_apart += std::abs(luma(&image.pixels[4 * i]) - luma(&truth[3 * i])) * 4 /
                          static_cast<double>(image.pixels.size());
        const double ours = offset(image, exact.data());
        const double theirs = offset(image, truth) - ours;  // how far the equations stand above theirs
        INFO("all parts apart " << parts_apart << ", luma apart " << luma_apart << ", offsets " << ours << " "
                                << theirs);
        CHECK(parts_apart < 1.5);
        CHECK(luma_apart < 1.5);
        CHECK(std::abs(ours) < 0.05);
        CHECK(theirs > 0.25);
        CHECK(theirs < 1.25);
    }
}

TEST_CASE("shapes and starts agree with decord's tests") {
    const auto upright = shared_clip("decode/decord/video_0.mov");
    const auto turned = shared_clip("decode/decord/video_90.mov");
    const auto unordered = shared_clip("decode/decord/unordered.mov");
    if (!upright || !turned || !unordered) return;
    const auto facts = nlohmann::json::parse(read_file(*shared_clip("expected_facts.json")))["decord"];
    for (const auto& [clip, shape] : {std::pair{*upright, facts["video_0.mov"]["rgb_shape"]},
                                      {*turned, facts["video_90.mov"]["rgb_shape_after_rotation"]}}) {
        FrameReader reader = reader_of(clip, table_of(clip));
        const RgbaImage image = to_rgba(**reader.read(0));
        CHECK(image.height == shape[0].get<int>());
        CHECK(image.width == shape[1].get<int>());
    }
    const auto table = table_of(*unordered);
    const auto starts = facts["unordered.mov"]["frame_start_seconds"];
    REQUIRE(static_cast<std::size_t>(table->size()) == starts.size());
    for (std::int64_t n = 0; n < table->size(); ++n) {
        CHECK(seconds(*table, n) == starts[static_cast<std::size_t>(n)].get<double>());  // dyadic, so exact
    }
}

TEST_CASE("a broadcast clip's start, size and colour agree with mediabunny's tests") {
    const auto clip = shared_clip("decode/mediabunny/0.ts");
    if (!clip) return;
    const auto facts =
        nlohmann::json::parse(read_file(*shared_clip("expected_facts.json")))["mediabunny"]["0.ts"];
    const auto table = table_of(*clip);
    CHECK(seconds(*table, 0) == Approx(facts["first_video_timestamp_s"].get<double>()).epsilon(1e-12));
    CHECK(table->time_base() == Rational{1, facts["video_time_resolution"].get<int>()});
    CHECK(table->info().width == facts["display"][0].get<int>());
    CHECK(table->info().height == facts["display"][1].get<int>());
    CHECK(table->info().primaries == facts["primaries"].get<std::string>());
    CHECK(table->info().transfer == "arib-std-b67");  // the standard's name of HLG
    CHECK(table->info().range == "tv");
}

TEST_CASE("times agree with the sample dumps of androidx media") {
    // Microseconds per sample in decode order; a constant start differs in transport streams and edit lists.
    for (const std::string name :
         {"sample.mp4", "sample_fragmented.mp4", "h265_bframes.mp4", "sample_rotate_and_reflect.mp4",
          "sample_android_slow_motion.mp4", "sample.mkv", "sample_h264.ts", "sample.flv"}) {
        const auto clip = shared_clip("decode/androidx-media/" + name);
        if (!clip) return;
        std::vector<double> dumped;
        bool in_video = false;
        for (const std::string& line : lines_of(read_file(clip->string() + ".0.dump"))) {
            if (line.starts_with("track ")) in_video = false;
            if (line.find("sampleMimeType = video/") != std::string::npos) in_video = true;
            if (in_video && line.starts_with("    time = "))
                dumped.push_back(std::stod(line.substr(11)) / 1e6);
        }
        std::sort(dumped.begin(), dumped.end());
        const auto table = table_of(*clip);
        INFO(name);
        REQUIRE(static_cast<std::size_t>(table->size()) == dumped.size());
        double worst = 0;
        for (std::int64_t n = 0; n < table->size(); ++n) {
            const double ours = seconds(*table, n) - seconds(*table, 0);
            worst = std::max(worst, std::abs(ours - (dumped[static_cast<std::size_t>(n)] - dumped[0])));
        }
        CHECK(worst <= 0.0012);  // as reproduced beside the clips with ffprobe
    }
}
