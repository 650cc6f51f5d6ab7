// plumbmark placing BOOK: where to put a camera, from the course book's plan.
#include <fmt/format.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "base/text.h"
#include "cli/internal/interrupt.h"
#include "cli/internal/placing_told.h"
#include "course/read.h"
#include "review/lens_shelf.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct PlacingCall {
    std::string book, plane, lens, svg;
    std::string within = "5cm", picture = "1920x1080", second_to, wanted = "both";
    double height = review::kUsualCameraHeight, across = review::kUsualAcross,
           pointing = review::kBodyPointing, air = review::kUsualAir, around = review::kUsualAround,
           cell = review::kUsualCell;
    bool json = false;
};

Error unreadable(const std::string& text, const char* option, const char* expected) {
    return {Category::bad_input, fmt::format("'{}' is no {}.", text, expected), option};
}

/// "5cm", "50 mm", "0.05", "0.05m".
Result<double> length_of(const std::string& text) {
    double value = 0;
    int used = 0;
    if (std::sscanf(text.c_str(), "%lf%n", &value, &used) == 1) {
        const std::string unit(base::trimmed(std::string_view(text).substr(static_cast<std::size_t>(used))));
        const double metres = unit == "mm"                  ? 0.001
                              : unit == "cm"                ? 0.01
                              : unit.empty() || unit == "m" ? 1
                                                            : 0;
        if (metres > 0 && std::isfinite(value) && value > 0) return value * metres;
    }
    return unreadable(text, "--within", "length; write it like 5cm, 50mm or 0.05m");
}

Result<sight::FloorPlace> place_of(const std::string& text) {
    sight::FloorPlace place;
    int used = 0;
    if (std::sscanf(text.c_str(), "%lf,%lf%n", &place.x, &place.y, &used) == 2 &&
        static_cast<std::size_t>(used) == text.size() && std::isfinite(place.x + place.y))
        return place;
    return unreadable(text, "--second-to", "place; write its x and y in metres, as in 6.25,-5");
}

Result<void> take_lens_of(review::PlacingWish& wish, const PlacingCall& call) {
    if (call.lens.empty()) {
        int width = 0, height = 0, used = 0;
        const bool reads = std::sscanf(call.picture.c_str(), "%5dx%5d%n", &width, &height, &used) == 2 &&
                           static_cast<std::size_t>(used) == call.picture.size();
        if (!reads || width < 1 || height < 1)
            return unreadable(call.picture, "--picture", "size of a picture; write it like 1920x1080");
        wish.lens = sight::lens_with(call.across, width, height);
        return {};
    }
    const auto kept = review::kept_lenses(review::lens_shelf_file());
    if (!kept) return kept.error();
    std::vector<std::string> names;
    for (const meet::CameraLens& lens : *kept) {
        if (lens.camera == call.lens) return review::take_lens(wish, lens), Result<void>{};
        names.push_back(lens.camera);
    }
    return Error{Category::not_found,
                 names.empty() ? fmt::format("No lens is kept here, so there is none of '{}'.", call.lens)
                               : fmt::format("No lens of '{}' is kept here; there are those of {}.",
                                             call.lens, base::listed(names)),
                 "--lens"};
}

Result<review::PlacingWish> wish_of(const PlacingCall& call) {
    review::PlacingWish wish;
    wish.plane = call.plane;
    if (auto taken = take_lens_of(wish, call); !taken) return taken.error();
    wish.pointing = call.pointing;
    wish.camera_height = call.height;
    wish.air = call.air;
    wish.around = call.around;
    wish.cell = call.cell;
    return wish;
}

Result<review::PlacingAsked> asked_of(const PlacingCall& call) {
    review::PlacingAsked asked;
    asked.wanted = call.wanted == "air"    ? sight::Wanted::in_air
                   : call.wanted == "deck" ? sight::Wanted::on_level
                                           : sight::Wanted::both;
    const Result<double> bound = length_of(call.within);
    if (!bound) return bound.error();
    asked.bound = *bound;
    if (call.second_to.empty()) return asked;
    const Result<sight::FloorPlace> first = place_of(call.second_to);
    if (!first) return first.error();
    asked.first = *first;
    return asked;
}

Result<sight::PlacingMap> map_of(const sight::PlacingPlan& plan, const review::PlacingAsked& asked) {
    const Interrupt interrupt;
    ProgressLine line("looking from each place");
    const auto progress = [&](double share) { line.show(share); };
    return asked.first ? sight::pair_map(plan, *asked.first, progress, interrupt.token())
                       : sight::worth_map(plan, progress, interrupt.token());
}

int run(const PlacingCall& call) {
    const Result<review::PlacingWish> wish = wish_of(call);
    if (!wish) return complain(wish.error());
    const Result<review::PlacingAsked> asked = asked_of(call);
    if (!asked) return complain(asked.error());
    const Result<std::string> text = read_file(call.book);
    if (!text) return complain(text.error());
    const Result<course::CourseBook> book = course::read_book_or_error(*text, call.book);
    if (!book) return complain(book.error());
    const Result<review::Placing> placing = review::placing_plan(*book, *wish);
    if (!placing) return complain({placing.error().category, placing.error().sentence, call.book});
    const Result<sight::PlacingMap> map = map_of(placing->plan, *asked);
    if (!map && map.error().category == Category::cancelled) return complain(cancelled());
    if (!map) return complain(map.error());
    const PlacingFound found{*placing, *map, *asked};
    if (!call.svg.empty()) {
        const auto picture = review::placing_picture(*book, *placing, *map, *asked);
        if (const auto written = write_file(call.svg, report::placing_svg(picture)); !written)
            return complain(written.error());
    }
    fmt::print("{}", call.json ? placing_json(found) : placing_text(found));
    const review::BestPlaces best = review::best_places(*map, *asked);
    return best.keep && !best.cells.empty() ? kDone : kFound;
}

void add_supposed(CLI::App& command, PlacingCall& call) {
    command.add_option("--height", call.height, "Of the camera over the plan's height 0, metres")
        ->capture_default_str();
    CLI::Option* across = command.add_option("--across", call.across, "How many degrees its picture is wide")
                              ->check(CLI::Range(1.0, 170.0))
                              ->capture_default_str();
    CLI::Option* picture =
        command.add_option("--picture", call.picture, "The picture's size in pixels, as WxH")
            ->capture_default_str();
    command
        .add_option("--lens", call.lens, "In place of both: a measured lens that is kept here, by its name")
        ->excludes(across)
        ->excludes(picture);
    command
        .add_option("--pointing", call.pointing,
                    "How well one points into the picture: the standard deviation in pixels")
        ->check(CLI::PositiveNumber)
        ->capture_default_str();
    command
        .add_option("--air", call.air, "Of the part in the air over what is stood on at the plane, metres")
        ->capture_default_str();
    command.add_option("--around", call.around, "How far the floor reaches beyond the plan, metres")
        ->check(CLI::Range(0.0, 200.0))
        ->capture_default_str();
    command.add_option("--cell", call.cell, "How far the places that are looked at are apart, metres")
        ->check(CLI::Range(0.05, 10.0))
        ->capture_default_str();
}

}  // namespace

void add_placing(CLI::App& program, Action& action) {
    auto call = std::make_shared<PlacingCall>();
    CLI::App* command = program.add_subcommand(
        "placing", "Where to put a camera, so that it tells how far something is past a plane");
    command->add_option("BOOK", call->book, "A course book with a plan (.course)")->required();
    command->add_option("--plane", call->plane, "The plane, by its key in the book")->required();
    command->add_option("--within", call->within, "How well it is to be told: 5cm, 20mm, 0.1m")
        ->capture_default_str();
    command
        ->add_option(
            "--of", call->wanted,
            "What is measured: 'air', a part in the air; 'deck', a contact on what is stood on; 'both'")
        ->check(CLI::IsMember({"air", "deck", "both"}))
        ->capture_default_str();
    command->add_option("--second-to", call->second_to,
                        "Where a second camera should go, beside one at x,y (metres)");
    add_supposed(*command, *call);
    command->add_option("--svg", call->svg, "Write the map over the plan to this file, as a picture (SVG)");
    command->add_flag("--json", call->json, "As JSON (docs/command-line.md)");
    command->callback([call, &action] { action = [call] { return run(*call); }; });
}

}  // namespace plumbmark::cli
