// plumbmark verify MEETFILE|PACKAGE: recomputes the chain of a meet file's journal and checks its seals, and
// holds clips' files to it; or checks a sealed package and rules its marks again.
#include <fmt/format.h>

#include "cli/internal/common.h"
#include "review/clip_files.h"
#include "review/ruling_package.h"
#include "review/sealing.h"
#include "store/meet_file.h"

namespace plumbmark::cli {
namespace {

struct VerifyOptions {
    std::string path, seal, key;
    bool clips = false;
};

/// True when the file is the one that was marked, as far as the meet can tell.
bool verify_clip(const std::filesystem::path& folder, const meet::Clip& clip) {
    const auto found = [&] {
        ProgressLine progress("reading " + clip.name);
        return review::read_clip_file(folder, clip, {}, [&](double share) { progress.show(share); });
    }();
    fmt::print("{}\n", review::content_words(clip, found));
    return found && found->state != review::FileState::other;
}

bool verify_clips(const VerifyOptions& options, const meet::State& state) {
    const auto folder = std::filesystem::path(options.path).parent_path();
    bool good = true;
    for (const auto& [id, clip] : state.clips()) {
        if (options.clips)
            good &= verify_clip(folder, clip);
        else
            fmt::print("{}\n", review::content_words(clip));
    }
    return good;
}

/// Digits alone count, so that it may be typed with or without its blanks.
bool is_fingerprint(const std::string& typed, const std::string& public_key) {
    const auto digits = [](const std::string& text) {
        std::string kept;
        for (const char c : text) {
            if (c >= '0' && c <= '9') kept.push_back(c);
        }
        return kept;
    };
    return digits(typed) == digits(store::key_fingerprint(public_key));
}

bool verify_fingerprint(const std::string& typed, const std::string& public_key) {
    const bool same = is_fingerprint(typed, public_key);
    fmt::print("{}\n", same ? "The fingerprint is the one that was given."
                            : "The fingerprint is NOT the one that was given: another key signed this.");
    return same;
}

/// The seals, and what was given to hold them to.
base::Result<bool> verify_record(const VerifyOptions& options) {
    const base::Result<store::SealReport> report = store::verify_seals(options.path);
    if (!report) return report.error();
    for (const std::string& words : review::record_words(*report))
        fmt::print("{}\n", words);
    bool good = report->problem.empty();
    if (!options.seal.empty()) {
        const auto line = store::read_seal_line(options.seal);
        if (!line) return line.error();
        const auto check = review::check_seal_line(options.path, *report, *line);
        if (!check) return check.error();
        fmt::print("{}\n", check->sentence);
        good &= check->holds;
    }
    if (!options.key.empty()) {
        if (report->seals.empty())
            return base::Error{base::Category::not_found, "There is no seal whose key could be looked at.",
                               options.path};
        good &= verify_fingerprint(options.key,
                                   report->history_of(report->seals.back().seal.key)->key.public_key);
    }
    return good;
}

int verify_meet(const VerifyOptions& options) {
    base::Result<store::ChainReport> report = store::verify_chain(options.path);
    if (!report) return complain(report.error());
    fmt::print("{}\n", report->sentence);
    if (!report->whole) return kFound;
    const base::Result<bool> record = verify_record(options);
    if (!record) return complain(record.error());
    store::OpenOptions reading;
    reading.read_only = true;
    const auto file = store::MeetFile::open(options.path, reading);
    if (!file) return complain(file.error());
    return verify_clips(options, file->loaded()) && *record ? kDone : kFound;
}

/// The marks ruled again; true where the same ruling comes out.
bool verify_ruling(const store::PackageReading& package) {
    const base::Result<review::RuledAgain> again = review::rule_again(package.files);
    if (!again) {
        fmt::print("The marks could not be ruled again. {}\n", again.error().text());
        return false;
    }
    fmt::print("{}: {}\n", again->run, again->sentence);
    if (!again->difference.empty()) {
        fmt::print(
            "Ruled again under the packed course book, the marks come to ANOTHER ruling than the packed one: "
            "it differs in {}.\n",
            again->difference);
        return false;
    }
    fmt::print("Ruled again under the packed course book, the marks come to the same ruling.\n");
    if (!again->other_words.empty())
        fmt::print(
            "What it rests on, or how it is worded, differs in {}; another version of the program may have "
            "made it.\n",
            again->other_words);
    return true;
}

int verify_package(const VerifyOptions& options) {
    const base::Result<store::PackageReading> package = store::read_package(options.path);
    if (!package) return complain(package.error());
    for (const std::string& problem : package->problems)
        fmt::print("{}\n", problem);
    const store::PackageFacts& facts = package->facts;
    if (!facts.public_key.empty()) {
        fmt::print("Journal row {} of meet {}, packed {}.\n", facts.row, facts.meet,
                   review::time_words(facts.made_at));
        fmt::print("{} {} with the key {}.\n",
                   package->problems.empty() ? "Signed by" : "Its manifest says: signed by",
                   review::holder_words(facts.holder, facts.capacity).english(),
                   store::key_fingerprint(facts.public_key));
    }
    if (!package->problems.empty()) {
        fmt::print("The package is NOT as it was signed.\n");
        return kFound;
    }
    fmt::print(
        "All {} files are as they were signed. Whose key it is, the package cannot say: compare the key's "
        "digits with "
        "those that the meet gave out.\n",
        package->files.size());
    bool good = verify_ruling(*package);
    if (!options.key.empty()) good &= verify_fingerprint(options.key, facts.public_key);
    return good ? kDone : kFound;
}

int verify(const VerifyOptions& options) {
    return store::looks_like_package(options.path) ? verify_package(options) : verify_meet(options);
}

}  // namespace

void add_verify(CLI::App& program, Action& action) {
    auto options = std::make_shared<VerifyOptions>();
    CLI::App* command = program.add_subcommand(
        "verify",
        "Recompute the chain of a meet file's journal, hold its tables against it and check its seals; or "
        "check a sealed package and rule its marks again");
    command->add_option("FILE", options->path, "The meet file (.meet), or a package: its folder or zip")
        ->required();
    command->add_option("--seal", options->seal,
                        "A seal line that was kept elsewhere, to hold the meet file to");
    command->add_option("--key", options->key, "The fingerprint that the signing key should have");
    command->add_flag("--clips", options->clips,
                      "Read the clips' whole files too, and hold them to the SHA-256 that the meet knows");
    command->callback([options, &action] { action = [options] { return verify(*options); }; });
}

}  // namespace plumbmark::cli
