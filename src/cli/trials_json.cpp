// What 'plumbmark trials --json' prints: docs/trials.md.
#include <nlohmann/json.hpp>

#include "cli/internal/trials.h"

namespace plumbmark::cli {
namespace {

using nlohmann::ordered_json;

ordered_json interval_json(const study::Interval& interval) {
    return ordered_json::array({interval.low, interval.high});
}
ordered_json interval_json(const std::optional<study::Interval>& interval) {
    return interval ? interval_json(*interval) : ordered_json(nullptr);
}
template <class Id>
ordered_json id_json(Id id) {
    return id.valid() ? ordered_json(id.value) : ordered_json(nullptr);
}
ordered_json text_json(const std::string& text) {
    return text.empty() ? ordered_json(nullptr) : ordered_json(text);
}

ordered_json tally_json(const study::Tally& tally) {
    return {{"tried", tally.tried},
            {"cleared", tally.cleared},
            {"failed", tally.failed},
            {"not_shown", tally.not_shown},
            {"by_eye", tally.by_eye}};
}

ordered_json rate_json(const study::Rate& rate) {
    return {{"cleared", rate.count.happened},
            {"of", rate.count.trials},
            {"confidence", rate.confidence},
            {"share", rate.share ? ordered_json(*rate.share) : ordered_json(nullptr)},
            {"wilson", interval_json(rate.wilson)},
            {"clopper_pearson", interval_json(rate.clopper_pearson)}};
}

ordered_json further_json(const std::optional<study::FurtherTrials>& further) {
    if (!further) return nullptr;
    using Found = study::FurtherTrials::Found;
    const bool found = further->found == Found::yes;
    ordered_json json;
    json["found"] = found                                        ? "yes"
                    : further->found == Found::none_within_limit ? "none_within_limit"
                                                                 : "nothing_to_go_on";
    json["further"] = found ? ordered_json(further->further) : ordered_json(nullptr);
    json["limit"] = further->limit;
    json["cleared"] = found ? ordered_json(further->then.happened) : ordered_json(nullptr);
    json["of"] = found ? ordered_json(further->then.trials) : ordered_json(nullptr);
    json["interval"] = found ? interval_json(further->interval) : ordered_json(nullptr);
    return json;
}

class Json {
  public:
    explicit Json(const TrialsTold& told) : told_(told) {}

    [[nodiscard]] ordered_json all() const {
        const bool wilson = told_.wish.method == study::Method::wilson;
        ordered_json json;
        json["format"] = "plumbmark-trials/1";
        json["notice"] = study::release_notice().english();
        json["guide"] = study::guide_notice().english();
        json["meet"] = told_.book.meet_name;
        json["book"] = {{"name", told_.book.book_name}, {"revision", told_.book.book_revision}};
        json["method"] = wilson ? "wilson" : "clopper_pearson";
        json["bound"] = told_.wish.bound ? ordered_json(*told_.wish.bound) : ordered_json(nullptr);
        json["stations"] = ordered_json::array();
        for (const review::StationInBook& station : told_.book.stations)
            json["stations"].push_back(station_json(station));
        json["unknown_stations"] = told_.book.unknown_stations;
        return json;
    }

  private:
    [[nodiscard]] ordered_json station_json(const review::StationInBook& station) const {
        const study::StationReport& report = station.report;
        ordered_json json;
        json["station"] = report.key;
        json["name"] = report.name;
        json["release"] = release_json(report.release);
        json["definition"] = report.definition;
        json["rig"] = report.rig ? rig_json(*report.rig) : ordered_json(nullptr);
        json["all"] = tally_json(report.all);
        json["set_aside"] = tally_json(report.set_aside);
        json["rate"] = rate_json(report.rate);
        json["if_all_clear"] = further_json(report.if_all_clear);
        json["as_so_far"] = further_json(report.as_so_far);
        json["groups"] = groups_json(report);
        json["ways"] = ways_json(report);
        json["clauses"] = clauses_json(report);
        json["questions"] = ordered_json::array();
        for (const study::Question& question : report.questions)
            json["questions"].push_back(question_json(question));
        json["trials"] = ordered_json::array();
        for (const study::TrialResult& result : station.results)
            json["trials"].push_back(trial_json(result));
        json["steps"] = ordered_json::array();
        for (const study::CourseStep& step : station.steps)
            json["steps"].push_back(step_json(step));
        return json;
    }

    static ordered_json rig_json(const meet::RigState& rig) {
        ordered_json items = ordered_json::array(), photos = ordered_json::array();
        for (const meet::RigItem& item : rig.items)
            items.push_back(
                {{"what", item.what},
                 {"where", item.where},
                 {"height_mm", item.height_mm ? ordered_json(*item.height_mm) : ordered_json(nullptr)}});
        for (const meet::RigPhoto& photo : rig.photos)
            photos.push_back({{"path", photo.path}, {"sha256", photo.sha256}});
        return {{"rig", rig.id.value}, {"items", items}, {"photos", photos}, {"note", rig.note}};
    }

    static ordered_json release_json(const study::ReleaseState& state) {
        ordered_json json;
        json["state"] = study::standing_key(state.standing);
        json["definition_changed"] = state.definition_changed;
        json["rig_changed"] = state.rig_changed;
        json["changes"] = ordered_json::array();
        for (const base::Sentence& change : state.changes)
            json["changes"].push_back(change.english());
        json["latest"] = nullptr;
        if (const auto& release = state.release)
            json["latest"] = {{"definition", release->definition},
                              {"rig", release->rig.value},
                              {"signs", release->tester},
                              {"note", release->note},
                              {"signed_at_ms", release->signed_at_ms}};
        return json;
    }

    static ordered_json groups_json(const study::StationReport& report) {
        ordered_json json = ordered_json::array();
        for (const study::GroupLine& group : report.groups)
            json.push_back({{"by", group.by == study::GroupLine::By::stature ? "stature" : "level"},
                            {"name", group.name.english()},
                            {"from_mm", group.from_mm ? ordered_json(*group.from_mm) : ordered_json(nullptr)},
                            {"tally", tally_json(group.tally)},
                            {"rate", rate_json(group.rate)}});
        return json;
    }

    static ordered_json ways_json(const study::StationReport& report) {
        ordered_json lines = ordered_json::array();
        for (const study::WayLine& line : report.lines)
            lines.push_back({{"start", line.way.start},
                             {"landing", text_json(line.way.landing)},
                             {"items", line.way.items},
                             {"tally", tally_json(line.tally)},
                             {"unproven", line.unproven}});
        return {{"count", report.ways.count},
                {"counted", report.ways.counted},
                {"every", report.ways.every},
                {"lines", lines},
                {"elsewhere", tally_json(report.elsewhere)}};
    }

    static ordered_json clauses_json(const study::StationReport& report) {
        ordered_json json = ordered_json::array();
        for (const study::ClauseLine& line : report.clauses)
            json.push_back({{"clause", ruling::clause_key(line.clause)},
                            {"kept", line.kept},
                            {"broken", line.broken},
                            {"not_shown", line.not_shown},
                            {"not_tested", line.not_tested}});
        return json;
    }

    [[nodiscard]] ordered_json still_json(const std::optional<study::Still>& still) const {
        if (!still) return nullptr;
        const auto clip = told_.state.clips().find(still->clip);
        return {{"clip", clip == told_.state.clips().end() ? "" : clip->second.name},
                {"frame", still->frame.number}};
    }
    [[nodiscard]] ordered_json run_json(meet::RunId id) const {
        const auto run = told_.state.runs().find(id);
        return run == told_.state.runs().end() ? ordered_json(nullptr) : ordered_json(run->second.label);
    }

    [[nodiscard]] ordered_json question_json(const study::Question& question) const {
        return {{"key", question.key},
                {"kind", study::question_key(question.kind)},
                {"sentence", question.sentence.english()},
                {"remedy", study::remedy_key(question.remedy)},
                {"trial", id_json(question.trial)},
                {"run", run_json(question.run)},
                {"mark", id_json(question.mark)},
                {"still", still_json(question.still)},
                {"closed", question.closed ? ordered_json(*question.closed) : ordered_json(nullptr)},
                {"closed_before",
                 question.closed_before ? ordered_json(*question.closed_before) : ordered_json(nullptr)}};
    }

    [[nodiscard]] ordered_json trial_json(const study::TrialResult& result) const {
        const char* came = result.came == study::TrialCame::cleared  ? "cleared"
                           : result.came == study::TrialCame::failed ? "failed"
                                                                     : "not_shown";
        const auto tester = told_.state.testers().find(result.tester);
        return {{"trial", result.id.value},
                {"tester", tester == told_.state.testers().end() ? "" : tester->second.name},
                {"rig", result.rig.value},
                {"run", run_json(result.run)},
                {"start", result.start},
                {"landing", text_json(result.landing)},
                {"items", result.items},
                {"came", came},
                {"by_eye", result.by_eye},
                {"how", result.how.english()},
                {"still", still_json(result.still)}};
    }

    static ordered_json step_json(const study::CourseStep& step) {
        ordered_json figures = ordered_json::array();
        for (const study::PeopleFigure& figure : step.figures)
            figures.push_back(figure_json(figure));
        return {{"kind", study::step_kind_key(step.kind)},
                {"from", step.from},
                {"to", step.to},
                {"gap_m", interval_json(step.gap)},
                {"height_m", interval_json(step.height)},
                {"tolerance_known", step.tolerance_known},
                {"figures", figures}};
    }
    static ordered_json figure_json(const study::PeopleFigure& figure) {
        ordered_json reached = nullptr;
        if (figure.reached)
            reached = *figure.reached == study::Reached::rest_or_more ? "half_or_more"
                      : *figure.reached == study::Reached::fewer      ? "fewer_than_half"
                                                                      : "cannot_be_told";
        ordered_json source = nullptr;
        if (figure.from != nullptr)
            source = {{"source", figure.from->source},
                      {"people", figure.from->people},
                      {"spread", figure.from->spread},
                      {"not_for", figure.from->not_for}};
        return {{"of", study::figure_key(figure.of)},
                {"sex", figure.people.sex == study::Sex::female ? "female" : "male"},
                {"years", figure.people.years},
                {"no_table", figure.no_table()},
                {"share", interval_json(figure.share)},
                {"reached", reached},
                {"source", source},
                {"sentence", figure.sentence.english()}};
    }

    const TrialsTold& told_;
};

}  // namespace

std::string told_as_json(const TrialsTold& told) {
    return Json(told).all().dump(1) + "\n";
}

}  // namespace plumbmark::cli
