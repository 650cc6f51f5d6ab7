// What keys, letters and commands do on the meet's own view, and the ways to it and back.
#include "base/text.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

/// Keys that move: holding them down repeats them.
bool moves(int key) {
    return (key >= key_right && key <= key_end) || key == key_tab || key == key_backspace;
}

}  // namespace

void DeskCore::list_start_lists(const std::filesystem::path& folder) {
    Chooser list = folder_list(folder, {".csv", ".tsv", ".txt"},
                               [](const std::filesystem::path& path) { return OfMeet{TakeListFile{path}}; });
    if (list.choices.empty()) return;
    list.title = std::string(tr("A start list, or a list of divisions.")) + " " + list.title;
    views_.chooser = std::move(list);
}

MeetHands DeskCore::meet_hands() {
    return {*session_,
            views_,
            commands_,
            keys_,
            [this](const std::string& text) { say(text); },
            [this](const base::Error& error) { complain(error); }};
}

bool DeskCore::act_meet(Action action) {
    if (action == Action::start_list) return list_start_lists(session_->path().parent_path()), true;
    if (action == Action::trials) return open_trials(), true;
    if (action == Action::season) return open_season(), true;
    if (action != Action::meet) return false;
    views_.play.playing = false;
    drop_question();
    views_.place = views_.place == KeyPlace::meet ? KeyPlace::run : KeyPlace::meet;
    if (on_the_meet()) meet_.enter(*session_);
    return true;
}

bool DeskCore::show_meet_page(const std::string& word) {
    const struct {
        const char* word;
        MeetPageKind page;
    } pages[] = {{"floor-entry", MeetPageKind::entry},
                 {"appeals", MeetPageKind::appeals},
                 {"decide", MeetPageKind::deciding},
                 {"standings", MeetPageKind::standings}};
    for (const auto& page : pages) {
        if (word != page.word || !session_) continue;
        views_.place = KeyPlace::meet;
        if (page.page == MeetPageKind::deciding) meet_.show(*session_, MeetPageKind::appeals);
        return meet_.show(*session_, page.page), true;
    }
    return false;
}

bool DeskCore::meet_key(int physical_key, int mods, std::optional<Action> action, bool repeat) {
    if (repeat && !moves(physical_key) && (!action || !keys_.binding(*action).repeats)) return true;
    const bool answers = action == Action::take || action == Action::let_go;
    if (views_.offer && answers) {
        if (action == Action::take) commands_.add(views_.offer->accept);
        views_.offer.reset();
        carry_out_commands();
        return true;
    }
    if (session_->save_failure() && action == Action::take) return session_->retry_save(), true;
    const bool done = meet_.key(meet_hands(), {physical_key, mods, action});
    carry_out_commands();
    if (!done && action == Action::let_go) return views_.messages.clear(), true;
    return done;
}

/// A question belongs to what one was doing: elsewhere Enter means something else.
void DeskCore::drop_question() {
    if (!views_.offer) return;
    views_.offer.reset();
    say(tr("The question was left open: nothing was changed."));
}

void DeskCore::type_in_meet(unsigned code_point) {
    if (views_.help || views_.page.kind != PageKind::none || views_.offer) return;
    meet_.text(meet_hands(), code_point);
    carry_out_commands();
}

void DeskCore::keep_line_of_meet(const std::string& text) {
    if (!on_the_meet()) return;
    meet_.kept(meet_hands(), text);
    carry_out_commands();
}

void DeskCore::secret_key(int physical_key, int mods) {
    store::SecretText& text = views_.secret->text;
    if (physical_key == key_backspace) return text.take_back();
    if ((mods & kCtrl) != 0 && physical_key == keys_.physical('V')) {
        // From whatever keeps a person's passphrases.
        const char* clip = ImGui::GetClipboardText();
        for (const char32_t character : base::code_points(clip != nullptr ? clip : ""))
            if (character >= 32) text.append(character);
        return;
    }
    const bool kept = physical_key == key_enter || physical_key == key_keypad_enter;
    if (!kept && physical_key != key_escape) return;
    store::SecretText secret = std::move(text);
    views_.secret.reset();
    if (!on_the_meet()) return;
    if (kept)
        meet_.kept_secret(meet_hands(), std::move(secret));
    else
        meet_.left_secret(meet_hands());
    carry_out_commands();
}

void DeskCore::carry_out_for_meet(const MeetCommand& command) {
    std::error_code problem;
    const auto* chosen = std::get_if<TakeListFile>(&command);
    if (chosen != nullptr && std::filesystem::is_directory(chosen->file, problem))
        return list_start_lists(chosen->file);
    const auto* review = std::get_if<ReviewRun>(&command);
    if (review == nullptr) return meet_.carry_out(meet_hands(), command);
    drop_question();
    views_.place = KeyPlace::run;
    if (session_->run() != review->run) carry_out(TakeRun{review->run});
}

}  // namespace plumbmark::desk
