// Random things of a competition, for tests of the state and of the store.
#pragma once

#include <functional>
#include <iterator>
#include <string>

#include "meet/changes.h"

namespace plumbmark::test {

/// Draws from the caller's numbers and texts.
struct CompetitionMaker {
    std::function<std::int64_t(std::int64_t, std::int64_t)> number;
    std::function<std::string()> text;

    /// The kind itself, or one that has to come before anything of it can.
    [[nodiscard]] static meet::Kind possible(const meet::State& state, meet::Kind kind) {
        using meet::Kind;
        const auto first = [&](bool there, Kind needed) { return there ? kind : needed; };
        switch (kind) {
            case Kind::entry:
                if (state.rounds().empty()) return Kind::round;
                return first(!state.athletes().empty(), Kind::athlete);
            case Kind::clock_time:
            case Kind::appeal:
                return first(!state.runs().empty(), Kind::run);
            case Kind::decision:
                if (state.runs().empty()) return Kind::run;
                return first(!state.appeals().empty(), Kind::appeal);
            case Kind::publication:
                if (state.rounds().empty()) return Kind::round;
                return first(!state.divisions().empty(), Kind::division);
            case Kind::seal:
                return first(!state.keys().empty(), Kind::key);
            case Kind::cover:
                return first(!state.clips().empty(), Kind::clip);
            default:
                return kind;
        }
    }

    /// A thing of a kind after Kind::floor_call, with links only to what is there.
    [[nodiscard]] meet::Entity make(const meet::State& state, meet::Kind kind, std::int64_t id) const {
        using meet::Kind;
        switch (kind) {
            case Kind::rules:
                return rules();
            case Kind::division:
                return division(id);
            case Kind::round:
                return meet::Round{{id}, text(), pick<meet::RoundKind>(2), small(1, 9)};
            case Kind::entry:
                return meet::Entry{{id},
                                   any(state.athletes()),
                                   any(state.rounds()),
                                   small(1, 9),
                                   small(1, 99),
                                   text(),
                                   pick<meet::EntryStatus>(3),
                                   text()};
            case Kind::clock_time: {
                meet::ClockTime time{{id}, any(state.runs()), text(), {}, text()};
                for (std::int64_t left = number(1, 3); left > 0; --left)
                    time.watches.push_back({number(0, 99'999'999'999)});
                return time;
            }
            case Kind::appeal:
                return meet::Appeal{{id},
                                    any(state.runs()),
                                    "hawser-swing",
                                    text(),
                                    text(),
                                    pick<meet::Capacity>(5),
                                    {number(0, 2'000'000'000'000)},
                                    flag(),
                                    pick<meet::AppealStatus>(2),
                                    text()};
            case Kind::decision: {
                meet::Decision decision{{id},
                                        any(state.appeals()),
                                        pick<ruling::Verdict>(3),
                                        pick<meet::Outcome>(2),
                                        pick<meet::Call>(1),
                                        text(),
                                        {number(0, 2'000'000'000'000)},
                                        {}};
                for (std::int64_t left = number(1, 3); left > 0; --left)
                    decision.signatures.push_back({text(), pick<meet::Capacity>(5)});
                return decision;
            }
            case Kind::publication:
                return publication(state, id);
            case Kind::key:
                return key(state, id);
            case Kind::seal:
                return seal(state, id);
            default:
                return cover(state, id);
        }
    }

  private:
    [[nodiscard]] std::string digits(int count) const {
        std::string made;
        for (int i = 0; i < count; ++i)
            made += "0123456789abcdef"[number(0, 15)];
        return made;
    }
    [[nodiscard]] meet::SigningKey key(const meet::State& state, std::int64_t id) const {
        meet::SigningKey made{
            {id}, digits(64), text(), pick<meet::Capacity>(5), {number(0, 2'000'000'000'000)}, {}, ""};
        if (state.keys().empty() || flag()) return made;
        made.replaces = any(state.keys());
        if (made.replaces == made.id) made.replaces = {};
        if (made.replaces.valid() && flag()) made.signature = digits(128);
        return made;
    }
    [[nodiscard]] meet::Seal seal(const meet::State& state, std::int64_t id) const {
        meet::Seal made{
            {id}, number(1, 999), digits(64), any(state.keys()), {number(0, 2'000'000'000'000)}, digits(128),
            {}};
        if (!state.publications().empty() && flag()) made.publication = any(state.publications());
        return made;
    }
    [[nodiscard]] meet::Cover cover(const meet::State& state, std::int64_t id) const {
        const auto fraction = [&](double most) { return static_cast<double>(number(0, 4096)) / 4096 * most; };
        const std::int64_t first = number(0, 900), last = first + number(0, 9);
        meet::Cover made{{id}, any(state.clips()), {first, first * 1001}, {last, last * 1001}, {}, text()};
        made.box = {fraction(0.75), fraction(0.75), 0.125 + fraction(0.125), 0.1 + fraction(0.1)};
        return made;
    }
    [[nodiscard]] bool flag() const { return number(0, 1) == 1; }
    [[nodiscard]] std::int32_t small(std::int64_t from, std::int64_t to) const {
        return static_cast<std::int32_t>(number(from, to));
    }
    template <class E>
    [[nodiscard]] E pick(int last) const {
        return static_cast<E>(number(0, last));
    }
    template <class T>
    [[nodiscard]] decltype(T::id) any(const std::map<decltype(T::id), T>& things) const {
        return std::next(things.begin(), number(0, std::ssize(things) - 1))->first;
    }
    [[nodiscard]] meet::Rules rules() const {
        meet::Rules rules;
        rules.order = pick<meet::Order>(1);
        rules.times = {meet::time_units()[static_cast<std::size_t>(number(0, 3))], pick<meet::Rounding>(2),
                       pick<meet::TwoWatches>(1)};
        rules.rerun = pick<meet::Rerun>(1);
        rules.tie_break = pick<meet::TieBreak>(1);
        rules.appeals = {small(0, 90), {},    text(), small(0, 3), flag(), pick<meet::WhenUnshown>(2),
                         small(1, 2),  flag()};
        for (int capacity = 0; capacity < 6; ++capacity) {
            if (flag()) rules.appeals.who.push_back(static_cast<meet::Capacity>(capacity));
        }
        return rules;
    }
    [[nodiscard]] meet::Division division(std::int64_t id) const {
        meet::Division division{{id}, "d" + std::to_string(number(1, 9)), text(), {}, {}, text(), text()};
        if (flag()) division.born_from = small(1990, 2010);
        if (flag()) division.born_to = small(2010, 2020);
        return division;
    }
    [[nodiscard]] meet::Publication publication(const meet::State& state, std::int64_t id) const {
        meet::Publication made{
            {id},  any(state.rounds()), any(state.divisions()), {number(0, 2'000'000'000'000)}, flag(), {},
            text()};
        for (const auto& [entry, value] : state.entries()) {
            meet::PublishedLine line{entry,       {},           pick<meet::EntryStatus>(3),
                                     small(0, 9), small(0, 99), text()};
            if (flag()) line.place = small(1, 99);
            made.lines.push_back(line);
        }
        return made;
    }
};

}  // namespace plumbmark::test
