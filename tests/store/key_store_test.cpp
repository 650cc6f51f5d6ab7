// Secret keys on this machine: kept whole or not at all, for their owner alone, and opened by their
// passphrase.
#include "store/key_store.h"

#include <sys/resource.h>
#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <cstdlib>

#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

using namespace plumbmark;
using base::Category;
using store::SecretKey;
namespace fs = std::filesystem;

/// What a guess costs in a test: the least that libsodium takes.
constexpr store::PassphraseCost kCheap{1, 8'192};
const std::string kPassphrase = "harbour wall, 9 bollards";

mode_t mode_of(const fs::path& path) {
    struct stat facts {};
    REQUIRE(::stat(path.c_str(), &facts) == 0);
    return facts.st_mode & 0777U;
}

std::size_t files_in(const fs::path& folder) {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

}  // namespace

TEST_CASE("a kept key opens with its passphrase, and signs as it did before") {
    const test::TemporaryFolder folder;
    const fs::path keys = folder / "data/plumbmark/keys";
    const SecretKey key = SecretKey::generate();
    CHECK_FALSE(store::holds_key(keys, key.public_key()));
    REQUIRE(store::keep_key(keys, key, kPassphrase, kCheap).ok());
    CHECK(store::holds_key(keys, key.public_key()));
    CHECK(mode_of(store::key_path(keys, key.public_key())) == 0600);
    CHECK(mode_of(keys) == 0700);
    CHECK(files_in(keys) == 1);
    const auto opened = store::open_key(keys, key.public_key(), kPassphrase);
    REQUIRE(opened.ok());
    CHECK(opened->public_key() == key.public_key());
    CHECK(opened->sign("row 12") == key.sign("row 12"));
}

TEST_CASE("neither the seed nor the passphrase stands in a key's file") {
    const test::TemporaryFolder folder;
    const SecretKey key = SecretKey::generate();
    REQUIRE(store::keep_key(folder.path(), key, kPassphrase, kCheap).ok());
    const std::string file = test::bytes_of(store::key_path(folder.path(), key.public_key()));
    const auto seed = key.seed();
    const std::string bytes(seed.begin(), seed.end());
    CHECK(file.find(bytes) == std::string::npos);
    CHECK(file.find(store::hex_of(bytes)) == std::string::npos);
    CHECK(file.find(kPassphrase) == std::string::npos);
    // The same key kept twice is not the same file: salt and nonce are drawn anew.
    const test::TemporaryFolder other;
    REQUIRE(store::keep_key(other.path(), key, kPassphrase, kCheap).ok());
    CHECK(file != test::bytes_of(store::key_path(other.path(), key.public_key())));
}

TEST_CASE("a wrong passphrase is told, and changes nothing") {
    const test::TemporaryFolder folder;
    const SecretKey key = SecretKey::generate();
    REQUIRE(store::keep_key(folder.path(), key, kPassphrase, kCheap).ok());
    const fs::path path = store::key_path(folder.path(), key.public_key());
    const std::string before = test::bytes_of(path);
    for (const std::string& wrong :
         {std::string(), kPassphrase + " ", std::string("Harbour wall, 9 bollards")}) {
        const auto opened = store::open_key(folder.path(), key.public_key(), wrong);
        REQUIRE_FALSE(opened.ok());
        CHECK(opened.error().category == Category::bad_input);
        CHECK(opened.error().sentence.english().find("not the passphrase") != std::string::npos);
    }
    CHECK(test::bytes_of(path) == before);
    CHECK(store::open_key(folder.path(), SecretKey::generate().public_key(), kPassphrase).error().category ==
          Category::not_found);
}

TEST_CASE("a passphrase that is too short is refused before anything is written") {
    const test::TemporaryFolder folder;
    const auto kept = store::keep_key(folder / "keys", SecretKey::generate(), "1234567", kCheap);
    REQUIRE_FALSE(kept.ok());
    CHECK(kept.error().category == Category::bad_input);
    CHECK_FALSE(fs::exists(folder / "keys"));
}

TEST_CASE("any byte of a key's file that is changed keeps it from opening") {
    const test::TemporaryFolder folder;
    const SecretKey key = SecretKey::generate();
    REQUIRE(store::keep_key(folder.path(), key, kPassphrase, kCheap).ok());
    const fs::path path = store::key_path(folder.path(), key.public_key());
    const std::string good = test::bytes_of(path);
    for (std::size_t at = 0; at + 1 < good.size(); ++at) {
        std::string changed = good;
        changed[at] = static_cast<char>(changed[at] ^ 1);
        test::write_bytes(path, changed);
        INFO(at << " " << changed);
        CHECK_FALSE(store::open_key(folder.path(), key.public_key(), kPassphrase).ok());
    }
    for (std::size_t size = 0; size + 1 < good.size(); ++size) {
        test::write_bytes(path, good.substr(0, size));
        CHECK_FALSE(store::open_key(folder.path(), key.public_key(), kPassphrase).ok());
    }
    test::write_bytes(path, good);
    CHECK(store::open_key(folder.path(), key.public_key(), kPassphrase).ok());
}

TEST_CASE("a key's file that asks for too much, or that others may read, is refused with what to do") {
    const test::TemporaryFolder folder;
    const SecretKey key = SecretKey::generate();
    REQUIRE(store::keep_key(folder.path(), key, kPassphrase, kCheap).ok());
    const fs::path path = store::key_path(folder.path(), key.public_key());
    const std::string good = test::bytes_of(path);
    std::string greedy = good;
    greedy.replace(greedy.find("\"memory_bytes\":8192"), 19, "\"memory_bytes\":81920000000000");
    test::write_bytes(path, greedy);
    auto opened = store::open_key(folder.path(), key.public_key(), kPassphrase);
    REQUIRE_FALSE(opened.ok());
    CHECK(opened.error().category == Category::damaged);
    CHECK(opened.error().sentence.english().find("memory_bytes") != std::string::npos);
    test::write_bytes(path, good);
    fs::permissions(path, fs::perms(0640));
    opened = store::open_key(folder.path(), key.public_key(), kPassphrase);
    REQUIRE_FALSE(opened.ok());
    CHECK(opened.error().sentence.english().find("chmod 600") != std::string::npos);
    fs::remove(path);
    fs::create_symlink("/etc/hostname", path);
    CHECK_FALSE(store::open_key(folder.path(), key.public_key(), kPassphrase).ok());
}

TEST_CASE("a key is never written over, and one that cannot be written leaves nothing behind") {
    const test::TemporaryFolder folder;
    const SecretKey key = SecretKey::generate();
    REQUIRE(store::keep_key(folder.path(), key, kPassphrase, kCheap).ok());
    const std::string before = test::bytes_of(store::key_path(folder.path(), key.public_key()));
    CHECK(store::keep_key(folder.path(), key, "another passphrase", kCheap).error().category == Category::io);
    CHECK(test::bytes_of(store::key_path(folder.path(), key.public_key())) == before);
    // A file that may not grow is what a full disk looks like to a program.
    const test::TemporaryFolder full;
    rlimit old{};
    REQUIRE(::getrlimit(RLIMIT_FSIZE, &old) == 0);
    const rlimit small{10, old.rlim_max};
    void (*handler)(int) = std::signal(SIGXFSZ, SIG_IGN);
    REQUIRE(::setrlimit(RLIMIT_FSIZE, &small) == 0);
    const auto kept = store::keep_key(full.path(), SecretKey::generate(), kPassphrase, kCheap);
    REQUIRE(::setrlimit(RLIMIT_FSIZE, &old) == 0);
    std::signal(SIGXFSZ, handler);
    REQUIRE_FALSE(kept.ok());
    CHECK(kept.error().category == Category::io);
    CHECK(files_in(full.path()) == 0);
}

TEST_CASE("keys lie where the XDG base directories say") {
    const char* data = std::getenv("XDG_DATA_HOME");
    const char* home = std::getenv("HOME");
    const std::string old_data = data ? data : "", old_home = home ? home : "";
    ::setenv("XDG_DATA_HOME", "/srv/data", 1);
    CHECK(store::key_folder()->string() == "/srv/data/plumbmark/keys");
    ::setenv("XDG_DATA_HOME", "relative", 1);  // the specification: to be passed over
    ::setenv("HOME", "/home/ines", 1);
    CHECK(store::key_folder()->string() == "/home/ines/.local/share/plumbmark/keys");
    ::unsetenv("HOME");
    CHECK(store::key_folder().error().category == Category::not_found);
    data ? ::setenv("XDG_DATA_HOME", old_data.c_str(), 1) : ::unsetenv("XDG_DATA_HOME");
    home ? ::setenv("HOME", old_home.c_str(), 1) : ::unsetenv("HOME");
}
