// plumbmark what-if MEETFILE BOOK: what an edited course book, or other settings, would change in the
// rulings.
#include "review/what_if.h"

#include <fmt/format.h>

#include "cli/internal/interrupt.h"
#include "course/read.h"
#include "report/what_if_document.h"
#include "store/meet_file.h"

namespace plumbmark::cli {
namespace {

struct WhatIfCall {
    std::string meet;
    std::string book;
    std::string run;
    std::vector<std::string> settings;
    bool json = false;
};

base::Result<review::WhatIf> change_of(const WhatIfCall& call) {
    review::WhatIf change;
    if (!call.book.empty()) {
        base::Result<std::string> text = read_file(call.book);
        if (!text) return text.error();
        base::Result<course::CourseBook> book = course::read_book_or_error(*text, call.book);
        if (!book) return book.error();
        change.book = std::move(*book);
        change.book_file = std::filesystem::path(call.book).filename().string();
    }
    for (const std::string& setting : call.settings) {
        if (base::Result<void> put = review::put_setting(change, setting); !put) return put.error();
    }
    return change;
}

base::Result<report::WhatIfDocument> ruled_twice(const meet::State& state, const WhatIfCall& call,
                                                 const review::WhatIf& change) {
    const Interrupt interrupt;
    review::WhatIfOptions options;
    if (!call.run.empty()) {
        const base::Result<meet::RunId> run = find_run(state, call.run);
        if (!run) return run.error();
        options.run = *run;
    }
    review::FrameTables tables;
    {
        ProgressLine line("reading the clips");
        auto read = review::frame_tables(std::filesystem::path(call.meet).parent_path(), state, options.run,
                                         interrupt.token(), [&](double share) { line.show(share); });
        if (!read) return read.error();
        tables = std::move(*read);
    }
    ProgressLine line("ruling");
    options.stopped = [&interrupt] { return interrupt.asked(); };
    options.progress = [&](double share) { line.show(share); };
    return review::what_if(state, change, review::table_from(tables), options);
}

int run(const WhatIfCall& call) {
    base::Result<review::WhatIf> change = change_of(call);
    if (!change) return complain(change.error());
    if (change->empty()) {
        fmt::print(stderr, "plumbmark: Name an edited course book, or a setting with --set.\n");
        return kUsage;
    }
    store::OpenOptions reading;
    reading.read_only = true;
    const auto file = store::MeetFile::open(call.meet, reading);
    if (!file) return complain(file.error());
    const auto document = ruled_twice(file->loaded(), call, *change);
    if (!document) return complain(document.error());
    fmt::print("{}", call.json ? report::what_if_json(*document) : report::what_if_text(*document));
    return kDone;
}

std::string settings_help() {
    std::string help = "A setting to try, as NAME=VALUE; give it once for each:";
    for (const review::WhatIfSetting& setting : review::what_if_settings())
        help += "\n" + setting.name + ": " + setting.about;
    return help;
}

}  // namespace

void add_what_if(CLI::App& program, Action& action) {
    auto call = std::make_shared<WhatIfCall>();
    CLI::App* command = program.add_subcommand(
        "what-if", "Rule every run under an edited course book or other settings, and list what changes");
    command->add_option("MEETFILE", call->meet, "The meet file (.meet); it is only read")->required();
    command->add_option("BOOK", call->book, "The edited course book (.course)");
    command->add_option("--run", call->run, "This run alone, by label or number");
    command->add_option("--set", call->settings, settings_help());
    command->add_flag("--json", call->json, "As JSON (docs/what-if.schema.json)");
    command->callback([call, &action] { action = [call] { return run(*call); }; });
}

}  // namespace plumbmark::cli
