#include "store/internal/clip_streams.h"

#include "base/worded.h"

namespace plumbmark::store {
namespace {

using base::worded;

constexpr std::int64_t kFirstVersionWithStreams = 2;

std::optional<std::int64_t> number(const std::optional<int>& stream) {
    return stream ? std::optional<std::int64_t>(*stream) : std::nullopt;
}

std::optional<int> number(const SQLite::Column& column) {
    return column.isNull() ? std::nullopt : std::optional(column.getInt());
}

std::optional<int> member(const Members& members, const std::string& name) {
    if (!members.has(name)) return std::nullopt;
    const std::int64_t stream = members.whole_number(name);
    if (stream > meet::kMostStreams) fail_at(members.path_of(name), worded("no file has that many streams"));
    return static_cast<int>(stream);
}

}  // namespace

void add_stream_members(Json& object, const meet::Clip& clip) {
    if (clip.streams.video) object["video_stream"] = *clip.streams.video;
    if (clip.streams.sound) object["sound_stream"] = *clip.streams.sound;
}

void read_stream_members(const Members& members, meet::Clip& clip) {
    clip.streams = {member(members, "video_stream"), member(members, "sound_stream")};
}

void write_stream_row(Sql& sql, const meet::Clip& clip) {
    if (clip.streams == meet::StreamChoice{})
        return sql.run("DELETE FROM clip_stream WHERE clip = ?", clip.id.value);
    sql.run(
        "INSERT INTO clip_stream VALUES (?, ?, ?) ON CONFLICT (clip) DO UPDATE SET video = excluded.video, "
        "sound = excluded.sound",
        clip.id.value, number(clip.streams.video), number(clip.streams.sound));
}

ClipRows<meet::StreamChoice> read_stream_rows(Sql& sql) {
    return {sql, kFirstVersionWithStreams, "clip_stream", "clip", "video, sound", [](SQLite::Statement& row) {
                return meet::StreamChoice{number(row.getColumn(1)), number(row.getColumn(2))};
            }};
}

}  // namespace plumbmark::store
