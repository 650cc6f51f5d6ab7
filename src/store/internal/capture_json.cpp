#include "store/internal/capture_json.h"

#include <algorithm>

#include "base/worded.h"
#include "store/internal/read_word.h"

namespace plumbmark::store {
namespace {

using base::worded;

constexpr std::int64_t kFirstVersionWithCapture = 4;

constexpr std::array kPaceWords{
    Word<meet::Pace>{meet::Pace::as_shown, "as_shown"},
    Word<meet::Pace>{meet::Pace::retimed, "retimed"},
    Word<meet::Pace>{meet::Pace::unknown, "unknown"},
};

const char* const kTables[] = {"clip_capture", "clip_slowed", "clip_looked_through", "clip_repeated"};

Json to_json_rates(const meet::Rates& rates) {
    return Json::array({rates.recorded.num, rates.recorded.den, rates.shown.num, rates.shown.den});
}

std::vector<std::int64_t> read_numbers(const Json& value, const std::string& path, std::size_t count) {
    if (read_list(value, path).size() != count)
        fail_at(path, worded("a list of {} numbers is expected here", count));
    std::vector<std::int64_t> numbers;
    for (std::size_t i = 0; i < count; ++i)
        numbers.push_back(read_whole_number(value[i], item_path(path, i)));
    return numbers;
}

meet::Rates read_rates(const Json& value, const std::string& path) {
    const std::vector<std::int64_t> n = read_numbers(value, path, 4);
    return {{n[0], n[1]}, {n[2], n[3]}};
}

meet::CaptureStretch read_stretch(const Json& value, const std::string& path) {
    const Members members(value, path, {"frame", "pts", "pace", "rates"});
    meet::CaptureStretch stretch;
    stretch.from = {members.whole_number("frame"), members.long_number("pts")};
    stretch.pace = read_word(members, "pace", kPaceWords);
    if (members.has("rates")) stretch.rates = read_rates(members.required("rates"), members.path_of("rates"));
    return stretch;
}

meet::RepeatedPictures read_repeated(const Json& value, const std::string& path) {
    const Members members(value, path, {"frame", "pts", "last", "exact"});
    return {{members.whole_number("frame"), members.long_number("pts")},
            members.whole_number("last"),
            members.flag("exact")};
}

/// What a row said before there was anything but 'known'.
void take_old_word(meet::Clip& clip, bool known) {
    if (!known && clip.capture.empty() && !clip.slowed) clip.capture = {{{0, 0}, meet::Pace::unknown, {}}};
}

std::int64_t whole(SQLite::Statement& row, int column) {
    return row.getColumn(column).getInt64();
}

/// The clip of this id, among clips in the order of their ids.
meet::Clip& owner(std::vector<meet::Clip>& clips, std::int64_t id, const char* table) {
    const auto found =
        std::lower_bound(clips.begin(), clips.end(), id,
                         [](const meet::Clip& clip, std::int64_t wanted) { return clip.id.value < wanted; });
    if (found != clips.end() && found->id.value == id) return *found;
    fail_at(row_place(table, std::to_string(id)), worded("these rows belong to nothing"));
}

template <class List>
void require_next(const List& list, SQLite::Statement& row, const char* table) {
    if (whole(row, 1) != static_cast<std::int64_t>(list.size()))
        fail_at(row_place(table, std::to_string(whole(row, 0))),
                worded("a row between the others is missing"));
}

meet::Pace read_pace(SQLite::Statement& row, int column) {
    const std::string word = row.getColumn(column).getString();
    const auto pace = value_of(kPaceWords, word);
    if (!pace) fail_on_word(worded("table {}", "clip_capture"), word, words_in(kPaceWords));
    return *pace;
}

}  // namespace

const std::vector<std::string>& capture_members() {
    static const std::vector<std::string> kMembers{"capture_time_known", "capture", "slowed", "repeated"};
    return kMembers;
}

bool capture_time_known(const meet::Clip& clip) {
    if (clip.capture.empty()) return !clip.slowed;
    for (const meet::CaptureStretch& stretch : clip.capture) {
        if (stretch.pace == meet::Pace::unknown) return false;
    }
    return true;
}

void add_capture_members(Json& object, const meet::Clip& clip) {
    object["capture_time_known"] = capture_time_known(clip);
    if (!clip.capture.empty()) {
        Json list = Json::array();
        for (const meet::CaptureStretch& stretch : clip.capture) {
            list.push_back({{"frame", stretch.from.number},
                            {"pts", std::to_string(stretch.from.pts)},
                            {"pace", word_for(kPaceWords, stretch.pace)}});
            if (stretch.pace == meet::Pace::retimed) list.back()["rates"] = to_json_rates(stretch.rates);
        }
        object["capture"] = std::move(list);
    }
    if (clip.slowed) object["slowed"] = to_json_rates(*clip.slowed);
    if (!clip.repeated) return;
    Json list = Json::array();
    for (const meet::RepeatedPictures& one : *clip.repeated) {
        list.push_back({{"frame", one.first.number},
                        {"pts", std::to_string(one.first.pts)},
                        {"last", one.last},
                        {"exact", one.exact}});
    }
    object["repeated"] = std::move(list);
}

void read_capture_members(const Members& members, meet::Clip& clip) {
    const auto each = [&](const char* name, auto&& read) {
        const Json& list = members.list(name);
        for (std::size_t i = 0; i < list.size(); ++i)
            read(list[i], item_path(members.path_of(name), i));
    };
    if (members.has("capture")) {
        each("capture", [&](const Json& item, const std::string& path) {
            clip.capture.push_back(read_stretch(item, path));
        });
    }
    if (members.has("slowed"))
        clip.slowed = read_rates(members.required("slowed"), members.path_of("slowed"));
    if (members.has("repeated")) {
        clip.repeated.emplace();
        each("repeated", [&](const Json& item, const std::string& path) {
            clip.repeated->push_back(read_repeated(item, path));
        });
    }
    take_old_word(clip, members.flag("capture_time_known"));
}

void write_capture_rows(Sql& sql, const meet::Clip& clip) {
    remove_capture_rows(sql, clip.id.value);
    for (std::size_t i = 0; i < clip.capture.size(); ++i) {
        const meet::CaptureStretch& stretch = clip.capture[i];
        sql.run("INSERT INTO clip_capture VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", clip.id.value,
                static_cast<std::int64_t>(i), stretch.from.number, stretch.from.pts,
                word_for(kPaceWords, stretch.pace), stretch.rates.recorded.num, stretch.rates.recorded.den,
                stretch.rates.shown.num, stretch.rates.shown.den);
    }
    if (clip.slowed)
        sql.run("INSERT INTO clip_slowed VALUES (?, ?, ?, ?, ?)", clip.id.value, clip.slowed->recorded.num,
                clip.slowed->recorded.den, clip.slowed->shown.num, clip.slowed->shown.den);
    if (!clip.repeated) return;
    sql.run("INSERT INTO clip_looked_through VALUES (?)", clip.id.value);
    for (std::size_t i = 0; i < clip.repeated->size(); ++i) {
        const meet::RepeatedPictures& one = (*clip.repeated)[i];
        sql.run("INSERT INTO clip_repeated VALUES (?, ?, ?, ?, ?, ?)", clip.id.value,
                static_cast<std::int64_t>(i), one.first.number, one.first.pts, one.last, one.exact);
    }
}

void remove_capture_rows(Sql& sql, std::int64_t clip) {
    for (const char* table : kTables)
        sql.run(std::string("DELETE FROM ") + table + " WHERE clip = ?", clip);
}

void read_capture_rows(Sql& sql, std::vector<meet::Clip>& clips, const std::vector<bool>& known) {
    std::int64_t version = 0;
    sql.rows("PRAGMA user_version", [&](SQLite::Statement& row) { version = whole(row, 0); });
    if (version >= kFirstVersionWithCapture) {
        sql.rows("SELECT * FROM clip_capture ORDER BY clip, position", [&](SQLite::Statement& row) {
            meet::Clip& clip = owner(clips, whole(row, 0), "clip_capture");
            require_next(clip.capture, row, "clip_capture");
            clip.capture.push_back({{whole(row, 2), whole(row, 3)},
                                    read_pace(row, 4),
                                    {{whole(row, 5), whole(row, 6)}, {whole(row, 7), whole(row, 8)}}});
        });
        sql.rows("SELECT * FROM clip_slowed", [&](SQLite::Statement& row) {
            owner(clips, whole(row, 0), "clip_slowed").slowed =
                meet::Rates{{whole(row, 1), whole(row, 2)}, {whole(row, 3), whole(row, 4)}};
        });
        sql.rows("SELECT * FROM clip_looked_through", [&](SQLite::Statement& row) {
            owner(clips, whole(row, 0), "clip_looked_through").repeated.emplace();
        });
        sql.rows("SELECT * FROM clip_repeated ORDER BY clip, position", [&](SQLite::Statement& row) {
            meet::Clip& clip = owner(clips, whole(row, 0), "clip_repeated");
            if (!clip.repeated)
                fail_at(worded("table {}", "clip_repeated"), worded("these rows belong to nothing"));
            require_next(*clip.repeated, row, "clip_repeated");
            clip.repeated->push_back({{whole(row, 2), whole(row, 3)}, whole(row, 4), whole(row, 5) == 1});
        });
    }
    for (std::size_t i = 0; i < clips.size(); ++i)
        take_old_word(clips[i], known[i]);
}

}  // namespace plumbmark::store
