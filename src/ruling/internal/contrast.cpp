#include "ruling/internal/contrast.h"

#include <algorithm>
#include <optional>

namespace plumbmark::ruling {
namespace {

using Kind = Step::Kind;

bool same_step(const Step& a, const Step& b) {
    if (a.kind != b.kind) return false;
    if (a.kind == Kind::mark) return a.mark == b.mark;
    return a.kind == Kind::deadline && a.deadline == b.deadline;
}

std::optional<std::size_t> find_step(const std::vector<Turn>& turns, const Step& step) {
    for (std::size_t i = 0; i < turns.size(); ++i) {
        if (same_step(turns[i].step, step)) return i;
    }
    return std::nullopt;
}

class Contrast {
  public:
    Contrast(const Inquiry& inquiry, std::size_t station, const Example& here, const Example* there)
        : inquiry_(inquiry), station_(station), here_(here), there_(there) {}

    void tell(World& world) const {
        const Condition condition = find();
        world.unless = condition.unless;
        world.lead = lead(condition.unless);
        world.condition = condition.text;
        world.sentence =
            say_in("a lead such as 'clear if', and what follows it", "{} {}", world.lead, world.condition);
    }

  private:
    struct Condition {
        bool unless = false;
        Sentence text;  ///< as it stands after 'if'
    };
    using Found = std::optional<Condition>;

    Condition find() const {
        if (there_) {
            for (const auto way : {&Contrast::by_own_unseen, &Contrast::by_their_unseen,
                                   &Contrast::by_possible, &Contrast::by_alternative, &Contrast::by_order,
                                   &Contrast::by_grade, &Contrast::by_contact}) {
                if (Found found = (this->*way)()) return *found;
            }
        }
        if (!here_.decided) return {false, say_in("after if", "nothing more happened")};
        return {false, dated(here_, *here_.decided)};
    }
    Sentence lead(bool unless) const {
        switch (here_.ending->stations[station_].outcome) {
            case Outcome::cleared:
                return unless ? say("clear unless") : say("clear if");
            case Outcome::failed:
                return unless ? say("fail unless") : say("fail if");
            default:
                return unless ? say("undecided unless") : say("undecided if");
        }
    }
    Told told(const Example& example, std::size_t turn) const {
        const Step& step = example.turns[turn].step;
        if (step.kind == Kind::deadline)
            return deadline_told(inquiry_, station_, step.deadline, Form::after_if);
        if (const std::optional<Happening> what = what_happened(inquiry_, example.turns[turn]))
            return inquiry_.words.told(*what, Form::after_if);
        return {say_in("after if", "it"), say_in("after if", "was so")};
    }
    Sentence when(const Example& example, std::size_t turn) const {
        return inquiry_.words.between(shown_at(example.places[turn]));
    }
    Sentence dated(const Example& example, std::size_t turn) const {
        const Told event = told(example, turn);
        return say_in("after if; who, what was done, when", "{} {} {}", event.who, event.did,
                      when(example, turn));
    }
    Sentence unseen(const Example& example, std::size_t turn) const {
        const Told event = told(example, turn);
        return say_in("after if; who, what was done, when", "{} {} unseen {}", event.who, event.did,
                      when(example, turn));
    }
    static Sentence in_order(const Told& first, const Told& second) {
        return say_in("after if", "{} before {}", whole(first), whole(second));
    }
    static bool is_unseen(const Example& example, std::size_t turn) {
        return example.turns[turn].step.kind == Kind::unseen;
    }
    /// The unseen event that decides, or else the last one before the decision since the station began.
    std::optional<std::size_t> unseen_of(const Example& example) const {
        if (!example.decided) return std::nullopt;
        const std::size_t begun = beginning_turn(example.turns, station_).value_or(0);
        for (std::size_t i = *example.decided + 1; i-- > begun;) {
            if (is_unseen(example, i)) return i;
        }
        return std::nullopt;
    }
    static bool has_event(const Example& example, const Event& event) {
        return std::any_of(example.turns.begin(), example.turns.end(), [&](const Turn& turn) {
            return turn.step.kind == Kind::unseen && turn.step.event == event;
        });
    }

    Found by_own_unseen() const {
        const std::optional<std::size_t> own = unseen_of(here_);
        if (!own || has_event(*there_, here_.turns[*own].step.event)) return std::nullopt;
        return Condition{false, unseen(here_, *own)};
    }
    Found by_their_unseen() const {
        const std::optional<std::size_t> theirs = unseen_of(*there_);
        if (!theirs || has_event(here_, there_->turns[*theirs].step.event)) return std::nullopt;
        return Condition{true, unseen(*there_, *theirs)};
    }

    Found by_possible() const {
        for (std::size_t m = 0; m < inquiry_.evidence.marks.size(); ++m) {
            if (!inquiry_.evidence.marks[m].possible) continue;
            Step step;
            step.kind = Kind::mark;
            step.mark = static_cast<int>(m);
            const auto own = find_step(here_.turns, step);
            const auto theirs = find_step(there_->turns, step);
            if (own && !theirs) return Condition{false, dated(here_, *own)};
            if (theirs && !own) return Condition{true, dated(*there_, *theirs)};
        }
        return std::nullopt;
    }

    Found by_alternative() const {
        for (std::size_t i = 0; i < here_.turns.size(); ++i) {
            const Step& step = here_.turns[i].step;
            if (step.kind != Kind::mark) continue;
            const auto theirs = find_step(there_->turns, step);
            if (!theirs || there_->turns[*theirs].step.event == step.event) continue;
            return Condition{false, dated(here_, i)};
        }
        return std::nullopt;
    }

    /// Two steps that both worlds have, the other way round: one of them decides in one of the worlds.
    Found by_order() const {
        const Found own = order_around(here_, *there_, false);
        return own ? own : order_around(*there_, here_, true);
    }
    Found order_around(const Example& one, const Example& two, bool swapped) const {
        if (!one.decided) return std::nullopt;
        const std::size_t decided = *one.decided;
        const auto other_decided = find_step(two.turns, one.turns[decided].step);
        for (std::size_t i = one.turns.size(); i-- > 0;) {
            const Step& step = one.turns[i].step;
            if (i == decided || (step.kind != Kind::mark && step.kind != Kind::deadline)) continue;
            const auto elsewhere = find_step(two.turns, step);
            // A deadline that was stopped, or a step after the end of the run, does not come up at all.
            if (!elsewhere && !other_decided) continue;
            const bool first = decided < i;
            const bool first_there = other_decided && (!elsewhere || *other_decided < *elsewhere);
            if (first == first_there) continue;
            const Told deciding = told(one, decided), against = told(one, i);
            const bool deciding_first = first != swapped;
            return Condition{false,
                             deciding_first ? in_order(deciding, against) : in_order(against, deciding)};
        }
        if (other_decided || one.turns[decided].step.kind != Kind::deadline) return std::nullopt;
        // The deadline never came due in the other world: its decision stopped it.
        if (!two.decided) return std::nullopt;
        const Told deciding = told(one, decided), against = told(two, *two.decided);
        return Condition{false, swapped ? in_order(against, deciding) : in_order(deciding, against)};
    }

    /// A touch that fails when it carries weight, on a course where a brush does not count.
    Found by_grade() const {
        if (inquiry_.book.brush_counts) return std::nullopt;
        const Example* failed = nullptr;
        for (const Example* example : {&here_, there_}) {
            if (example->ending->stations[station_].outcome == Outcome::failed) failed = example;
        }
        if (!failed || !failed->decided) return std::nullopt;
        const Turn& turn = failed->turns[*failed->decided];
        const std::optional<Happening> what = what_happened(inquiry_, turn);
        const auto* touch = what ? std::get_if<Touch>(&*what) : nullptr;
        if (!touch || touch->grade != Grade::ungraded || turn.step.kind != Kind::mark) return std::nullopt;
        const Told event = told(*failed, *failed->decided);
        return Condition{false, failed == &here_
                                    ? say_in("after if", "{} {} with weight", event.who, event.did)
                                    : say_in("after if", "{} {} only in a brush", event.who, event.did)};
    }

    Found by_contact() const {
        if (!here_.decided || !there_->decided) return std::nullopt;
        const Turn& own = here_.turns[*here_.decided];
        const Turn& theirs = there_->turns[*there_->decided];
        const Roles& roles = *inquiry_.decided.roles;
        const PairBits differ = own.after.on_known & theirs.after.on_known & (own.after.on ^ theirs.after.on);
        for (std::size_t p = 0; p < kPartsCount * roles.class_count(); ++p) {
            if (!differ[p]) continue;
            const auto part = part_of(p);
            const auto surface = class_of_pair(p);
            const Sentence who = inquiry_.words.part(part);
            const Sentence on = inquiry_.words.on_surface(roles.surface_of(surface));
            const Sentence then = whole(told(here_, *here_.decided));
            return Condition{false, own.after.on[p]
                                        ? say_in("after if", "{} was {} when {}", who, on, then)
                                        : say_in("after if", "{} was not {} when {}", who, on, then)};
        }
        return std::nullopt;
    }

    const Inquiry& inquiry_;
    std::size_t station_;
    const Example& here_;
    const Example* there_;
};

}  // namespace

void contrast(const Inquiry& inquiry, std::size_t station, const Example& example, const Example* other,
              World& world) {
    Contrast(inquiry, station, example, other).tell(world);
}

Told deadline_told(const Inquiry& inquiry, std::size_t station, Deadline deadline, Form form) {
    const course::Station& definition = inquiry.book.stations[station];
    const auto length = [](const std::optional<base::Duration>& d) {
        return base::duration_text(d.value_or(base::Duration{}));
    };
    const auto ran_out = [form] {
        return form == Form::after_if ? say_in("after if", "ran out") : say("ran out");
    };
    switch (deadline) {
        case kHold:
            return {say("the hold of {}", length(definition.landing.hold)),
                    form == Form::after_if ? say_in("after if", "was complete") : say("was complete")};
        case kStationCap:
            return {say("the cap of {}", length(definition.cap)), ran_out()};
        case kRest:
            return {say("the rest limit of {}", length(definition.rest_limit)), ran_out()};
        case kRunCap:
            return {say("the run cap of {}", length(inquiry.book.run_cap)), ran_out()};
    }
    return {};
}

Shown shown_at(const Placed& placed) {
    Shown shown{ClipIndex{static_cast<std::int64_t>(placed.clip)}, std::nullopt, std::nullopt};
    if (placed.earliest) shown.after = base::Time{*placed.earliest - 1};
    if (placed.latest) shown.until = base::Time{*placed.latest};
    return shown;
}

}  // namespace plumbmark::ruling
