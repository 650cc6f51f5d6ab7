#include "review/internal/frame_marks.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "review/capture_time.h"
#include "review/outlines.h"
#include "review/words.h"

namespace plumbmark::review {
namespace {

constexpr base::Duration kBefore{500'000'000}, kAfter{1'000'000'000};

std::optional<course::Part> part_of(const meet::Mark& mark) {
    const meet::Event& first = mark.alternatives.front();
    const bool same = std::all_of(mark.alternatives.begin(), mark.alternatives.end(),
                                  [&first](const meet::Event& event) { return event.part == first.part; });
    const bool has_part = first.kind == meet::EventKind::touch || first.kind == meet::EventKind::release ||
                          first.kind == meet::EventKind::cross;
    return same && has_part ? first.part : std::nullopt;
}

std::string words_of(const meet::Mark& mark, const course::CourseBook* book) {
    std::vector<std::string> events;
    for (const meet::Event& event : mark.alternatives)
        events.push_back(event_words(event, book));
    return base::listed(events, "or") + (mark.possible ? ", possible" : "");
}

std::string seconds(base::Duration d) {
    // Down to the millisecond, also below zero.
    const std::int64_t ms = d.ns / 1'000'000 - (d.ns % 1'000'000 < 0 ? 1 : 0);
    return fmt::format("{}{}.{:03}", ms < 0 ? "-" : "", std::abs(ms) / 1000, std::abs(ms) % 1000);
}

}  // namespace

FrameMarks::FrameMarks(const meet::State& state, meet::RunId run, meet::ClipId clip,
                       const course::CourseBook* book, std::shared_ptr<const media::FrameTable> table,
                       std::optional<report::RunClock> clock)
    : clip_(state.clips().at(clip)), table_(std::move(table)), clock_(clock) {
    for (const meet::Mark& mark : state.marks_of(run)) {
        for (const meet::Sighting& seen : mark.sightings) {
            if (seen.clip != clip) continue;
            Told told;
            if (seen.early) told.early = seen.early->number;
            if (seen.late) told.late = seen.late->number;
            told.part = part_of(mark);
            told.words = words_of(mark, book);
            // The spot lies in the picture of the first sighting's clip.
            if (&seen == &mark.sightings.front()) told.spot = mark.spot;
            add(std::move(told));
        }
    }
    for (const meet::ContactStatement& contact : state.contacts_of(run)) {
        if (contact.clip != clip) continue;
        Told told;
        told.early = told.late = contact.frame.number;
        told.part = contact.part;
        meet::Drawing named;
        named.key = contact.surface;
        const std::string surface =
            contact.surface.empty() ? "something undeclared" : drawing_name(named, book);
        told.words =
            fmt::format("{} {} {}", course::part_words(contact.part), contact.on ? "on" : "off", surface);
        told.contact = true;
        add(std::move(told));
    }
    std::stable_sort(told_.begin(), told_.end(),
                     [](const Told& a, const Told& b) { return a.from < b.from; });
}

std::int64_t FrameMarks::frame_near(std::int64_t frame, base::Duration away) const {
    const std::int64_t last = table_->size() - 1;
    const base::Time wanted = table_->time(std::clamp<std::int64_t>(frame, 0, last)) + away;
    return std::clamp<std::int64_t>(table_->frame_at(wanted), 0, last);
}

void FrameMarks::add(Told told) {
    if (table_->size() == 0) return;
    const std::int64_t first = told.early.value_or(0), last = told.late.value_or(table_->size() - 1);
    told.from = frame_near(first, -kBefore);
    told.to = frame_near(last, told.contact ? kBefore : kAfter);
    told_.push_back(std::move(told));
}

/// The range stands first: it is never cut short.
std::string FrameMarks::note(const Told& told, std::int64_t frame) const {
    if (told.contact) return fmt::format("f {}: {}", *told.late, told.words);
    const meet::Sighting seen{{},
                              told.early ? std::optional<meet::FrameRef>({*told.early, 0}) : std::nullopt,
                              told.late ? std::optional<meet::FrameRef>({*told.late, 0}) : std::nullopt};
    const char* state = "in between";
    if (told.early && frame <= *told.early) state = "not yet";
    if (told.late && frame >= *told.late) state = "it had";
    return fmt::format("{}, {}: {}", bracket_words(seen), state, told.words);
}

std::string FrameMarks::frame_line(std::int64_t frame, const std::string& ending) const {
    std::string line = fmt::format("{} · f {} of {} · {}", clip_.name, frame, table_->size(),
                                   base::clock_text(table_->time(frame)));
    if (clock_) {
        const base::Time taken = captured_at(clip_, *table_, frame);
        const base::Duration low{taken.ns + clock_->low.ns}, high{taken.ns + clock_->high.ns};
        line += fmt::format(" · run {} to {} s", seconds(low), seconds(high));
    }
    return ending.empty() ? line : line + " · " + ending;
}

report::PictureMarks FrameMarks::of(std::int64_t frame, const std::string& ending,
                                    std::vector<report::StillOutline> outlines) const {
    report::PictureMarks out;
    out.outlines = std::move(outlines);
    out.frame_line = frame_line(frame, ending);
    std::vector<const Told*> here;
    for (const Told& told : told_)
        if (told.from <= frame && frame <= told.to) here.push_back(&told);
    // Where there is not room for all, the nearest ones count.
    const auto away = [frame](const Told* told) {
        const std::int64_t first = told->early.value_or(frame), last = told->late.value_or(frame);
        return frame < first ? first - frame : std::max<std::int64_t>(0, frame - last);
    };
    const std::size_t most = report::PictureAnnotator::kMostNoteRows;
    const std::size_t shown = here.size() > most ? most - 1 : here.size();
    if (here.size() > most) {
        std::stable_sort(here.begin(), here.end(),
                         [&away](const Told* a, const Told* b) { return away(a) < away(b); });
        std::sort(here.begin(), here.begin() + static_cast<std::ptrdiff_t>(shown),
                  [](const Told* a, const Told* b) { return a->from < b->from; });
    }
    for (std::size_t i = 0; i < here.size(); ++i) {
        const Told& told = *here[i];
        out.notes.push_back({told.part, note(told, frame)});
        const bool begun = told.early ? frame >= *told.early : true;
        // A ring without its line would not say what it is.
        if (told.spot && begun && i < shown)
            out.spots.push_back({*told.spot, told.part, told.late && frame > *told.late});
    }
    return out;
}

std::size_t FrameMarks::most_notes(std::int64_t first, std::int64_t last) const {
    std::size_t most = 0;
    for (const Told& begins : told_) {
        // The count changes only where one begins.
        const std::int64_t at = std::max(first, begins.from);
        if (at > last) continue;
        most = std::max(
            most, static_cast<std::size_t>(std::count_if(told_.begin(), told_.end(), [at](const Told& told) {
                return told.from <= at && at <= told.to;
            })));
    }
    return most;
}

}  // namespace plumbmark::review
