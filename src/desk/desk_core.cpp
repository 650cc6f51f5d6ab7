#include "desk/internal/desk_core.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <utility>

#include "base/ascii.h"
#include "base/text.h"
#include "desk/internal/panels.h"
#include "desk/internal/say.h"
#include "desk/own_files.h"
#include "review/capture_time.h"

namespace plumbmark::desk {
namespace fs = std::filesystem;
namespace {

constexpr double kMessageSeconds = 6, kTroubleSeconds = 14;
constexpr std::size_t kMostMessages = 4;

fs::path free_name(const fs::path& folder, const std::string& stem, const std::string& ending) {
    fs::path path = folder / (stem + ending);
    std::error_code problem;
    for (int n = 2; fs::exists(path, problem); ++n)
        path = folder / fmt::format("{} {}{}", stem, n, ending);
    return path;
}

fs::path home_folder() {
    const char* home = std::getenv("HOME");
    return home && *home ? fs::path(home) : fs::temp_directory_path();
}

/// Where pictures pass and are drawn small, the card would take their half anyway (picture_drawing.h,
/// 'quick'): up to the square root of a half it is the nearer one.
Fineness fineness_wanted(const Views& views) {
    const PicturesView& pictures = views.pictures;
    const bool plain = pictures.tool == PictureTool::none && !pictures.busy();
    return views.play.playing && plain && pictures.largest_scale <= 0.7F ? Fineness::half : Fineness::whole;
}

}  // namespace

DeskCore::DeskCore(DeskOptions options, std::function<void()> wake)
    : options_(std::move(options)), wake_(std::move(wake)) {
    recall();
    look_.theme = options_.theme.value_or(look_.theme);
    look_.words = &words_;
    set_display_scale(1);
    read_own_keys();
    choose_picture_way();
}

base::Result<std::string> DeskCore::whole_file(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    if (!file)
        return base::Error{base::Category::io,
                           tr("The file cannot be read; see that it is there and may be read."),
                           path.string()};
    return std::string(std::istreambuf_iterator<char>(file), {});
}

void DeskCore::choose_picture_way() {
    constexpr const char* variable = "PLUMBMARK_PICTURES";
    const bool given = !options_.picture_way.empty();
    const auto way =
        picture_way(given ? options_.picture_way.c_str() : std::getenv(variable), given ? "" : variable);
    if (!way) return complain(way.error());
    textures_.take_way(*way);
}

void DeskCore::read_own_keys() {
    const bool own = !options_.keys_file.empty();
    const fs::path file = own_keys_file();
    std::error_code problem;
    if (!own && !fs::exists(file, problem)) return;
    const auto text = whole_file(file);
    if (!text) return complain(text.error());
    auto read = read_keys(*text, file.filename().string());
    if (!read) return complain(read.error());
    keys_ = Keymap(std::move(*read));
}

review::SessionOptions DeskCore::session_options(bool read_only) {
    review::SessionOptions options;
    options.read_only = read_only;
    options.wake = wake_;
    options.look_for_repeats = !read_only;
    options.may_show = [this](const auto& picture) { return textures_.can_show(picture); };
    options.read_whole_files = true;
    return options;
}

void DeskCore::message(const std::string& text, bool trouble) {
    auto& list = views_.messages;
    std::erase_if(list, [&](const Message& m) { return m.text == text; });
    if (list.size() >= kMostMessages) list.erase(list.begin());
    list.push_back({text, trouble, now_ + (trouble ? kTroubleSeconds : kMessageSeconds)});
}

void DeskCore::complain_if(const base::Result<void>& result) {
    if (!result) complain(result.error());
}

// --- opening ---

void DeskCore::open_path(const fs::path& path) {
    std::error_code problem;
    if (fs::is_directory(path, problem)) return list_folder(path);
    const std::string ending = base::ascii_lower(path.extension().string());
    if (!fs::exists(path, problem))
        return complain({base::Category::not_found, tr("There is no such file."), path.string()});
    // What is dropped on the page of a season belongs to it.
    if (ending == ".meet" && session_ && on_the_season()) return carry_out_for_season(SeasonFrom{path});
    if (ending == ".meet") return open_meet(path);
    if (ending == ".course") return add_book(path);
    if (may_be_photograph(ending)) {
        if (take_photo(path)) return;
        return say(tr("A photograph belongs to how a station is set up: {} shows the stations, and takes it.",
                      keys_.label(Action::trials)));
    }
    add_clip(path);
}

void DeskCore::take_session(base::Result<std::unique_ptr<review::Session>> opened) {
    if (!opened) return complain(opened.error());
    if (session_) complain_if(session_->flush());
    session_ = std::move(*opened);
    const PicturesView kept;
    views_.pictures = kept;
    views_.strip = {};
    views_.sheet = {};
    views_.marking = {};
    views_.play = {};
    views_.offer.reset();
    views_.secret.reset();
    views_.page = {};
    views_.place = KeyPlace::run;
    course_.stop_asking();
    views_.placing = {};
    placing_.close();
    views_.season = {};
    season_.close();
    views_.trials = {};
    trials_.close();
    ties_.stop();
    guide_.stop();
    undoes_earlier_ = false;
    following_ = FollowingDesk(wake_);
    camera_.forget();
    meet_ = MeetDesk(wake_);
    if (session_->book() && !session_->book()->planes.empty()) {
        review::Hand hand = session_->hand();
        if (hand.plane.empty() && session_->book()->planes.size() == 1) {
            hand.plane = session_->book()->planes.front().key;
            session_->set_hand(hand);
        }
    }
}

void DeskCore::open_meet(const fs::path& path) {
    take_session(review::Session::open(path, session_options(options_.read_only)));
    if (session_ && session_->path() == path) note_recent(path);
}

bool DeskCore::begin_meet_beside(const fs::path& clip) {
    std::error_code problem;
    const fs::path folder = fs::absolute(clip, problem).parent_path();
    const fs::path path = free_name(folder, clip.stem().string(), ".meet");
    meet::MeetInfo info;
    info.name = clip.stem().string();
    take_session(review::Session::create(path, info, session_options(false)));
    if (!session_ || session_->path() != path) return false;
    note_recent(path);
    say(tr("Began a new meet beside the clip: {}. Everything you mark is kept there.", path.string()));
    return true;
}

void DeskCore::add_clip(const fs::path& path) {
    if (!session_ && !begin_meet_beside(path)) return;
    const auto added = session_->add_clip(path);
    if (!added) return complain(added.error());
    views_.strip = {};
}

void DeskCore::add_book(const fs::path& path) {
    const auto text = whole_file(path);
    if (!text) return complain(text.error());
    if (!session_ && !begin_meet_beside(path)) return;
    const auto added = session_->add_book(path.filename().string(), *text, path);
    if (!added) return complain(added.error());
    say(tr("Course book taken: {}", path.filename().string()));
}

void DeskCore::open_sample() {
    const fs::path folder =
        options_.sample_copies.empty() ? home_folder() / "plumbmark-sample" : options_.sample_copies;
    const fs::path from = options_.sample_meet.parent_path(), copy = folder / options_.sample_meet.filename();
    std::error_code problem;
    fs::create_directories(folder, problem);
    // The clips lie beside the meet, which names them by relative path.
    for (const auto& entry : fs::recursive_directory_iterator(from, problem)) {
        const fs::path to = folder / entry.path().lexically_relative(from);
        if (entry.is_directory())
            fs::create_directories(to, problem);
        else
            fs::copy_file(entry.path(), to, fs::copy_options::skip_existing, problem);
    }
    if (!fs::exists(copy))
        return complain({base::Category::io,
                         tr("The sample meet could not be copied there: {}.", problem.message()),
                         folder.string()});
    open_meet(copy);
    if (session_) say(tr("This is a copy of the sample meet in {}. Mark what you like.", folder.string()));
}

// --- the course of time ---

void DeskCore::update(double now) {
    now_ = now;
    std::erase_if(views_.messages, [&](const Message& m) { return m.until <= now; });
    go_on_exporting();
    go_on_with_files();
    if (!session_) return;
    textures_.next_round();
    textures_.take_fineness(fineness_wanted(views_));
    session_->poll();
    course_.update(*session_);
    following_.update(*session_);
    camera_.update(*session_, views_.pictures.camera);
    take_followed_point();
    update_placing();
    update_study();
    update_season();
    update_trials();
    take_copied_drawings();
    if (on_the_meet()) meet_.update(*session_);
    meet_.go_on(meet_hands(), on_the_meet());
    if (!session_->picture().nearly)
        nearly_since_.reset();
    else if (!nearly_since_)
        nearly_since_ = now;
    const auto failure = session_->save_failure();
    if (failure && failure != told_save_failure_)
        message(tr("{} What you marked is kept here. Enter tries to save again.", failure->spoken()), true);
    told_save_failure_ = failure;
    go_on_with_ties();
    go_on_with_guide();
    play_on();
    sound_.update(*session_, views_.play, views_.muted, now_);
    place_other_angles();
    fetch_side_pictures();
}

/// The other angles show the same moment, as well as the marks tie their clips.
void DeskCore::place_other_angles() {
    const review::ClipView* clip = session_->current_clip();
    if (views_.pictures.alone || views_.pictures.apart || !clip || !clip->table || !session_->picture().exact)
        return;
    const auto placed = std::pair(clip->id, session_->frame());
    if (placed == placed_) return;
    placed_ = placed;
    const auto& stored = session_->state().clips();
    const base::Time now = review::captured_at(stored.at(clip->id), *clip->table, session_->frame());
    for (const review::ClipView& other : session_->clips()) {
        if (other.id == clip->id || !other.table) continue;
        const auto tie = tie_of(*session_, clip->id, other.id);
        if (!tie) continue;
        const std::int64_t frame =
            review::frame_captured_at(stored.at(other.id), *other.table, now + tie->middle());
        session_->place_clip(other.id, std::max<std::int64_t>(0, frame));
    }
}

/// At real time or slower every frame is shown, even where that makes it slower still: a frame that was never
/// on the screen cannot be vouched for. At twice real time frames are left out as the clock demands.
void DeskCore::play_on() {
    PlayView& play = views_.play;
    const review::ClipView* clip = session_->current_clip();
    if (!play.playing || !clip || !clip->table) return;
    const media::FrameTable& table = *clip->table;
    const std::int64_t here = session_->frame();
    if (here + 1 >= table.size()) {
        play.playing = false;
        return;
    }
    if (!session_->picture().exact && !session_->picture().error) {
        play.since = std::max(play.since, now_ - 0.25);
        return;
    }
    // A frame that has come since the last drawing was not on the screen yet. Up to real time none is left
    // out: what is played over is watched.
    const bool drawn = drawn_ == std::pair(clip->id, here) || session_->picture().error;
    const double factor = kSpeeds[static_cast<std::size_t>(play.speed)].factor;
    const auto passed = static_cast<std::int64_t>((now_ - play.since) * factor * 1e9);
    std::int64_t next = table.frame_at(table.time(here) + base::Duration{passed});
    if (next <= here || (factor <= 1 && !drawn)) return;
    if (factor <= 1) next = here + 1;
    next = std::min(next, table.size() - 1);
    const double shown_for = static_cast<double>((table.time(next) - table.time(here)).ns) / 1e9 / factor;
    play.since = std::max(play.since + shown_for, now_ - shown_for);
    session_->go_to_frame(next);
}

bool DeskCore::better_drawn_soon() const {
    constexpr double blink = 0.04;  // seconds; a 4K picture takes about half of it (docs/figures-colour.md)
    return nearly_since_ && now_ - *nearly_since_ < blink;
}

void DeskCore::fetch_side_pictures() {
    PicturesView& view = views_.pictures;
    SidePictures side;
    const auto ready = [&](std::int64_t frame) {
        auto picture = session_->side_picture(frame);
        return textures_.can_show(picture) ? picture : nullptr;
    };
    const std::int64_t here = session_->frame();
    if (view.tool == PictureTool::touching_yet) {
        const auto now = chosen(*session_);
        const bool bracket = now && now->here && now->is_mark;
        side.early = bracket ? now->early.value_or(-1) : here - 1;
        side.late = bracket ? now->late.value_or(-1) : here;
        if (side.early >= 0) side.early_picture = ready(side.early);
        if (side.late >= 0) side.late_picture = ready(side.late);
    } else if (view.tool == PictureTool::which_way) {
        for (std::int64_t n = here - 1; n >= std::max<std::int64_t>(0, here - 3); --n)
            if (auto picture = ready(n)) side.ghosts.push_back(std::move(picture));
    } else if (view.tool == PictureTool::same_place) {
        side.before_frame = std::max<std::int64_t>(0, here - 1);
        side.before_picture = ready(side.before_frame);
    }
    view.side = std::move(side);
}

std::optional<double> DeskCore::next_frame_due() const {
    if (!session_ || !views_.play.playing) return std::nullopt;
    const review::ClipView* clip = session_->current_clip();
    const std::int64_t here = session_->frame();
    if (!clip || !clip->table || here + 1 >= clip->table->size()) return 0;
    if (!session_->picture().exact) return 0.25;  // its coming wakes the window sooner
    const auto shown_for =
        static_cast<double>((clip->table->time(here + 1) - clip->table->time(here)).ns) / 1e9;
    const double factor = kSpeeds[static_cast<std::size_t>(views_.play.speed)].factor;
    return std::max(0.0, views_.play.since + shown_for / factor - now_);
}

std::optional<double> DeskCore::next_change() const {
    std::optional<double> first;
    for (const Message& m : views_.messages)
        first = first ? std::min(*first, m.until) : m.until;
    if (const auto at = on_the_meet() ? meet_.next_change() : std::nullopt) {
        const double until = now_ + static_cast<double>(at->ms - review::now().ms) / 1000.0;
        first = first ? std::min(*first, until) : until;
    }
    return first;
}

std::string DeskCore::title() const {
    if (!session_) return "Plumbmark";
    std::string title = session_->path().filename().string();
    if (on_the_meet()) return title + " · " + meet_.title();
    if (on_the_trials())
        return title + " · " + (trials_.working() ? tr("ruling the trials") : tr("what the trials prove"));
    if (on_the_season())
        return title + " · " + (season_.working() ? tr("working a season out") : tr("a season"));
    if (on_the_study())
        return title + " · " + (study_.working() ? tr("laying a run open") : tr("a run laid open"));
    const review::ClipView* clip = session_->current_clip();
    if (!clip) return title;
    title += " · " + clip->name;
    if (!clip->table) return title + tr(" · reading");
    title += tr(" · f {}", session_->frame());
    if (!session_->picture().exact) return title + tr(" (coming)");
    // Whoever waits for the window, a person or a list of keys, sees when the sheet is of now.
    return session_->ruling().current ? title : title + tr(" (ruling)");
}

base::Result<void> DeskCore::finish() {
    return session_ ? session_->flush() : base::Result<void>{};
}

// --- drawing ---

void DeskCore::set_display_scale(double scale) {
    display_scale_ = options_.scale > 0 ? options_.scale : scale;
    scale_ = std::clamp(display_scale_ * user_scale_, 0.5, 4.0);
}

void DeskCore::build_fonts_now() {
    look_.fonts = build_fonts(static_cast<float>(scale_));
    look_.scale = static_cast<float>(scale_);
    words_.forget();
    built_scale_ = scale_;
    ImGuiStyle& style = ImGui::GetStyle();
    style = ImGuiStyle();
    style.ScrollbarSize = look_.unit(12);
    style.ItemSpacing = {0, 0};
    style.WindowPadding = {0, 0};
    style.AntiAliasedLinesUseTex = false;
}

void DeskCore::draw(float width, float height) {
    look_.colours = &palette(look_.theme);
    ImVec4* colours = ImGui::GetStyle().Colors;
    const auto set = [&](ImGuiCol which, Colour colour) {
        colours[which] = ImGui::ColorConvertU32ToFloat4(ink(colour));
    };
    set(ImGuiCol_ScrollbarBg, {0, 0, 0, 0});
    set(ImGuiCol_ScrollbarGrab, look_.colours->paper_line);
    set(ImGuiCol_ScrollbarGrabHovered, look_.colours->paper_soft);
    set(ImGuiCol_ScrollbarGrabActive, look_.colours->paper_soft);
    set(ImGuiCol_ChildBg, {0, 0, 0, 0});
    const bool sound = session_ && ClipSound::heard_in(*session_);
    const Layout layout = lay_out(width, height, look_.scale, views_.strip.folded, sound);
    const Box all{0, 0, width, height};
    if (!session_) {
        draw_empty(look_, keys_, all, !options_.sample_meet.empty(), has_recent_, commands_);
    } else {
        const Scene scene{look_,  *session_, keys_, views_,     commands_, textures_,
                          sound_, course_,   meet_, following_, camera_};
        if (on_the_meet()) {
            meet_.draw(scene, {0, layout.top.bottom(), width, layout.help.y - layout.top.bottom()});
        } else {
            draw_pictures(scene, layout.pictures, views_.pictures);
            for (const meet::ClipId clip : views_.pictures.shown) {
                session_->note_shown(clip);
                if (clip == session_->clip() && session_->picture().exact) drawn_ = {clip, session_->frame()};
            }
            if (views_.pictures.camera.active)
                draw_camera_panel(scene, layout.sheet, views_.pictures.camera);
            else
                draw_sheet(scene, layout.sheet, views_.sheet);
            draw_strip(scene, layout.strip, layout.rows, sound, views_.strip);
            if (guide_.on()) draw_guide(scene, layout.pictures, guide_);
        }
        draw_top_bar(scene, layout.top);
        draw_help_line(scene, layout.help);
    }
    // On the pictures' lower edge, or on that of the meet's page, or of one over everything.
    const bool wide = on_the_meet() || views_.page.kind != PageKind::none;
    const Box middle = wide ? Box{0, layout.top.bottom(), width, layout.help.y - layout.top.bottom()}
                            : Box{0, layout.top.bottom(), layout.pictures.w, layout.pictures.h};
    draw_open_page(all);
    // What a page is told stands over it.
    draw_messages(look_, keys_, session_ ? middle : all, views_.offer, views_.messages, commands_);
    if (views_.help) draw_help(look_, keys_, all, views_.help_scroll, views_.help);
    if (views_.chooser) {
        bool done = false;
        draw_chooser(look_, all, *views_.chooser, commands_, done);
        if (done) views_.chooser.reset();
    }
    if (views_.entry) draw_entry(look_, all, *views_.entry);
    if (views_.secret) draw_secret(look_, all, *views_.secret);
    if (views_.new_key) draw_new_key(look_, keys_, all, *views_.new_key);
}

}  // namespace plumbmark::desk
