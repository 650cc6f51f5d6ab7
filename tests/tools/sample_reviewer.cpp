#include "sample_reviewer.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>

namespace plumbmark::sample {
namespace {

using base::Result;
using nlohmann::json;

/// Frames by which a bracket is widened where the athlete's own body hides the contact.
constexpr std::int64_t kHiddenBehindBody = 5;
/// Frames around a signal that is only heard: the sound of a beep arrives late by its distance.
constexpr std::int64_t kOnlyHeard = 8;
/// Frames left unwatched before and after what stays hidden.
constexpr std::int64_t kHiddenMargin = 2;

struct Angle {
    meet::ClipId id;
    std::string file;
    std::string stem;  ///< as 'visible_in' names it
    std::shared_ptr<const media::FrameTable> table;
    std::int64_t offset_ns = 0;
    json clip;
    bool marked = false;
    bool tied = false;

    [[nodiscard]] bool looked_at_for(const json& event) const {
        return marked || (tied && event["event"] == "signal" && event["signal"] == "start");
    }
};

course::Part part_of(const std::string& key) {
    return course::part_from_key(key).value_or(course::Part::other);
}

class Reviewer {
  public:
    Reviewer(review::Session& session, const json& run, std::vector<Angle> angles)
        : session_(session), run_(run), angles_(std::move(angles)) {
        next_mark_ = session.state().next_id(meet::Kind::mark);
        next_drawing_ = session.state().next_id(meet::Kind::drawing);
    }

    Result<void> review() {
        for (const Angle& angle : angles_)
            draw(angle);
        state_standing();
        for (const json& event : run_["events"])
            mark(event);
        for (const Angle& angle : angles_) {
            if (angle.marked) watch(angle);
        }
        return session_.apply(change_);
    }

  private:
    static bool visible(const json& event, const Angle& angle) {
        return std::any_of(event["visible_in"].begin(), event["visible_in"].end(),
                           [&](const json& clip) { return clip.get<std::string>() == angle.stem; });
    }

    /// The left foot on the gantry deck in run 4: camera A's column hides it.
    bool stays_hidden(const json& event, const Angle& angle) const {
        return run_["run"] == "run-4" && angle.stem == "run-4-a" && event.value("part", "") == "left_foot" &&
               event.value("surface", "") == "gantry_deck";
    }

    meet::FrameRef frame(const Angle& angle, std::int64_t n) const {
        n = std::clamp<std::int64_t>(n, 0, angle.table->size() - 1);
        return {n, (*angle.table)[n].pts};
    }

    /// The first frame that shows it: at or after the event on the clip's clock.
    std::int64_t first_frame_with(const json& event, const Angle& angle) const {
        const std::int64_t t = event["time_ns"].get<std::int64_t>() + angle.offset_ns;
        std::int64_t n = angle.table->frame_at({t});
        if (n < 0 || angle.table->time(n).ns < t) ++n;
        return n;
    }

    meet::Sighting bracket(const json& event, const Angle& angle) const {
        const std::int64_t late = first_frame_with(event, angle);
        std::int64_t wider = 0;
        if (!visible(event, angle)) wider = event["event"] == "signal" ? kOnlyHeard : kHiddenBehindBody;
        return {angle.id, frame(angle, late - 1 - wider), frame(angle, late + wider)};
    }

    static std::optional<meet::Event> event_of(const json& event) {
        meet::Event made;
        const std::string kind = event["event"];
        if (kind == "touch" || kind == "release") {
            made.kind = kind == "touch" ? meet::EventKind::touch : meet::EventKind::release;
            made.part = part_of(event["part"]);
            made.surface = event["surface"];
        } else if (kind == "cross") {
            made.kind = meet::EventKind::cross;
            if (event["part"] != "whole_athlete") made.part = part_of(event["part"]);
            made.plane = event["plane"];
            if (event["direction"] == "back") made.direction = ruling::Direction::back;
        } else {
            made.kind = meet::EventKind::signal;
            made.signal = event["signal"] == "start" ? ruling::SignalKind::start_given
                                                     : ruling::SignalKind::finish_registers;
        }
        return made;
    }

    void mark(const json& event) {
        meet::Mark mark;
        mark.run = session_.run();
        mark.alternatives = {*event_of(event)};
        // Angles that show it; where none does, the first one's wider bracket.
        for (const bool shown : {true, false}) {
            for (const Angle& angle : angles_) {
                if (!angle.looked_at_for(event) || stays_hidden(event, angle) ||
                    visible(event, angle) != shown)
                    continue;
                if (!shown && !mark.sightings.empty()) continue;
                mark.sightings.push_back(bracket(event, angle));
                if (mark.sightings.size() == 1) mark.spot = spot(event, angle);
            }
        }
        if (mark.sightings.empty()) return;
        mark.id = {next_mark_++};
        change_.edits.push_back({std::nullopt, mark});
    }

    void state_standing() {
        for (const json& stood : run_["standing"]) {
            meet::ContactStatement contact;
            const Angle& angle =
                *std::find_if(angles_.begin(), angles_.end(), [](const Angle& a) { return a.marked; });
            contact.id = {next_mark_++};
            contact.run = session_.run();
            contact.clip = angle.id;
            contact.frame = frame(angle, 0);
            contact.part = part_of(stood["part"]);
            contact.surface = stood["surface"];
            change_.edits.push_back({std::nullopt, contact});
        }
    }

    void add_span(const Angle& angle, std::int64_t from, std::int64_t to, const meet::Scope& scope) {
        meet::WatchedSpan span{{next_mark_++},     session_.run(),   angle.id,
                               frame(angle, from), frame(angle, to), scope};
        if (span.from.number < span.to.number) change_.edits.push_back({std::nullopt, span});
    }

    void watch(const Angle& angle) {
        meet::Scope everything;
        everything.finish_signal = true;
        std::optional<std::int64_t> hidden_from, hidden_to;
        for (const json& event : run_["events"]) {
            if (!stays_hidden(event, angle) || visible(event, angle)) continue;
            const std::int64_t n = first_frame_with(event, angle);
            if (!hidden_from) hidden_from = n - 1 - kHiddenMargin;
            hidden_to = n + kHiddenMargin;
        }
        const std::int64_t last = angle.table->size() - 1;
        if (!hidden_from) return add_span(angle, 0, last, everything);
        add_span(angle, 0, *hidden_from, everything);
        // All but the hidden deck stays in view in between.
        meet::Scope rest;
        rest.whole_athlete = false;
        rest.finish_signal = true;
        for (const course::Surface& surface : session_.book()->surfaces) {
            if (surface.key != "gantry_deck") rest.surfaces.push_back(surface.key);
        }
        for (const course::Plane& plane : session_.book()->planes)
            rest.planes.push_back(plane.key);
        add_span(angle, *hidden_from, *hidden_to, rest);
        add_span(angle, *hidden_to, last, everything);
    }

    // --- drawing ---

    using Point = std::array<double, 2>;

    static double turn(const Point& a, const Point& b, const Point& c) {
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    }

    /// The convex outline (Andrew's monotone chain, 1979).
    static std::vector<Point> outline(std::vector<Point> points) {
        std::sort(points.begin(), points.end());
        points.erase(std::unique(points.begin(), points.end()), points.end());
        if (points.size() < 3) return points;
        std::vector<Point> hull;
        for (int side = 0; side < 2; ++side) {
            const std::size_t begin = hull.size();
            for (const Point& p : points) {
                while (hull.size() >= begin + 2 && turn(hull[hull.size() - 2], hull.back(), p) <= 0)
                    hull.pop_back();
                hull.push_back(p);
            }
            hull.pop_back();
            std::reverse(points.begin(), points.end());
        }
        return hull;
    }

    static Point rounded(const Point& p) { return {std::round(p[0] * 10) / 10, std::round(p[1] * 10) / 10}; }

    void draw(const Angle& angle) {
        const json& drawings = angle.clip["drawings"];
        for (const auto& [key, polygons] : drawings["surfaces"].items()) {
            std::vector<Point> points;
            for (const json& polygon : polygons) {
                for (const json& point : polygon)
                    points.push_back(rounded({point[0], point[1]}));
            }
            add_drawing(angle, meet::DrawingKind::surface, key, outline(std::move(points)), std::nullopt);
        }
        for (const auto& [key, plane] : drawings["planes"].items()) {
            std::vector<Point> points;
            for (const json& point : plane["line"])
                points.push_back(rounded({point[0], point[1]}));
            add_drawing(angle, meet::DrawingKind::plane, key, points,
                        rounded({plane["towards"][0], plane["towards"][1]}));
        }
    }

    void add_drawing(const Angle& angle, meet::DrawingKind kind, const std::string& key,
                     std::vector<Point> points, std::optional<Point> towards) {
        if (points.size() < (kind == meet::DrawingKind::surface ? 3U : 2U)) return;
        for (const auto& [id, drawn] : session_.state().drawings()) {
            if (drawn.clip == angle.id && drawn.kind == kind && drawn.key == key) return;
        }
        change_.edits.push_back(
            {std::nullopt,
             meet::Drawing{{next_drawing_++}, angle.id, kind, key, std::move(points), towards}});
    }

    /// Where the contact lies in the picture: the pinhole projection that the truth file states.
    std::optional<Point> spot(const json& event, const Angle& angle) const {
        if (!event.contains("at") || event["event"] == "signal") return std::nullopt;
        using Vec = std::array<double, 3>;
        const auto vec = [](const json& j) { return Vec{j[0], j[1], j[2]}; };
        const auto minus = [](Vec a, Vec b) { return Vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]}; };
        const auto dot = [](Vec a, Vec b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; };
        const auto cross = [](Vec a, Vec b) {
            return Vec{a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
        };
        const auto unit = [&](Vec a) {
            const double n = std::sqrt(dot(a, a));
            return Vec{a[0] / n, a[1] / n, a[2] / n};
        };
        const json& camera = angle.clip["camera"];
        const Vec forward = unit(minus(vec(camera["target"]), vec(camera["at"])));
        const Vec right = unit(cross(forward, Vec{0, 0, 1}));
        const Vec up = cross(right, forward);
        const Vec to = minus(vec(event["at"]), vec(camera["at"]));
        const double depth = dot(to, forward);
        if (depth <= 0) return std::nullopt;
        const double f = camera["focal_px"];
        const double w = angle.clip["width"];
        const double h = angle.clip["height"];
        return rounded({w / 2 + f * dot(to, right) / depth, h / 2 - f * dot(to, up) / depth});
    }

    review::Session& session_;
    const json& run_;
    std::vector<Angle> angles_;
    meet::Change change_{"the review of a run", {}, 0};
    std::int64_t next_mark_ = 0;
    std::int64_t next_drawing_ = 0;
};

const json* find_run(const json& truth, const std::string& name) {
    for (const json& run : truth["runs"]) {
        if (run["run"] == name) return &run;
    }
    return nullptr;
}

/// The rendered cameras take a whole picture at once: there is no row delay, and that is known.
Result<void> state_row_delay(review::Session& session, meet::ClipId id) {
    const meet::Clip before = session.state().clips().at(id);
    meet::Clip after = before;
    after.row_delay = base::Duration{0};
    return session.apply({"row delay of a clip", {{before, after}}, 0});
}

}  // namespace

Result<void> review_run(review::Session& session, const std::string& folder, const json& truth,
                        const ReviewPlan& plan) {
    const json* run = find_run(truth, plan.run);
    if (!run)
        return base::Error{base::Category::not_found, "The truth file has no run '" + plan.run + "'.", ""};
    Result<meet::AthleteId> athlete = session.add_athlete(plan.athlete);
    if (!athlete) return athlete.error();
    Result<meet::RunId> added = session.add_run(plan.label, *athlete);
    if (!added) return added.error();
    if (!plan.question.empty()) {
        const meet::Run before = session.state().runs().at(*added);
        meet::Run after = before;
        after.question = plan.question;
        if (Result<void> asked = session.apply({"question", {{before, after}}, 0}); !asked) return asked;
    }
    std::vector<Angle> angles;
    for (const std::string& file : plan.clips) {
        Result<meet::ClipId> clip = session.add_clip(folder + "/" + file);
        if (!clip) return clip.error();
        Angle angle;
        angle.id = *clip;
        angle.file = file;
        angle.stem = file.substr(0, file.find('.'));
        const auto among = [&](const std::vector<std::string>& files) {
            return std::find(files.begin(), files.end(), file) != files.end();
        };
        angle.marked = among(plan.marked);
        angle.tied = among(plan.tied);
        for (const json& stated : (*run)["clips"]) {
            if (stated["clip"] == file) angle.clip = stated;
        }
        angle.offset_ns = angle.clip["offset_ns"];
        angles.push_back(std::move(angle));
    }
    if (Result<void> settled = session.settle(); !settled) return settled;
    for (Angle& angle : angles) {
        for (const review::ClipView& view : session.clips()) {
            if (view.id != angle.id) continue;
            if (view.error) return *view.error;
            angle.table = view.table;
        }
        if (Result<void> stated = state_row_delay(session, angle.id); !stated) return stated;
    }
    if (Result<void> reviewed = Reviewer(session, *run, std::move(angles)).review(); !reviewed)
        return reviewed;
    return session.settle();
}

}  // namespace plumbmark::sample
