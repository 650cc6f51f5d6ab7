// Seals over a meet's journal: what is signed, the line that is kept elsewhere, and checking all of them
// (docs/meet-file.md, 'Keys and seals').
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "meet/record.h"

namespace plumbmark::store {

/// The bytes that a seal signs: canonical JSON. 'meet' is MeetFile::identity(). Pure.
[[nodiscard]] std::string seal_statement(const std::string& meet, const std::string& public_key,
                                         const meet::Seal& seal);
/// The bytes by which a key signs the one that replaces it. Pure.
[[nodiscard]] std::string key_statement(const std::string& meet, const std::string& replaced_public_key,
                                        const meet::SigningKey& key);

/// What a seal says of the journal: this row is there, with this hash.
struct SealLine {
    std::int64_t row = 0;
    std::string sha256;
    friend bool operator==(const SealLine&, const SealLine&) = default;
};

/// "PM1-128-9f86d081-...-1c0e": the row, its hash in eight groups of eight digits, and four digits that tell
/// a slip of the pen. To be printed, read out and kept where the meet file is not. Pure.
[[nodiscard]] std::string seal_line_text(const SealLine& line);
/// The opposite; capitals and blanks do not matter. Error bad_input says what is wrong with it. Any bytes.
/// Pure.
[[nodiscard]] base::Result<SealLine> read_seal_line(std::string_view text);

/// A key as the journal tells of it.
struct KeyHistory {
    meet::SigningKey key;    ///< with its holder's name, empty where it was erased
    std::int64_t row = 0;    ///< of the journal, where it was added
    std::int64_t until = 0;  ///< the row in which it was replaced or taken back; 0: it is in force
    /// It replaces one that did not sign it: whether the same person holds it has to be asked elsewhere.
    bool gap = false;
};

/// A seal as the journal tells of it.
struct SealHistory {
    meet::Seal seal;
    std::int64_t row = 0;         ///< of the journal, where the seal itself stands
    std::int64_t taken_back = 0;  ///< the row that took it out of the tables; 0: none. It signs all the same
};

struct SealReport {
    std::int64_t rows = 0;  ///< of the journal
    std::string last_row_sha256;
    std::vector<KeyHistory> keys;
    std::vector<SealHistory> seals;  ///< those that were found good, in the order of the journal
    std::string problem;             ///< the first thing that is wrong, a sentence; empty: none

    /// The last row under a good seal; 0: none.
    [[nodiscard]] std::int64_t sealed_up_to() const;
    [[nodiscard]] const KeyHistory* history_of(meet::KeyId key) const;
};

/// Reads the journal of a meet file and checks each key and seal that it ever was given against the rows, and
/// against the keys in force then. It takes the chain as given: verify_chain() is for that. Changes nothing.
/// Errors as MeetFile::open for reading.
[[nodiscard]] base::Result<SealReport> verify_seals(const std::filesystem::path& path,
                                                    const std::string& file_layer = {});

/// The SHA-256 of the journal row of this number; none where the journal is shorter. Errors as verify_seals.
[[nodiscard]] base::Result<std::optional<std::string>> row_hash(const std::filesystem::path& path,
                                                                std::int64_t row);

}  // namespace plumbmark::store
