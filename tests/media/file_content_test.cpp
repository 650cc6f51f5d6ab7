// The SHA-256 of a whole file: against published vectors and sha256sum, and on drives that fail.
#include "media/file_content.h"

#include <catch2/catch.hpp>
#include <future>

#include "media/memory_bytes.h"
#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
using plumbmark::base::Category;

namespace {

ContentOptions options_of(const std::shared_ptr<MemoryFile>& file) {
    ContentOptions options;
    options.open_bytes = opener_of(file);
    return options;
}

std::string sha_of(const std::string& bytes) {
    const auto file = std::make_shared<MemoryFile>(bytes);
    return file_content("memory.clip", options_of(file)).value().value().sha256;
}

std::string noise(std::size_t size) {
    std::string bytes(size, '\0');
    std::uint32_t state = 1;
    for (char& byte : bytes)
        byte = static_cast<char>((state = state * 1664525U + 1013904223U) >> 24);
    return bytes;
}

}  // namespace

TEST_CASE("a file's content has the digests that NIST publishes") {
    // 'Examples with Intermediate Values' for FIPS 180-4 (csrc.nist.gov), SHA-256: one block and two; the
    // third is the long message of FIPS 180-2, appendix B.3, a million times 'a'.
    CHECK(sha_of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(sha_of("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    CHECK(sha_of(std::string(1'000'000, 'a')) ==
          "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("a file's content is sha256sum's, at every size around the steps it is read in") {
    for (const std::size_t size : {std::size_t{1}, (std::size_t{1} << 20) - 1, std::size_t{1} << 20,
                                   (std::size_t{1} << 20) + 1, std::size_t{3'000'001}}) {
        const auto path = scratch() / "content.bin";
        write_file(path, noise(size));
        const auto content = file_content(path);
        REQUIRE(content.ok());
        REQUIRE(*content);
        CHECK((*content)->sha256 == output_of("sha256sum " + quoted(path)).substr(0, 64));
        ContentOptions again;
        again.unless_changed_at = (*content)->changed_at;
        CHECK_FALSE(file_content(path, again).value());
        again.unless_changed_at = (*content)->changed_at - 1;
        CHECK(file_content(path, again).value() == *content);
    }
}

TEST_CASE("a file is read in short pieces and over a failing read all the same") {
    const std::string bytes = noise(2'500'000);
    const auto file = std::make_shared<MemoryFile>(bytes);
    file->most_at_once = 4093;
    CHECK(file_content("memory.clip", options_of(file)).value().value().sha256 == sha_of(bytes));
}

TEST_CASE("a content that cannot be read whole is an error, and never a digest") {
    const auto file = std::make_shared<MemoryFile>(noise(2'500'000));
    file->fails_from = 2'000'000;
    CHECK(file_content("memory.clip", options_of(file)).error().text() ==
          "memory: The drive does not answer.");
    file->fails_from = INT64_MAX;
    file->gone = true;
    CHECK(file_content("memory.clip", options_of(file)).error().category == Category::not_found);
    file->gone = false;
    file->told_size = 3'000'000;
    CHECK(file_content("memory.clip", options_of(file)).error().sentence.english().find("cut short") !=
          std::string::npos);
    CHECK(file_content(scratch()).error().category == Category::bad_input);
    CHECK(file_content(scratch() / "no-such-file").error().category == Category::not_found);
}

TEST_CASE("a file that is written to while it is read has no content yet") {
    const auto file = std::make_shared<MemoryFile>(noise(2'500'000));
    ContentOptions options = options_of(file);
    options.progress = [&](double share) {
        if (share < 0.4 || share > 0.6) return;
        const std::lock_guard lock(file->mutex);
        file->bytes[10] = 'x';
        ++file->version;
    };
    const auto content = file_content("memory.clip", options);
    REQUIRE_FALSE(content.ok());
    CHECK(content.error().sentence.english().find("it was written to since it was opened") !=
          std::string::npos);
}

TEST_CASE("reading a whole file tells how far it is, waits while others are busy, and can be stopped") {
    const auto file = std::make_shared<MemoryFile>(noise(5'000'000));
    std::vector<double> shares;
    int busy_answers = 0;
    ContentOptions options = options_of(file);
    options.progress = [&](double share) { shares.push_back(share); };
    options.busy = [&] { return ++busy_answers % 3 != 0; };
    const auto content = file_content("memory.clip", options);
    REQUIRE(content.ok());
    CHECK(std::is_sorted(shares.begin(), shares.end()));
    CHECK(shares.size() >= 6);
    CHECK(shares.back() == 1.0);
    CHECK(busy_answers >= 15);

    std::stop_source stop;
    ContentOptions stopped = options_of(file);
    stopped.stop = stop.get_token();
    stopped.busy = [] { return true; };
    auto waiting = std::async(std::launch::async, [&] { return file_content("memory.clip", stopped); });
    CHECK(waiting.wait_for(std::chrono::milliseconds(30)) == std::future_status::timeout);
    stop.request_stop();
    CHECK(waiting.get().error().category == Category::cancelled);

    std::stop_source stalled;
    stopped.stop = stalled.get_token();
    stopped.busy = nullptr;
    file->stalls = true;
    auto stalling = std::async(std::launch::async, [&] { return file_content("memory.clip", stopped); });
    while (file->waiting == 0)
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    stalled.request_stop();
    CHECK(stalling.get().error().category == Category::cancelled);
}
