// plumbmark lens PICTURES: measures a lens with pictures of a chessboard.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <set>

#include "cli/internal/interrupt.h"
#include "cli/internal/lens_told.h"
#include "media/frame_reader.h"
#include "review/lens_shelf.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct LensCall {
    std::vector<std::string> pictures;
    std::string board;
    double square = 0;  ///< millimetres
    std::string name;
    std::string terms = "k1 k2";
    bool two_focals = false;
    bool json = false;
    bool keep = false;
};

Result<sight::Board> board_of(const LensCall& call) {
    int across = 0, down = 0, used = 0;
    const bool reads = std::sscanf(call.board.c_str(), "%3dx%3d%n", &across, &down, &used) == 2 &&
                       static_cast<std::size_t>(used) == call.board.size();
    if (reads && across >= 3 && across <= 60 && down >= 3 && down <= 60)
        return sight::Board{across, down, call.square / 1000};
    return Error{
        Category::bad_input,
        fmt::format("'{}' is no board; write how many inner corners it has, where four squares meet, "
                    "across and down, 3 to 60 each: 9x6 for 10 by 7 squares.",
                    call.board),
        "--board"};
}

sight::LensForm form_of(const LensCall& call) {
    sight::LensForm form;
    form.two_focals = call.two_focals;
    form.bending = call.terms == "k1"            ? sight::Bending::k1
                   : call.terms == "k1 k2"       ? sight::Bending::k1_k2
                   : call.terms == "k1 k2 p1 p2" ? sight::Bending::k1_k2_p1_p2
                                                 : sight::Bending::all_five;
    return form;
}

Result<media::RgbaImage> read_picture(const std::string& file, const std::stop_token& stop) {
    media::ScanOptions scan;
    scan.stop = stop;
    Result<media::FrameTable> table = media::scan_clip(file, scan);
    if (!table) return table.error();
    if (table->size() != 1)
        return Error{Category::bad_input,
                     fmt::format("This is a clip of {} frames; give out those that show the board well "
                                 "(plumbmark export --frames) and name these.",
                                 table->size()),
                     file};
    auto reader = media::FrameReader::open(file, std::make_shared<const media::FrameTable>(std::move(*table)),
                                           {.stop = stop});
    if (!reader) return reader.error();
    const auto picture = reader->read(0);
    if (!picture) return picture.error();
    media::RgbaImage image = media::to_rgba(**picture);
    if (image.pixels.empty())
        return Error{Category::unsupported, "The picture's form cannot be shown here; save it as PNG.", file};
    return image;
}

/// What is found in the pictures, one after the other.
class Search {
  public:
    Search(const LensCall& call, const sight::Board& board, const std::stop_token& stop)
        : call_(call), board_(board), stop_(stop), line_("looking for the board") {}

    Result<void> look() {
        std::set<std::string> known;
        for (const std::string& file : call_.pictures) {
            if (!known.insert(file).second)
                return Error{Category::bad_input, "This picture is named twice; once is enough.", file};
            if (Result<void> done = look_at(file); !done) return done;
        }
        return {};
    }

    std::vector<BoardPicture> pictures;
    int width = 0, height = 0;

  private:
    Result<void> look_at(const std::string& file) {
        if (call_.json)
            line_.show(static_cast<double>(pictures.size()) / static_cast<double>(call_.pictures.size()));
        Result<media::RgbaImage> image = read_picture(file, stop_);
        if (!image) return stop_.stop_requested() ? stopped() : image.error();
        if (pictures.empty()) width = image->width, height = image->height;
        if (image->width != width || image->height != height)
            return Error{
                Category::bad_input,
                fmt::format("This picture has {} x {} pixels, the first one {} x {}; all have to be of "
                            "one camera, as it takes them.",
                            image->width, image->height, width, height),
                file};
        const std::vector<std::uint8_t> grey = sight::grey_of({image->pixels.data(), width, height});
        auto seen = find_board({grey.data(), width, height, width}, board_, stop_);
        if (!seen && seen.error().category == Category::cancelled) return stopped();
        if (seen)
            pictures.push_back({file, "", std::move(*seen)});
        else
            pictures.push_back({file, seen.error().sentence.english(), {}});
        if (!call_.json) tell(pictures.back());
        return {};
    }

    static Error stopped() { return {Category::cancelled, "The search for the board was stopped.", {}}; }

    static void tell(const BoardPicture& picture) {
        fmt::print("{}: {}\n", picture.file,
                   picture.why_not.empty() ? fmt::format("board found, {} corners", picture.seen.size())
                                           : picture.why_not);
        std::fflush(stdout);
    }

    const LensCall& call_;
    const sight::Board& board_;
    const std::stop_token& stop_;
    ProgressLine line_;
};

std::vector<sight::BoardView> views_of(const std::vector<BoardPicture>& pictures, const sight::Board& board) {
    std::vector<sight::BoardView> views;
    for (const BoardPicture& picture : pictures)
        if (picture.why_not.empty()) views.push_back({picture.file, places_of(board), picture.seen});
    return views;
}

Result<void> keep(const LensCall& call, const std::vector<BoardPicture>& pictures,
                  const sight::MeasuredLens& lens) {
    const auto used = std::count_if(pictures.begin(), pictures.end(),
                                    [](const BoardPicture& picture) { return picture.why_not.empty(); });
    const sight::Lens& l = lens.lens;
    const sight::LensStandard standard = lens.standard();
    meet::CameraLens kept{{},
                          call.name,
                          l.width,
                          l.height,
                          l.fx,
                          l.fy,
                          l.cx,
                          l.cy,
                          l.skew,
                          l.k1,
                          l.k2,
                          l.p1,
                          l.p2,
                          l.k3,
                          standard.focal,
                          standard.principal,
                          standard.k1,
                          fmt::format("chessboard, {} pictures, {:.2f} px", used, lens.rms)};
    return review::keep_lens(review::lens_shelf_file(), kept);
}

int run(const LensCall& call) {
    if (call.keep && call.name.empty())
        return complain(
            {Category::bad_input, "A lens is kept by its camera's name: say --name as well.", ""});
    const Result<sight::Board> board = board_of(call);
    if (!board) return complain(board.error());
    const Interrupt interrupt;
    const std::stop_token stop = interrupt.token();
    std::vector<BoardPicture> pictures;
    int width = 0, height = 0;
    {
        Search search(call, *board, stop);
        if (const Result<void> done = search.look(); !done) return complain(done.error());
        pictures = std::move(search.pictures);
        width = search.width, height = search.height;
    }
    const sight::LensForm form = form_of(call);
    const auto lens = measure_lens(views_of(pictures, *board), width, height, form, stop);
    if (!lens) return complain(lens.error());
    const FoundLens found{call.name, *board, form, pictures, *lens};
    fmt::print("{}{}", call.json ? "" : "\n", call.json ? told_as_json(found) : told_as_text(found));
    if (call.keep)
        if (const Result<void> kept = keep(call, pictures, *lens); !kept) return complain(kept.error());
    return lens->suspects.empty() ? kDone : kFound;
}

}  // namespace

void add_lens(CLI::App& program, Action& action) {
    auto call = std::make_shared<LensCall>();
    CLI::App* command =
        program.add_subcommand("lens", "Measure a camera's lens with pictures that it took of a chessboard");
    command
        ->add_option("PICTURES", call->pictures,
                     "Pictures (PNG, JPEG), three or more; ten to twenty are good")
        ->required();
    command->add_option("--board", call->board, "The board's inner corners, across and down, such as 9x6")
        ->required();
    command->add_option("--square", call->square, "A side of one of its squares, in millimetres")
        ->required()
        ->check(CLI::Range(0.1, 10'000.0));
    command->add_option("--name", call->name, "What people call the camera");
    command
        ->add_option(
            "--terms", call->terms,
            "The terms of distortion that are looked for: 'k1', 'k1 k2' (the usual), 'k1 k2 p1 p2' or "
            "'k1 k2 p1 p2 k3'")
        ->check(CLI::IsMember({"k1", "k1 k2", "k1 k2 p1 p2", "k1 k2 p1 p2 k3"}));
    command->add_flag("--two-focals", call->two_focals,
                      "A focal length across and one down, for pixels that are not square");
    command->add_flag("--keep", call->keep,
                      "Keep it by its name for the desk of later meets (docs/camera-points.md)");
    command->add_flag("--json", call->json, "As JSON (docs/command-line.md)");
    command->callback([call, &action] { action = [call] { return run(*call); }; });
}

}  // namespace plumbmark::cli
