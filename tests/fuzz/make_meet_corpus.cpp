// Makes the seeds of the meet file fuzzer anew: small meets with things of all kinds, in small pages, so that
// a change of some bytes meets more than free space. Argument: the folder that they go to.
#include <SQLiteCpp/SQLiteCpp.h>

#include <cstdio>
#include <filesystem>
#include <random>

#include "meet/random_changes.h"
#include "store/meet_file.h"

namespace {

using namespace plumbmark;

/// The same seed gives the same bytes.
store::OpenOptions repeatable(std::uint64_t seed) {
    store::OpenOptions options;
    options.clock = [] { return std::int64_t{1'777'712'400'000'000'000}; };
    options.random = [random = std::mt19937_64(seed)](unsigned char* bytes, std::size_t count) mutable {
        for (std::size_t i = 0; i < count; ++i)
            bytes[i] = static_cast<unsigned char>(random());
    };
    return options;
}

bool make(const std::filesystem::path& path, std::uint64_t seed, int changes) {
    std::error_code ignored;
    std::filesystem::remove(path, ignored);
    {
        auto file = store::MeetFile::create(path, {"Pier Nine Youth Open", "harbour hall", "2026-05-02"},
                                            repeatable(seed));
        if (!file) return false;
        meet::State state = file->loaded();
        test::RandomChanges random(seed);
        for (int i = 0; i < changes; ++i) {
            const meet::Change change = random.next(state);
            if (!state.apply(change)) return false;
            // What a thing held before is erased now and then.
            i % 7 == 3 ? file->submit_erasing(change) : file->submit(change);
        }
        if (!file->flush()) return false;
    }
    SQLite::Database db(path.string(), SQLite::OPEN_READWRITE);
    db.exec("PRAGMA page_size = 512");
    db.exec("VACUUM");
    return true;
}

}  // namespace

int main(int count, char** arguments) {
    if (count != 2) return 2;
    const std::filesystem::path folder = arguments[1];
    std::filesystem::create_directories(folder);
    const bool made = make(folder / "empty.meet", 1, 0) && make(folder / "few.meet", 2, 12) &&
                      make(folder / "all-kinds.meet", 3, 60);
    if (!made) std::fprintf(stderr, "make-meet-corpus: the meets cannot be made there.\n");
    return made ? 0 : 1;
}
