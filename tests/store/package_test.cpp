// Sealed packages: a folder and a zip verify alike, any byte that is changed is found and its file named, and
// nothing that a hostile package does is followed.
#include "store/package.h"

#include <sys/resource.h>
#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <random>

#include "store/internal/workshop.h"
#include "store/meet_file.h"
#include "store/packed_review.h"
#include "store/raw_zip.h"
#include "store/seals.h"
#include "support/file_bytes.h"
#include "support/run_program.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

using namespace plumbmark;
using base::Category;
using store::PackageFacts;
using store::PackageFile;
using store::PackageReading;
using store::SecretKey;
using test::RawEntry;
namespace fs = std::filesystem;

std::string noise(std::size_t size) {
    std::mt19937 random(size);
    std::string bytes;
    while (bytes.size() < size)
        bytes.push_back(static_cast<char>(random()));
    return bytes;
}

const std::vector<PackageFile> kFiles{{"ruling.json", "{\"sentence\": \"fail\"}\n"},
                                      {"stills/1-clip-1-frame-12-not-yet.png", noise(700)},
                                      {"empty.txt", ""},
                                      {"course-book.course", std::string(3'000, 'x')}};

PackageFacts facts_of(const SecretKey& key) {
    return {std::string(32, '5'), 12,          std::string(64, 'a'),
            key.public_key(),     "Ines Quay", meet::Capacity::head_judge,
            {1'777'000'000'000}};
}

/// One package in both forms.
struct Packages {
    test::TemporaryFolder folder;
    SecretKey key = SecretKey::generate();
    fs::path plain = folder / "package";
    fs::path zip = folder / "package.zip";

    Packages() {
        REQUIRE(store::write_package(plain, facts_of(key), kFiles, key).ok());
        REQUIRE(store::write_package(zip, facts_of(key), kFiles, key).ok());
    }
    /// Its files as entries of a zip that a test can spoil.
    std::vector<RawEntry> entries() const {
        std::vector<RawEntry> all;
        for (const auto& at : fs::recursive_directory_iterator(plain)) {
            if (at.is_regular_file())
                all.push_back({fs::relative(at.path(), plain).string(), test::bytes_of(at.path())});
        }
        return all;
    }
};

bool names(const PackageReading& reading, const std::string& file) {
    for (const std::string& problem : reading.problems) {
        if (problem.find(file) != std::string::npos) return true;
    }
    return false;
}

std::string refusal(const std::vector<RawEntry>& entries) {
    const auto reading = store::read_package_bytes(test::raw_zip(entries));
    if (reading) return "taken";
    CHECK(reading.error().category == Category::damaged);
    return reading.error().sentence;
}

}  // namespace

TEST_CASE("a package reads back as it was written, as a folder and as a zip") {
    const Packages packages;
    for (const fs::path& path : {packages.plain, packages.zip}) {
        CHECK(store::looks_like_package(path));
        const auto reading = store::read_package(path);
        REQUIRE(reading.ok());
        CHECK(reading->problems.empty());
        CHECK(reading->facts == facts_of(packages.key));
        CHECK(reading->files.size() == kFiles.size() + 1);
        for (const PackageFile& file : kFiles)
            CHECK(std::count(reading->files.begin(), reading->files.end(), file) == 1);
    }
    const auto again = store::read_package_bytes(test::raw_zip(packages.entries()));
    REQUIRE(again.ok());
    CHECK(again->problems.empty());
}

TEST_CASE("the same input gives the same package, byte for byte") {
    const Packages packages;
    REQUIRE(store::write_package(packages.folder / "again.zip", facts_of(packages.key), kFiles, packages.key)
                .ok());
    CHECK(test::bytes_of(packages.folder / "again.zip") == test::bytes_of(packages.zip));
}

TEST_CASE("any single byte that is changed in any file of a package is found, and the file named") {
    const Packages packages;
    std::mt19937 random(9);
    std::size_t changed = 0;
    for (const RawEntry& entry : packages.entries()) {
        const fs::path path = packages.plain / entry.name;
        std::vector<std::size_t> places;
        for (std::size_t at = 0; at < entry.bytes.size(); ++at)
            places.push_back(at);
        std::shuffle(places.begin(), places.end(), random);
        places.resize(std::min<std::size_t>(places.size(), 150));
        for (const std::size_t at : places) {
            std::string bytes = entry.bytes;
            bytes[at] = static_cast<char>(bytes[at] ^ (1 << random() % 8));
            test::write_bytes(path, bytes);
            const auto reading = store::read_package(packages.plain);
            INFO(entry.name << " byte " << at);
            REQUIRE(reading.ok());
            REQUIRE(names(*reading, entry.name));
            ++changed;
        }
        for (const std::string& bytes : {entry.bytes + "x", entry.bytes.substr(0, entry.bytes.size() / 2)}) {
            if (bytes == entry.bytes) continue;
            test::write_bytes(path, bytes);
            INFO(entry.name << " with " << bytes.size() << " bytes");
            CHECK(names(*store::read_package(packages.plain), entry.name));
        }
        test::write_bytes(path, entry.bytes);
    }
    CHECK(changed > 600);
    CHECK(store::read_package(packages.plain)->problems.empty());
}

TEST_CASE("any single byte that is changed in a file of a zipped package is found, and the file named") {
    const Packages packages;
    const std::vector<RawEntry> entries = packages.entries();
    std::mt19937 random(10);
    for (std::size_t i = 0; i < entries.size(); ++i) {
        for (int times = 0; times < 60 && !entries[i].bytes.empty(); ++times) {
            std::vector<RawEntry> changed = entries;
            char& byte = changed[i].bytes[random() % changed[i].bytes.size()];
            byte = static_cast<char>(byte ^ (1 << random() % 8));
            const auto reading = store::read_package_bytes(test::raw_zip(changed));
            REQUIRE(reading.ok());
            REQUIRE(names(*reading, entries[i].name));
        }
    }
}

TEST_CASE(
    "whatever byte of the zip itself is changed, all files come out as they were signed or it is told") {
    const Packages packages;
    const std::string good = test::bytes_of(packages.zip);
    std::mt19937 random(12);
    for (int times = 0; times < 1'500; ++times) {
        std::string bytes = good;
        char& byte = bytes[random() % bytes.size()];
        byte = static_cast<char>(byte ^ (1 << random() % 8));
        const auto reading = store::read_package_bytes(bytes);
        if (!reading || !reading->problems.empty()) continue;
        // Times, and the like, are not what was signed.
        CHECK(reading->facts == facts_of(packages.key));
        for (const PackageFile& file : kFiles)
            CHECK(std::count(reading->files.begin(), reading->files.end(), file) == 1);
    }
    for (std::size_t size = 0; size < good.size(); size += 37)
        CHECK_FALSE(store::read_package_bytes(std::string_view(good).substr(0, size)).ok());
}

TEST_CASE("files that are missing, or that nobody signed, are named") {
    const Packages packages;
    fs::remove(packages.plain / "ruling.json");
    test::write_bytes(packages.plain / "stills" / "Extra Still.png", "x");
    test::write_bytes(packages.plain / ".hidden", "x");
    const auto reading = store::read_package(packages.plain);
    REQUIRE(reading.ok());
    CHECK(reading->problems.size() == 3);
    CHECK(names(*reading, "ruling.json: missing"));
    CHECK(names(*reading, "'stills/Extra Still.png': in the package, and the manifest does not name it"));
    CHECK(names(*reading, "'.hidden'"));
    fs::remove(packages.plain / "manifest.sig");
    CHECK(names(*store::read_package(packages.plain), "manifest.sig: missing"));
    fs::remove(packages.plain / "manifest.json");
    CHECK(store::read_package(packages.plain).error().category == Category::bad_input);
    CHECK(store::read_package(packages.folder / "nothing").error().category == Category::not_found);
}

TEST_CASE("a package that was signed anew with another key says whose key it is") {
    const Packages packages;
    const SecretKey other = SecretKey::generate();
    REQUIRE(store::write_package(packages.folder / "forged", facts_of(other), kFiles, other).ok());
    const auto reading = store::read_package(packages.folder / "forged");
    CHECK(reading->problems.empty());
    CHECK(reading->facts.public_key == other.public_key());
    // The old signature over the new manifest, or the old key beside it, does not pass.
    fs::copy_file(packages.plain / "manifest.sig", packages.folder / "forged" / "manifest.sig",
                  fs::copy_options::overwrite_existing);
    CHECK(names(*store::read_package(packages.folder / "forged"),
                "manifest.sig: not the signature of manifest.json"));
}

TEST_CASE("names that lead out of a package, hide, or are two on other systems are no package's") {
    for (const char* good : {"a", "ruling.json", "stills/1-clip-1.png", "a/b/c.d_e-f"})
        CHECK(store::good_package_path(good));
    for (const std::string& bad :
         {std::string(), std::string("/a"), std::string("../a"), std::string("a/../b"), std::string("a//b"),
          std::string("a/"), std::string("./a"), std::string(".a"), std::string("a/.b"), std::string("a\\b"),
          std::string("c:a"), std::string("A"), std::string("a b"), std::string("a\0b", 3),
          std::string("\xC3\xA4"), std::string("a."), std::string("a/b/c/d"), std::string(121, 'a')})
        CHECK_FALSE(store::good_package_path(bad));
}

TEST_CASE("a zip that means harm is refused with the name of what is wrong in it") {
    const Packages packages;
    const std::vector<RawEntry> good = packages.entries();
    const auto with = [&](const RawEntry& one) {
        std::vector<RawEntry> entries = good;
        entries.push_back(one);
        return refusal(entries);
    };
    for (const char* name :
         {"../out.json", "/etc/passwd", "a/../../out", "c:\\out", "..\\out", "Ruling.json"})
        CHECK(with({name, "x"}).find("a file named") != std::string::npos);
    CHECK(with({"ruling.json", "x"}) != "taken");  // libzip itself tells a name that comes twice, or we do
    CHECK(with({"link.png", "/etc/passwd", 0120777}).find("'link.png' is a link or a device") !=
          std::string::npos);
    CHECK(with({"pipe.png", "", 0010644}).find("'pipe.png' is a link or a device") != std::string::npos);
    CHECK(with({"secret.png", "x", 0100644, 1}).find("'secret.png' is encrypted") != std::string::npos);
    CHECK(with({"odd.png", "x", 0100644, 0, 12}) != "taken");  // bzip2
    std::vector<RawEntry> many;
    for (int i = 0; i < 3'000; ++i)
        many.push_back({"f" + std::to_string(i), ""});
    CHECK(refusal(many).find("it lists 3000 files") != std::string::npos);
    std::vector<RawEntry> some(many.begin(), many.begin() + 1'500);
    CHECK(refusal(some).find("it holds 1500 files") != std::string::npos);
    // The long form could list more than anybody counts.
    std::string long_form = test::raw_zip(good);
    long_form.insert(long_form.size() - 22, "PK\6\7" + std::string(16, '\0'));
    CHECK(store::read_package_bytes(long_form).error().sentence.english().find("zip64") != std::string::npos);
}

TEST_CASE("a file that unpacks to more than the manifest says is not read beyond it") {
    const Packages packages;
    std::vector<RawEntry> entries = packages.entries();
    for (RawEntry& entry : entries) {
        if (entry.name == "ruling.json") entry.claimed_size = 4'000'000'000;
    }
    const auto reading = store::read_package_bytes(test::raw_zip(entries));
    if (reading) CHECK(names(*reading, "ruling.json: changed: it has 4000000000 bytes"));
    entries = packages.entries();
    for (RawEntry& entry : entries) {
        if (entry.name == "manifest.json") entry.claimed_size = 4'000'000'000;
    }
    CHECK_FALSE(store::read_package_bytes(test::raw_zip(entries)).ok());
}

TEST_CASE("links, pipes and deep folders in a package's folder are refused, and not followed") {
    const Packages packages;
    fs::create_symlink("/etc/hostname", packages.plain / "link.txt");
    auto reading = store::read_package(packages.plain);
    REQUIRE_FALSE(reading.ok());
    CHECK(reading.error().sentence.english().find("'link.txt' is a link or a device") != std::string::npos);
    fs::remove(packages.plain / "link.txt");
    fs::remove(packages.plain / "ruling.json");
    fs::create_symlink(packages.zip, packages.plain / "ruling.json");
    CHECK(store::read_package(packages.plain).error().category == Category::damaged);
    fs::remove(packages.plain / "ruling.json");
    fs::create_directory_symlink("/usr", packages.plain / "folder");
    CHECK(store::read_package(packages.plain).error().category == Category::damaged);
    fs::remove(packages.plain / "folder");
    REQUIRE(::mkfifo((packages.plain / "pipe").c_str(), 0600) == 0);
    CHECK(store::read_package(packages.plain).error().category == Category::damaged);
    fs::remove(packages.plain / "pipe");
    fs::create_directories(packages.plain / "1/2/3/4/5/6/7/8/9");
    CHECK(store::read_package(packages.plain).error().sentence.english().find("nested deeper") !=
          std::string::npos);
    fs::remove_all(packages.plain / "1");
    test::write_bytes(packages.plain / "Ruling.json", "x");
    test::write_bytes(packages.plain / "ruling.json", "x");
    CHECK(store::read_package(packages.plain).error().sentence.english().find("differ in capitals only") !=
          std::string::npos);
}

TEST_CASE("a manifest that is no manifest is told with its member, and nothing else is believed") {
    const Packages packages;
    const std::string good = test::bytes_of(packages.plain / "manifest.json");
    const auto problem_with = [&](const std::string& text) {
        test::write_bytes(packages.plain / "manifest.json", text);
        const auto reading = store::read_package(packages.plain);
        REQUIRE(reading.ok());
        REQUIRE_FALSE(reading->problems.empty());
        CHECK(reading->files.empty());
        return reading->problems.front();
    };
    const auto replaced = [&](const std::string& from, const std::string& to) {
        std::string text = good;
        text.replace(text.find(from), from.size(), to);
        return text;
    };
    CHECK(problem_with("{").find("manifest.json: cannot be read") == 0);
    CHECK(problem_with(std::string(200, '[') + std::string(200, ']')).find("nested deeper") !=
          std::string::npos);
    CHECK(problem_with(good + "\n").find("not in canonical form") != std::string::npos);
    CHECK(problem_with(replaced("\"row\":12", "\"row\":12,\"row\":13")).find("stands twice") !=
          std::string::npos);
    CHECK(problem_with(replaced("\"empty.txt\"", "\"../y.txt\"")).find("files[1].path") != std::string::npos);
    CHECK(problem_with(replaced("plumbmark-package/1", "plumbmark-package/2")).find("format") !=
          std::string::npos);
    CHECK(problem_with(replaced("\"size\":0}", "\"size\":9000000000}")).find("files[") != std::string::npos);
}

TEST_CASE("a package is never written over what is there, and one that cannot be written leaves nothing") {
    const Packages packages;
    const auto count = [&] { return std::distance(fs::directory_iterator(packages.folder.path()), {}); };
    const auto before = count();
    for (const fs::path& path : {packages.plain, packages.zip})
        CHECK(store::write_package(path, facts_of(packages.key), kFiles, packages.key).error().category ==
              Category::io);
    rlimit old{};
    REQUIRE(::getrlimit(RLIMIT_FSIZE, &old) == 0);
    const rlimit small{1'000, old.rlim_max};
    void (*handler)(int) = std::signal(SIGXFSZ, SIG_IGN);
    for (const char* name : {"full", "full.zip"}) {
        REQUIRE(::setrlimit(RLIMIT_FSIZE, &small) == 0);
        const auto written =
            store::write_package(packages.folder / name, facts_of(packages.key), kFiles, packages.key);
        REQUIRE(::setrlimit(RLIMIT_FSIZE, &old) == 0);
        REQUIRE_FALSE(written.ok());
        CHECK(written.error().category == Category::io);
    }
    std::signal(SIGXFSZ, handler);
    CHECK(count() == before);
    CHECK_FALSE(
        store::write_package("/proc/nothing/package", facts_of(packages.key), kFiles, packages.key).ok());
}

TEST_CASE("a package whose writing is stopped leaves nothing, in both forms") {
    const Packages packages;
    std::stop_source stop;
    stop.request_stop();
    for (const char* name : {"stopped", "stopped.zip"}) {
        const auto written = store::write_package(packages.folder / name, facts_of(packages.key), kFiles,
                                                  packages.key, stop.get_token());
        REQUIRE_FALSE(written.ok());
        CHECK(written.error().category == Category::cancelled);
    }
    CHECK(std::distance(fs::directory_iterator(packages.folder.path()), {}) == 2);
}

TEST_CASE("what is left of a package is known by a lock that nobody holds, and by nothing less") {
    const test::TemporaryFolder folder;
    const fs::path out = folder / "package";
    const auto folder_with = [&](const char* name, const std::vector<const char*>& files) {
        fs::create_directory(folder / name);
        for (const char* file : files)
            test::write_bytes(folder / name / file, "");
        return folder / name;
    };
    const fs::path left = folder_with(".package-aaaaaa", {"plumbmark-is-packing", "made"});
    const std::vector<fs::path> kept{folder_with(".package-bbbbbb", {"made"}),
                                     folder_with(".package-cccccc", {"plumbmark-is-packing", "a letter"}),
                                     folder_with(".package-ddddddd", {"plumbmark-is-packing"}),
                                     folder_with("package-eeeeee", {"plumbmark-is-packing"})};
    fs::create_directory(folder / "elsewhere");
    test::write_bytes(folder / "elsewhere/plumbmark-is-packing", "");
    fs::create_directory_symlink(folder / "elsewhere", folder / ".package-ffffff");
    {
        const store::Workshop open(out);
        REQUIRE(open.open());
        CHECK(store::remove_package_leftovers(out) == std::vector<fs::path>{left});
        test::write_bytes(open.made(), "is still there");
        CHECK(store::remove_package_leftovers(out).empty());
    }
    for (const fs::path& one : kept)
        CHECK(fs::exists(one));
    CHECK(fs::exists(folder / "elsewhere/plumbmark-is-packing"));
    CHECK_FALSE(fs::exists(left));
    CHECK(store::remove_package_leftovers(folder / "not-there/package").empty());
}

TEST_CASE(
    "packages that the openssl, sha256sum and zip programs made hold (tests/fuzz/make-package-corpus)") {
    const fs::path corpus = test::source_folder() / "tests/fuzz/corpus/package";
    for (const char* name : {"one-file.zip", "two-files.zip"}) {
        const auto reading = store::read_package(corpus / name);
        REQUIRE(reading.ok());
        CHECK(reading->problems.empty());
        CHECK(reading->facts.holder == "Ines Quay");
        CHECK(reading->facts.row == 12);
    }
    CHECK(store::read_packed_review(test::bytes_of(corpus / "review.json")).ok());
    CHECK(*store::read_seal_line(test::bytes_of(corpus / "line.txt")) ==
          store::SealLine{7, std::string(64, 'b')});
}

TEST_CASE("other programs read our packages: sha256sum, openssl and unzip agree") {
    const Packages packages;
    const std::string at = "cd '" + packages.plain.string() + "' && ";
    for (const PackageFile& file : kFiles) {
        const std::string sum = test::run_line(at + "sha256sum '" + file.path + "'").words.substr(0, 64);
        CHECK(sum == store::sha256_hex(file.bytes));
        CHECK(test::bytes_of(packages.plain / "manifest.json").find(sum) != std::string::npos);
    }
    if (test::run_line("openssl version 2>/dev/null").words.find("OpenSSL 3") == 0) {
        const std::string verify =
            "openssl pkeyutl -verify -pubin -inkey key.pem -rawin -in manifest.json -sigfile manifest.sig "
            "2>&1";
        CHECK(test::run_line(at + verify).code == 0);
    } else {
        WARN("there is no openssl program of version 3 to ask");
    }
    if (test::run_line("unzip -v 2>/dev/null").code == 0) {
        CHECK(test::run_line("unzip -tq '" + packages.zip.string() + "' 2>&1").code == 0);
    } else {
        WARN("there is no unzip program to ask");
    }
}
