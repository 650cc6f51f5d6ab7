// German while it lives, then English again: for tests of what modules say to a window.
#pragma once

#include <catch2/catch.hpp>

#include "base/catalogue.h"

namespace plumbmark::test {

class InGerman {
  public:
    InGerman() { REQUIRE(base::choose_language("de")); }
    ~InGerman() { (void)base::choose_language("en"); }
    InGerman(const InGerman&) = delete;
    InGerman& operator=(const InGerman&) = delete;
};

}  // namespace plumbmark::test
