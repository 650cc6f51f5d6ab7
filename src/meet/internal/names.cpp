#include "meet/internal/names.h"

#include "base/worded.h"

namespace plumbmark::meet {

using base::worded;

// A whole pattern for each: other languages decline what stands before a number.
base::Sentence name_of(EntityKey key) {
    switch (key.kind) {
        case Kind::meet_info:
            return worded("the meet");
        case Kind::rules:
            return worded("the rules of the meet");
        case Kind::athlete:
            return worded("athlete {}", key.id);
        case Kind::book:
            return worded("book revision {}", key.id);
        case Kind::clip:
            return worded("clip {}", key.id);
        case Kind::run:
            return worded("run {}", key.id);
        case Kind::mark:
            return worded("mark {}", key.id);
        case Kind::contact:
            return worded("contact statement {}", key.id);
        case Kind::watched:
            return worded("watched span {}", key.id);
        case Kind::drawing:
            return base::worded_in("a stored thing", "drawing {}", key.id);
        case Kind::floor_call:
            return worded("floor call {}", key.id);
        case Kind::division:
            return worded("division {}", key.id);
        case Kind::round:
            return worded("round {}", key.id);
        case Kind::entry:
            return worded("entry {}", key.id);
        case Kind::clock_time:
            return worded("clock time {}", key.id);
        case Kind::appeal:
            return worded("appeal {}", key.id);
        case Kind::decision:
            return worded("decision {}", key.id);
        case Kind::publication:
            return worded("publication {}", key.id);
        case Kind::key:
            return worded("signing key {}", key.id);
        case Kind::seal:
            return worded("seal {}", key.id);
        case Kind::cover:
            return worded("cover {}", key.id);
        case Kind::lens:
            return worded("lens {}", key.id);
        case Kind::stand:
            return worded("camera stand {}", key.id);
        case Kind::tester:
            return worded("tester {}", key.id);
        case Kind::rig:
            return worded("rig {}", key.id);
        case Kind::trial:
            return worded("trial {}", key.id);
        case Kind::closing:
            return worded("closing {}", key.id);
        case Kind::release:
            return worded("release {}", key.id);
        case Kind::coach_note:
            return worded("coach's note {}", key.id);
    }
    return {};
}

}  // namespace plumbmark::meet
