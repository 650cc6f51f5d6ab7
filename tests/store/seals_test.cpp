// Seals over the journal: the good ones hold, and whatever somebody without the key can do to a file is
// found.
#include "store/seals.h"

#include <SQLiteCpp/SQLiteCpp.h>

#include <catch2/catch.hpp>
#include <random>

#include "store/meet_file.h"
#include "store/past_triggers.h"
#include "store/signing.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

using namespace plumbmark;
using store::MeetFile;
using store::SealReport;
using store::SecretKey;
namespace fs = std::filesystem;

/// A meet that grows by hand, with whatever keys and seals a test wants, good or not.
class Record {
  public:
    explicit Record(const fs::path& path) : path_(path) {
        REQUIRE(MeetFile::create(path, {"Pier Nine Youth Open", "harbour hall", "2026-05-02"}).ok());
    }

    void write(const meet::Change& change) {
        auto file = MeetFile::open(path_);
        REQUIRE(file.ok());
        file->submit(change);
        REQUIRE(file->flush().ok());
    }
    void add_row(const std::string& name) {
        const meet::MeetInfo now = open().loaded().info();
        meet::MeetInfo after = now;
        after.venue = name;
        write({"venue", {{now, after}}, 0});
    }
    MeetFile open() const {
        store::OpenOptions reading;
        reading.read_only = true;
        return std::move(*MeetFile::open(path_, reading));
    }
    meet::KeyId add_key(const SecretKey& key, const SecretKey* signs, meet::KeyId replaces = {}) {
        const MeetFile file = open();
        meet::SigningKey made;
        made.id = {file.loaded().next_id(meet::Kind::key)};
        made.public_key = key.public_key();
        made.holder = "Ines Quay";
        made.added_at = {1'777'000'000'000};
        made.replaces = replaces;
        if (signs)
            made.signature = signs->sign(store::key_statement(file.identity(), signs->public_key(), made));
        write({"key", {{std::nullopt, made}}, 0});
        return made.id;
    }
    meet::Seal seal_of(const SecretKey& key, meet::KeyId id, std::int64_t row) const {
        const MeetFile file = open();
        meet::Seal seal{{file.loaded().next_id(meet::Kind::seal)},
                        row,
                        file.journal(row, 1)->front().sha256,
                        id,
                        {1'777'000'000'500},
                        "",
                        {}};
        seal.signature = key.sign(store::seal_statement(file.identity(), key.public_key(), seal));
        return seal;
    }
    meet::Seal add_seal(const SecretKey& key, meet::KeyId id) {
        const meet::Seal seal = seal_of(key, id, open().rows_at_open());
        write({"seal", {{std::nullopt, seal}}, 0});
        return seal;
    }
    SealReport report() const {
        const auto found = store::verify_seals(path_);
        REQUIRE(found.ok());
        return *found;
    }

  private:
    fs::path path_;
};

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
        text.replace(at, from.size(), to);
    return text;
}

/// Puts other words into the rows of a journal, and chains them anew.
void chain_anew(SQLite::Database& db, const std::string& words, const std::string& others) {
    std::string previous_before, previous_now;
    const int rows = db.execAndGet("SELECT max(number) FROM journal").getInt();
    for (int row = 1; row <= rows; ++row) {
        SQLite::Statement stored(
            db, "SELECT previous, json, sha256 FROM journal WHERE number = " + std::to_string(row));
        REQUIRE(stored.executeStep());
        const std::string before = stored.getColumn(2).getString();
        std::string previous = stored.getColumn(0).getString();
        std::string json = replaced(stored.getColumn(1).getString(), words, others);
        stored.reset();
        if (row > 1) {
            json = replaced(json, "\"previous\":\"" + previous_before, "\"previous\":\"" + previous_now);
            previous = previous_now;
        }
        SQLite::Statement change(db,
                                 "UPDATE journal SET previous = ?, json = ?, sha256 = ? WHERE number = ?");
        change.bind(1, previous);
        change.bind(2, json);
        change.bind(3, store::sha256_hex(json));
        change.bind(4, row);
        change.exec();
        previous_before = before;
        previous_now = store::sha256_hex(json);
    }
}

/// Puts other words into a journal and the tables: what somebody can do who knows the format and has the
/// file, but no key.
void write_anew(const fs::path& path, const std::string& words, const std::string& others) {
    SQLite::Database db(path.string(), SQLite::OPEN_READWRITE);
    test::past_triggers(db, [&] {
        chain_anew(db, words, others);
        db.exec("UPDATE meet SET venue = replace(venue, '" + words.substr(1) + "', '" + others.substr(1) +
                "')");
    });
}

}  // namespace

TEST_CASE("a seal holds for its row, and rows after it are told as not sealed") {
    const test::TemporaryFolder folder;
    Record record(folder / "a.meet");
    CHECK(record.report().sealed_up_to() == 0);
    const SecretKey key = SecretKey::generate();
    const meet::KeyId id = record.add_key(key, nullptr);
    record.add_row("quay");
    record.add_seal(key, id);
    record.add_row("mole");
    const SealReport report = record.report();
    CHECK(report.problem.empty());
    CHECK(report.rows == 5);
    CHECK(report.sealed_up_to() == 3);
    REQUIRE(report.keys.size() == 1);
    CHECK(report.keys[0].key.holder == "Ines Quay");
    CHECK(report.keys[0].row == 2);
    CHECK(report.keys[0].until == 0);
    CHECK_FALSE(report.keys[0].gap);
    CHECK(store::verify_chain(folder / "a.meet")->whole);
}

TEST_CASE("what a seal signs is canonical JSON that names meet, row, hash, key, time and publication") {
    const meet::Seal seal{{4}, 12, std::string(64, 'a'), {1}, {1'777'000'000'500}, "", {}};
    CHECK(store::seal_statement(std::string(32, '5'), std::string(64, 'b'), seal) ==
          R"({"at_ms":1777000000500,"format":"plumbmark-seal/1","key":")" + std::string(64, 'b') +
              R"(","meet":")" + std::string(32, '5') + R"(","publication":null,"row":12,"sha256":")" +
              std::string(64, 'a') + "\"}");
    meet::SigningKey key;
    key.public_key = std::string(64, 'c');
    key.added_at = {5};
    CHECK(store::key_statement(std::string(32, '5'), std::string(64, 'b'), key) ==
          R"({"added_at_ms":5,"capacity":"head_judge","format":"plumbmark-key/1","key":")" +
              std::string(64, 'c') + R"(","meet":")" + std::string(32, '5') + R"(","replaces":")" +
              std::string(64, 'b') + "\"}");
}

TEST_CASE("a seal with any member changed, or with another key's signature, is named as the first fault") {
    const test::TemporaryFolder folder;
    int number = 0;
    const auto problem_with = [&](const auto& spoil) {
        Record record(folder / (std::to_string(++number) + ".meet"));
        const SecretKey key = SecretKey::generate();
        const meet::KeyId id = record.add_key(key, nullptr);
        record.add_row("quay");
        meet::Seal seal = record.seal_of(key, id, 3);
        spoil(seal, record);
        record.write({"seal", {{std::nullopt, seal}}, 0});
        const SealReport report = record.report();
        CHECK(report.sealed_up_to() == 0);
        // The chain itself is in order: only the seal tells.
        CHECK(store::verify_chain(folder / (std::to_string(number) + ".meet"))->whole);
        return report.problem;
    };
    const std::string by_another = "carries a signature that is not the one of its key";
    const auto has = [](const std::string& text, const std::string& words) {
        INFO(text);
        return text.find("seal 1, of journal row 4, " + words) == 0;
    };
    CHECK(has(problem_with([](meet::Seal& seal, Record&) { seal.at.ms += 1; }), by_another));
    CHECK(has(problem_with([](meet::Seal& seal, Record&) {
                  seal.signature[5] = seal.signature[5] == '0' ? '1' : '0';
              }),
              by_another));
    CHECK(has(problem_with([](meet::Seal& seal, Record& record) {
                  seal.signature = record.seal_of(SecretKey::generate(), seal.key, 3).signature;
              }),
              by_another));
    CHECK(has(problem_with([](meet::Seal& seal, Record& record) {
                  seal.row = 2;
                  seal.row_sha256 = record.open().journal(2, 1)->front().sha256;
              }),
              by_another));
    CHECK(has(problem_with([](meet::Seal& seal, Record&) { seal.row = 2; }), "was made for another row 2"));
    CHECK(has(problem_with([](meet::Seal& seal, Record&) { seal.row = 4; }),
              "signs a row that is not before it"));
    CHECK(has(problem_with([](meet::Seal& seal, Record&) { seal.row = 9'000'000'000; }),
              "signs a row that is not before it"));
}

TEST_CASE("a seal of one meet does not hold in another") {
    const test::TemporaryFolder folder;
    Record one(folder / "one.meet"), other(folder / "other.meet");
    const SecretKey key = SecretKey::generate();
    const meet::KeyId id = one.add_key(key, nullptr);
    (void)other.add_key(key, nullptr);
    meet::Seal seal = one.seal_of(key, id, 2);
    seal.row_sha256 = other.open().journal(2, 1)->front().sha256;
    other.write({"seal", {{std::nullopt, seal}}, 0});
    CHECK(other.report().problem.find("carries a signature that is not") != std::string::npos);
}

TEST_CASE("keys follow one another, each signed by the one before, or with a gap that is told") {
    const test::TemporaryFolder folder;
    Record record(folder / "a.meet");
    const SecretKey first = SecretKey::generate(), second = SecretKey::generate(),
                    third = SecretKey::generate();
    const meet::KeyId one = record.add_key(first, nullptr);
    record.add_seal(first, one);
    const meet::KeyId two = record.add_key(second, &first, one);
    record.add_seal(second, two);
    const meet::KeyId three = record.add_key(third, nullptr, two);
    record.add_seal(third, three);
    const SealReport report = record.report();
    CHECK(report.problem.empty());
    CHECK(report.sealed_up_to() == 6);
    REQUIRE(report.keys.size() == 3);
    CHECK(report.keys[0].until == 4);
    CHECK_FALSE(report.keys[1].gap);
    CHECK(report.keys[2].gap);
    CHECK(report.keys[2].until == 0);
}

TEST_CASE("a key that is not in force signs nothing, and none comes past the one in force") {
    const test::TemporaryFolder folder;
    {
        Record record(folder / "old-key.meet");
        const SecretKey first = SecretKey::generate(), second = SecretKey::generate();
        const meet::KeyId one = record.add_key(first, nullptr);
        (void)record.add_key(second, &first, one);
        record.add_seal(first, one);
        CHECK(record.report().problem.find("is made with a key that was not in force") != std::string::npos);
    }
    {
        Record record(folder / "early.meet");
        const SecretKey key = SecretKey::generate();
        const meet::KeyId id = record.add_key(key, nullptr);
        record.write({"seal", {{std::nullopt, record.seal_of(key, id, 1)}}, 0});
        CHECK(record.report().problem.find("signs row 1, from before its key came") != std::string::npos);
    }
    {
        Record record(folder / "second-first.meet");
        (void)record.add_key(SecretKey::generate(), nullptr);
        (void)record.add_key(SecretKey::generate(), nullptr);
        CHECK(record.report().problem.find("does not replace the key that was in force") !=
              std::string::npos);
    }
    {
        Record record(folder / "stranger.meet");
        const SecretKey stranger = SecretKey::generate();
        const meet::KeyId one = record.add_key(SecretKey::generate(), nullptr);
        (void)record.add_key(stranger, &stranger, one);
        CHECK(record.report().problem.find(
                  "carries a signature that is not the one of the key it replaces") != std::string::npos);
    }
    {
        Record record(folder / "changed.meet");
        const SecretKey key = SecretKey::generate();
        const meet::KeyId id = record.add_key(key, nullptr);
        const meet::SigningKey now = record.open().loaded().keys().at(id);
        meet::SigningKey nameless = now;
        nameless.holder.clear();
        record.write({"name gone on request", {{now, nameless}}, 0});
        CHECK(record.report().problem.empty());
        meet::SigningKey other = nameless;
        other.public_key = SecretKey::generate().public_key();
        record.write({"exchanged", {{nameless, other}}, 0});
        CHECK(record.report().problem.find("changes signing key 1, which is never changed") !=
              std::string::npos);
    }
}

TEST_CASE("an undone seal and an undone key are read from the journal all the same") {
    const test::TemporaryFolder folder;
    Record record(folder / "a.meet");
    const SecretKey first = SecretKey::generate(), second = SecretKey::generate();
    const meet::KeyId one = record.add_key(first, nullptr);
    const meet::Seal seal = record.add_seal(first, one);
    record.write({"undo", {{seal, std::nullopt}}, 3});
    const meet::KeyId two = record.add_key(second, &first, one);
    const meet::SigningKey added = record.open().loaded().keys().at(two);
    record.write({"undo", {{added, std::nullopt}}, 5});
    record.add_seal(first, one);
    const SealReport report = record.report();
    CHECK(report.problem.empty());
    REQUIRE(report.seals.size() == 2);
    CHECK(report.seals[0].taken_back == 4);
    CHECK(report.sealed_up_to() == 6);
    REQUIRE(report.keys.size() == 2);
    CHECK(report.keys[0].until == 0);
    CHECK(report.keys[1].until == 6);
}

TEST_CASE("a record that was written anew up to its seal is found by the seal where the chain says nothing") {
    const test::TemporaryFolder folder;
    const fs::path path = folder / "a.meet";
    Record record(path);
    const SecretKey key = SecretKey::generate();
    const meet::KeyId id = record.add_key(key, nullptr);
    record.add_row("quay");
    record.add_seal(key, id);
    record.add_row("quay again");
    CHECK(record.report().problem.empty());
    write_anew(path, "\"quay", "\"mole");
    CHECK(record.open().loaded().info().venue == "mole again");
    CHECK(store::verify_chain(path)->whole);
    CHECK(record.report().problem.find("was made for another row 3 than the one that stands there") !=
          std::string::npos);
}

TEST_CASE("a seal line reads back, however it was written down, and a slip of the pen is told") {
    std::mt19937_64 random(11);
    for (int i = 0; i < 200; ++i) {
        const std::string hash = store::sha256_hex(std::to_string(i));
        const store::SealLine line{static_cast<std::int64_t>(random() % 1'000'000 + 1), hash};
        const std::string text = store::seal_line_text(line);
        CHECK(*store::read_seal_line(text) == line);
        std::string loud = "  " + text + "\n";
        std::transform(loud.begin(), loud.end(), loud.begin(),
                       [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
        loud.insert(20, " ");
        CHECK(*store::read_seal_line(loud) == line);
        // One digit of the hash read wrongly: four check digits let one in 65,536 pass.
        std::string slip = text;
        const std::size_t at = text.size() - 30;
        if (slip[at] == '-') continue;
        slip[at] = slip[at] == 'a' ? 'b' : 'a';
        if (slip == text) continue;
        const auto read = store::read_seal_line(slip);
        REQUIRE_FALSE(read.ok());
        CHECK(read.error().sentence.english().find("something was copied wrongly") != std::string::npos);
    }
    const std::string good = store::seal_line_text({7, std::string(64, 'a')});
    CHECK(good.find("PM1-7-aaaaaaaa-aaaaaaaa-") == 0);
    for (const std::string& bad :
         {std::string(), std::string("PM1"), good.substr(0, 40), "PM2" + good.substr(3),
          "PM1-0" + good.substr(5), "PM1--7" + good.substr(5), std::string(5'000, '-'),
          std::string("PM1-7-\xff\xfe-1234")}) {
        INFO(bad);
        CHECK_FALSE(store::read_seal_line(bad).ok());
    }
}
