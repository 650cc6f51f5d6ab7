#include "meet/personal.h"

#include <utility>

namespace plumbmark::meet {
namespace {

template <class Text>
using Members = std::vector<std::pair<Text*, const char*>>;

template <class Text, class Thing>
Members<Text> members_of(Thing& entity) {
    using Found = Members<Text>;
    if (auto* athlete = std::get_if<Athlete>(&entity))
        return Found{{&athlete->name, "name"},
                     {&athlete->club, "club"},
                     {&athlete->born, "year of birth"},
                     {&athlete->category, "category"}};
    if (auto* book = std::get_if<BookRevision>(&entity))
        return Found{{&book->file_name, "course book's file name"}, {&book->path, "course book's path"}};
    if (auto* clip = std::get_if<Clip>(&entity))
        return Found{{&clip->name, "clip's name"},
                     {&clip->relative_path, "clip's path"},
                     {&clip->last_known_path, "clip's path"}};
    if (auto* run = std::get_if<Run>(&entity))
        return Found{{&run->label, "run's label"}, {&run->question, "question"}};
    if (auto* mark = std::get_if<Mark>(&entity)) return Found{{&mark->note, "note on a mark"}};
    if (auto* call = std::get_if<FloorCall>(&entity)) return Found{{&call->judge, "judge of a call"}};
    if (auto* entry = std::get_if<Entry>(&entity)) return Found{{&entry->reason, "reason of an entry"}};
    if (auto* time = std::get_if<ClockTime>(&entity)) return Found{{&time->judge, "judge of a time"}};
    if (auto* appeal = std::get_if<Appeal>(&entity))
        return Found{{&appeal->point, "point of an appeal"},
                     {&appeal->lodged_by, "name at an appeal"},
                     {&appeal->reason, "reason of an appeal"}};
    if (auto* decision = std::get_if<Decision>(&entity)) {
        Found found{{&decision->reason, "reason of a decision"}};
        for (auto& signature : decision->signatures)
            found.emplace_back(&signature.name, "signature");
        return found;
    }
    if (auto* key = std::get_if<SigningKey>(&entity)) return Found{{&key->holder, "holder of a key"}};
    if (auto* cover = std::get_if<Cover>(&entity)) return Found{{&cover->shows, "word on a cover"}};
    if (auto* publication = std::get_if<Publication>(&entity))
        return Found{{&publication->note, "note on results"}};
    return {};
}

template <class Text>
std::vector<Text*> values(const Members<Text>& members) {
    std::vector<Text*> result;
    for (const auto& [value, words] : members)
        result.push_back(value);
    return result;
}

}  // namespace

std::vector<std::string*> personal_members(Entity& entity) {
    return values(members_of<std::string>(entity));
}

std::vector<const std::string*> personal_members(const Entity& entity) {
    return values(members_of<const std::string>(entity));
}

std::vector<const char*> personal_words(const Entity& entity) {
    std::vector<const char*> result;
    for (const auto& [value, words] : members_of<const std::string>(entity))
        result.push_back(words);
    return result;
}

}  // namespace plumbmark::meet
