#include "report/athlete_page.h"

#include "base/worded.h"
#include "report/internal/athlete_parts.h"
#include "report/internal/plain.h"
#include "report/internal/sheet_parts.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

using base::Sentence;
using base::worded;

Sentence joined(const std::vector<Sentence>& all, const char* between) {
    std::string english, spoken;
    for (const Sentence& one : all) {
        if (one.empty()) continue;
        english += (english.empty() ? "" : between) + one.english();
        spoken += (spoken.empty() ? "" : between) + one.spoken();
    }
    return {english, spoken};
}

class Writing {
  public:
    explicit Writing(const AthletePage& page) : page_(page) {}

    std::vector<StudyLine> all() {
        heading();
        facts(0, page_losses(page_));
        gap();
        for (const PageStation& station : page_stations(page_))
            add(station);
        if (const auto between = page_between(page_); !between.empty()) {
            add(0, worded("Between the stations and after the last"));
            facts(1, between);
            gap();
        }
        for (const CompareDocument& beside : page_.beside)
            add(page_split(beside));
        notes();
        for (const Sentence& remark : page_remarks(page_))
            add(0, remark);
        return std::move(lines_);
    }

  private:
    void add(int depth, Sentence text) { lines_.push_back({depth, std::move(text)}); }
    void gap() { add(0, {}); }

    void heading() {
        const RulingDocument& ruling = page_.ruling;
        add(0, page_title(page_));
        add(0, joined({plain(ruling.meet_name), plain(ruling.venue), plain(ruling.date)}, ", "));
        add(0,
            worded("Run: {}", ruling.ruling.sentence.empty() ? worded("no result") : ruling.ruling.sentence));
        add(0, worded("Every length is given by the least and the most that the frames allow."));
        gap();
    }
    void facts(int depth, const std::vector<PageFact>& facts) {
        for (const PageFact& fact : facts) {
            if (fact.says.size() == 1) {
                add(depth, worded("{}: {}", fact.title, fact.says.front()));
                continue;
            }
            add(depth, worded("{}:", fact.title));
            for (const Sentence& one : fact.says)
                add(depth + 1, one);
        }
    }
    void add(const PageStation& station) {
        add(0, worded("{}. {}: {}", static_cast<std::int64_t>(station.number), station.name,
                      station.verdict_words));
        if (!station.because.empty()) add(1, station.because);
        facts(1, station.facts);
        gap();
    }
    void add(const PageSplit& split) {
        add(0, split.title);
        for (std::size_t i = 0; i < split.events.size(); ++i)
            add(1, worded("{}. {}", static_cast<std::int64_t>(i) + 1, split.events[i]));
        gap();
    }
    void notes() {
        if (page_.notes.empty()) return;
        add(0, worded("Notes"));
        std::int64_t number = 0;
        for (const PageNote& note : page_.notes) {
            add(1, worded("{}. {}: {}", ++number, note_where(note), plain(note.text)));
            if (!note.short_clip.empty()) add(2, worded("clip: {}", plain(note.short_clip)));
            if (!note.no_picture.empty())
                add(2, worded("No picture: {}",
                              Sentence(plain(note.no_picture.english()), plain(note.no_picture.spoken()))));
        }
        gap();
    }

    const AthletePage& page_;
    std::vector<StudyLine> lines_;
};

}  // namespace

std::vector<StudyLine> athlete_page_lines(const AthletePage& page) {
    return Writing(page).all();
}

std::string athlete_page_text(const AthletePage& page) {
    return study_text(athlete_page_lines(page));
}

}  // namespace plumbmark::report
