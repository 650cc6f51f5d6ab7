// Which mutant is alive in this process.
#include <cstdlib>

#include "mutants/mutant.h"

namespace {

int from_environment() {
    const char* number = std::getenv("PLUMBMARK_MUTANT");
    return number == nullptr ? 0 : std::atoi(number);
}

}  // namespace

const int plumbmark_live_mutant = from_environment();
