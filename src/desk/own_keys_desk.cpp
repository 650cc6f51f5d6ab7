// Changing the keys in the window, and printing them.
#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/say.h"
#include "desk/own_files.h"
#include "desk/own_keys.h"
#include "report/key_sheet.h"
#include "review/documents.h"

namespace plumbmark::desk {
namespace fs = std::filesystem;

fs::path DeskCore::own_keys_file() const {
    return options_.keys_file.empty() ? config_folder() / "keys.txt" : options_.keys_file;
}

void DeskCore::list_keys(std::optional<Action> at) {
    Chooser list;
    list.title = tr("Which key is to change?");
    list.wide = true;
    list.typed = true;
    const auto add = [&](const std::string& words, const std::string& detail, OfKeys::What what) {
        list.choices.push_back({words, detail, OfKeys{what, {}}});
    };
    add(tr("print all keys"), tr("a PDF"), OfKeys::What::print);
    if (keys_before_) add(tr("take the last change of keys back"), "", OfKeys::What::back);
    const auto& table = keys_.bindings();
    if (!std::all_of(table.begin(), table.end(), has_usual_key))
        add(tr("all keys as they come"), "", OfKeys::What::usual);
    for (const KeyBinding& binding : table) {
        if (at == binding.action) list.cursor = static_cast<int>(list.choices.size());
        std::string detail = keys_.label(binding.action);
        if (!has_usual_key(binding)) {
            const auto& usual = default_keys();
            const auto came = std::find_if(usual.begin(), usual.end(),
                                           [&](const auto& b) { return b.action == binding.action; });
            detail += tr("  (comes as {})", keys_.label(came->press));
        }
        list.choices.push_back({fmt::format("{}: {}", tr(group_words(binding.group)), tr(binding.words)),
                                detail, OfKeys{OfKeys::What::change, binding.action}});
    }
    views_.chooser = std::move(list);
}

void DeskCore::carry_out_for_keys(const OfKeys& asked) {
    switch (asked.what) {
        case OfKeys::What::change:
            views_.new_key = NewKey{asked.action, {}, {}};
            return;
        case OfKeys::What::usual:
            return keep_keys(default_keys(), {});
        case OfKeys::What::back:
            if (keys_before_) keep_keys(std::vector(*keys_before_), {});
            return;
        case OfKeys::What::print:
            return name_key_sheet();
    }
}

void DeskCore::new_key_pressed(int physical_key, int mods) {
    constexpr int first_modifier =
        340;  // the window library's tokens for Shift, Ctrl and so on, pressed alone
    if (physical_key >= first_modifier) return;
    NewKey& asked = *views_.new_key;
    const Action action = asked.action;
    if (physical_key == key_escape && mods == 0) {
        views_.new_key.reset();
        return list_keys(action);
    }
    const bool confirmed = asked.press && physical_key == key_enter && mods == 0;
    if (confirmed) {
        physical_key = keys_.physical(asked.press->key);
        mods = asked.press->mods;
    }
    asked.press.reset();
    auto change = with_key(keys_, action, physical_key, mods);
    if (!change) {
        asked.problem = change.error().spoken();
        return;
    }
    if (!change->exchanged.empty() && !confirmed) {
        const KeyPress press{*keys_.key_at(physical_key), mods};
        std::vector<std::string> others;
        for (const Action other : change->exchanged)
            others.push_back(fmt::format("'{}'", tr(keys_.binding(other).words)));
        asked.press = press;
        asked.problem = tr("{} is {} so far. Enter exchanges the two; another key tries that one.",
                           keys_.label(press), base::listed(others, tr("and")));
        return;
    }
    views_.new_key.reset();
    keep_keys(std::move(change->bindings), action);
}

/// The keys are the new ones from now on, and at the next opening; 'at' is who the list stands at then.
void DeskCore::keep_keys(std::vector<KeyBinding> bindings, std::optional<Action> at) {
    keys_before_ = keys_.bindings();
    keys_.take_bindings(std::move(bindings));
    list_keys(at);
    if (!options_.remember) return;
    std::error_code problem;
    std::string before;
    if (fs::exists(own_keys_file(), problem)) {
        const auto text = whole_file(own_keys_file());
        if (!text) return complain(text.error());
        before = *text;
    }
    complain_if(keep_file(own_keys_file(), own_keys_text(before, keys_.bindings())));
}

void DeskCore::name_key_sheet() {
    TextEntry entry;
    entry.kind = EntryKind::key_sheet;
    entry.title = tr("Print the keys to");
    entry.hint = tr("A PDF, as the keys are now, under this keyboard's layout.");
    std::error_code problem;
    const fs::path folder = session_ ? session_->path().parent_path() : fs::current_path(problem);
    entry.put((folder / "plumbmark-keys.pdf").string());
    views_.entry = entry;
}

void DeskCore::print_keys(const std::string& name) {
    std::vector<report::KeyLines> groups;
    for (const KeyGroup group : kKeyGroups) {
        report::KeyLines& lines = groups.emplace_back();
        lines.title = group_words(group);
        for (const KeyBinding& binding : keys_.bindings())
            if (binding.group == group)
                lines.lines.push_back(
                    {keys_.label_in_english(binding.action), binding.words, !has_usual_key(binding)});
    }
    std::error_code problem;
    complain_if(export_.begin_sheet(
        fs::current_path(problem), name, ".pdf",
        [groups = std::move(groups)](const auto&, const auto&) {
            return report::key_sheet_pdf(groups, review::program_version());
        },
        tr("all keys")));
}

}  // namespace plumbmark::desk
