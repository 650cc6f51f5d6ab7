// bench-study [--files N] [--runs N]: makes a season of N meet files with N runs each (10 and 50) out of the
// sample meet's runs and their marks, then opens the files, lays every run open and works the season out;
// prints the seconds, and those of the processor, which other programs on the machine do not lengthen.
// Figures and how to repeat them: docs/figures-study.md.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <filesystem>
#include <string>
#include <vector>

#include "review/season.h"
#include "store/meet_file.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

using namespace plumbmark;
namespace fs = std::filesystem;

/// What came out otherwise than it must measures nothing.
template <class T>
T demanded(base::Result<T> result) {
    if (result) return std::move(*result);
    fmt::print(stderr, "bench-study: {}\n", result.error().text());
    std::exit(1);
}
void demand(const base::Result<void>& result) {
    if (result) return;
    fmt::print(stderr, "bench-study: {}\n", result.error().text());
    std::exit(1);
}
void demand(bool holds, const char* what) {
    if (holds) return;
    fmt::print(stderr, "bench-study: {}\n", what);
    std::exit(1);
}

std::int64_t next_id(const auto& things) {
    return things.empty() ? 1 : things.rbegin()->first.value + 1;
}

/// Copies marked runs of the file, each with its own marks, statements and watched spans, until it has so
/// many.
class Copies {
  public:
    explicit Copies(store::MeetFile& file) : file_(file), state_(file.loaded()) {
        for (const auto& [id, run] : state_.runs()) {
            if (!state_.marks_of(id).empty()) models_.push_back(id);
        }
        next_run_ = next_id(state_.runs());
        for (const std::int64_t next :
             {next_id(state_.marks()), next_id(state_.contacts()), next_id(state_.watched())})
            next_mark_ = std::max(next_mark_, next);
    }

    void until(std::int64_t runs) {
        change_.label = "copy runs";
        for (std::int64_t n = std::ssize(models_); n < runs; ++n)
            copy(models_[static_cast<std::size_t>(n) % models_.size()]);
        file_.submit(change_);
        demand(file_.flush());
    }

  private:
    template <class T>
    void add(T thing) {
        change_.edits.push_back({std::nullopt, meet::Entity(std::move(thing))});
    }
    template <class T>
    void copied(const T& thing, meet::RunId run) {
        T made = thing;
        made.id = meet::MarkId{next_mark_++};
        made.run = run;
        add(std::move(made));
    }
    void copy(meet::RunId model) {
        meet::Run run = state_.runs().at(model);
        run.id = meet::RunId{next_run_++};
        run.label = fmt::format("run {}", run.id.value);
        run.entry = {};
        add(run);
        for (const meet::Mark& mark : state_.marks_of(model))
            copied(mark, run.id);
        for (const auto& [id, contact] : state_.contacts()) {
            if (contact.run == model) copied(contact, run.id);
        }
        for (const auto& [id, span] : state_.watched()) {
            if (span.run == model) copied(span, run.id);
        }
    }

    store::MeetFile& file_;
    meet::State state_;
    meet::Change change_;
    std::vector<meet::RunId> models_;
    std::int64_t next_run_ = 1, next_mark_ = 1;
};

std::vector<fs::path> make_season(const test::TemporaryFolder& folder, std::int64_t files,
                                  std::int64_t runs) {
    std::vector<fs::path> made;
    for (std::int64_t n = 0; n < files; ++n) {
        made.push_back(folder / fmt::format("meet {}.meet", n + 1));
        fs::copy_file(test::source_folder() / "sample_clips/pier-nine.meet", made.back());
        fs::permissions(made.back(), fs::perms::owner_write, fs::perm_options::add);
        auto file = demanded(store::MeetFile::open(made.back()));
        Copies(file).until(runs);
    }
    return made;
}

std::int64_t number_of(int argc, char** argv, const char* name, std::int64_t usual) {
    for (int i = 1; i + 1 < argc; ++i) {
        if (std::strcmp(argv[i], name) == 0) return std::max<std::int64_t>(1, std::atoll(argv[i + 1]));
    }
    return usual;
}

}  // namespace

int main(int argc, char** argv) {
    const std::int64_t files = number_of(argc, argv, "--files", 10);
    const std::int64_t runs =
        std::max<std::int64_t>(number_of(argc, argv, "--runs", 50), 5);  // as the sample meet has
    const test::TemporaryFolder folder;
    review::SeasonWish wish;
    wish.files = make_season(folder, files, runs);
    double best = 0;
    for (int turn = 0; turn < 3; ++turn) {
        const auto before = std::chrono::steady_clock::now();
        const std::clock_t worked = std::clock();
        const auto season = demanded(review::season(wish));
        const std::chrono::duration<double> took = std::chrono::steady_clock::now() - before;
        demand(std::ssize(season.runs) == files * runs, "not every run was laid open");
        const double processor = static_cast<double>(std::clock() - worked) / CLOCKS_PER_SEC;
        fmt::print("{} runs of {} files: {:.2f} s, {:.2f} s of the processor\n", season.runs.size(), files,
                   took.count(), processor);
        best = turn == 0 ? processor : std::min(best, processor);
    }
    fmt::print("best of three: {:.2f} s of the processor, {:.2f} ms a run\n", best,
               best * 1000 / static_cast<double>(files * runs));
    return 0;
}
