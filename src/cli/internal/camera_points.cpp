#include "cli/internal/camera_points.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "base/text.h"
#include "cli/internal/hand_written.h"

namespace plumbmark::cli {
namespace {

constexpr std::size_t kMostEdges = 100;
constexpr double kSamePlace = 1e-4;     ///< metres
constexpr double kSameEnd = 0.001;      ///< metres: an end of a plane that is one of the places
constexpr double kUsuallyBeside = 0.5;  ///< metres that a part may be beyond a plane's ends

constexpr Bounds kPointing{0, 1000, true, "pixels"};
constexpr Bounds kTolerance{0, 10, false, "metres"};
constexpr Bounds kMetres{-1000, 1000, false, "metres"};
constexpr Bounds kSide{16, 32768, false, "pixels"};
constexpr Bounds kFocal{0, 1e6, true, "pixels"};
constexpr Bounds kPixelStandard{0, 1e6, false, "pixels"};
constexpr Bounds kPixel{-1e6, 1e6, false, "pixels"};
constexpr Bounds kDistortion{-1000, 1000, false, ""};
constexpr Bounds kDistortionStandard{0, 1000, false, ""};

struct Size {
    int width = 0, height = 0;
};

/// The sections of the file one after the other; what they share is the sightings so far.
class PointsReader {
  public:
    PointsReader(const toml::table& root, Departures& departures)
        : departures_(departures),
          root_(root, {1, 1}, "the file",
                {"picture", "pointing", "tolerance", "place", "edge", "lens", "plane", "measure"},
                departures) {}

    CameraPoints read() {
        read_top();
        for (const toml::table* table : root_.tables("place", kMostPlaces))
            read_place(*table);
        if (!root_.has("place"))
            root_.missing("place", "a [[place]] with 'name', 'at' and 'seen' for each place");
        for (const toml::table* table : root_.tables("edge", kMostEdges))
            read_edge(*table);
        read_lens();
        for (const toml::table* table : root_.tables("plane", kMostAsked))
            read_plane(*table);
        for (const toml::table* table : root_.tables("measure", kMostAsked))
            read_measure(*table);
        return {std::move(out_), std::move(planes_), std::move(measures_)};
    }

  private:
    void read_top() {
        if (const auto size = picture(root_, true)) out_.width = size->width, out_.height = size->height;
        pointing_ = needed(root_, "pointing", kPointing);
        tolerance_ = needed(root_, "tolerance", kTolerance);
    }

    static double needed(const Fields& fields, const char* key, const Bounds& bounds) {
        if (!fields.has(key)) fields.missing(key, bounds.words());
        return fields.number(key, bounds).value_or(1);
    }

    static std::optional<Size> picture(const Fields& fields, bool required) {
        const std::string expected = "the upright picture's width and height, such as [1920, 1080]";
        if (required && !fields.has("picture")) fields.missing("picture", expected);
        const auto sides = fields.numbers("picture", 2, 2, kSide, expected);
        if (!sides) return std::nullopt;
        const Size size{static_cast<int>((*sides)[0]), static_cast<int>((*sides)[1])};
        if (size.width == (*sides)[0] && size.height == (*sides)[1]) return size;
        fields.wrong("picture", "a picture has whole pixels", expected);
        return std::nullopt;
    }

    /// A picture's place that lies within the picture.
    std::optional<sight::Pixel> within(const Fields& fields, const char* key,
                                       const std::vector<double>& at) const {
        const bool inside = at[0] >= 0 && at[1] >= 0 && at[0] <= out_.width && at[1] <= out_.height;
        // Where the picture's size is wrong, that is told, and no more.
        if (inside || out_.width == 0) return sight::Pixel{at[0], at[1]};
        fields.wrong(
            key, fmt::format("[{}, {}] lies outside the picture", at[0], at[1]),
            fmt::format("pixels from its upper left corner [0, 0] to [{}, {}]", out_.width, out_.height));
        return std::nullopt;
    }

    void read_place(const toml::table& table) {
        const std::string number = fmt::format("place {}", ++places_read_);
        const std::string named = table["name"].value_exact<std::string>().value_or("");
        const Fields fields(table, place_of(table),
                            named.empty() ? number : fmt::format("the place {}", quoted(named)),
                            {"name", "at", "seen", "pointing", "tolerance"}, departures_);
        if (!fields.has("name"))
            fields.missing("name", "what people call it, such as \"coil deck, corner 2\"");
        const std::string form = "its measures in metres, such as [3.45, -0.62, 0.6]";
        if (!fields.has("at")) fields.missing("at", form);
        const std::string name = fields.name("name").value_or("");
        const auto at = fields.numbers("at", 3, 3, kMetres, form);
        const double tolerance = fields.number("tolerance", kTolerance).value_or(tolerance_);
        if (name.empty() || !at) return seen_in_vain(fields);
        sight::KnownPlace place{name, {(*at)[0], (*at)[1], (*at)[2]}, tolerance};
        tell_repeated(fields, place);
        read_seen(fields, out_.places.size());
        out_.places.push_back(std::move(place));
    }

    /// The rest of a place that cannot be kept is looked at all the same, so that all is told at once.
    void seen_in_vain(const Fields& fields) {
        read_seen(fields, 0);
        incomplete_ = true;
    }

    void read_seen(const Fields& fields, std::size_t place) {
        const double pointing = fields.number("pointing", kPointing).value_or(pointing_);
        if (!fields.has("seen") && fields.has("pointing"))
            fields.wrong("pointing", "'pointing' stands at a place that is not seen",
                         "'seen' beside it; a hidden place has neither");
        const auto seen = fields.numbers("seen", 2, 2, kPixel,
                                         "where it is in the picture, in pixels, such as [624.5, 620.5]");
        if (!seen) return;
        if (const auto pixel = within(fields, "seen", *seen))
            out_.points.push_back({place, *pixel, pointing});
    }

    void tell_repeated(const Fields& fields, const sight::KnownPlace& place) const {
        for (const sight::KnownPlace& other : out_.places) {
            if (other.name == place.name)
                fields.wrong("name", fmt::format("there is a place {} further up", quoted(place.name)),
                             "each name once");
            else if (length(other.at - place.at) < kSamePlace)
                fields.wrong("at", fmt::format("these are the measures of {}", quoted(other.name)),
                             "each place once, with its own measures");
        }
    }

    std::optional<std::size_t> end_of_edge(const Fields& fields, const char* key) const {
        const std::string form = "the name of a place in quotes";
        if (!fields.has(key)) fields.missing(key, form);
        const auto name = fields.text(key, form);
        if (!name) return std::nullopt;
        std::vector<std::string> names;
        for (std::size_t i = 0; i < out_.places.size(); ++i) {
            if (out_.places[i].name == *name) return i;
            names.push_back(out_.places[i].name);
        }
        // One of the places that were left out as wrong, perhaps.
        if (incomplete_) return std::nullopt;
        const std::string nearest =
            name->size() > 200 ? std::string() : base::nearest_name(*name, names).value_or("");
        fields.wrong(key, fmt::format("there is no place {}", quoted(*name)), form, nearest);
        return std::nullopt;
    }

    void read_edge(const toml::table& table) {
        const Fields fields(table, place_of(table), fmt::format("edge {}", ++edges_read_),
                            {"from", "to", "seen", "pointing"}, departures_);
        const auto from = end_of_edge(fields, "from"), to = end_of_edge(fields, "to");
        const std::string form = "points on it in pixels, such as [[905.5, 576.5], [888.5, 547.5]]";
        if (!fields.has("seen")) fields.missing("seen", form);
        sight::SeenEdge edge;
        edge.standard = fields.number("pointing", kPointing).value_or(pointing_);
        for (const std::vector<double>& at : fields.lists("seen", kMostEdgePoints, 2, kPixel, form))
            if (const auto pixel = within(fields, "seen", at)) edge.at.push_back(*pixel);
        edge_points_ += edge.at.size();
        if (edge_points_ > kMostEdgePoints)
            fields.wrong("seen", fmt::format("the edges have {} points", edge_points_),
                         fmt::format("at most {} on all edges together", kMostEdgePoints));
        if (!from || !to) return;
        if (*from == *to) fields.wrong("to", "the edge ends where it begins", "two places");
        edge.from = *from;
        edge.to = *to;
        out_.edges.push_back(std::move(edge));
    }

    void read_plane(const toml::table& table) {
        const Fields fields(table, place_of(table), fmt::format("plane {}", planes_.size() + 1),
                            {"name", "line", "past", "tolerance"}, departures_);
        const std::string form =
            "its two ends on the floor plan in metres, such as [[6.25, -0.62], [6.25, 0.62]]";
        const std::string beyond = "a point [x, y] on its far side, in metres";
        for (const auto& [key, expected] : {std::pair{"name", std::string("what people call it")},
                                            std::pair{"line", form}, std::pair{"past", beyond}})
            if (!fields.has(key)) fields.missing(key, expected);
        AskedPlane asked{fields.name("name").value_or(""), {}};
        const double tolerance = fields.number("tolerance", kTolerance).value_or(tolerance_);
        const auto line = fields.lists("line", 2, 2, kMetres, form);
        const auto past = fields.numbers("past", 2, 2, kMetres, beyond);
        if (fields.has("line") && line.size() == 1) fields.wrong("line", "one end stands there", form);
        if (line.size() != 2 || !past || asked.name.empty()) {
            incomplete_planes_ = true;
            return;
        }
        for (std::size_t i = 0; i < 2; ++i)
            asked.plane.ends[i] = {line[i][0], line[i][1], tolerance, place_at(line[i])};
        const double side = (line[1][0] - line[0][0]) * ((*past)[1] - line[0][1]) -
                            (line[1][1] - line[0][1]) * ((*past)[0] - line[0][0]);
        if (!(std::abs(side) > 1e-9))
            return fields.wrong("past", "that point lies on the plane itself", beyond);
        asked.plane.past_is_left = side > 0;
        planes_.push_back(std::move(asked));
    }

    /// An end that is one of the places is that place, as the picture betters it.
    [[nodiscard]] std::optional<std::size_t> place_at(const std::vector<double>& end) const {
        for (std::size_t i = 0; i < out_.places.size(); ++i)
            if (std::hypot(out_.places[i].at.x - end[0], out_.places[i].at.y - end[1]) < kSameEnd) return i;
        return std::nullopt;
    }

    std::optional<std::size_t> plane_named(const Fields& fields) const {
        const std::string form = "the name of a [[plane]] in quotes";
        const auto name = fields.text("plane", form);
        if (!name) return std::nullopt;
        std::vector<std::string> names;
        for (std::size_t i = 0; i < planes_.size(); ++i) {
            if (planes_[i].name == *name) return i;
            names.push_back(planes_[i].name);
        }
        if (!incomplete_planes_)
            fields.wrong("plane", fmt::format("there is no plane {}", quoted(*name)), form,
                         base::nearest_name(*name, names).value_or(""));
        return std::nullopt;
    }

    void read_measure(const toml::table& table) {
        const Fields fields(table, place_of(table), fmt::format("measure {}", measures_.size() + 1),
                            {"name", "seen", "pointing", "on", "tolerance", "between", "plane", "beside"},
                            departures_);
        const std::string form = "where it is in the picture, in pixels, such as [712, 655]";
        if (!fields.has("name")) fields.missing("name", "what was pointed at, such as \"left heel\"");
        if (!fields.has("seen")) fields.missing("seen", form);
        AskedMeasure asked;
        asked.name = fields.name("name").value_or("");
        asked.at.standard = fields.number("pointing", kPointing).value_or(pointing_);
        const auto seen = fields.numbers("seen", 2, 2, kPixel, form);
        if (seen)
            if (const auto pixel = within(fields, "seen", *seen)) asked.at.at = *pixel;
        asked.plane = plane_named(fields);
        if (fields.has("on") == fields.has("between"))
            return departures_.add(
                fields.place(),
                fields.has("on") ? "the measure has 'on' and 'between'"
                                 : "the measure has neither 'on' nor 'between'",
                "on = the height of what it touches, or between = [lowest, highest] of a part "
                "in the air");
        fields.has("on") ? read_level(fields, asked) : read_space(fields, asked);
        measures_.push_back(std::move(asked));
    }

    void read_level(const Fields& fields, AskedMeasure& asked) const {
        sight::Level level;
        level.height = fields.number("on", kMetres).value_or(0);
        level.tolerance = fields.number("tolerance", kTolerance).value_or(tolerance_);
        if (fields.has("beside"))
            fields.wrong("beside", "'beside' stands at something that touches a surface",
                         "it with 'between' only");
        asked.where = level;
    }

    void read_space(const Fields& fields, AskedMeasure& asked) const {
        const std::string form = "the lowest and the highest it can be, in metres, such as [0.6, 2.2]";
        if (!fields.has("plane"))
            fields.missing("plane",
                           "the name of a [[plane]]: of a part in the air only its side of one is told");
        const auto heights = fields.numbers("between", 2, 2, kMetres, form);
        const double beside = fields.number("beside", kTolerance).value_or(kUsuallyBeside);
        sight::Space space;
        if (heights) space.lowest = (*heights)[0], space.highest = (*heights)[1];
        if (heights && !(space.lowest < space.highest))
            fields.wrong("between", "the second height is not above the first", form);
        if (asked.plane) {
            const auto& ends = planes_[*asked.plane].plane.ends;
            space.along_from = -beside;
            space.along_to = std::hypot(ends[1].x - ends[0].x, ends[1].y - ends[0].y) + beside;
        }
        asked.where = space;
    }

    void read_lens() {
        const toml::node* node = root_.find("lens");
        if (node == nullptr) return;
        const toml::table* table = node->as_table();
        if (table == nullptr)
            return root_.wrong("lens", "'lens' stands there as a value or in double brackets",
                               "one [lens] heading, and its keys below");
        const Fields fields(*table, place_of(*table), "[lens]",
                            {"find", "focal", "focal_standard", "centre", "centre_standard", "radial",
                             "radial_standard", "decentring", "skew", "picture"},
                            departures_);
        if (fields.has("find") == fields.has("focal")) {
            const bool both = fields.has("find");
            return departures_.add(
                fields.place(),
                both ? "[lens] has 'find' and 'focal'" : "[lens] has neither 'find' nor 'focal'",
                "find = \"focal\" for a lens that nobody measured, or 'focal' and the rest of one that was");
        }
        fields.has("find") ? read_find(fields) : read_measured(fields);
    }

    void read_find(const Fields& fields) {
        const std::string form = "\"focal\" or \"focal and radial\"";
        for (const char* key : {"focal_standard", "centre", "centre_standard", "radial", "radial_standard",
                                "decentring", "skew", "picture"})
            if (fields.has(key))
                fields.wrong(key, fmt::format("'{}' stands beside 'find'", key),
                             "it with 'focal' only, of a lens that was measured");
        const auto word = fields.text("find", form);
        if (!word) return;
        if (*word == "focal")
            out_.knowledge = sight::LensKnowledge::focal_length;
        else if (*word == "focal and radial")
            out_.knowledge = sight::LensKnowledge::focal_and_radial;
        else
            fields.wrong("find", fmt::format("'find' is {}", quoted(*word)), form,
                         base::nearest_name(*word, {"focal", "focal and radial"}).value_or(""));
    }

    /// A standard deviation that has to stand beside the value it is of, and nowhere else.
    static double standard(const Fields& fields, const std::string& of, const Bounds& bounds,
                           double otherwise) {
        const std::string key = of + "_standard";
        if (fields.has(of) && !fields.has(key))
            fields.missing(key, fmt::format("the standard deviation of '{}', {}; 0 where it is exact", of,
                                            bounds.words()));
        if (!fields.has(of) && fields.has(key))
            fields.wrong(key, fmt::format("'{}' stands without '{}'", key, of),
                         fmt::format("'{}' as well", of));
        return fields.number(key, bounds).value_or(otherwise);
    }

    void read_measured(const Fields& fields) {
        const Size size = picture(fields, false).value_or(Size{out_.width, out_.height});
        sight::Lens lens{size.width, size.height, 0, 0, size.width / 2.0, size.height / 2.0};
        read_focal(fields, lens);
        const auto centre = fields.numbers("centre", 2, 2, kPixel, "the principal point, such as [960, 540]");
        if (centre) lens.cx = (*centre)[0], lens.cy = (*centre)[1];
        const auto radial = fields.numbers("radial", 1, 3, kDistortion, "[k1], [k1, k2] or [k1, k2, k3]");
        if (radial) {
            lens.k1 = (*radial)[0];
            lens.k2 = radial->size() > 1 ? (*radial)[1] : 0;
            lens.k3 = radial->size() > 2 ? (*radial)[2] : 0;
        }
        const auto decentring = fields.numbers("decentring", 2, 2, kDistortion, "[p1, p2]");
        if (decentring) lens.p1 = (*decentring)[0], lens.p2 = (*decentring)[1];
        lens.skew = fields.number("skew", kPixel).value_or(0);
        sight::LensStandard& known = out_.lens_standard;
        known.focal = standard(fields, "focal", kPixelStandard, 0) / std::max(lens.fx, 1e-9);
        known.principal = standard(fields, "centre", kPixelStandard,
                                   sight::kPrincipalStandard * std::max(size.width, size.height));
        known.k1 = standard(fields, "radial", kDistortionStandard, sight::kRadialStandard);
        keep(fields, lens);
    }

    static void read_focal(const Fields& fields, sight::Lens& lens) {
        if (fields.find("focal")->is_array()) {
            const auto both = fields.numbers("focal", 2, 2, kFocal, "one focal length, or two as [fx, fy]");
            if (both) lens.fx = (*both)[0], lens.fy = (*both)[1];
        } else {
            lens.fx = lens.fy = fields.number("focal", kFocal).value_or(0);
        }
    }

    /// In a picture of the size that the points are in.
    void keep(const Fields& fields, const sight::Lens& lens) {
        out_.knowledge = sight::LensKnowledge::measured;
        if (out_.width == 0 || lens.width == 0) return;
        const auto here = rescaled(lens, out_.width, out_.height);
        if (!here)
            return fields.wrong(
                "picture",
                fmt::format("the lens was measured in pictures of another shape ({} x {})", lens.width,
                            lens.height),
                fmt::format("the shape of {} x {}: where a picture was cut, nobody knows where "
                            "its middle was",
                            out_.width, out_.height));
        out_.lens_standard.principal *= static_cast<double>(out_.width) / lens.width;
        out_.lens = *here;
    }

    Departures& departures_;
    Fields root_;
    sight::Sightings out_;
    double pointing_ = 1, tolerance_ = 0;
    std::vector<AskedPlane> planes_;
    std::vector<AskedMeasure> measures_;
    bool incomplete_planes_ = false;
    std::size_t places_read_ = 0, edges_read_ = 0, edge_points_ = 0;
    bool incomplete_ = false;  ///< a place had no name or no measures
};

}  // namespace

base::Result<CameraPoints> read_camera_points(std::string_view text, std::string_view file) {
    Departures departures;
    CameraPoints points;
    if (const auto root = parse_hand_written(text, departures))
        points = PointsReader(*root, departures).read();
    if (!departures.none()) return departures.error(file);
    return points;
}

}  // namespace plumbmark::cli
