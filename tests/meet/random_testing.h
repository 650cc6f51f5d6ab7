// Random testers, rigs, trials, closings, releases and coach's notes, for tests of the state and of the
// store.
#pragma once

#include <functional>
#include <iterator>
#include <string>
#include <vector>

#include "meet/changes.h"

namespace plumbmark::test {

/// Draws from the caller's numbers and texts.
struct TestingMaker {
    std::function<std::int64_t(std::int64_t, std::int64_t)> number;
    std::function<std::string()> text;

    /// The kind itself, or one that has to come before anything of it can.
    [[nodiscard]] static meet::Kind possible(const meet::State& state, meet::Kind kind) {
        using meet::Kind;
        if ((kind == Kind::trial || kind == Kind::release) && state.rigs().empty()) return Kind::rig;
        if (kind == Kind::trial && state.testers().empty()) return Kind::tester;
        return kind;
    }

    [[nodiscard]] static bool makes(meet::Kind kind) {
        return kind >= meet::Kind::tester && kind <= meet::Kind::coach_note;
    }

    /// A thing of Kind::tester to Kind::coach_note, with links only to what is there. A coach's note needs
    /// a run with footage.
    [[nodiscard]] meet::Entity make(const meet::State& state, meet::Kind kind, std::int64_t id) const {
        switch (kind) {
            case meet::Kind::tester:
                return tester(id);
            case meet::Kind::rig:
                return rig(id);
            case meet::Kind::trial:
                return trial(state, id);
            case meet::Kind::closing:
                return meet::Closing{
                    {id}, station(), "height:" + std::to_string(number(1, 3)), "as " + text()};
            case meet::Kind::release:
                return release(state, id);
            default:
                return note(state, id);
        }
    }

    /// With something that may not be there, or belongs to another station, or is there already.
    void spoil(const meet::State& state, meet::Entity& entity) const {
        if (auto* trial = std::get_if<meet::Trial>(&entity)) {
            switch (number(0, 3)) {
                case 0:
                    trial->tester = {number(0, 9)};
                    break;
                case 1:
                    trial->rig = {number(0, 9)};
                    break;
                case 2:
                    trial->run = {number(0, 9)};
                    break;
                default:
                    trial->station = station();
            }
        } else if (auto* rig = std::get_if<meet::RigState>(&entity)) {
            rig->station = station();
        } else if (auto* closing = std::get_if<meet::Closing>(&entity)) {
            if (state.closings().empty()) return;
            closing->station = state.closings().begin()->second.station;
            closing->item = state.closings().begin()->second.item;
        } else if (auto* release = std::get_if<meet::Release>(&entity)) {
            release->rig = {number(0, 9)};
        } else if (auto* note = std::get_if<meet::CoachNote>(&entity)) {
            (flag() ? note->clip.value : note->run.value) = number(0, 9);
        }
    }

  private:
    [[nodiscard]] bool flag() const { return number(0, 1) == 1; }
    [[nodiscard]] std::int32_t small(std::int64_t from, std::int64_t to) const {
        return static_cast<std::int32_t>(number(from, to));
    }
    [[nodiscard]] std::optional<std::int32_t> small_or_none(std::int64_t from, std::int64_t to) const {
        return flag() ? std::optional(small(from, to)) : std::nullopt;
    }
    [[nodiscard]] std::string station() const { return flag() ? "hop" : "hawser-swing"; }
    [[nodiscard]] std::string digits() const {
        std::string made;
        for (int i = 0; i < 64; ++i)
            made += "0123456789abcdef"[number(0, 15)];
        return made;
    }
    template <class T>
    [[nodiscard]] const T& any(const meet::Things<T>& things) const {
        return std::next(things.begin(), number(0, std::ssize(things) - 1))->second;
    }
    [[nodiscard]] meet::Tester tester(std::int64_t id) const {
        meet::Tester made;
        made.id = {id};
        made.name = "tester " + text();
        for (auto* length : {&made.stature_mm, &made.span_mm, &made.reach_mm})
            *length = small_or_none(300, 3'000);
        made.age_years = small_or_none(3, 120);
        if (flag()) made.sex = flag() ? meet::Sex::female : meet::Sex::male;
        made.level = text();
        return made;
    }
    [[nodiscard]] meet::RigState rig(std::int64_t id) const {
        meet::RigState made{{id}, station(), {}, {}, text()};
        for (std::int64_t left = number(0, 3); left > 0; --left)
            made.items.push_back({text(), text(), small_or_none(0, 9'000)});
        for (std::int64_t left = number(0, 2); left > 0; --left)
            made.photos.push_back({text(), digits(), number(0, 2'000'000'000'000)});
        return made;
    }
    [[nodiscard]] meet::Trial trial(const meet::State& state, std::int64_t id) const {
        const meet::RigState& rig = any(state.rigs());
        meet::Trial made;
        made.id = {id};
        made.station = rig.station;
        made.tester = any(state.testers()).id;
        made.rig = rig.id;
        if (!state.runs().empty() && flag()) made.run = any(state.runs()).id;
        made.start = "deck";
        if (flag()) made.landing = "net";
        for (const char* item : {"bar", "hawser", "ring"}) {
            if (flag()) made.items.emplace_back(item);
        }
        // Without a run it says how it came out, and a clear names its landing.
        made.seen = static_cast<meet::TrialOutcome>(number(made.run.valid() ? 0 : 1, 2));
        if (made.landing.empty() && made.seen == meet::TrialOutcome::cleared)
            made.seen = meet::TrialOutcome::failed;
        made.how = text();
        return made;
    }
    [[nodiscard]] meet::Release release(const meet::State& state, std::int64_t id) const {
        const meet::RigState& rig = any(state.rigs());
        return {{id}, rig.station, digits(), rig.id, "by " + text(), text(), number(0, 2'000'000'000'000)};
    }
    [[nodiscard]] meet::CoachNote note(const meet::State& state, std::int64_t id) const {
        std::vector<const meet::Run*> runs;
        for (const auto& [ignored, run] : state.runs()) {
            if (!run.clips.empty()) runs.push_back(&run);
        }
        const meet::Run& run = *runs[static_cast<std::size_t>(number(0, std::ssize(runs) - 1))];
        const std::int64_t n = number(0, 900);
        const auto clip = static_cast<std::size_t>(number(0, std::ssize(run.clips) - 1));
        return {{id}, run.id, run.clips[clip], {n, n * 1001 - 500}, text(), flag()};
    }
};

}  // namespace plumbmark::test
