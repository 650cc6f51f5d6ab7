// Catch2 3 under the names of Catch2 2.13, which the tests are written for: the one place for the difference.
// On the include path only where version 3 is installed.
#pragma once

#include <catch2/catch_all.hpp>
#include <string>

using Catch::Approx;

namespace Catch {

inline Matchers::StringContainsMatcher Contains(const std::string& part) {
    return Matchers::ContainsSubstring(part);
}

}  // namespace Catch
