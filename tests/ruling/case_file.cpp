#include "ruling/case_file.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <sstream>
#include <stdexcept>

#include "course/read.h"
#include "support/test_places.h"

namespace plumbmark::test {
namespace {

using course::Part;

const std::filesystem::path kCases = test::source_folder() / "tests/ruling/cases";

std::vector<std::string> words_of(const std::string& line) {
    std::istringstream stream(line);
    std::vector<std::string> words;
    for (std::string word; stream >> word;) {
        if (word[0] == '#') break;
        words.push_back(word);
    }
    return words;
}

// The words of one line, taken from the front.
class Line {
  public:
    Line(std::vector<std::string> words, std::string where)
        : words_(std::move(words)), where_(std::move(where)) {}

    [[nodiscard]] bool done() const { return next_ == words_.size(); }
    [[nodiscard]] std::string peek(std::size_t ahead = 0) const {
        return next_ + ahead < words_.size() ? words_[next_ + ahead] : "";
    }
    std::string take() {
        if (done()) wrong("the line ends too early");
        return words_[next_++];
    }
    bool take_if(const std::string& word) {
        if (peek() != word) return false;
        ++next_;
        return true;
    }
    [[noreturn]] void wrong(const std::string& what) const { throw std::runtime_error(where_ + ": " + what); }

    std::optional<Part> part_if() {
        for (Part part : course::kAllParts) {
            std::string key(course::part_key(part));
            std::replace(key.begin(), key.end(), '_', ' ');
            const std::vector<std::string> name = words_of(key);
            if (peek() != name[0] || (name.size() > 1 && peek(1) != name[1])) continue;
            next_ += name.size();
            return part;
        }
        return std::nullopt;
    }
    Part part() {
        const std::optional<Part> found = part_if();
        if (!found) wrong("'" + peek() + "' is no part");
        return *found;
    }

  private:
    std::vector<std::string> words_;
    std::string where_;
    std::size_t next_ = 0;
};

class CaseReader {
  public:
    CaseReader(const course::CourseBook& book, std::string title) {
        made_.book = book;
        made_.title = std::move(title);
    }

    void line(Line line) {
        const std::string first = line.peek();
        if (first == "clip") {
            clip(line);
        } else if (first == "drift") {
            line.take();
            made_.settings.drift_parts_per_million = std::stoll(line.take());
        } else if (first == "at") {
            statement(line);
        } else if (first == "watch") {
            watch(line);
        } else if (first == "expect") {
            expect(line);
        } else if (first == "pattern") {
            line.take();
            while (!line.done())
                made_.patterns.push_back(line.take());
        } else if (first == "appeal") {
            appeal(line);
        } else if (first == "why") {
            line.take();
            while (!line.done())
                made_.why += (made_.why.empty() ? "" : " ") + line.take();
        } else {
            mark(line);
        }
        if (!line.done()) line.wrong("what is '" + line.peek() + "'?");
    }

    RuleCase finish() { return std::move(made_); }

  private:
    ruling::MarkId next() { return ruling::MarkId{++marks_}; }

    // clip B 30 fps 120 [order only] [rows 5 ms]
    void clip(Line& line) {
        line.take();
        ruling::ClipFacts facts;
        facts.name = line.take();
        add_clip(line, facts, std::stoll(line.take()));
    }
    void add_clip(Line& line, ruling::ClipFacts facts, std::int64_t rate) {
        if (!line.take_if("fps")) line.wrong("'fps' is expected");
        const std::int64_t frames = std::stoll(line.take());
        for (std::int64_t k = 0; k < frames; ++k)
            facts.frame_times.push_back(base::floor_to_time(k, {1, rate}));
        if (line.take_if("order")) {
            if (!line.take_if("only")) line.wrong("'order only' is expected");
            facts.durations_known = false;
        }
        if (line.take_if("rows")) {
            facts.row_delay = {std::stoll(line.take()) * 1'000'000};
            if (!line.take_if("ms")) line.wrong("'ms' is expected");
        }
        made_.evidence.clips.push_back(facts);
    }
    // Without a clip line: clip A at 30 frames a second, 121 frames.
    void need_clip() {
        if (!made_.evidence.clips.empty()) return;
        Line line({"fps", "121"}, "");
        ruling::ClipFacts facts;
        facts.name = "A";
        add_clip(line, facts, 30);
    }

    // "A 10..11", or "10..11" on the first clip.
    ruling::ClipIndex clip_of(Line& line) {
        need_clip();
        for (std::size_t i = 0; i < made_.evidence.clips.size(); ++i) {
            if (line.take_if(made_.evidence.clips[i].name))
                return ruling::ClipIndex{static_cast<std::int64_t>(i)};
        }
        return ruling::ClipIndex{0};
    }
    base::Time frame(Line& line, ruling::ClipIndex clip, const std::string& number) {
        const auto& times = made_.evidence.clips[static_cast<std::size_t>(clip.value)].frame_times;
        std::size_t k = times.size();
        try {
            k = std::stoul(number);
        } catch (const std::logic_error&) {
            line.wrong("'" + number + "' is no frame");
        }
        if (k >= times.size()) line.wrong("the clip has no frame " + number);
        return times[k];
    }
    std::pair<std::string, std::string> range(Line& line) {
        const std::string word = line.take();
        const std::size_t dots = word.find("..");
        if (dots == std::string::npos) line.wrong("'" + word + "' is no range of frames");
        return {word.substr(0, dots), word.substr(dots + 2)};
    }

    course::SurfaceId surface(Line& line) {
        const std::string key = line.take();
        if (key == "something") return {};
        const course::SurfaceId id = made_.book.find_surface(key);
        if (!id.valid()) line.wrong("'" + key + "' is not a declared surface");
        return id;
    }
    course::PlaneId plane(Line& line) {
        const std::string key = line.take();
        const course::PlaneId id = made_.book.find_plane(key);
        if (!id.valid()) line.wrong("'" + key + "' is not a declared plane");
        return id;
    }

    // at [CLIP] FRAME PART on|off SURFACE
    void statement(Line& line) {
        line.take();
        ruling::ContactStatement said;
        said.id = next();
        said.clip = clip_of(line);
        said.at = frame(line, said.clip, line.take());
        said.part = line.part();
        const std::string word = line.take();
        if (word != "on" && word != "off") line.wrong("'on' or 'off' is expected");
        said.on = word == "on";
        said.surface = surface(line);
        made_.evidence.contacts.push_back(said);
    }

    // watch [CLIP] 0..120 everything | surfaces and planes | finish
    void watch(Line& line) {
        line.take();
        ruling::WatchedSpan span;
        span.id = next();
        span.clip = clip_of(line);
        const auto [from, to] = range(line);
        span.after = frame(line, span.clip, from);
        span.until = frame(line, span.clip, to);
        while (!line.done()) {
            const std::string word = line.peek();
            if (word == "everything") {
                span.scope.whole_athlete = true;
                line.take();
            } else if (word == "finish") {
                span.scope.finish_signal = true;
                line.take();
            } else if (made_.book.find_plane(word).valid()) {
                span.scope.planes.push_back(plane(line));
            } else {
                span.scope.surfaces.push_back(surface(line));
            }
        }
        made_.evidence.spans.push_back(span);
    }

    // [possible] EVENT [or EVENT] [@ [CLIP] 10..11 [@ ...]]
    void mark(Line& line) {
        ruling::Mark made;
        made.id = next();
        made.possible = line.take_if("possible");
        do
            made.alternatives.push_back(event(line));
        while (line.take_if("or"));
        while (line.take_if("@")) {
            ruling::Sighting seen;
            seen.clip = clip_of(line);
            const auto [from, to] = range(line);
            if (from != "before") seen.after = frame(line, seen.clip, from);
            if (to != "after") seen.until = frame(line, seen.clip, to);
            made.sightings.push_back(seen);
        }
        made_.evidence.marks.push_back(made);
    }

    ruling::Happening event(Line& line) {
        const std::string kind = line.take();
        if (kind == "touch") {
            ruling::Touch touch{line.part(), surface(line), ruling::Grade::ungraded};
            if (line.take_if("brush")) touch.grade = ruling::Grade::brush;
            if (line.take_if("weight")) touch.grade = ruling::Grade::weight;
            return touch;
        }
        if (kind == "release") {
            const Part part = line.part();
            return ruling::Release{part, surface(line)};
        }
        if (kind == "cross") return cross(line);
        if (kind == "signal") return signal(line);
        if (kind == "infraction") return infraction(line);
        if (kind == "control") return ruling::Control{};
        if (kind == "moment") return ruling::SharedMoment{};
        line.wrong("'" + kind + "' is no event");
    }
    ruling::Happening cross(Line& line) {
        ruling::Cross made{line.part_if(), {}, ruling::Direction::forward};
        if (!made.part && !(line.take_if("whole") && line.take_if("athlete"))) line.wrong("who crosses?");
        made.plane = plane(line);
        const std::string way = line.take();
        if (way != "forward" && way != "back") line.wrong("'forward' or 'back' is expected");
        if (way == "back") made.direction = ruling::Direction::back;
        return made;
    }
    ruling::Happening signal(Line& line) {
        const std::string which = line.take();
        if (which == "start") return ruling::Signal{ruling::SignalKind::start_given};
        if (which == "finish") return ruling::Signal{ruling::SignalKind::finish_registers};
        if (which == "over") return ruling::Signal{ruling::SignalKind::run_over};
        line.wrong("'" + which + "' is no signal");
    }
    ruling::Happening infraction(Line& line) {
        const std::string which = line.take();
        if (which == "assistance") return ruling::Infraction{ruling::InfractionKind::assistance};
        if (which == "false-start") return ruling::Infraction{ruling::InfractionKind::false_start};
        if (which == "lack-of-control") return ruling::Infraction{ruling::InfractionKind::lack_of_control};
        line.wrong("'" + which + "' is no infraction");
    }

    // appeal STATION clear fail ...: how the stations before it were called
    void appeal(Line& line) {
        line.take();
        Appeal made;
        const std::string station = line.take();
        made.station = made_.book.find_station(station);
        if (!made.station.valid()) line.wrong("no station '" + station + "'");
        while (!line.done()) {
            const bool clear = line.take_if("clear");
            if (!clear && !line.take_if("fail")) line.wrong("'clear' or 'fail' is expected");
            made.called_clear.push_back(clear);
        }
        made_.appeal = made;
    }

    // expect split 20..21 from 0.633333333 to 0.7, in seconds from the start signal; expect no split
    void split(Line& line) {
        ExpectedSplit made;
        const auto [from, to] = range(line);
        made.after = frame(line, ruling::ClipIndex{0}, from);
        made.until = frame(line, ruling::ClipIndex{0}, to);
        if (!line.take_if("from")) line.wrong("'from' is expected");
        made.low = nanoseconds(line);
        if (!line.take_if("to")) line.wrong("'to' is expected");
        made.high = nanoseconds(line);
        made_.split = made;
    }
    static std::int64_t nanoseconds(Line& line) {
        std::string word = line.take();
        const std::size_t dot = word.find('.');
        if (dot == std::string::npos || word.size() - dot - 1 != 9)
            line.wrong("'" + word + "': seconds with nine decimals are expected");
        return std::stoll(word.erase(dot, 1));
    }

    // expect STATION VERDICT [if reached] [clauses] | expect contradiction [numbers] | expect cleared 0 1
    // [full] | expect points 3 5 | expect split ... | expect no split
    void expect(Line& line) {
        line.take();
        if (line.take_if("split")) return split(line);
        if (line.peek() == "no" && line.peek(1) == "split") {
            line.take();
            line.take();
            made_.split = ExpectedSplit{true, {}, {}, 0, 0};
            return;
        }
        if (line.take_if("contradiction")) {
            made_.refused = true;
            while (!line.done())
                made_.contradiction.push_back(std::stoll(line.take()));
            return;
        }
        if (line.take_if("cleared")) {
            while (!line.done())
                made_.results += (made_.results.empty() ? "" : " ") + line.take();
            return;
        }
        if (line.take_if("points")) {
            while (!line.done())
                made_.points += (made_.points.empty() ? "" : " ") + line.take();
            return;
        }
        ExpectedStation station;
        station.station = line.take();
        if (!made_.book.find_station(station.station).valid())
            line.wrong("no station '" + station.station + "'");
        station.verdict = verdict(line);
        station.if_reached = line.take_if("if") && line.take_if("reached");
        while (!line.done())
            station.clauses.push_back(clause(line));
        if (station.verdict == ruling::Verdict::fail && station.clauses.empty())
            line.wrong("by which clause?");
        made_.expected.push_back(station);
    }
    static ruling::Verdict verdict(Line& line) {
        if (line.take_if("CLEAR")) return ruling::Verdict::clear;
        if (line.take_if("FAIL")) return ruling::Verdict::fail;
        if (line.take_if("NOT")) {
            if (line.take_if("SHOWN")) return ruling::Verdict::not_shown;
            if (line.take_if("REACHED")) return ruling::Verdict::not_reached;
        }
        line.wrong("a verdict is expected");
    }
    static ruling::Clause clause(Line& line) {
        const std::string word = line.take();
        for (int i = 0; i <= static_cast<int>(ruling::Clause::run_ended); ++i) {
            if (word == ruling::clause_key(static_cast<ruling::Clause>(i)))
                return static_cast<ruling::Clause>(i);
        }
        line.wrong("'" + word + "' is no clause");
    }

    RuleCase made_;
    std::int64_t marks_ = 0;
};

constexpr std::string_view kCourse = "--- course";
constexpr std::string_view kCase = "--- case: ";

}  // namespace

base::Result<ruling::RunRuling> rule(const RuleCase& rule_case) {
    ruling::Settings verdicts = rule_case.settings;
    verdicts.explain = false;
    if (!rule_case.appeal) return ruling::rule_run(rule_case.book, rule_case.evidence, verdicts);
    return ruling::rule_appeal(rule_case.book, rule_case.evidence, rule_case.appeal->station,
                               rule_case.appeal->called_clear, verdicts);
}

std::vector<RuleCase> read_cases(std::string_view text, const std::string& file) {
    std::istringstream stream{std::string(text)};
    std::vector<RuleCase> cases;
    std::optional<course::CourseBook> book;
    std::optional<CaseReader> reader;
    std::optional<std::string> toml;
    const auto close = [&] {
        if (toml) {
            base::Result<course::CourseBook> read = course::read_book_or_error(*toml, file);
            if (!read.ok()) throw std::runtime_error(read.error().text());
            book = std::move(read).value();
            toml.reset();
        }
        if (reader) cases.push_back(reader->finish());
        reader.reset();
    };
    int number = 0;
    for (std::string line; std::getline(stream, line);) {
        ++number;
        const std::string where = file + ":" + std::to_string(number);
        if (line == kCourse) {
            close();
            toml = "";
        } else if (line.rfind(kCase, 0) == 0) {
            close();
            if (!book) throw std::runtime_error(where + ": a case before any course");
            reader.emplace(*book, line.substr(kCase.size()));
        } else if (toml) {
            *toml += line + "\n";
        } else if (const std::vector<std::string> words = words_of(line); !words.empty()) {
            if (!reader) throw std::runtime_error(where + ": this belongs to no case");
            reader->line(Line(words, where));
        }
    }
    close();
    return cases;
}

std::vector<RuleCase> cases_of(const std::string& name) {
    const std::string file = name + ".case";
    std::ifstream stream(kCases / file, std::ios::binary);
    if (!stream) throw std::runtime_error("no such file of rule cases: " + file);
    return read_cases(std::string{std::istreambuf_iterator<char>(stream), {}}, file);
}

std::vector<CaseFile> case_files() {
    std::vector<CaseFile> files;
    for (const auto& entry : std::filesystem::directory_iterator(kCases)) {
        if (entry.path().extension() != ".case") continue;
        const std::string name = entry.path().stem().string();
        files.push_back({name, cases_of(name)});
    }
    std::sort(files.begin(), files.end(),
              [](const CaseFile& a, const CaseFile& b) { return a.name < b.name; });
    return files;
}

}  // namespace plumbmark::test
