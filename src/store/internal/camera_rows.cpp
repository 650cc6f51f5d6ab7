#include "store/internal/camera_rows.h"

#include "store/internal/rows_beside.h"
#include "store/internal/upsert.h"
#include "store/internal/words.h"

namespace plumbmark::store {
namespace {

using SQLite::Statement;

constexpr std::int64_t kFirstVersion = 10;

using Whole = std::optional<std::int64_t>;
using Point = std::array<double, 2>;
using EdgePoints = Parts<Point, std::pair<std::int64_t, std::int64_t>>;

std::int64_t as_id(std::size_t position) {
    return static_cast<std::int64_t>(position);
}

meet::PlanPlace place(Statement& row, int column, const char* table) {
    return {word(row, column, kDrawingWords, table), text(row, column + 1), small(row, column + 2, table)};
}

void write_edge(Sql& sql, std::int64_t stand, std::int64_t position, const meet::StandEdge& edge) {
    sql.run("INSERT INTO stand_edge VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", stand, position,
            word_for(kDrawingWords, edge.from.kind), edge.from.key, std::int64_t{edge.from.corner},
            word_for(kDrawingWords, edge.to.kind), edge.to.key, std::int64_t{edge.to.corner}, edge.standard);
    for (std::size_t i = 0; i < edge.at.size(); ++i)
        sql.run("INSERT INTO stand_edge_point VALUES (?, ?, ?, ?, ?)", stand, position, as_id(i),
                edge.at[i][0], edge.at[i][1]);
}

void read_lenses(Sql& sql, std::vector<meet::Entity>& things) {
    const char* query =
        "SELECT id, camera, width, height, fx, fy, cx, cy, skew, k1, k2, p1, p2, k3, focal_standard, "
        "principal_standard, k1_standard, source FROM lens ORDER BY id";
    sql.rows(query, [&](Statement& row) {
        meet::CameraLens lens;
        lens.id = {whole(row, 0)};
        lens.camera = text(row, 1);
        lens.width = small(row, 2, "lens");
        lens.height = small(row, 3, "lens");
        int column = 4;
        for (double* number :
             {&lens.fx, &lens.fy, &lens.cx, &lens.cy, &lens.skew, &lens.k1, &lens.k2, &lens.p1, &lens.p2,
              &lens.k3, &lens.focal_standard, &lens.principal_standard, &lens.k1_standard})
            *number = real(row, column++);
        lens.source = text(row, column);
        things.emplace_back(std::move(lens));
    });
}

void read_stands(Sql& sql, std::vector<meet::Entity>& things) {
    Parts<meet::StandPoint> points(
        sql, "stand_point",
        "SELECT stand, position, kind, key, corner, x, y, standard FROM stand_point ORDER BY stand, position",
        [](Statement& row) {
            return meet::StandPoint{place(row, 2, "stand_point"), point(row, 5), real(row, 7)};
        });
    EdgePoints edge_points(
        sql, "stand_edge_point",
        "SELECT stand, edge, position, x, y FROM stand_edge_point ORDER BY stand, edge, position",
        [](Statement& row) { return point(row, 3); });
    Parts<meet::StandEdge> edges(
        sql, "stand_edge",
        "SELECT stand, position, from_kind, from_key, from_corner, to_kind, to_key, to_corner, standard "
        "FROM stand_edge ORDER BY stand, position",
        [&](Statement& row) {
            return meet::StandEdge{place(row, 2, "stand_edge"), place(row, 5, "stand_edge"),
                                   edge_points.take({whole(row, 0), whole(row, 1)}), real(row, 8)};
        });
    edge_points.require_all_taken();
    const char* query = "SELECT id, clip, still_number, still_pts, knowledge, lens FROM stand ORDER BY id";
    sql.rows(query, [&](Statement& row) {
        meet::CameraStand stand;
        stand.id = {whole(row, 0)};
        stand.clip = {whole(row, 1)};
        stand.still = {whole(row, 2), whole(row, 3)};
        stand.knowledge = word(row, 4, kLensKnownWords, "stand");
        stand.lens = {id_or_none(row, 5)};
        stand.points = points.take(stand.id.value);
        stand.edges = edges.take(stand.id.value);
        things.emplace_back(std::move(stand));
    });
    points.require_all_taken();
    edges.require_all_taken();
}

}  // namespace

void write_lens_row(Sql& sql, const meet::CameraLens& lens) {
    static const std::string kText =
        upsert("lens", {"camera", "width", "height", "fx", "fy", "cx", "cy", "skew", "k1", "k2", "p1", "p2",
                        "k3", "focal_standard", "principal_standard", "k1_standard", "source"});
    sql.run(kText, lens.id.value, lens.camera, std::int64_t{lens.width}, std::int64_t{lens.height}, lens.fx,
            lens.fy, lens.cx, lens.cy, lens.skew, lens.k1, lens.k2, lens.p1, lens.p2, lens.k3,
            lens.focal_standard, lens.principal_standard, lens.k1_standard, hash_or_null(lens.source));
}

void write_stand_rows(Sql& sql, const meet::CameraStand& stand) {
    static const std::string kText =
        upsert("stand", {"clip", "still_number", "still_pts", "knowledge", "lens"});
    sql.run(kText, stand.id.value, stand.clip.value, stand.still.number, stand.still.pts,
            word_for(kLensKnownWords, stand.knowledge),
            stand.lens.valid() ? Whole{stand.lens.value} : Whole{});
    for (const char* table : {"stand_point", "stand_edge_point", "stand_edge"})
        sql.run(std::string("DELETE FROM ") + table + " WHERE stand = ?", stand.id.value);
    for (std::size_t i = 0; i < stand.points.size(); ++i) {
        const meet::StandPoint& seen = stand.points[i];
        sql.run("INSERT INTO stand_point VALUES (?, ?, ?, ?, ?, ?, ?, ?)", stand.id.value, as_id(i),
                word_for(kDrawingWords, seen.place.kind), seen.place.key, std::int64_t{seen.place.corner},
                seen.at[0], seen.at[1], seen.standard);
    }
    for (std::size_t i = 0; i < stand.edges.size(); ++i)
        write_edge(sql, stand.id.value, as_id(i), stand.edges[i]);
}

void read_camera_rows(Sql& sql, std::vector<meet::Entity>& things) {
    if (format_of(sql) < kFirstVersion) return;
    read_lenses(sql, things);
    read_stands(sql, things);
}

void write_pointed_rows(Sql& sql, const meet::Mark& mark) {
    sql.run("DELETE FROM mark_pointed WHERE mark = ?", mark.id.value);
    for (std::size_t i = 0; i < mark.pointed.size(); ++i) {
        const meet::Pointed& pointed = mark.pointed[i];
        sql.run("INSERT INTO mark_pointed VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", mark.id.value, as_id(i),
                pointed.clip.value, pointed.frame.number, pointed.frame.pts, pointed.at[0], pointed.at[1],
                pointed.followed ? Whole{pointed.followed->from} : Whole{},
                pointed.followed ? std::optional(pointed.followed->standard) : std::nullopt);
    }
}

Parts<meet::Pointed> read_pointed_rows(Sql& sql) {
    const char* table = "mark_pointed";
    if (format_of(sql) < kFirstVersion) return Parts<meet::Pointed>(table);
    return {sql, table,
            "SELECT mark, position, clip, frame_number, frame_pts, x, y, followed_from, "
            "followed_standard FROM mark_pointed ORDER BY mark, position",
            [](Statement& row) {
                meet::Pointed pointed{{whole(row, 2)}, {whole(row, 3), whole(row, 4)}, point(row, 5)};
                if (!null(row, 7)) pointed.followed = {whole(row, 7), real(row, 8)};
                return pointed;
            }};
}

std::string measured_columns(Sql& sql) {
    if (format_of(sql) < kFirstVersion) return {};
    return ", measured_clip, measured_number, measured_pts, measured_from_ns, measured_to_ns";
}

std::optional<meet::MeasuredMoment> measured_or_none(Statement& row, int column) {
    if (null(row, column)) return std::nullopt;
    return meet::MeasuredMoment{{whole(row, column)},
                                {whole(row, column + 1), whole(row, column + 2)},
                                {whole(row, column + 3)},
                                {whole(row, column + 4)}};
}

}  // namespace plumbmark::store
