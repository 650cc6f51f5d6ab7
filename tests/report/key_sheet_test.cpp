// The keys on paper, read back by poppler.
#include "report/key_sheet.h"

#include <catch2/catch.hpp>

#include "printed.h"

using namespace plumbmark;
using Catch::Contains;

TEST_CASE("the sheet of keys has every key beside what it does, an own one marked, on whole pages") {
    if (!test::poppler_is_here()) return;
    std::vector<report::KeyLines> groups(3);
    for (int group = 0; group < 3; ++group) {
        groups[group].title = "Group " + std::to_string(group);
        for (int n = 0; n < 31; ++n)
            groups[group].lines.push_back({"Ctrl Shift F" + std::to_string(n + 1),
                                           "does the thing " + std::to_string(100 * group + n), n == 7});
    }
    groups.push_back({"Of nobody", {}});
    const auto pdf = report::key_sheet_pdf(groups, "1");
    REQUIRE(pdf);
    std::string all;
    for (const std::string& page : test::pages_as_text(*pdf))
        all += page;
    for (int group = 0; group < 3; ++group) {
        CHECK_THAT(all, Contains("Group " + std::to_string(group)));
        for (int n = 0; n < 31; ++n)
            CHECK_THAT(all, Contains("does the thing " + std::to_string(100 * group + n)));
    }
    CHECK_THAT(all, Contains("Ctrl Shift F8 *"));
    CHECK_THAT(all, Contains("* own key"));
    CHECK_THAT(all, !Contains("Of nobody"));
    CHECK(test::misplaced(test::placed_words(*pdf)).empty());
    const auto none_own = report::key_sheet_pdf({{"Group", {{"T", "touch"}}}}, "1");
    REQUIRE(none_own);
    CHECK_THAT(test::pages_as_text(*none_own).front(), !Contains("own key"));
}
