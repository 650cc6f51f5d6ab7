// Ctrl O: the system's own window for choosing files, or the desk's list where there is none.
#include <fmt/format.h>

#include "desk/internal/desk_core.h"
#include "desk/internal/reading.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace fs = std::filesystem;

void DeskCore::ask_for_files() {
    std::error_code problem;
    const fs::path folder = session_ ? session_->path().parent_path() : fs::current_path(problem);
    if (own_list_of_files_ || no_system_files_ || !SystemFiles::may_be_there()) return list_folder(folder);
    if (system_files_.asking())
        return say(
            tr("The system's window for choosing files is open; {} closes it.", keys_.label(Action::let_go)));
    FileWish wish;
    wish.title = tr("Open a meet, clips or a course book");
    wish.folder = fs::absolute(folder, problem);
    wish.kinds = {{tr("meets, clips and course books"), {}}, {tr("all files"), {"*"}}};
    for (const std::string& ending : endings_to_open()) {
        wish.kinds.front().patterns.push_back("*" + ending);
        // Cameras write theirs in capitals.
        std::string capitals = "*" + ending;
        for (char& c : capitals)
            if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
        wish.kinds.front().patterns.push_back(capitals);
    }
    system_files_.ask(std::move(wish));
}

void DeskCore::go_on_with_files() {
    const auto answer = system_files_.take();
    if (!answer) return;
    for (const fs::path& file : answer->files)
        open_path(file);
    if (answer->outcome != FileAnswer::Outcome::none_here) return;
    // Nobody answers there: the list of one's own, now and from now on.
    no_system_files_ = true;
    ask_for_files();
}

}  // namespace plumbmark::desk
