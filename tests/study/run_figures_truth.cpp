#include "study/run_figures_truth.h"

#include <algorithm>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include "course/read.h"
#include "support/test_places.h"

namespace plumbmark::test {
namespace {

using course::Part;

std::string text_of(const std::string& name) {
    std::ifstream file((test::source_folder() / "sample_clips/").string() + name);
    std::stringstream text;
    text << file.rdbuf();
    return text.str();
}

/// The value of a key on one line of the truth file, which has one event on each.
std::string value(const std::string& line, const std::string& key, std::size_t from = 0) {
    const std::size_t found = line.find("\"" + key + "\":", from);
    if (found == std::string::npos) return "";
    std::size_t begin = found + key.size() + 3;
    while (line[begin] == ' ' || line[begin] == '"')
        ++begin;
    return line.substr(begin, line.find_first_of(",\"}", begin) - begin);
}

std::optional<ruling::Happening> happening(const course::CourseBook& book, const std::string& line) {
    const std::string event = value(line, "event");
    const auto part = course::part_from_key(value(line, "part"));
    if (event == "touch" && part) return ruling::Touch{*part, book.find_surface(value(line, "surface"))};
    if (event == "release" && part) return ruling::Release{*part, book.find_surface(value(line, "surface"))};
    if (event == "signal" && value(line, "signal") == "start")
        return ruling::Signal{ruling::SignalKind::start_given};
    if (event == "signal") return ruling::Signal{ruling::SignalKind::finish_registers};
    if (event == "cross") {
        const auto direction =
            value(line, "direction") == "back" ? ruling::Direction::back : ruling::Direction::forward;
        return ruling::Cross{part, book.find_plane(value(line, "plane")), direction};
    }
    return std::nullopt;
}

std::int64_t floor_to(std::int64_t time, std::int64_t step) {
    const std::int64_t rest = ((time % step) + step) % step;
    return time - rest;
}

}  // namespace

course::CourseBook pier_nine() {
    const course::ReadBook read = course::read_book(text_of("pier-nine.course"));
    if (!read.book) throw std::runtime_error("the sample course does not read");
    return *read.book;
}

TrueRun sample_run(const std::string& name) {
    const course::CourseBook book = pier_nine();
    std::stringstream lines(text_of("truth.json"));
    TrueRun run;
    bool here = false;
    for (std::string line; std::getline(lines, line);) {
        if (line.find("\"run\":") != std::string::npos) here = value(line, "run") == name;
        if (!here) continue;
        if (line.find("\"standing\":") != std::string::npos) {
            for (std::size_t at = line.find("{"); at != std::string::npos; at = line.find("{", at + 1))
                run.standing.insert({*course::part_from_key(value(line, "part", at)),
                                     book.find_surface(value(line, "surface", at))});
        }
        if (line.find("{\"event\":") == std::string::npos) continue;
        if (const auto what = happening(book, line))
            run.events.push_back({std::stoll(value(line, "time_ns")), *what, {}});
    }
    std::stable_sort(run.events.begin(), run.events.end(),
                     [](const TrueEvent& a, const TrueEvent& b) { return a.ns < b.ns; });
    return run;
}

TrueRun random_run(oracle::Dice& dice, const course::CourseBook& book, int events) {
    TrueRun run;
    std::set<Contact> on;
    for (const Part foot : {Part::left_foot, Part::right_foot})
        on.insert({foot, book.stations[0].start[0]});
    run.standing = on;
    std::int64_t now = 200'000'000 + dice.below(80'000'000);
    run.events.push_back({now, ruling::Signal{ruling::SignalKind::start_given}, {}});
    const std::vector<Part> limbs{Part::left_hand, Part::right_hand, Part::left_foot, Part::right_foot,
                                  Part::left_hand, Part::right_hand, Part::other};
    while (static_cast<int>(run.events.size()) < events) {
        now += 1 + (dice.percent(40) ? dice.below(25'000'000) : dice.below(400'000'000));
        const Part part = dice.of(limbs);
        const auto held =
            std::find_if(on.begin(), on.end(), [part](const Contact& c) { return c.first == part; });
        if (held != on.end() && dice.percent(80)) {
            run.events.push_back({now, ruling::Release{part, held->second}, {}});
            on.erase(held);
            continue;
        }
        const course::SurfaceId surface{dice.below(static_cast<int>(book.surfaces.size()))};
        if (!on.insert({part, surface}).second) continue;
        run.events.push_back({now, ruling::Touch{part, surface}, {}});
    }
    return run;
}

ruling::Evidence filmed(TrueRun& run, const Seen& seen, oracle::Dice& dice) {
    ruling::Evidence evidence;
    std::int64_t next = 1;
    const std::int64_t end = run.events.back().ns + 3 * seen.frame;
    const int clips = seen.second_clip ? 2 : 1;
    const std::int64_t offset[2] = {0, seen.second_offset}, frame[2] = {seen.frame, seen.second_frame};
    std::int64_t last[2] = {0, 0};
    for (int c = 0; c < clips; ++c) {
        ruling::ClipFacts facts;
        facts.name = c == 0 ? "camera A" : "camera B";
        facts.row_delay.ns = seen.row_delay;
        std::int64_t at = seen.from - offset[c];
        for (; at < end - offset[c]; at += frame[c])
            facts.frame_times.push_back(base::Time{at});
        last[c] = facts.frame_times.back().ns;
        evidence.clips.push_back(facts);
    }
    const auto sighting = [&](int c, std::int64_t ns) {
        // A row that is taken later shows at its frame's time what happened up to so much later.
        const std::int64_t row = seen.row_delay > 0 ? dice.below(static_cast<int>(seen.row_delay)) : 0;
        const std::int64_t first = seen.from - offset[c];
        const std::int64_t on_clip = ns - offset[c] - row;
        const std::int64_t after = first + floor_to(on_clip - 1 - first, frame[c]);
        return ruling::Sighting{ruling::ClipIndex{c}, base::Time{after}, base::Time{after + frame[c]}, false};
    };
    for (const Contact& contact : run.standing)
        evidence.contacts.push_back({ruling::MarkId{next++}, ruling::ClipIndex{0},
                                     evidence.clips[0].frame_times.front(), contact.first, contact.second,
                                     true});
    for (TrueEvent& event : run.events) {
        ruling::Mark mark;
        mark.id = event.mark = ruling::MarkId{next++};
        mark.alternatives = {event.what};
        const int where = seen.second_clip ? dice.below(5) : 0;  // 0, 1: A; 2, 3: B; 4: both
        if (where < 2 || where == 4) mark.sightings.push_back(sighting(0, event.ns));
        if (where >= 2) mark.sightings.push_back(sighting(1, event.ns));
        evidence.marks.push_back(mark);
    }
    for (int c = 0; c < clips; ++c) {
        ruling::Scope whole;
        whole.whole_athlete = true;
        ruling::Scope finish;
        finish.finish_signal = true;
        for (const ruling::Scope& scope : {whole, finish})
            evidence.spans.push_back({ruling::MarkId{next++}, ruling::ClipIndex{c},
                                      evidence.clips[static_cast<std::size_t>(c)].frame_times.front(),
                                      base::Time{last[c]}, scope});
    }
    return evidence;
}

namespace {

/// Follows whether something holds and notes each stretch of it.
class Follow {
  public:
    explicit Follow(std::vector<TrueStretch>& all) : all_(all) {}
    void now(bool holds, std::int64_t ns, ruling::MarkId by, bool before, TrueStretch like = {}) {
        if (holds && !open_) {
            open_ = like;
            open_->from = ns;
            open_->begins = by;
            open_->begun_before = before;
        } else if (!holds && open_) {
            open_->to = ns;
            open_->ends = by;
            all_.push_back(*open_);
            open_.reset();
        }
    }
    void end(std::int64_t ns) {
        if (!open_) return;
        open_->to = ns;
        open_->goes_on = true;
        all_.push_back(*open_);
    }

  private:
    std::vector<TrueStretch>& all_;
    std::optional<TrueStretch> open_;
};

}  // namespace

TrueFigures figures_of(const TrueRun& run, const std::set<course::SurfaceId>& platforms) {
    TrueFigures figures;
    Follow hang(figures.hangs), flight(figures.flights);
    std::map<Contact, Follow> grips;
    std::map<course::SurfaceId, Follow> rests;
    std::set<Contact> on = run.standing;
    bool started = false;
    const auto any = [&on](const auto& wanted) { return std::any_of(on.begin(), on.end(), wanted); };
    const auto look = [&](std::int64_t ns, ruling::MarkId by, bool before) {
        const bool hand = any([](const Contact& c) { return course::kHands.has(c.first); });
        const bool foot = any([](const Contact& c) { return course::kFeet.has(c.first); });
        const bool body = any([](const Contact& c) { return c.first != Part::loose; });
        hang.now(hand && !foot, ns, by, before);
        flight.now(!body, ns, by, before);
        for (const course::SurfaceId surface : platforms) {
            const bool stands = any(
                [surface](const Contact& c) { return course::kFeet.has(c.first) && c.second == surface; });
            TrueStretch like;
            like.surface = surface;
            rests.try_emplace(surface, figures.rests)
                .first->second.now(started && stands, ns, by, before, like);
        }
        for (const Contact& contact : on) {
            if (course::kHands.has(contact.first)) grips.try_emplace(contact, figures.grips);
        }
        for (auto& [contact, grip] : grips) {
            TrueStretch like;
            like.part = contact.first;
            like.surface = contact.second;
            grip.now(on.count(contact) > 0, ns, by, before, like);
        }
    };
    look(0, {}, true);
    for (const TrueEvent& event : run.events) {
        if (const auto* touch = std::get_if<ruling::Touch>(&event.what))
            on.insert({touch->part, touch->surface});
        if (const auto* left = std::get_if<ruling::Release>(&event.what))
            on.erase({left->part, left->surface});
        const auto* signal = std::get_if<ruling::Signal>(&event.what);
        started |= signal != nullptr && signal->kind == ruling::SignalKind::start_given;
        look(event.ns, event.mark, false);
    }
    const std::int64_t end = run.events.back().ns;
    hang.end(end);
    flight.end(end);
    for (auto& [contact, grip] : grips)
        grip.end(end);
    for (auto& [surface, rest] : rests)
        rest.end(end);
    return figures;
}

}  // namespace plumbmark::test
