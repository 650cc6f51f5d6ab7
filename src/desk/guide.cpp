#include "desk/internal/guide.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "desk/internal/reading.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

enum Step { choose_the_run, go_there, look, take_it_away, take_in_hand, mark_it, read_why };

/// A touch that is one event, surely happened, and is of something out of play.
bool ends_a_run(const meet::Mark& mark, const course::CourseBook& book) {
    if (mark.possible || mark.alternatives.size() != 1 || mark.sightings.size() != 1) return false;
    const meet::Event& event = mark.alternatives.front();
    const meet::Sighting& seen = mark.sightings.front();
    if (event.kind != meet::EventKind::touch || !event.part || !seen.early || !seen.late) return false;
    const auto surface = book.find_surface(event.surface);
    return surface.valid() && book.surface(surface).out_of_play;
}

/// "f 219", the first frame at which it is so.
std::string first_frame_words(const meet::Sighting& seen) {
    return seen.late ? tr("f {}", seen.late->number) : tr("the clip's end");
}

}  // namespace

bool Guide::begin(review::Session& session) {
    stop();
    const course::CourseBook* book = session.book();
    if (!book || session.read_only()) return false;
    for (const auto& [id, mark] : session.state().marks()) {
        if (!ends_a_run(mark, *book)) continue;
        const meet::Sighting& seen = mark.sightings.front();
        about_ = About{
            id, mark.run, seen.clip, mark.alternatives.front(), seen.early->number, seen.late->number, {}};
        break;
    }
    if (!about_) return false;
    for (const auto& [id, mark] : session.state().marks())
        about_->there.insert(id);
    step_ = choose_the_run;
    const course::Part other =
        about_->event.part == course::Part::left_hand ? course::Part::right_hand : course::Part::left_hand;
    session.set_hand({other, "", ""});
    return true;
}

const meet::Mark* Guide::made(const review::Session& session) const {
    for (const auto& [id, mark] : session.state().marks()) {
        if (about_->there.contains(id)) continue;
        const bool same = mark.run == about_->run && mark.alternatives.size() == 1 &&
                          mark.alternatives.front().kind == meet::EventKind::touch &&
                          mark.alternatives.front().part == about_->event.part &&
                          mark.alternatives.front().surface == about_->event.surface;
        if (same) return &mark;
    }
    return nullptr;
}

bool Guide::at_its_frames(const meet::Mark& mark) const {
    constexpr std::int64_t near = 2;  // frames: two people do not see the first touch in the same one
    return std::any_of(mark.sightings.begin(), mark.sightings.end(), [&](const meet::Sighting& seen) {
        return seen.clip == about_->clip && seen.late && std::abs(seen.late->number - about_->late) <= near;
    });
}

bool Guide::done(const review::Session& session, const Views& views) {
    const bool there = session.run() == about_->run && session.clip() == about_->clip;
    const std::int64_t frame = session.frame();
    switch (step_) {
        case choose_the_run:
            return session.run() == about_->run;
        case go_there:
            return there && (frame == about_->early || frame == about_->late);
        case look:
            // Seen is what was on the screen as itself.
            if (there && session.picture().exact) {
                saw_early_ = saw_early_ || frame == about_->early;
                saw_late_ = saw_late_ || frame == about_->late;
            }
            return saw_early_ && saw_late_;
        case take_it_away:
            return !session.state().marks().contains(about_->mark);
        case take_in_hand:
            return session.hand().part == about_->event.part &&
                   session.hand().surface == about_->event.surface;
        case mark_it: {
            const meet::Mark* mark = made(session);
            return mark && at_its_frames(*mark);
        }
        default:
            return views.sheet.rests_on != rested_;
    }
}

bool Guide::update(const review::Session& session, const Views& views) {
    while (about_ && done(session, views)) {
        ++step_;
        saw_early_ = saw_late_ = false;
        rested_ = views.sheet.rests_on;
        if (step_ < kSteps) continue;
        stop();
        return true;
    }
    return false;
}

std::string Guide::words(const review::Session& session) const {
    if (!about_) return "";
    const std::string part = part_name(about_->event.part),
                      surface = surface_name(session, about_->event.surface);
    switch (step_) {
        case choose_the_run:
            return tr("One run is judged at a time. Choose {}.", run_words(session, about_->run));
        case go_there:
            return tr(
                "The sheet at the right holds the ruling, station by station, each with its reason. Go to "
                "the frames that decide the station with the accent.");
        case look:
            return tr(
                "Step back and on again. At one frame the {} is not on the {} yet, at the next it is: these "
                "two frames are the mark's bracket.",
                part, surface);
        case take_it_away:
            return tr(
                "The ruling rests on this mark. Take it away, and read on the sheet what it rests on then. "
                "Undo would bring it back.");
        case take_in_hand:
            return tr(
                "Now mark it yourself. First what the keys are to mean: the {}, and the {} from the list of "
                "surfaces. Both stay chosen.",
                part, surface);
        case mark_it: {
            const meet::Mark* mark = made(session);
            if (mark)
                return tr(
                    "Your mark is at {}. The {} comes onto the {} elsewhere: undo, look once more, and mark "
                    "the first frame at which it is there.",
                    first_frame_words(mark->sightings.front()), part, surface);
            return tr("Stand at the first frame at which the {} is on the {}, and mark the touch.", part,
                      surface);
        }
        case read_why:
            return tr(
                "The sheet rules again, with your mark. Go through the marks that the ruling rests on: yours "
                "is one of them.");
        default:
            return "";
    }
}

std::vector<Action> Guide::keys() const {
    static const Action limbs[] = {Action::left_hand,  Action::right_hand, Action::left_foot,
                                   Action::right_foot, Action::other_part, Action::loose_part};
    switch (about_ ? step_ : kSteps) {
        case choose_the_run:
            return {Action::choose_run};
        case go_there:
            return {Action::deciding_frames};
        case look:
            return {Action::step_back, Action::step_on};
        case take_it_away:
            return {Action::remove};
        case take_in_hand:
            return {limbs[static_cast<int>(*about_->event.part)], Action::surface_list};
        case mark_it:
            return {Action::step_back, Action::step_on, Action::touch, Action::undo};
        case read_why:
            return {Action::rests_on};
        default:
            return {};
    }
}

}  // namespace plumbmark::desk
