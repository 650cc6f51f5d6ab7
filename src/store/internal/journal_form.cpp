#include "store/internal/journal_form.h"

#include <fmt/format.h>

#include <chrono>

#include "base/worded.h"
#include "store/internal/entity_json.h"
#include "store/meet_file.h"

namespace plumbmark::store {
namespace {

using base::worded;

Json to_json(const std::optional<meet::Entity>& sealed) {
    return sealed ? store::to_json(*sealed) : Json(nullptr);
}

Json to_json(const meet::Edit& edit) {
    const meet::EntityKey key = edit.key();
    return {{"kind", meet::kind_word(key.kind)},
            {"id", key.id},
            {"before", to_json(edit.before)},
            {"after", to_json(edit.after)}};
}

std::optional<meet::Entity> read_side(const Members& edit, const std::string& name, meet::EntityKey key) {
    const Json& value = edit.required(name);
    if (value.is_null()) return std::nullopt;
    return entity_from_json(key, value, edit.path_of(name));
}

meet::Edit read_edit(const Json& value, const std::string& path) {
    const Members members(value, path, {"kind", "id", "before", "after"});
    const auto kind = meet::kind_from_word(members.text("kind"));
    if (!kind) fail_at(members.path_of("kind"), worded("this kind of thing is not known"));
    const meet::EntityKey key{*kind, members.whole_number("id")};
    if (*kind == meet::Kind::meet_info && key.id != 0)
        fail_at(members.path_of("id"), worded("the meet has the id 0"));
    meet::Edit edit{read_side(members, "before", key), read_side(members, "after", key)};
    if (!edit.before && !edit.after) fail_at(path, worded("an edit has neither a before nor an after"));
    return edit;
}

}  // namespace

std::string genesis(const std::string& meet_identity) {
    return sha256_hex(canonical_text(Json{{"format", kJournalFormat}, {"meet", meet_identity}}));
}

std::string canonical_row(const RowContent& row) {
    Json edits = Json::array();
    for (const meet::Edit& edit : row.change.edits)
        edits.push_back(to_json(edit));
    return canonical_text(Json{{"format", kJournalFormat},
                               {"number", row.number},
                               {"previous", row.previous},
                               {"time", row.time},
                               {"label", row.change.label},
                               {"undoes", row.change.undoes},
                               {"removed", row.removed},
                               {"edits", edits}});
}

RowContent parse_row(const std::string& canonical_json) {
    const base::Result<Json> value = parse_json(canonical_json);
    if (!value) throw ReadProblem{value.error()};
    if (canonical_text(*value) != canonical_json) fail_at("", worded("it is not in canonical form"));
    const Members members(*value, "",
                          {"format", "number", "previous", "time", "label", "undoes", "removed", "edits"});
    if (members.text("format") != kJournalFormat)
        fail_at("format", worded("this form of journal row is not known"));
    RowContent row;
    row.number = members.whole_number("number");
    row.previous = members.text("previous");
    row.time = members.text("time");
    row.change.label = members.text("label");
    row.change.undoes = members.whole_number("undoes");
    const Json& removed = members.list("removed");
    for (std::size_t i = 0; i < removed.size(); ++i)
        row.removed.push_back(read_text(removed[i], item_path("removed", i)));
    const Json& edits = members.list("edits");
    for (std::size_t i = 0; i < edits.size(); ++i)
        row.change.edits.push_back(read_edit(edits[i], item_path("edits", i)));
    return row;
}

std::string rfc3339(std::int64_t nanoseconds_since_1970) {
    using namespace std::chrono;
    const sys_time<nanoseconds> instant{nanoseconds{nanoseconds_since_1970}};
    const auto milliseconds_in = floor<milliseconds>(instant);
    const auto day = floor<days>(milliseconds_in);
    const year_month_day date{day};
    const hh_mm_ss<milliseconds> time{milliseconds_in - day};
    return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}Z", static_cast<int>(date.year()),
                       static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                       time.hours().count(), time.minutes().count(), time.seconds().count(),
                       time.subseconds().count());
}

}  // namespace plumbmark::store
