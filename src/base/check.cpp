#include "base/check.h"

#include <cstdio>
#include <cstdlib>

namespace plumbmark::base {

void broken_invariant(const char* file, int line, const char* condition) {
    std::fprintf(stderr, "%s:%d: broken invariant: %s\n", file, line, condition);
    std::abort();
}

}  // namespace plumbmark::base
