// The window in German: what is drawn is read back off the drawing, letter by letter, and no text of the
// English catalogue is found on it.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstring>
#include <fstream>
#include <iterator>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "base/text.h"
#include "desk/internal/gui.h"
#include "desk/internal/say.h"
#include "desk/key_bench.h"
#include "meet/appeals.h"

using namespace plumbmark;
using namespace plumbmark::desk;
using test::KeyBench;

namespace {

std::string utf8(ImWchar c) {
    if (c < 0x80) return std::string(1, static_cast<char>(c));
    if (c < 0x800) return {static_cast<char>(0xC0 | (c >> 6)), static_cast<char>(0x80 | (c & 0x3F))};
    return {static_cast<char>(0xE0 | (c >> 12)), static_cast<char>(0x80 | ((c >> 6) & 0x3F)),
            static_cast<char>(0x80 | (c & 0x3F))};
}

std::string without_blanks(std::string text) {
    std::erase(text, ' ');
    return text;
}

/// The letters of the frame that was drawn last, in the order in which they were drawn, without blanks (they
/// leave nothing); '|' where something else was drawn between them. A letter is known by its place in the
/// atlas.
std::string drawn_letters() {
    std::map<std::pair<float, float>, ImWchar> letters;
    for (const ImFont* font : ImGui::GetIO().Fonts->Fonts)
        for (const ImFontGlyph& glyph : font->Glyphs)
            if (glyph.Visible) letters[{glyph.U0, glyph.V0}] = static_cast<ImWchar>(glyph.Codepoint);
    std::string text;
    const ImDrawData* drawn = ImGui::GetDrawData();
    for (int n = 0; n < drawn->CmdListsCount; ++n) {
        const auto& vertices = drawn->CmdLists[n]->VtxBuffer;
        text += '|';
        for (int i = 0; i < vertices.Size;) {
            const auto found = letters.find({vertices[i].uv.x, vertices[i].uv.y});
            if (found != letters.end() && i + 3 < vertices.Size && vertices[i + 1].uv.y == vertices[i].uv.y) {
                text += utf8(found->second);
                i += 4;
            } else {
                if (text.back() != '|') text += '|';
                ++i;
            }
        }
    }
    return text;
}

/// What stands between the placeholders of every English text, where it is two words or more that German says
/// otherwise ("Startliste" has the letters of "Start list").
std::set<std::string> english_phrases() {
    std::set<std::string> phrases;
    std::ifstream file(test::source_folder() / "src/base/languages/plumbmark.pot");
    for (std::string line; std::getline(file, line);) {
        if (!line.starts_with("msgid \"") || line.find('\\') != std::string::npos) continue;
        const std::string text = line.substr(7, line.size() - 8);
        const std::string german = tr(text);
        for (std::size_t from = 0; from < text.size();) {
            const std::size_t end = std::min(text.find('{', from), text.size());
            const std::string phrase(base::trimmed(text.substr(from, end - from), " .,;:?·"));
            if (phrase.size() >= 9 && phrase.find(' ') != std::string::npos &&
                without_blanks(german).find(without_blanks(phrase)) == std::string::npos)
                phrases.insert(phrase);
            from = end == text.size() ? end : std::min(text.find('}', end), text.size() - 1) + 1;
        }
    }
    return phrases;
}

class InGerman {
  public:
    InGerman() : bench_(german()), phrases_(english_phrases()) {}
    [[nodiscard]] bool can_run() const { return bench_.can_run(); }
    KeyBench& bench() { return bench_; }

    void look(const std::string& place) {
        bench_.draw();
        bench_.draw();
        const std::string seen = without_what_people_wrote(drawn_letters());
        INFO(place);
        CHECK(seen.size() > 200);
        for (const std::string& phrase : phrases_) {
            if (seen.find(without_blanks(phrase)) == std::string::npos) continue;
            UNSCOPED_INFO(place << " says '" << phrase << "'");
            ++english_;
        }
        CHECK(english_ == 0);
        all_ += seen;
    }
    [[nodiscard]] bool saw(const std::string& text) const {
        return all_.find(without_blanks(text)) != std::string::npos;
    }
    void forget() { english_ = 0; }

  private:
    /// What an appeal asks stands in the words of whoever lodged it.
    [[nodiscard]] std::string without_what_people_wrote(std::string seen) {
        for (const auto& [id, appeal] : bench_.session().state().appeals()) {
            const std::string point = without_blanks(appeal.point);
            for (std::size_t at; !point.empty() && (at = seen.find(point)) != std::string::npos;)
                seen.erase(at, point.size());
        }
        return seen;
    }
    static test::BenchLook german() {
        test::BenchLook look;
        // As large as the smallest screen that the desk is meant for, so that much is to be read.
        look.wide = 1366;
        look.high = 768;
        look.language = "de";
        return look;
    }

    KeyBench bench_;
    std::set<std::string> phrases_;
    int english_ = 0;
    std::string all_;
};

}  // namespace

TEST_CASE("letters are read back off a drawing in English") {
    KeyBench bench;
    if (!bench.can_run()) return;
    bench.draw();
    const std::string seen = drawn_letters();
    CHECK(seen.find("allkeys") != std::string::npos);
    CHECK(seen.find("allsaved") != std::string::npos);
    CHECK(seen.find("alleTasten") == std::string::npos);
}

TEST_CASE("the window in German says nothing of the English catalogue") {
    InGerman window;
    if (!window.can_run()) return;
    KeyBench& bench = window.bench();
    window.look("the run");
    CHECK(window.saw("alle Tasten"));
    CHECK(window.saw("linker Fuß berührt"));
    bench.press(Action::help);
    window.look("all keys");
    CHECK(window.saw("zehn Bilder vor"));
    CHECK(window.saw("Entscheidungsblatt"));
    CHECK(window.saw("Strg"));
    CHECK(window.saw("frühes Ende ein Bild früher"));
    bench.press(Action::let_go);
    using enum Action;
    for (const Action action :
         {surface_list,      signal,       infraction,  grade,        alternative,  draw,        floor_call,
          mark_list,         choose_run,   go_to_frame, note,         capture_time, course_book, preferences,
          give_out,          tie_by_sound, watched,     touching_yet, which_way,    streams,     damage,
          division_and_lane, take_in_book, undo,        redo,         settle_first, apart,       best_angle,
          copy_mark,         mute,         possible}) {
        bench.go_to_the_run();
        bench.press(action);
        window.look(bench.core().keys().binding(action).name);
        window.forget();
    }
    for (const char* page : {"floor-entry", "appeals", "decide", "standings"}) {
        bench.go_to_the_meet(page);
        window.look(page);
        window.forget();
    }
    CHECK(window.saw("offizielle Zeit"));
    CHECK(window.saw("Alle Tabellen"));
}

TEST_CASE("what a command refuses is read in German on the window") {
    InGerman window;
    if (!window.can_run()) return;
    KeyBench& bench = window.bench();
    bench.session().select({});
    bench.press(Action::early_back);
    REQUIRE_FALSE(bench.core().views().messages.empty());
    const Message& refusal = bench.core().views().messages.back();
    CHECK(refusal.trouble);
    CHECK(refusal.text ==
          "Es ist nichts ausgewählt. Eine Marke auf der Zeitleiste anklicken, oder mit Strg und "
          "einem Pfeil zu einer gehen.");
    window.look("a refusal");
    CHECK(window.saw("Es ist nichts ausgewählt."));
}

TEST_CASE("a language takes effect at once and what is stored stays English") {
    KeyBench bench;
    if (!bench.can_run()) return;
    bench.press(Action::preferences);
    REQUIRE(bench.core().views().chooser);
    auto& list = *bench.core().views().chooser;
    const auto german = std::find_if(list.choices.begin(), list.choices.end(), [](const Choice& choice) {
        const auto* language = std::get_if<TakeLanguage>(&choice.command);
        return language != nullptr && language->code == "de";
    });
    REQUIRE(german != list.choices.end());
    CHECK(german->label.find("Deutsch") != std::string::npos);
    list.cursor = static_cast<int>(german - list.choices.begin());
    bench.press(Action::take);
    REQUIRE(bench.core().views().chooser);
    CHECK(bench.core().views().chooser->title == "Einstellungen");
    CHECK(bench.core().keys().label(Action::undo) == "Strg Z");
    bench.go_to_the_run();
    REQUIRE(bench.session().settle());
    bench.draw();
    bench.draw();
    // The run was ruled in English before; the sheet says it in German now.
    REQUIRE(bench.session().ruling().ruling);
    const ruling::RunRuling& ruling = *bench.session().ruling().ruling;
    CHECK(ruling.sentence.english().find("cleared") != std::string::npos);
    CHECK(ruling.sentence.spoken().find("geschafft") != std::string::npos);
    // As far as the sheet is not scrolled out of sight, by the beginning of a reason.
    const auto drawn = [seen = drawn_letters()](const ruling::StationRuling& station) {
        return seen.find(without_blanks(station.sentence.spoken().substr(0, 20))) != std::string::npos;
    };
    CHECK(std::any_of(ruling.stations.begin(), ruling.stations.end(), drawn));
    bench.press(Action::touch);
    bench.settle();
    CHECK(bench.session().undo_label() == "mark left foot touches gantry deck");
    bench.draw();
    CHECK(drawn_letters().find("alleTasten") != std::string::npos);
}

TEST_CASE("what the meet objects to and a file that is no meet file are read in German") {
    InGerman window;
    if (!window.can_run()) return;
    KeyBench& bench = window.bench();
    // Wherever a station has a time its call becomes a fail, which floor entry remarks upon.
    const meet::State& state = bench.session().state();
    meet::Change change{"calls that do not go with times", {}, 0};
    for (const auto& [id, time] : state.clock_times()) {
        const meet::FloorCall* call = meet::call_at(state, time.run, time.station);
        if (call == nullptr) continue;
        meet::FloorCall fail = *call;
        fail.call = meet::Call::fail;
        change.edits.push_back({*call, fail});
    }
    REQUIRE_FALSE(change.edits.empty());
    REQUIRE(bench.session().apply(change));
    bench.go_to_the_meet("floor-entry");
    window.look("floor entry");
    CHECK(window.saw("hat eine Zeit, doch"));

    const test::TemporaryFolder folder;
    const std::filesystem::path notes = folder / "notes.meet";
    std::ofstream(notes) << std::string(200, 'x');
    bench.core().open_path(notes);
    REQUIRE_FALSE(bench.core().views().messages.empty());
    CHECK(bench.core().views().messages.back().text == notes.string() + ": das ist keine Wettkampfdatei");
    window.look("the message");
    CHECK(window.saw("das ist keine Wettkampfdatei"));
}
