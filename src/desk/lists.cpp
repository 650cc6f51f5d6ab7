// The lists to choose from and the line to write on.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cstring>

#include "base/ascii.h"
#include "base/text.h"
#include "base/utf8.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/reading.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace fs = std::filesystem;
using meet::EventKind;

const std::vector<std::string>& endings_to_open() {
    static const std::vector<std::string> endings{".meet", ".course", ".mp4",  ".mov", ".m4v",
                                                  ".mkv",  ".webm",   ".avi",  ".ts",  ".mts",
                                                  ".3gp",  ".mpg",    ".mpeg", ".mxf"};
    return endings;
}

bool may_be_photograph(const std::string& ending) {
    static const std::vector<std::string> endings{".jpg",  ".jpeg", ".png",  ".heic", ".heif",
                                                  ".webp", ".tif",  ".tiff", ".dng",  ".bmp"};
    return std::find(endings.begin(), endings.end(), ending) != endings.end();
}

void TextEntry::put(const std::string& words) {
    const std::string letters_in_field = letters.for_field(words);
    std::size_t length = std::min(letters_in_field.size(), text.size() - 1);
    while (length > 0 && length < letters_in_field.size() &&
           (static_cast<unsigned char>(letters_in_field[length]) & 0xC0) == 0x80)
        --length;  // not in the middle of a letter
    std::memcpy(text.data(), letters_in_field.data(), length);
    text[length] = 0;
}

void TextEntry::replace(const std::string& words) {
    put(words);
    active = false;
    frames_without_keyboard = 0;
}

std::string TextEntry::words() const {
    return letters.meant(text.data());
}

std::vector<int> Chooser::shown() const {
    std::vector<int> list;
    for (std::size_t i = 0; i < choices.size(); ++i)
        if (filter.empty() ||
            base::ascii_lower(choices[i].label + " " + choices[i].detail).find(base::ascii_lower(filter)) !=
                std::string::npos)
            list.push_back(static_cast<int>(i));
    return list;
}

bool DeskCore::list_key(int key, int mods) {
    Chooser& list = *views_.chooser;
    const std::vector<int> shown = list.shown();
    const int count = static_cast<int>(shown.size());
    const auto choose = [&](int at) {
        const Command command =
            list.choices[static_cast<std::size_t>(shown[static_cast<std::size_t>(at)])].command;
        views_.chooser.reset();
        commands_.add(command);
        carry_out_commands();
        return true;
    };
    switch (key) {
        case key_escape:
            return views_.chooser.reset(), true;
        case key_down:
            return list.cursor = count ? (list.cursor + 1) % count : 0, true;
        case key_up:
            return list.cursor = count ? (list.cursor + count - 1) % count : 0, true;
        case key_home:
            return list.cursor = 0, true;
        case key_end:
            return list.cursor = std::max(0, count - 1), true;
        case key_page_down:
            return list.cursor = std::clamp(list.cursor + 8, 0, std::max(0, count - 1)), true;
        case key_page_up:
            return list.cursor = std::max(0, list.cursor - 8), true;
        case key_enter:
        case key_keypad_enter:
            return list.cursor < count ? choose(list.cursor) : true;
        case key_backspace:
            while (!list.filter.empty() && (static_cast<unsigned char>(list.filter.back()) & 0xC0) == 0x80)
                list.filter.pop_back();
            if (!list.filter.empty()) list.filter.pop_back();
            return true;
        default:
            break;
    }
    if (list.typed || mods != 0) return false;
    const int digit = key >= '1' && key <= '9' ? key - '1' : key - (key_keypad_0 + 1);
    if (digit >= 0 && digit < std::min(9, count)) return choose(digit);
    return false;
}

std::optional<char32_t> DeskCore::text(char32_t code_point) {
    if (code_point < 32 || swallow_text_) return std::nullopt;
    if (views_.secret) return (void)views_.secret->text.append(code_point), std::nullopt;
    if (views_.entry) return views_.entry->letters.for_field(code_point);
    if (!views_.chooser && on_the_meet()) return type_in_meet(code_point), std::nullopt;
    if (!views_.chooser || !views_.chooser->typed) return std::nullopt;
    base::append_utf8(views_.chooser->filter, code_point);
    views_.chooser->cursor = 0;
    return std::nullopt;
}

void DeskCore::list_runs() {
    Chooser list;
    list.title = tr("Which run?");
    list.typed = session_->state().runs().size() > 9;
    for (const auto& [id, run] : session_->state().runs()) {
        if (id == session_->run()) list.cursor = static_cast<int>(list.choices.size());
        list.choices.push_back(
            {run_words(*session_, id), tr_n("{} clip", "{} clips", std::ssize(run.clips)), TakeRun{id}});
    }
    if (list.choices.empty()) return say(tr("This meet has no run yet. Drop a clip here to begin one."));
    views_.chooser = std::move(list);
}

void DeskCore::list_surfaces() {
    const course::CourseBook* book = session_->book();
    Chooser list;
    list.title = tr("Which surface or plane?");
    list.typed = true;
    if (book)
        for (const course::Surface& surface : book->surfaces) {
            const bool drawn = drawing_of(*session_, meet::DrawingKind::surface, surface.key) != nullptr;
            if (surface.key == session_->hand().surface) list.cursor = static_cast<int>(list.choices.size());
            const std::string kind = surface.out_of_play ? tr("out of play") : tr("surface");
            list.choices.push_back(
                {surface.name, drawn ? tr("{}, drawn", kind) : kind, TakeSurface{surface.key, false}});
        }
    list.choices.push_back({tr("something undeclared"), tr("out of play"), TakeSurface{"", true}});
    if (book)
        for (const course::Plane& plane : book->planes)
            list.choices.push_back({plane.name, tr("plane"), TakePlane{plane.key}});
    views_.chooser = std::move(list);
}

void DeskCore::list_signals() {
    const auto signal = [](ruling::SignalKind kind) {
        meet::Event event;
        event.kind = EventKind::signal;
        event.signal = kind;
        return MarkEvent{event};
    };
    const course::CourseBook* book = session_->book();
    const std::string finish = book && !book->finish.name.empty() ? book->finish.name : tr("finish");
    Chooser list;
    list.title = tr("Which signal, by f {}?", session_->frame());
    list.choices = {{tr("start given"), "", signal(ruling::SignalKind::start_given)},
                    {tr("{} registers", finish), "", signal(ruling::SignalKind::finish_registers)},
                    {tr("run over"), "", signal(ruling::SignalKind::run_over)}};
    views_.chooser = std::move(list);
}

void DeskCore::list_infractions() {
    const auto infraction = [](ruling::InfractionKind kind) {
        meet::Event event;
        event.kind = EventKind::infraction;
        event.infraction = kind;
        return MarkEvent{event};
    };
    Chooser list;
    list.title = tr("Which infraction, by f {}?", session_->frame());
    list.choices = {{tr("assistance"), "", infraction(ruling::InfractionKind::assistance)},
                    {tr("false start"), "", infraction(ruling::InfractionKind::false_start)},
                    {tr("lack of control"), "", infraction(ruling::InfractionKind::lack_of_control)}};
    views_.chooser = std::move(list);
}

void DeskCore::list_grades() {
    const auto now = chosen(*session_);
    if (!now || !now->is_contact_event)
        return say(tr("Choose a touch first; only touches are brush or weight."));
    Chooser list;
    list.title = tr("How firm was it? {}", now->words);
    list.choices = {{tr("not said"), tr("either may be true"), SetGrade{ruling::Grade::ungraded}},
                    {tr("brush"), tr("grazed it"), SetGrade{ruling::Grade::brush}},
                    {tr("weight"), tr("bore weight"), SetGrade{ruling::Grade::weight}}};
    views_.chooser = std::move(list);
}

void DeskCore::list_alternatives() {
    const auto found = session_->state().marks().find(session_->selected());
    if (found == session_->state().marks().end())
        return say(tr("Choose a mark first: click it on the run strip."));
    const meet::Event first = found->second.alternatives.front();
    const course::CourseBook* book = session_->book();
    if (!book) return say(tr("Other surfaces come from a course book. Drop a .course file here."));
    Chooser list;
    list.title = tr("Or was it");
    list.typed = true;
    const auto add = [&](const std::string& name, const std::string& surface, const std::string& plane) {
        meet::Event event = first;
        event.surface = surface;
        event.plane = plane;
        if (std::find(found->second.alternatives.begin(), found->second.alternatives.end(), event) ==
            found->second.alternatives.end())
            list.choices.push_back({name, "", AddAlternative{event}});
    };
    if (first.kind == EventKind::touch || first.kind == EventKind::release) {
        for (const course::Surface& surface : book->surfaces)
            add(surface.name, surface.key, "");
        add(tr("something undeclared"), "", "");
    } else if (first.kind == EventKind::cross) {
        for (const course::Plane& plane : book->planes)
            add(plane.name, "", plane.key);
    }
    if (list.choices.empty()) return say(tr("There is nothing else it could have been."));
    views_.chooser = std::move(list);
}

void DeskCore::list_drawings() {
    const course::CourseBook* book = session_->book();
    if (!book)
        return say(tr("What is drawn gets its name from the course book. Drop a .course file here first."));
    if (!session_->picture().picture) return say(tr("There is no picture to draw on yet."));
    Chooser list;
    list.title = views_.pictures.drawing.active ? tr("What is this?")
                                                : tr("Draw which surface or plane on this clip?");
    list.typed = true;
    const auto add = [&](meet::DrawingKind kind, const std::string& key, const std::string& name,
                         const char* word) {
        const bool drawn = drawing_of(*session_, kind, key) != nullptr;
        const std::string& in_hand =
            kind == meet::DrawingKind::surface ? session_->hand().surface : session_->hand().plane;
        if (!in_hand.empty() && key == in_hand && list.cursor == 0)
            list.cursor = static_cast<int>(list.choices.size());
        list.choices.push_back(
            {name, drawn ? tr("{}, drawn: mend it", word) : word, StartDrawing{kind, key}});
    };
    for (const course::Surface& surface : book->surfaces)
        add(meet::DrawingKind::surface, surface.key, surface.name, tr("surface"));
    for (const course::Plane& plane : book->planes)
        add(meet::DrawingKind::plane, plane.key, plane.name, tr("plane"));
    views_.chooser = std::move(list);
}

void DeskCore::list_floor_calls() {
    const course::CourseBook* book = session_->book();
    const int station = focused_station(*session_, views_.sheet);
    if (!book || station < 0)
        return say(tr("Floor calls belong to stations, which come from a course book."));
    const course::Station& now = book->stations[static_cast<std::size_t>(station)];
    Chooser list;
    list.title = tr("Floor call for {}", now.name);
    list.choices = {{tr("clear"), "", GiveFloorCall{now.key, meet::Call::clear, false}},
                    {tr("fail"), "", GiveFloorCall{now.key, meet::Call::fail, false}},
                    {tr("clear, under appeal"), "", GiveFloorCall{now.key, meet::Call::clear, true}},
                    {tr("fail, under appeal"), "", GiveFloorCall{now.key, meet::Call::fail, true}}};
    views_.chooser = std::move(list);
}

void DeskCore::list_mark_menu(float x, float y) {
    const review::Hand& hand = session_->hand();
    Chooser list;
    list.at = {{x, y}};
    list.title = tr("At f {}: {}", session_->frame(), part_name(hand.part));
    if (hand.part && (!hand.surface.empty() || views_.marking.undeclared)) {
        const std::string surface = surface_name(*session_, hand.surface);
        list.choices = {
            {tr("touches {}", surface), keys_.label(Action::touch), Do{Action::touch}},
            {tr("leaves {}", surface), keys_.label(Action::release), Do{Action::release}},
            {tr("is on {}", surface), keys_.label(Action::contact_on), Do{Action::contact_on}},
            {tr("is off {}", surface), keys_.label(Action::contact_off), Do{Action::contact_off}}};
    }
    if (!hand.plane.empty()) {
        const std::string plane = plane_name(*session_, hand.plane);
        list.choices.push_back({tr("is past {}", plane), keys_.label(Action::cross), Do{Action::cross}});
        list.choices.push_back(
            {tr("is back behind {}", plane), keys_.label(Action::cross_back), Do{Action::cross_back}});
    }
    list.choices.push_back(
        {tr("choose a surface or plane"), keys_.label(Action::surface_list), Do{Action::surface_list}});
    for (const course::Part part : course::kAllParts) {
        if (hand.part == part) continue;
        const auto action = static_cast<Action>(static_cast<int>(Action::left_hand) + static_cast<int>(part));
        list.choices.push_back({part_name(part), keys_.label(action), TakePart{part}});
    }
    list.choices.push_back({tr("whole athlete"), keys_.label(Action::whole_athlete), TakePart{std::nullopt}});
    views_.chooser = std::move(list);
}

void DeskCore::list_folder(const fs::path& folder) {
    Chooser list =
        folder_list(folder, endings_to_open(), [](const fs::path& path) { return OpenPath{path}; });
    if (!list.choices.empty()) views_.chooser = std::move(list);
}

Chooser DeskCore::folder_list(const fs::path& folder, const std::vector<std::string>& endings,
                              const std::function<Command(const fs::path&)>& choice) {
    const auto fits = [&](const fs::path& path) {
        return std::find(endings.begin(), endings.end(), base::ascii_lower(path.extension().string())) !=
               endings.end();
    };
    Chooser list;
    list.typed = true;
    std::error_code problem;
    const fs::path here = fs::absolute(folder, problem).lexically_normal();
    list.title = tr("Open from {}", here.string());
    std::vector<Choice> folders, files;
    for (auto entry = fs::directory_iterator(here, fs::directory_options::skip_permission_denied, problem);
         !problem && entry != fs::directory_iterator(); entry.increment(problem)) {
        const std::string name = entry->path().filename().string();
        std::error_code ignored;
        if (name.empty() || name.front() == '.') continue;
        if (entry->is_directory(ignored))
            folders.push_back({name, tr("folder"), choice(entry->path())});
        else if (fits(entry->path()))
            files.push_back({name, "", choice(entry->path())});
    }
    if (problem) {
        complain(
            {base::Category::io, tr("The folder cannot be read: {}.", problem.message()), here.string()});
        return {};
    }
    const auto by_name = [](const Choice& a, const Choice& b) { return a.label < b.label; };
    std::sort(folders.begin(), folders.end(), by_name);
    std::sort(files.begin(), files.end(), by_name);
    list.choices.push_back(
        {"..", tr("the folder above"),
         choice(here.has_filename() ? here.parent_path() : here.parent_path().parent_path())});
    list.choices.insert(list.choices.end(), files.begin(), files.end());
    list.choices.insert(list.choices.end(), folders.begin(), folders.end());
    list.cursor = list.choices.size() > 1 ? 1 : 0;
    return list;
}

void DeskCore::write_note() {
    const auto found = session_->state().marks().find(session_->selected());
    if (found == session_->state().marks().end())
        return say(tr("Choose a mark first: click it on the run strip."));
    TextEntry entry;
    entry.kind = EntryKind::note;
    entry.title = tr("Note on: {}", chosen(*session_)->words);
    entry.put(found->second.note);
    views_.entry = entry;
}

void DeskCore::write_frame() {
    TextEntry entry;
    entry.kind = EntryKind::frame;
    const review::ClipView* clip = session_->current_clip();
    entry.title =
        clip && clip->table ? tr("Go to frame, 0 to {}", clip->table->size() - 1) : tr("Go to frame");
    views_.entry = entry;
}

void DeskCore::write_capture() {
    const auto found = session_->state().clips().find(session_->clip());
    if (found == session_->state().clips().end()) return say(tr("There is no clip yet. Drop one here."));
    const meet::Clip& clip = found->second;
    TextEntry entry;
    entry.kind = EntryKind::capture;
    entry.title = tr("How many pictures a second were taken: {}", clip.name);
    entry.hint = tr("240    as shown    unknown    in stretches: as shown; @120 240; @480 as shown");
    // What the file says is offered; only Enter makes it the reviewer's word.
    const bool offered = clip.capture.empty() && clip.slowed;
    entry.put(offered ? meet::capture_text({{{0, 0}, meet::Pace::retimed, *clip.slowed}})
                      : meet::capture_text(clip.capture));
    views_.entry = entry;
}

void DeskCore::keep_capture(const std::string& text) {
    const auto map = meet::read_capture(text);
    if (!map) return complain(map.error());
    complain_if(session_->set_capture(session_->clip(), *map));
}

bool DeskCore::entry_key(int key) {
    if (key == key_escape) return views_.entry.reset(), true;
    if (key != key_enter && key != key_keypad_enter) return false;
    keep_entry();
    return true;
}

void DeskCore::keep_entry() {
    const TextEntry entry = *views_.entry;
    views_.entry.reset();
    const std::string text = entry.words();
    if (entry.kind == EntryKind::key_sheet) return print_keys(text);
    if (entry.kind == EntryKind::note) return complain_if(session_->set_note(text));
    if (entry.kind == EntryKind::capture) return keep_capture(text);
    if (entry.kind == EntryKind::tie) return keep_tie(text);
    if (entry.kind == EntryKind::meet) return keep_line_of_meet(text);
    if (entry.kind == EntryKind::trials) return keep_line_of_trials(text);
    if (entry.kind == EntryKind::give_out) return complain_if(export_.begin(*session_, text));
    std::int64_t frame = 0;
    const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), frame);
    if (problem != std::errc() || end != text.data() + text.size())
        return say(tr("'{}' is not a frame number.", text));
    commands_.add(GoFrame{frame});
    carry_out_commands();
}

}  // namespace plumbmark::desk
