#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>

#include "course/read.h"

using namespace plumbmark::course;

namespace {

std::string file_text(const std::string& path) {
    std::ifstream in(std::string(PLUMBMARK_SOURCE_DIR) + "/" + path, std::ios::binary);
    REQUIRE(in.good());
    return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

TEST_CASE("the sample meet's book reads without problems") {
    const auto book = read_book_or_error(file_text("sample_clips/pier-nine.course"), "pier-nine.course");
    INFO((book.ok() ? "" : book.error().text()));
    REQUIRE(book.ok());
    CHECK(book->stations.size() == 3);
}
