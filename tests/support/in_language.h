// Another language for the time of a test.
#pragma once

#include <catch2/catch.hpp>

#include "base/catalogue.h"

namespace plumbmark::test {

/// Chooses a language; its end brings English back, so that the tests after it see none of it.
class InLanguage {
  public:
    explicit InLanguage(const char* code) { REQUIRE(base::choose_language(code).ok()); }
    ~InLanguage() { (void)base::choose_language("en"); }
    InLanguage(const InLanguage&) = delete;
    InLanguage& operator=(const InLanguage&) = delete;
};

}  // namespace plumbmark::test
