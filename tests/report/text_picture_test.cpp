#include "report/text_picture.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <future>
#include <limits>

using namespace plumbmark;
using report::draw_text;

namespace {

constexpr std::array<std::uint8_t, 4> kInk{200, 40, 0, 255};

media::RgbaImage drawn(const std::string& text, double height = 40, std::array<std::uint8_t, 4> ink = kInk) {
    auto image = draw_text(text, height, ink);
    REQUIRE(image.ok());
    REQUIRE(image->pixels.size() == 4U * static_cast<std::size_t>(image->width * image->height));
    return *image;
}

/// Pixels at least half covered.
std::ptrdiff_t ink(const media::RgbaImage& image) {
    std::ptrdiff_t count = 0;
    for (std::size_t i = 3; i < image.pixels.size(); i += 4)
        count += image.pixels[i] >= 128 ? 1 : 0;
    return count;
}

}  // namespace

TEST_CASE("names in any script are drawn with real letters") {
    for (const char* name :
         {"Ωκεανίς Παπαδάκη", "田中 葵", "ليلى الحسن", "Łucja Źródło", "Анна", "한국", "שרה"}) {
        INFO(name);
        CHECK(*report::missing_glyphs(name) == 0);
        CHECK(ink(drawn(name)) > 100);
    }
    CHECK(drawn("田中") != drawn("葵中"));
}

TEST_CASE("a letter that no font has is counted as missing") {
    CHECK(*report::missing_glyphs("a\U0010FFFDb") == 1);
}

TEST_CASE("Arabic letters are joined and run from the right") {
    // Set apart by zero-width non-joiners, the same letters take their isolated forms.
    CHECK(drawn("سلم") != drawn("س\u200Cل\u200Cم"));
    const media::RgbaImage image =
        drawn("ا—");  // alef first: the upright stroke stands at the right of the dash
    std::ptrdiff_t left = 0, right = 0;
    for (int y = 0; y < image.height; ++y)
        for (int x = 0; x < image.width; ++x)
            if (image.pixels[static_cast<std::size_t>(4 * (y * image.width + x) + 3)] >= 128)
                (x > image.width * 4 / 5 ? right : left) += y < image.height / 2 ? 1 : 0;
    CHECK(right > left);
}

TEST_CASE("pixels are straight: the ink's own colour, with coverage in alpha") {
    const media::RgbaImage image = drawn("Pier Nine", 48, {200, 40, 0, 128});
    int highest = 0;
    for (std::size_t i = 0; i < image.pixels.size(); i += 4) {
        highest = std::max<int>(highest, image.pixels[i + 3]);
        if (image.pixels[i + 3] < 100) continue;
        CHECK(std::abs(image.pixels[i] - 200) <= 2);
        CHECK(std::abs(image.pixels[i + 1] - 40) <= 2);
        CHECK(image.pixels[i + 2] == 0);
    }
    CHECK(std::abs(highest - 128) <= 1);
    CHECK(image.pixels[3] == 0);
}

TEST_CASE("a picture is as high as the line needs and grows with the size") {
    const media::RgbaImage small = drawn("Ag", 20), large = drawn("Ag", 80);
    CHECK(small.height >= 20);
    CHECK(small.height <= 32);
    CHECK(large.height > 3 * small.height);
    CHECK(large.width > 3 * small.width);
}

TEST_CASE("all digits have one width") {
    CHECK(drawn("1111").width == drawn("8888").width);
}

TEST_CASE("line breaks and control characters stay on the line as spaces") {
    CHECK(drawn("a\nb") == drawn("a b"));
    CHECK(drawn("a\u2028b") == drawn("a b"));
    CHECK(drawn("a\x1b"
                "b") == drawn("a b"));
    CHECK(ink(drawn("")) == 0);
    CHECK(drawn("").width == 1);
}

TEST_CASE("what cannot be drawn is refused with what to do") {
    const auto refused = [](const std::string& text, double height) {
        const auto result = draw_text(text, height, kInk);
        REQUIRE_FALSE(result.ok());
        CHECK(result.error().category == base::Category::bad_input);
        return result.error().text();
    };
    CHECK(refused("\xff", 20) == "text picture: the text is not UTF-8; give it in UTF-8");
    CHECK(refused("a", 0) == "text picture: a size of 0 pixels is out of range; choose 4 to 512");
    CHECK(refused("a", std::numeric_limits<double>::quiet_NaN()).find("out of range") != std::string::npos);
    CHECK(refused("a", 1e9).find("out of range") != std::string::npos);
    CHECK(refused(std::string(20'000, 'a'), 20).find("20000 bytes") != std::string::npos);
    CHECK(refused(std::string(16'000, 'm'), 40).find("16384 is the most") != std::string::npos);
    CHECK_FALSE(report::missing_glyphs("\xc0").ok());
}

TEST_CASE("several threads may draw at once and get the same pictures") {
    const media::RgbaImage expected = drawn("田中 Ωκε 41");
    std::vector<std::future<bool>> threads;
    for (int i = 0; i < 4; ++i)
        threads.push_back(std::async(std::launch::async, [&expected] {
            for (int k = 0; k < 20; ++k) {
                const auto image = draw_text("田中 Ωκε 41", 40, kInk);
                if (!image || *image != expected) return false;
            }
            return true;
        }));
    for (auto& thread : threads)
        CHECK(thread.get());
}
