#include "meet_files.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "clip_file.h"
#include "digest.h"
#include "sound.h"

namespace plumbmark::scene {
namespace {

constexpr std::size_t kBatch = 16;

// Stages are dear and several views share a camera: the last one is kept.
class Stages {
  public:
    explicit Stages(int threads) : threads_(threads) {}
    const Stage& of(const Camera& camera) {
        if (!stage_ || !same(stage_->camera, camera)) {
            stage_.reset();
            stage_ = std::make_unique<Stage>(render_stage(camera, threads_));
        }
        return *stage_;
    }

  private:
    static bool same(const Camera& a, const Camera& b) {
        return length(a.at - b.at) == 0 && length(a.target - b.target) == 0 && a.focal == b.focal &&
               a.width == b.width && a.height == b.height;
    }
    int threads_;
    std::unique_ptr<Stage> stage_;
};

// Frames of one view, rendered several at a time.
class FrameMill {
  public:
    FrameMill(const Run& run, const View& view, const Stage& stage, int threads)
        : view_(view), ticks_(view.ticks()) {
        for (int i = 0; i < threads; ++i)
            renderers_.push_back(std::make_unique<FrameRenderer>(run, view_, stage));
    }
    std::vector<Picture> render(const std::vector<std::size_t>& numbers) {
        std::vector<Picture> out(numbers.size());
        const auto threads = static_cast<int>(renderers_.size());
        in_parallel(threads, threads, [&](int worker) {
            for (auto i = static_cast<std::size_t>(worker); i < numbers.size();
                 i += static_cast<std::size_t>(threads))
                out[i] = renderers_[static_cast<std::size_t>(worker)]->render(
                    view_.run_time(ticks_[numbers[i]]), static_cast<std::uint32_t>(numbers[i]));
        });
        return out;
    }

  private:
    View view_;
    std::vector<std::int64_t> ticks_;
    std::vector<std::unique_ptr<FrameRenderer>> renderers_;
};

// Views in an order in which those that share a camera follow each other.
std::vector<std::pair<const Run*, const View*>> views_by_camera() {
    std::vector<std::pair<const Run*, const View*>> out;
    for (const Run& run : runs())
        for (const View& view : run.views)
            out.emplace_back(&run, &view);
    std::stable_sort(out.begin(), out.end(), [](const auto& a, const auto& b) {
        return a.second->camera.at.x < b.second->camera.at.x;
    });
    return out;
}

base::Result<ClipDigest> write_clip(const Run& run, const View& view, const Stage& stage,
                                    const std::string& path, int threads) {
    auto writer = ClipWriter::create(path, view, sound_of(run, view, contacts_of(run.moves, 0, run.end)));
    if (!writer) return writer.error();
    FrameMill mill(run, view, stage, threads);
    const auto ticks = view.ticks();
    ClipDigest digest;
    Sha256 sha;
    for (std::size_t first = 0; first < ticks.size(); first += kBatch) {
        std::vector<std::size_t> numbers;
        for (std::size_t i = first; i < std::min(first + kBatch, ticks.size()); ++i)
            numbers.push_back(i);
        const auto pictures = mill.render(numbers);
        for (std::size_t i = 0; i < numbers.size(); ++i) {
            sha.add(pictures[i]);
            digest.pictures_crc32.push_back(hex(crc32_of(pictures[i])));
            if (auto done = (*writer)->add(pictures[i], ticks[numbers[i]]); !done) return done.error();
        }
    }
    if (auto done = (*writer)->finish(); !done) return done.error();
    digest.pictures_sha256 = sha.finish();
    return digest;
}

base::Result<std::string> read_file(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    if (!in)
        return base::Error{base::Category::not_found, "there is no such file, or it cannot be read", path};
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

}  // namespace

base::Result<void> write_meet(const std::string& folder, int threads, const Say& say) {
    std::map<std::string, ClipDigest> digests;
    Stages stages(threads);
    for (const auto& [run, view] : views_by_camera()) {
        const std::string path = folder + "/" + view->clip + ".mp4";
        auto digest = write_clip(*run, *view, stages.of(view->camera), path, threads);
        if (!digest) return digest.error();
        say(fmt::format("{}: {} frames, pictures {}", path, digest->pictures_crc32.size(),
                        digest->pictures_sha256));
        digests[view->clip] = *digest;
    }
    const std::string path = folder + "/truth.json";
    std::ofstream out(path, std::ios::binary);
    out << truth_text(digests);
    out.close();
    if (!out)
        return base::Error{base::Category::io, "the truth cannot be written; is there space and permission?",
                           path};
    say(path);
    return {};
}

namespace {

// Holds compared frames against fresh ones and keeps the book.
struct Comparer {
    const View& view;
    FrameMill mill;
    const ClipDigest& digest;
    CheckReport& report;
    std::vector<std::size_t> numbers;
    std::vector<Picture> decoded;
    Sha256 sha;

    void flush() {
        const auto fresh = mill.render(numbers);
        for (std::size_t i = 0; i < numbers.size(); ++i) {
            sha.add(fresh[i]);
            if (decoded[i].width != fresh[i].width || decoded[i].height != fresh[i].height) {
                report.faults.push_back(fmt::format("{} frame {}: {} x {}, rendered {} x {}", view.clip,
                                                    numbers[i], decoded[i].width, decoded[i].height,
                                                    fresh[i].width, fresh[i].height));
                continue;
            }
            compare(numbers[i], decoded[i], fresh[i]);
        }
        numbers.clear();
        decoded.clear();
    }

    void compare(std::size_t number, const Picture& got, const Picture& fresh) {
        const Difference d = difference_of(got, fresh);
        ++report.compared;
        report.least_psnr = std::min(report.least_psnr, d.psnr);
        report.worst_block = std::max(report.worst_block, d.worst_block);
        report.worst_colour = std::max(report.worst_colour, d.worst_colour);
        if (!within_loss(d))
            report.faults.push_back(
                fmt::format("{} frame {}: differs from the rendering by more than the encoder may lose (PSNR "
                            "{:.1f} dB, worst block {:.1f}, colour {:.1f})",
                            view.clip, number, d.psnr, d.worst_block, d.worst_colour));
        if (number >= digest.pictures_crc32.size() || hex(crc32_of(fresh)) != digest.pictures_crc32[number])
            report.faults.push_back(
                fmt::format("{} frame {}: rendered bytes are not those the truth names", view.clip, number));
    }
};

}  // namespace

CheckReport check_clip(const Run& run, const View& view, const Stage& stage, const std::string& path,
                       const ClipDigest& digest, int every, int threads) {
    CheckReport report;
    report.clips = 1;
    const auto ticks = view.ticks();
    Comparer comparer{view, FrameMill(run, view, stage, threads), digest, report, {}, {}, {}};
    std::size_t number = 0;
    const auto facts = read_clip(path, [&](const Picture& picture, std::int64_t tick) {
        const std::size_t i = number++;
        if (i >= ticks.size()) return true;
        if (tick != ticks[i])
            report.faults.push_back(
                fmt::format("{} frame {}: time stamp {}, not {}", view.clip, i, tick, ticks[i]));
        if (i % static_cast<std::size_t>(every) != 0) return true;
        comparer.numbers.push_back(i);
        comparer.decoded.push_back(picture);
        if (comparer.numbers.size() == kBatch) comparer.flush();
        return true;
    });
    comparer.flush();
    report.frames = number;
    if (!facts) {
        report.faults.push_back(facts.error().text());
        return report;
    }
    if (number != ticks.size())
        report.faults.push_back(fmt::format("{}: {} frames, not {}", view.clip, number, ticks.size()));
    if (!(facts->time_base == view.clock.time_base) || facts->turned != view.turned)
        report.faults.push_back(fmt::format("{}: time base {}/{} or turning is not as filmed", view.clip,
                                            facts->time_base.num, facts->time_base.den));
    if (every == 1 && comparer.sha.finish() != digest.pictures_sha256)
        report.faults.push_back(
            fmt::format("{}: the digest of all pictures is not the one the truth names", view.clip));
    return report;
}

base::Result<CheckReport> check_meet(const std::string& folder, int every, int threads, const Say& say) {
    const auto text = read_file(folder + "/truth.json");
    if (!text) return text.error();
    auto digests = digests_in(*text);
    if (!digests) return digests.error();
    CheckReport all;
    Stages stages(threads);
    for (const auto& [run, view] : views_by_camera()) {
        const CheckReport one =
            check_clip(*run, *view, stages.of(view->camera), folder + "/" + view->clip + ".mp4",
                       (*digests)[view->clip], every, threads);
        say(fmt::format(
            "{}: {} of {} frames compared, least PSNR {:.2f} dB, worst block {:.2f}, worst colour {:.2f}{}",
            view->clip, one.compared, one.frames, one.least_psnr, one.worst_block, one.worst_colour,
            one.faults.empty() ? "" : fmt::format(", {} faults", one.faults.size())));
        all.clips += one.clips;
        all.frames += one.frames;
        all.compared += one.compared;
        all.least_psnr = std::min(all.least_psnr, one.least_psnr);
        all.worst_block = std::max(all.worst_block, one.worst_block);
        all.worst_colour = std::max(all.worst_colour, one.worst_colour);
        all.faults.insert(all.faults.end(), one.faults.begin(), one.faults.end());
    }
    if (truth_text(*digests) != *text)
        all.faults.push_back(folder + "/truth.json is not, byte for byte, the truth computed now");
    return all;
}

}  // namespace plumbmark::scene
