// plumbmark row-delay CLIP: a camera's row delay from flashes of light in one of its clips.
#include "review/row_delay.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "cli/internal/interrupt.h"
#include "review/capture_time.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;
using Json = nlohmann::ordered_json;

struct RowDelayOptions {
    std::string file;
    std::string frames;
    std::string capture;
    std::string meet;
    std::string run;
    std::string clip;
    bool json = false;
};

/// Where the answer is to be kept.
struct Keeper {
    std::unique_ptr<review::Session> session;
    meet::ClipId clip;

    [[nodiscard]] const meet::Clip& stored() const { return session->state().clips().at(clip); }
};

const char* key_of(sight::NoRowDelay why) {
    switch (why) {
        case sight::NoRowDelay::all_whole:
            return "all_whole";
        case sight::NoRowDelay::none_within:
            return "none_within";
        case sight::NoRowDelay::none_across:
            return "none_across";
        case sight::NoRowDelay::time_unknown:
            return "time_unknown";
        case sight::NoRowDelay::bands_differ:
            return "bands_differ";
        case sight::NoRowDelay::not_one_camera:
            return "not_one_camera";
        case sight::NoRowDelay::no_flash:
            break;
    }
    return "no_flash";
}

const char* key_of(sight::FlashKind kind) {
    switch (kind) {
        case sight::FlashKind::within:
            return "within";
        case sight::FlashKind::across:
            return "across";
        case sight::FlashKind::cut:
            return "cut";
        case sight::FlashKind::whole:
            return "whole";
        case sight::FlashKind::lasting:
            return "lasting";
        case sight::FlashKind::unclear:
            break;
    }
    return "unclear";
}

Json json_of(const sight::Flash& flash, int height) {
    Json json{{"frame", flash.frame}, {"frames", flash.frames}, {"kind", key_of(flash.kind)}};
    if (flash.kind == sight::FlashKind::within || flash.kind == sight::FlashKind::across) {
        json["first"] = flash.first.at;
        json["first_off"] = flash.first.off;
        json["last"] = flash.last.at;
        json["last_off"] = flash.last.off;
        json["rows"] = flash.rows();
        json["rows_off"] = flash.rows_off();
    }
    json["strength"] = flash.strength;
    json["sentence"] = review::flash_words(flash, height).english();
    return json;
}

Json json_of(const RowDelayOptions& options, const review::RowDelayMeasure& measure, const Keeper& keeper) {
    Json all{{"format", "plumbmark-row-delay/1"},
             {"clip", options.file},
             {"rows", measure.height},
             {"frames", measure.frames},
             {"unread", measure.unread},
             {"measured", measure.outcome.delay.has_value()}};
    if (measure.outcome.delay) {
        all["row_ns"] = {{"least", measure.outcome.delay->least * 1e9},
                         {"most", measure.outcome.delay->most * 1e9}};
        all["first_to_last_ns"] = {{"least", measure.least().ns}, {"most", measure.most().ns}};
    } else {
        all["why"] = key_of(measure.outcome.why);
    }
    all["sentence"] = review::row_delay_words(measure).english();
    all["kept_in"] = keeper.session && measure.outcome.delay ? Json(keeper.stored().name) : Json(nullptr);
    all["flashes"] = Json::array();
    for (const sight::Flash& flash : measure.flashes)
        all["flashes"].push_back(json_of(flash, measure.height));
    return all;
}

void print(const review::RowDelayMeasure& measure, const Keeper& keeper) {
    for (const sight::Flash& flash : measure.flashes)
        fmt::print("{}\n", review::flash_words(flash, measure.height).english());
    if (measure.unread > 0)
        fmt::print("{} of {} frames could not be read.\n", measure.unread, measure.frames);
    fmt::print("{}\n", review::row_delay_words(measure).english());
    if (!keeper.session) return;
    if (measure.outcome.delay)
        fmt::print("Kept as the row delay of {}: {:.3f} ms\n", keeper.stored().name,
                   static_cast<double>(measure.most().ns) / 1e6);
    else
        fmt::print("Nothing was changed in the meet.\n");
}

Result<Keeper> keeper_of(const RowDelayOptions& options) {
    if (options.meet.empty()) return Keeper{};
    auto session = open_run(options.meet, options.run, false);
    if (!session) return session.error();
    const Result<meet::ClipId> clip = find_clip(**session, options.clip);
    if (!clip) return clip.error();
    return Keeper{std::move(*session), *clip};
}

/// The meet's word on the clip counts where the file is the meet's own.
void take_from(const Keeper& keeper, review::RowDelayCall& call) {
    if (!keeper.session) return;
    for (const review::ClipView& view : keeper.session->clips()) {
        std::error_code ignored;
        if (view.id != keeper.clip || !view.table) continue;
        if (!std::filesystem::equivalent(view.file, call.file, ignored)) continue;
        call.table = view.table;
        call.clip = keeper.stored();
    }
}

Result<void> fill(const RowDelayOptions& options, review::RowDelayCall& call) {
    if (!call.table) {
        media::ScanOptions scan;
        scan.stop = call.stop;
        Result<media::FrameTable> table = media::scan_clip(call.file, scan);
        if (!table) return table.error();
        call.table = std::make_shared<const media::FrameTable>(std::move(*table));
    }
    if (!options.frames.empty()) {
        const auto frames = read_frames(options.frames, call.table->size());
        if (!frames) return frames.error();
        call.frames = *frames;
    }
    if (options.capture.empty()) return {};
    const Result<meet::CaptureMap> given = meet::read_capture(options.capture);
    if (!given) return given.error();
    Result<meet::CaptureMap> map = review::completed(*given, *call.table);
    if (!map) return map.error();
    if (!call.clip) call.clip = meet::Clip{};
    call.clip->capture = std::move(*map);
    return {};
}

Result<review::RowDelayMeasure> measured(const RowDelayOptions& options, const Keeper& keeper) {
    const Interrupt interrupt;
    review::RowDelayCall call;
    call.file = options.file;
    call.stop = interrupt.token();
    take_from(keeper, call);
    if (Result<void> good = fill(options, call); !good) return good.error();
    ProgressLine line("looking for flashes");
    call.progress = [&](double share) { line.show(share); };
    return review::measure_row_delay(call);
}

Result<void> keep(const Keeper& keeper, const review::RowDelayMeasure& measure) {
    if (!keeper.session || !measure.outcome.delay) return {};
    const Result<meet::Change> change = review::row_delay_kept(keeper.stored(), measure);
    if (!change) return change.error();
    if (Result<void> done = keeper.session->apply(*change); !done) return done;
    return keeper.session->flush();
}

int run(const RowDelayOptions& options) {
    const Result<Keeper> keeper = keeper_of(options);
    if (!keeper) return complain(keeper.error());
    const Result<review::RowDelayMeasure> measure = measured(options, *keeper);
    if (!measure) return complain(measure.error());
    const Result<void> kept = keep(*keeper, *measure);
    if (!kept) return complain(kept.error());
    if (options.json)
        fmt::print("{}\n", json_of(options, *measure, *keeper).dump(1));
    else
        print(*measure, *keeper);
    return measure->outcome.delay ? kDone : kFound;
}

}  // namespace

void add_row_delay(CLI::App& program, Action& action) {
    auto options = std::make_shared<RowDelayOptions>();
    CLI::App* command = program.add_subcommand(
        "row-delay", "Measure how long a camera takes from row to row by flashes of light in a clip");
    command->add_option("CLIP", options->file, "A clip of the camera with some photo flashes")->required();
    command->add_option("--frames", options->frames, "Look at these frames alone, as 120..480");
    command->add_option("--capture", options->capture,
                        "When the pictures of a re-timed clip were taken, as 'plumbmark capture' takes it");
    CLI::Option* set = command->add_option("--set", options->meet,
                                           "Keep the upper end of the range in this meet file (.meet)");
    command
        ->add_option("--clip", options->clip,
                     "In which clip of it, by name or file name; the only one by default")
        ->needs(set);
    command->add_option("--run", options->run, "Of which run, by label or number; the first by default")
        ->needs(set);
    command->add_flag("--json", options->json, "As JSON (docs/command-line.md)");
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
