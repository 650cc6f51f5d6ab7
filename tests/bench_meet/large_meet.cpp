#include "bench_meet/large_meet.h"

#include <fmt/format.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "course/read.h"
#include "store/meet_file.h"
#include "support/test_places.h"

namespace plumbmark::bench {
namespace {

constexpr std::int64_t kInDivision = 250;
constexpr std::int64_t kOneHundredth = 10'000'000;
constexpr std::int64_t kMorning = 1'777'712'400'000;  // 2026-05-02, 09:00 UTC
constexpr std::int64_t kTick = 1'500;                 // of a clip of 60 frames a second in 1/90000 s

std::string course_text() {
    std::ifstream file(test::source_folder() / "sample_clips/pier-nine.course");
    std::stringstream text;
    text << file.rdbuf();
    return text.str();
}

[[noreturn]] void give_up(const base::Error& error) {
    std::fprintf(stderr, "bench-meet: the meet cannot be made: %s\n", error.text().c_str());
    std::exit(1);
}

meet::FrameRef frame(std::int64_t number) {
    return {number, number * kTick};
}

class Maker {
  public:
    Maker(const std::filesystem::path& path, const MeetSize& size) : size_(size) {
        auto made = store::MeetFile::create(path, {"Pier Nine Youth Open", "harbour hall", "2026-05-02"});
        if (!made) give_up(made.error());
        file_.emplace(std::move(*made));
        state_ = file_->loaded();
        stations_ = course::read_book_or_error(course_text(), "pier-nine.course")->stations;
    }

    meet::State make() {
        add(meet::BookRevision{{1}, "pier-nine.course", course_text(), {}});
        commit("course book");
        add_divisions_and_rounds();
        add_athletes();
        for (std::int64_t round = 1; round <= kRounds; ++round) {
            for (std::int64_t athlete = 1; athlete <= size_.athletes; ++athlete)
                add_run(round, athlete);
            give_out(round, false);
            give_out(round, true);
        }
        if (const auto written = file_->flush(); !written) give_up(written.error());
        return std::move(state_);
    }

  private:
    template <class Thing>
    void add(Thing thing) {
        change_.edits.push_back({std::nullopt, std::move(thing)});
    }
    void commit(const std::string& label) {
        change_.label = label;
        if (const auto applied = state_.apply(change_); !applied) give_up(applied.error());
        file_->submit(change_);
        change_ = {};
    }

    [[nodiscard]] std::int64_t divisions() const { return (size_.athletes + kInDivision - 1) / kInDivision; }
    [[nodiscard]] std::int64_t entry_of(std::int64_t round, std::int64_t athlete) const {
        return (round - 1) * size_.athletes + athlete;
    }

    void add_divisions_and_rounds() {
        for (std::int64_t i = 1; i <= divisions(); ++i)
            add(meet::Division{{i}, fmt::format("d{:03}", i), fmt::format("Division {}", i), {}, {}, "", ""});
        for (std::int64_t i = 1; i <= kRounds; ++i)
            add(meet::Round{{i},
                            fmt::format("Round {}", i),
                            i < kRounds ? meet::RoundKind::qualifying : meet::RoundKind::final,
                            static_cast<std::int32_t>(i)});
        commit("divisions and rounds");
    }

    void add_athletes() {
        for (std::int64_t i = 1; i <= size_.athletes; ++i) {
            add(meet::Athlete{{i},
                              std::to_string(i),
                              fmt::format("Athlete of number {}", i),
                              fmt::format("Harbour Club {}", i % 90),
                              fmt::format("d{:03}", (i - 1) / kInDivision + 1),
                              "2012"});
            for (std::int64_t round = 1; round <= kRounds; ++round)
                add(meet::Entry{{entry_of(round, i)},
                                {i},
                                {round},
                                static_cast<std::int32_t>(i / 8 + 1),
                                static_cast<std::int32_t>(i % 8 + 1),
                                "",
                                meet::EntryStatus::entered,
                                ""});
        }
        commit("start list");
    }

    // Its time depends on who runs and in which round, so that no two rounds rank alike; every 50th run has a
    // time from footage only, and every 40th one is appealed against.
    void add_run(std::int64_t round, std::int64_t athlete) {
        const std::int64_t id = entry_of(round, athlete);
        meet::Clip clip;
        clip.id = {id};
        clip.name = "camera A";
        clip.relative_path = fmt::format("round {}/run {}.mp4", round, id);
        clip.frame_count = 3'600;
        clip.time_base = {1, 90'000};
        clip.fingerprint = fmt::format("{:032x}", id * 7'919);
        add(clip);
        meet::Run run;
        run.id = {id};
        run.athlete = {athlete};
        run.book = {1};
        run.label = fmt::format("round {} number {}", round, athlete);
        run.clips = {{id}};
        run.entry = {id};
        add(run);
        const std::size_t clears = static_cast<std::size_t>(athlete * 7 + round) % (stations_.size() + 1);
        for (std::size_t i = 0; i < stations_.size() && i <= clears; ++i)
            add(meet::FloorCall{{next_call_++},
                                {id},
                                stations_[i].key,
                                i < clears ? meet::Call::clear : meet::Call::fail,
                                fmt::format("Judge {}", i),
                                false,
                                meet::WallTime{kMorning + id * 60'000}});
        if (id % 50 != 0 && clears > 0)
            add(meet::ClockTime{{id},
                                {id},
                                clears == stations_.size() ? "" : stations_[clears - 1].key,
                                {{(4'000 + athlete * 37 % 3'001 + round) * kOneHundredth}},
                                "Clock"});
        commit(fmt::format("round {}, number {}", round, athlete));
        if (id % 40 == 0 && clears < stations_.size()) appeal(id, stations_[clears].key);
        mark(id);
    }

    void appeal(std::int64_t run, const std::string& station) {
        add(meet::Appeal{{next_appeal_},
                         {run},
                         station,
                         "the foot was on the deck first",
                         "Coach",
                         meet::Capacity::coach,
                         {kMorning + run * 60'000},
                         true,
                         meet::AppealStatus::lodged,
                         ""});
        commit("appeal");
        add(meet::Decision{{next_appeal_},
                           {next_appeal_},
                           ruling::Verdict::fail,
                           meet::Outcome::call_stands,
                           meet::Call::fail,
                           "The footage shows the same.",
                           {kMorning + run * 60'000},
                           {{"Head Judge", meet::Capacity::head_judge}}});
        commit("decision");
        ++next_appeal_;
    }

    void mark(std::int64_t run) {
        using meet::Event;
        using meet::EventKind;
        const auto touch = [](course::Part part, const char* surface) {
            Event event;
            event.part = part;
            event.surface = surface;
            return event;
        };
        Event start, cross;
        start.kind = EventKind::signal;
        cross.kind = EventKind::cross;
        cross.plane = "gantry_front_plane";
        const Event events[kMarksOfRun] = {start,
                                           touch(course::Part::left_foot, "bollard_1"),
                                           touch(course::Part::right_foot, "bollard_2"),
                                           touch(course::Part::left_foot, "bollard_3"),
                                           touch(course::Part::right_foot, "coil_deck"),
                                           touch(course::Part::left_hand, "hawser"),
                                           touch(course::Part::right_hand, "hawser"),
                                           cross,
                                           touch(course::Part::left_foot, "gantry_deck"),
                                           touch(course::Part::right_foot, "gantry_deck")};
        for (std::int64_t i = 0; i < kMarksOfRun; ++i) {
            const std::int64_t early = 60 + run % 600 + i * 97;
            add(meet::Mark{{next_mark_++},
                           {run},
                           {events[i]},
                           false,
                           {{{run}, frame(early), frame(early + 1)}},
                           i == 4 ? "right foot first" : "",
                           {}});
        }
        add(meet::WatchedSpan{{next_mark_++}, {run}, {run}, frame(0), frame(3'599), {}});
        commit(fmt::format("marks of run {}", run));
    }

    void give_out(std::int64_t round, bool official) {
        for (std::int64_t division = 1; division <= divisions(); ++division) {
            meet::Publication made{{next_publication_++},
                                   {round},
                                   {division},
                                   {kMorning + next_publication_ * 60'000},
                                   official,
                                   {},
                                   ""};
            const std::int64_t first = (division - 1) * kInDivision + 1;
            for (std::int64_t i = first; i < first + kInDivision && i <= size_.athletes; ++i)
                made.lines.push_back({{entry_of(round, i)},
                                      static_cast<std::int32_t>(i - first + 1),
                                      meet::EntryStatus::entered,
                                      2,
                                      0,
                                      "61.20"});
            add(std::move(made));
        }
        commit("results");
    }

    MeetSize size_;
    std::optional<store::MeetFile> file_;
    meet::State state_;
    meet::Change change_;
    std::vector<course::Station> stations_;
    std::int64_t next_call_ = 1;
    std::int64_t next_appeal_ = 1;
    std::int64_t next_mark_ = 1;
    std::int64_t next_publication_ = 1;
};

}  // namespace

meet::State make_large_meet(const std::filesystem::path& file, const MeetSize& size) {
    return Maker(file, size).make();
}

}  // namespace plumbmark::bench
