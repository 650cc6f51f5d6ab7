#include "meet/personal.h"

namespace plumbmark::meet {
namespace {

template <class Thing, class Each>
void visit_testing(Thing& entity, const Each& each) {
    if (auto* tester = std::get_if<Tester>(&entity)) {
        each(tester->name, "name of a tester");
        each(tester->level, "level of a tester");
    } else if (auto* rig = std::get_if<RigState>(&entity)) {
        each(rig->note, "note on a rig");
        for (auto& item : rig->items) {
            each(item.what, "thing in a rig");
            each(item.where, "place in a rig");
        }
        for (auto& photo : rig->photos)
            each(photo.path, "photo's path");
    } else if (auto* trial = std::get_if<Trial>(&entity)) {
        each(trial->how, "word on a trial");
    } else if (auto* closing = std::get_if<Closing>(&entity)) {
        each(closing->reason, "reason of a closing");
    } else if (auto* release = std::get_if<Release>(&entity)) {
        each(release->tester, "name at a release");
        each(release->note, "note on a release");
    } else if (auto* note = std::get_if<CoachNote>(&entity)) {
        each(note->text, "coach's note");
    }
}

// Calls each(member, words) for an Entity or a const Entity: a mark has one of them and a file may have
// hundreds of thousands of marks, so nothing is gathered on the way.
template <class Thing, class Each>
void visit(Thing& entity, const Each& each) {
    if (auto* athlete = std::get_if<Athlete>(&entity)) {
        each(athlete->name, "name");
        each(athlete->club, "club");
        each(athlete->born, "year of birth");
        each(athlete->category, "category");
    } else if (auto* book = std::get_if<BookRevision>(&entity)) {
        each(book->file_name, "course book's file name");
        each(book->path, "course book's path");
    } else if (auto* clip = std::get_if<Clip>(&entity)) {
        each(clip->name, "clip's name");
        each(clip->relative_path, "clip's path");
        each(clip->last_known_path, "clip's path");
    } else if (auto* run = std::get_if<Run>(&entity)) {
        each(run->label, "run's label");
        each(run->question, "question");
    } else if (auto* mark = std::get_if<Mark>(&entity)) {
        each(mark->note, "note on a mark");
    } else if (auto* call = std::get_if<FloorCall>(&entity)) {
        each(call->judge, "judge of a call");
    } else if (auto* entry = std::get_if<Entry>(&entity)) {
        each(entry->reason, "reason of an entry");
    } else if (auto* time = std::get_if<ClockTime>(&entity)) {
        each(time->judge, "judge of a time");
    } else if (auto* appeal = std::get_if<Appeal>(&entity)) {
        each(appeal->point, "point of an appeal");
        each(appeal->lodged_by, "name at an appeal");
        each(appeal->reason, "reason of an appeal");
    } else if (auto* decision = std::get_if<Decision>(&entity)) {
        each(decision->reason, "reason of a decision");
        for (auto& signature : decision->signatures)
            each(signature.name, "signature");
    } else if (auto* key = std::get_if<SigningKey>(&entity)) {
        each(key->holder, "holder of a key");
    } else if (auto* cover = std::get_if<Cover>(&entity)) {
        each(cover->shows, "word on a cover");
    } else if (auto* lens = std::get_if<CameraLens>(&entity)) {
        each(lens->camera, "name of a camera");
        each(lens->source, "source of a lens");
    } else if (auto* publication = std::get_if<Publication>(&entity)) {
        each(publication->note, "note on results");
    } else {
        visit_testing(entity, each);
    }
}

}  // namespace

void for_each_personal(Entity& entity, const std::function<void(std::string&)>& each) {
    visit(entity, [&](std::string& member, const char*) { each(member); });
}

std::vector<std::string*> personal_members(Entity& entity) {
    std::vector<std::string*> result;
    visit(entity, [&](std::string& member, const char*) { result.push_back(&member); });
    return result;
}

std::vector<const std::string*> personal_members(const Entity& entity) {
    std::vector<const std::string*> result;
    visit(entity, [&](const std::string& member, const char*) { result.push_back(&member); });
    return result;
}

std::vector<const char*> personal_words(const Entity& entity) {
    std::vector<const char*> result;
    visit(entity, [&](const std::string&, const char* words) { result.push_back(words); });
    return result;
}

}  // namespace plumbmark::meet
