#include "review/sealing.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>

#include "base/text.h"
#include "base/worded.h"
#include "meet/appeals.h"
#include "review/competition.h"
#include "store/meet_file.h"
#include "store/signing.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
namespace fs = std::filesystem;

Result<void> write(store::MeetFile& file, const meet::Change& change) {
    meet::State state = file.loaded();
    if (Result<void> applied = state.apply(change); !applied) return applied;
    file.submit(change);
    return file.flush();
}

/// Signs the new key with the one that it replaces.
Result<void> endorse(meet::SigningKey& key, const meet::SigningKey& before, const NewKey& wish,
                     const std::string& meet) {
    const Result<store::SecretKey> old = store::open_key(wish.folder, before.public_key, wish.old_passphrase);
    if (!old) return old.error();
    key.signature = old->sign(store::key_statement(meet, before.public_key, key));
    return {};
}

const meet::Seal* seal_in(const meet::Change& change) {
    for (const meet::Edit& edit : change.edits) {
        const auto* seal = edit.after && !edit.before ? std::get_if<meet::Seal>(&*edit.after) : nullptr;
        if (seal != nullptr) return seal;
    }
    return nullptr;
}

/// Of the last row of the file; not fresh where that row is a seal of the row before already.
Result<SealMade> seal_of(const store::MeetFile& file, const fs::path& meet_file, const store::SecretKey& key,
                         meet::PublicationId publication) {
    const std::optional<meet::SigningKey> in_force = key_in_force(file.loaded());
    if (!in_force || in_force->public_key != key.public_key())
        return Error{Category::bad_input, worded("This key is not the one that signs for the meet now."),
                     meet_file.string()};
    const std::int64_t last = file.rows_at_open();
    const auto changes = file.changes(last, 1);
    if (!changes) return changes.error();
    const meet::Seal* there = changes->empty() ? nullptr : seal_in(changes->front());
    if (there != nullptr && there->row == last - 1 && there->key == in_force->id)
        return SealMade{*there, false, store::seal_line_text({there->row, there->row_sha256})};
    const auto rows = file.journal(last, 1);
    if (!rows) return rows.error();
    meet::Seal seal{{}, last, rows->front().sha256, in_force->id, now(), "", publication};
    seal.signature = key.sign(store::seal_statement(file.identity(), key.public_key(), seal));
    return SealMade{seal, true, store::seal_line_text({seal.row, seal.row_sha256})};
}

std::string sealed_words(const store::SealReport& report) {
    const std::int64_t last = report.sealed_up_to();
    if (last == 0)
        return report.keys.empty() ? "The record is not sealed: this meet has no signing key."
                                   : "The record is not sealed yet.";
    const auto seal = std::find_if(report.seals.rbegin(), report.seals.rend(),
                                   [last](const auto& history) { return history.seal.row == last; });
    const meet::SigningKey& key = report.history_of(seal->seal.key)->key;
    std::string words =
        fmt::format("The record is sealed up to row {} of {}, by {}, {}.", last, report.rows,
                    holder_words(key.holder, key.capacity).english(), time_words(seal->seal.at));
    const std::int64_t behind = report.rows - last - (seal->row == last + 1 ? 1 : 0);
    if (behind > 0)
        words += fmt::format(" {} after it {} not sealed.", base::counted(behind, "row"),
                             behind == 1 ? "is" : "are");
    return words;
}

std::string key_words(const store::KeyHistory& history) {
    std::string words =
        fmt::format("Key of {}, from row {}",
                    holder_words(history.key.holder, history.key.capacity).english(), history.row);
    if (history.until > 0) words += fmt::format(" until row {}", history.until);
    words += ": fingerprint " + store::key_fingerprint(history.key.public_key) + ".";
    if (history.gap)
        words +=
            " The key before it did not sign it, as it was lost: anybody who had this file could have put it "
            "there. Ask its holder for the fingerprint.";
    return words;
}

}  // namespace

std::optional<meet::SigningKey> key_in_force(const meet::State& state) {
    for (const auto& [id, key] : state.keys()) {
        const bool replaced =
            std::any_of(state.keys().begin(), state.keys().end(),
                        [id = id](const auto& other) { return other.second.replaces == id; });
        if (!replaced) return key;
    }
    return std::nullopt;
}

Result<void> check_new_key(const meet::State& state, const NewKey& wish) {
    const std::optional<meet::SigningKey> now = key_in_force(state);
    if (base::trimmed(wish.holder).empty())
        return Error{Category::bad_input, worded("Say whose key it is, with the name of its holder."), ""};
    if (wish.change == KeyChange::first && now)
        return Error{Category::bad_input,
                     worded("This meet has a key already, of {}. Replace that one.",
                            holder_words(now->holder, now->capacity)),
                     ""};
    if (wish.change != KeyChange::first && !now)
        return Error{Category::bad_input,
                     worded("This meet has no key yet that could be replaced. Make its first one."), ""};
    if (wish.change == KeyChange::replace && !store::holds_key(wish.folder, now->public_key))
        return Error{
            Category::not_found,
            worded("The secret half of the key in force is not on this machine, so it cannot sign the new "
                   "one. Do this where it is, or say that it is lost."),
            ""};
    return {};
}

Result<KeyMade> make_key(const std::optional<meet::SigningKey>& before, const std::string& identity,
                         const NewKey& wish) {
    KeyMade made{{}, store::SecretKey::generate()};
    meet::SigningKey& key = made.key;
    key.public_key = made.secret.public_key();
    key.holder = wish.holder;
    key.capacity = wish.capacity;
    key.added_at = now();
    if (before) key.replaces = before->id;
    if (before && wish.change == KeyChange::replace) {
        if (Result<void> signed_by = endorse(key, *before, wish, identity); !signed_by)
            return signed_by.error();
    }
    // The secret half first: a key in the meet that nobody holds would be lost from the start.
    if (Result<void> kept = store::keep_key(wish.folder, made.secret, wish.passphrase, wish.cost); !kept)
        return kept.error();
    return made;
}

meet::Change key_change(const meet::State& state, meet::SigningKey key) {
    key.id = {state.next_id(meet::Kind::key)};
    return {key.replaces.valid() ? "replace the signing key" : "add a signing key", {{std::nullopt, key}}, 0};
}

Result<meet::SigningKey> add_key(const fs::path& meet_file, const NewKey& wish) {
    Result<store::MeetFile> file = store::MeetFile::open(meet_file);
    if (!file) return file.error();
    const std::optional<meet::SigningKey> before = key_in_force(file->loaded());
    if (Result<void> good = check_new_key(file->loaded(), wish); !good)
        return Error{good.error().category, good.error().sentence, meet_file.string()};
    Result<KeyMade> made = make_key(before, file->identity(), wish);
    if (!made) return made.error();
    const meet::Change change = key_change(file->loaded(), made->key);
    if (Result<void> written = write(*file, change); !written) return written.error();
    return std::get<meet::SigningKey>(*change.edits.front().after);
}

meet::Change seal_change(const meet::State& state, meet::Seal seal) {
    seal.id = {state.next_id(meet::Kind::seal)};
    return {"seal the record", {{std::nullopt, seal}}, 0};
}

Result<SealMade> make_seal(const fs::path& meet_file, const store::SecretKey& key,
                           meet::PublicationId publication) {
    store::OpenOptions reading;
    reading.read_only = true;
    const Result<store::MeetFile> file = store::MeetFile::open(meet_file, reading);
    if (!file) return file.error();
    return seal_of(*file, meet_file, key, publication);
}

Result<SealMade> seal_journal(const fs::path& meet_file, const store::SecretKey& key,
                              meet::PublicationId publication) {
    Result<store::MeetFile> file = store::MeetFile::open(meet_file);
    if (!file) return file.error();
    Result<SealMade> made = seal_of(*file, meet_file, key, publication);
    if (!made || !made->fresh) return made;
    const meet::Change change = seal_change(file->loaded(), made->seal);
    if (Result<void> written = write(*file, change); !written) return written.error();
    made->seal = std::get<meet::Seal>(*change.edits.front().after);
    return made;
}

Result<void> check_key_is_here(const meet::SigningKey& key, const fs::path& folder) {
    if (store::holds_key(folder, key.public_key)) return {};
    return Error{Category::not_found,
                 worded("The secret half of the key of {} is not on this machine. Seal where it is, copy "
                        "its file here, or replace the key.",
                        holder_words(key.holder, key.capacity)),
                 store::key_path(folder, key.public_key).string()};
}

Result<store::SecretKey> open_key_of(const meet::SigningKey& key, const fs::path& folder,
                                     const std::string& passphrase) {
    if (Result<void> here = check_key_is_here(key, folder); !here) return here.error();
    return store::open_key(folder, key.public_key, passphrase);
}

std::vector<base::Sentence> new_key_words(const meet::SigningKey& key, const fs::path& folder) {
    return {worded("The key of {} signs for this meet from now on.", holder_words(key.holder, key.capacity)),
            worded("Its fingerprint: {}", store::key_fingerprint(key.public_key)),
            worded("Its secret half: {}", store::key_path(folder, key.public_key).string()),
            worded("Keep a copy of that file and its passphrase in a safe place: without them nothing can be "
                   "sealed, and the next key is not signed by this one.")};
}

base::Sentence last_seal_words(const meet::State& state) {
    if (state.seals().empty()) return {};
    const meet::Seal& last = state.seals().rbegin()->second;
    const auto key = state.keys().find(last.key);
    const std::string at = time_words(last.at), line = store::seal_line_text({last.row, last.row_sha256});
    if (key == state.keys().end()) return worded("Sealed up to row {}, {}: {}", last.row, at, line);
    return worded("Sealed up to row {} by {}, {}: {}", last.row,
                  holder_words(key->second.holder, key->second.capacity), at, line);
}

std::vector<meet::PublicationId> unsealed_publications(const meet::State& state) {
    std::vector<meet::PublicationId> bare;
    for (const auto& [id, publication] : state.publications()) {
        const bool sealed = std::any_of(
            state.seals().begin(), state.seals().end(), [&, id = id, at = publication.at](const auto& one) {
                const meet::Seal& seal = one.second;
                return seal.publication.valid() ? seal.publication >= id : seal.at >= at;
            });
        if (publication.official && !sealed) bare.push_back(id);
    }
    return bare;
}

base::Sentence holder_words(const std::string& holder, meet::Capacity capacity) {
    const base::Sentence as = base::looked_up_word(meet::capacity_words(capacity));
    return holder.empty() ? worded("the {}", as) : worded("{} ({})", holder, as);
}

std::string time_words(meet::WallTime time) {
    using namespace std::chrono;
    const sys_time<milliseconds> instant{milliseconds{time.ms}};
    const auto day = floor<days>(instant);
    const year_month_day date{day};
    const hh_mm_ss<seconds> clock{floor<seconds>(instant - day)};
    return fmt::format("{:04}-{:02}-{:02} {:02}:{:02}:{:02} UTC", static_cast<int>(date.year()),
                       static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                       clock.hours().count(), clock.minutes().count(), clock.seconds().count());
}

std::vector<std::string> record_words(const store::SealReport& report) {
    std::vector<std::string> words;
    if (!report.problem.empty()) words.push_back("The seals do not hold: " + report.problem + ".");
    words.push_back(sealed_words(report));
    for (const store::KeyHistory& history : report.keys)
        words.push_back(key_words(history));
    for (const store::SealHistory& history : report.seals) {
        if (history.taken_back > 0)
            words.push_back(
                fmt::format("The seal of row {} was taken out of the meet in row {}; it holds all "
                            "the same.",
                            history.seal.row, history.taken_back));
    }
    if (report.seals.empty()) return words;
    const meet::Seal& last = report.seals.back().seal;
    words.push_back("The last seal's line: " + store::seal_line_text({last.row, last.row_sha256}));
    words.emplace_back(
        "Rows that were cut off behind the last seal leave no trace in this file. Only a seal line that was "
        "kept elsewhere shows it: plumbmark verify MEETFILE --seal LINE.");
    return words;
}

Result<LineCheck> check_seal_line(const fs::path& meet_file, const store::SealReport& report,
                                  const store::SealLine& line) {
    if (line.row > report.rows)
        return LineCheck{false,
                         fmt::format("The seal line was made for row {}, and this file ends at row {}: rows "
                                     "were cut off, or it is another meet's line.",
                                     line.row, report.rows)};
    const auto hash = store::row_hash(meet_file, line.row);
    if (!hash) return hash.error();
    if (*hash != line.sha256)
        return LineCheck{
            false, fmt::format("Row {} is not the row that the seal line was made for: the record up to "
                               "it was written anew, or it is another meet's line.",
                               line.row)};
    const bool sealed = std::any_of(report.seals.begin(), report.seals.end(),
                                    [&](const auto& history) { return history.seal.row == line.row; });
    return LineCheck{
        true, fmt::format("The record up to row {} is the one that the seal line was made for{}.", line.row,
                          sealed ? "" : "; the file itself holds no seal of that row")};
}

}  // namespace plumbmark::review
