#include "cli/internal/run_options.h"

#include "review/exchange.h"
#include "store/marks_json.h"

namespace plumbmark::cli {
namespace {

/// What a rolling shutter's read-out adds is known for these cameras, and is no more than stated.
base::Result<void> state_row_delay(review::Session& session, meet::ClipId id,
                                   const std::string& milliseconds) {
    base::Result<base::Duration> stated = base::parse_seconds(milliseconds);
    if (!stated || stated->ns > base::Duration{1'000'000'000'000}.ns)
        return base::Error{base::Category::bad_input,
                           "'" + milliseconds + "' is not a row delay in milliseconds, such as 0 or 16.7",
                           "--row-delay"};
    const meet::Clip before = session.state().clips().at(id);
    meet::Clip after = before;
    after.row_delay = base::Duration{stated->ns / 1000};
    return session.apply({"row delay of a clip", {{before, after}}, 0});
}

base::Result<void> take_marks(review::Session& session, const std::string& file) {
    base::Result<std::string> text = read_file(file);
    if (!text) return text.error();
    base::Result<store::MarksText> marks = store::read_marks(*text);
    if (marks) return review::take_in_marks(session, *marks);
    base::Error error = marks.error();
    error.where = error.where.empty() ? file : file + ", " + error.where.english();
    return error;
}

}  // namespace

void add_run_options(CLI::App& command, RunOptions& options) {
    command.add_option("--clip", options.clips, "A clip of the run; give it once for each angle");
    command.add_option("--run", options.run, "What to call the run");
    command.add_option("--division", options.division, "Key of the run's division in the course book");
    command.add_option("--lane", options.lane, "Key of the run's lane in the course book");
    command.add_option("--row-delay", options.row_delay,
                       "Milliseconds between a picture's first and last row, where known (0: taken as a "
                       "whole); the stated default is 33");
    command.add_option("--marks", options.marks, "Marks of the run (docs/marks.md)");
}

base::Result<void> make_run(review::Session& session, const RunOptions& options) {
    auto run = session.add_run(options.run);
    if (!run) return run.error();
    if (!options.division.empty() || !options.lane.empty()) {
        base::Result<void> divided = session.set_division_and_lane(options.division, options.lane);
        if (!divided) return divided;
    }
    for (const std::string& clip : options.clips) {
        auto added = session.add_clip(clip);
        if (!added) return added.error();
        if (options.row_delay.empty()) continue;
        if (base::Result<void> stated = state_row_delay(session, *added, options.row_delay); !stated)
            return stated;
    }
    if (base::Result<void> settled = session.settle(); !settled) return settled;
    for (const review::ClipView& view : session.clips()) {
        if (view.error) return *view.error;
    }
    return options.marks.empty() ? base::Result<void>{} : take_marks(session, options.marks);
}

}  // namespace plumbmark::cli
