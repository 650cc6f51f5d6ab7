// The page of a season: opening it, its keys, whose season of which meets it is, and its picture.
#include <algorithm>

#include "desk/internal/desk_core.h"
#include "desk/internal/say.h"
#include "meet/who_ran.h"
#include "report/plots.h"

namespace plumbmark::desk {

namespace fs = std::filesystem;

namespace {

/// As review::season finds the athlete in other meets: by the name, where there is one.
std::string asked_as(const meet::Athlete& athlete) {
    return athlete.name.empty() ? athlete.number : athlete.name;
}

}  // namespace

void DeskCore::open_season() {
    views_.play.playing = false;
    views_.page = {PageKind::season, 0};
    const auto run = session_->state().runs().find(session_->run());
    if (run != session_->state().runs().end())
        if (const meet::Athlete* athlete = meet::athlete_of(session_->state(), run->second))
            views_.season.athlete = asked_as(*athlete);
    update_season();
}

void DeskCore::update_season() {
    if (!on_the_season()) return season_.close();
    if (!session_) {
        views_.page = {};
        return season_.close();
    }
    season_.update(*session_, views_.season);
}

void DeskCore::season_page_key(int physical_key, int mods, std::optional<Action> action) {
    if (action == Action::let_go || action == Action::season) {
        views_.page = {};
        return season_.close();
    }
    if (const auto command = season_key(views_.season, season_, physical_key, mods))
        carry_out_for_season(*command);
}

void DeskCore::carry_out_for_season(const SeasonCommand& command) {
    SeasonView& view = views_.season;
    if (std::get_if<ListSeasonAthletes>(&command)) return list_season_athletes();
    if (std::get_if<ListSeasonFiles>(&command)) return list_season_files(session_->path().parent_path());
    if (std::get_if<PrintSeason>(&command)) return print_season();
    if (const auto* of = std::get_if<SeasonOf>(&command))
        view.athlete = of->athlete;
    else if (const auto* from = std::get_if<SeasonFrom>(&command))
        take_season_file(from->path);
    else if (const auto* station = std::get_if<TakeSeasonStation>(&command))
        view.station = station->key;
    update_season();
}

void DeskCore::list_season_athletes() {
    Chooser list;
    list.title = tr("Whose season?");
    list.choices.push_back({tr("everybody"), tr("every run counts, whoever ran it"), OfSeason{SeasonOf{""}}});
    for (const auto& [id, athlete] : session_->state().athletes()) {
        const std::string asked = asked_as(athlete);
        if (asked.empty()) continue;
        if (asked == views_.season.athlete) list.cursor = static_cast<int>(list.choices.size());
        list.choices.push_back({asked,
                                athlete.number.empty() ? std::string() : tr("number {}", athlete.number),
                                OfSeason{SeasonOf{asked}}});
    }
    list.typed = list.choices.size() > 9;
    views_.chooser = std::move(list);
}

void DeskCore::list_season_files(const fs::path& folder) {
    Chooser list =
        folder_list(folder, {".meet"}, [](const fs::path& path) { return OfSeason{SeasonFrom{path}}; });
    if (list.choices.empty()) return;
    list.title = tr("A meet file of the season: in, or out again");
    for (Choice& choice : list.choices) {
        const auto* of = std::get_if<OfSeason>(&choice.command);
        const auto* from = of == nullptr ? nullptr : std::get_if<SeasonFrom>(&of->command);
        if (from != nullptr && in_season(from->path)) choice.detail = tr("counts");
    }
    views_.chooser = std::move(list);
}

bool DeskCore::in_season(const fs::path& file) const {
    std::error_code problem;
    if (fs::equivalent(file, session_->path(), problem)) return true;
    return std::any_of(views_.season.files.begin(), views_.season.files.end(),
                       [&](const fs::path& one) { return fs::equivalent(file, one, problem); });
}

void DeskCore::take_season_file(const fs::path& path) {
    std::error_code problem;
    if (fs::is_directory(path, problem)) return list_season_files(path);
    if (fs::equivalent(path, session_->path(), problem)) return say(tr("The open meet always counts."));
    auto& files = views_.season.files;
    const auto known = std::find_if(files.begin(), files.end(), [&](const fs::path& one) {
        return one == path || fs::equivalent(one, path, problem);
    });
    if (known != files.end()) {
        say(tr("{} no longer counts.", path.filename().string()));
        files.erase(known);
    } else {
        files.push_back(path);
    }
}

void DeskCore::print_season() {
    if (season_.document() == nullptr) return say(tr("The season is still being worked out."));
    if (!report::has_anything(season_.plot())) return say(tr("There is nothing to draw yet."));
    const fs::path folder = fs::absolute(session_->path()).parent_path();
    complain_if(export_.begin_sheet(
        folder,
        ExportDesk::free_name(folder / (session_->path().stem().string() + "-season.svg"))
            .filename()
            .string(),
        ".svg",
        [plot = season_.plot()](const auto&, const auto&) {
            return base::Result<std::string>(report::plot_svg(plot));
        },
        tr("the season's plots")));
}

void DeskCore::draw_season_page(const Box& box) {
    if (!session_) return;
    draw_season({look_, keys_, season_, commands_}, box, views_.season, views_.page);
    if (!on_the_season()) season_.close();
}

}  // namespace plumbmark::desk
