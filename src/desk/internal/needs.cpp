// What the ruling needs next.
#include <fmt/format.h>

#include <algorithm>

#include "desk/internal/reading.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

/// Some mark of the run may be such an event.
template <class Is>
bool some_mark(const review::Session& session, const Is& is) {
    for (const meet::Mark& mark : session.state().marks_of(session.run()))
        if (std::any_of(mark.alternatives.begin(), mark.alternatives.end(), is)) return true;
    return false;
}

bool start_is_marked(const review::Session& session) {
    return some_mark(session, [](const meet::Event& event) {
        return event.kind == meet::EventKind::signal && event.signal == ruling::SignalKind::start_given;
    });
}

/// A surface on which the station is completed is touched by some mark.
bool landing_is_marked(const review::Session& session, const course::Station& station) {
    const auto& surfaces = station.landing.surfaces;
    return some_mark(session, [&](const meet::Event& event) {
        const auto surface = session.book()->find_surface(event.surface);
        return event.kind == meet::EventKind::touch && surface.valid() &&
               std::find(surfaces.begin(), surfaces.end(), surface) != surfaces.end();
    });
}

/// Of one station that is not shown.
std::optional<Need> need_of(const review::Session& session, int n) {
    const ruling::StationRuling& now = *station_ruling(session, n);
    const course::Station& station = session.book()->stations[static_cast<std::size_t>(n)];
    if (!now.settle.empty()) return Need{now.settle.front().sentence.spoken(), Settle{0}};
    if (!landing_is_marked(session, station) && now.begins_at)
        return Need{tr("the landing of station {} is not marked yet; go there", n + 1),
                    GoShown{*now.begins_at}};
    return std::nullopt;
}

}  // namespace

std::optional<Need> next_need(const review::Session& session, const SheetView& view) {
    const course::CourseBook* book = session.book();
    const review::ClipView* clip = session.current_clip();
    if (!book || book->stations.empty() || !clip || !clip->table) return std::nullopt;
    if (!start_is_marked(session))
        return Need{tr("the start signal is not marked yet; go to its frame and mark it"),
                    Do{Action::signal}};
    const int focus = focused_station(session, view);
    const auto not_shown = [&](int n) {
        const auto* now = station_ruling(session, n);
        return now && now->verdict == ruling::Verdict::not_shown;
    };
    if (not_shown(focus))
        if (auto need = need_of(session, focus)) return need;
    for (int n = 0; n < static_cast<int>(book->stations.size()); ++n)
        if (n != focus && not_shown(n))
            return Need{tr("station {} is not shown yet; look at it", n + 1), FocusStation{n, false}};
    return std::nullopt;
}

}  // namespace plumbmark::desk
