// plumbmark backup MEETFILE [OUT]: a copy that can be trusted, also while the meet is on.
// plumbmark restore BACKUP MEETFILE: puts one back.
#include "store/backup.h"

#include <fmt/format.h>

#include "base/text.h"
#include "cli/internal/common.h"
#include "review/competition.h"

namespace plumbmark::cli {
namespace {

struct BackupOptions {
    std::string from, to;
};

std::filesystem::path name_for(const std::filesystem::path& meet_file, const std::string& word) {
    return store::backup_name(meet_file, word, review::now().ms / 1'000);
}

int back_up(const BackupOptions& options) {
    const std::filesystem::path copy =
        options.to.empty() ? name_for(options.from, "") : std::filesystem::path(options.to);
    const auto made = [&] {
        ProgressLine progress("copying");
        return store::back_up(options.from, copy, [&](double share) {
            progress.show(share);
            return true;
        });
    }();
    if (!made) return complain(made.error());
    fmt::print("{}: a copy with {}, verified\n", made->file.string(),
               base::counted(made->rows, "journal row"));
    return kDone;
}

int restore(const BackupOptions& options) {
    const auto done = [&] {
        ProgressLine progress("copying");
        return store::restore(options.from, options.to, name_for(options.to, "replaced"), [&](double share) {
            progress.show(share);
            return true;
        });
    }();
    if (!done) return complain(done.error());
    fmt::print("{}: as in the backup, with {}, verified\n", options.to,
               base::counted(done->rows, "journal row"));
    if (done->kept.empty()) return kDone;
    fmt::print("What was there is kept as {}{}\n", done->kept.string(),
               done->rows_before > done->rows
                   ? fmt::format("; it has {} more", base::counted(done->rows_before - done->rows, "row"))
               : done->rows_before == 0 ? "; it could not be read"
                                        : "");
    return kDone;
}

}  // namespace

void add_backup(CLI::App& program, Action& action) {
    auto options = std::make_shared<BackupOptions>();
    CLI::App* command = program.add_subcommand(
        "backup", "Copy a meet file as it is at one moment, also while another program writes to it");
    command->add_option("MEETFILE", options->from, "The meet file (.meet)")->required();
    command->add_option(
        "OUT", options->to,
        "The copy, which must not be there yet; by default beside the file, named by the time");
    command->callback([options, &action] { action = [options] { return back_up(*options); }; });
}

void add_restore(CLI::App& program, Action& action) {
    auto options = std::make_shared<BackupOptions>();
    CLI::App* command = program.add_subcommand(
        "restore", "Put a backup in a meet file's place; what was there is kept beside it");
    command->add_option("BACKUP", options->from, "The backup, which is verified first")->required();
    command->add_option("MEETFILE", options->to, "The meet file (.meet)")->required();
    command->callback([options, &action] { action = [options] { return restore(*options); }; });
}

}  // namespace plumbmark::cli
