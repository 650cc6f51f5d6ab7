#include "study/internal/trial_questions.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/worded.h"

namespace plumbmark::study {
namespace {

using base::Sentence;
using base::worded;
using ruling::Clause;
using ruling::ClauseState;

/// Digits of the definition's digest in a closing's item.
constexpr std::size_t kDigits = 16;

class Questions {
  public:
    Questions(const StationTrials& trials, const StationReport& report,
              const std::vector<const TrialResult*>& counted)
        : trials_(trials),
          station_(trials.book.station(trials.station)),
          report_(report),
          counted_(counted) {}

    std::vector<Question> all() {
        for (const TrialResult* result : counted_) {
            strays(*result);
            places(*result);
            not_shown(*result);
        }
        clauses();
        ways();
        items();
        for (Question& question : found_)
            close(question);
        std::stable_sort(found_.begin(), found_.end(), [](const Question& a, const Question& b) {
            return std::tuple(a.closed.has_value(), a.kind) < std::tuple(b.closed.has_value(), b.kind);
        });
        return std::move(found_);
    }

  private:
    [[nodiscard]] Question* asked(const std::string& key) {
        const auto known =
            std::find_if(found_.begin(), found_.end(), [&](const Question& one) { return one.key == key; });
        return known == found_.end() ? nullptr : &*known;
    }
    Question& ask(QuestionKind kind, std::string key, Sentence sentence, const TrialResult* of = nullptr) {
        // The first trial that raises a question is named with it.
        if (Question* known = asked(key)) return *known;
        Question question;
        question.key = std::move(key);
        question.kind = kind;
        question.sentence = std::move(sentence);
        if (of != nullptr) {
            question.trial = of->id;
            question.run = of->run;
            question.still = of->still;
            question.mark = of->deciding;
        }
        return found_.emplace_back(std::move(question));
    }
    /// Where the trial that the question is of was on this surface says more than where it was decided.
    static void show(Question& question, const TrialResult& of, const std::string& surface) {
        const auto touched = of.touched.find(surface);
        if (question.trial != of.id || touched == of.touched.end()) return;
        question.mark = touched->second.mark;
        question.still = touched->second.still;
    }

    [[nodiscard]] Sentence name(const std::string& key) const {
        const course::SurfaceId id = trials_.book.find_surface(key);
        return id.valid() ? Sentence(trials_.book.surface_name(id)) : Sentence("'" + key + "'");
    }
    [[nodiscard]] Sentence names(const std::vector<std::string>& keys) const {
        std::vector<Sentence> all;
        for (const std::string& key : keys)
            all.push_back(name(key));
        return base::listed_words(all);
    }

    void strays(const TrialResult& result) {
        for (const StrayTouch& stray : result.strays) {
            const std::string key = stray.surface.empty()
                                        ? fmt::format("undeclared:mark.{}", stray.mark.value)
                                        : "undeclared:" + plain_key(stray.surface);
            if (asked(key) != nullptr) continue;
            Question& question =
                ask(QuestionKind::undeclared_touch, key,
                    worded("In trial {}: {}. No definition names it: is it in play or out of play?",
                           result.id.value, stray.what),
                    &result);
            question.mark = stray.mark;
            question.still = stray.still;
        }
    }

    void places(const TrialResult& result) {
        const auto declared = [](const std::vector<std::string>& keys, const std::string& key) {
            return std::find(keys.begin(), keys.end(), key) != keys.end();
        };
        if (!declared(report_.ways.starts, result.start))
            show(ask(QuestionKind::undeclared_start, "start:" + plain_key(result.start),
                     worded("Trial {} set off from {}, which the definition does not name as a start.",
                            result.id.value, name(result.start)),
                     &result),
                 result, result.start);
        if (!result.landing.empty() && !declared(report_.ways.landings, result.landing))
            show(ask(QuestionKind::undeclared_landing, "landing:" + plain_key(result.landing),
                     worded("Trial {} landed on {}, which the definition does not name as a landing.",
                            result.id.value, name(result.landing)),
                     &result),
                 result, result.landing);
        for (const std::string& item : result.items) {
            if (in_play(item)) continue;
            show(ask(QuestionKind::undeclared_item, "foreign-item:" + plain_key(item),
                     worded("Trial {} used {}, which is not in play on the station.", result.id.value,
                            name(item)),
                     &result),
                 result, item);
        }
    }
    [[nodiscard]] bool in_play(const std::string& key) const {
        return std::any_of(station_.in_play.begin(), station_.in_play.end(), [&](const course::Item& item) {
            return trials_.book.surface(item.surface).key == key;
        });
    }

    void not_shown(const TrialResult& result) {
        if (result.came != TrialCame::not_shown) return;
        const Remedy remedy = remedy_of(result);
        std::vector<Sentence> steps;
        for (const ruling::SettleStep& step : result.settle)
            steps.push_back(step.sentence);
        const std::int64_t id = result.id.value;
        const Sentence settled = base::listed_words(steps, "or");
        Sentence sentence =
            remedy == Remedy::none ? worded("Trial {} is not shown: {}", id, ended(result.how))
            : result.settle.empty()
                ? worded(
                      "Trial {} is not shown: {} A better definition of the station would have to settle it.",
                      id, ended(result.how))
            : remedy == Remedy::better_camera
                ? worded("Trial {} is not shown: {} A better camera would settle it: {}.", id,
                         ended(result.how), settled)
                : worded("Trial {} is not shown: {} Looking again may settle it: {}.", id, ended(result.how),
                         settled);
        Question& question =
            ask(QuestionKind::not_shown, fmt::format("not-shown:trial.{}", id), std::move(sentence), &result);
        question.remedy = remedy;
        for (const ruling::SettleStep& step : result.settle) {
            if (!question.mark.valid() && !step.marks.empty()) question.mark = step.marks.front();
        }
    }
    /// A reason as a sentence of its own; nothing of none.
    static Sentence ended(const Sentence& how) {
        if (how.empty()) return worded("nothing says why.");
        const bool full = how.english().back() == '.';
        return full ? how : Sentence(how.english() + ".", how.spoken() + ".");
    }
    static Remedy remedy_of(const TrialResult& result) {
        // Nothing was ruled, and the reason says what to do.
        if (result.clauses.empty() && result.settle.empty()) return Remedy::none;
        if (result.settle.empty()) return Remedy::better_definition;
        const bool camera_alone = std::all_of(
            result.settle.begin(), result.settle.end(),
            [](const ruling::SettleStep& step) { return step.kind == ruling::SettleKind::another_angle; });
        return camera_alone ? Remedy::better_camera : Remedy::look_again;
    }

    void clauses() {
        for (const ClauseLine& line : report_.clauses) {
            if (line.exercised()) continue;
            ask(QuestionKind::clause_not_exercised,
                std::string("clause:") + plain_key(ruling::clause_key(line.clause)),
                worded("No ruled trial has kept or broken this clause: {}.",
                       base::looked_up_word(ruling::clause_words(line.clause))));
        }
    }

    void ways() {
        for (std::size_t i = 0; i < report_.ways.ways.size(); ++i) {
            const WayLine& line = report_.lines[i];
            if (!line.unproven) continue;
            std::string key = "way:" + plain_key(line.way.start) + ":" + plain_key(line.way.landing);
            for (const std::string& item : line.way.items)
                key += ":" + plain_key(item);
            const Sentence way = way_words(line.way);
            if (line.tally.tried == 0)
                ask(QuestionKind::way_never_tried, std::move(key), worded("Never tried: {}.", way));
            else
                ask(QuestionKind::way_never_cleared, std::move(key),
                    base::worded_n("Tried {} time and never cleared: {}.",
                                   "Tried {} times and never cleared: {}.", line.tally.tried, way),
                    last_of(line));
        }
    }
    /// Of the trials of a way the last one that there is a picture of, one that failed before any other.
    [[nodiscard]] const TrialResult* last_of(const WayLine& line) const {
        const TrialResult* best = nullptr;
        for (const TrialResult* result : counted_) {
            if (std::find(line.trials.begin(), line.trials.end(), result->id) == line.trials.end()) continue;
            const auto worth = [](const TrialResult* one) {
                return one == nullptr ? std::pair(false, false)
                                      : std::pair(one->still.has_value(), one->came == TrialCame::failed);
            };
            if (worth(result) >= worth(best)) best = result;
        }
        return best;
    }
    [[nodiscard]] Sentence way_words(const Way& way) const {
        const Sentence start = name(way.start);
        const Sentence landing = way.landing.empty() ? worded("past the planes") : name(way.landing);
        if (report_.ways.optional_items.empty()) return worded("from {} to {}", start, landing);
        if (way.items.empty())
            return worded("from {} to {} with nothing that may be left out", start, landing);
        return worded("from {} to {} by {}", start, landing, names(way.items));
    }

    void items() {
        std::set<std::string> used;
        for (const TrialResult* result : counted_)
            used.insert(result->items.begin(), result->items.end());
        std::set<course::SurfaceId> needed;
        for (const course::Item& item : station_.in_play) {
            const std::string& key = trials_.book.surface(item.surface).key;
            if (used.count(key) != 0 || is_place(key)) continue;
            // Who cleared the station used what it requires, whether or not anybody wrote it down.
            if (must_be_used(key) && report_.all.cleared > 0) continue;
            ask(QuestionKind::item_never_used, "item:" + plain_key(key),
                worded("Never used in a trial: {}.", name(key)));
        }
    }
    [[nodiscard]] bool is_place(const std::string& key) const {
        const auto has = [&](const std::vector<std::string>& keys) {
            return std::find(keys.begin(), keys.end(), key) != keys.end();
        };
        return has(report_.ways.starts) || has(report_.ways.landings);
    }
    [[nodiscard]] bool must_be_used(const std::string& key) const {
        const auto& optional = report_.ways.optional_items;
        return std::find(optional.begin(), optional.end(), key) == optional.end();
    }

    void close(Question& question) const {
        const std::string now = closing_item(question.key, trials_.definition);
        for (const meet::Closing& closing : trials_.closings) {
            if (closing.station != station_.key) continue;
            const bool same = closing.item.size() == now.size() &&
                              closing.item.compare(0, question.key.size() + 1, question.key + ":") == 0;
            if (closing.item == now)
                question.closed = closing.reason;
            else if (same)
                question.closed_before = closing.reason;
        }
    }

    const StationTrials& trials_;
    const course::Station& station_;
    const StationReport& report_;
    const std::vector<const TrialResult*>& counted_;
    std::vector<Question> found_;
};

/// Whether the definition asks anything by the clause.
bool applies(const course::CourseBook& book, const course::Station& station, Clause clause) {
    const auto any_item = [&](auto asks) {
        return std::any_of(station.in_play.begin(), station.in_play.end(), asks);
    };
    switch (clause) {
        case Clause::start:
        case Clause::out_of_play:
        case Clause::landing:
            return true;
        case Clause::part:
            return any_item(
                [](const course::Item& item) { return !item.parts.contains(course::kWholeBody); });
        case Clause::order:
            return !station.rows.empty() ||
                   any_item([](const course::Item& item) { return item.after.has_value(); });
        case Clause::once:
            return any_item([](const course::Item& item) { return item.once; });
        case Clause::hands_down:
            return station.landing.no_hands_down;
        case Clause::attempt:
            return station.attempts > 1;
        case Clause::cap:
            return station.cap || station.rest_limit || book.run_cap;
        case Clause::infraction:
        case Clause::run_ended:
            return false;
    }
    return false;
}

}  // namespace

namespace internal {

std::vector<ClauseLine> clause_lines(const StationTrials& trials,
                                     const std::vector<const TrialResult*>& counted) {
    const course::Station& station = trials.book.station(trials.station);
    std::vector<ClauseLine> lines;
    for (unsigned c = 0; c <= static_cast<unsigned>(Clause::run_ended); ++c) {
        ClauseLine line;
        line.clause = static_cast<Clause>(c);
        bool named = applies(trials.book, station, line.clause);
        for (const TrialResult* result : counted) {
            for (const ruling::ClauseFinding& finding : result->clauses) {
                if (finding.clause != line.clause) continue;
                line.kept += finding.state == ClauseState::kept ? 1 : 0;
                line.broken += finding.state == ClauseState::broken ? 1 : 0;
                line.not_shown += finding.state == ClauseState::not_shown ? 1 : 0;
                line.not_tested += finding.state == ClauseState::not_tested ? 1 : 0;
            }
        }
        if (named || line.broken > 0) lines.push_back(line);
    }
    return lines;
}

std::vector<Question> questions(const StationTrials& trials, const StationReport& report,
                                const std::vector<const TrialResult*>& counted) {
    return Questions(trials, report, counted).all();
}

}  // namespace internal

const char* question_key(QuestionKind kind) {
    switch (kind) {
        case QuestionKind::undeclared_touch:
            return "undeclared_touch";
        case QuestionKind::undeclared_start:
            return "undeclared_start";
        case QuestionKind::undeclared_landing:
            return "undeclared_landing";
        case QuestionKind::undeclared_item:
            return "undeclared_item";
        case QuestionKind::clause_not_exercised:
            return "clause_not_exercised";
        case QuestionKind::not_shown:
            return "not_shown";
        case QuestionKind::way_never_tried:
            return "way_never_tried";
        case QuestionKind::way_never_cleared:
            return "way_never_cleared";
        case QuestionKind::item_never_used:
            return "item_never_used";
    }
    return "";
}

const char* remedy_key(Remedy remedy) {
    switch (remedy) {
        case Remedy::none:
            return "none";
        case Remedy::look_again:
            return "look_again";
        case Remedy::better_camera:
            return "better_camera";
        case Remedy::better_definition:
            return "better_definition";
    }
    return "";
}

std::string plain_key(std::string_view key) {
    std::string plain;
    for (const char c : key) {
        const bool kept = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
        plain += kept ? std::string(1, c) : fmt::format(".{:02x}", static_cast<unsigned char>(c));
    }
    return plain;
}

std::string closing_item(const std::string& question, const std::string& definition) {
    return question + ":" + definition.substr(0, kDigits);
}

}  // namespace plumbmark::study
