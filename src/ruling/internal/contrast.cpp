#include "ruling/internal/contrast.h"

#include <algorithm>

#include "base/text.h"

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

    std::string tell() const {
        if (there_) {
            for (const auto way : {&Contrast::by_own_unseen, &Contrast::by_their_unseen,
                                   &Contrast::by_possible, &Contrast::by_alternative, &Contrast::by_order,
                                   &Contrast::by_grade, &Contrast::by_contact}) {
                if (const std::string words = (this->*way)(); !words.empty()) return verdict() + words;
            }
        }
        if (!here_.decided) return verdict() + " if nothing more happened";
        return verdict() + " if " + told(here_, *here_.decided) + when(here_, *here_.decided);
    }

  private:
    std::string verdict() const {
        switch (here_.ending->stations[station_].outcome) {
            case Outcome::cleared:
                return "clear";
            case Outcome::failed:
                return "fail";
            default:
                return "undecided";
        }
    }
    std::string told(const Example& example, std::size_t turn) const {
        const Step& step = example.turns[turn].step;
        if (step.kind == Kind::deadline) return deadline_words(inquiry_, station_, step.deadline);
        const std::optional<Happening> what = what_happened(inquiry_, example.turns[turn]);
        return what ? inquiry_.words.happened(*what) : "it was so";
    }
    std::string when(const Example& example, std::size_t turn) const {
        return " " + inquiry_.words.between(shown_at(example.places[turn]));
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

    std::string by_own_unseen() const {
        const std::optional<std::size_t> own = unseen_of(here_);
        if (!own || has_event(*there_, here_.turns[*own].step.event)) return "";
        return " if " + told(here_, *own) + " unseen" + when(here_, *own);
    }
    std::string by_their_unseen() const {
        const std::optional<std::size_t> theirs = unseen_of(*there_);
        if (!theirs || has_event(here_, there_->turns[*theirs].step.event)) return "";
        return " unless " + told(*there_, *theirs) + " unseen" + when(*there_, *theirs);
    }

    std::string by_possible() const {
        for (std::size_t m = 0; m < inquiry_.evidence.marks.size(); ++m) {
            if (!inquiry_.evidence.marks[m].possible) continue;
            Step step;
            step.kind = Kind::mark;
            step.mark = static_cast<int>(m);
            const auto own = find_step(here_.turns, step);
            const auto theirs = find_step(there_->turns, step);
            if (own && !theirs) return " if " + told(here_, *own) + when(here_, *own);
            if (theirs && !own) return " unless " + told(*there_, *theirs) + when(*there_, *theirs);
        }
        return "";
    }

    std::string by_alternative() const {
        for (std::size_t i = 0; i < here_.turns.size(); ++i) {
            const Step& step = here_.turns[i].step;
            if (step.kind != Kind::mark) continue;
            const auto theirs = find_step(there_->turns, step);
            if (!theirs || there_->turns[*theirs].step.event == step.event) continue;
            return " if " + told(here_, i) + when(here_, i);
        }
        return "";
    }

    /// Two steps that both worlds have, the other way round: one of them decides in one of the worlds.
    std::string by_order() const {
        const std::string own = order_around(here_, *there_, false);
        return own.empty() ? order_around(*there_, here_, true) : own;
    }
    std::string order_around(const Example& one, const Example& two, bool swapped) const {
        if (!one.decided) return "";
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
            const std::string deciding = told(one, decided), against = told(one, i);
            const bool deciding_first = first != swapped;
            return " if " + (deciding_first ? deciding : against) + " before " +
                   (deciding_first ? against : deciding);
        }
        if (other_decided || one.turns[decided].step.kind != Kind::deadline) return "";
        // The deadline never came due in the other world: its decision stopped it.
        if (!two.decided) return "";
        const std::string deciding = told(one, decided), against = told(two, *two.decided);
        return " if " + (swapped ? against : deciding) + " before " + (swapped ? deciding : against);
    }

    /// A touch that fails when it carries weight, on a course where a brush does not count.
    std::string by_grade() const {
        if (inquiry_.book.brush_counts) return "";
        const Example* failed = nullptr;
        for (const Example* example : {&here_, there_}) {
            if (example->ending->stations[station_].outcome == Outcome::failed) failed = example;
        }
        if (!failed || !failed->decided) return "";
        const Turn& turn = failed->turns[*failed->decided];
        const std::optional<Happening> what = what_happened(inquiry_, turn);
        const auto* touch = what ? std::get_if<Touch>(&*what) : nullptr;
        if (!touch || touch->grade != Grade::ungraded || turn.step.kind != Kind::mark) return "";
        return " if " + told(*failed, *failed->decided) +
               (failed == &here_ ? " with weight" : " only in a brush");
    }

    std::string by_contact() const {
        if (!here_.decided || !there_->decided) return "";
        const Turn& own = here_.turns[*here_.decided];
        const Turn& theirs = there_->turns[*there_->decided];
        const Roles& roles = *inquiry_.decided.roles;
        const PairBits differ = own.after.on_known & theirs.after.on_known & (own.after.on ^ theirs.after.on);
        for (std::size_t p = 0; p < kPartsCount * roles.class_count(); ++p) {
            if (!differ[p]) continue;
            const auto part = part_of(p);
            const auto surface = class_of_pair(p);
            return " if " + inquiry_.words.part(part) + (own.after.on[p] ? " was on " : " was not on ") +
                   inquiry_.words.surface(roles.surface_of(surface)) + " when " + told(here_, *here_.decided);
        }
        return "";
    }

    const Inquiry& inquiry_;
    std::size_t station_;
    const Example& here_;
    const Example* there_;
};

}  // namespace

std::string contrast(const Inquiry& inquiry, std::size_t station, const Example& example,
                     const Example* other) {
    return Contrast(inquiry, station, example, other).tell();
}

std::string deadline_words(const Inquiry& inquiry, std::size_t station, Deadline deadline) {
    const course::Station& definition = inquiry.book.stations[station];
    const auto length = [](const std::optional<base::Duration>& d) {
        return base::duration_text(d.value_or(base::Duration{}));
    };
    switch (deadline) {
        case kHold:
            return "the hold of " + length(definition.landing.hold) + " was complete";
        case kStationCap:
            return "the cap of " + length(definition.cap) + " ran out";
        case kRest:
            return "the rest limit of " + length(definition.rest_limit) + " ran out";
        case kRunCap:
            return "the run cap of " + length(inquiry.book.run_cap) + " ran out";
    }
    return "";
}

Shown shown_at(const Placed& placed) {
    Shown shown{ClipIndex{static_cast<std::int64_t>(placed.clip)}, std::nullopt, std::nullopt};
    if (placed.earliest) shown.after = base::Time{*placed.earliest - 1};
    if (placed.latest) shown.until = base::Time{*placed.latest};
    return shown;
}

}  // namespace plumbmark::ruling
