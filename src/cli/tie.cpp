// plumbmark tie MEETFILE: ties a run's clips by what their cameras hear.
#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "cli/internal/interrupt.h"
#include "review/sound_ties.h"

namespace plumbmark::cli {
namespace {

using Json = nlohmann::ordered_json;

struct TieCall {
    std::string meet;
    std::string run;
    std::string clip;
    std::string distance = "30";
    bool accept = false;
    bool json = false;
};

const char* key_of(media::NoSoundTie why) {
    switch (why) {
        case media::NoSoundTie::no_sound:
            return "no_sound";
        case media::NoSoundTie::too_short:
            return "too_short";
        case media::NoSoundTie::several_places_fit:
            return "several_places_fit";
        case media::NoSoundTie::stretches_disagree:
            return "stretches_disagree";
        case media::NoSoundTie::nothing_in_common:
            break;
    }
    return "nothing_in_common";
}

Json json_of(const review::TieProposal& proposal, double metres) {
    const bool tied = !proposal.error && proposal.outcome.tie;
    Json pair{{"first", proposal.first.clip.name},
              {"second", proposal.second.clip.name},
              {"tied", tied},
              {"sentence", review::tie_words(proposal, metres).english()}};
    if (!tied) {
        pair["why"] = proposal.error ? "unreadable" : key_of(proposal.outcome.why);
        return pair;
    }
    const media::SoundTie& tie = *proposal.outcome.tie;
    pair["first_at_ns"] = tie.first_at.ns;
    pair["second_at_ns"] = tie.second_at.ns;
    pair["later_ns"] = tie.later().ns;
    pair["bound_ns"] = review::bound_of(tie, metres).ns;
    pair["half_width_ns"] = tie.half_width.ns;
    pair["sharpness"] = tie.sharpness;
    pair["stretches"] = tie.stretches;
    return pair;
}

void print(const std::vector<review::TieProposal>& proposals, double metres) {
    for (const review::TieProposal& proposal : proposals) {
        fmt::print("{} and {}: {}\n", proposal.first.clip.name, proposal.second.clip.name,
                   review::tie_words(proposal, metres).english());
        if (proposal.error || !proposal.outcome.tie) continue;
        const media::SoundTie& tie = *proposal.outcome.tie;
        fmt::print("  strongest at {} and {}; {} stretches agree to {}, sharpness {:.1f}\n",
                   base::clock_text(tie.first_at), base::clock_text(tie.second_at), tie.stretches,
                   base::duration_text(tie.half_width), tie.sharpness);
    }
}

base::Result<std::size_t> keep(review::Session& session, const std::vector<review::TieProposal>& proposals,
                               double metres) {
    base::Result<meet::Change> change = review::kept_ties(session.state(), session.run(), proposals, metres);
    if (!change) return change.error();
    const std::size_t marks = change->edits.size();
    if (base::Result<void> done = session.apply(*change); !done) return done.error();
    if (base::Result<void> saved = session.flush(); !saved) return saved.error();
    return marks;
}

base::Result<std::vector<review::TieProposal>> proposed(review::Session& session, const TieCall& call) {
    meet::ClipId with;
    if (!call.clip.empty()) {
        const base::Result<meet::ClipId> clip = find_clip(session, call.clip);
        if (!clip) return clip.error();
        with = *clip;
    }
    const std::vector<review::TieClip> clips = review::clips_to_tie(session);
    if (clips.size() < 2)
        return base::Error{base::Category::bad_input, "The run has one clip; a tie needs two.", call.meet};
    const Interrupt interrupt;
    ProgressLine line("listening");
    return review::propose_ties(clips, with, interrupt.token(), [&](double share) { line.show(share); });
}

int run(const TieCall& call) {
    const base::Result<double> metres = review::read_metres(call.distance);
    if (!metres) return complain(metres.error());
    auto session = open_run(call.meet, call.run, !call.accept);
    if (!session) return complain(session.error());
    auto proposals = proposed(**session, call);
    if (!proposals) return complain(proposals.error());
    const bool any = std::any_of(proposals->begin(), proposals->end(), [](const review::TieProposal& one) {
        return !one.error && one.outcome.tie;
    });
    std::size_t kept = 0;
    if (call.accept && any) {
        const base::Result<std::size_t> done = keep(**session, *proposals, *metres);
        if (!done) return complain(done.error());
        kept = *done;
    }
    if (call.json) {
        Json all{
            {"format", "plumbmark-tie/1"}, {"metres", *metres}, {"kept", kept}, {"pairs", Json::array()}};
        for (const review::TieProposal& proposal : *proposals)
            all["pairs"].push_back(json_of(proposal, *metres));
        fmt::print("{}\n", all.dump(1));
    } else {
        print(*proposals, *metres);
        if (kept > 0) fmt::print("{} {} written down\n", kept, kept == 1 ? "moment" : "moments");
    }
    return any ? kDone : kFound;
}

}  // namespace

void add_tie(CLI::App& program, Action& action) {
    auto call = std::make_shared<TieCall>();
    CLI::App* command = program.add_subcommand(
        "tie", "Find how the clocks of a run's clips stand to each other by their sound");
    command->add_option("MEETFILE", call->meet, "The meet file (.meet); only read without --accept")
        ->required();
    command->add_option("--run", call->run, "The run, by label or number; the first by default");
    command->add_option("--clip", call->clip, "Compare this clip to the others, not each pair");
    command->add_option("--distance", call->distance,
                        "Metres by which the cameras' distances to what both hear may differ; 30 by default");
    command->add_flag("--accept", call->accept, "Write each tie down as a moment that both clips show");
    command->add_flag("--json", call->json, "As JSON (docs/command-line.md)");
    command->callback([call, &action] { action = [call] { return run(*call); }; });
}

}  // namespace plumbmark::cli
