#include "support/test_places.h"

namespace plumbmark::test {

std::filesystem::path source_folder() {
    return PLUMBMARK_SOURCE_DIR;
}

std::filesystem::path build_folder() {
    return PLUMBMARK_BUILD_DIR;
}

std::filesystem::path shared_folder() {
    return PLUMBMARK_SHARED_DIR;
}

}  // namespace plumbmark::test
