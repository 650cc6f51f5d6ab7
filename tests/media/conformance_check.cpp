#include <catch2/catch.hpp>

#include "media/conformance.h"

namespace plumbmark::media::test {

std::shared_ptr<const FrameTable> check_against_programs(const std::filesystem::path& clip,
                                                         const Conformance& how) {
    INFO(clip.filename().string());
    const Compared compared = compare_with_programs(clip, how);
    INFO((compared.table ? compared.table->info().basis_reason : ""));
    CHECK(compared.differences == std::vector<std::string>{});
    REQUIRE(compared.table != nullptr);
    return compared.table;
}

}  // namespace plumbmark::media::test
