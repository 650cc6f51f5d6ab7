// plumbmark frames CLIP: the frame table, and the pictures' hashes.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>
#include <numeric>

#include "cli/internal/common.h"
#include "media/frame_reader.h"
#include "media/frame_table.h"

namespace plumbmark::cli {
namespace {

using base::Result;

struct FramesOptions {
    std::string clip;
    bool json = false;
    bool hash = false;
    std::string order = "forward";
    std::uint64_t seed = 1;
    int stream = 0;
};

/// The order in which the frames are read for hashing: every order must give the same hashes.
std::vector<std::int64_t> reading_order(std::int64_t count, const FramesOptions& options) {
    std::vector<std::int64_t> order(static_cast<std::size_t>(count));
    std::iota(order.begin(), order.end(), 0);
    if (options.order == "backward") std::reverse(order.begin(), order.end());
    if (options.order != "random") return order;
    // Fisher-Yates with a 64-bit linear congruential generator (Knuth's MMIX constants), the same on every
    // machine.
    std::uint64_t state = options.seed;
    for (std::size_t i = order.size(); i > 1; --i) {
        state = state * 6364136223846793005ULL + 1442695040888963407ULL;
        std::swap(order[i - 1], order[static_cast<std::size_t>((state >> 33U) % i)]);
    }
    return order;
}

/// The MD5 of each picture, and for those that do not decode what is wrong instead.
struct Hashes {
    std::vector<std::string> md5;
    std::map<std::int64_t, base::Error> unreadable;
};

Result<Hashes> hashes(const media::FrameTable& table, const FramesOptions& options) {
    Hashes found;
    found.md5.resize(static_cast<std::size_t>(table.size()));
    auto reader = media::FrameReader::open(options.clip, std::make_shared<const media::FrameTable>(table));
    if (!reader) return reader.error();
    ProgressLine progress("reading pictures");
    double done = 0;
    for (const std::int64_t n : reading_order(table.size(), options)) {
        auto picture = reader->read(n);
        if (picture) {
            found.md5[static_cast<std::size_t>(n)] = media::md5_hex(**picture);
        } else {
            base::Error error = picture.error();
            error.where = fmt::format("{}, frame {}", options.clip, n);
            // A picture that does not decode leaves the others; a drive that fails leaves nothing to say.
            if (error.category != base::Category::damaged) return error;
            found.unreadable.emplace(n, error);
        }
        progress.show(++done / static_cast<double>(table.size()));
    }
    return found;
}

double seconds(base::Rational exact) {
    return static_cast<double>(exact.num) / static_cast<double>(exact.den);
}

std::string fraction(base::Rational exact) {
    return fmt::format("{}/{}", exact.num, exact.den);
}

using Json = nlohmann::ordered_json;

Json stretches_json(const media::FrameTable& table) {
    Json out = Json::array();
    for (const media::BadStretch& stretch : table.bad_stretches()) {
        out.push_back({{"first", stretch.first},
                       {"last", stretch.last},
                       {"lean_until", stretch.lean_until},
                       {"from_ns", stretch.from.ns},
                       {"until_ns", stretch.until.ns},
                       {"what", stretch.what}});
    }
    return out;
}

/// What a file says about a stream, as far as it says it.
Json stream_json(const media::StreamInfo& stream) {
    const auto text = [](const std::string& said) { return said.empty() ? Json(nullptr) : Json(said); };
    const media::StreamLabel& label = stream.label;
    return {{"stream", stream.ordinal},
            {"codec", stream.codec},
            {"width", stream.width},
            {"height", stream.height},
            {"language", text(label.language)},
            {"title", text(label.title)},
            {"program", label.program ? Json(*label.program) : Json(nullptr)},
            {"program_name", text(label.program_name)}};
}

Json streams_json(const media::ClipInfo& info) {
    Json out = Json::array();
    for (const media::StreamInfo& stream : info.streams)
        out.push_back(stream_json(stream));
    return out;
}

void print_json(const media::FrameTable& table, const Hashes& found, const std::string& clip) {
    const media::ClipInfo& info = table.info();
    Json out;
    out["format"] = "plumbmark-frames/1";
    out["clip"] = clip;
    out["container"] = info.container;
    out["codec"] = info.codec;
    out["width"] = info.width;
    out["height"] = info.height;
    out["quarter_turns"] = info.quarter_turns;
    out["mirrored"] = info.mirrored;
    out["pixel_aspect"] = fraction(info.pixel_aspect);
    out["time_base"] = fraction(table.time_base());
    out["variable_rate"] = info.variable_rate;
    out["recorded_rate"] = info.capture_rate ? Json(fraction(*info.capture_rate)) : Json();
    out["stream"] = info.stream;
    out["streams"] = streams_json(info);
    out["table_from"] = info.basis == media::TableBasis::packets ? "packets" : "decoding";
    out["damage"] = Json::array();
    for (const media::FileDamage& one : info.damage)
        out["damage"].push_back(one.sentence().english());
    out["bad_stretches"] = stretches_json(table);
    out["frame_count"] = table.size();
    out["frames"] = Json::array();
    for (std::int64_t n = 0; n < table.size(); ++n) {
        Json frame;
        frame["number"] = n;
        frame["pts"] = table[n].pts;
        frame["time"] = fraction(table.exact_time(n));
        frame["seconds"] = seconds(table.exact_time(n));
        frame["key"] = table[n].key;
        if (const auto bad = found.unreadable.find(n); bad != found.unreadable.end()) {
            frame["error"] = bad->second.sentence;
        } else if (!found.md5.empty()) {
            frame["md5"] = found.md5[static_cast<std::size_t>(n)];
        }
        out["frames"].push_back(std::move(frame));
    }
    fmt::print("{}\n", out.dump(1, ' ', false, Json::error_handler_t::replace));
}

std::string stretch_words(const media::BadStretch& stretch) {
    if (stretch.last < stretch.first) return fmt::format("before frame {}: {}", stretch.first, stretch.what);
    return fmt::format("frames {} to {}: {}", stretch.first, stretch.last, stretch.what);
}

void print_table(const media::FrameTable& table, const Hashes& found) {
    const std::vector<std::string>& md5 = found.md5;
    const media::ClipInfo& info = table.info();
    fmt::print("{}, {} x {}, {} frames, {} rate\n", info.codec, info.upright_width(), info.upright_height(),
               table.size(), info.variable_rate ? "variable" : "even");
    if (info.capture_rate)
        fmt::print("recorded at {} pictures a second, says the file\n", fraction(*info.capture_rate));
    if (info.streams.size() > 1)
        for (const media::StreamInfo& one : info.streams)
            fmt::print("stream {}: {}, {} x {}{}{}\n", one.ordinal, one.codec, one.width, one.height,
                       one.label.program ? fmt::format(", program {}", *one.label.program) : "",
                       one.ordinal == info.stream ? " (this one)" : "");
    for (const media::FileDamage& one : info.damage)
        fmt::print("damage: {}\n", one.sentence().english());
    for (const media::BadStretch& stretch : table.bad_stretches())
        fmt::print("bad: {}\n", stretch_words(stretch));
    fmt::print("{:>7}  {:>16}  {:>14}  key{}\n", "frame", "time (s)", "seconds",
               md5.empty() ? "" : "  picture MD5");
    for (std::int64_t n = 0; n < table.size(); ++n) {
        fmt::print("{:>7}  {:>16}  {:>14.9f}  {:<3}{}{}\n", n, fraction(table.exact_time(n)),
                   seconds(table.exact_time(n)), table[n].key ? "key" : "", md5.empty() ? "" : "  ",
                   md5.empty()                    ? ""
                   : found.unreadable.contains(n) ? "does not decode"
                                                  : md5[static_cast<std::size_t>(n)]);
    }
}

int run(const FramesOptions& options) {
    media::ScanOptions scan;
    scan.stream = options.stream;
    Result<media::FrameTable> table = [&] {
        ProgressLine progress("reading the clip");
        scan.progress = [&](double share) { progress.show(share); };
        return media::scan_clip(options.clip, scan);
    }();
    if (!table) return complain(table.error());
    Hashes found;
    if (options.hash) {
        Result<Hashes> hashed = hashes(*table, options);
        if (!hashed) return complain(hashed.error());
        found = std::move(*hashed);
    }
    if (options.json) {
        print_json(*table, found, options.clip);
    } else {
        print_table(*table, found);
    }
    return found.unreadable.empty() ? kDone : complain(found.unreadable.begin()->second);
}

}  // namespace

void add_frames(CLI::App& program, Action& action) {
    auto options = std::make_shared<FramesOptions>();
    CLI::App* command = program.add_subcommand("frames", "List every frame of a clip with its exact time");
    command->add_option("CLIP", options->clip, "The clip")->required();
    command->add_flag("--json", options->json, "As JSON (docs/command-line.md)");
    command->add_flag("--hash", options->hash, "With the MD5 of each picture in the decoder's own format");
    command
        ->add_option("--order", options->order,
                     "Order in which pictures are read for --hash; the result is the same")
        ->check(CLI::IsMember({"forward", "backward", "random"}));
    command->add_option("--seed", options->seed, "Seed of --order random");
    command->add_option("--stream", options->stream, "Which of the file's video streams, from 0")
        ->check(CLI::NonNegativeNumber);
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
