// The cameras of the sample meet's clips as their renderer had them (sample_clips/truth.json), and somebody
// who points at the plan's places through them.
#pragma once

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>

#include "review/camera_stands.h"
#include "review/session.h"
#include "sight/camera.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace plumbmark::test {

inline const std::filesystem::path kSampleClips = test::source_folder() / "sample_clips";

struct SampleClip {
    sight::Camera camera;
    std::int64_t offset_ns = 0;  ///< time of the clip minus time of the run
};

inline SampleClip sample_clip(const std::string& name) {
    std::ifstream file(kSampleClips / "truth.json");
    const nlohmann::json truth = nlohmann::json::parse(file);
    for (const auto& run : truth["runs"])
        for (const auto& clip : run["clips"]) {
            if (clip["clip"] != name) continue;
            const auto vec = [&](const char* key) {
                const auto& v = clip["camera"][key];
                return sight::Vec3{v[0], v[1], v[2]};
            };
            const sight::Vec3 at = vec("at"), ahead = sight::unit(vec("target") - at);
            const sight::Vec3 right = sight::unit(sight::cross(ahead, {0, 0, 1}));
            const sight::Vec3 down = sight::cross(ahead, right);
            SampleClip out;
            const double focal = clip["camera"]["focal_px"];
            const int width = clip["width"], height = clip["height"];
            out.camera.lens = {width, height, focal, focal, width / 2.0, height / 2.0};
            out.camera.pose.turn = {
                {{right.x, right.y, right.z}, {down.x, down.y, down.z}, {ahead.x, ahead.y, ahead.z}}};
            out.camera.pose.shift = -1 * (out.camera.pose.turn * at);
            out.offset_ns = clip["offset_ns"];
            return out;
        }
    FAIL("no clip " << name);
    return {};
}

/// A hand that trembles by about a pixel, the same way in every run of the test.
class Hand {
  public:
    std::array<double, 2> at(sight::Pixel pixel, double standard = 1) {
        return {pixel.x + standard * next(), pixel.y + standard * next()};
    }

  private:
    /// About normal: the sum of twelve even numbers less six.
    double next() {
        double sum = -6;
        for (int i = 0; i < 12; ++i) {
            state_ = state_ * 6364136223846793005ULL + 1442695040888963407ULL;
            sum += static_cast<double>(state_ >> 11) * 0x1p-53;
        }
        return sum;
    }
    std::uint64_t state_ = 20'260'502;
};

/// Where somebody points who sees every place of the plan that is in the picture.
inline meet::CameraStand pointed_stand(const course::CourseBook& book, const sight::Camera& camera,
                                       meet::ClipId clip, const meet::FrameRef& frame, Hand& hand) {
    meet::CameraStand stand{{1}, clip, frame, meet::LensKnown::focal_length, {}, {}, {}};
    for (const review::PlanSpot& spot : review::plan_spots(book)) {
        const auto seen = sight::project(camera, spot.at);
        if (!seen || seen->x < 0 || seen->y < 0 || seen->x > camera.lens.width ||
            seen->y > camera.lens.height)
            continue;
        stand.points.push_back({spot.place, hand.at(*seen), 1});
    }
    return stand;
}

/// A copy of the sample meet with its clips beside it, open, at a run.
struct SampleMeet {
    TemporaryFolder folder;
    std::unique_ptr<review::Session> session;

    explicit SampleMeet(const std::string& run) {
        for (const auto& entry : std::filesystem::directory_iterator(kSampleClips))
            std::filesystem::copy(entry.path(), folder.path() / entry.path().filename());
        auto opened = review::Session::open(folder.path() / "pier-nine.meet");
        REQUIRE(opened.ok());
        session = std::move(*opened);
        for (const auto& [id, stored] : session->state().runs())
            if (stored.label == run) session->select_run(id);
        REQUIRE(session->settle().ok());
    }
    [[nodiscard]] meet::ClipId clip(const std::string& file) const {
        for (const auto& [id, clip] : session->state().clips())
            if (clip.relative_path == file) return id;
        FAIL("no clip " << file);
        return {};
    }
    [[nodiscard]] const review::ClipView& view(meet::ClipId id) const {
        for (const review::ClipView& one : session->clips())
            if (one.id == id) return one;
        FAIL("the clip is not of this run");
        return session->clips().front();
    }
    [[nodiscard]] meet::FrameRef frame(meet::ClipId id, std::int64_t number) const {
        return {number, (*view(id).table)[number].pts};
    }
};

}  // namespace plumbmark::test
