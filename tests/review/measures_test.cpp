// What is measured of marks, against the truth that the renderer of the sample meet solved.
#include "review/measures.h"

#include "report/ruling_text.h"
#include "review/documents.h"
#include "review/evidence.h"
#include "review/measured_moment.h"
#include "review/run_measures.h"
#include "sample_cameras.h"

using namespace plumbmark;
using test::Hand;
using test::SampleMeet;

namespace {

meet::MarkId add_mark(review::Session& session, meet::Event event, std::vector<meet::Sighting> sightings,
                      std::vector<meet::Pointed> pointed) {
    meet::Mark mark;
    mark.id = {session.state().next_id(meet::Kind::mark)};
    mark.run = session.run();
    mark.alternatives = {std::move(event)};
    mark.sightings = std::move(sightings);
    mark.pointed = std::move(pointed);
    REQUIRE(session.apply({"a mark to measure", {{std::nullopt, mark}}, 0}).ok());
    return mark.id;
}

meet::Event cross_front() {
    meet::Event event;
    event.kind = meet::EventKind::cross;
    event.part = course::Part::right_foot;
    event.plane = "gantry_front_plane";
    return event;
}

meet::Event touch_gantry() {
    meet::Event event;
    event.part = course::Part::right_foot;
    event.surface = "gantry_deck";
    return event;
}

/// Which frame shows the clip's picture at this time of the run.
std::int64_t frame_at(const SampleMeet& meet, meet::ClipId clip, const test::SampleClip& truth,
                      std::int64_t run_ns) {
    return meet.view(clip).table->frame_at(base::Time{run_ns + truth.offset_ns});
}

const review::MarkMeasured* of(const std::vector<review::MarkMeasured>& list, meet::MarkId mark) {
    for (const review::MarkMeasured& one : list)
        if (one.mark == mark) return &one;
    return nullptr;
}

}  // namespace

TEST_CASE("the camera that filmed the sample meet is found from the corners of its plan") {
    SampleMeet meet("run 1");
    const meet::ClipId clip = meet.clip("run-1-a.mp4");
    const auto truth = test::sample_clip("run-1-a.mp4");
    Hand hand;
    const meet::CameraStand stand =
        test::pointed_stand(*meet.session->book(), truth.camera, clip, meet.frame(clip, 0), hand);
    REQUIRE(stand.points.size() > 20);
    const auto found = review::found_camera(stand, *meet.session->book(), nullptr,
                                            review::form_of(meet.view(clip).table->info()));
    REQUIRE(found.ok());
    const sight::Vec3 off = sight::centre(found->camera.camera) - sight::centre(truth.camera);
    const sight::Vec3 standard = found->camera.centre_standard();
    CHECK(std::abs(off.x) < 4 * standard.x);
    CHECK(std::abs(off.y) < 4 * standard.y);
    CHECK(std::abs(off.z) < 4 * standard.z);
    CHECK(standard.y < 0.6);  // fourteen metres off, along the sight
    CHECK(std::abs(found->camera.camera.lens.fx - 1640) < 4 * found->camera.focal_standard());
    CHECK(found->camera.suspects.empty());
    CHECK_FALSE(found->supposed_tape);
}

TEST_CASE("two corners that were exchanged are named as what they are") {
    SampleMeet meet("run 1");
    const meet::ClipId clip = meet.clip("run-1-a.mp4");
    Hand hand;
    meet::CameraStand stand = test::pointed_stand(
        *meet.session->book(), test::sample_clip("run-1-a.mp4").camera, clip, meet.frame(clip, 0), hand);
    // Every fifth place of the plan: eight or so, at several heights.
    std::vector<meet::StandPoint> some;
    for (std::size_t i = 0; i < stand.points.size(); i += 5)
        some.push_back(stand.points[i]);
    stand.points = some;
    std::swap(stand.points[1].at, stand.points[2].at);
    const auto found = review::found_camera(stand, *meet.session->book(), nullptr,
                                            review::form_of(meet.view(clip).table->info()));
    INFO((found ? "" : found.error().text()));
    REQUIRE(found.ok());
    REQUIRE(found->camera.suspects.size() == 2);
    CHECK(found->camera.suspects[0].residual == 1);
    CHECK(found->camera.suspects[0].instead == 2);
    CHECK(found->camera.suspects[1].residual == 2);
    CHECK(found->camera.suspects[1].instead == 1);
}

TEST_CASE("a place that the plan does not have any more is refused by its name") {
    SampleMeet meet("run 1");
    meet::CameraStand stand{{1}, {1}, {0, 0}, meet::LensKnown::focal_length, {}, {}, {}};
    stand.points.push_back({{meet::DrawingKind::surface, "coil_deck", 7}, {10, 10}, 1});
    const auto found = review::found_camera(stand, *meet.session->book(), nullptr, {1280, 720, 1, 0});
    REQUIRE_FALSE(found.ok());
    CHECK(
        found.error().text() ==
        "The course book's plan has no corner 8 of 'coil_deck' any more, which was pointed at. Point at the "
        "places anew, or give the book its plan back.");
}

TEST_CASE("a touch of the gantry deck is measured past its front plane and the sheet says so") {
    SampleMeet meet("run 1");
    review::Session& session = *meet.session;
    const meet::ClipId clip = meet.clip("run-1-a.mp4");
    const auto truth = test::sample_clip("run-1-a.mp4");
    Hand hand;
    const auto stand = test::pointed_stand(*session.book(), truth.camera, clip, meet.frame(clip, 0), hand);
    REQUIRE(session.apply({"stand", {{std::nullopt, stand}}, 0}).ok());
    // sample_clips/truth.json: the right foot touches at 6.703170489 s at (6.6169, -0.0881, 0.7).
    const sight::Vec3 place{6.6169, -0.0881, 0.7};
    const std::int64_t late = frame_at(meet, clip, truth, 6'703'170'489) + 1;
    // The mark of it that the sample meet has, pointed at.
    meet::MarkId mark;
    for (const meet::Mark& one : session.state().marks_of(session.run()))
        if (one.alternatives.front().kind == meet::EventKind::touch &&
            one.alternatives.front().part == course::Part::right_foot &&
            one.alternatives.front().surface == "gantry_deck" && one.sightings.front().late &&
            std::abs(one.sightings.front().late->number - late) < 5)
            mark = one.id;
    REQUIRE(mark.valid());
    REQUIRE(session
                .apply(review::with_pointed(session.state().marks().at(mark), clip, meet.frame(clip, late),
                                            hand.at(*sight::project(truth.camera, place), 2)))
                .ok());
    const auto measured = review::run_measures(session);
    REQUIRE(measured.ok());
    const review::MarkMeasured* one = of(*measured, mark);
    REQUIRE(one != nullptr);
    REQUIRE(one->measures.found.size() == 1);
    const review::Measured& found = one->measures.found.front();
    CHECK(found.how == review::MeasuredHow::on_surface);
    CHECK(found.plane == "gantry_front_plane");
    CHECK(found.distance.side == sight::Side::past);
    CHECK(found.distance.sure.low < 0.3669);
    CHECK(found.distance.sure.high > 0.3669);
    CHECK(found.distance.likely.high - found.distance.likely.low < 0.12);
    CHECK_THAT(found.says.english(), Catch::Contains(" past front plane of the gantry deck, 95 % between "));
    REQUIRE(session.settle().ok());
    auto document = review::ruling_document(session);
    INFO((document ? "" : document.error().text()));
    REQUIRE(document.ok());
    review::add_measures(*measured, session.state(), session.run(), *document);
    CHECK_THAT(report::ruling_text(*document), Catch::Contains("Measured:") &&
                                                   Catch::Contains(found.says.english()) &&
                                                   Catch::Contains("Measured in camera A, f "));
}

TEST_CASE("a foot in the air before the plane of a camera that stands in it is told, of another one not") {
    SampleMeet meet("run 4");
    review::Session& session = *meet.session;
    const meet::ClipId a = meet.clip("run-4-a.mp4"), b = meet.clip("run-4-b.mp4");
    const auto camera_a = test::sample_clip("run-4-a.mp4"), camera_b = test::sample_clip("run-4-b.mp4");
    Hand hand;
    auto stand_a = test::pointed_stand(*session.book(), camera_a.camera, a, meet.frame(a, 0), hand);
    auto stand_b = test::pointed_stand(*session.book(), camera_b.camera, b, meet.frame(b, 0), hand);
    stand_b.id = {2};
    REQUIRE(session.apply({"stands", {{std::nullopt, stand_a}, {std::nullopt, stand_b}}, 0}).ok());
    // A foot 1.2 m before the plane: camera A looks along the plane within some five degrees, camera B
    // across.
    const sight::Vec3 place{5.05, -0.08, 0.9};
    const auto see = [&](meet::ClipId clip, const test::SampleClip& truth) {
        return add_mark(session, cross_front(), {{clip, meet.frame(clip, 10), meet.frame(clip, 11)}},
                        {{clip, meet.frame(clip, 11), hand.at(*sight::project(truth.camera, place), 2)}});
    };
    const meet::MarkId by_a = see(a, camera_a), by_b = see(b, camera_b);
    const auto measured = review::run_measures(session);
    REQUIRE(measured.ok());
    const review::MarkMeasured *one = of(*measured, by_a), *other = of(*measured, by_b);
    REQUIRE(one != nullptr);
    REQUIRE(other != nullptr);
    REQUIRE(one->measures.found.size() == 1);
    REQUIRE(other->measures.found.size() == 1);
    CHECK(one->measures.found[0].how == review::MeasuredHow::in_the_air);
    CHECK(one->measures.found[0].distance.side == sight::Side::before);
    CHECK(one->measures.found[0].distance.angle < 8);
    CHECK(one->measures.found[0].distance.sure.low < -1.2);
    CHECK(one->measures.found[0].distance.sure.high > -1.2);
    const sight::Distance& across = other->measures.found[0].distance;
    CHECK(across.angle > 20);
    CHECK(across.best.low < -1.2);
    CHECK(across.best.high > -1.2);
    CHECK(across.best.high - across.best.low > 0.5);
}

TEST_CASE("a crossing is timed between the frames and narrows the ruling once it is taken") {
    SampleMeet meet("run 1");
    review::Session& session = *meet.session;
    const meet::ClipId clip = meet.clip("run-1-a.mp4");
    const auto truth = test::sample_clip("run-1-a.mp4");
    const media::FrameTable& table = *meet.view(clip).table;
    Hand hand;
    const auto stand = test::pointed_stand(*session.book(), truth.camera, clip, meet.frame(clip, 0), hand);
    REQUIRE(session.apply({"stand", {{std::nullopt, stand}}, 0}).ok());
    // A foot that moves at 3 m/s through the plane, a third of the way from f 100 to f 101.
    const double crosses = static_cast<double>(table.time(100).ns) * 1e-9 +
                           static_cast<double>((table.time(101) - table.time(100)).ns) * 1e-9 / 3;
    std::vector<meet::Pointed> pointed;
    for (std::int64_t frame = 93; frame <= 108; ++frame) {
        const double t = static_cast<double>(table.time(frame).ns) * 1e-9 - crosses;
        const sight::Vec3 at{6.25 + 3 * t, -0.08, 0.9 - 0.4 * t};
        pointed.push_back({clip, meet.frame(clip, frame), hand.at(*sight::project(truth.camera, at), 1)});
    }
    const meet::MarkId id =
        add_mark(session, cross_front(), {{clip, meet.frame(clip, 93), meet.frame(clip, 108)}}, pointed);
    const auto measured = review::run_measures(session);
    REQUIRE(measured.ok());
    const review::MarkMeasured* one = of(*measured, id);
    REQUIRE(one != nullptr);
    INFO((one->moment_trouble ? one->moment_trouble->text() : ""));
    REQUIRE(one->moment);
    const double early = static_cast<double>(table.time(93).ns) * 1e-9;
    CHECK(one->moment->crossing.speed == Approx(3).margin(1));
    const auto seconds = [](base::Duration d) { return static_cast<double>(d.ns) * 1e-9; };
    CHECK(seconds(one->moment->moment.from) < crosses - early);
    // The clip's row delay is not known: it may be read out over 33 ms, and the truth is the first row's.
    CHECK(seconds(one->moment->moment.to) > crosses - early);
    CHECK(seconds(one->moment->moment.to) - seconds(one->moment->moment.from) < 0.15);

    // Had the points been followed from one of them they would be off together, and that is said.
    {
        meet::Mark followed = session.state().marks().at(id);
        for (meet::Pointed& point : followed.pointed)
            if (point.frame.number != 100) point.followed = {100, 0.5};
        const auto camera =
            review::found_camera(stand, *session.book(), nullptr, review::form_of(table.info()));
        REQUIRE(camera);
        const auto moment =
            review::measured_moment(session.state(), followed, *session.book(),
                                    [&](meet::ClipId, const meet::FrameRef&) { return &*camera; });
        INFO((moment ? "" : moment.error().text()));
        REQUIRE(moment);
        CHECK(moment->crossing.standard > 1.5 * one->moment->crossing.standard);
        CHECK(moment->rests_on.english() ==
              "Measured from 16 frames of camera A. On 15 of them the point was followed by the pictures.");
    }

    // Taken: the bracket of the ruling's evidence is the measured one, and undo takes it out.
    const auto bracket = [&] {
        const auto evidence =
            review::run_evidence(session.state(), session.run(), *session.book(),
                                 [&](meet::ClipId which) { return meet.view(which).table; });
        REQUIRE(evidence.ok());
        for (const ruling::Mark& mark : evidence->evidence.marks)
            if (mark.id == id) return mark.sightings.front();
        FAIL("the mark is not there");
        return ruling::Sighting{};
    };
    const ruling::Sighting wide = bracket();
    CHECK(wide.after == table.time(93));
    CHECK(wide.until == table.time(108));
    CHECK_FALSE(wide.row_known);
    const auto& mark = session.state().marks().at(id);
    REQUIRE(session.apply(review::with_moment(mark, one->moment->moment)).ok());
    const ruling::Sighting narrow = bracket();
    CHECK(narrow.row_known);
    CHECK(narrow.after == table.time(93) + one->moment->moment.from);
    CHECK(narrow.until == table.time(93) + one->moment->moment.to);
    REQUIRE(session.undo().ok());
    CHECK(bracket() == wide);
    // A point that is placed anew takes a taken moment out.
    REQUIRE(session.redo().ok());
    const auto change = review::with_pointed(session.state().marks().at(id), clip, meet.frame(clip, 93),
                                             std::array{5.0, 6.0});
    CHECK_FALSE(std::get<meet::Mark>(*change.edits.front().after).measured);
    CHECK(std::get<meet::Mark>(*change.edits.front().after).pointed.size() == 16);
}

TEST_CASE("a mark's own row says when it was seen where the clip's row delay is known") {
    SampleMeet meet("run 1");
    review::Session& session = *meet.session;
    const meet::ClipId clip = meet.clip("run-1-a.mp4");
    meet::Clip known = session.state().clips().at(clip);
    known.row_delay = base::Duration{20'000'000};
    known.picture = meet::ClipPicture{1280, 720, 0};
    REQUIRE(session.apply({"row delay", {{session.state().clips().at(clip), known}}, 0}).ok());
    const auto sighting_at = [&](double y) {
        meet::Mark mark;
        mark.id = {session.state().next_id(meet::Kind::mark)};
        mark.run = session.run();
        mark.alternatives = {touch_gantry()};
        mark.sightings = {{clip, meet.frame(clip, 50), meet.frame(clip, 51)}};
        mark.spot = {{640, y}};
        REQUIRE(session.apply({"a mark", {{std::nullopt, mark}}, 0}).ok());
        const auto evidence =
            review::run_evidence(session.state(), session.run(), *session.book(),
                                 [&](meet::ClipId which) { return meet.view(which).table; });
        REQUIRE(evidence.ok());
        for (const ruling::Mark& made : evidence->evidence.marks)
            if (made.id == mark.id) return made.sightings.front();
        FAIL("the mark is not there");
        return ruling::Sighting{};
    };
    const base::Time early = meet.view(clip).table->time(50), late = meet.view(clip).table->time(51);
    const ruling::Sighting top = sighting_at(0), middle = sighting_at(360);
    CHECK(top.row_known);
    CHECK(top.after == early);
    CHECK(top.until == late + base::Duration{1});
    CHECK(middle.after == early + base::Duration{10'000'000});
    CHECK(middle.until == late + base::Duration{10'000'001});
}

TEST_CASE("rows of a picture that is turned to stand upright are those of the stored one") {
    using review::row_share;
    CHECK(row_share({1920, 1080, 1, 0}, {960, 270}) == Approx(0.25));
    CHECK(row_share({1080, 1920, 1, 1}, {270, 5}) == Approx(0.75));
    CHECK(row_share({1920, 1080, 1, 2}, {960, 270}) == Approx(0.75));
    CHECK(row_share({1080, 1920, 1, 3}, {270, 5}) == Approx(0.25));
}

TEST_CASE("without a file to look at the camera stands on its own frame alone") {
    SampleMeet meet("run 1");
    const meet::ClipId clip = meet.clip("run-1-a.mp4");
    Hand hand;
    const auto stand = test::pointed_stand(*meet.session->book(), test::sample_clip("run-1-a.mp4").camera,
                                           clip, meet.frame(clip, 5), hand);
    REQUIRE(meet.session->apply({"stand", {{std::nullopt, stand}}, 0}).ok());
    review::ClipCameras cameras(meet.session->state(), *meet.session->book(),
                                {{clip, {{}, meet.view(clip).table}}});
    CHECK(cameras.at(clip, meet.frame(clip, 5)).ok());
    const auto away = cameras.at(clip, meet.frame(clip, 6));
    REQUIRE_FALSE(away.ok());
    CHECK(away.error().category == base::Category::not_found);
    // Whoever points there is told why nothing is measured.
    const meet::MarkId id =
        add_mark(*meet.session, cross_front(), {{clip, meet.frame(clip, 5), meet.frame(clip, 9)}},
                 {{clip, meet.frame(clip, 6), {750, 430}, {}}, {clip, meet.frame(clip, 7), {760, 430}, {}}});
    const auto measured = review::run_measures(meet.session->state(), meet.session->run(),
                                               *meet.session->book(), cameras, nullptr);
    REQUIRE(measured.ok());
    const review::MarkMeasured* told = of(*measured, id);
    REQUIRE(told != nullptr);
    CHECK(told->measures.found.empty());
    REQUIRE(told->measures.troubles.size() == 1);
    CHECK(told->measures.troubles.front().sentence == away.error().sentence);
    review::ClipCameras reading(meet.session->state(), *meet.session->book(),
                                review::readable_clips(*meet.session));
    const auto same = reading.at(clip, meet.frame(clip, 60));
    REQUIRE(same.ok());
    CHECK((*same)->frame.number == 5);  // it stood still, so it is the camera of its own frame
}

TEST_CASE("a stand is carried to where its scene is found again with that much less sureness") {
    meet::CameraStand stand{{1}, {1}, {5, 500}, meet::LensKnown::focal_length, {}, {}, {}};
    stand.points.push_back({{meet::DrawingKind::surface, "coil_deck", 0}, {10, 20}, 1});
    stand.edges.push_back({{meet::DrawingKind::surface, "coil_deck", 0},
                           {meet::DrawingKind::surface, "coil_deck", 1},
                           {{30, 40}},
                           1});
    follow::Mapping mapping;
    mapping.m = {1, 0, 7, 0, 1, -3, 0, 0, 1};
    const auto there = review::carried_stand(stand, {9, 900}, mapping, 1.96);
    REQUIRE(there);
    CHECK(there->still == meet::FrameRef{9, 900});
    CHECK(there->points[0].at == std::array<double, 2>{17, 17});
    CHECK(there->points[0].standard == Approx(std::sqrt(2.0)));
    CHECK(there->edges[0].at[0] == std::array<double, 2>{37, 37});
    CHECK(there->edges[0].standard == Approx(std::sqrt(2.0)));
}
