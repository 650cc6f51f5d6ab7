// What leaves the desk: a clip of what decides a station, this frame, the marks.
#include "desk/internal/export_desk.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/reading.h"
#include "desk/internal/say.h"
#include "report/marks_export.h"
#include "review/mark_list.h"
#include "store/csv.h"

namespace plumbmark::desk {
namespace fs = std::filesystem;
using base::Category;
using base::Error;
using base::Result;
namespace {

constexpr base::Duration kAround{1'000'000'000};

bool of_marks(ExportKind what) {
    return what == ExportKind::csv || what == ExportKind::json || what == ExportKind::vtt;
}

int slowing(ExportKind what) {
    switch (what) {
        case ExportKind::half:
            return 2;
        case ExportKind::quarter:
            return 4;
        case ExportKind::eighth:
            return 8;
        default:
            return 1;
    }
}

const char* ending_of(ExportKind what) {
    switch (what) {
        case ExportKind::still:
        case ExportKind::plain_still:
            return ".png";
        case ExportKind::csv:
            return ".csv";
        case ExportKind::json:
            return ".json";
        case ExportKind::vtt:
            return ".vtt";
        default:
            return ".mp4";
    }
}

/// The station's key where there is a ruling to tell of it.
std::string station_key(const review::Session& session, int station) {
    const bool ruled =
        session.ruling().current && !session.ruling().error && station_ruling(session, station);
    if (!ruled || !session.book()) return "";
    return session.book()->stations[static_cast<std::size_t>(station)].key;
}

}  // namespace

Chooser ExportDesk::offers(const review::Session& session, int station) {
    Chooser list;
    list.title = tr("Give out");
    const review::ClipView* clip = session.current_clip();
    if (clip && clip->table) {
        const std::string key = station_key(session, station);
        const std::string about = key.empty()
                                      ? tr("around f {}", session.frame())
                                      : session.book()->stations[static_cast<std::size_t>(station)].name;
        const auto speed = [&](ExportKind what, const std::string& words) {
            list.choices.push_back({tr("a clip: {}, {}", about, words), clip->name, what});
        };
        speed(ExportKind::real_speed, tr("real speed"));
        if (clip->table->info().has_sound) speed(ExportKind::with_sound, tr("real speed, with sound"));
        speed(ExportKind::half, tr("half speed"));
        speed(ExportKind::quarter, tr("quarter speed"));
        speed(ExportKind::eighth, tr("an eighth of the speed"));
        list.choices.push_back({tr("this frame, with what is drawn and marked"), tr("f {}", session.frame()),
                                ExportKind::still});
        list.choices.push_back(
            {tr("this frame, plain"), tr("f {}", session.frame()), ExportKind::plain_still});
    }
    list.choices.push_back({tr("the run's marks as a table"), "CSV", ExportKind::csv});
    list.choices.push_back({tr("the run's marks for programs"), "JSON", ExportKind::json});
    if (clip) list.choices.push_back({tr("the marks as captions of this clip"), "WebVTT", ExportKind::vtt});
    return list;
}

review::ExportWish ExportDesk::wish_of(const review::Session& session, int station, ExportKind what) {
    review::ExportWish wish;
    wish.clip = session.clip();
    wish.station = station_key(session, station);
    wish.still = what == ExportKind::still || what == ExportKind::plain_still;
    wish.plain = what == ExportKind::plain_still;
    wish.slower = slowing(what);
    wish.sound = what == ExportKind::with_sound;
    const std::int64_t here = session.frame();
    if (wish.still) wish.frames = {{here, here}};
    const review::ClipView* clip = session.current_clip();
    if (wish.still || !wish.station.empty() || !clip || !clip->table) return wish;
    const media::FrameTable& table = *clip->table;
    const auto near = [&](base::Duration by) {
        return std::clamp<std::int64_t>(table.frame_at(table.time(here) + by), 0, table.size() - 1);
    };
    wish.frames = {{near(-kAround), near(kAround)}};
    return wish;
}

Result<fs::path> ExportDesk::prepare(const review::Session& session, int station, ExportKind what) {
    if (busy())
        return Error{Category::busy, tr("Something is being written already; Esc stops it."),
                     job_->out().string()};
    review::ExportWish wish = wish_of(session, station, what);
    fs::path name = review::export_name(session, wish);
    if (of_marks(what)) {
        wish = {};
        if (what == ExportKind::vtt) wish.clip = session.clip();
        name = review::export_name(session, wish);
        name.replace_filename(name.stem().string() + "-marks" + ending_of(what));
    } else if (const auto work = review::plan_export(session, wish); !work) {
        return work.error();
    }
    what_ = what;
    wish_ = wish;
    return free_name(session.path().parent_path() / name);
}

Result<void> ExportDesk::begin_marks(const review::Session& session, const fs::path& out) {
    const auto list = review::mark_list(session.state(), session.run(), session.book());
    if (!list) return list.error();
    std::string bytes, kind;
    if (what_ == ExportKind::csv) {
        bytes = store::write_csv(report::marks_table(*list));
        kind = "CSV";
    } else if (what_ == ExportKind::json) {
        bytes = report::marks_json(*list);
        kind = "JSON";
    } else {
        const auto& clips = session.state().runs().at(session.run()).clips;
        const auto at = std::find(clips.begin(), clips.end(), wish_.clip);
        if (at == clips.end()) return Error{Category::not_found, tr("This run has no clip yet."), ""};
        bytes = report::marks_vtt(*list, static_cast<std::size_t>(at - clips.begin()));
        kind = "WebVTT";
    }
    const std::string words = tr_n("{} mark", "{} marks", std::ssize(list->marks)) + ", " + kind;
    job_ = std::make_unique<review::ExportJob>(
        out, [bytes = std::move(bytes)](const auto&, const auto&) { return Result<std::string>(bytes); },
        kind, words, wake_);
    return {};
}

Result<fs::path> ExportDesk::free_file(const fs::path& folder, const std::string& name,
                                       const std::string& ending) const {
    if (busy())
        return Error{Category::busy, tr("Something is being written already; Esc stops it."),
                     job_->out().string()};
    const std::string trimmed(base::trimmed(name));
    if (trimmed.empty())
        return Error{Category::bad_input, tr("A file needs a name; nothing was written."), ""};
    const fs::path out = folder / trimmed;
    if (out.extension() != ending)
        return Error{Category::bad_input,
                     tr("The name of this file ends in {}; nothing was written.", ending), out.string()};
    std::error_code problem;
    if (fs::exists(out, problem))
        return Error{Category::io,
                     tr("A file of that name is there already; nothing was written. Choose another name."),
                     out.string()};
    return out;
}

Result<void> ExportDesk::begin(const review::Session& session, const std::string& name) {
    const auto out = free_file(session.path().parent_path(), name, ending_of(what_));
    if (!out) return out.error();
    if (of_marks(what_)) return begin_marks(session, *out);
    wish_.out = *out;
    auto work = review::plan_export(session, wish_);
    if (!work) return work.error();
    job_ = std::make_unique<review::ExportJob>(std::move(*work), wake_);
    return {};
}

fs::path ExportDesk::free_name(const fs::path& wanted) {
    std::error_code problem;
    fs::path path = wanted;
    for (int n = 2; fs::exists(path, problem); ++n) {
        path = wanted;
        path.replace_filename(fmt::format("{}-{}{}", wanted.stem().string(), n, wanted.extension().string()));
    }
    return path;
}

Result<void> ExportDesk::begin_sheet(const fs::path& folder, const std::string& name,
                                     const std::string& ending, review::ExportJob::Make make,
                                     const std::string& words) {
    const auto out = free_file(folder, name, ending);
    if (!out) return out.error();
    job_ = std::make_unique<review::ExportJob>(*out, std::move(make), "sheet", words, wake_);
    return {};
}

bool ExportDesk::stop() {
    if (!job_) return false;
    job_->stop();
    return true;
}

std::optional<Result<review::Exported>> ExportDesk::take() {
    if (!job_) return std::nullopt;
    auto answer = job_->take();
    if (answer) job_.reset();
    return answer;
}

std::string ExportDesk::words() const {
    if (!job_) return "";
    return tr("writing {}, {} %", job_->out().filename().string(), static_cast<int>(job_->progress() * 100));
}

// --- on the desk ---

bool DeskCore::act_export(Action action) {
    if (action == Action::give_out) {
        views_.chooser = ExportDesk::offers(*session_, focused_station(*session_, views_.sheet));
        return true;
    }
    if (action == Action::still) return name_export(ExportKind::still), true;
    return false;
}

void DeskCore::name_export(ExportKind what) {
    const auto name = export_.prepare(*session_, focused_station(*session_, views_.sheet), what);
    if (!name) return complain(name.error());
    TextEntry entry;
    entry.kind = EntryKind::give_out;
    entry.title = tr("Write it to");
    entry.hint =
        what == ExportKind::csv || what == ExportKind::json || what == ExportKind::vtt
            ? ""
            : tr("Faces are hidden where an athlete has not agreed to be shown; look at it before you "
                 "pass it on.");
    entry.put(name->string());
    views_.entry = entry;
}

void DeskCore::go_on_exporting() {
    views_.giving_out = export_.words();
    const auto done = export_.take();
    if (!done) return;
    views_.giving_out.clear();
    if (!*done) return complain((*done).error());
    const review::Exported& made = **done;
    say(tr("Written: {} ({})", made.file.string(), made.words.spoken()));
    for (const base::Sentence& notice : made.notices)
        say(notice.spoken());
    if (!made.faces.empty()) say(made.faces.spoken());
}

}  // namespace plumbmark::desk
