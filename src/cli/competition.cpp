#include "cli/internal/competition.h"

#include <fmt/format.h>

#include "base/text.h"
#include "meet/who_ran.h"
#include "store/meet_file.h"

namespace plumbmark::cli {

using base::Category;
using base::Error;
using base::Result;

namespace {

Error none_of(const std::string& what, const std::string& wanted, std::vector<std::string> there) {
    if (there.empty()) return {Category::not_found, fmt::format("The meet has no {} yet.", what), ""};
    for (std::string& one : there)
        one = "'" + one + "'";
    return {Category::not_found,
            fmt::format("There is no {} '{}' in this meet; it has {}.", what, wanted, base::listed(there)),
            ""};
}

}  // namespace

Result<meet::RoundId> find_round(const meet::State& state, const std::string& wanted) {
    std::vector<std::string> names;
    const meet::Round* last = nullptr;
    for (const auto& [id, round] : state.rounds()) {
        if (!wanted.empty() && (round.name == wanted || std::to_string(round.number) == wanted)) return id;
        if (last == nullptr || round.number > last->number) last = &round;
        names.push_back(round.name);
    }
    if (wanted.empty() && last != nullptr) return last->id;
    return none_of("round", wanted, names);
}

Result<meet::DivisionId> find_division(const meet::State& state, const std::string& wanted) {
    if (const meet::Division* division = meet::division_with_key(state, wanted)) return division->id;
    std::vector<std::string> keys;
    for (const auto& [id, division] : state.divisions())
        keys.push_back(division.key);
    return none_of("division", wanted, keys);
}

Result<meet::EntryId> find_entry(const meet::State& state, meet::RoundId round, const std::string& number) {
    for (const auto& [id, entry] : state.entries()) {
        if (entry.round == round && state.athletes().at(entry.athlete).number == number) return id;
    }
    return Error{
        Category::not_found,
        fmt::format("Nobody with the number '{}' is entered in {}.", number,
                    state.rounds().at(round).name.empty() ? "this round" : state.rounds().at(round).name),
        ""};
}

Result<review::StandingsWish> read_wish(const meet::State& state, const std::string& round,
                                        const std::string& division) {
    review::StandingsWish wish;
    if (!round.empty()) {
        const auto found = find_round(state, round);
        if (!found) return found.error();
        wish.round = *found;
    }
    if (!division.empty()) {
        const auto found = find_division(state, division);
        if (!found) return found.error();
        wish.division = *found;
    }
    return wish;
}

Result<meet::State> read_meet(const std::string& meet_file) {
    store::OpenOptions reading;
    reading.read_only = true;
    const auto file = store::MeetFile::open(meet_file, reading);
    if (!file) return file.error();
    return file->loaded();
}

}  // namespace plumbmark::cli
