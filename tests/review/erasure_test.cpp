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
        REQUIRE(file->flush().ok());
        reopen();
        const auto erasure = review::plan_erasure(*file, number);
        INFO((erasure ? "" : erasure.error().text()));
        REQUIRE(erasure.ok());
        return *erasure;
    }
    void erase(const std::string& number) {
        const review::Erasure erasure = plan(number);
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
    // Every kind that has personal members at all, but for the course book, which is nobody's.
    for (std::size_t kind = 0; kind < meet::kKinds; ++kind) {
        const auto thing = meet.state.find({static_cast<meet::Kind>(kind), 1});
        if (!thing || meet::personal_members(*thing).empty() ||
            std::holds_alternative<meet::BookRevision>(*thing))
            continue;
        CAPTURE(meet::kind_word(static_cast<meet::Kind>(kind)));
        CHECK(meet.kinds_with_word.contains(static_cast<meet::Kind>(kind)));
    }
    const review::Erasure plan = meet.plan("17");
    CHECK(plan.goes.at("name") == 1);
    CHECK(plan.goes.at("signature") == 2);
    CHECK(plan.goes.at("clip's path") == 2);
    CHECK(plan.goes.at("note on results") == 1);
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
