#include "trials/judge.h"

#include <algorithm>
#include <cmath>

#include "base/result.h"

namespace plumbmark::trials {

using namespace sight;

std::string name_of(Question question) {
    switch (question) {
        case Question::contact:
            return "contact on the deck";
        case Question::in_air:
            return "part in the air";
        case Question::by_two:
            return "seen by two";
        case Question::deck_crossing:
            return "crossing on the deck";
        case Question::air_crossing:
            return "crossing in the air";
        case Question::two_crossing:
            return "crossing by two";
        case Question::followed_crossing:
            return "crossing of a followed point";
    }
    return {};
}

namespace {

bool holds(const Span& span, double truth) {
    return span.low <= truth && truth <= span.high;
}

void take(Outcome& outcome, const Distance& distance, double truth) {
    outcome.likely_holds = holds(distance.likely, truth);
    outcome.sure_holds = holds(distance.sure, truth);
    outcome.by_draws = distance.by_draws;
    outcome.half_width = (distance.likely.high - distance.likely.low) / 2;
    outcome.said = distance.side;
    outcome.word_is_wrong = (distance.side == Side::past && !(truth > 0)) ||
                            (distance.side == Side::before && !(truth < 0)) ||
                            (distance.side == Side::on && std::abs(truth) > kOnWithin);
    outcome.error = (distance.best.low + distance.best.high) / 2 - truth;
    outcome.standard = distance.standard;
}

void take(Outcome& outcome, const Crossing& crossing, double frame_interval) {
    outcome.likely_holds = holds(crossing.likely, 0);
    outcome.sure_holds = holds(crossing.sure, 0);
    outcome.by_draws = crossing.by_draws;
    outcome.half_width = (crossing.likely.high - crossing.likely.low) / 2 / frame_interval;
    outcome.error = crossing.best / frame_interval;
    outcome.standard = crossing.standard / frame_interval;
    outcome.suspicious = !crossing.smooth;
}

class Judge {
  public:
    Judge(const Setup& setup, const std::vector<Question>& only)
        : setup_(setup), only_(only), first_(calibrate(setup.views[0].told)) {
        const bool two = asks(Question::by_two) || asks(Question::two_crossing);
        if (two && first_) second_ = calibrate(setup.views[1].told);
    }

    std::vector<Outcome> all();

  private:
    [[nodiscard]] bool asks(Question question) const {
        return only_.empty() || std::find(only_.begin(), only_.end(), question) != only_.end();
    }
    /// Adds an outcome; its answer is put in by 'answer' where the cameras stand.
    template <class Answer>
    void ask(Question question, Vec3 at, bool two, const Answer& answer) {
        if (!asks(question)) return;
        Outcome outcome;
        outcome.question = question;
        outcome.part = setup_.part;
        outcome.rendered = setup_.rendered;
        outcome.angle = true_angle(setup_, at);
        if (!first_ || (two && !second_)) {
            outcome.at_camera = true;
            outcome.refusal = (first_ ? second_.error() : first_.error()).text();
        } else if (const auto refused = answer(outcome)) {
            outcome.refusal = refused->text();
        }
        outcomes_.push_back(std::move(outcome));
    }
    void ask_places();
    void ask_crossing(Question question, const std::optional<AskedCrossing>& asked);

    const Setup& setup_;
    const std::vector<Question>& only_;
    base::Result<CalibratedCamera> first_;
    base::Result<CalibratedCamera> second_ = base::Error{base::Category::bad_input, {}, {}};
    std::vector<Outcome> outcomes_;
};

using Refused = std::optional<base::Error>;

void Judge::ask_places() {
    if (const auto& asked = setup_.contact)
        ask(Question::contact, asked->at, false, [&](Outcome& outcome) -> Refused {
            const auto found = on_level(*first_, asked->in_first, setup_.told_level, &setup_.told_plane);
            if (!found) return found.error();
            take(outcome, *found->distance, setup_.plane.distance(asked->at));
            return std::nullopt;
        });
    if (const auto& asked = setup_.in_air)
        ask(Question::in_air, asked->at, false, [&](Outcome& outcome) -> Refused {
            const auto found = in_the_air(*first_, asked->in_first, setup_.told_plane, asked->space);
            if (!found) return found.error();
            take(outcome, *found, setup_.plane.distance(asked->at));
            return std::nullopt;
        });
    if (const auto& asked = setup_.by_two)
        ask(Question::by_two, asked->at, true, [&](Outcome& outcome) -> Refused {
            const auto found =
                seen_by_two(*first_, asked->in_first, *second_, *asked->in_second, &setup_.told_plane);
            if (!found) return found.error();
            take(outcome, *found->distance, setup_.plane.distance(asked->at));
            outcome.suspicious = !found->meets;
            return std::nullopt;
        });
}

void Judge::ask_crossing(Question question, const std::optional<AskedCrossing>& asked) {
    if (!asked) return;
    ask(question, asked->movement.at, asked->two, [&](Outcome& outcome) -> Refused {
        const auto found = crossing(*first_, asked->question, asked->two ? &*second_ : nullptr);
        if (!found) return found.error();
        take(outcome, *found, asked->frame_interval);
        return std::nullopt;
    });
}

std::vector<Outcome> Judge::all() {
    ask_places();
    ask_crossing(Question::deck_crossing, setup_.deck_crossing);
    ask_crossing(Question::air_crossing, setup_.air_crossing);
    ask_crossing(Question::two_crossing, setup_.two_crossing);
    ask_crossing(Question::followed_crossing, setup_.followed_crossing);
    return std::move(outcomes_);
}

}  // namespace

std::vector<Outcome> judged(const Setup& setup, const std::vector<Question>& only) {
    return Judge(setup, only).all();
}

}  // namespace plumbmark::trials
