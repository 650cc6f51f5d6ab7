#include "store/internal/clip_picture.h"

namespace plumbmark::store {
namespace {

constexpr std::int64_t kFirstVersionWithPicture = 10;

/// Of 'picture'. A number that fits no int is taken for one that no picture has, which the meet refuses.
int read_int(const Members& members, const std::string& name) {
    const std::int64_t number = members.whole_number(name);
    return number > meet::kLargestPicture ? meet::kLargestPicture + 1 : static_cast<int>(number);
}

}  // namespace

void add_picture_member(Json& object, const meet::Clip& clip) {
    if (!clip.picture) return;
    object["picture"] = {{"width", clip.picture->width},
                         {"height", clip.picture->height},
                         {"quarter_turns", clip.picture->quarter_turns}};
}

void read_picture_member(const Members& members, meet::Clip& clip) {
    if (!members.has("picture")) return;
    const Members picture(members.required("picture"), members.path_of("picture"),
                          {"width", "height", "quarter_turns"});
    clip.picture = {read_int(picture, "width"), read_int(picture, "height"),
                    read_int(picture, "quarter_turns")};
}

void write_picture_row(Sql& sql, const meet::Clip& clip) {
    if (!clip.picture) return sql.run("DELETE FROM clip_picture WHERE clip = ?", clip.id.value);
    sql.run(
        "INSERT INTO clip_picture VALUES (?, ?, ?, ?) ON CONFLICT (clip) DO UPDATE SET width = "
        "excluded.width, "
        "height = excluded.height, quarter_turns = excluded.quarter_turns",
        clip.id.value, std::int64_t{clip.picture->width}, std::int64_t{clip.picture->height},
        std::int64_t{clip.picture->quarter_turns});
}

ClipRows<meet::ClipPicture> read_picture_rows(Sql& sql) {
    return {sql,
            kFirstVersionWithPicture,
            "clip_picture",
            "clip",
            "width, height, quarter_turns",
            [](SQLite::Statement& row) {
                return meet::ClipPicture{row.getColumn(1).getInt(), row.getColumn(2).getInt(),
                                         row.getColumn(3).getInt()};
            }};
}

}  // namespace plumbmark::store
