#include "ruling/internal/words.h"

#include <algorithm>

#include "course/words.h"

namespace plumbmark::ruling {
namespace {

Sentence did_touch(const Touch& touch, const Sentence& surface, Form form) {
    const bool brush = touch.grade == Grade::brush;
    switch (form) {
        case Form::present:
            return brush ? say("brushes {}", surface) : say("touches {}", surface);
        case Form::past:
            return brush ? say("brushed {}", surface) : say("touched {}", surface);
        case Form::after_if:
            break;
    }
    return brush ? say_in("after if", "brushed {}", surface) : say_in("after if", "touched {}", surface);
}

Sentence did_leave(const Sentence& surface, Form form) {
    switch (form) {
        case Form::present:
            return say("leaves {}", surface);
        case Form::past:
            return say("left {}", surface);
        case Form::after_if:
            break;
    }
    return say_in("after if", "left {}", surface);
}

Sentence did_cross(bool forward, const Sentence& plane, Form form) {
    switch (form) {
        case Form::present:
            return forward ? say("passes {}", plane) : say("comes back through {}", plane);
        case Form::past:
            return forward ? say("passed {}", plane) : say("came back through {}", plane);
        case Form::after_if:
            break;
    }
    return forward ? say_in("after if", "passed {}", plane)
                   : say_in("after if", "came back through {}", plane);
}

Sentence start_was(Form form) {
    switch (form) {
        case Form::present:
            return say("is given");
        case Form::past:
            return say("was given");
        case Form::after_if:
            break;
    }
    return say_in("after if", "was given");
}

Sentence finish_did(Form form) {
    switch (form) {
        case Form::present:
            return say("registers");
        case Form::past:
            return say("registered");
        case Form::after_if:
            break;
    }
    return say_in("after if", "registered");
}

Sentence run_was(Form form) {
    switch (form) {
        case Form::present:
            return say("is over");
        case Form::past:
            return say("was over");
        case Form::after_if:
            break;
    }
    return say_in("after if", "was over");
}

Sentence infraction(InfractionKind kind) {
    switch (kind) {
        case InfractionKind::assistance:
            return say_in("the judge names it", "assistance");
        case InfractionKind::false_start:
            return say_in("the judge names it", "a false start");
        case InfractionKind::lack_of_control:
            return say_in("the judge names it", "lack of control");
    }
    return {};
}

Sentence did_name(InfractionKind kind, Form form) {
    switch (form) {
        case Form::present:
            return say("names {}", infraction(kind));
        case Form::past:
            return say("named {}", infraction(kind));
        case Form::after_if:
            break;
    }
    return say_in("after if", "named {}", infraction(kind));
}

Sentence moment_was(Form form) {
    switch (form) {
        case Form::present:
            return say_in("the moment that clips share", "is");
        case Form::past:
            return say_in("the moment that clips share", "was");
        case Form::after_if:
            break;
    }
    return say_in("the moment that clips share, after if", "was");
}

Sentence did_stand(Form form) {
    switch (form) {
        case Form::present:
            return say("stands in control");
        case Form::past:
            return say("stood in control");
        case Form::after_if:
            break;
    }
    return say_in("after if", "stood in control");
}

}  // namespace

Sentence whole(const Told& told) {
    return say_in("who, and what was done", "{} {}", told.who, told.did);
}

std::optional<Shown> shown_of(const Mark& mark) {
    if (mark.sightings.empty()) return std::nullopt;
    const Sighting& seen = mark.sightings.front();
    return Shown{seen.clip, seen.after, seen.until};
}

Sentence Words::surface(course::SurfaceId surface) const {
    if (!surface.valid()) return say("something undeclared");
    const std::string& name = book_.surface_name(surface);
    return named(course::with_article(name), name);
}

Sentence Words::surfaces(const std::vector<course::SurfaceId>& surfaces, const char* conjunction) const {
    std::vector<Sentence> names;
    for (const course::SurfaceId id : surfaces)
        names.push_back(surface(id));
    return listed(names, conjunction);
}

Sentence Words::on_surface(course::SurfaceId surface) const {
    return surface.valid() ? say_in("where a part is", "on {}", this->surface(surface))
                           : say("on something undeclared");
}

Sentence Words::plane(course::PlaneId plane) const {
    const std::string& name = book_.plane(plane).name;
    return named(course::with_article(name), name);
}

Sentence Words::finish() const {
    const std::string& name = book_.finish.name;
    return name.empty() ? say("the finish signal") : named(course::with_article(name), name);
}

Sentence Words::station(course::StationId station) const {
    const std::string& name = book_.station(station).name;
    return named(name, name);
}

Sentence Words::part(course::Part part) const {
    return looked_up(course::part_with_article(part));
}

Sentence Words::parts(course::PartSet parts) const {
    std::vector<Sentence> names;
    for (const std::string& name : course::parts_named(parts))
        names.push_back(looked_up(name));
    return listed(names);
}

Told Words::told(const Happening& what, Form form) const {
    if (const auto* touch = std::get_if<Touch>(&what))
        return {part(touch->part), did_touch(*touch, surface(touch->surface), form)};
    if (const auto* release = std::get_if<Release>(&what))
        return {part(release->part), did_leave(surface(release->surface), form)};
    if (const auto* cross = std::get_if<Cross>(&what))
        return {cross->part ? part(*cross->part) : say("the whole athlete"),
                did_cross(cross->direction == Direction::forward, plane(cross->plane), form)};
    if (const auto* signal = std::get_if<Signal>(&what)) {
        switch (signal->kind) {
            case SignalKind::start_given:
                return {say("the start signal"), start_was(form)};
            case SignalKind::finish_registers:
                return {finish(), finish_did(form)};
            case SignalKind::run_over:
                return {say("the run"), run_was(form)};
        }
    }
    if (const auto* named_one = std::get_if<Infraction>(&what))
        return {say("the judge"), did_name(named_one->kind, form)};
    if (std::holds_alternative<SharedMoment>(what))
        return {say("the moment that clips share"), moment_was(form)};
    return {say("the athlete"), did_stand(form)};
}

Sentence Words::ways(const Mark& mark, Form form) const {
    std::vector<Sentence> all;
    for (const Happening& what : mark.alternatives)
        all.push_back(tell(what, form));
    return listed(all, "or");
}

Sentence Words::range(const Shown& shown) const {
    if (shown.after && shown.until)
        return say_in("times", "{} to {}", base::clock_text(*shown.after), base::clock_text(*shown.until));
    if (shown.until) return say_in("a time", "before {}", base::clock_text(*shown.until));
    if (shown.after) return say_in("a time", "after {}", base::clock_text(*shown.after));
    return say("at an unknown time");
}

Sentence Words::by(const Shown& shown) const {
    if (shown.until) return on_clip(say_in("a time", "by {}", base::clock_text(*shown.until)), shown.clip);
    if (shown.after) return on_clip(say_in("a time", "after {}", base::clock_text(*shown.after)), shown.clip);
    return say("at an unknown time");
}

Sentence Words::between(const Shown& shown) const {
    if (!shown.after || !shown.until) return by(shown);
    return on_clip(
        say_in("times", "between {} and {}", base::clock_text(*shown.after), base::clock_text(*shown.until)),
        shown.clip);
}

Sentence Words::on_clip(const Sentence& time, ClipIndex clip) const {
    return evidence_.clips.size() > 1 ? say("{} ({})", time, this->clip(clip)) : time;
}

const std::string& Words::clip(ClipIndex clip) const {
    return evidence_.clips[static_cast<std::size_t>(clip.value)].name;
}

}  // namespace plumbmark::ruling
