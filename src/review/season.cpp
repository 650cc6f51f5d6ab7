#include "review/season.h"

#include <algorithm>
#include <set>
#include <tuple>
#include <utility>

#include "base/ascii.h"
#include "base/check.h"
#include "base/worded.h"
#include "meet/who_ran.h"
#include "review/documents.h"
#include "store/meet_file.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
using ruling::Verdict;
namespace fs = std::filesystem;

struct Answering {
    std::vector<const meet::Athlete*> who;
    base::Sentence how;
};

/// A start list that was entered twice has one person twice.
bool same_person(const meet::Athlete& a, const meet::Athlete& b) {
    return a.id == b.id || (!a.name.empty() && a.number == b.number &&
                            base::ascii_lower(a.name) == base::ascii_lower(b.name));
}

std::vector<const meet::Athlete*> athletes_where(const meet::State& state, const auto& holds) {
    std::vector<const meet::Athlete*> found;
    for (const auto& [id, athlete] : state.athletes()) {
        const bool known = std::any_of(found.begin(), found.end(), [&, &here = athlete](const auto* one) {
            return same_person(*one, here);
        });
        if (holds(athlete) && !known) found.push_back(&athlete);
    }
    return found;
}

Answering answering(const meet::State& state, const std::string& athlete, const std::string& number_here) {
    const auto by_number = [&](const std::string& number) {
        return Answering{athletes_where(state, [&](const auto& one) { return one.number == number; }),
                         worded("by the number {}", number)};
    };
    if (!number_here.empty()) return by_number(number_here);
    if (athlete.empty()) return {};
    Answering by_name{athletes_where(state,
                                     [&](const auto& one) {
                                         return !one.name.empty() &&
                                                base::ascii_lower(one.name) == base::ascii_lower(athlete);
                                     }),
                      worded("by the name")};
    return by_name.who.empty() ? by_number(athlete) : by_name;
}

Error cancelled() {
    return {Category::cancelled, worded("Stopped before the season was read; nothing was changed."), ""};
}

// --- figures ---

/// What the runs came to at one kind of station, in their order.
struct Tries {
    struct One {
        std::size_t file;
        Verdict verdict;
        std::optional<study::Length> time;  ///< where it is shown to be cleared
    };
    std::vector<One> all;
};

report::BestAndMedian best_and_median(const std::vector<study::Length>& times) {
    return {std::ssize(times), study::of_group(times, study::Against::best),
            study::of_group(times, study::Against::median)};
}

/// Clear, of those that are shown to be clear or fail.
study::Count cleared_of(const std::vector<Tries::One>& tries) {
    study::Count count;
    for (const Tries::One& one : tries) {
        count.happened += one.verdict == Verdict::clear ? 1 : 0;
        count.trials += one.verdict != Verdict::not_shown ? 1 : 0;
    }
    return count;
}

std::vector<study::Length> times_of(const std::vector<Tries::One>& tries) {
    std::vector<study::Length> times;
    for (const Tries::One& one : tries) {
        if (one.time) times.push_back(*one.time);
    }
    return times;
}

template <class T>
std::pair<std::vector<T>, std::vector<T>> halves(const std::vector<T>& all) {
    const auto middle = all.begin() + std::ssize(all) / 2;
    return {{all.begin(), middle}, {middle, all.end()}};
}

void fill(report::SeasonStation& station, const Tries& tries, double confidence) {
    for (const Tries::One& one : tries.all)
        ++(one.verdict == Verdict::clear  ? station.clear
           : one.verdict == Verdict::fail ? station.fail
                                          : station.not_shown);
    const auto rate = study::rate(cleared_of(tries.all), confidence);
    PLUMBMARK_CHECK(rate.ok());
    station.cleared = *rate;
    const std::vector<study::Length> times = times_of(tries.all);
    station.times = best_and_median(times);
    for (std::size_t first = 0; first < tries.all.size();) {
        std::size_t past = first;
        while (past < tries.all.size() && tries.all[past].file == tries.all[first].file)
            ++past;
        const std::vector<Tries::One> here(tries.all.begin() + static_cast<std::ptrdiff_t>(first),
                                           tries.all.begin() + static_cast<std::ptrdiff_t>(past));
        station.by_file.push_back({tries.all[first].file, cleared_of(here), best_and_median(times_of(here))});
        first = past;
    }
    const auto [early, late] = halves(times);
    station.earlier = best_and_median(early);
    station.later = best_and_median(late);
    if (!early.empty()) station.trend = study::difference(station.later.median, station.earlier.median);
    std::vector<Tries::One> shown;
    for (const Tries::One& one : tries.all) {
        if (one.verdict != Verdict::not_shown) shown.push_back(one);
    }
    const auto [earlier, later] = halves(shown);
    station.cleared_earlier = cleared_of(earlier);
    station.cleared_later = cleared_of(later);
}

class Kinds {
  public:
    /// A station with this key; else, where no run had it beside this one, with this name.
    std::size_t of(const course::Station& station, const course::CourseBook& book) {
        if (const auto known = by_key_.find(station.key); known != by_key_.end()) return known->second;
        const auto named = by_name_.find(station.name);
        const bool same = named != by_name_.end() && !book.find_station(all_[named->second].key).valid();
        const std::size_t kind = same ? named->second : all_.size();
        if (!same) {
            report::SeasonStation made;
            made.key = station.key;
            made.name = station.name;
            all_.push_back(std::move(made));
            tries_.emplace_back();
        }
        by_key_.emplace(station.key, kind);
        by_name_.try_emplace(station.name, kind);
        return kind;
    }
    Tries& tries(std::size_t kind) { return tries_[kind]; }
    std::vector<report::SeasonStation> finish(double confidence) {
        for (std::size_t k = 0; k < all_.size(); ++k)
            fill(all_[k], tries_[k], confidence);
        return std::move(all_);
    }

  private:
    std::vector<report::SeasonStation> all_;
    std::vector<Tries> tries_;
    std::map<std::string, std::size_t> by_key_, by_name_;
};

report::SeasonRun run_of(const report::LaidOpen& open, std::size_t file) {
    report::SeasonRun run;
    run.file = file;
    run.name = open.name;
    run.stations = std::ssize(open.book->stations);
    bool going = true;
    for (const study::StationFigures& figures : open.run.figures.stations) {
        const bool clear = figures.verdict == Verdict::clear && !figures.if_reached;
        if (clear) {
            ++run.cleared;
            run.time = figures.from_start;
        } else if (going) {
            going = false;
            const course::Station& station = open.book->station(figures.station);
            run.ended = figures.verdict == Verdict::fail ? report::Ended::fail : report::Ended::not_shown;
            run.station = station.key;
            run.station_name = station.name;
        }
    }
    return run;
}

std::vector<report::SeasonEnd> ends_of(const std::vector<report::SeasonRun>& runs) {
    std::vector<report::SeasonEnd> ends;
    for (const report::SeasonRun& run : runs) {
        auto end = std::find_if(ends.begin(), ends.end(), [&](const report::SeasonEnd& one) {
            return one.ended == run.ended && one.key == run.station;
        });
        if (end == ends.end()) end = ends.insert(end, {run.station, run.station_name, run.ended, 0});
        ++end->runs;
    }
    std::stable_sort(ends.begin(), ends.end(), [](const auto& a, const auto& b) { return a.runs > b.runs; });
    return ends;
}

// --- reading ---

class Reading {
  public:
    explicit Reading(const SeasonWish& wish) : wish_(wish) { document_.confidence = wish.confidence; }

    Result<report::SeasonDocument> all() {
        document_.program_version = program_version();
        document_.athlete = wish_.athlete;
        for (const auto& [file, number] : wish_.number_in) {
            const bool named =
                std::any_of(wish_.files.begin(), wish_.files.end(),
                            [&, &name = file](const fs::path& path) { return is_named(path, name); });
            if (!named)
                return Error{
                    Category::bad_input,
                    worded("The number {} is given for '{}', which is none of the files.", number, file),
                    "--athlete"};
        }
        for (const fs::path& path : wish_.files) {
            if (wish_.stop.stop_requested()) return cancelled();
            if (Result<void> read = read_file(path); !read) return read.error();
            ++done_;
            report_progress(0);
        }
        const bool any =
            std::any_of(found_.begin(), found_.end(), [](const Found& found) { return !found.file.error; });
        if (!any && !found_.empty()) return *found_.front().file.error;
        put_in_order();
        return std::move(document_);
    }

  private:
    struct Found {
        report::SeasonFile file;
        OpenedRuns opened;
    };

    static bool is_named(const fs::path& path, const std::string& name) {
        return path.string() == name || path.filename().string() == name;
    }
    [[nodiscard]] std::string number_in(const fs::path& path) const {
        for (const auto& [file, number] : wish_.number_in) {
            if (is_named(path, file)) return number;
        }
        return "";
    }
    void report_progress(double within) const {
        if (wish_.progress)
            wish_.progress((static_cast<double>(done_) + within) / static_cast<double>(wish_.files.size()));
    }

    /// Error cancelled alone.
    Result<void> read_file(const fs::path& path) {
        Found& found = found_.emplace_back();
        found.file.file = path.string();
        store::OpenOptions reading;
        reading.read_only = true;
        const auto file = store::MeetFile::open(path, reading);
        if (!file) {
            found.file.error = file.error();
            return {};
        }
        const meet::State& state = file->loaded();
        found.file.meet = state.info().name;
        found.file.date = state.info().date;
        OpenRunsOptions options;
        options.stop = wish_.stop;
        options.progress = [this](double share) { report_progress(share); };
        const std::string number = number_in(path);
        const bool somebody = !wish_.athlete.empty() || !number.empty() || !wish_.number_in.empty();
        if (somebody) {
            const meet::Athlete* athlete = find(state, number, found.file);
            if (athlete == nullptr) return {};
            options.wanted = [&state, athlete](const meet::Run& run) {
                const meet::Athlete* who = meet::athlete_of(state, run);
                return who != nullptr && same_person(*who, *athlete);
            };
        }
        auto opened = open_runs(state, path, options);
        if (!opened) return cancelled();
        found.opened = std::move(*opened);
        found.file.runs = std::ssize(found.opened.runs) + std::ssize(found.opened.not_opened);
        return {};
    }

    const meet::Athlete* find(const meet::State& state, const std::string& number, report::SeasonFile& file) {
        const Answering found = answering(state, wish_.athlete, number);
        if (found.who.empty()) return nullptr;
        if (found.who.size() > 1) {
            file.error = Error{Category::bad_input,
                               worded("{} athletes answer to '{}' there; give the number of the one that is "
                                      "meant as FILE=NUMBER.",
                                      std::ssize(found.who), number.empty() ? wish_.athlete : number),
                               file.file};
            return nullptr;
        }
        file.matched = found.how;
        file.number = found.who.front()->number;
        file.athlete = found.who.front()->name;
        return found.who.front();
    }

    void put_in_order() {
        std::stable_sort(found_.begin(), found_.end(),
                         [](const Found& a, const Found& b) { return a.file.date < b.file.date; });
        std::vector<std::shared_ptr<const report::LaidOpen>> opened;
        std::vector<std::size_t> file_of;
        std::set<std::string> names;
        for (Found& found : found_) {
            const std::size_t place = document_.files.size();
            for (auto& run : found.opened.runs) {
                opened.push_back(std::move(run));
                file_of.push_back(place);
            }
            for (NotOpened& one : found.opened.not_opened)
                document_.not_opened.push_back(
                    {place, std::move(one.name), std::move(one.why), one.unmarked});
            if (!found.file.athlete.empty()) names.insert(base::ascii_lower(found.file.athlete));
            document_.files.push_back(std::move(found.file));
        }
        if (names.size() > 1)
            document_.notes.push_back(
                worded("The files give the athlete several names; where a number is another person's, give "
                       "that file's own as FILE=NUMBER."));
        add_season_figures(opened, file_of, document_);
    }

    const SeasonWish& wish_;
    report::SeasonDocument document_;
    std::vector<Found> found_;
    std::size_t done_ = 0;
};

}  // namespace

void add_season_figures(const std::vector<std::shared_ptr<const report::LaidOpen>>& opened,
                        const std::vector<std::size_t>& file_of, report::SeasonDocument& document) {
    Kinds kinds;
    for (std::size_t i = 0; i < opened.size(); ++i) {
        const report::LaidOpen& open = *opened[i];
        document.runs.push_back(run_of(open, file_of[i]));
        for (const study::StationFigures& figures : open.run.figures.stations) {
            const std::size_t kind = kinds.of(open.book->station(figures.station), *open.book);
            // A station that was not reached is no try at it.
            if (figures.verdict == Verdict::not_reached || figures.if_reached) continue;
            Tries::One one{file_of[i], figures.verdict, std::nullopt};
            if (figures.verdict == Verdict::clear && figures.time.low) one.time = figures.time;
            kinds.tries(kind).all.push_back(one);
        }
    }
    document.stations = kinds.finish(document.confidence);
    document.ends = ends_of(document.runs);
}

Result<report::SeasonDocument> season(const SeasonWish& wish) {
    return Reading(wish).all();
}

}  // namespace plumbmark::review
