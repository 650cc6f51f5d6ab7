// Two runs side by side, or one against the best of others, as JSON and as a table.
#include <fmt/format.h>

#include <utility>

#include "report/compare_document.h"
#include "report/internal/json_study.h"
#include "report/internal/plain.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

using Json = nlohmann::ordered_json;

const char* kind_key(Reference::Kind kind) {
    switch (kind) {
        case Reference::Kind::own_best:
            return "own_best";
        case Reference::Kind::group_best:
            return "group_best";
        case Reference::Kind::group_median:
            break;
    }
    return "group_median";
}

Json json_notes(const std::vector<base::Sentence>& notes) {
    Json all = Json::array();
    for (const base::Sentence& note : notes)
        all.push_back(note.english());
    return all;
}

Json json_two(const CompareDocument& document) {
    if (!document.two) return {};
    const TwoRuns& two = *document.two;
    Json stations = Json::array();
    for (const StationPair& station : two.stations)
        stations.push_back({{"station", station.key},
                            {"name", station.name},
                            {"in_a", station.a.has_value()},
                            {"in_b", station.b.has_value()},
                            {"lost", json_difference(station.lost)}});
    Json anchor;
    if (two.anchor)
        anchor = {{"wish", two.anchor->wish},
                  {"a", two.anchor->a.value},
                  {"b", two.anchor->b.value},
                  {"says", two.anchor->says.english()},
                  {"fell_back", two.anchor->fell_back}};
    Json curve = Json::array();
    for (std::size_t i = 0; i < two.curve.size(); ++i) {
        const study::CurvePoint& point = two.curve[i];
        curve.push_back(
            {{"a", point.event.a.value},
             {"b", point.event.b.value},
             {"says", event_of(*document.runs[0], point.event.a)},
             {"station", two.stations_of_curve[i].empty() ? Json() : Json(two.stations_of_curve[i])},
             {"behind", json_difference(point.behind)},
             {"grew", json_difference(point.grew)}});
    }
    return {{"stations", std::move(stations)}, {"anchor", std::move(anchor)}, {"curve", std::move(curve)}};
}

Json json_reference(const Reference& reference) {
    Json runs = Json::array();
    for (const RunName& name : reference.runs)
        runs.push_back(json_name(name));
    Json stations = Json::array();
    for (std::size_t k = 0; k < reference.losses.size(); ++k)
        stations.push_back({{"station", reference.stations[k].key},
                            {"compared", reference.losses[k].compared},
                            {"theirs", json_length(reference.losses[k].theirs)},
                            {"lost", json_difference(reference.losses[k].lost)}});
    return {{"kind", kind_key(reference.kind)},
            {"group", reference.group.english()},
            {"runs", std::move(runs)},
            {"stations", std::move(stations)}};
}

// --- as a table ---

std::string seconds(const std::optional<base::Duration>& d) {
    if (!d) return "";
    const std::int64_t size = d->ns < 0 ? -d->ns : d->ns;
    return fmt::format("{}{}.{:09}", d->ns < 0 ? "-" : "", size / 1'000'000'000, size % 1'000'000'000);
}

std::string doubts(const study::Doubt& doubt) {
    std::string all;
    for (const std::string& key : doubt_keys(doubt))
        all += (all.empty() ? "" : " ") + key;
    return all;
}

class Rows {
  public:
    Rows() {
        table_.header = {"run",   "station", "figure",    "of",         "from", "to",
                         "low_s", "high_s",  "count_low", "count_high", "told", "doubts"};
    }

    void add(const LaidOpen& open) {
        run_ = plain(open.name.label);
        for (const study::StationFigures& station : open.run.figures.stations) {
            const std::string key = open.book->station(station.station).key;
            length(key, "time", ruling::verdict_key(station.verdict), "", "", station.time);
            length(key, "from_start", ruling::verdict_key(station.verdict), "", "", station.from_start);
            beats(open, key, "beat_hands", station.hands);
            beats(open, key, "beat_feet", station.feet);
            for (const study::TouchCount& count : station.touches)
                table_.rows.push_back(
                    {0,
                     {run_, key, "touches", std::string(course::part_key(count.part)), "", "", "", "",
                      std::to_string(count.low), count.high ? std::to_string(*count.high) : "", "", ""}});
        }
        for (const study::Grip& grip : open.run.figures.grips)
            length(key_of(open, grip.station), "grip",
                   std::string(course::part_key(grip.part)) + " " + surface(open, grip.surface),
                   event_of(open, grip.touch), event_of(open, grip.leave), grip.time);
        stretches(open, "hang", open.run.figures.hangs);
        stretches(open, "flight", open.run.figures.flights);
        for (const study::Rest& rest : open.run.figures.rests)
            length(key_of(open, rest.stretch.station), "rest", surface(open, rest.surface),
                   event_of(open, rest.stretch.from), event_of(open, rest.stretch.to), rest.stretch.time);
    }

    void add(const CompareDocument& document, const TwoRuns& two) {
        run_ = plain(document.runs[0]->name.label) + " against " + plain(document.runs[1]->name.label);
        for (const StationPair& station : two.stations)
            difference(station.key, "lost", "", "", "", station.lost);
        for (std::size_t i = 0; i < two.curve.size(); ++i) {
            const std::string at = event_of(*document.runs[0], two.curve[i].event.a);
            difference(two.stations_of_curve[i], "behind", "", "", at, two.curve[i].behind);
            const std::string from = i == 0 ? "" : event_of(*document.runs[0], two.curve[i - 1].event.a);
            difference(two.stations_of_curve[i], "grew", "", from, at, two.curve[i].grew);
        }
    }

    void add(const LaidOpen& open, const Reference& reference) {
        run_ = plain(open.name.label) + " against " + plain(reference.group.english());
        for (std::size_t k = 0; k < reference.losses.size(); ++k) {
            length(reference.stations[k].key, "theirs", kind_key(reference.kind), "", "",
                   reference.losses[k].theirs);
            difference(reference.stations[k].key, "lost", kind_key(reference.kind), "", "",
                       reference.losses[k].lost);
        }
    }

    base::Table take() { return std::move(table_); }

  private:
    void length(const std::string& station, const std::string& figure, const std::string& of,
                const std::string& from, const std::string& to, const study::Length& length) {
        table_.rows.push_back({0,
                               {run_, station, figure, of, from, to, seconds(length.low),
                                seconds(length.high), "", "", "", doubts(length.doubt)}});
    }
    void difference(const std::string& station, const std::string& figure, const std::string& of,
                    const std::string& from, const std::string& to, const study::Difference& lost) {
        table_.rows.push_back({0,
                               {run_, station, figure, of, from, to, seconds(lost.low), seconds(lost.high),
                                "", "", told_key(lost.told()), doubts(lost.doubt)}});
    }
    void beats(const LaidOpen& open, const std::string& station, const char* figure,
               const std::vector<study::Beat>& beats) {
        for (const study::Beat& beat : beats)
            length(station, figure, "", event_of(open, beat.from), event_of(open, beat.to), beat.time);
    }
    void stretches(const LaidOpen& open, const char* figure, const std::vector<study::Stretch>& all) {
        for (const study::Stretch& one : all)
            length(key_of(open, one.station), figure, "", event_of(open, one.from), event_of(open, one.to),
                   one.time);
    }
    static std::string key_of(const LaidOpen& open, course::StationId station) {
        return station.valid() ? open.book->station(station).key : "";
    }
    static std::string surface(const LaidOpen& open, course::SurfaceId surface) {
        return surface.valid() ? open.book->surface(surface).key : "undeclared";
    }

    base::Table table_;
    std::string run_;
};

}  // namespace

std::string compare_json(const CompareDocument& document) {
    Json runs = Json::array();
    for (const auto& open : document.runs)
        runs.push_back(json_laid_open(*open));
    Json references = Json::array();
    for (const Reference& reference : document.references)
        references.push_back(json_reference(reference));
    return json_text({{"form", "plumbmark compare"},
                      {"form_version", 1},
                      {"program_version", document.program_version},
                      {"runs", std::move(runs)},
                      {"compared", json_two(document)},
                      {"references", std::move(references)},
                      {"notes", json_notes(document.notes)}});
}

base::Table compare_table(const CompareDocument& document) {
    Rows rows;
    for (const auto& open : document.runs)
        rows.add(*open);
    if (document.two) rows.add(document, *document.two);
    for (const Reference& reference : document.references)
        rows.add(*document.runs[0], reference);
    return rows.take();
}

}  // namespace plumbmark::report
