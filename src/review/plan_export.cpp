// What an export takes, from a session: the stretch, the caption, and what speaks against it.
#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "base/worded.h"
#include "report/stills.h"
#include "review/capture_time.h"
#include "review/documents.h"
#include "review/export_clip.h"
#include "review/mark_list.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
namespace fs = std::filesystem;

constexpr base::Duration kAround{1'000'000'000};

using Stretch = std::array<std::int64_t, 2>;

const ClipView* view_of(const Session& session, meet::ClipId id) {
    for (const ClipView& view : session.clips())
        if (view.id == id) return &view;
    return nullptr;
}

Result<const ClipView*> readable(const Session& session, meet::ClipId id) {
    const ClipView* view = view_of(session, id);
    if (!view) return Error{Category::not_found, worded("This run has no such clip."), ""};
    if (view->error) return *view->error;
    if (!view->table || view->table->size() == 0)
        return Error{Category::busy, worded("The clip is still being read; try again in a moment."),
                     view->name};
    return view;
}

/// The frames of the station's brackets on one clip, by a document that is about this station alone.
std::optional<Stretch> brackets_on(const report::RulingDocument& document, const Session& session,
                                   meet::ClipId clip) {
    std::optional<Stretch> out;
    for (const report::StillPair& pair : report::choose_stills(document)) {
        if (session.ruling().clips[static_cast<std::size_t>(pair.clip.value)] != clip) continue;
        const std::int64_t from = pair.before.value_or(pair.after.value_or(0));
        const std::int64_t to = pair.after.value_or(from);
        out = out ? Stretch{std::min((*out)[0], from), std::max((*out)[1], to)} : Stretch{from, to};
    }
    return out;
}

/// The same moment on a clip that does not show the bracket, as well as marks tie the two.
std::optional<Stretch> brackets_elsewhere(const report::RulingDocument& document, const Session& session,
                                          const ClipView& wanted) {
    const auto clocks = run_clocks(session.state(), session.run());
    const auto here = clocks.find(wanted.id);
    if (here == clocks.end()) return std::nullopt;
    for (const ClipView& other : session.clips()) {
        const auto there = clocks.find(other.id);
        if (other.id == wanted.id || there == clocks.end() || !other.table) continue;
        const auto bracket = brackets_on(document, session, other.id);
        if (!bracket) continue;
        const auto& clips = session.state().clips();
        const auto moved = [&](std::int64_t frame, base::Duration offset) {
            const std::int64_t last = other.table->size() - 1;
            const base::Time run =
                captured_at(clips.at(other.id), *other.table, std::clamp<std::int64_t>(frame, 0, last)) +
                offset;
            return frame_captured_at(clips.at(wanted.id), *wanted.table, run);
        };
        const std::int64_t from = moved((*bracket)[0], there->second.low - here->second.high);
        const std::int64_t to = moved((*bracket)[1], there->second.high - here->second.low);
        const std::int64_t last = wanted.table->size() - 1;
        if (to < 0) continue;  // it lies before the clip begins
        return Stretch{std::clamp<std::int64_t>(from, 0, last), std::clamp<std::int64_t>(to, 0, last)};
    }
    return std::nullopt;
}

Stretch widened(const media::FrameTable& table, const Stretch& bracket) {
    const std::int64_t last = table.size() - 1;
    const auto near = [&](std::int64_t frame, base::Duration by) {
        return std::clamp<std::int64_t>(
            table.frame_at(table.time(std::clamp<std::int64_t>(frame, 0, last)) + by), 0, last);
    };
    return {near(bracket[0], -kAround), near(bracket[1], kAround)};
}

Result<course::StationId> find_station(const Session& session, const std::string& key) {
    if (!session.book())
        return Error{Category::not_found, worded("This run has no course book, so it has no stations."), ""};
    const course::StationId id = session.book()->find_station(key);
    if (id.valid()) return id;
    std::vector<std::string> keys;
    for (const course::Station& station : session.book()->stations)
        keys.push_back("'" + station.key + "'");
    return Error{Category::not_found,
                 worded("The course has no station '{}'; it has {}.", key, base::listed(keys)), ""};
}

report::PictureCaption caption_of(const report::RulingDocument& document, const course::Station& station) {
    const ruling::StationRuling& ruling = document.ruling.stations.front();
    report::PictureCaption caption;
    caption.verdict = ruling.verdict;
    caption.heading =
        fmt::format("{} · {}: {}{}", document.run_label, station.name, ruling::verdict_words(ruling.verdict),
                    ruling.if_reached ? " if reached" : "");
    caption.sentence = ruling.sentence;
    return caption;
}

/// The stretch and the caption of a station.
Result<void> plan_station(const Session& session, const ClipView& view, ExportWork& work) {
    const auto id = find_station(session, work.wish.station);
    if (!id) return id.error();
    auto document = ruling_document(session);
    if (!document) return document.error();
    const auto& stations = document->ruling.stations;
    const auto found = std::find_if(stations.begin(), stations.end(),
                                    [&](const ruling::StationRuling& one) { return one.station == *id; });
    if (found == stations.end())
        return Error{Category::not_found, worded("The ruling says nothing about this station."),
                     work.wish.station};
    document->ruling.stations = {ruling::StationRuling(*found)};
    work.caption = caption_of(*document, session.book()->station(*id));
    if (work.wish.frames) return {};
    auto bracket = brackets_on(*document, session, view.id);
    if (!bracket) bracket = brackets_elsewhere(*document, session, view);
    if (!bracket)
        return Error{Category::not_found,
                     worded("Nothing that decides '{}' is marked on {}, and no marks tie it to a clip that "
                            "shows it: say which frames.",
                            session.book()->station(*id).name, view.name),
                     ""};
    const Stretch around = widened(*view.table, *bracket);
    work.first = work.wish.still ? (*bracket)[1] : around[0];
    work.last = work.wish.still ? (*bracket)[1] : around[1];
    return {};
}

Result<void> check(const Session& session, const ClipView& view, const ExportWish& wish) {
    if (std::find(kSlowings.begin(), kSlowings.end(), wish.slower) == kSlowings.end())
        return Error{Category::bad_input, worded("A clip goes out at real speed, 1/2, 1/4 or 1/8 of it."),
                     ""};
    if (wish.sound && (wish.slower != 1 || wish.still))
        return Error{Category::bad_input, worded("Sound goes with a clip at real speed only."), ""};
    if (wish.sound && !view.table->info().has_sound)
        return Error{Category::bad_input, worded("This clip has no sound."), view.name};
    if (is_of_meet(session, wish.out))
        return Error{Category::bad_input,
                     worded("The meet rests on this file; it is not written over. Choose another name."),
                     wish.out.string()};
    if (!wish.frames) return {};
    const auto [from, to] = *wish.frames;
    if (from < 0 || to < from || to >= view.table->size())
        return Error{Category::bad_input,
                     worded("{} has frames 0 to {}, so there is no stretch from {} to {}.", view.name,
                            view.table->size() - 1, from, to),
                     ""};
    return {};
}

/// Letters and digits as they are; everything else is a hyphen, one between two words.
std::string plain_name(const std::string& text) {
    std::string out;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        const bool kept = (byte >= '0' && byte <= '9') || (byte >= 'a' && byte <= 'z') ||
                          (byte >= 'A' && byte <= 'Z') || byte >= 0x80;
        if (kept)
            out += c;
        else if (!out.empty() && out.back() != '-')
            out += '-';
    }
    while (!out.empty() && out.back() == '-')
        out.pop_back();
    return out;
}

}  // namespace

bool is_of_meet(const Session& session, const fs::path& file) {
    std::error_code problem;
    const auto same = [&](const fs::path& other) {
        return !other.empty() && (file == other || fs::equivalent(file, other, problem));
    };
    if (same(session.path())) return true;
    for (const auto& [id, clip] : session.state().clips())
        if (same(session.path().parent_path() / clip.relative_path) || same(clip.last_known_path))
            return true;
    return std::any_of(session.clips().begin(), session.clips().end(),
                       [&](const ClipView& view) { return same(view.file); });
}

Result<ExportWork> plan_export(const Session& session, const ExportWish& wish) {
    const auto view = readable(session, wish.clip);
    if (!view) return view.error();
    if (auto good = check(session, **view, wish); !good) return good.error();
    if (wish.station.empty() && !wish.frames)
        return Error{Category::bad_input, worded("Say which station it is about, or which frames."), ""};
    ExportWork work;
    work.wish = wish;
    if (!wish.station.empty())
        if (auto planned = plan_station(session, **view, work); !planned) return planned.error();
    if (wish.frames) {
        work.first = (*wish.frames)[0];
        work.last = wish.still ? work.first : (*wish.frames)[1];
    }
    work.state = session.state();
    work.run = session.run();
    if (session.book()) work.book = *session.book();
    work.file = (*view)->file;
    work.table = (*view)->table;
    const auto clocks = run_clocks(session.state(), session.run());
    if (const auto clock = clocks.find(wish.clip); clock != clocks.end()) work.clock = clock->second;
    return work;
}

std::string export_name(const Session& session, const ExportWish& wish) {
    std::vector<std::string> parts;
    const auto run = session.state().runs().find(session.run());
    if (run != session.state().runs().end()) parts.push_back(plain_name(run->second.label));
    parts.push_back(plain_name(wish.station));
    const auto clip = session.state().clips().find(wish.clip);
    if (clip != session.state().clips().end()) parts.push_back(plain_name(clip->second.name));
    if (wish.frames)
        parts.push_back(wish.still ? fmt::format("f{}", (*wish.frames)[0])
                                   : fmt::format("f{}-{}", (*wish.frames)[0], (*wish.frames)[1]));
    if (!wish.still && wish.slower > 1) parts.push_back(fmt::format("slow-{}", wish.slower));
    if (wish.plain) parts.emplace_back("plain");
    std::string name;
    for (const std::string& part : parts)
        if (!part.empty()) name += (name.empty() ? "" : "-") + part;
    return name + (wish.still ? ".png" : ".mp4");
}

}  // namespace plumbmark::review
