// The desk without a window, on a copy of the sample meet, driven by its keys.
#pragma once

#include <stdlib.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <iostream>
#include <memory>
#include <optional>
#include <sstream>
#include <string>
#include <thread>
#include <utility>

#include "base/catalogue.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/gl_canvas.h"
#include "desk/internal/reading.h"
#include "desk/internal/toolkit.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace plumbmark::test {

using namespace plumbmark::desk;
namespace fs = std::filesystem;

struct BenchLook {
    int wide = 800, high = 500;
    double scale = 0;
    std::optional<Theme> theme = std::nullopt;
    const char* language = "en";
};

/// The desk without a window, on a copy of the sample meet.
class KeyBench {
  public:
    explicit KeyBench(const BenchLook& look = {}) : wide_(look.wide), high_(look.high) {
        // No system window for choosing files opens on the desktop of whoever runs the tests.
        ::setenv("DBUS_SESSION_BUS_ADDRESS", "unix:path=/nonexistent", 1);
        auto canvas = GlCanvas::create(wide_, high_);
        if (!canvas) {
            std::cout << "skipped: " << canvas.error().text() << "\n";
            return;
        }
        canvas_ = std::move(*canvas);
        REQUIRE(toolkit_.start());
        for (const auto& entry : fs::directory_iterator(test::source_folder() / "sample_clips"))
            fs::copy_file(entry.path(), folder_ / entry.path().filename().string());
        DeskOptions options;
        options.keys_file = "/dev/null";
        options.remember = false;
        options.picture_way = "processor";
        options.scale = look.scale;
        options.theme = look.theme;
        options.language = look.language;
        core_ = std::make_unique<DeskCore>(options, [] {});
        core_->open_path(folder_ / "pier-nine.meet");
        REQUIRE(core_->session());
        go_to_the_run();
    }
    ~KeyBench() {
        core_.reset();
        (void)base::choose_language("en");
    }

    [[nodiscard]] bool can_run() const { return core_ != nullptr; }
    [[nodiscard]] DeskCore& core() { return *core_; }
    [[nodiscard]] review::Session& session() { return *core_->session(); }

    /// The state that most keys are pressed in: run 4, both cameras, its second station, a mark chosen in
    /// the middle of the clip, a limb, a surface and a plane in hand.
    void go_to_the_run() {
        Views& views = core_->views();
        if (session().run() != meet::RunId{4} || !session().ruling().ruling) {
            session().select_run(meet::RunId{4});
            REQUIRE(session().settle());
        }
        const Views fresh;
        views.place = KeyPlace::run;
        views.pictures = fresh.pictures;
        views.marking = fresh.marking;
        views.play = fresh.play;
        views.page = fresh.page;
        views.sheet = fresh.sheet;
        views.strip = fresh.strip;
        views.help = false;
        close_lists();
        session().select_clip(session().clips().front().id);
        session().set_hand({course::Part::left_foot, "gantry_deck", "gantry_front_plane"});
        session().go_to_frame(390);
        settle();
        session().go_to_frame(*session().neighbour_mark(-1));
        for (const Listed& listed : marks_here(session()))
            if (listed.frame == session().frame() && session().state().marks().contains(listed.id))
                session().select(listed.id);
        settle();
        REQUIRE(session().state().marks().contains(session().selected()));
        views.messages.clear();
    }

    void go_to_the_meet(const char* page) {
        close_lists();
        REQUIRE(core_->show_meet_page(page));
        settle();
        while (!core_->meet_settled()) {
            core_->update(now_ += 0.1);
            std::this_thread::sleep_for(std::chrono::milliseconds(5));
        }
        settle();
        core_->views().messages.clear();
    }

    void close_lists() {
        core_->views().chooser.reset();
        core_->views().entry.reset();
        core_->views().secret.reset();
        core_->views().offer.reset();
    }

    /// A few rounds of the window's loop, until the exact picture is there.
    void settle() {
        for (int round = 0; round < 400; ++round) {
            core_->update(now_ += 0.01);
            if (round < 4 || core_->views().play.playing) draw();
            const bool still = session().picture().exact || session().picture().error;
            if (still && round > 3) return;
            std::this_thread::sleep_for(std::chrono::milliseconds(still ? 0 : 5));
        }
        FAIL("the exact picture did not come");
    }

    void draw() {
        if (core_->fonts_outdated()) {
            ImGui::GetIO().DisplaySize = {static_cast<float>(wide_), static_cast<float>(high_)};
            ImGui::GetIO().DeltaTime = 1.0F / 60;
            core_->build_fonts_now();
            toolkit_.upload_fonts();
        }
        canvas_->begin();
        toolkit_.new_frame();
        core_->draw(static_cast<float>(wide_), static_cast<float>(high_));
        toolkit_.render();
        core_->carry_out_commands();
    }

    /// All that is worked out beside the window is there, and nothing moves any more. Repeated pictures are
    /// not waited for: they are looked for behind all else that the machine does, and the sample has none to
    /// show.
    void settle_all() {
        const auto busy = [&] {
            for (const review::ClipView& clip : session().clips())
                if (clip.content_progress >= 0) return true;
            return !core_->sound_settled() || !core_->meet_settled() || !session().ruling().current ||
                   !session().all_solid();
        };
        for (int round = 0; round < 20'000 && (round < 40 || busy()); ++round) {
            core_->update(now_ += 0.01);
            if (round % 20 == 0) draw();
            std::this_thread::sleep_for(std::chrono::milliseconds(5));
        }
        for (const review::ClipView& clip : session().clips())
            UNSCOPED_INFO(clip.name << ": file " << clip.content_progress);
        UNSCOPED_INFO("sound " << core_->sound_settled() << ", meet " << core_->meet_settled() << ", ruling "
                               << session().ruling().current << ", saved " << session().all_solid());
        REQUIRE_FALSE(busy());
        settle();
        core_->views().messages.clear();
        for (int twice = 0; twice < 3; ++twice)
            draw();
    }

    /// F2, also where a list or a page has the keys.
    void next_theme() {
        Views& views = core_->views();
        std::optional<Chooser> chooser = std::move(views.chooser);
        close_lists();
        const bool help = std::exchange(views.help, false);
        press(Action::theme);
        views.help = help;
        views.chooser = std::move(chooser);
    }

    /// What was drawn last.
    [[nodiscard]] media::RgbaImage picture() const { return canvas_->read(); }

    void press(Action action) {
        const KeyPress press = core_->keys().binding(action).press;
        core_->key(press.key, press.mods, false);
    }

    /// Everything that a person could see change.
    std::string seen() {
        Views& v = core_->views();
        const PicturesView& p = v.pictures;
        std::ostringstream out;
        out << session().run().value << ' ' << session().clip().value << ' ' << session().frame() << ' '
            << session().changes() << ' ' << session().selected().value << ' ' << session().hand().surface
            << ' ' << session().hand().plane << ' ' << part_name(session().hand().part) << ' '
            << core_->title() << ' ' << core_->leaving() << ' ' << static_cast<int>(core_->theme()) << ' '
            << core_->scale() << '\n'
            << static_cast<int>(v.place) << v.help << v.muted << v.play.playing << v.play.speed
            << static_cast<int>(v.page.kind) << v.chooser.has_value() << v.entry.has_value()
            << v.secret.has_value() << v.offer.has_value() << v.messages.size() << '\n'
            << p.zoom << ' ' << p.centre[0] << ' ' << p.centre[1] << ' ' << static_cast<int>(p.tool)
            << p.difference << p.alone << p.apart << p.tones.size() << p.drawing.active << p.camera.active
            << p.point.active << '\n'
            << v.strip.from_ns << ' ' << v.strip.to_ns << ' ' << v.strip.folded << v.sheet.focus
            << v.sheet.open << v.sheet.rests_on << ' ' << static_cast<int>(v.marking.scope)
            << v.marking.watch_from.value_or(-1) << '\n';
        for (const auto& [clip, tone] : p.tones)
            out << clip.value << ':' << tone.brightness << ',' << tone.contrast << ' ';
        return out.str();
    }

    bool take_full_screen_wish() { return core_->take_full_screen_wish(); }

  private:
    const int wide_, high_;
    test::TemporaryFolder folder_;
    std::unique_ptr<GlCanvas> canvas_;
    Toolkit toolkit_;
    std::unique_ptr<DeskCore> core_;
    double now_ = 1;
};

}  // namespace plumbmark::test
