#include "cli/internal/sealing.h"

#include <fmt/format.h>

#include "store/meet_file.h"

namespace plumbmark::cli {

using base::Category;
using base::Error;
using base::Result;

Result<store::SecretKey> open_signing_key(const meet::SigningKey& key, const PassphraseOptions& options) {
    const Result<std::filesystem::path> folder = store::key_folder();
    if (!folder) return folder.error();
    if (const Result<void> here = review::check_key_is_here(key, *folder); !here) return here.error();
    const bool asked = !passphrase_is_given(options);
    for (int left = asked ? 3 : 1;; --left) {
        const Result<Passphrase> passphrase =
            read_passphrase(options, fmt::format("Passphrase of the key of {}:",
                                                 review::holder_words(key.holder, key.capacity).english()));
        if (!passphrase) return passphrase.error();
        if (asked && passphrase->text().empty())
            return Error{Category::cancelled, "No passphrase was given, so nothing was signed.", ""};
        Result<store::SecretKey> opened = store::open_key(*folder, key.public_key, passphrase->text());
        if (opened || left == 1 || opened.error().category != Category::bad_input) return opened;
        fmt::print(stderr, "plumbmark: {}\n", opened.error().sentence.english());
    }
}

void print_seal(const review::SealMade& sealed) {
    if (sealed.fresh)
        fmt::print("The record is sealed up to row {}.\n", sealed.seal.row);
    else
        fmt::print("Nothing was written since row {} was sealed.\n", sealed.seal.row);
    fmt::print("Print this line on the results, or keep it where the meet file is not: {}\n", sealed.line);
}

Result<std::string> meet_identity(const std::string& meet_file) {
    store::OpenOptions reading;
    reading.read_only = true;
    const auto file = store::MeetFile::open(meet_file, reading);
    if (!file) return file.error();
    return file->identity();
}

}  // namespace plumbmark::cli
