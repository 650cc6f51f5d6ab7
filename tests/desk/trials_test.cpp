// The page of the trials: what it shows of each station, and that everything on it can be done with keys, and
// undone.
#include <algorithm>
#include <chrono>
#include <fstream>
#include <thread>

#include "desk/internal/say.h"
#include "desk/key_bench.h"
#include "media/still.h"
#include "report/trials_document.h"
#include "review/trial_book.h"

using namespace plumbmark;
using namespace plumbmark::desk;
using test::KeyBench;

namespace {

/// The sample's desk with the page of the trials open.
class TrialsBench : public KeyBench {
  public:
    explicit TrialsBench(const test::BenchLook& look = {1366, 768}) : KeyBench(look) {}

    [[nodiscard]] TrialsView& view() { return core().views().trials; }
    [[nodiscard]] const meet::State& state() { return session().state(); }
    void key(int physical_key, int mods = 0) { core().key(physical_key, mods, false); }

    void enter(const base::Result<meet::Change>& change) {
        INFO((change ? std::string() : change.error().text()));
        REQUIRE(change.ok());
        REQUIRE(session().apply(*change).ok());
    }

    /// Until the book is of the meet as it is, and 'more' holds.
    void wait(const std::function<bool()>& more = [] { return true; }) {
        for (int i = 0; i < 60'000; ++i) {
            core().update(now_ += 0.001);
            if (core().trials().document() != nullptr && !core().trials().working() && more()) return;
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        }
        FAIL("the trials were not ruled in a minute");
    }
    void open() {
        press(Action::trials);
        REQUIRE(core().views().page.kind == PageKind::trials);
        wait();
    }
    [[nodiscard]] const report::TrialsStation& station() {
        const auto* found = core().trials().station(view());
        REQUIRE(found != nullptr);
        return *found;
    }

    /// The line that is being written is kept with these words, and another is asked for.
    void write_first(const std::string& words) {
        REQUIRE(core().views().entry.has_value());
        core().views().entry->put(words);
        key(key_enter);
        REQUIRE(core().views().entry.has_value());
    }
    /// The line that is being written is kept with these words.
    void write(const std::string& words) {
        REQUIRE(core().views().entry.has_value());
        core().views().entry->put(words);
        key(key_enter);
        REQUIRE_FALSE(core().views().entry.has_value());
    }
    /// What was said last.
    [[nodiscard]] std::string told() {
        const auto& messages = core().views().messages;
        return messages.empty() ? std::string() : messages.back().text;
    }
    void hush() { core().views().messages.clear(); }

    void add_tester(const std::string& name) {
        meet::Tester tester;
        tester.name = name;
        tester.stature_mm = 1'620;
        enter(review::tester_change(state(), tester));
    }
    void add_rig(const std::string& on, const std::vector<std::filesystem::path>& photos = {}) {
        enter(review::rig_change(state(), session().path(), {{}, on, {{"bar", "hook 3", 2'250}}, {}, ""},
                                 photos));
    }
    void add_filmed(const std::string& on, std::int64_t run) {
        meet::Trial trial;
        trial.station = on;
        trial.tester = {1};
        trial.run = {run};
        enter(review::trial_change(state(), trial));
    }
    /// Every open item of the chosen station, with the keys.
    void close_all() {
        while (!station().report.open().empty()) {
            const std::size_t before = station().report.open().size();
            key('C');
            write("looked at");
            wait();
            REQUIRE(station().report.open().size() == before - 1);
        }
    }

  private:
    double now_ = 50;
};

int pixels_of(const media::RgbaImage& image, Colour colour) {
    int count = 0;
    for (std::size_t i = 0; i + 3 < image.pixels.size(); i += 4)
        count +=
            image.pixels[i] == colour.r && image.pixels[i + 1] == colour.g && image.pixels[i + 2] == colour.b
                ? 1
                : 0;
    return count;
}

}  // namespace

TEST_CASE("the page of the trials tells every station and is walked and closed with keys alone") {
    TrialsBench bench;
    if (!bench.can_run()) return;
    bench.open();
    REQUIRE(bench.core().trials().document()->stations.size() == 3);
    CHECK(bench.station().report.key == "bollard_hop");
    bench.key(key_down);
    CHECK(bench.station().report.key == "hawser_swing");
    bench.key(key_end);
    CHECK(bench.station().report.key == "gantry_rungs");
    bench.key(key_down);
    CHECK(bench.station().report.key == "gantry_rungs");
    bench.key(key_home);
    CHECK(bench.station().report.key == "bollard_hop");
    // The first open item is chosen; Tab goes on, and round.
    const auto open = bench.station().report.open();
    REQUIRE(open.size() > 1);
    CHECK(bench.core().trials().question(bench.view()) == open[0]);
    bench.key(key_tab);
    CHECK(bench.core().trials().question(bench.view()) == open[1]);
    bench.key(key_tab, kShift);
    bench.key(key_tab, kShift);
    CHECK(bench.core().trials().question(bench.view()) == open.back());
    // Another bound asks nothing anew.
    const auto asked = bench.core().trials().document();
    bench.key('B');
    bench.core().update(60);
    CHECK(bench.core().trials().document() == asked);
    CHECK(asked->wish.bound == 0.9);
    bench.key('B', kShift);
    bench.key('B', kShift);
    bench.core().update(61);
    CHECK(asked->wish.bound == 0.7);
    // A key of the run's review does nothing beneath the page.
    const auto changes = bench.session().changes();
    bench.press(Action::touch);
    bench.press(Action::play);
    CHECK(bench.session().changes() == changes);
    CHECK_FALSE(bench.core().views().play.playing);
    bench.press(Action::let_go);
    CHECK(bench.core().views().page.kind == PageKind::none);
    CHECK(bench.core().trials().document() == nullptr);
    CHECK_FALSE(bench.core().trials().working());
    bench.press(Action::trials);
    CHECK(bench.core().trials().working());
    // Closed before it is worked out: nothing is kept, and nobody works on.
    bench.press(Action::trials);
    CHECK(bench.core().views().page.kind == PageKind::none);
    CHECK_FALSE(bench.core().trials().working());
}

TEST_CASE("a rig a trial a closing and a release are entered on the page and each is undone") {
    TrialsBench bench;
    if (!bench.can_run()) return;
    bench.open();
    // Nothing can be tried or released before the rig is written down.
    bench.key('R');
    CHECK(bench.told().find("No rig of the station 'bollard_hop'") != std::string::npos);
    bench.key('A');
    CHECK(bench.told().find("not written down how bollard hop is set up") != std::string::npos);
    bench.key('W');
    bench.write("bollard;plate 2;high");
    CHECK(bench.told().find("no item of a rig") != std::string::npos);
    CHECK(bench.state().rigs().empty());
    bench.key('W');
    bench.write_first("bollard;plate 2;0.62 | crash mat");
    CHECK(bench.state().rigs().empty());
    CHECK(bench.core().views().entry->title.find("Which photographs show bollard hop") == 0);
    // Keys that come faster than frames are drawn find nothing that is older than they are.
    bench.core().key(key_enter, 0, false);
    REQUIRE(bench.state().rigs().size() == 1);
    bench.core().key('R', 0, false);
    CHECK(bench.told().find("still being ruled") != std::string::npos);
    CHECK(bench.state().rigs().begin()->second.items.size() == 2);
    bench.wait();
    bench.press(Action::undo);
    CHECK(bench.state().rigs().empty());
    bench.press(Action::redo);
    CHECK(bench.state().rigs().size() == 1);
    bench.wait();
    // What is there already is offered.
    bench.key('W');
    CHECK(bench.core().views().entry->words() == "bollard;plate 2;0.62 | crash mat");
    bench.key(key_escape);

    // The run on the screen as a trial of somebody new.
    bench.key('A');
    bench.write("Tern");
    REQUIRE(bench.state().testers().size() == 1);
    REQUIRE(bench.state().trials().size() == 1);
    const meet::Trial& trial = bench.state().trials().begin()->second;
    CHECK(trial.run == bench.session().run());
    CHECK(trial.start == "pier_deck");
    CHECK(trial.seen == meet::TrialOutcome::not_said);
    bench.wait();
    CHECK(bench.station().report.all.tried == 1);
    CHECK(bench.station().report.all.cleared == 1);
    bench.key('A');
    CHECK(bench.told().find("is trial 1 of bollard hop already") != std::string::npos);
    bench.press(Action::undo);
    CHECK(bench.state().trials().empty());
    bench.press(Action::undo);
    CHECK(bench.state().testers().empty());
    bench.press(Action::redo);
    bench.press(Action::redo);
    CHECK(bench.state().trials().size() == 1);
    bench.wait();

    // Refused by name while something is open; closed with a reason and not without.
    const std::string first = bench.station().report.open().front()->key;
    bench.key('R');
    CHECK_FALSE(bench.core().views().chooser.has_value());
    CHECK(bench.told().find("'" + first + "'") != std::string::npos);
    bench.key('C');
    bench.write("  ");
    CHECK(bench.state().closings().empty());
    bench.key('C');
    bench.write("out of play everywhere");
    REQUIRE(bench.state().closings().size() == 1);
    CHECK(bench.state().closings().begin()->second.reason == "out of play everywhere");
    bench.wait();
    CHECK(bench.station().report.open().front()->key != first);
    bench.press(Action::undo);
    CHECK(bench.state().closings().empty());
    bench.press(Action::redo);
    bench.wait();
    bench.close_all();
    bench.key('C');
    CHECK_FALSE(bench.core().views().entry.has_value());
    CHECK(bench.told() == "Nothing is open on this station.");

    bench.key('R');
    REQUIRE(bench.core().views().chooser.has_value());
    CHECK(bench.core().views().chooser->choices[0].label == "Tern");
    bench.key('1');
    REQUIRE(bench.state().releases().size() == 1);
    CHECK(bench.state().releases().begin()->second.tester == "Tern");
    CHECK(bench.told().find("Structure, padding, fall height and rigging are for qualified inspection") !=
          std::string::npos);
    bench.wait();
    CHECK(bench.station().report.release.standing == study::Standing::proven);
    bench.press(Action::undo);
    CHECK(bench.state().releases().empty());
    bench.wait();
    CHECK(bench.station().report.release.standing == study::Standing::never_released);
    // By somebody who is not in the list.
    bench.key('R');
    bench.key('2');
    bench.write("Petrel");
    REQUIRE(bench.state().releases().size() == 1);
    CHECK(bench.state().releases().begin()->second.tester == "Petrel");
}

TEST_CASE("Enter goes from an open item to its moment in the run's review also from the meet's own view") {
    TrialsBench bench;
    if (!bench.can_run()) return;
    // The floor is no longer ruled out in so many words: who touches it raises a question with a frame.
    std::string text = bench.state().books().rbegin()->second.text;
    for (const auto& [that, in_place] :
         {std::pair{"floor = { name = \"floor\", out_of_play = true }", "floor = \"floor\""},
          std::pair{"revision = \"2\"", "revision = \"3\""}}) {
        const std::size_t at = text.find(that);
        REQUIRE(at != std::string::npos);
        text.replace(at, std::string(that).size(), in_place);
    }
    REQUIRE(bench.session().take_in_book({"floor.course", text, {}}).ok());
    bench.add_tester("Tern");
    for (const char* station : {"bollard_hop", "hawser_swing", "gantry_rungs"}) {
        bench.add_rig(station);
        for (std::int64_t run = 1; run <= 4; ++run)
            bench.add_filmed(station, run);
    }
    bench.go_to_the_meet("standings");
    bench.open();
    const study::Question* filmed = nullptr;
    const study::Question* not_filmed = nullptr;
    std::string station, other;
    for (const report::TrialsStation& told : bench.core().trials().document()->stations)
        for (const study::Question* one : told.report.open()) {
            if (filmed == nullptr && one->still) filmed = one, station = told.report.key;
            if (not_filmed == nullptr && !has_footage(*one)) not_filmed = one, other = told.report.key;
        }
    REQUIRE(filmed != nullptr);
    REQUIRE(not_filmed != nullptr);
    bench.view().station = other;
    bench.view().question = not_filmed->key;
    bench.key(key_enter);
    CHECK(bench.core().views().page.kind == PageKind::trials);
    CHECK(bench.told().find("No footage shows this one.") != std::string::npos);
    const study::Still still = *filmed->still;
    const meet::RunId run = filmed->run;
    bench.session().select_run(run == meet::RunId{1} ? meet::RunId{2} : meet::RunId{1});
    bench.view().station = station;
    bench.view().question = filmed->key;
    bench.key(key_enter);
    CHECK(bench.core().views().page.kind == PageKind::none);
    CHECK(bench.core().views().place == KeyPlace::run);
    CHECK(bench.session().run() == run);
    REQUIRE(bench.session().settle());
    CHECK(bench.session().clip() == still.clip);
    CHECK(bench.session().frame() == still.frame.number);
    CHECK_FALSE(bench.core().trials().working());
}

TEST_CASE("a trial of a station with several landings asks for what is not told") {
    TrialsBench bench;
    if (!bench.can_run()) return;
    // The same course with two starts and two landings of the first station.
    std::string text = bench.state().books().rbegin()->second.text;
    const auto put = [&](const std::string& that, const std::string& in_place) {
        const std::size_t at = text.find(that);
        REQUIRE(at != std::string::npos);
        text.replace(at, that.size(), in_place);
    };
    put("start = \"pier_deck\"", "start = [\"pier_deck\", \"bollard_1\"]");
    put("surface = \"coil_deck\"\nparts = \"any foot\"",
        "surface = [\"coil_deck\", \"quay_deck\"]\nparts = \"any foot\"");
    put("revision = \"2\"", "revision = \"3\"");
    REQUIRE(bench.session().take_in_book({"two.course", text, {}}).ok());
    bench.add_tester("Tern");
    bench.add_tester("Petrel");
    bench.add_rig("bollard_hop");
    bench.open();
    bench.key('A');
    REQUIRE(bench.core().views().chooser.has_value());
    CHECK(bench.core().views().chooser->choices.size() == 3);
    bench.key('2');
    REQUIRE(bench.core().views().chooser.has_value());
    CHECK(bench.core().views().chooser->choices[1].label == "first bollard");
    bench.key('2');
    REQUIRE(bench.core().views().chooser.has_value());
    CHECK(bench.core().views().chooser->choices[0].label == "as its marks tell");
    bench.key('3');
    REQUIRE(bench.state().trials().size() == 1);
    const meet::Trial& trial = bench.state().trials().begin()->second;
    CHECK(bench.state().testers().at(trial.tester).name == "Petrel");
    CHECK(trial.start == "bollard_1");
    CHECK(trial.landing == "quay_deck");
    // Left on the way: nothing is entered, and nothing of it is kept for the next.
    bench.press(Action::undo);
    bench.wait();
    bench.key('A');
    bench.key('1');
    bench.key(key_escape);
    CHECK(bench.state().trials().empty());
    bench.key('A');
    bench.key('1');
    bench.key('1');
    bench.key('1');
    REQUIRE(bench.state().trials().size() == 1);
    CHECK(bench.state().trials().begin()->second.start == "pier_deck");
    CHECK(bench.state().trials().begin()->second.landing.empty());
}

TEST_CASE("photographs of the rig are shown where their files are and else the page says where they were") {
    TrialsBench bench;
    if (!bench.can_run()) return;
    const std::filesystem::path folder = bench.session().path().parent_path();
    const Colour mauve{201, 120, 190, 255};
    media::RgbaImage image{320, 200, {}};
    for (int i = 0; i < image.width * image.height; ++i)
        image.pixels.insert(image.pixels.end(), {mauve.r, mauve.g, mauve.b, 255});
    const auto png = media::encode_png(image);
    REQUIRE(png.ok());
    for (const char* name : {"there.png", "gone.png"})
        std::ofstream(folder / name, std::ios::binary)
            .write(reinterpret_cast<const char*>(png->data()), static_cast<std::streamsize>(png->size()));
    bench.add_rig("bollard_hop", {folder / "there.png", folder / "gone.png"});
    std::filesystem::remove(folder / "gone.png");
    bench.open();
    const meet::RigId rig = bench.state().rigs().begin()->first;
    bench.wait([&] { return bench.core().trials().pictures(rig) != nullptr; });
    const auto& pictures = *bench.core().trials().pictures(rig);
    REQUIRE(pictures.size() == 2);
    CHECK(pictures[0].picture.has_value());
    CHECK(pictures[1].no_picture.english().find("not there") != std::string::npos);
    CHECK(pictures[1].looked_for == (folder / "gone.png").string());
    CHECK(bench.core().trials().texture(rig, 1) == nullptr);
    int seen = 0;
    for (int i = 0; i < 40; ++i) {
        bench.key(key_page_down);
        bench.draw();
        seen = std::max(seen, pixels_of(bench.picture(), mauve));
    }
    CHECK(seen > 5'000);
}

TEST_CASE("photographs are written after the rig or dropped on the page and are read only when it is kept") {
    TrialsBench bench;
    if (!bench.can_run()) return;
    const std::filesystem::path folder = bench.session().path().parent_path();
    for (const char* name : {"wide.jpg", "close.JPG", "hook.png"})
        std::ofstream(folder / name, std::ios::binary) << "photograph " << name;
    // Elsewhere it is said where photographs belong, and nothing is taken for a clip.
    const std::size_t clips = bench.state().clips().size();
    bench.core().open_path(folder / "wide.jpg");
    CHECK(bench.told().find("Ctrl I") != std::string::npos);
    bench.open();
    bench.core().open_path(folder / "wide.jpg");
    bench.core().open_path(folder / "close.JPG");
    CHECK(bench.core().views().entry->title.find("How is bollard hop set up now") == 0);
    bench.write_first("bollard;plate 2;0.62");
    CHECK(bench.core().views().entry->words() ==
          (folder / "wide.jpg").string() + " | " + (folder / "close.JPG").string());
    bench.draw();
    bench.core().open_path(folder / "hook.png");
    bench.draw();
    CHECK(bench.core().views().entry->words().find("hook.png") != std::string::npos);
    // One that is not there is told, and what was written stays.
    std::filesystem::remove(folder / "close.JPG");
    bench.key(key_enter);
    CHECK(bench.told().find("close.JPG") != std::string::npos);
    CHECK(bench.state().rigs().empty());
    REQUIRE(bench.core().views().entry);
    CHECK(bench.core().views().entry->words().find("close.JPG") != std::string::npos);
    bench.write("wide.jpg | hook.png");
    REQUIRE(bench.state().rigs().size() == 1);
    const meet::RigState& rig = bench.state().rigs().begin()->second;
    CHECK(rig.items.size() == 1);
    REQUIRE(rig.photos.size() == 2);
    CHECK(rig.photos[0].path == "wide.jpg");
    CHECK(rig.photos[1].path == "hook.png");
    CHECK(bench.state().clips().size() == clips);
    // What was left with Esc is not taken for the next rig.
    bench.wait();
    bench.core().open_path(folder / "wide.jpg");
    bench.key(key_escape);
    bench.key('W');
    bench.write_first("bollard;plate 2;0.62");
    CHECK(bench.core().views().entry->words().empty());
}

TEST_CASE(
    "the caution and the shapes of the states are on the page in every theme and the page fits a small "
    "window") {
    for (const Theme theme : {Theme::dark, Theme::light, Theme::high_contrast}) {
        for (const auto& [wide, high] : {std::pair{1366, 768}, std::pair{800, 500}}) {
            TrialsBench bench({wide, high, 0, theme});
            if (!bench.can_run()) return;
            bench.add_tester("Tern");
            bench.add_rig("hawser_swing");
            bench.add_filmed("hawser_swing", 1);
            bench.add_filmed("hawser_swing", 2);
            bench.open();
            bench.key(key_down);
            bench.draw();
            bench.draw();
            const auto picture = bench.picture();
            INFO(static_cast<int>(theme) << ", " << wide << " by " << high);
            // The bar beside the caution, and a cleared way's disc and a failed count's square.
            CHECK(pixels_of(picture, kOrange) > 100);
            CHECK(pixels_of(picture, kBluishGreen) > 30);
            CHECK(pixels_of(picture, kVermilion) > 15);
        }
    }
}

TEST_CASE("the sheet of releases is written beside the meet under a name that is free") {
    TrialsBench bench;
    if (!bench.can_run()) return;
    bench.open();
    const std::filesystem::path folder = bench.session().path().parent_path();
    const auto written = [&](const char* name) {
        bench.hush();
        bench.key('O');
        bench.wait([&] { return !bench.told().empty(); });
        INFO(bench.told());
        CHECK(bench.told().find("Written: ") == 0);
        std::ifstream file(folder / name, std::ios::binary);
        std::string begins(5, ' ');
        file.read(begins.data(), 5);
        return begins == "%PDF-";
    };
    CHECK(written("pier-nine-releases.pdf"));
    CHECK(written("pier-nine-releases-2.pdf"));
    CHECK(bench.core().views().page.kind == PageKind::trials);
}
