#include "meet/internal/names.h"

namespace plumbmark::meet {
namespace {

std::string words(Kind kind) {
    switch (kind) {
        case Kind::book:
            return "book revision";
        case Kind::contact:
            return "contact statement";
        case Kind::watched:
            return "watched span";
        case Kind::floor_call:
            return "floor call";
        case Kind::key:
            return "signing key";
        case Kind::clock_time:
            return "clock time";
        default:
            return kind_word(kind);
    }
}

}  // namespace

std::string name_of(EntityKey key) {
    if (key.kind == Kind::meet_info) return "the meet";
    if (key.kind == Kind::rules) return "the rules of the meet";
    return words(key.kind) + " " + std::to_string(key.id);
}

}  // namespace plumbmark::meet
