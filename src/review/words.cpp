#include "review/words.h"

#include "base/worded.h"
#include "course/parts.h"

namespace plumbmark::review {
namespace {

using base::Sentence;
using base::worded;

Sentence surface_words(const std::string& key, const course::CourseBook* book) {
    if (key.empty()) return worded("something undeclared");
    const course::SurfaceId id = book ? book->find_surface(key) : course::SurfaceId{};
    return id.valid() ? book->surface_name(id) : key;
}

Sentence plane_words(const std::string& key, const course::CourseBook* book) {
    const course::PlaneId id = book ? book->find_plane(key) : course::PlaneId{};
    return id.valid() ? book->plane(id).name : key;
}

Sentence who(const meet::Event& event) {
    return event.part ? base::looked_up_word(std::string(course::part_words(*event.part)).c_str())
                      : worded("whole athlete");
}

Sentence signal_words(ruling::SignalKind kind, const course::CourseBook* book) {
    switch (kind) {
        case ruling::SignalKind::start_given:
            return worded("start signal");
        case ruling::SignalKind::finish_registers:
            return worded("{} registers", book && !book->finish.name.empty() ? Sentence(book->finish.name)
                                                                             : worded("finish signal"));
        case ruling::SignalKind::run_over:
            return worded("run over");
    }
    return {};
}

Sentence infraction_words(ruling::InfractionKind kind) {
    switch (kind) {
        case ruling::InfractionKind::assistance:
            return worded("assistance");
        case ruling::InfractionKind::false_start:
            return worded("false start");
        case ruling::InfractionKind::lack_of_control:
            return worded("lack of control");
    }
    return {};
}

Sentence with_grade(Sentence words, ruling::Grade grade) {
    switch (grade) {
        case ruling::Grade::ungraded:
            return words;
        case ruling::Grade::brush:
            return worded("{} (brush)", words);
        case ruling::Grade::weight:
            return worded("{} (weight)", words);
    }
    return words;
}

Sentence end_words(const std::optional<meet::FrameRef>& frame, Sentence outside) {
    return frame ? worded("f {}", frame->number) : std::move(outside);
}

Sentence event_sentence(const meet::Event& event, const course::CourseBook* book) {
    switch (event.kind) {
        case meet::EventKind::touch:
            return with_grade(worded("{} touches {}", who(event), surface_words(event.surface, book)),
                              event.grade);
        case meet::EventKind::release:
            return worded("{} leaves {}", who(event), surface_words(event.surface, book));
        case meet::EventKind::cross:
            return event.direction == ruling::Direction::forward
                       ? worded("{} past {}", who(event), plane_words(event.plane, book))
                       : worded("{} back over {}", who(event), plane_words(event.plane, book));
        case meet::EventKind::signal:
            return signal_words(event.signal, book);
        case meet::EventKind::infraction:
            return infraction_words(event.infraction);
        case meet::EventKind::control:
            return worded("in control on the landing");
        case meet::EventKind::moment:
            return worded("moment that clips share");
    }
    return {};
}

Sentence bracket_sentence(const meet::Sighting& sighting) {
    if (sighting.early && sighting.late)
        return worded("f {} to {}", sighting.early->number, sighting.late->number);
    return worded("{} to {}", end_words(sighting.early, worded("before the clip")),
                  end_words(sighting.late, worded("after the clip")));
}

/// For whoever reads one language alone.
std::string of_thread(const Sentence& sentence) {
    return base::is_speaking() ? sentence.spoken() : sentence.english();
}

}  // namespace

std::string event_words(const meet::Event& event, const course::CourseBook* book) {
    return of_thread(event_sentence(event, book));
}

std::string bracket_words(const meet::Sighting& sighting) {
    return of_thread(bracket_sentence(sighting));
}

std::string mark_words(const meet::Mark& mark, const course::CourseBook* book) {
    return of_thread(mark_sentence(mark, book));
}

Sentence mark_sentence(const meet::Mark& mark, const course::CourseBook* book) {
    std::vector<Sentence> events;
    for (const meet::Event& event : mark.alternatives)
        events.push_back(event_sentence(event, book));
    Sentence text = base::listed_words(events, "or");
    for (const meet::Sighting& sighting : mark.sightings) {
        const Sentence bracket = bracket_sentence(sighting);
        text = {text.english() + ", " + bracket.english(), text.spoken() + ", " + bracket.spoken()};
    }
    return mark.possible ? worded("{}, possible", text) : text;
}

}  // namespace plumbmark::review
