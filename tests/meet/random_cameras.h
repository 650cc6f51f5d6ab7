// Random lenses and stands of cameras, and what marks had measured, for tests of the state and of the store.
#pragma once

#include <functional>
#include <iterator>
#include <string>

#include "meet/changes.h"

namespace plumbmark::test {

/// Draws from the caller's numbers and texts.
struct CameraMaker {
    std::function<std::int64_t(std::int64_t, std::int64_t)> number;
    std::function<std::string()> text;

    [[nodiscard]] meet::CameraLens lens(std::int64_t id) const {
        meet::CameraLens made;
        made.id = {id};
        made.camera = "phone " + text();
        made.width = static_cast<int>(number(1, meet::kLargestPicture));
        made.height = static_cast<int>(number(1, 4'000));
        made.fx = fraction(1, 9'000);
        made.fy = fraction(1, 9'000);
        made.cx = fraction(-500, 4'000);
        made.cy = fraction(-500, 4'000);
        for (double* term : {&made.skew, &made.k1, &made.k2, &made.p1, &made.p2, &made.k3})
            *term = fraction(-2, 2);
        for (double* standard : {&made.focal_standard, &made.principal_standard, &made.k1_standard})
            *standard = fraction(0, 9);
        made.source = text();
        return made;
    }

    /// On any of the clips; with a measured lens only where there is one.
    [[nodiscard]] meet::CameraStand stand(const meet::State& state, std::int64_t id) const {
        meet::CameraStand made;
        made.id = {id};
        made.clip = any(state.clips());
        made.still = frame();
        made.knowledge = static_cast<meet::LensKnown>(number(state.lenses().empty() ? 1 : 0, 2));
        if (made.knowledge == meet::LensKnown::measured) made.lens = any(state.lenses());
        for (std::int64_t left = number(0, 5); left > 0; --left)
            made.points.push_back({place(left), point(), fraction(1, 9)});
        for (std::int64_t left = number(0, 3); left > 0; --left) {
            meet::StandEdge edge{place(0), place(1), {}, fraction(1, 9)};
            for (std::int64_t more = number(1, 3); more > 0; --more)
                edge.at.push_back(point());
            made.edges.push_back(std::move(edge));
        }
        return made;
    }

    /// Points at places on clips of the run, and has measured on one of the mark's.
    void add_measured(meet::Mark& mark, const meet::Run& run) const {
        for (const meet::ClipId clip : run.clips) {
            for (std::int64_t n = number(-1, 2); n > 0; --n) {
                const std::int64_t at = 300 * n + number(0, 299);
                mark.pointed.push_back({clip, {at, number(-500, 500)}, point()});
                if (number(0, 2) == 0)
                    mark.pointed.back().followed = {at + number(1, 9),
                                                    static_cast<double>(number(0, 900)) / 1'000};
            }
        }
        if (mark.sightings.empty() || number(0, 2) > 0) return;
        const std::int64_t from = number(0, 99'999'999);
        const auto seen = static_cast<std::size_t>(number(0, std::ssize(mark.sightings) - 1));
        mark.measured =
            meet::MeasuredMoment{mark.sightings[seen].clip, frame(), {from}, {from + number(0, 9'999'999)}};
    }

  private:
    [[nodiscard]] double fraction(std::int64_t from, std::int64_t to) const {
        return static_cast<double>(number(from * 4096, to * 4096)) / 4096 / 1.1;
    }
    [[nodiscard]] std::array<double, 2> point() const { return {fraction(-99, 9'999), fraction(-99, 9'999)}; }
    [[nodiscard]] meet::FrameRef frame() const {
        const std::int64_t n = number(0, 900);
        return {n, n * 1001 - 500};
    }
    [[nodiscard]] meet::PlanPlace place(std::int64_t corner) const {
        const bool plane = corner < 2 && number(0, 1) == 1;
        return {plane ? meet::DrawingKind::plane : meet::DrawingKind::surface,
                plane ? "line" : "deck-" + std::to_string(number(1, 9)), static_cast<int>(corner)};
    }
    template <class T>
    [[nodiscard]] decltype(T::id) any(const std::map<decltype(T::id), T>& things) const {
        return std::next(things.begin(), number(0, std::ssize(things) - 1))->first;
    }
};

}  // namespace plumbmark::test
