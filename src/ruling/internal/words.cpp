#include "ruling/internal/words.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "course/words.h"

namespace plumbmark::ruling {
namespace {

using Forms = std::array<const char*, 3>;  // present, past, gerund

}  // namespace

std::optional<Shown> shown_of(const Mark& mark) {
    if (mark.sightings.empty()) return std::nullopt;
    const Sighting& seen = mark.sightings.front();
    return Shown{seen.clip, seen.after, seen.until};
}

std::string Words::surface(course::SurfaceId surface) const {
    return surface.valid() ? course::with_article(book_.surface_name(surface)) : "something undeclared";
}

std::string Words::surfaces(const std::vector<course::SurfaceId>& surfaces,
                            std::string_view conjunction) const {
    std::vector<std::string> names;
    for (const course::SurfaceId id : surfaces)
        names.push_back(surface(id));
    return base::listed(names, conjunction);
}

std::string Words::plane(course::PlaneId plane) const {
    return course::with_article(book_.plane(plane).name);
}

std::string Words::finish() const {
    return book_.finish.name.empty() ? "the finish signal" : course::with_article(book_.finish.name);
}

std::string Words::part(course::Part part) const {
    return course::part_with_article(part);
}

std::string Words::parts(course::PartSet parts) const {
    return course::parts_listed(parts);
}

std::string Words::tell(const Happening& what, int form) const {
    const auto verb = [form](const Forms& forms) {
        return std::string(forms[static_cast<std::size_t>(form)]);
    };
    if (const auto* touch = std::get_if<Touch>(&what)) {
        const Forms brush{" brushes ", " brushed ", " brushing "};
        const Forms plain{" touches ", " touched ", " touching "};
        return course::part_with_article(touch->part) + verb(touch->grade == Grade::brush ? brush : plain) +
               surface(touch->surface);
    }
    if (const auto* release = std::get_if<Release>(&what))
        return course::part_with_article(release->part) + verb({" leaves ", " left ", " leaving "}) +
               surface(release->surface);
    if (const auto* cross = std::get_if<Cross>(&what)) {
        const bool forward = cross->direction == Direction::forward;
        return (cross->part ? course::part_with_article(*cross->part) : "the whole athlete") +
               (forward ? verb({" passes ", " passed ", " passing "})
                        : verb({" comes back through ", " came back through ", " coming back through "})) +
               plane(cross->plane);
    }
    if (const auto* signal = std::get_if<Signal>(&what)) {
        switch (signal->kind) {
            case SignalKind::start_given:
                return "the start signal" + verb({" is given", " was given", " being given"});
            case SignalKind::finish_registers:
                return finish() + verb({" registers", " registered", " registering"});
            case SignalKind::run_over:
                return "the run" + verb({" is over", " was over", " being over"});
        }
    }
    if (const auto* infraction = std::get_if<Infraction>(&what)) {
        static constexpr std::array<const char*, 3> kNames{"assistance", "a false start", "lack of control"};
        return "the judge" + verb({" names ", " named ", " naming "}) +
               kNames[static_cast<std::size_t>(infraction->kind)];
    }
    if (std::holds_alternative<SharedMoment>(what))
        return "the moment that clips share" + verb({" is", " was", " being"});
    return "the athlete" + verb({" stands in control", " stood in control", " standing in control"});
}

std::string Words::happens(const Happening& what) const {
    return tell(what, 0);
}
std::string Words::happened(const Happening& what) const {
    return tell(what, 1);
}
std::string Words::happening(const Happening& what) const {
    return tell(what, 2);
}

std::string Words::all_of(const Mark& mark) const {
    std::vector<std::string> ways;
    for (const Happening& what : mark.alternatives)
        ways.push_back(happens(what));
    return (mark.possible ? "possibly " : "") + base::listed(ways, "or");
}

std::string Words::range(const Shown& shown) const {
    if (shown.after && shown.until)
        return base::clock_text(*shown.after) + " to " + base::clock_text(*shown.until);
    if (shown.until) return "before " + base::clock_text(*shown.until);
    if (shown.after) return "after " + base::clock_text(*shown.after);
    return "at an unknown time";
}

std::string Words::by(const Shown& shown) const {
    if (shown.until) return "by " + base::clock_text(*shown.until) + on_clip(shown.clip);
    if (shown.after) return "after " + base::clock_text(*shown.after) + on_clip(shown.clip);
    return "at an unknown time";
}

std::string Words::between(const Shown& shown) const {
    if (!shown.after || !shown.until) return by(shown);
    return "between " + base::clock_text(*shown.after) + " and " + base::clock_text(*shown.until) +
           on_clip(shown.clip);
}

std::string Words::on_clip(ClipIndex clip) const {
    return evidence_.clips.size() > 1 ? " (" + this->clip(clip) + ")" : "";
}

const std::string& Words::clip(ClipIndex clip) const {
    return evidence_.clips[static_cast<std::size_t>(clip.value)].name;
}

}  // namespace plumbmark::ruling
