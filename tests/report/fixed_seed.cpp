// Properties run from one seed, which RapidCheck prints, so that a failure comes again; RC_PARAMS chooses
// another.
#include <cstdlib>

namespace {
[[maybe_unused]] const int kSeed = setenv("RC_PARAMS", "seed=20260502", 0);
}  // namespace
