// Removing a person's data on request: a word is put into every personal member of everything that belongs to
// an athlete, now or once, and afterwards it stands nowhere in the file's bytes.
#include "review/erasure.h"

#include <catch2/catch.hpp>
#include <set>

#include "meet/personal.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace plumbmark {
namespace {

using meet::Entity;
using test::bytes_of;

constexpr const char* kTheirs = "Quillfeather";
constexpr const char* kOthers = "Ondine";

/// The thing with this word in every personal member, each another text.
template <class T>
T marked(T thing, const std::string& word) {
    static int count = 0;
    Entity entity = std::move(thing);
    for (std::string* member : meet::personal_members(entity))
        *member = word + " " + std::to_string(++count);
    return std::get<T>(entity);
}

meet::CameraLens a_lens(std::int64_t id) {
    meet::CameraLens lens;
    lens.id = {id};
    lens.width = 1920;
    lens.height = 1080;
    lens.fx = lens.fy = 1'500;
    return lens;
}

meet::CameraStand a_stand(std::int64_t id, std::int64_t clip, std::int64_t lens) {
    meet::CameraStand stand;
    stand.id = {id};
    stand.clip = {clip};
    stand.still = {3, 9};
    stand.knowledge = meet::LensKnown::measured;
    stand.lens = {lens};
    stand.points = {{{meet::DrawingKind::surface, "deck", 0}, {100, 200}, 1}};
    return stand;
}

const std::string kDigits(64, 'd');

meet::Tester a_tester(std::int64_t id, const std::string& name) {
    meet::Tester tester;
    tester.id = {id};
    tester.name = name;
    return tester;
}

meet::Trial a_trial(std::int64_t id, std::int64_t tester, std::int64_t run) {
    meet::Trial trial;
    trial.id = {id};
    trial.station = "swing";
    trial.tester = {tester};
    trial.rig = {1};
    trial.run = {run};
    trial.start = "deck";
    trial.seen = meet::TrialOutcome::failed;
    return trial;
}

meet::Release a_release(std::int64_t id, const std::string& signer, const std::string& note) {
    return {{id}, "swing", kDigits, {1}, signer, note, 5};
}

class ErasedMeet {
  public:
    ErasedMeet() : path(folder_ / "open.meet") {
        auto made = store::MeetFile::create(path, {"Pier Nine Youth Open", "harbour hall", "2026-05-02"});
        REQUIRE(made.ok());
        file.emplace(std::move(*made));
        state = file->loaded();
        add(meet::BookRevision{{1}, "pier-nine.course", "", {}});
        add(meet::Division{{1}, "u14", "Under 14", {}, {}, "", ""});
        add(meet::Round{{1}, "Final", meet::RoundKind::final, 1});
        add(a_tester(1, "Runa"));
        add(meet::RigState{{1}, "swing", {{"hawser", "hook 3", {}}}, {{"rig.jpg", kDigits, 0}}, "as drawn"});
    }

    void change(const std::vector<meet::Edit>& edits) {
        const meet::Change change{"change", edits, 0};
        const auto applied = state.apply(change);
        INFO((applied ? "" : applied.error().text()));
        REQUIRE(applied.ok());
        file->submit(change);
    }
    void add(const Entity& thing) { change({{std::nullopt, thing}}); }
    void remove(const Entity& thing) { change({{thing, std::nullopt}}); }

    /// An athlete with one thing of each kind, all with this word; ids are 'id' throughout.
    void add_athlete(std::int64_t id, const std::string& number, const std::string& word) {
        put(marked(meet::Athlete{{id}, number, "", "", "u14"}, word), word);
        put(marked(meet::Entry{{id}, {id}, {1}, 1, 1, "", meet::EntryStatus::withdrawn, ""}, word), word);
        meet::Clip clip;
        clip.id = {id};
        clip.time_base = {1, 90'000};
        put(marked(clip, word), word);
        put(marked(a_lens(id), word), word);
        add(a_stand(id, id, id));
        put(marked(meet::Cover{{id}, {id}, {3, 9}, {5, 15}, {0.1, 0.1, 0.2, 0.2}, ""}, word), word);
        meet::Run run;
        run.id = {id};
        run.entry = {id};
        run.clips = {{id}};
        put(marked(run, word), word);
        meet::Event start;
        start.kind = meet::EventKind::signal;
        put(marked(meet::Mark{{id}, {id}, {start}, false, {{{id}, {}, meet::FrameRef{3, 9}}}, "", {}}, word),
            word);
        put(marked(meet::FloorCall{{id}, {id}, "swing", meet::Call::fail, "", false}, word), word);
        put(marked(meet::ClockTime{{id}, {id}, "", {{61'200'000'000}}, ""}, word), word);
        put(marked(meet::Appeal{{id},
                                {id},
                                "swing",
                                "",
                                "",
                                meet::Capacity::coach,
                                {1},
                                true,
                                meet::AppealStatus::lodged,
                                ""},
                   word),
            word);
        put(marked(a_trial(id, 1, id), word), word);
        put(marked(meet::CoachNote{{id}, {id}, {id}, {3, 9}, "", true}, word), word);
        meet::Decision decision;
        decision.id = {id};
        decision.appeal = {id};
        decision.signatures = {{"", meet::Capacity::jury}, {"", meet::Capacity::head_judge}};
        put(marked(decision, word), word);
        meet::Publication results{{id}, {1}, {1}, {2}, true, {}, ""};
        results.lines.push_back({{id}, 1, meet::EntryStatus::entered, 2, 0, "1:01.20"});
        put(marked(results, word), word);
    }

    [[nodiscard]] review::Erasure plan(const std::string& number) {
        return plan_by([&] { return review::plan_erasure(*file, number); });
    }
    [[nodiscard]] review::Erasure plan(meet::TesterId tester) {
        return plan_by([&] { return review::plan_tester_erasure(*file, tester); });
    }
    /// An athlete by the number, or a tester.
    template <class Who>
    void erase(const Who& who) {
        const review::Erasure erasure = plan(who);
        const auto report = review::erase(*file, erasure);
        REQUIRE(report.ok());
        INFO(report->sentence);
        CHECK(report->whole);
    }
    void reopen() {
        file.reset();
        auto opened = store::MeetFile::open(path);
        REQUIRE(opened.ok());
        file.emplace(std::move(*opened));
        state = file->loaded();
    }
    [[nodiscard]] bool holds(const std::string& word) const {
        return bytes_of(path).find(word) != std::string::npos;
    }

  private:
    test::TemporaryFolder folder_;

  public:
    std::filesystem::path path;
    std::optional<store::MeetFile> file;
    meet::State state;
    std::set<meet::Kind> kinds_with_word;

  private:
    template <class Plan>
    [[nodiscard]] review::Erasure plan_by(const Plan& plan) {
        REQUIRE(file->flush().ok());
        reopen();
        const auto erasure = plan();
        INFO((erasure ? "" : erasure.error().text()));
        REQUIRE(erasure.ok());
        return *erasure;
    }
    template <class T>
    void put(const T& thing, const std::string& word) {
        add(thing);
        if (word == kTheirs) kinds_with_word.insert(meet::kind_for<T>());
    }
};

TEST_CASE("after an erasure nothing personal of an athlete's things is in the file's bytes") {
    ErasedMeet meet;
    meet.add_athlete(1, "17", kTheirs);
    meet.add_athlete(2, "18", kOthers);
    // Every kind that has personal members at all, but for the course book and rigs, which are nobody's, and
    // testers, who are erased by themselves.
    for (std::size_t kind = 0; kind < meet::kKinds; ++kind) {
        const auto thing = meet.state.find({static_cast<meet::Kind>(kind), 1});
        if (!thing || meet::personal_members(*thing).empty() ||
            std::holds_alternative<meet::BookRevision>(*thing) ||
            std::holds_alternative<meet::RigState>(*thing) || std::holds_alternative<meet::Tester>(*thing))
            continue;
        CAPTURE(meet::kind_word(static_cast<meet::Kind>(kind)));
        CHECK(meet.kinds_with_word.contains(static_cast<meet::Kind>(kind)));
    }
    const review::Erasure plan = meet.plan("17");
    CHECK(plan.goes.at("name") == 1);
    CHECK(plan.goes.at("signature") == 2);
    CHECK(plan.goes.at("clip's path") == 2);
    CHECK(plan.goes.at("note on results") == 1);
    CHECK(plan.goes.at("coach's note") == 1);
    CHECK(plan.goes.at("word on a trial") == 1);
    CHECK(plan.earlier == 0);
    CHECK(plan.shared_clips == 0);
    CHECK(meet.holds(kTheirs));

    const meet::State before = meet.state;
    meet.erase("17");
    CHECK_FALSE(meet.holds(kTheirs));
    CHECK(meet.holds(kOthers));
    meet.reopen();
    CHECK_FALSE(meet.holds(kTheirs));
    CHECK(meet.state.athletes().at({1}).number == "17");
    CHECK(meet.state.athletes().at({1}).name.empty());
    CHECK(meet.state.athletes().at({2}) == before.athletes().at({2}));
    CHECK(meet.state.publications().at({1}).lines == before.publications().at({1}).lines);
    CHECK(meet.state.decisions().at({1}).outcome == before.decisions().at({1}).outcome);
    CHECK(meet.state.floor_calls().at({1}).call == meet::Call::fail);
    CHECK(meet.state.runs().at({1}).label == "number 17");
    CHECK((meet.state.notes().at({1}).text.empty() && meet.state.notes().at({1}).still));
    CHECK(meet.state.testers() == before.testers());
    CHECK(meet.state.rigs() == before.rigs());
    CHECK(meet.state.notes().at({2}) == before.notes().at({2}));

    const review::Erasure again = meet.plan("17");
    CHECK(again.nothing_goes());
}

TEST_CASE("a camera's name goes with an erasure unless it took other athletes' clips as well") {
    ErasedMeet meet;
    meet.add_athlete(1, "17", kTheirs);
    meet.add_athlete(2, "18", kOthers);
    SECTION("theirs alone") {
        CHECK(meet.plan("17").goes.at("name of a camera") == 1);
        meet.erase("17");
        meet.reopen();
        CHECK(meet.state.lenses().at({1}).camera == "lens 1");
        CHECK(meet.state.lenses().at({1}).source.empty());
    }
    SECTION("shared") {
        const meet::CameraLens shared = meet.state.lenses().at({1});
        meet.remove(meet.state.stands().at({2}));
        meet.add(a_stand(2, 2, 1));
        CHECK(meet.plan("17").goes.count("name of a camera") == 0);
        meet.erase("17");
        meet.reopen();
        CHECK(meet.state.lenses().at({1}) == shared);
    }
}

/// A meet of one athlete, with a tester 2 of this name, and all that can be theirs.
class TestedMeet : public ErasedMeet {
  public:
    TestedMeet() {
        add_athlete(1, "17", kOthers);
        meet::Tester tester = a_tester(2, word());
        tester.level = word("'s level");
        tester.stature_mm = 1'710;
        add(tester);
        by_eye.how = word(" slipped");
        add(by_eye);
        add(a_release(1, word(), "hung by " + word()));
        add(a_release(2, "Runa", "as drawn"));
        add(meet::Closing{{1}, "swing", "reach:u10", "measured"});
        meet::Clip clip;
        clip.id = {2};
        clip.name = clip.relative_path = clip.last_known_path = word(".mp4");
        clip.time_base = {1, 90'000};
        add(clip);
        own_run.id = {2};
        own_run.clips = {{2}};
        own_run.label = word("'s go");
        add(own_run);
        add(a_trial(4, 2, 2));
        add(meet::CoachNote{{2}, {2}, {2}, {0, 0}, word(", arms first"), false});
    }

    [[nodiscard]] static std::string word(const std::string& more = "") { return kTheirs + more; }

    meet::Trial by_eye = a_trial(3, 2, -1);
    meet::Run own_run;
};

TEST_CASE("after a tester's erasure nothing of theirs is in the file's bytes, and what is others' stays") {
    TestedMeet meet;
    const review::Erasure plan = meet.plan(meet::TesterId{2});
    CHECK(plan.who == "tester 2");
    CHECK(plan.number.empty());
    const std::map<std::string, std::int64_t> expected{
        {"name of a tester", 1},  {"level of a tester", 1}, {"word on a trial", 1},
        {"name at a release", 1}, {"note on a release", 1}, {"run's label", 1},
        {"clip's name", 1},       {"clip's path", 2},       {"coach's note", 1}};
    CHECK(plan.goes == expected);
    CHECK(plan.earlier == 0);
    const std::vector<std::string> stays{
        "the measures, age and sex of tester 2", "2 trials with station, surfaces, items and how it came out",
        "1 run with calls, times, marks and what was decided", "1 release with what was released and when",
        "what was written of rigs and of closed questions"};
    CHECK(plan.stays == stays);
    CHECK(meet.holds(kTheirs));

    const meet::State before = meet.state;
    meet.erase(meet::TesterId{2});
    CHECK_FALSE(meet.holds(kTheirs));
    meet.reopen();
    CHECK_FALSE(meet.holds(kTheirs));
    CHECK(meet.state.testers().at({2}).name == "tester 2");
    CHECK(meet.state.testers().at({2}).stature_mm == 1'710);
    CHECK(meet.state.releases().at({1}).tester == "tester 2");
    CHECK(meet.state.releases().at({1}).note.empty());
    CHECK(meet.state.runs().at({2}).label == "tester 2");
    CHECK(meet.state.trials().at({3}).seen == meet::TrialOutcome::failed);
    CHECK(meet.state.testers().at({1}) == before.testers().at({1}));
    CHECK(meet.state.releases().at({2}) == before.releases().at({2}));
    CHECK(meet.state.trials().at({1}) == before.trials().at({1}));
    CHECK(meet.state.runs().at({1}) == before.runs().at({1}));
    CHECK(meet.state.notes().at({1}) == before.notes().at({1}));
    CHECK((meet.state.rigs() == before.rigs() && meet.state.closings() == before.closings()));
    CHECK(meet.plan(meet::TesterId{2}).nothing_goes());
}

TEST_CASE("what a tester was called once and what was removed since goes with them, too") {
    TestedMeet meet;
    const std::string earlier = std::string(kTheirs) + "-Earlier";
    meet::Tester called = a_tester(5, earlier);
    meet.add(called);
    meet.add(a_release(5, earlier, "as agreed"));
    const meet::Release removed = a_release(6, earlier, std::string(kTheirs) + " was there");
    meet.add(removed);
    meet.remove(removed);
    meet::Tester renamed = called;
    renamed.name = std::string(kTheirs) + "-Later";
    meet.change({{called, renamed}});
    meet::Trial trial = a_trial(5, 5, -1);
    trial.how = earlier + " fell";
    meet.add(trial);
    meet.remove(trial);
    meet.remove(renamed);
    CHECK(meet.plan(meet::TesterId{5}).earlier == 5);
    meet.erase(meet::TesterId{2});
    CHECK(meet.holds(kTheirs));
    meet.erase(meet::TesterId{5});
    CHECK_FALSE(meet.holds(kTheirs));
    meet.reopen();
    CHECK(meet.state.releases().at({5}).tester == "tester 5");
}

TEST_CASE("a run that is an athlete's or another tester's as well stays when a tester is erased") {
    TestedMeet meet;
    SECTION("an athlete's") {
        meet::Run given = meet.own_run;
        given.athlete = {1};
        meet.change({{meet.own_run, given}});
    }
    SECTION("another tester's") {
        meet.add(a_trial(6, 1, 2));
    }
    const meet::Run before = meet.state.runs().at({2});
    CHECK(meet.plan(meet::TesterId{2}).goes.count("run's label") == 0);
    meet.erase(meet::TesterId{2});
    meet.reopen();
    CHECK(meet.state.runs().at({2}) == before);
    CHECK(meet.state.clips().at({2}).name == std::string(kTheirs) + ".mp4");
    CHECK(meet.state.testers().at({2}).name == "tester 2");
}

TEST_CASE("an erasure for a tester who never was is refused, and one can be stopped") {
    TestedMeet meet;
    REQUIRE(meet.file->flush().ok());
    const auto nobody = review::plan_tester_erasure(*meet.file, {9});
    REQUIRE_FALSE(nobody.ok());
    CHECK(nobody.error().category == base::Category::not_found);
    CHECK(nobody.error().sentence.english() == "There is no tester 9 in this meet, and never was.");
    const auto stopped = review::plan_tester_erasure(*meet.file, {2}, [](double) { return false; });
    CHECK(stopped.error().category == base::Category::cancelled);
}

TEST_CASE("what was changed, removed or given to somebody else since goes with an erasure, too") {
    ErasedMeet meet;
    meet.add_athlete(1, "17", kTheirs);
    meet.add_athlete(2, "18", kOthers);
    const std::string word = kTheirs;

    // A note that was written anew, and a mark that was taken back.
    meet::Mark mark = meet.state.marks().at({1});
    meet::Mark rewritten = mark;
    rewritten.note = "seen on the second clip";
    meet.change({{mark, rewritten}});
    meet.remove(rewritten);
    // An appeal that was lodged by mistake.
    const meet::Appeal appeal = marked(
        meet::Appeal{
            {9}, {1}, "rungs", "", "", meet::Capacity::coach, {1}, false, meet::AppealStatus::lodged, ""},
        word);
    meet.add(appeal);
    meet.remove(appeal);
    // A start list that was entered twice: the first athlete of this number is gone, with an entry and a run.
    const meet::Athlete first = marked(meet::Athlete{{7}, "17", "", "", "u14"}, word);
    const meet::Entry entry =
        marked(meet::Entry{{7}, {7}, {1}, 1, 1, "", meet::EntryStatus::entered, ""}, word);
    meet::Run run;
    run.id = {7};
    run.entry = {7};
    run = marked(run, word);
    meet.add(first);
    meet.add(entry);
    meet.add(run);
    meet.remove(run);
    meet.remove(entry);
    meet.remove(first);
    // A run that was first given to the wrong athlete.
    meet::Run mistaken = meet.state.runs().at({2});
    meet::Run right = mistaken;
    mistaken.athlete = {1};
    mistaken.entry = {};
    mistaken.label = word + "'s run";
    meet.change({{right, mistaken}});
    meet.change({{mistaken, right}});

    CHECK(meet.plan("17").earlier > 5);
    meet.erase("17");
    CHECK_FALSE(meet.holds(kTheirs));
    CHECK(meet.state.runs().at({2}).label == right.label);
    meet.reopen();
    CHECK(meet.state.runs().at({2}) == right);
    CHECK(meet.holds(kOthers));
}

TEST_CASE("erased names leave no trace in a file whose pages were divided many times") {
    ErasedMeet meet;
    constexpr std::int64_t kAthletes = 900;
    // One at a time, so that their values come to pages that are full already.
    for (std::int64_t id = 1; id <= kAthletes; ++id)
        meet.add(meet::Athlete{{id},
                               std::to_string(id),
                               "Name" + std::to_string(id) + "of" + std::string(30, 'x'),
                               "Club" + std::to_string(id) + "of",
                               "u14"});
    REQUIRE(meet.file->flush().ok());
    for (const std::int64_t id : {7, 450, 461, 899}) {
        const std::string number = std::to_string(id);
        CHECK(meet.holds("Name" + number + "of"));
        meet.erase(number);
        CHECK_FALSE(meet.holds("Name" + number + "of"));
        CHECK_FALSE(meet.holds("Club" + number + "of"));
        CHECK(meet.holds("Name" + std::to_string(id + 1) + "of"));
    }
}

TEST_CASE("an athlete who was removed from the meet can still be erased") {
    ErasedMeet meet;
    const meet::Athlete athlete = marked(meet::Athlete{{1}, "17", "", "", "u14"}, kTheirs);
    meet.add(athlete);
    meet.remove(athlete);
    meet.erase("17");
    CHECK_FALSE(meet.holds(kTheirs));
}

TEST_CASE("a clip that is another athlete's footage as well keeps its name, and the plan says so") {
    ErasedMeet meet;
    meet.add_athlete(1, "17", kTheirs);
    meet.add_athlete(2, "18", kOthers);
    meet::Run both = meet.state.runs().at({1});
    both.clips.push_back({2});
    meet.change({{meet.state.runs().at({1}), both}});
    const std::string name = meet.state.clips().at({2}).name;
    CHECK(meet.plan("17").shared_clips == 1);
    meet.erase("17");
    meet.reopen();
    CHECK(meet.state.clips().at({2}).name == name);
    CHECK(meet.state.clips().at({1}).name == "clip 1");
    CHECK(meet.state.clips().at({1}).last_known_path.empty());
}

TEST_CASE("an erasure for a number that nobody has, or several have, is refused") {
    ErasedMeet meet;
    meet.add(meet::Athlete{{1}, "17", "A", "", "u14"});
    meet.add(meet::Athlete{{2}, "17", "B", "", "u14"});
    REQUIRE(meet.file->flush().ok());
    meet.reopen();
    CHECK(review::plan_erasure(*meet.file, "99").error().category == base::Category::not_found);
    const auto several = review::plan_erasure(*meet.file, "17");
    REQUIRE_FALSE(several.ok());
    CHECK(several.error().sentence.english().find("Several athletes") != std::string::npos);
    const auto stopped = review::plan_erasure(*meet.file, "17", [](double) { return false; });
    CHECK(stopped.error().category == base::Category::cancelled);
}

}  // namespace
}  // namespace plumbmark
