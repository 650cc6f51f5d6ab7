// plumbmark seal MEETFILE: signing keys, seals over the journal, and the sealed package of a ruling.
#include <fmt/format.h>

#include "base/text.h"
#include "cli/internal/competition.h"
#include "cli/internal/interrupt.h"
#include "cli/internal/sealing.h"
#include "meet/competition_words.h"
#include "review/ruling_package.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct SealOptions {
    std::string meet, holder, as = "head_judge", run, package;
    bool new_key = false, replace_key = false, lost = false;
    PassphraseOptions passphrase;
};

Result<meet::SigningKey> make_key(const SealOptions& options) {
    const auto capacity = base::value_of(meet::kCapacityWords, options.as);
    if (!capacity)
        return Error{Category::bad_input,
                     fmt::format("'{}' is no capacity; {} is.", options.as,
                                 base::listed(base::words_in(meet::kCapacityWords), "or")),
                     ""};
    const Result<std::filesystem::path> folder = store::key_folder();
    if (!folder) return folder.error();
    review::NewKey wish;
    wish.holder = options.holder;
    wish.capacity = *capacity;
    wish.folder = *folder;
    if (options.replace_key)
        wish.change = options.lost ? review::KeyChange::replace_as_lost : review::KeyChange::replace;
    // Looked at before anybody types a passphrase; made sure of once the file is held.
    const Result<meet::State> state = read_meet(options.meet);
    if (!state) return state.error();
    if (const Result<void> good = review::check_new_key(*state, wish); !good)
        return Error{good.error().category, good.error().sentence, options.meet};
    const Result<Passphrase> old =
        wish.change == review::KeyChange::replace
            ? read_passphrase(options.passphrase, "Passphrase of the key that is replaced:")
            : Result<Passphrase>(Passphrase());
    if (!old) return old.error();
    const Result<Passphrase> fresh = read_new_passphrase(
        options.passphrase,
        fmt::format("A passphrase for the new key, {} characters or more:", store::kShortestPassphrase));
    if (!fresh) return fresh.error();
    wish.old_passphrase = old->text();
    wish.passphrase = fresh->text();
    Result<meet::SigningKey> made = review::add_key(options.meet, wish);
    store::wipe(wish.old_passphrase);
    store::wipe(wish.passphrase);
    if (!made) return made;
    for (const std::string& sentence : review::new_key_words(*made, *folder))
        fmt::print("{}\n", sentence);
    return made;
}

Result<void> pack(const SealOptions& options, const store::SecretKey& key, const meet::SigningKey& holder,
                  const review::SealMade& sealed, const std::stop_token& stop) {
    for (const std::filesystem::path& left : store::remove_package_leftovers(options.package))
        fmt::print(stderr,
                   "plumbmark: {}: A program that was ended while it made a package here had left this "
                   "folder. It is removed.\n",
                   left.string());
    auto session = open_run(options.meet, options.run, true);
    if (!session) return session.error();
    review::PackingOptions packing;
    packing.stop = stop;
    std::unique_ptr<ProgressLine> line;
    packing.progress = [&line](const std::string& what, double share) {
        if (!line) line = std::make_unique<ProgressLine>(what);
        line->show(share);
        if (share >= 1) line.reset();
    };
    const Result<review::RulingPackage> made = review::pack_ruling(**session, packing);
    line.reset();
    if (!made) return made.error();
    const auto report = store::verify_seals(options.meet);
    if (!report) return report.error();
    if (report->rows != sealed.seal.row + 1)
        return Error{Category::busy, "Another program wrote to the meet meanwhile. Do it again.",
                     options.meet};
    for (const std::string& remark : made->remarks)
        fmt::print(stderr, "plumbmark: {}\n", remark);
    const auto identity = meet_identity(options.meet);
    if (!identity) return identity.error();
    const store::PackageFacts facts{*identity,     sealed.seal.row, sealed.seal.row_sha256, key.public_key(),
                                    holder.holder, holder.capacity, review::now()};
    Result<void> written = store::write_package(options.package, facts, made->files, key, stop);
    if (written) fmt::print("The package of this ruling: {}\n", options.package);
    return written;
}

int seal(const SealOptions& options) {
    if (options.new_key || options.replace_key) {
        const Result<meet::SigningKey> made = make_key(options);
        return made ? kDone : complain(made.error());
    }
    const Result<meet::State> state = read_meet(options.meet);
    if (!state) return complain(state.error());
    const auto holder = review::key_in_force(*state);
    if (!holder)
        return complain({Category::not_found,
                         "This meet has no signing key yet. Make one with --new-key --holder NAME.",
                         options.meet});
    const Result<store::SecretKey> key = open_signing_key(*holder, options.passphrase);
    if (!key) return complain(key.error());
    const auto sealed = review::seal_journal(options.meet, *key);
    if (!sealed) return complain(sealed.error());
    print_seal(*sealed);
    if (options.package.empty()) return kDone;
    const Interrupt interrupt;
    const Result<void> packed = pack(options, *key, *holder, *sealed, interrupt.token());
    if (packed) return kDone;
    return complain(packed.error().category == Category::cancelled ? cancelled("of the package")
                                                                   : packed.error());
}

}  // namespace

void add_seal(CLI::App& program, Action& action) {
    auto options = std::make_shared<SealOptions>();
    CLI::App* command = program.add_subcommand(
        "seal", "Sign the record of a meet, make or replace its signing key, or pack a ruling with its seal");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    CLI::Option* fresh =
        command->add_flag("--new-key", options->new_key, "Make the meet's first signing key");
    CLI::Option* replace = command
                               ->add_flag("--replace-key", options->replace_key,
                                          "Make a key that takes the place of the one in force")
                               ->excludes(fresh);
    command->add_option("--holder", options->holder, "Who signs with the new key");
    command->add_option("--as", options->as,
                        "As what: head_judge, jury, station_judge, club, coach or athlete");
    command->add_flag("--lost", options->lost, "The key in force is lost and cannot sign the new one")
        ->needs(replace);
    CLI::Option* package = command->add_option(
        "--package", options->package, "Write the sealed package of a run: a folder, or a zip (OUT.zip)");
    command->add_option("--run", options->run, "Its run, by label or number; the first by default")
        ->needs(package);
    package->excludes(fresh)->excludes(replace);
    add_passphrase_option(*command, options->passphrase);
    command->callback([options, &action] { action = [options] { return seal(*options); }; });
}

}  // namespace plumbmark::cli
