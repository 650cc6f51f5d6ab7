// Fuzzes the scan and the reader over damaged containers held in memory: any bytes must give a table or an
// error, and each frame of a table a picture or an error; nothing crashes, hangs or asks for more memory than
// any clip needs. Findings are kept in tests/fuzz/findings/clip.
#include <cstdint>
#include <string>

#include "base/check.h"
#include "media/frame_reader.h"
#include "media/memory_bytes.h"

using namespace plumbmark;

namespace {

void expect_told(const base::Error& error) {
    PLUMBMARK_CHECK(!error.sentence.empty() && error.sentence.english().back() != '\n');
}

void expect_sound(const media::FrameTable& table) {
    PLUMBMARK_CHECK(table.size() > 0);
    for (std::int64_t n = 0; n < table.size(); ++n) {
        PLUMBMARK_CHECK(table.group_start(n) >= 0 && table.group_start(n) <= n);
        PLUMBMARK_CHECK(table.exact_time(n).den > 0);
    }
    for (const media::BadStretch& stretch : table.bad_stretches()) {
        PLUMBMARK_CHECK(stretch.first >= 0 && stretch.first <= table.size());
        PLUMBMARK_CHECK(stretch.last >= stretch.first - 1 && stretch.last < table.size());
        PLUMBMARK_CHECK(stretch.lean_until >= stretch.last && stretch.lean_until < table.size());
        PLUMBMARK_CHECK(!stretch.what.empty());
    }
}

void read_some(const media::FrameTable& table, const media::BytesOpener& open_bytes) {
    auto reader = media::FrameReader::open("fuzz.clip", std::make_shared<const media::FrameTable>(table),
                                           {.cache_bytes = 1, .threads = 1, .open_bytes = open_bytes});
    if (!reader) return expect_told(reader.error());
    for (const std::int64_t n : {std::int64_t{0}, table.size() - 1, table.size() / 2}) {
        const auto picture = reader->read(n);
        if (picture) {
            PLUMBMARK_CHECK((*picture)->width() > 0 && (*picture)->height() > 0);
            (void)media::md5_hex(**picture);
        } else {
            expect_told(picture.error());
        }
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto file =
        std::make_shared<media::test::MemoryFile>(std::string(reinterpret_cast<const char*>(data), size));
    media::ScanOptions options;
    options.open_bytes = media::test::opener_of(file);
    const auto table = media::scan_clip("fuzz.clip", options);
    if (!table) {
        expect_told(table.error());
        return 0;
    }
    expect_sound(*table);
    read_some(*table, options.open_bytes);
    return 0;
}
