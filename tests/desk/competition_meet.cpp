#include "desk/competition_meet.h"

#include <catch2/catch.hpp>

#include "desk/entry_table.h"
#include "desk/test_meet.h"
#include "review/session.h"

namespace plumbmark::test {
namespace fs = std::filesystem;

fs::path make_competition(const fs::path& folder, const std::vector<std::string>& numbers) {
    const fs::path path = folder / "open.meet";
    auto session = review::Session::create(path, {"Pier Nine Youth Open", "harbour warehouse", "2026-05-02"});
    REQUIRE(session.ok());
    REQUIRE((*session)->add_book("trial.course", course_text()).ok());
    if (numbers.empty()) {
        REQUIRE((*session)->flush().ok());
        return path;
    }
    meet::Change change{"start list", {}, 0};
    change.edits.push_back({std::nullopt, meet::Division{{1}, "u14", "Under 14", {}, {}, "", ""}});
    change.edits.push_back({std::nullopt, meet::Round{{1}, "Final", meet::RoundKind::final, 1}});
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        const auto n = static_cast<std::int64_t>(i + 1);
        change.edits.push_back(
            {std::nullopt, meet::Athlete{{n}, numbers[i], "Athlete " + numbers[i], "Quay", "u14"}});
        meet::Entry entry;
        entry.id = {n};
        entry.athlete = {n};
        entry.round = {1};
        entry.start = static_cast<std::int32_t>(n);
        change.edits.push_back({std::nullopt, entry});
    }
    REQUIRE((*session)->apply(change).ok());
    REQUIRE((*session)->flush().ok());
    return path;
}

meet::State state_of(const fs::path& meet_file) {
    review::SessionOptions reading;
    reading.read_only = true;
    const auto session = review::Session::open(meet_file, reading);
    REQUIRE(session.ok());
    return (*session)->state();
}

void apply(meet::State& state, const base::Result<meet::Change>& change) {
    INFO((change.ok() ? "" : change.error().text()));
    REQUIRE(change.ok());
    const auto applied = state.apply(*change);
    INFO((applied.ok() ? "" : applied.error().text()));
    REQUIRE(applied.ok());
}

std::string floor_of(const meet::State& state) {
    review::MeetCourses courses(state);
    std::string text;
    for (const desk::EntryRow& row : desk::entry_table(state, courses, {}).rows) {
        if (!row.latest) continue;
        text += (text.empty() ? "" : "; ") + row.number + " ";
        for (std::size_t i = 0; i + 1 < row.cells.size(); ++i)
            text += !row.cells[i].call ? "-" : *row.cells[i].call == meet::Call::clear ? "c" : "f";
        if (!row.cells.back().time.empty()) text += " " + row.cells.back().time;
        if (const std::string words = desk::status_words(row); !words.empty()) text += " " + words;
    }
    return text;
}

}  // namespace plumbmark::test
