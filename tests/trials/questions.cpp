// What is asked of a set-up: contacts, parts in the air, points seen by two cameras, crossings.
#include <algorithm>
#include <cmath>

#include "trials/world.h"

namespace plumbmark::trials {

using namespace sight;

namespace {

/// Near the plane, half of them so near that it matters; on the deck.
Vec3 place_on_deck(const Setup& setup, Dice& dice) {
    const Vec3 one = setup.places[0], other = setup.places[2];
    for (int i = 0; i < 1000; ++i) {
        const double distance = dice.normal(dice.chance(0.5) ? 0.03 : 0.2);
        const double along = dice.even(0.05, 0.95) * (other.y - one.y) + (one.y - setup.plane.start.y);
        const Vec3 at = setup.plane.start + along * setup.plane.ahead + distance * setup.plane.past;
        const bool on = at.x > one.x && at.x < other.x && at.y > one.y && at.y < other.y;
        if (on) return {at.x, at.y, deck_height(setup, at.x, at.y)};
    }
    return {};  // the plane crosses the deck or is its edge, so this is not reached
}

Vec3 place_in_air(const Setup& setup, Dice& dice) {
    const double width = setup.places[2].y - setup.places[1].y;
    const double distance = dice.normal(dice.chance(0.5) ? 0.05 : 0.3);
    const double along = dice.even(0, 1) * width + (setup.places[1].y - setup.plane.start.y);
    Vec3 at = setup.plane.start + along * setup.plane.ahead + distance * setup.plane.past;
    at.z = setup.places[0].z + dice.even(0.1, 1.5);
    return at;
}

/// Bounds that surely hold these, by what an official sees: how high it is at most and at least, and between
/// which ends of the plane.
Space space_about(const Setup& setup, const std::vector<Vec3>& held, Dice& dice) {
    Space space{1e9, -1e9, 1e9, -1e9};
    for (const Vec3& at : held) {
        space.lowest = std::min(space.lowest, at.z);
        space.highest = std::max(space.highest, at.z);
        const double along = setup.plane.along(at);
        space.along_from = std::min(space.along_from, along);
        space.along_to = std::max(space.along_to, along);
    }
    space.lowest -= dice.even(0.05, 0.4);
    space.highest += dice.even(0.05, 0.4);
    space.along_from -= dice.even(0.1, 0.8);
    space.along_to += dice.even(0.1, 0.8);
    return space;
}

Pixel scaled(double by, Pixel speed) {
    return {by * speed.x, by * speed.y};
}

/// Pixels a second at which a moving thing goes through a picture.
std::optional<Pixel> speed_of(const View& view, const Movement& movement, double t) {
    constexpr double kStep = 1e-4;
    const auto before = project(view.truth, movement.place(t - kStep)),
               after = project(view.truth, movement.place(t + kStep));
    if (!before || !after) return std::nullopt;
    return Pixel{(after->x - before->x) / (2 * kStep), (after->y - before->y) / (2 * kStep)};
}

double any_exposure(Dice& dice) {
    return dice.any_size(1.0 / 2000, 1.0 / 120);
}

void ask_contact(Setup& setup, Dice& dice) {
    const Vec3 at = place_on_deck(setup, dice);
    if (const auto seen = in_picture(setup.views[0].truth, at))
        setup.contact = Asked{at, pointed(setup, setup.views[0], *seen, {0, 0}, dice), {}, {}};
}

void ask_in_air(Setup& setup, Dice& dice) {
    const Vec3 at = place_in_air(setup, dice);
    if (const auto seen = in_picture(setup.views[0].truth, at))
        setup.in_air = Asked{
            at, pointed(setup, setup.views[0], *seen, {0, 0}, dice), {}, space_about(setup, {at}, dice)};
}

Movement draw_movement(const Setup& setup, Vec3 at, bool on_deck, Dice& dice) {
    Movement out;
    out.at = at - setup.plane.distance(at) * setup.plane.past;
    const double speed = dice.even(1, 6), aslant = dice.even(-1, 1);
    const double way = dice.chance(0.5) ? 1 : -1;
    out.speed =
        (way * speed * std::cos(aslant)) * setup.plane.past + (speed * std::sin(aslant)) * setup.plane.ahead;
    do
        out.pull = {dice.normal(20), dice.normal(20), on_deck ? 0 : dice.normal(20)};
    while (length(out.pull) > 50);
    if (setup.part == Part::changing_pull)
        out.change = {dice.normal(400), dice.normal(400), on_deck ? 0 : dice.normal(400)};
    if (!on_deck) {
        out.speed.z = dice.normal(1);
    } else {
        out.at.z = deck_height(setup, out.at.x, out.at.y);
        // Along the surface.
        out.speed.z = setup.tilt.x * out.speed.x + setup.tilt.y * out.speed.y;
        out.pull.z = setup.tilt.x * out.pull.x + setup.tilt.y * out.pull.y;
        out.change.z = setup.tilt.x * out.change.x + setup.tilt.y * out.change.y;
    }
    return out;
}

/// The frames on which it is pointed at, as times at which their first rows are taken: those around the
/// instant at which it crosses, over which it goes one way and not too slowly.
std::vector<double> frame_times(const Setup& setup, const Movement& movement, double interval, Dice& dice) {
    std::size_t count = 2 + dice.pick(8);
    const double phase = dice.even(0, interval);
    std::size_t before = 1 + dice.pick(count - 1);
    const auto time = [&](std::size_t i) {
        return (static_cast<double>(i) - static_cast<double>(before)) * interval + phase;
    };
    const auto goes_on = [&](double from, double to) {
        const double way = dot(movement.speed, setup.plane.past) > 0 ? 1 : -1;
        for (double t = from; t <= to; t += interval / 4)
            if (!(way * dot(movement.speed + t * movement.pull + (t * t / 2) * movement.change,
                            setup.plane.past) >
                  0.3))
                return false;
        return true;
    };
    std::vector<double> out;
    for (std::size_t i = 0; i < count; ++i) {
        const double t = time(i);
        // Rows are taken up to one interval later.
        const bool fits = t < 0 ? goes_on(t, 0) : goes_on(0, t + interval);
        if (fits) out.push_back(t);
    }
    return out;
}

struct Rows {
    double truth = 0;
    RowDelay told;
};

Rows draw_rows(double interval, int height, Dice& dice) {
    const double most = interval / height;
    Rows rows;
    const double kind = dice.even(0, 1);
    if (kind < 0.2) return rows;  // all at once, and known to be so
    rows.truth = dice.even(0.2, 0.95) * most;
    if (kind < 0.7) {
        rows.told = {0, most};  // nobody knows
    } else {
        const double off = 0.05 * most;  // measured by flashes
        const double said = rows.truth + dice.even(-off, off);
        rows.told = {said - off, said + off};
    }
    return rows;
}

/// When the row is taken in which it is seen then.
std::optional<double> row_time(const Camera& camera, const Movement& movement, double frame, double delay) {
    double t = frame;
    for (int i = 0; i < 20; ++i) {
        const auto seen = project(camera, movement.place(t));
        if (!seen) return std::nullopt;
        t = frame + delay * seen->y;
    }
    return t;
}

/// A tie of two cameras: how far it is off in truth, and by how much at most as it is told. The same on all
/// frames of a clip.
struct Tie {
    double off = 0, most = 0;
};

Tie draw_tie(Dice& dice) {
    const double most = dice.any_size(0.0002, 0.004);
    return {dice.even(-most, most), most};
}

std::optional<Pointing> pointed_moving(const Setup& setup, const View& view, const Movement& movement,
                                       double t, double exposure, double tied_within, Dice& dice) {
    const auto seen = in_picture(view.truth, movement.place(t));
    const auto speed = speed_of(view, movement, t);
    if (!seen || !speed) return std::nullopt;
    Pointing out = pointed(setup, view, *seen, scaled(exposure, *speed), dice);
    out.along = scaled(tied_within, *speed);
    return out;
}

/// How the point of each frame comes about.
enum class By { hand, following };

/// The point is placed on one frame and followed to few others: of the frames around the crossing are left
/// those that review::frames_to_follow takes, and each is as far off as the first besides its own way.
void follow(CrossingQuestion& question, std::vector<Vec3>& held, std::vector<Pixel>& seen, double interval,
            Dice& dice) {
    constexpr double kMoved = 0.2;  // pixels
    for (std::size_t i = question.frames.size(); i-- > 0;) {
        if (std::abs(question.frames[i].time) < 2.5 * interval) continue;
        const auto at = static_cast<std::ptrdiff_t>(i);
        question.frames.erase(question.frames.begin() + at);
        held.erase(held.begin() + at);
        seen.erase(seen.begin() + at);
    }
    for (std::size_t i = 0; i < question.frames.size(); ++i) {
        CrossingFrame& frame = question.frames[i];
        frame.placing = {0, i == 0 ? 0 : kMoved};
        if (i == 0) continue;
        const Pixel off{question.frames[0].at.at.x - seen[0].x, question.frames[0].at.at.y - seen[0].y};
        frame.at.at = {seen[i].x + off.x + dice.normal(kMoved), seen[i].y + off.y + dice.normal(kMoved)};
        frame.at.standard = question.frames[0].at.standard;
    }
}

std::optional<AskedCrossing> crossing_of(const Setup& setup, Vec3 about, bool on_deck, bool two, By by,
                                         Dice& dice) {
    AskedCrossing asked;
    asked.two = two;
    asked.movement = draw_movement(setup, about, on_deck, dice);
    asked.frame_interval = std::array{1.0 / 30, 1.0 / 60, 1.0 / 120}[dice.pick(3)];
    const View& view = setup.views[0];
    const Rows rows = draw_rows(asked.frame_interval, view.truth.lens.height, dice);
    const double exposure = std::min(any_exposure(dice), asked.frame_interval / 2);
    const Tie tie = draw_tie(dice);
    CrossingQuestion& question = asked.question;
    std::vector<Vec3> held;
    std::vector<Pixel> seen;
    for (const double time : frame_times(setup, asked.movement, asked.frame_interval, dice)) {
        const auto t = row_time(view.truth, asked.movement, time, rows.truth);
        const auto first =
            t ? pointed_moving(setup, view, asked.movement, *t, exposure, 0, dice) : std::nullopt;
        if (!first) continue;
        CrossingFrame frame{time, *first, {}};
        if (two) {
            frame.in_second =
                pointed_moving(setup, setup.views[1], asked.movement, *t + tie.off, exposure, tie.most, dice);
            if (!frame.in_second) continue;
        }
        held.push_back(asked.movement.place(*t));
        question.frames.push_back(frame);
        seen.push_back(*in_picture(view.truth, held.back()));
    }
    if (by == By::following) follow(question, held, seen, asked.frame_interval, dice);
    if (held.size() < 2 || !(setup.plane.distance(held.front()) * setup.plane.distance(held.back()) < 0))
        return std::nullopt;
    question.plane = setup.told_plane;
    question.row_delay = rows.told;
    question.space = space_about(setup, held, dice);
    return asked;
}

void ask_by_two(Setup& setup, Dice& dice) {
    const Vec3 at = place_in_air(setup, dice);
    Movement movement = draw_movement(setup, at, false, dice);
    movement.at = at;  // wherever it is at the instant that is asked about
    const Tie tie = draw_tie(dice);
    const double exposure = any_exposure(dice);
    const auto first = pointed_moving(setup, setup.views[0], movement, 0, exposure, 0, dice),
               second = pointed_moving(setup, setup.views[1], movement, tie.off, exposure, tie.most, dice);
    if (first && second) setup.by_two = Asked{at, *first, *second, {}};
}

/// Of a foot on the deck the space is a height, which is told as the tape has it.
std::optional<AskedCrossing> on_deck(const Setup& setup, By by, Dice& dice) {
    const Vec3 about = place_on_deck(setup, dice);
    auto asked = crossing_of(setup, about, true, false, by, dice);
    if (!asked) return std::nullopt;
    double height = 0;
    for (std::size_t i = 0; i < 4; ++i)
        height += setup.views[0].told.places[i].at.z / 4;
    if (setup.told_level.places.empty()) height = setup.told_level.height;
    asked->question.space.lowest = asked->question.space.highest = height;
    asked->question.space.along_from = -1000;
    asked->question.space.along_to = 1000;
    return asked;
}

}  // namespace

void draw_questions(Setup& setup, Dice& dice) {
    ask_contact(setup, dice);
    ask_in_air(setup, dice);
    ask_by_two(setup, dice);
    setup.air_crossing = crossing_of(setup, place_in_air(setup, dice), false, false, By::hand, dice);
    setup.deck_crossing = on_deck(setup, By::hand, dice);
    setup.two_crossing = crossing_of(setup, place_in_air(setup, dice), false, true, By::hand, dice);
    setup.followed_crossing = on_deck(setup, By::following, dice);
}

}  // namespace plumbmark::trials
