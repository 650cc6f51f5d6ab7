// bench-frames CLIP...: the figures of docs/figures.md, for us and for whoever else is installed.
extern "C" {
#include <libavutil/log.h>
}

#include <fmt/format.h>

#include <algorithm>
#include <CLI/CLI.hpp>
#include <cstdio>
#include <fstream>
#include <set>

#include "description.h"
#include "figures.h"
#include "program.h"

namespace {

using namespace plumbmark;
using namespace plumbmark::bench;

// Beyond this only the figures of opening and seeking are taken, unless others are asked for by name: the
// rest would take hours and say nothing that a short clip does not say.
constexpr std::int64_t long_clip = 100'000;

const std::vector<std::string> all_figures{"exact",  "back-10", "back-30",        "forward",      "random",
                                           "linear", "scan",    "second-opening", "first-picture"};
const std::set<std::string> figures_of_long_clips{"random", "scan", "second-opening", "first-picture"};

Steps back_10() {
    return {"back-10", "one frame back, 10 a second, across group borders", -1, 10, 6, 0, 16, true, false};
}
Steps back_30() {
    return {"back-30", "one frame back, 30 a second, after the first half second", -1, 30, 10, 0.5, 33, false,
            true};
}
Steps forward() {
    return {"forward", "one frame on, 10 a second, across group borders", 1, 10, 6, 0, 8, true, false};
}

struct Wishes {
    std::vector<std::string> clips, figures;
    std::string json;
    bool libraries = true;  ///< with the libraries that are installed; the bare way is always there
    Effort effort;
};

class Bench {
  public:
    Bench(const Wishes& wishes, std::FILE* out) : wishes_(wishes), out_(out) {}

    /// Measures one clip and prints as it goes.
    base::Result<ClipReport> run(const std::string& path) {
        auto clip = open_clip(path);
        if (!clip) return clip.error();
        ClipReport report{clip->path.filename().string(), content_text(*clip), "", {}};
        const std::set<std::string> chosen = figures_for(*clip);
        fmt::print(out_, "\n{}: {}\n", report.clip, report.content);
        if (!warm(clip->path)) fmt::print(out_, "  (the file could not be read through beforehand)\n");
        if (chosen.count("exact") == 1) {
            auto found = find_truth(*clip);
            if (!found) return found.error();
            report.truth_from = clip->truth_from;
        }
        const Field field = assemble(*clip, needs_of(chosen));
        for (const std::string& name : all_figures) {
            if (chosen.count(name) == 0) continue;
            for (Figure& figure : measure(name, *clip, field)) {
                fmt::print(out_, "\n{}", table_text(figure));
                std::fflush(out_);
                report.figures.push_back(std::move(figure));
            }
        }
        return report;
    }

  private:
    [[nodiscard]] std::set<std::string> figures_for(const Clip& clip) const {
        if (!wishes_.figures.empty()) return {wishes_.figures.begin(), wishes_.figures.end()};
        if (clip.frames() > long_clip) return figures_of_long_clips;
        return {all_figures.begin(), all_figures.end()};
    }

    [[nodiscard]] Needs needs_of(const std::set<std::string>& chosen) const {
        const auto any_of = [&](const std::vector<std::string>& names) {
            return std::any_of(names.begin(), names.end(),
                               [&](const std::string& name) { return chosen.count(name) == 1; });
        };
        return {wishes_.libraries, any_of({"exact", "back-10", "back-30", "random"}),
                any_of({"exact", "forward", "linear", "first-picture"})};
    }

    [[nodiscard]] std::vector<Figure> measure(const std::string& name, const Clip& clip,
                                              const Field& field) const {
        const Effort& effort = wishes_.effort;
        if (name == "exact") return measure_exact(clip, field, effort);
        if (name == "back-10") return measure_steps(clip, field, effort, back_10());
        if (name == "back-30") return measure_steps(clip, field, one_walk(), back_30());
        if (name == "forward") return measure_steps(clip, field, effort, forward());
        if (name == "random") return {measure_random_seek(clip, field, effort)};
        if (name == "linear") return {measure_linear(clip, field, effort)};
        if (name == "scan") return {measure_scan(clip, effort)};
        if (name == "second-opening") return {measure_second_opening(clip, effort)};
        return {measure_first_picture(clip, field, effort)};
    }

    // The long walk starts at the end each time, so one is enough.
    [[nodiscard]] Effort one_walk() const {
        Effort effort = wishes_.effort;
        effort.walks = 1;
        return effort;
    }

    const Wishes& wishes_;
    std::FILE* out_;
};

bool write_json(const std::string& where, const std::string& text) {
    if (where == "-") return std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
    std::ofstream file(where, std::ios::binary);
    file << text;
    file.close();
    if (file) return true;
    fmt::print(stderr,
               "bench-frames: {}: The figures could not be written there. Name a file in a folder that can "
               "be written.\n",
               where);
    return false;
}

void describe(CLI::App& app, Wishes& wishes) {
    app.add_option("clips", wishes.clips, "Clips to measure on")->required();
    app.add_option("--figures", wishes.figures,
                   "Only these figures: " + fmt::format("{}", fmt::join(all_figures, ",")))
        ->delimiter(',')
        ->check(CLI::IsMember(all_figures));
    app.add_option("--json", wishes.json, "Write the figures as JSON to this file; - for standard output");
    app.add_flag("!--no-libraries", wishes.libraries, "Only us, the bare libav way and the ffmpeg program");
    app.add_option("--rounds", wishes.effort.rounds, "Turns of linear reads, scans and openings")
        ->check(CLI::Range(1, 1000));
    app.add_option("--seeks", wishes.effort.seeks, "Random jumps")->check(CLI::Range(1, 100'000));
    app.add_option("--exact", wishes.effort.exact, "Frames looked at backward and at random")
        ->check(CLI::Range(1, 100'000));
    app.add_option("--walks", wishes.effort.walks, "Walks of steps, each across another group border")
        ->check(CLI::Range(1, 1000));
    app.add_option("--peer-steps", wishes.effort.peer_steps, "Steps of a peer in a walk")
        ->check(CLI::Range(1, 1000));
}

int run(const Wishes& wishes) {
    std::FILE* out = wishes.json == "-" ? stderr : stdout;
    fmt::print(out, "{}\n", machine_text());
    Bench bench(wishes, out);
    std::vector<ClipReport> reports;
    bool well = true;
    for (const std::string& path : wishes.clips) {
        auto report = bench.run(path);
        if (report) {
            reports.push_back(std::move(*report));
            continue;
        }
        fmt::print(stderr, "bench-frames: {}\n", report.error().text());
        well = false;
    }
    if (!wishes.json.empty()) well = write_json(wishes.json, json_text(machine_text(), reports)) && well;
    return well ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
    av_log_set_level(AV_LOG_FATAL);
    CLI::App app{
        "Measures how exact and how quick frames are reached, for us and for the libraries that are "
        "installed."};
    Wishes wishes;
    describe(app, wishes);
    CLI11_PARSE(app, argc, argv);
    return run(wishes);
}
