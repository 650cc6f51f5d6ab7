// plumbmark marks MEETFILE: gives a run's marks out, as text, as a table or as captions, or takes them in.
#include <fmt/format.h>

#include <algorithm>

#include "cli/internal/common.h"
#include "review/exchange.h"
#include "review/mark_list.h"
#include "store/csv.h"
#include "store/marks_json.h"

namespace plumbmark::cli {
namespace {

struct MarksOptions {
    std::string meet;
    std::string run;
    std::string take_in;
    std::string out;
    std::string clip;
    bool csv = false, json = false, vtt = false;
};

int take_in(review::Session& session, const std::string& file) {
    base::Result<std::string> text = read_file(file);
    if (!text) return complain(text.error());
    base::Result<store::MarksText> marks = store::read_marks(*text);
    if (!marks)
        return complain(
            {marks.error().category, marks.error().sentence, file + ", " + marks.error().where.english()});
    base::Result<void> taken = review::take_in_marks(session, *marks);
    if (!taken) return complain(taken.error());
    base::Result<void> saved = session.flush();
    return saved ? kDone : complain(saved.error());
}

base::Result<std::string> captions(const review::Session& session, const report::MarkList& list,
                                   const std::string& wanted) {
    const base::Result<meet::ClipId> clip = find_clip(session, wanted);
    if (!clip) return clip.error();
    const auto& clips = session.state().runs().at(session.run()).clips;
    return report::marks_vtt(
        list, static_cast<std::size_t>(std::find(clips.begin(), clips.end(), *clip) - clips.begin()));
}

base::Result<std::string> text_of(const review::Session& session, const MarksOptions& options) {
    if (!options.csv && !options.json && !options.vtt) {
        base::Result<store::MarksText> marks = review::give_out_marks(session);
        if (!marks) return marks.error();
        return store::write_marks(*marks);
    }
    const base::Result<report::MarkList> list =
        review::mark_list(session.state(), session.run(), session.book());
    if (!list) return list.error();
    if (options.csv) return store::write_csv(report::marks_table(*list));
    return options.json ? base::Result<std::string>(report::marks_json(*list))
                        : captions(session, *list, options.clip);
}

/// Marks that contradict each other can still be given out.
base::Result<std::unique_ptr<review::Session>> open_meet(const MarksOptions& options) {
    if (!options.csv && !options.json && !options.vtt)
        return open_run(options.meet, options.run, options.take_in.empty());
    review::SessionOptions read_only;
    read_only.read_only = true;
    base::Result<std::unique_ptr<review::Session>> session = review::Session::open(options.meet, read_only);
    if (!session) return session;
    const base::Result<meet::RunId> run = find_run((*session)->state(), options.run);
    if (!run) return base::Error{run.error().category, run.error().sentence, options.meet};
    (*session)->select_run(*run);
    return session;
}

int run(const MarksOptions& options) {
    auto session = open_meet(options);
    if (!session) return complain(session.error());
    if (!options.take_in.empty()) return take_in(**session, options.take_in);
    const base::Result<std::string> text = text_of(**session, options);
    if (!text) return complain(text.error());
    if (options.out.empty()) {
        fmt::print("{}", *text);
        return kDone;
    }
    base::Result<void> written = write_file(options.out, *text);
    return written ? kDone : complain(written.error());
}

}  // namespace

void add_marks(CLI::App& program, Action& action) {
    auto options = std::make_shared<MarksOptions>();
    CLI::App* command = program.add_subcommand(
        "marks", "Give a run's marks out, as text, as a table or as captions, or take them in");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("--run", options->run, "The run, by label or number; the first by default");
    CLI::Option* in =
        command->add_option("--take-in", options->take_in, "Add the marks of this text (docs/marks.md)");
    command->add_option("-o,--out", options->out, "Write the text there instead of printing it")
        ->excludes(in);
    CLI::Option* csv = command->add_flag("--csv", options->csv,
                                         "As a table (CSV), a row for each place where a mark was seen");
    CLI::Option* json =
        command->add_flag("--json", options->json, "As JSON with exact times and the course book's names");
    CLI::Option* vtt =
        command->add_flag("--vtt", options->vtt, "As captions (WebVTT) on the time of one clip (--clip)");
    csv->excludes(json)->excludes(vtt)->excludes(in);
    json->excludes(vtt)->excludes(in);
    vtt->excludes(in);
    command
        ->add_option("--clip", options->clip,
                     "The clip of the captions, by name or file; the only one by default")
        ->needs(vtt);
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
