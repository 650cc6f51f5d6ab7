// The ruling sheet as it writes itself: the question, the stations as rungs, the run, what was watched.
#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "desk/internal/camera_desk.h"
#include "desk/internal/say.h"
#include "desk/internal/sheet_pen.h"
#include "meet/who_ran.h"
#include "review/words.h"

namespace plumbmark::desk {
namespace {

class Sheet {
  public:
    Sheet(const Scene& scene, const Box& box, SheetView& view)
        : s_(scene), c_(*scene.look.colours), view_(view), pen_(scene, box) {}

    void draw() {
        draw_question();
        const course::CourseBook* book = s_.session.book();
        if (!book) {
            draw_no_book();
        } else {
            draw_problem();
            for (int i = 0; i < static_cast<int>(book->stations.size()); ++i)
                draw_rung(i);
            draw_run();
        }
        draw_watched();
        draw_measured();
        pen_.gap(12);
        pen_.line();
        pen_.words(tr("decided by ______________  second ______________"), s_.look.fonts.small,
                   c_.paper_soft);
        pen_.gap(16);
        pen_.finish();
    }

  private:
    const meet::Run* run() const {
        const auto found = s_.session.state().runs().find(s_.session.run());
        return found == s_.session.state().runs().end() ? nullptr : &found->second;
    }

    void draw_question() {
        pen_.gap(14);
        const meet::FloorCall* appeal = nullptr;
        for (const meet::FloorCall& call : s_.session.state().floor_calls_of(s_.session.run()))
            if (call.under_appeal) appeal = &call;
        const meet::Run* now = run();
        std::string title = now ? run_words(s_.session, s_.session.run()) : meet_words(s_.session);
        if (appeal) title = tr("Appeal · {} · {}", title, station_name(appeal->station));
        pen_.words(base::sentence_case(title), s_.look.fonts.title, c_.paper_ink);
        pen_.words(athlete_words(), s_.look.fonts.body, c_.paper_soft);
        if (appeal) pen_.words(floor_words(*appeal), s_.look.fonts.body, c_.paper_soft);
        if (now && !now->question.empty()) pen_.words(now->question, s_.look.fonts.italic, c_.paper_soft);
        pen_.gap(8);
    }

    /// "Zoë Łukasik, Quay Club, 12-13": what is known of the athlete; may be empty.
    std::string athlete_words() const {
        const meet::Run* now = run();
        const meet::Athlete* athlete = now ? meet::athlete_of(s_.session.state(), *now) : nullptr;
        if (athlete == nullptr) return "";
        std::string words;
        for (const std::string& part : {athlete->name, athlete->club, athlete->division})
            if (!part.empty()) words += (words.empty() ? "" : ", ") + part;
        return words;
    }

    std::string station_name(const std::string& key) const {
        const course::CourseBook* book = s_.session.book();
        const auto station = book ? book->find_station(key) : course::StationId{};
        return station.valid() ? book->station(station).name : key;
    }

    static std::string floor_words(const meet::FloorCall& call) {
        std::string words = tr("Floor call: {}", call.call == meet::Call::clear ? tr("clear") : tr("fail"));
        if (!call.judge.empty()) words += " (" + call.judge + ")";
        return words + ".";
    }

    void draw_no_book() {
        if (!s_.session.book_problems().empty()) {
            pen_.words(tr("This course book has mistakes:"), s_.look.fonts.strong, c_.paper_ink);
            const meet::Run* now = run();
            std::string file = tr("course book");
            if (now) {
                const auto found = s_.session.state().books().find(now->book);
                if (found != s_.session.state().books().end()) file = found->second.file_name;
            }
            for (const auto& problem : s_.session.book_problems())
                pen_.words(problem.spoken(file), s_.look.fonts.body, c_.paper_ink);
            pen_.words(tr("Mend the file and drop it here again."), s_.look.fonts.body, c_.paper_soft);
            return;
        }
        pen_.words(tr("No course book yet."), s_.look.fonts.strong, c_.paper_ink);
        pen_.words(tr("Drop a .course file here. It names the stations, what is in play on each, and where "
                      "it ends."),
                   s_.look.fonts.body, c_.paper_soft);
    }

    /// Why there is no ruling: a contradiction names the marks, which are offered to go to.
    void draw_problem() {
        const review::RulingView& view = s_.session.ruling();
        if (!view.error) {
            if (!view.current && !view.ruling) {
                pen_.words(tr("The ruling is being worked out."), s_.look.fonts.body, c_.paper_soft);
                pen_.gap(8);
            }
            return;
        }
        pen_.begin_card(c_.paper_offer, kVermilion);
        pen_.words(view.error->category == base::Category::contradiction
                       ? tr("These marks cannot all be true")
                       : tr("There is no ruling yet"),
                   s_.look.fonts.strong, c_.paper_ink);
        pen_.words(view.error->spoken(), s_.look.fonts.body, c_.paper_ink);
        pen_.end_card();
        pen_.gap(8);
    }

    void draw_rung(int n) {
        const ruling::StationRuling* now = station_ruling(s_.session, n);
        const bool focus = focused_station(s_.session, s_.views.sheet) == n;
        const bool open = focus && view_.open;
        pen_.begin_rung(focus, now ? now->verdict : ruling::Verdict::not_reached);
        const float top = pen_.y();
        const std::string name =
            fmt::format("{} {}", n + 1, s_.session.book()->stations[static_cast<std::size_t>(n)].name);
        pen_.rung_title(now, name, now && now->if_reached);
        if (now) {
            pen_.words(now->sentence.spoken(), s_.look.fonts.body, c_.paper_ink);
            draw_floor_call(n);
        }
        if (pen_.pressed(fmt::format("rung{}", n), top)) s_.commands.add(FocusStation{n, true});
        if (open && now) draw_open(*now);
        pen_.end_rung();
        if (focus && view_.scroll_to_focus) pen_.show_rung();
        if (focus) view_.scroll_to_focus = false;
    }

    void draw_floor_call(int n) {
        const std::string& key = s_.session.book()->stations[static_cast<std::size_t>(n)].key;
        for (const meet::FloorCall& call : s_.session.state().floor_calls_of(s_.session.run()))
            if (call.station == key) pen_.words(floor_words(call), s_.look.fonts.small, c_.paper_soft);
    }

    void draw_open(const ruling::StationRuling& now) {
        if (now.verdict == ruling::Verdict::not_shown) {
            draw_worlds(now);
            draw_settle(now);
        }
        for (const ruling::ClauseFinding& clause : now.clauses)
            if (clause.state != ruling::ClauseState::not_tested) pen_.clause(clause);
        if (now.decided_at)
            pen_.key_line("deciding", s_.keys.label(Action::deciding_frames), tr("to the frames that decide"),
                          Do{Action::deciding_frames});
        if (now.margin && now.verdict != ruling::Verdict::not_reached)
            pen_.words(margin_words(*now.margin), s_.look.fonts.small, c_.paper_soft);
        if (!now.rests_on.empty())
            pen_.key_line("rests", s_.keys.label(Action::rests_on),
                          tr("through what it rests on: {}", rests_words(now)), Do{Action::rests_on});
        pen_.gap(4);
    }

    std::string rests_words(const ruling::StationRuling& now) const {
        std::int64_t marks = 0, spans = 0;
        for (const meet::MarkId id : now.rests_on)
            ++(s_.session.state().watched().contains(id) ? spans : marks);
        std::vector<std::string> words;
        if (marks > 0) words.push_back(tr_n("{} mark", "{} marks", marks));
        if (spans > 0) words.push_back(tr_n("{} watched span", "{} watched spans", spans));
        return base::listed(words, tr("and"));
    }

    static std::string margin_words(const ruling::Margin& margin) {
        if (margin.unlimited) return tr("Margin: no widening of the marks within the clips changes it.");
        if (margin.frames == 0) return tr("Margin: none; one frame wider and it is not shown any more.");
        return tr_n("Margin: every mark may be {} frame wider ({}).",
                    "Margin: every mark may be {} frames wider ({}).", margin.frames,
                    base::duration_text(margin.time));
    }

    void draw_worlds(const ruling::StationRuling& now) {
        std::vector<SheetPen::Story> stories;
        for (const ruling::World& world : now.worlds)
            stories.push_back({world.verdict, world.lead.spoken(), world.condition.spoken()});
        pen_.stories(stories);
    }

    void draw_settle(const ruling::StationRuling& now) {
        static constexpr Action keys[] = {Action::settle_first, Action::settle_second, Action::settle_third};
        pen_.begin_card(c_.paper_offer, kOrange);
        pen_.words(tr("To settle this"), s_.look.fonts.strong, c_.paper_ink);
        if (now.settle.empty())
            pen_.words(tr("No single change settles it."), s_.look.fonts.body, c_.paper_ink);
        for (std::size_t i = 0; i < now.settle.size() && i < 3; ++i)
            pen_.key_line(fmt::format("settle{}", i), s_.keys.label(keys[i]), now.settle[i].sentence.spoken(),
                          Settle{static_cast<int>(i)});
        pen_.end_card();
    }

    void draw_run() {
        const review::RulingView& view = s_.session.ruling();
        if (!view.ruling) return;
        pen_.gap(8);
        pen_.line();
        pen_.words(view.ruling->sentence.spoken(), s_.look.fonts.strong, c_.paper_ink);
        if (!view.current)
            pen_.words(tr("Being worked out again after your last change."), s_.look.fonts.small,
                       c_.paper_soft);
    }

    void draw_watched() {
        const meet::State& state = s_.session.state();
        std::vector<std::string> spans;
        for (const meet::WatchedSpan& span : state.watched_of(s_.session.run())) {
            const auto clip = state.clips().find(span.clip);
            spans.push_back(span.scope.whole_athlete
                                ? tr("{} f {} to {}", clip == state.clips().end() ? "" : clip->second.name,
                                     span.from.number, span.to.number)
                                : tr("{} f {} to {} (in part)",
                                     clip == state.clips().end() ? "" : clip->second.name, span.from.number,
                                     span.to.number));
        }
        if (!run()) return;
        pen_.gap(4);
        if (spans.empty()) {
            pen_.words(tr("Nothing is watched yet: what nobody vouches for stays not shown."),
                       s_.look.fonts.small, c_.paper_soft);
            return;
        }
        const std::size_t shown = std::min<std::size_t>(spans.size(), 4);
        std::string text;
        for (std::size_t i = 0; i < shown; ++i)
            text += (i ? "; " : "") + spans[i];
        if (spans.size() > shown) text = tr("{}; and {} more", text, spans.size() - shown);
        pen_.words(tr("Watched: {}.", text), s_.look.fonts.small, c_.paper_soft);
    }

    /// What was measured of the marks, with what it rests on; the chosen mark's first.
    void draw_measured() {
        std::vector<const review::MarkMeasured*> list;
        for (const review::MarkMeasured& one : s_.camera.measures())
            list.push_back(&one);
        if (list.empty()) return;
        std::stable_partition(list.begin(), list.end(), [&](const review::MarkMeasured* one) {
            return one->mark == s_.session.selected();
        });
        pen_.gap(8);
        pen_.words(tr("Measured"), s_.look.fonts.strong, c_.paper_ink);
        const std::size_t shown = std::min<std::size_t>(list.size(), 6);
        for (std::size_t i = 0; i < shown; ++i)
            draw_measured(*list[i]);
        if (list.size() > shown)
            pen_.words(
                tr_n("and {} more mark", "and {} more marks", static_cast<std::int64_t>(list.size() - shown)),
                s_.look.fonts.small, c_.paper_soft);
    }

    void draw_measured(const review::MarkMeasured& one) {
        const auto mark = s_.session.state().marks().find(one.mark);
        if (mark == s_.session.state().marks().end()) return;
        const float top = pen_.y();
        pen_.gap(4);
        pen_.words(base::sentence_case(review::mark_sentence(mark->second, s_.session.book()).spoken()),
                   s_.look.fonts.body, c_.paper_soft);
        for (const review::Measured& distance : one.measures.found) {
            pen_.words(base::sentence_case(distance.says.spoken()) + ".", s_.look.fonts.body, c_.paper_ink);
            pen_.words(distance.rests_on.spoken(), s_.look.fonts.small, c_.paper_soft);
        }
        for (const base::Error& trouble : one.measures.troubles)
            pen_.words(trouble.spoken(), s_.look.fonts.small, c_.paper_soft);
        if (one.moment) {
            pen_.words(base::sentence_case(one.moment->says.spoken()) + ".", s_.look.fonts.body,
                       c_.paper_ink);
            pen_.words(one.moment->rests_on.spoken(), s_.look.fonts.small, c_.paper_soft);
            if (one.mark == s_.session.selected() && !mark->second.measured)
                pen_.key_line("moment", s_.keys.label(Action::take_moment),
                              tr("take this moment into the mark"), OfCamera{TakeMoment{one.mark}});
        }
        if (one.moment_trouble) pen_.words(one.moment_trouble->spoken(), s_.look.fonts.small, c_.paper_soft);
        if (pen_.pressed("measured " + std::to_string(one.mark.value), top))
            s_.commands.add(GoMark{one.mark});
    }

    const Scene& s_;
    const Palette& c_;
    SheetView& view_;
    SheetPen pen_;
};

}  // namespace

void draw_sheet(const Scene& scene, const Box& box, SheetView& view) {
    begin_zone("sheet", box, scene.look.colours->paper);
    begin_child("sheet page", {box.w, box.h}, ImGuiWindowFlags_NoNav);
    Sheet(scene, box, view).draw();
    ImGui::EndChild();
    ImGui::End();
}

}  // namespace plumbmark::desk
