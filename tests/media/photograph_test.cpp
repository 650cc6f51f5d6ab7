// Photographs as phones write them: read upright, and told apart from what is none.
#include "media/photograph.h"

#include <array>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>

#include "media/still.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

using namespace plumbmark;
using base::Category;

namespace {

/// Four quarters of different colours, so that every turn can be told.
media::RgbaImage quarters(int width, int height) {
    media::RgbaImage image{width, height, {}};
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x) {
            const bool right = x >= width / 2, low = y >= height / 2;
            for (const int value : {right ? 220 : 30, low ? 220 : 30, right == low ? 220 : 30, 255})
                image.pixels.push_back(static_cast<std::uint8_t>(value));
        }
    return image;
}

using Bytes = std::vector<std::uint8_t>;

std::filesystem::path write(const test::TemporaryFolder& folder, const std::string& name,
                            const Bytes& bytes) {
    const std::filesystem::path file = folder / name;
    std::ofstream(file, std::ios::binary)
        .write(reinterpret_cast<const char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
    return file;
}

/// The JPEG with what a camera writes of how it was held (Exif 2.32, tag 0x0112), behind its first marker.
Bytes held(Bytes jpeg, std::uint8_t orientation) {
    const std::array<std::uint8_t, 36> segment{
        0xFF, 0xE1,        0x00, 0x22,               // APP1, 34 bytes
        'E',  'x',         'i',  'f',  0, 0,         //
        'M',  'M',         0,    42,   0, 0, 0, 8,   // big endian, the list at 8
        0,    1,                                     // one entry
        0x01, 0x12,        0,    3,    0, 0, 0, 1,   // orientation, one short
        0,    orientation, 0,    0,    0, 0, 0, 0};  // its value; no further list
    jpeg.insert(jpeg.begin() + 2, segment.begin(), segment.end());
    return jpeg;
}

/// Which quarter of the picture has the colours of which one of quarters(): its red and green.
std::array<int, 2> colour_at(const media::RgbaImage& image, double x, double y) {
    const auto column = static_cast<std::size_t>(image.width * x),
               row = static_cast<std::size_t>(image.height * y);
    const std::size_t at = 4 * (row * static_cast<std::size_t>(image.width) + column);
    return {image.pixels[at] > 125 ? 1 : 0, image.pixels[at + 1] > 125 ? 1 : 0};
}

}  // namespace

TEST_CASE("a PNG comes back pixel by pixel and a JPEG in its size") {
    const test::TemporaryFolder folder;
    const media::RgbaImage image = quarters(64, 48);
    const auto png = media::encode_png(image);
    const auto jpeg = media::encode_jpeg(image, 92);
    REQUIRE(png.ok());
    REQUIRE(jpeg.ok());
    const auto read = media::read_photograph(write(folder, "rig.png", *png));
    INFO((read ? std::string() : read.error().text()));
    REQUIRE(read.ok());
    CHECK((*read == image));
    // The name says nothing: what is in the file does.
    const auto photo = media::read_photograph(write(folder, "rig.dat", *jpeg));
    REQUIRE(photo.ok());
    CHECK(photo->width == 64);
    CHECK(photo->height == 48);
    CHECK(colour_at(*photo, 0.25, 0.25) == std::array{0, 0});
    CHECK(colour_at(*photo, 0.75, 0.25) == std::array{1, 0});
}

TEST_CASE("a photograph stands upright however the camera was held") {
    const test::TemporaryFolder folder;
    const auto jpeg = media::encode_jpeg(quarters(64, 48), 92);
    REQUIRE(jpeg.ok());
    // As Exif names them: 1 as it is, 3 half a turn, 6 a quarter clockwise, 8 a quarter the other way.
    const struct {
        std::uint8_t orientation;
        int width;
        std::array<int, 2> upper_left;
    } cases[] = {{1, 64, {0, 0}}, {3, 64, {1, 1}}, {6, 48, {0, 1}}, {8, 48, {1, 0}}};
    for (const auto& one : cases) {
        INFO(static_cast<int>(one.orientation));
        const auto read = media::read_photograph(write(folder, "rig.jpg", held(*jpeg, one.orientation)));
        REQUIRE(read.ok());
        CHECK(read->width == one.width);
        CHECK(colour_at(*read, 0.25, 0.25) == one.upper_left);
    }
}

TEST_CASE("what is no photograph is refused in words of pictures") {
    const test::TemporaryFolder folder;
    const auto refused = [&](const std::filesystem::path& file) {
        const auto read = media::read_photograph(file);
        REQUIRE_FALSE(read.ok());
        return read.error();
    };
    CHECK(refused(folder / "gone.jpg").category == Category::not_found);
    CHECK(refused(write(folder, "empty.jpg", {})).category == Category::damaged);
    const std::string text = "hawser, hook 3\n";
    const base::Error none = refused(write(folder, "note.jpg", Bytes(text.begin(), text.end())));
    CHECK(none.category == Category::bad_input);
    CHECK(none.text() ==
          "note.jpg: This is no picture that can be read here, or it is damaged. JPEG and PNG can be read.");
    const auto png = media::encode_png(quarters(64, 48));
    REQUIRE(png.ok());
    const base::Error cut = refused(write(folder, "cut.png", Bytes(png->begin(), png->begin() + 60)));
    CHECK(cut.category == Category::bad_input);
    std::stop_source stopped;
    stopped.request_stop();
    const auto read = media::read_photograph(write(folder, "rig.png", *png), stopped.get_token());
    REQUIRE_FALSE(read.ok());
    CHECK(read.error().category == Category::cancelled);
}

TEST_CASE("of a clip the first picture is read") {
    const auto read = media::read_photograph((test::source_folder() / "sample_clips/run-1-a.mp4").string());
    REQUIRE(read.ok());
    CHECK(read->width > read->height);
    CHECK(read->pixels.size() == 4 * static_cast<std::size_t>(read->width * read->height));
}
