// The tester's book line by line.
#include <fmt/format.h>

#include "base/worded.h"
#include "report/internal/plain.h"
#include "report/trials_document.h"

namespace plumbmark::report {
namespace {

using base::Sentence;
using base::worded;
using base::worded_n;

class TrialsWriting {
  public:
    explicit TrialsWriting(const TrialsDocument& document) : document_(document) {}

    std::vector<StudyLine> all() {
        add(0, worded("{}, course book {}, revision {}", plain(document_.meet_name),
                      plain(document_.book_name), plain(document_.book_revision)));
        add(0, study::release_notice());
        for (const TrialsStation& station : document_.stations)
            of_station(station);
        for (const std::string& key : document_.unknown_stations) {
            gap();
            add(0, worded("The course book has no station '{}' (any more); what was entered for it is kept.",
                          plain(key)));
        }
        return std::move(lines_);
    }

  private:
    void add(int depth, Sentence text) { lines_.push_back({depth, std::move(text)}); }
    void gap() { add(0, {}); }

    void of_station(const TrialsStation& station) {
        const study::StationReport& report = station.report;
        gap();
        add(0, worded("{} ({}): {}", plain(report.name), plain(report.key),
                      standing_words(report.release.standing)));
        release(report);
        add(1, worded("definition {}; rig {}", report.definition,
                      report.rig ? Sentence(std::to_string(report.rig->id.value))
                                 : worded("not written down yet")));
        add(1, tally_words(report.all));
        if (report.set_aside.tried > 0)
            add(1, worded("set aside, of another definition or rig: {}", tally_words(report.set_aside)));
        rate(report);
        ways(report);
        questions(report);
        steps(station);
    }

    void release(const study::StationReport& report) {
        if (!report.release.release) return;
        add(1, release_words(*report.release.release));
        for (const Sentence& change : report.release.changes)
            add(2, plain_both(change));
    }

    void rate(const study::StationReport& report) {
        add(1, trial_rate_words(report.rate, document_.wish.method));
        for (Sentence& line : outlook_words(report, document_.wish))
            add(2, std::move(line));
        for (const study::GroupLine& group : report.groups)
            add(2, worded("{}: {}", plain_both(group.name),
                          trial_rate_words(group.rate, document_.wish.method)));
    }

    void ways(const study::StationReport& report) {
        add(1, worded("{}:", ways_words(report.ways)));
        for (const study::WayLine& line : report.lines) {
            const Sentence way = way_words(line.way);
            add(2, line.unproven ? worded("{}: {}; unproven", way, tally_words(line.tally))
                                 : worded("{}: {}", way, tally_words(line.tally)));
        }
        if (report.elsewhere.tried > 0)
            add(2, worded("none of these ways, or nobody knows which: {}", tally_words(report.elsewhere)));
        for (const study::ClauseLine& line : report.clauses)
            add(2, worded("clause {}: kept {}, broken {}, not shown {}", ruling::clause_key(line.clause),
                          line.kept, line.broken, line.not_shown));
    }
    static Sentence way_words(const study::Way& way) {
        const std::string start = plain(way.start);
        const Sentence landing = landing_words(way, {});
        if (way.items.empty()) return base::worded_in("a way", "{} to {}", start, landing);
        std::vector<Sentence> items;
        for (const std::string& item : way.items)
            items.emplace_back(plain(item));
        return base::worded_in("a way", "{} to {} by {}", start, landing, base::listed_words(items));
    }

    void questions(const study::StationReport& report) {
        const std::size_t open = report.open().size();
        add(1, open == 0
                   ? worded("nothing is open:")
                   : worded_n("{} open question:", "{} open questions:", static_cast<std::int64_t>(open)));
        for (const study::Question& question : report.questions) {
            const Sentence place = question_place(document_, question);
            const Sentence asked = plain_both(question.sentence);
            const Sentence says = place.empty() ? asked : worded("{} ({})", asked, place);
            add(2, question.closed ? worded("[closed] {}: {}", question.key, says)
                                   : worded("[open] {}: {}", question.key, says));
            if (question.closed) add(3, plain(*question.closed));
            if (!question.closed && question.closed_before)
                add(3, worded("closed for an earlier definition: {}", plain(*question.closed_before)));
        }
    }

    void steps(const TrialsStation& station) {
        add(1, worded("gaps and reaches. {}", study::guide_notice()));
        for (const study::CourseStep& step : station.steps) {
            add(2, step_words(step, {}));
            for (Sentence& figure : step_figures(step))
                add(3, std::move(figure));
        }
        if (!document_.people_told)
            add(2,
                worded("An age is told with --age, or by a division of the meet with its years of birth."));
    }

    const TrialsDocument& document_;
    std::vector<StudyLine> lines_;
};

}  // namespace

std::vector<StudyLine> trials_lines(const TrialsDocument& document) {
    return TrialsWriting(document).all();
}

std::string trials_text(const TrialsDocument& document) {
    return study_text(trials_lines(document));
}

}  // namespace plumbmark::report
