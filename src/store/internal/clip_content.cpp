#include "store/internal/clip_content.h"

namespace plumbmark::store {
namespace {

constexpr std::int64_t kFirstVersionWithContent = 3;

}  // namespace

void add_content_member(Json& object, const meet::Clip& clip) {
    if (!clip.content) return;
    object["content"] = {{"sha256", clip.content->sha256},
                         {"changed_at_ns", std::to_string(clip.content->changed_at)}};
}

void read_content_member(const Members& members, meet::Clip& clip) {
    if (!members.has("content")) return;
    const Members content(members.required("content"), members.path_of("content"),
                          {"sha256", "changed_at_ns"});
    clip.content = {content.text("sha256"), content.long_number("changed_at_ns")};
}

void write_content_row(Sql& sql, const meet::Clip& clip) {
    if (!clip.content) return sql.run("DELETE FROM clip_content WHERE clip = ?", clip.id.value);
    sql.run(
        "INSERT INTO clip_content VALUES (?, ?, ?) ON CONFLICT (clip) DO UPDATE SET sha256 = "
        "excluded.sha256, "
        "changed_at_ns = excluded.changed_at_ns",
        clip.id.value, clip.content->sha256, clip.content->changed_at);
}

ClipRows<meet::ClipContent> read_content_rows(Sql& sql) {
    return {sql,
            kFirstVersionWithContent,
            "clip_content",
            "clip",
            "sha256, changed_at_ns",
            [](SQLite::Statement& row) {
                return meet::ClipContent{row.getColumn(1).getString(), row.getColumn(2).getInt64()};
            }};
}

}  // namespace plumbmark::store
