// The page of a season: what it shows of whom and of which meets, all of it with keys alone.
#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <thread>

#include "desk/internal/plot_axis.h"
#include "desk/internal/say.h"
#include "desk/key_bench.h"
#include "report/season_document.h"

using namespace plumbmark;
using namespace plumbmark::desk;
using test::KeyBench;
namespace fs = std::filesystem;

namespace {

class SeasonBench : public KeyBench {
  public:
    explicit SeasonBench(const test::BenchLook& look = {1366, 768}) : KeyBench(look) {}

    [[nodiscard]] SeasonView& view() { return core().views().season; }
    void key(int physical_key, int mods = 0) { core().key(physical_key, mods, false); }
    void wait() {
        for (int i = 0; i < 60'000; ++i) {
            core().update(now_ += 0.001);
            if (!core().season().working()) return;
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        }
        FAIL("the season was not worked out in a minute");
    }
    void open() {
        press(Action::season);
        REQUIRE(core().views().page.kind == PageKind::season);
        wait();
        REQUIRE(core().season().document() != nullptr);
    }
    [[nodiscard]] const report::SeasonDocument& document() {
        REQUIRE(core().season().document() != nullptr);
        return *core().season().document();
    }
    [[nodiscard]] fs::path folder() { return session().path().parent_path(); }
    /// The choice that begins like this, by going down to it.
    void choose(const std::string& label) {
        REQUIRE(core().views().chooser.has_value());
        const Chooser& list = *core().views().chooser;
        const auto at = std::find_if(list.choices.begin(), list.choices.end(),
                                     [&](const Choice& one) { return one.label == label; });
        REQUIRE(at != list.choices.end());
        core().views().chooser->cursor = static_cast<int>(at - list.choices.begin());
        key(key_enter);
        REQUIRE_FALSE(core().views().chooser.has_value());
        wait();
    }

  private:
    double now_ = 50;
};

}  // namespace

TEST_CASE("a season is of who ran the run on the screen and of anybody who is chosen") {
    SeasonBench bench;
    if (!bench.can_run()) return;
    bench.open();
    // Run 4 is かもめ's, number 41.
    CHECK(bench.view().athlete == "かもめ");
    CHECK(bench.document().files.size() == 1);
    REQUIRE(bench.document().runs.size() == 2);
    CHECK(bench.document().runs[1].name.label == "run 4, both cameras");
    bench.key('N');
    bench.choose(tr("everybody"));
    CHECK(bench.view().athlete.empty());
    CHECK(bench.document().runs.size() == 5);
    REQUIRE(bench.document().stations.size() == 3);
    CHECK(bench.core().season().plot().rows.size() == 3);
    bench.key('N');
    bench.choose("Dunlin");
    CHECK(bench.document().runs.size() == 1);

    // Station by station, never beyond the ends.
    CHECK(bench.core().season().station(bench.view()) == 0U);
    bench.key(key_down);
    CHECK(bench.core().season().station(bench.view()) == 1U);
    bench.key(key_end);
    bench.key(key_down);
    CHECK(bench.core().season().station(bench.view()) == 2U);
    bench.key(key_home);
    bench.key(key_up);
    CHECK(bench.core().season().station(bench.view()) == 0U);
    bench.press(Action::let_go);
    CHECK(bench.core().views().page.kind == PageKind::none);
    CHECK(bench.core().season().document() == nullptr);
}

TEST_CASE("another meet is taken into a season and out again and one that does not read says so") {
    SeasonBench bench;
    if (!bench.can_run()) return;
    fs::copy_file(bench.session().path(), bench.folder() / "autumn.meet");
    std::ofstream(bench.folder() / "broken.meet") << "no meet";
    bench.open();
    bench.key('F');
    bench.choose("autumn.meet");
    CHECK(bench.document().files.size() == 2);
    CHECK(bench.document().runs.size() == 4);
    bench.key('F');
    bench.choose("broken.meet");
    REQUIRE(bench.document().files.size() == 3);
    CHECK(std::count_if(bench.document().files.begin(), bench.document().files.end(),
                        [](const report::SeasonFile& file) { return file.error.has_value(); }) == 1);
    CHECK(bench.document().runs.size() == 4);
    // The list says what counts, and takes it out by the same key.
    bench.key('F');
    int counting = 0;
    for (const Choice& choice : bench.core().views().chooser->choices)
        counting += choice.detail == tr("counts") ? 1 : 0;
    CHECK(counting == 3);
    bench.choose("broken.meet");
    bench.key('F');
    bench.choose("autumn.meet");
    CHECK(bench.document().files.size() == 1);
    bench.key('F');
    bench.choose("pier-nine.meet");
    CHECK(bench.document().files.size() == 1);
    CHECK(bench.core().views().messages.back().text == tr("The open meet always counts."));
    // What is dropped on the page belongs to the season; elsewhere it is opened.
    bench.core().open_path(bench.folder() / "autumn.meet");
    bench.wait();
    CHECK(bench.document().files.size() == 2);
    CHECK(bench.session().path().filename() == "pier-nine.meet");
}

TEST_CASE("what is marked while the season is open is in it") {
    SeasonBench bench;
    if (!bench.can_run()) return;
    bench.open();
    const std::size_t before = bench.document().runs.size();
    meet::Run run = bench.session().state().runs().begin()->second;
    meet::Run of_other = run;
    const meet::Run shown = bench.session().state().runs().at(bench.session().run());
    of_other.athlete = shown.athlete;
    of_other.entry = shown.entry;
    REQUIRE(bench.session().apply({"whose run it is", {{run, of_other}}, 0}).ok());
    bench.core().update(60);
    bench.wait();
    CHECK(bench.document().runs.size() == before + 1);
    CHECK(bench.core().title().find(tr("a season")) != std::string::npos);
}

TEST_CASE("an axis has even steps and as many digits as they need") {
    CHECK(even_step(10, 5) == Approx(2));
    CHECK(even_step(9, 5) == Approx(2));
    CHECK(even_step(1.1, 4) == Approx(0.5));
    CHECK(even_step(0.07, 10) == Approx(0.01));
    CHECK(tick_words(0.5, 0.5, true) == "+0.5 s");
    CHECK(tick_words(2, 1, false) == "2 s");
    CHECK(tick_words(0, 0.5, true) == "0 s");
    CHECK(seconds_of(base::Duration{1'500'000'000}) == Approx(1.5));
}
