#include "review/compare_runs.h"

#include <algorithm>
#include <charconv>
#include <utility>

#include "base/worded.h"
#include "review/documents.h"
#include "study/same_contacts.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::Sentence;
using base::worded;
using report::LaidOpen;
using What = study::Alignable::What;

/// Ids of the other book by those of this one; beyond its ids where it has no such key, apart from each
/// other.
template <class IdType, class Things, class Find>
std::vector<IdType> ids_by_key(const Things& things, std::size_t known, const Find& find) {
    std::vector<IdType> ids;
    for (const auto& thing : things) {
        const IdType there = find(thing.key);
        ids.push_back(there.valid() ? there : IdType{static_cast<std::int64_t>(known + ids.size())});
    }
    return ids;
}

template <class IdType>
void translate_id(IdType& id, const std::vector<IdType>& ids) {
    if (id.valid() && static_cast<std::size_t>(id.value) < ids.size())
        id = ids[static_cast<std::size_t>(id.value)];
}

/// What two runs must have for the same event to be laid over each other: the ways told by one mark.
std::vector<study::Alignable> shown_of(const study::StudiedRun& run, What what) {
    std::vector<study::Alignable> all;
    for (const study::Alignable& event : study::alignable(run)) {
        if (event.what == what) all.push_back(event);
    }
    return all;
}

class Anchoring {
  public:
    Anchoring(const LaidOpen& a, const LaidOpen& b) : a_(a), b_(b) {}

    Result<std::optional<report::Anchor>> find(const Align& align,
                                               const std::vector<study::SameEvent>& same) {
        Result<report::Anchor> wished = wish(align);
        if (wished) return std::optional(*wished);
        if (!align.usual) return wished.error();
        if (same.empty()) return std::optional<report::Anchor>();
        return std::optional(report::Anchor{"start", same.front().a, same.front().b,
                                            worded("'{}'", report::event_of(a_, same.front().a)), true});
    }

  private:
    Result<report::Anchor> wish(const Align& align) const {
        if (align.what == Align::What::take_off) return nth_take_off(align.take_off);
        if (align.what == Align::What::start) return start("start");
        const course::StationId in_a = a_.book->find_station(align.station);
        const course::StationId in_b = b_.book->find_station(align.station);
        if (!in_a.valid() || !in_b.valid())
            return Error{
                Category::not_found,
                worded("There is no station '{}' on the course of {}; it has {}.", align.station,
                       in_a.valid() ? b_.name.label : a_.name.label, stations_of(in_a.valid() ? b_ : a_)),
                "--align"};
        const auto a = begins(a_, in_a), b = begins(b_, in_b);
        const std::string name = a_.book->station(in_a).name;
        if (!a || !b)
            return Error{
                Category::not_found,
                worded("No one mark of {} tells when '{}' begins.", a ? b_.name.label : a_.name.label, name),
                "--align"};
        return report::Anchor{"station:" + align.station, *a, *b, worded("the beginning of {}", name), false};
    }
    static std::optional<ruling::MarkId> begins(const LaidOpen& open, course::StationId station) {
        for (const What what : {What::start, What::station}) {
            for (const study::Alignable& event : shown_of(open.run, what)) {
                if (event.station == station) return event.mark;
            }
        }
        return std::nullopt;
    }
    Result<report::Anchor> start(const std::string& wish) const {
        const auto a = shown_of(a_.run, What::start), b = shown_of(b_.run, What::start);
        if (a.empty() || b.empty())
            return Error{Category::not_found,
                         worded("The start of {} is not marked.", a.empty() ? a_.name.label : b_.name.label),
                         "--align"};
        return report::Anchor{wish, a.front().mark, b.front().mark, worded("the start"), false};
    }
    Result<report::Anchor> nth_take_off(std::int64_t n) const {
        const auto a = shown_of(a_.run, What::take_off), b = shown_of(b_.run, What::take_off);
        const auto have = std::min(std::ssize(a), std::ssize(b));
        if (n > have)
            return Error{Category::not_found,
                         worded("{} shows {} take-offs and {} shows {}; take-off {} is not among them.",
                                a_.name.label, std::ssize(a), b_.name.label, std::ssize(b), n),
                         "--align"};
        const auto place = static_cast<std::size_t>(n - 1);
        return report::Anchor{"take-off:" + std::to_string(n), a[place].mark, b[place].mark,
                              worded("take-off {}, '{}'", n, report::event_of(a_, a[place].mark)), false};
    }
    static Sentence stations_of(const LaidOpen& open) {
        std::vector<Sentence> all;
        for (const course::Station& station : open.book->stations)
            all.emplace_back("'" + station.key + "'");
        return base::listed_words(all);
    }

    const LaidOpen& a_;
    const LaidOpen& b_;
};

std::vector<report::StationPair> pairs_of(const LaidOpen& a, const LaidOpen& b) {
    std::vector<report::StationPair> pairs;
    for (std::size_t k = 0; k < a.book->stations.size(); ++k) {
        const course::Station& station = a.book->stations[k];
        report::StationPair pair{station.key, station.name, k, std::nullopt, {}};
        if (const auto there = b.book->find_station(station.key); there.valid()) {
            pair.b = static_cast<std::size_t>(there.value);
            pair.lost =
                study::difference(a.run.figures.stations[k].time, b.run.figures.stations[*pair.b].time);
        }
        pairs.push_back(std::move(pair));
    }
    for (std::size_t k = 0; k < b.book->stations.size(); ++k) {
        const course::Station& station = b.book->stations[k];
        if (!a.book->find_station(station.key).valid())
            pairs.push_back({station.key, station.name, std::nullopt, k, {}});
    }
    return pairs;
}

/// None where the station is not shown to be cleared there.
std::optional<study::Length> cleared_time(const LaidOpen& run, const std::string& key) {
    const course::StationId station = run.book->find_station(key);
    if (!station.valid()) return std::nullopt;
    const study::StationFigures& figures = run.run.figures.stations[static_cast<std::size_t>(station.value)];
    if (figures.verdict != ruling::Verdict::clear || figures.if_reached || !figures.time.low)
        return std::nullopt;
    return figures.time;
}

report::Reference reference_of(const LaidOpen& mine, const Group& group) {
    report::Reference reference;
    reference.kind = group.kind;
    reference.group = group.name;
    for (const Opened& run : group.runs)
        reference.runs.push_back(run->name);
    const auto against =
        group.kind == report::Reference::Kind::group_median ? study::Against::median : study::Against::best;
    for (std::size_t k = 0; k < mine.book->stations.size(); ++k) {
        const course::Station& station = mine.book->stations[k];
        std::vector<study::Length> theirs;
        for (const Opened& run : group.runs) {
            if (const auto time = cleared_time(*run, station.key)) theirs.push_back(*time);
        }
        study::StationLoss loss;
        loss.station = course::StationId{static_cast<std::int64_t>(k)};
        loss.mine = mine.run.figures.stations[k].time;
        loss.theirs = study::of_group(theirs, against);
        loss.lost = study::difference(loss.mine, loss.theirs);
        loss.compared = std::ssize(theirs);
        reference.stations.push_back({station.key, station.name, k, std::nullopt, loss.lost});
        reference.losses.push_back(std::move(loss));
    }
    return reference;
}

}  // namespace

Result<Align> read_align(const std::string& text) {
    Align align;
    align.usual = false;
    if (text == "start") return align;
    if (text.rfind("station:", 0) == 0 && text.size() > 8) {
        align.what = Align::What::station;
        align.station = text.substr(8);
        return align;
    }
    if (text.rfind("take-off:", 0) == 0) {
        align.what = Align::What::take_off;
        const char* end = text.data() + text.size();
        const auto [stop, problem] = std::from_chars(text.data() + 9, end, align.take_off);
        if (problem == std::errc{} && stop == end && align.take_off >= 1) return align;
    }
    return Error{Category::bad_input,
                 worded("'{}' is nothing that runs can be laid over each other at; write start, "
                        "station:KEY or take-off:N.",
                        text),
                 "--align"};
}

study::StudiedRun in_terms_of(const course::CourseBook& book, const LaidOpen& run) {
    study::StudiedRun other = run.run;
    const auto surfaces =
        ids_by_key<course::SurfaceId>(run.book->surfaces, book.surfaces.size(),
                                      [&](const std::string& key) { return book.find_surface(key); });
    const auto planes = ids_by_key<course::PlaneId>(
        run.book->planes, book.planes.size(), [&](const std::string& key) { return book.find_plane(key); });
    for (ruling::Mark& mark : other.evidence.marks) {
        for (ruling::Happening& what : mark.alternatives) {
            if (auto* touch = std::get_if<ruling::Touch>(&what)) translate_id(touch->surface, surfaces);
            if (auto* left = std::get_if<ruling::Release>(&what)) translate_id(left->surface, surfaces);
            if (auto* cross = std::get_if<ruling::Cross>(&what)) translate_id(cross->plane, planes);
        }
    }
    std::vector<ruling::StationMoments> moments;
    for (std::size_t k = 0; k < book.stations.size(); ++k) {
        ruling::StationMoments moment;
        const course::StationId here = run.book->find_station(book.stations[k].key);
        if (here.valid()) moment = run.run.moments[static_cast<std::size_t>(here.value)];
        moment.station = course::StationId{static_cast<std::int64_t>(k)};
        moments.push_back(std::move(moment));
    }
    other.moments = std::move(moments);
    return other;
}

Result<report::CompareDocument> compare_two(const Opened& a, const Opened& b, const Align& align) {
    report::CompareDocument document;
    document.program_version = program_version();
    document.runs = {a, b};
    const study::StudiedRun b_here = in_terms_of(*a->book, *b);
    report::TwoRuns two;
    two.stations = pairs_of(*a, *b);
    const std::vector<study::SameEvent> same =
        study::of_same_contacts(a->run, b_here, study::same_events(a->run, b_here));
    auto anchor = Anchoring(*a, *b).find(align, same);
    if (!anchor) return anchor.error();
    two.anchor = std::move(*anchor);
    if (two.anchor) {
        if (two.anchor->fell_back)
            document.notes.push_back(worded(
                "The start is not marked in both runs; they lie over each other at {}.", two.anchor->says));
        two.curve = study::curve(a->run, b_here, {two.anchor->a, two.anchor->b, {}}, same);
    } else {
        document.notes.push_back(worded("The two runs have no event in common that surely happened."));
    }
    for (const study::CurvePoint& point : two.curve)
        two.stations_of_curve.push_back(
            point.event.station.valid() ? a->book->station(point.event.station).key : "");
    document.two = std::move(two);
    return document;
}

report::CompareDocument compare_one(const Opened& run, const std::vector<Group>& groups) {
    report::CompareDocument document;
    document.program_version = program_version();
    document.runs = {run};
    for (const Group& group : groups) {
        if (group.runs.empty())
            document.notes.push_back(worded("There is nothing to compare with among {}.", group.name));
        else
            document.references.push_back(reference_of(*run, group));
    }
    return document;
}

}  // namespace plumbmark::review
