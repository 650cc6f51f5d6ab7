// Is it the very frame that was asked for, in picture and in time?
#include <fmt/format.h>

#include <cmath>

#include "figures.h"

namespace plumbmark::bench {
namespace {

// A reported time counts as the frame's when it is this near: far below the distance of any two frames, far
// above what doubles and milliseconds with fractions lose.
constexpr double time_tolerance = 50e-6;  // seconds

enum class Way { forward, backward, random };

/// What a contestant showed on its way through the whole clip.
struct Pass {
    std::vector<Look> looks;
    double offset = 0;  ///< of its clock to the clip's, taken at the first frame
};

double true_seconds(const Clip& clip, std::int64_t n) {
    return static_cast<double>(clip.truth[static_cast<std::size_t>(n)].pts) *
           static_cast<double>(clip.time_base().num) / static_cast<double>(clip.time_base().den);
}

Pass linear_pass(const Clip& clip, Contestant& contestant) {
    Pass pass;
    while (contestant.next())
        pass.looks.push_back(contestant.look());
    if (!pass.looks.empty()) pass.offset = pass.looks[0].seconds - true_seconds(clip, 0);
    return pass;
}

/// Counts right pictures and right times while a way is gone.
class Score {
  public:
    Score(const Clip& clip, Pixels pixels, const Pass& pass) : clip_(clip), pixels_(pixels), pass_(pass) {}

    void add(std::int64_t n, const Look* look) {
        const bool picture = look != nullptr && picture_right(n, *look);
        const bool time = look != nullptr &&
                          std::abs(look->seconds - pass_.offset - true_seconds(clip_, n)) < time_tolerance;
        pictures_ += picture ? 1 : 0;
        times_ += time ? 1 : 0;
        values_.push_back(picture && time ? 1 : 0);
    }

    [[nodiscard]] Row row(const Entry& entry, Task task) const {
        std::string note =
            fmt::format("pictures {}/{}, times {}/{}", pictures_, values_.size(), times_, values_.size());
        if (std::abs(pass_.offset) >= time_tolerance)
            note += fmt::format(", its clock {:+.4f} s", pass_.offset);
        const auto frames = static_cast<std::int64_t>(pass_.looks.size());
        if (frames != static_cast<std::int64_t>(clip_.truth.size()))
            note += fmt::format(", {} frames in a linear pass instead of {}", frames, clip_.truth.size());
        if (pixels_ == Pixels::rgb) note += ", against its own linear pass";
        return {entry.entrant.name, entry.setting(task), entry.entrant.ours, values_, note};
    }

  private:
    [[nodiscard]] bool picture_right(std::int64_t n, const Look& look) const {
        const auto i = static_cast<std::size_t>(n);
        if (pixels_ == Pixels::decoder) return look.digest == clip_.truth[i].md5;
        return i < pass_.looks.size() && look.digest == pass_.looks[i].digest;
    }

    const Clip& clip_;
    const Pixels pixels_;
    const Pass& pass_;
    int pictures_ = 0, times_ = 0;
    std::vector<double> values_;
};

void score_frame(Score& score, Contestant& contestant, std::int64_t n, bool shown) {
    const Look look = shown ? contestant.look() : Look{};
    score.add(n, shown ? &look : nullptr);
}

Row forward_row(const Clip& clip, const Entry& entry, const Pass& pass) {
    Score score(clip, entry.entrant.pixels, pass);
    for (std::size_t i = 0; i < clip.truth.size(); ++i)
        score.add(static_cast<std::int64_t>(i), i < pass.looks.size() ? &pass.looks[i] : nullptr);
    return score.row(entry, Task::reading);
}

Row backward_row(const Clip& clip, const Entry& entry, Contestant& contestant, const Pass& pass,
                 std::int64_t from, std::int64_t count) {
    Score score(clip, entry.entrant.pixels, pass);
    contestant.show(from);
    for (std::int64_t n = from - 1; n >= 0 && n >= from - count; --n)
        score_frame(score, contestant, n, contestant.back_to(n));
    return score.row(entry, Task::seeking);
}

Row random_row(const Clip& clip, const Entry& entry, Contestant& contestant, const Pass& pass,
               const std::vector<std::int64_t>& frames) {
    Score score(clip, entry.entrant.pixels, pass);
    for (const std::int64_t n : frames)
        score_frame(score, contestant, n, contestant.show(n));
    return score.row(entry, Task::seeking);
}

/// Shortly behind the middle group border, so that a backward way crosses it.
std::int64_t backward_start(const Clip& clip, std::size_t count) {
    const std::int64_t border = clip.table->group_start(clip.frames() / 2);
    return std::min(clip.frames() - 1, border + static_cast<std::int64_t>(count) / 2);
}

void measure(const Clip& clip, const Entry& entry, const Effort& effort, std::vector<Figure>& figures) {
    auto reading = entry.open(clip, Task::reading);
    if (!reading) return;
    const Pass pass = linear_pass(clip, **reading);
    reading->reset();
    auto opened = entry.open(clip, Task::seeking);
    if (!opened) return;
    // Ours is looked at over the whole clip, since it is quick at it.
    const auto whole = static_cast<std::size_t>(clip.frames());
    const std::size_t count = entry.entrant.ours ? whole : effort.exact;
    const std::int64_t from = entry.entrant.ours ? clip.frames() - 1 : backward_start(clip, count);
    figures[0].rows.push_back(forward_row(clip, entry, pass));
    figures[1].rows.push_back(
        backward_row(clip, entry, **opened, pass, from, static_cast<std::int64_t>(count)));
    figures[2].rows.push_back(random_row(clip, entry, **opened, pass, random_frames(clip, effort.exact, 23)));
}

/// The other way to one frame that a reader has, at random.
void measure_alone(const Clip& clip, const Effort& effort, Figure& figure) {
    const Entry entry{our_reader(Keeping::nothing)};
    auto opened = entry.open(clip, Task::seeking);
    if (!opened) return;
    const Pass nothing{std::vector<Look>(clip.truth.size()), 0};
    figure.rows.push_back(random_row(clip, entry, **opened, nothing, random_frames(clip, effort.exact, 23)));
}

Figure share(const std::string& name, const std::string& title) {
    Figure figure;
    figure.name = name;
    figure.title = title;
    figure.unit = "% of frames right in picture and time";
    figure.better = Better::more;
    figure.summary = Summary::share;
    figure.goal = Goal{"plumbmark", "", 100};
    return figure;
}

}  // namespace

std::vector<Figure> measure_exact(const Clip& clip, const Field& field, const Effort& effort) {
    std::vector<Figure> figures{
        share("exact-forward", "every frame, from the first to the last"),
        share("exact-backward", "one frame back at a time; peers across the middle group border"),
        share("exact-random", "frames in random order")};
    if (clip.truth.size() != static_cast<std::size_t>(clip.frames())) {
        const std::string note =
            fmt::format("our table has {} frames, the truth {}", clip.frames(), clip.truth.size());
        for (Figure& figure : figures)
            figure.rows.push_back({"plumbmark", "", true, {0}, note});
        return figures;
    }
    measure(clip, Entry{our_reader(Keeping::as_shipped)}, effort, figures);
    measure_alone(clip, effort, figures[2]);
    for (const Entry& entry : field.entries)
        measure(clip, entry, effort, figures);
    for (Figure& figure : figures)
        add_missing(figure, field);
    return figures;
}

}  // namespace plumbmark::bench
