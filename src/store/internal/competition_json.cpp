#include "store/internal/competition_json.h"

#include "base/check.h"
#include "base/worded.h"
#include "meet/competition_words.h"
#include "store/internal/json_values.h"
#include "store/internal/read_word.h"
#include "store/internal/words.h"

namespace plumbmark::store {
namespace {

using base::worded;

// The items of a list, each an object with these members.
template <class T, class Read>
std::vector<T> read_objects(const Members& parent, const std::string& name,
                            std::initializer_list<std::string_view> known, const Read& read) {
    std::vector<T> items;
    const Json& list = parent.list(name);
    items.reserve(list.size());
    for (std::size_t i = 0; i < list.size(); ++i)
        items.push_back(read(Members(list[i], item_path(parent.path_of(name), i), known)));
    return items;
}

meet::Rules read_rules(const Json& value, const std::string& path) {
    const Members members(value, path,
                          {"order", "unit_ns", "rounding", "two_watches", "rerun", "tie_break", "appeals"});
    meet::Rules rules;
    rules.order = read_word(members, "order", meet::kOrderWords);
    rules.times.unit = {members.whole_number("unit_ns")};
    rules.times.rounding = read_word(members, "rounding", meet::kRoundingWords);
    rules.times.two_watches = read_word(members, "two_watches", meet::kTwoWatchesWords);
    rules.rerun = read_word(members, "rerun", meet::kRerunWords);
    rules.tie_break = read_word(members, "tie_break", meet::kTieBreakWords);
    const Members appeals(
        members.required("appeals"), members.path_of("appeals"),
        {"minutes", "who", "fee", "most", "may_worsen", "when_unshown", "signatures", "judge_decides_alone"});
    meet::AppealRules& its = rules.appeals;
    its.minutes = read_small(appeals, "minutes");
    its.who.clear();
    const Json& who = appeals.list("who");
    for (std::size_t i = 0; i < who.size(); ++i) {
        const std::string where = item_path(appeals.path_of("who"), i);
        const std::string word = read_text(who[i], where);
        const auto capacity = value_of(meet::kCapacityWords, word);
        if (!capacity) fail_on_word(where, word, words_in(meet::kCapacityWords));
        its.who.push_back(*capacity);
    }
    its.fee = appeals.text("fee");
    its.most = read_small(appeals, "most");
    its.may_worsen = appeals.flag("may_worsen");
    its.when_unshown = read_word(appeals, "when_unshown", meet::kWhenUnshownWords);
    its.signatures = read_small(appeals, "signatures");
    its.judge_decides_alone = appeals.flag("judge_decides_alone");
    return rules;
}

meet::Division read_division(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"key", "name", "born_from", "born_to", "category", "course"});
    meet::Division division;
    division.id = {id};
    division.key = members.text("key");
    division.name = members.text("name");
    division.born_from = read_small_or_none(members, "born_from");
    division.born_to = read_small_or_none(members, "born_to");
    division.category = members.text("category");
    division.course = members.text("course");
    return division;
}

meet::Round read_round(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"name", "kind", "number"});
    return {{id},
            members.text("name"),
            read_word(members, "kind", meet::kRoundKindWords),
            read_small(members, "number")};
}

meet::Entry read_entry(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"athlete", "round", "heat", "start", "lane", "status", "reason"});
    meet::Entry entry;
    entry.id = {id};
    entry.athlete = {members.whole_number("athlete")};
    entry.round = {members.whole_number("round")};
    entry.heat = read_small(members, "heat");
    entry.start = read_small(members, "start");
    entry.lane = members.text("lane");
    entry.status = read_word(members, "status", meet::kEntryStatusWords);
    entry.reason = read_sealed(members, "reason");
    return entry;
}

meet::ClockTime read_clock_time(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"run", "station", "watches_ns", "judge"});
    meet::ClockTime time;
    time.id = {id};
    time.run = {members.whole_number("run")};
    time.station = members.text("station");
    const Json& watches = members.list("watches_ns");
    for (std::size_t i = 0; i < watches.size(); ++i)
        time.watches.push_back({read_whole_number(watches[i], item_path(members.path_of("watches_ns"), i))});
    time.judge = read_sealed(members, "judge");
    return time;
}

meet::Appeal read_appeal(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(
        value, path,
        {"run", "station", "point", "lodged_by", "capacity", "lodged_at_ms", "fee_paid", "status", "reason"});
    meet::Appeal appeal;
    appeal.id = {id};
    appeal.run = {members.whole_number("run")};
    appeal.station = members.text("station");
    appeal.point = read_sealed(members, "point");
    appeal.lodged_by = read_sealed(members, "lodged_by");
    appeal.capacity = read_word(members, "capacity", meet::kCapacityWords);
    appeal.lodged_at = {members.whole_number("lodged_at_ms")};
    appeal.fee_paid = members.flag("fee_paid");
    appeal.status = read_word(members, "status", meet::kAppealStatusWords);
    appeal.reason = read_sealed(members, "reason");
    return appeal;
}

meet::Decision read_decision(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path,
                          {"appeal", "ruling", "outcome", "call", "reason", "decided_at_ms", "signatures"});
    meet::Decision decision;
    decision.id = {id};
    decision.appeal = {members.whole_number("appeal")};
    decision.ruling = read_word(members, "ruling", meet::kVerdictWords);
    decision.outcome = read_word(members, "outcome", meet::kOutcomeWords);
    decision.call = read_word(members, "call", kCallWords);
    decision.reason = read_sealed(members, "reason");
    decision.decided_at = {members.whole_number("decided_at_ms")};
    decision.signatures = read_objects<
        meet::Signature>(members, "signatures", {"name", "capacity"}, [](const Members& item) {
        return meet::Signature{read_sealed(item, "name"), read_word(item, "capacity", meet::kCapacityWords)};
    });
    return decision;
}

meet::Publication read_publication(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"round", "division", "at_ms", "official", "lines", "note"});
    meet::Publication publication;
    publication.id = {id};
    publication.round = {members.whole_number("round")};
    publication.division = {members.whole_number("division")};
    publication.at = {members.whole_number("at_ms")};
    publication.official = members.flag("official");
    publication.lines = read_objects<meet::PublishedLine>(
        members, "lines", {"entry", "place", "status", "cleared", "points", "time"}, [](const Members& item) {
            meet::PublishedLine line;
            line.entry = {item.whole_number("entry")};
            line.place = read_small_or_none(item, "place");
            line.status = read_word(item, "status", meet::kEntryStatusWords);
            line.cleared = read_small(item, "cleared");
            line.points = read_small(item, "points");
            line.time = item.text("time");
            return line;
        });
    publication.note = read_sealed(members, "note");
    return publication;
}

void refuse_empty(const Members& members, const std::string& name, bool empty) {
    if (empty) fail_at(members.path_of(name), worded("where there is none, this member is left out"));
}

std::string read_sealed_if_there(const Members& members, const std::string& name) {
    if (!members.has(name)) return {};
    std::string hash = read_sealed(members, name);
    refuse_empty(members, name, hash.empty());
    return hash;
}

std::int64_t read_id_if_there(const Members& members, const std::string& name) {
    return members.has(name) ? members.whole_number(name) : -1;
}

}  // namespace

Json sealed_text(const std::string& hash) {
    return hash.empty() ? Json(nullptr) : Json(hash);
}

std::string read_sealed(const Members& members, const std::string& name) {
    if (members.required(name).is_null()) return {};
    std::string hash = members.text(name);
    if (hash.size() != 64 || hash.find_first_not_of("0123456789abcdef") != std::string::npos)
        fail_at(members.path_of(name), worded("a hash of 64 hexadecimal digits or null is expected here"));
    return hash;
}

Json competition_json(const meet::Rules& rules) {
    Json who = Json::array();
    for (const meet::Capacity capacity : rules.appeals.who)
        who.push_back(word_for(meet::kCapacityWords, capacity));
    const Json appeals{{"minutes", rules.appeals.minutes},
                       {"who", who},
                       {"fee", rules.appeals.fee},
                       {"most", rules.appeals.most},
                       {"may_worsen", rules.appeals.may_worsen},
                       {"when_unshown", word_for(meet::kWhenUnshownWords, rules.appeals.when_unshown)},
                       {"signatures", rules.appeals.signatures},
                       {"judge_decides_alone", rules.appeals.judge_decides_alone}};
    return {{"order", word_for(meet::kOrderWords, rules.order)},
            {"unit_ns", rules.times.unit.ns},
            {"rounding", word_for(meet::kRoundingWords, rules.times.rounding)},
            {"two_watches", word_for(meet::kTwoWatchesWords, rules.times.two_watches)},
            {"rerun", word_for(meet::kRerunWords, rules.rerun)},
            {"tie_break", word_for(meet::kTieBreakWords, rules.tie_break)},
            {"appeals", appeals}};
}

Json competition_json(const meet::Division& division) {
    return {{"key", division.key},
            {"name", division.name},
            {"born_from", number_or_null(division.born_from)},
            {"born_to", number_or_null(division.born_to)},
            {"category", division.category},
            {"course", division.course}};
}

Json competition_json(const meet::Round& round) {
    return {{"name", round.name},
            {"kind", word_for(meet::kRoundKindWords, round.kind)},
            {"number", round.number}};
}

Json competition_json(const meet::Entry& entry) {
    return {{"athlete", entry.athlete.value},
            {"round", entry.round.value},
            {"heat", entry.heat},
            {"start", entry.start},
            {"lane", entry.lane},
            {"status", word_for(meet::kEntryStatusWords, entry.status)},
            {"reason", sealed_text(entry.reason)}};
}

Json competition_json(const meet::ClockTime& time) {
    Json watches = Json::array();
    for (const base::Duration watch : time.watches)
        watches.push_back(watch.ns);
    return {{"run", time.run.value},
            {"station", time.station},
            {"watches_ns", watches},
            {"judge", sealed_text(time.judge)}};
}

Json competition_json(const meet::Appeal& appeal) {
    return {{"run", appeal.run.value},
            {"station", appeal.station},
            {"point", sealed_text(appeal.point)},
            {"lodged_by", sealed_text(appeal.lodged_by)},
            {"capacity", word_for(meet::kCapacityWords, appeal.capacity)},
            {"lodged_at_ms", appeal.lodged_at.ms},
            {"fee_paid", appeal.fee_paid},
            {"status", word_for(meet::kAppealStatusWords, appeal.status)},
            {"reason", sealed_text(appeal.reason)}};
}

Json competition_json(const meet::Decision& decision) {
    Json signatures = Json::array();
    for (const meet::Signature& signature : decision.signatures) {
        signatures.push_back({{"name", sealed_text(signature.name)},
                              {"capacity", word_for(meet::kCapacityWords, signature.capacity)}});
    }
    return {{"appeal", decision.appeal.value},
            {"ruling", word_for(meet::kVerdictWords, decision.ruling)},
            {"outcome", word_for(meet::kOutcomeWords, decision.outcome)},
            {"call", word_for(kCallWords, decision.call)},
            {"reason", sealed_text(decision.reason)},
            {"decided_at_ms", decision.decided_at.ms},
            {"signatures", signatures}};
}

Json competition_json(const meet::Publication& publication) {
    Json lines = Json::array();
    for (const meet::PublishedLine& line : publication.lines) {
        lines.push_back({{"entry", line.entry.value},
                         {"place", number_or_null(line.place)},
                         {"status", word_for(meet::kEntryStatusWords, line.status)},
                         {"cleared", line.cleared},
                         {"points", line.points},
                         {"time", line.time}});
    }
    return {{"round", publication.round.value},
            {"division", publication.division.value},
            {"at_ms", publication.at.ms},
            {"official", publication.official},
            {"lines", lines},
            {"note", sealed_text(publication.note)}};
}

meet::Entity competition_from_json(meet::EntityKey key, const Json& value, const std::string& path) {
    using meet::Kind;
    switch (key.kind) {
        case Kind::rules:
            return read_rules(value, path);
        case Kind::division:
            return read_division(key.id, value, path);
        case Kind::round:
            return read_round(key.id, value, path);
        case Kind::entry:
            return read_entry(key.id, value, path);
        case Kind::clock_time:
            return read_clock_time(key.id, value, path);
        case Kind::appeal:
            return read_appeal(key.id, value, path);
        case Kind::decision:
            return read_decision(key.id, value, path);
        case Kind::publication:
            return read_publication(key.id, value, path);
        default:
            PLUMBMARK_CHECK(!"a kind that is not of the competition");
            return {};
    }
}

void add_person_members(Json& object, const meet::Athlete& athlete) {
    if (!athlete.born.empty()) object["born"] = sealed_text(athlete.born);
    if (!athlete.category.empty()) object["category"] = sealed_text(athlete.category);
    if (athlete.consent != meet::Consent::unknown)
        object["consent"] = word_for(meet::kConsentWords, athlete.consent);
}

void read_person_members(const Members& members, meet::Athlete& athlete) {
    athlete.born = read_sealed_if_there(members, "born");
    athlete.category = read_sealed_if_there(members, "category");
    if (!members.has("consent")) return;
    athlete.consent = read_word(members, "consent", meet::kConsentWords);
    refuse_empty(members, "consent", athlete.consent == meet::Consent::unknown);
}

void add_entry_members(Json& object, const meet::Run& run) {
    if (run.entry.valid()) object["entry"] = run.entry.value;
    if (run.rerun_of.valid()) object["rerun_of"] = run.rerun_of.value;
}

void read_entry_members(const Members& members, meet::Run& run) {
    run.entry = {read_id_if_there(members, "entry")};
    run.rerun_of = {read_id_if_there(members, "rerun_of")};
}

void add_call_members(Json& object, const meet::FloorCall& call) {
    if (call.at) object["at_ms"] = call.at->ms;
    if (call.points) object["points"] = *call.points;
}

void read_call_members(const Members& members, meet::FloorCall& call) {
    if (members.has("at_ms")) call.at = meet::WallTime{members.whole_number("at_ms")};
    if (members.has("points")) call.points = read_small(members, "points");
}

}  // namespace plumbmark::store
