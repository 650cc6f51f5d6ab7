// Sealed packages: any bytes as a zip, and as the texts that stand in one. What is given out of a package is
// as its manifest says.
#include <cstdint>
#include <set>
#include <string>

#include "base/check.h"
#include "store/meet_file.h"
#include "store/package.h"
#include "store/packed_review.h"
#include "store/seals.h"

using namespace plumbmark;

namespace {

void read_texts(std::string_view text) {
    if (const auto review = store::read_packed_review(text)) {
        const auto again = store::read_packed_review(store::write_packed_review(*review));
        PLUMBMARK_CHECK(again.ok() && again->clips.size() == review->clips.size());
    }
    if (const auto line = store::read_seal_line(text))
        PLUMBMARK_CHECK(*store::read_seal_line(store::seal_line_text(*line)) == *line);
    if (const auto compared = store::compare_rulings(text, text))
        PLUMBMARK_CHECK(compared->difference.empty() && compared->other_words.empty());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view bytes(reinterpret_cast<const char*>(data), size);
    read_texts(bytes);
    const auto reading = store::read_package_bytes(bytes);
    if (!reading) {
        PLUMBMARK_CHECK(!reading.error().sentence.empty());
        return 0;
    }
    std::set<std::string> seen;
    for (const store::PackageFile& file : reading->files) {
        PLUMBMARK_CHECK(store::good_package_path(file.path));
        PLUMBMARK_CHECK(seen.insert(file.path).second);
    }
    PLUMBMARK_CHECK(reading->files.size() <= store::kMostPackageFiles);
    return 0;
}
