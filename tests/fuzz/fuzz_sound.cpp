// Fuzzes the sound reader over damaged containers held in memory: any bytes must give blocks of sound or an
// error, from the beginning and after jumps; nothing crashes, hangs or asks for more memory than any clip
// needs. Findings are kept in tests/fuzz/findings/sound.
#include <cstdint>
#include <string>

#include "base/check.h"
#include "media/memory_bytes.h"
#include "media/sound.h"

using namespace plumbmark;

namespace {

void expect_told(const base::Error& error) {
    PLUMBMARK_CHECK(!error.sentence.empty() && error.sentence.english().back() != '\n');
}

void expect_usable(const media::SoundBlock& block) {
    PLUMBMARK_CHECK(block.rate > 0 && block.channels > 0 && block.frames() > 0);
    PLUMBMARK_CHECK(block.samples.size() % static_cast<std::size_t>(block.channels) == 0);
    PLUMBMARK_CHECK(block.end() > block.time);
}

/// Reads until the end or an error, but not more blocks than this. The time of the last one.
base::Time read_some(media::SoundReader& reader, int most) {
    base::Time last{0};
    for (int i = 0; i < most; ++i) {
        const auto block = reader.read();
        if (!block) {
            expect_told(block.error());
            return last;
        }
        if (!*block) return last;
        expect_usable(**block);
        PLUMBMARK_CHECK(reader.good_until() == (*block)->end());
        last = (*block)->time;
    }
    return last;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto file =
        std::make_shared<media::test::MemoryFile>(std::string(reinterpret_cast<const char*>(data), size));
    auto reader = media::SoundReader::open("fuzz.clip", {.open_bytes = media::test::opener_of(file)});
    if (!reader) {
        expect_told(reader.error());
        return 0;
    }
    const base::Time last = read_some(*reader, 500);
    for (const std::int64_t place :
         {std::int64_t{0}, last.ns / 2, last.ns, std::int64_t{3'600'000'000'000}}) {
        const auto moved = reader->seek({place});
        if (!moved)
            expect_told(moved.error());
        else
            (void)read_some(*reader, 3);
    }
    return 0;
}
