// in_play = [...] of a station: single surfaces, surfaces alike, and rows.
#include <algorithm>

#include "course/internal/sections.h"

namespace plumbmark::course::internal {
namespace {

constexpr const char* kEntry = "{ surface = \"hawser\", parts = \"hands\" }";

bool holds(const Station& station, SurfaceId surface) {
    return std::any_of(station.in_play.begin(), station.in_play.end(),
                       [&](const Item& item) { return item.surface == surface; });
}

class InPlayReader {
  public:
    InPlayReader(const Fields& station, Station& result, Reading& reading)
        : station_(station), result_(result), reading_(reading) {}

    void read() {
        for (const toml::table* table :
             station_.tables("in_play", kMostItems, worded("entries such as {}", kEntry))) {
            if (!read_entry(*table)) break;
        }
        for (const Reference& reference : references_)
            tell_when_not_in_play(reference);
    }

  private:
    // A surface that must be in play on this station, wherever in the list it stands.
    struct Reference {
        SurfaceId surface;
        Place place;
        std::string_view key;
    };

    bool read_entry(const toml::table& table) {
        const Fields fields(table, place_of(table), worded("an item of {}", station_.what()), kItemKeys,
                            reading_);
        if (fields.has("surface") == fields.has("row")) {
            const bool both = fields.has("surface");
            fields.problem(fields.place(),
                           both ? worded("{} has both '{}' and '{}'", fields.what(), "surface", "row")
                                : worded("{} has neither '{}' nor '{}'", fields.what(), "surface", "row"),
                           worded("one of the two"));
        }
        if (fields.has("row")) return read_row(fields);
        if (fields.has("max_skipped")) {
            fields.problem(
                place_of(*fields.find("max_skipped")), worded("'max_skipped' stands beside 'surface'"),
                worded("it beside 'row', a list of surfaces in the order in which they are taken"));
        }
        if (!fields.has("parts"))
            fields.missing("parts", worded("the parts that may touch it, such as \"hands\""));
        return add_items(fields, fields.surfaces("surface"));
    }

    bool read_row(const Fields& fields) {
        ItemRow row;
        row.place = fields.place();
        row.members = fields.surfaces("row");
        row.max_skipped = fields.whole_number("max_skipped", 0, static_cast<std::int32_t>(kMostItems), 0);
        bool room = true;
        if (fields.has("parts")) {
            room = add_items(fields, row.members);
        } else {
            for (SurfaceId member : row.members)
                references_.push_back({member, place_of(*fields.find("row")), "row"});
            for (std::string_view key : {"required", "after", "once"}) {
                if (const toml::node* node = fields.find(key)) {
                    fields.problem(place_of(*node), worded("{} stands in a row without 'parts'", quoted(key)),
                                   worded("it in the entries of the row's surfaces, or 'parts' here"));
                }
            }
        }
        if (result_.rows.size() == kMostRows) {
            fields.problem(fields.place(), worded("{} has more than {} rows", station_.what(), kMostRows),
                           worded("at most {}", kMostRows));
            return false;
        }
        result_.rows.push_back(std::move(row));
        return room;
    }

    bool add_items(const Fields& fields, const std::vector<SurfaceId>& surfaces) {
        Item item;
        item.place = fields.place();
        item.parts = fields.parts("parts", kEveryPart);
        item.required = fields.truth("required", false);
        item.once = fields.truth("once", false);
        if (const SurfaceId after = fields.surface("after"); after.valid()) {
            item.after = after;
            references_.push_back({after, place_of(*fields.find("after")), "after"});
        }
        for (SurfaceId surface : surfaces) {
            item.surface = surface;
            if (!add(item, fields)) return false;
        }
        return true;
    }

    bool add(const Item& item, const Fields& fields) {
        if (holds(result_, item.surface)) {
            fields.problem(fields.place(),
                           worded("{} is already in play on {}",
                                  quoted(reading_.book.surface(item.surface).key), station_.what()),
                           worded("one entry for each surface, with all the parts that may touch it"));
            return true;
        }
        if (result_.in_play.size() == kMostItems) {
            fields.problem(fields.place(),
                           worded("{} has more than {} items in play", station_.what(), kMostItems),
                           worded("at most {}", kMostItems));
            return false;
        }
        result_.in_play.push_back(item);
        return true;
    }

    void tell_when_not_in_play(const Reference& reference) {
        if (holds(result_, reference.surface)) return;
        const Sentence key = quoted(reading_.book.surface(reference.surface).key);
        reading_.problems.add(
            reference.place, worded("{} in '{}' is not in play on {}", key, reference.key, station_.what()),
            reference.key == "row" ? worded("'parts' in the row, or an entry of its own for each surface")
                                   : one_in_play());
    }

    Sentence one_in_play() const {
        std::vector<Sentence> items;
        for (const Item& item : result_.in_play)
            items.push_back(quoted(reading_.book.surface(item.surface).key));
        if (items.empty() || items.size() > 12) return worded("a surface that is in play on this station");
        return worded("a surface that is in play on this station: {}", base::listed_words(items, "or"));
    }

    const Fields& station_;
    Station& result_;
    Reading& reading_;
    std::vector<Reference> references_;
};

}  // namespace

void read_in_play(const Fields& station, Station& result, Reading& reading) {
    InPlayReader(station, result, reading).read();
}

}  // namespace plumbmark::course::internal
