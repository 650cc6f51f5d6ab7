// From what two clips hear to a mark of the meet: frames, bounds, and a ruling that rests on it.
#include "review/sound_ties.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "bench_sound/sound_room.h"
#include "media/reference.h"
#include "review/evidence.h"
#include "support/temporary_folder.h"

using namespace plumbmark;
using namespace plumbmark::review;

namespace {

namespace fs = std::filesystem;

/// A meet with two clips of 60 pictures a second whose sound is a made pair.
struct Hall {
    test::TemporaryFolder folder;
    bench::Pair pair = bench::common_pair(bench::Sounds::mixed, 15, 300'011);
    std::unique_ptr<Session> session;

    Hall() {
        auto made = Session::create(folder / "hall.meet", {"Pier Nine Youth Open", "", ""});
        REQUIRE(made.ok());
        session = std::move(*made);
        add("a", pair.first, pair.first_rate);
        add("b", pair.second, pair.second_rate);
        (void)session->settle();
    }
    void add(const std::string& name, const std::vector<float>& sound, int rate) {
        const fs::path wave = folder / (name + ".wav"), clip = folder / (name + ".mp4");
        bench::write_wave(wave, sound, rate);
        media::test::output_of(
            "ffmpeg -v error -nostdin -y -i " + media::test::quoted(wave) +
            " -f lavfi -i testsrc2=s=64x48:r=60 -shortest -c:v libx264 -preset ultrafast -c:a aac " +
            media::test::quoted(clip));
        const auto added = session->add_clip(clip, "camera " + name);
        REQUIRE(added.ok());
    }
};

}  // namespace

TEST_CASE("sound goes 343 metres in a second and metres are read with care") {
    CHECK(sound_over(343) == base::Duration{1'000'000'000});
    CHECK(sound_over(30) == base::Duration{87'463'557});
    CHECK(*read_metres("12.5") == 12.5);
    for (const char* bad : {"", "x", "-1", "1001", "nan", "12 m", "1e9"})
        CHECK_FALSE(read_metres(bad).ok());
}

TEST_CASE("a tie by sound becomes a moment whose brackets hold what is true and undo takes it back") {
    Hall hall;
    Session& session = *hall.session;
    const auto clips = clips_to_tie(session);
    REQUIRE(clips.size() == 2);
    const auto proposals = propose_ties(clips, clips[0].clip.id);
    REQUIRE(proposals.ok());
    REQUIRE(proposals->size() == 1);
    const TieProposal& proposal = proposals->front();
    INFO(tie_words(proposal, 20));
    REQUIRE(proposal.outcome.tie);
    const auto change = kept_ties(session.state(), session.run(), *proposals, 20);
    REQUIRE(change.ok());
    REQUIRE(session.apply(*change).ok());
    REQUIRE(session.state().marks().size() == 1);
    const meet::Mark mark = session.state().marks().begin()->second;
    CHECK(mark.alternatives.front().kind == meet::EventKind::moment);
    CHECK(mark.note.starts_with("by sound, at most 20 m difference, sharpness "));
    REQUIRE(mark.sightings.size() == 2);
    const meet::Sighting &here = mark.sightings[0], &there = mark.sightings[1];
    REQUIRE((here.early && here.late && there.early && there.late));
    CHECK(here.late->number == here.early->number + 1);
    // The true difference of the clocks lies strictly within what the two brackets leave.
    const auto seconds = [](const TieClip& clip, std::int64_t frame) {
        return static_cast<double>(clip.table->time(frame).ns) / 1e9;
    };
    CHECK(seconds(clips[1], there.early->number) - seconds(clips[0], here.late->number) < hall.pair.clocks);
    CHECK(seconds(clips[1], there.late->number) - seconds(clips[0], here.early->number) > hall.pair.clocks);
    // ... and they are no wider than the bound and two frames on either side.
    const double wide = seconds(clips[1], there.late->number) - seconds(clips[1], there.early->number);
    const double bound = static_cast<double>(bound_of(*proposal.outcome.tie, 20).ns) / 1e9;
    CHECK(wide >= 2 * bound);
    CHECK(wide <= 2 * bound + 2.0 / 60 + 1e-6);
    REQUIRE(session.undo().ok());
    CHECK(session.state().marks().empty());
}

TEST_CASE("a slowed clip and a clip whose file is away are refused with a sentence and not with an error") {
    Hall hall;
    auto clips = clips_to_tie(*hall.session);
    clips[1].clip.capture = {{{0, 0}, meet::Pace::retimed, {{240, 1}, {60, 1}}}};
    auto proposals = propose_ties(clips, {});
    REQUIRE(proposals.ok());
    REQUIRE(proposals->front().error);
    CHECK(proposals->front().error->sentence.english().find("not shown as fast as it was taken") !=
          std::string::npos);
    CHECK_FALSE(kept_ties(hall.session->state(), hall.session->run(), *proposals, 20).ok());
    clips[1].clip.capture.clear();
    clips[1].table.reset();
    proposals = propose_ties(clips, {});
    REQUIRE(proposals.ok());
    CHECK(proposals->front().error->category == base::Category::not_found);
}

TEST_CASE("the job gives its answer once and ends soon when it is destroyed") {
    Hall hall;
    const auto clips = clips_to_tie(*hall.session);
    std::atomic<int> woken{0};
    {
        SoundTieJob job(clips, clips[1].clip.id, [&] { ++woken; });
        std::optional<base::Result<std::vector<TieProposal>>> answer;
        for (int i = 0; i < 6000 && !answer; ++i) {
            answer = job.take();
            if (!answer) std::this_thread::sleep_for(std::chrono::milliseconds(10));
        }
        REQUIRE(answer);
        REQUIRE(answer->ok());
        CHECK((*answer)->front().first.clip.id == clips[1].clip.id);
        CHECK_FALSE(job.take());
        CHECK(woken > 0);
    }
    const SoundTieJob stopped(clips, clips[0].clip.id, {});
}

TEST_CASE("a moment on one clip alone leaves the evidence of a run as it is") {
    Hall hall;
    Session& session = *hall.session;
    meet::Event event;
    event.kind = meet::EventKind::moment;
    const auto clips = clips_to_tie(session);
    const auto put = [&](std::size_t on) {
        meet::Mark mark;
        mark.id = {session.state().next_id(meet::Kind::mark)};
        mark.run = session.run();
        mark.alternatives = {event};
        for (std::size_t i = 0; i < on; ++i)
            mark.sightings.push_back({clips[i].clip.id, meet::FrameRef{9, (*clips[i].table)[9].pts},
                                      meet::FrameRef{10, (*clips[i].table)[10].pts}});
        REQUIRE(session.apply({"moment", {{std::nullopt, mark}}, 0}).ok());
    };
    const course::CourseBook book;
    const auto marks = [&] {
        const auto made = run_evidence(session.state(), session.run(), book, [&](meet::ClipId id) {
            return id == clips[0].clip.id ? clips[0].table : clips[1].table;
        });
        REQUIRE(made.ok());
        return made->evidence.marks.size();
    };
    put(1);
    CHECK(marks() == 0);
    put(2);
    CHECK(marks() == 1);
}
