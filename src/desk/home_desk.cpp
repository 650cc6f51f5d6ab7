// What the desk remembers of a person: preferences, and the meets that were open.
#include <fmt/format.h>

#include <cmath>

#include "base/catalogue.h"
#include "desk/crash_report.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/say.h"
#include "desk/own_files.h"

namespace plumbmark::desk {
namespace fs = std::filesystem;
namespace {

fs::path preferences_file() {
    return config_folder() / "preferences.txt";
}
fs::path recent_file() {
    return state_folder() / "recent-meets.txt";
}

}  // namespace

void DeskCore::recall() {
    std::error_code problem;
    // First, so that what is wrong is said in it.
    speak(options_.language);
    if (options_.remember) tell_of_crash();
    if (options_.remember) has_recent_ = !read_recent(recent_file()).empty();
    if (!options_.remember || !fs::exists(preferences_file(), problem)) return;
    const auto text = whole_file(preferences_file());
    if (!text) return complain(text.error());
    const auto read = read_preferences(*text, preferences_file().string());
    if (!read) return complain(read.error());
    look_.theme = read->theme;
    user_scale_ = read->size;
    views_.muted = !read->sound;
    views_.strip.folded = read->strip_folded;
    views_.pictures.alone = read->angles_alone;
    own_list_of_files_ = read->own_list_of_files;
    if (options_.language.empty()) speak(read->language);
}

void DeskCore::tell_of_crash() {
    const auto report = untold_crash(state_folder() / "crashes");
    if (!report) return;
    message(tr("Plumbmark ended by a fault of its own last time. Everything that was marked is in the meet. "
               "What it was doing is kept on this machine and sent nowhere: {}",
               report->string()),
            true);
}

void DeskCore::speak(const std::string& code) {
    language_ = code;
    if (const auto chosen = base::choose_language(code.empty() ? base::language_of_environment() : code);
        !chosen)
        complain(chosen.error());
    // What was put into words already is put into words anew.
    views_.strip.kept = {};
    meet_.say_anew();
    course_.say_anew();
    if (session_) session_->rule_anew();
}

void DeskCore::remember() {
    if (!options_.remember) return;
    const Preferences now{look_.theme,           user_scale_,        !views_.muted, views_.strip.folded,
                          views_.pictures.alone, own_list_of_files_, language_};
    complain_if(keep_file(preferences_file(), write_preferences(now)));
}

void DeskCore::note_recent(const fs::path& meet) {
    if (!options_.remember) return;
    std::error_code problem;
    const fs::path whole = fs::weakly_canonical(meet, problem);
    if (problem) return;
    // Not worth a complaint: the meet is open all the same.
    (void)keep_file(recent_file(), write_recent(with_recent(read_recent(recent_file()), whole)));
}

void DeskCore::list_recent_meets() {
    Chooser list;
    list.title = tr("Which meet?");
    list.wide = true;
    if (options_.remember)
        for (const fs::path& path : read_recent(recent_file())) {
            std::error_code problem;
            if (session_ && fs::equivalent(session_->path(), path, problem)) continue;
            const bool there = fs::exists(path, problem);
            list.choices.push_back(
                {path.filename().string(),
                 there ? path.parent_path().string() : tr("{} (not there now)", path.parent_path().string()),
                 OpenPath{path}});
        }
    if (list.choices.empty())
        return say(tr("No other meet was open yet. {} opens one.", keys_.label(Action::open_file)));
    list.typed = list.choices.size() > 9;
    views_.chooser = std::move(list);
}

void DeskCore::list_preferences(int row) {
    Chooser list;
    list.title = tr("Preferences");
    const auto add = [&](const std::string& what, const std::string& now, Action action) {
        list.choices.push_back(
            {what + ": " + now, keys_.label(action), Prefer{action, static_cast<int>(list.choices.size())}});
    };
    add(tr("theme"), tr(theme_words(look_.theme)), Action::theme);
    add(tr("size"), tr("{:.0f} %, larger", std::round(user_scale_ * 100)), Action::larger);
    add(tr("size"), tr("{:.0f} %, smaller", std::round(user_scale_ * 100)), Action::smaller);
    add(tr("size"), tr("the usual one"), Action::usual_size);
    add(tr("sound"), views_.muted ? tr_in("sound", "off") : tr_in("sound", "on"), Action::mute);
    add(tr("run strip"), views_.strip.folded ? tr_in("run strip", "folded") : tr_in("run strip", "whole"),
        Action::fold_strip);
    add(tr("cameras"), views_.pictures.alone ? tr_in("cameras", "one") : tr_in("cameras", "all of the run"),
        Action::other_angles);
    for (const base::LanguageName& one : base::languages())
        list.choices.push_back({tr("language: {}", one.own_name),
                                one.code == base::chosen_language() ? tr("as it is") : "",
                                TakeLanguage{one.code, static_cast<int>(list.choices.size())}});
    list.choices.push_back({own_list_of_files_
                                ? tr("choosing files: this window's list")
                                : tr("choosing files: the system's window, where there is one"),
                            "", Prefer{Action::open_file, static_cast<int>(list.choices.size()), true}});
    list.cursor = row;
    views_.chooser = std::move(list);
}

}  // namespace plumbmark::desk
