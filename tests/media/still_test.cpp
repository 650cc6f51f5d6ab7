// Stills and fingerprints against other programs' reading of them.
#include "media/still.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "media/fingerprint.h"
#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
using plumbmark::base::Category;

namespace {

RgbaImage smooth_image(int width, int height) {
    RgbaImage image{width, height, {}};
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            for (const int value :
                 {x * 255 / width, y * 255 / height, (x + y) * 127 / (width + height), 255}) {
                image.pixels.push_back(static_cast<std::uint8_t>(value));
            }
        }
    }
    return image;
}

std::string file_of(const std::vector<std::uint8_t>& bytes, const std::string& name) {
    write_file(scratch() / name, std::string(bytes.begin(), bytes.end()));
    return quoted(scratch() / name);
}

}  // namespace

TEST_CASE("a PNG holds every pixel, as ffmpeg reads it") {
    RgbaImage image = smooth_image(61, 37);
    for (const bool opaque : {true, false}) {
        if (!opaque) image.pixels[7] = 12;
        const auto png = encode_png(image);
        REQUIRE(png.ok());
        const std::string pixels = output_of("ffmpeg -v quiet -nostdin -i " + file_of(*png, "still.png") +
                                             " -f rawvideo -pix_fmt rgba - 2>/dev/null");
        CHECK(pixels == std::string(image.pixels.begin(), image.pixels.end()));
        CHECK(encode_png(image).value() == *png);
    }
}

TEST_CASE("a JPEG is near the picture, nearer and larger at a higher quality") {
    const RgbaImage image = smooth_image(64, 48);
    std::size_t last_size = 0;
    double last_error = 1000;
    for (const int quality : {5, 50, 95}) {
        const auto jpeg = encode_jpeg(image, quality);
        REQUIRE(jpeg.ok());
        const std::string pixels = output_of("ffmpeg -v quiet -nostdin -i " + file_of(*jpeg, "still.jpg") +
                                             " -f rawvideo -pix_fmt rgba - 2>/dev/null");
        REQUIRE(pixels.size() == image.pixels.size());
        double sum = 0;
        for (std::size_t i = 0; i < pixels.size(); ++i) {
            sum += std::abs(static_cast<std::uint8_t>(pixels[i]) - image.pixels[i]);
        }
        const double error = sum / static_cast<double>(pixels.size());
        CHECK(error < last_error);
        CHECK(jpeg->size() > last_size);
        last_error = error;
        last_size = jpeg->size();
    }
    CHECK(last_error < 1.5);
}

TEST_CASE("a still that cannot be is refused") {
    const RgbaImage image = smooth_image(8, 8);
    CHECK(encode_png({}).error().category == Category::bad_input);
    CHECK(encode_png({4, 4, {1, 2, 3}}).error().category == Category::bad_input);
    CHECK(encode_jpeg(image, 0).error().category == Category::bad_input);
    CHECK(encode_jpeg(image, 101).error().category == Category::bad_input);
    CHECK(scaled(image, 0, 5).error().category == Category::bad_input);
    CHECK(cropped(image, 8, 0, 4, 4).error().category == Category::bad_input);
}

TEST_CASE("cutting takes the pixels that stand there, and scaling keeps the mean") {
    const RgbaImage image = smooth_image(60, 40);
    const auto part = cropped(image, 50, -5, 100, 15);
    REQUIRE(part.ok());
    CHECK(part->width == 10);
    CHECK(part->height == 10);
    for (int y = 0; y < 10; ++y) {
        for (std::size_t i = 0; i < 40; ++i) {
            CHECK(part->pixels[static_cast<std::size_t>(y) * 40 + i] ==
                  image.pixels[(static_cast<std::size_t>(y) * 60 + 50) * 4 + i]);
        }
    }
    const auto box = fitted(image, 30, 30);
    REQUIRE(box.ok());
    CHECK(box->width == 30);
    CHECK(box->height == 20);
    CHECK(fitted(image, 100, 100).value() == image);
    const auto mean = [](const RgbaImage& of) {
        double sum = 0;
        for (std::size_t i = 0; i < of.pixels.size(); i += 4)
            sum += of.pixels[i];
        return sum / static_cast<double>(of.pixels.size() / 4);
    };
    CHECK(std::abs(mean(*box) - mean(image)) < 1);
}

TEST_CASE("a file's SHA-256 is sha256sum's") {
    std::string bytes(3'000'001, 'a');
    for (std::size_t i = 0; i < bytes.size(); i += 7)
        bytes[i] = static_cast<char>(i);
    const auto path = scratch() / "hashed.bin";
    write_file(path, bytes);
    CHECK(sha256_file(path).value() == output_of("sha256sum " + quoted(path)).substr(0, 64));
    // FIPS 180-4's example 'abc'.
    write_file(scratch() / "abc", "abc");
    CHECK(sha256_file(scratch() / "abc").value() ==
          "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    std::stop_source stop;
    stop.request_stop();
    CHECK(sha256_file(path, stop.get_token()).error().category == Category::cancelled);
    CHECK(fingerprint(path, stop.get_token()).error().category == Category::cancelled);
    CHECK(sha256_file(scratch()).error().category == Category::bad_input);
    CHECK(fingerprint(scratch() / "no-such-file").error().category == Category::not_found);
}

TEST_CASE("a fingerprint changes with the size and with each sampled end") {
    std::string bytes(1'000'000, 'x');
    const auto path = scratch() / "sampled.bin";
    const auto print = [&] {
        write_file(path, bytes);
        return fingerprint(path).value();
    };
    const Fingerprint first = print();
    CHECK(first.size == 1'000'000);
    CHECK(print() == first);
    bytes.front() = 'y';
    CHECK_FALSE(print() == first);
    bytes.front() = 'x';
    bytes.back() = 'y';
    CHECK_FALSE(print() == first);
    bytes.back() = 'x';
    bytes += 'x';
    CHECK_FALSE(print() == first);
    // The definition, computed by another program: size, then 16 blocks.
    std::string sampled;
    for (unsigned i = 0; i < 8; ++i)
        sampled += static_cast<char>(std::uint64_t{1'000'001} >> (8 * i));
    for (std::uint64_t i = 0; i < 16; ++i)
        sampled += bytes.substr(i * (bytes.size() - 16384) / 15, 16384);
    const Fingerprint last = print();
    write_file(scratch() / "samples.bin", sampled);
    CHECK(last.sample == output_of("sha256sum " + quoted(scratch() / "samples.bin")).substr(0, 64));
}
