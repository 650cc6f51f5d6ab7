// What a lens, a camera's stand and what a mark had measured must be like, taken alone.
#include <algorithm>
#include <set>
#include <utility>

#include "meet/internal/checker.h"

namespace plumbmark::meet {

using base::to_translate;

namespace {

bool is_side(int pixels) {
    return pixels >= 1 && pixels <= kLargestPicture;
}

void check(Checker& checker, const PlanPlace& place) {
    const bool plane = place.kind == DrawingKind::plane;
    checker.key(place.key, plane ? to_translate("plane") : to_translate("surface"));
    checker.require(!plane || place.corner == 0 || place.corner == 1,
                    to_translate("an end of a plane's line is neither 0 nor 1"));
    checker.require(place.corner >= 0 && place.corner < static_cast<int>(kMostPointed),
                    to_translate("a corner is negative or too large"));
}

void check_pointing(Checker& checker, double standard) {
    checker.finite(standard, to_translate("standard deviation"));
    checker.require(standard > 0, to_translate("a standard deviation of pointing is not positive"));
}

void check(Checker& checker, const StandEdge& edge) {
    check(checker, edge.from);
    check(checker, edge.to);
    checker.require(edge.from != edge.to, to_translate("an edge ends at the place that it begins at"));
    checker.require(!edge.at.empty(), to_translate("an edge has no point"));
    for (const Point& point : edge.at)
        checker.point(point, to_translate("edge"));
    check_pointing(checker, edge.standard);
}

}  // namespace

void check(Checker& checker, const CameraLens& lens) {
    checker.key(lens.camera, to_translate("camera"));
    checker.text(lens.source, to_translate("source"));
    checker.require(is_side(lens.width) && is_side(lens.height),
                    to_translate("its picture is not 1 to 1,000,000 pixels wide and high"));
    for (const double focal : {lens.fx, lens.fy}) {
        checker.finite(focal, to_translate("focal length"));
        checker.require(focal > 0, to_translate("its focal length is not positive"));
    }
    checker.point({lens.cx, lens.cy}, to_translate("principal point"));
    for (const double term : {lens.skew, lens.k1, lens.k2, lens.p1, lens.p2, lens.k3})
        checker.finite(term, to_translate("distortion"));
    for (const double standard : {lens.focal_standard, lens.principal_standard, lens.k1_standard}) {
        checker.finite(standard, to_translate("standard deviation"));
        checker.require(standard >= 0, to_translate("a standard deviation of it is negative"));
    }
}

void check(Checker& checker, const CameraStand& stand) {
    const bool measured = stand.knowledge == LensKnown::measured;
    checker.whole_number(stand.still.number, to_translate("frame"));
    checker.require(!measured || stand.lens.valid(),
                    to_translate("its lens is said to be measured, and none is named"));
    checker.require(measured || !stand.lens.valid(),
                    to_translate("it names a lens, which is yet to be found"));
    checker.at_most(stand.points.size(), kMostPointed);
    for (const StandPoint& point : stand.points) {
        check(checker, point.place);
        checker.point(point.at, to_translate("spot"));
        check_pointing(checker, point.standard);
    }
    std::size_t on_edges = 0;
    for (const StandEdge& edge : stand.edges) {
        check(checker, edge);
        on_edges += edge.at.size();
    }
    checker.at_most(on_edges, kMostPointed);
}

namespace {

void check(Checker& checker, const FollowedFrom& followed, const FrameRef& frame) {
    checker.whole_number(followed.from, to_translate("frame"));
    checker.require(followed.from != frame.number,
                    to_translate("a point is followed to the frame on which it was pointed at"));
    // Also false for what is no number.
    checker.require(followed.standard >= 0 && followed.standard <= kLargestFollowedStandard,
                    to_translate("how well a point was followed is no length in pixels"));
}

}  // namespace

void check_measured(Checker& checker, const Mark& mark) {
    checker.at_most(mark.pointed.size(), kMostPointed);
    std::set<std::pair<ClipId, std::int64_t>> frames;
    for (const Pointed& pointed : mark.pointed) {
        checker.whole_number(pointed.frame.number, to_translate("frame"));
        checker.point(pointed.at, to_translate("spot"));
        checker.require(frames.emplace(pointed.clip, pointed.frame.number).second,
                        to_translate("it points at two places on one frame"));
        if (pointed.followed) check(checker, *pointed.followed, pointed.frame);
    }
    if (!mark.measured) return;
    const MeasuredMoment& moment = *mark.measured;
    checker.whole_number(moment.frame.number, to_translate("frame"));
    checker.require(std::any_of(mark.sightings.begin(), mark.sightings.end(),
                                [&](const Sighting& seen) { return seen.clip == moment.clip; }),
                    to_translate("what was measured lies on a clip without a bracket"));
    checker.whole_number(moment.from.ns, to_translate("measured time"));
    checker.whole_number(moment.to.ns, to_translate("measured time"));
    checker.require(moment.from <= moment.to, to_translate("its measured time ends before it begins"));
}

}  // namespace plumbmark::meet
