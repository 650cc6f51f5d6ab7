// plumbmark marks MEETFILE: gives a run's marks out as text, or takes them in.
#include <fmt/format.h>

#include "cli/internal/common.h"
#include "review/exchange.h"
#include "store/marks_json.h"

namespace plumbmark::cli {
namespace {

struct MarksOptions {
    std::string meet;
    std::string run;
    std::string take_in;
    std::string out;
};

int take_in(review::Session& session, const std::string& file) {
    base::Result<std::string> text = read_file(file);
    if (!text) return complain(text.error());
    base::Result<store::MarksText> marks = store::read_marks(*text);
    if (!marks)
        return complain({marks.error().category, marks.error().sentence, file + ", " + marks.error().where});
    base::Result<void> taken = review::take_in_marks(session, *marks);
    if (!taken) return complain(taken.error());
    base::Result<void> saved = session.flush();
    return saved ? kDone : complain(saved.error());
}

int run(const MarksOptions& options) {
    auto session = open_run(options.meet, options.run, options.take_in.empty());
    if (!session) return complain(session.error());
    if (!options.take_in.empty()) return take_in(**session, options.take_in);
    base::Result<store::MarksText> marks = review::give_out_marks(**session);
    if (!marks) return complain(marks.error());
    const std::string text = store::write_marks(*marks);
    if (options.out.empty()) {
        fmt::print("{}", text);
        return kDone;
    }
    base::Result<void> written = write_file(options.out, text);
    return written ? kDone : complain(written.error());
}

}  // namespace

void add_marks(CLI::App& program, Action& action) {
    auto options = std::make_shared<MarksOptions>();
    CLI::App* command = program.add_subcommand("marks", "Give a run's marks out as text, or take them in");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("--run", options->run, "The run, by label or number; the first by default");
    CLI::Option* in =
        command->add_option("--take-in", options->take_in, "Add the marks of this text (docs/marks.md)");
    command->add_option("-o,--out", options->out, "Write the text there instead of printing it")
        ->excludes(in);
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
