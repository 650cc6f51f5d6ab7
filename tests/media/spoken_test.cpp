// What is wrong with a clip's file, in German and in English at once.
#include <catch2/catch.hpp>

#include "media/conformance.h"
#include "media/file_damage.h"
#include "media/frame_table.h"
#include "media/new_file.h"
#include "media/reference.h"
#include "media/sound.h"
#include "support/in_language.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
using plumbmark::test::InLanguage;

TEST_CASE("a file that is no clip is refused in German") {
    const auto empty = scratch() / "leer.mp4";
    write_file(empty, "");
    const InLanguage german("de");
    const auto missing = scan_clip(scratch() / "fehlt.mp4");
    REQUIRE_FALSE(missing.ok());
    CHECK(missing.error().spoken() ==
          "fehlt.mp4: Diese Datei gibt es nicht. Den Namen prüfen und ob das Laufwerk da ist.");
    CHECK(missing.error().text() ==
          "fehlt.mp4: There is no such file. Check the name, and that its drive is there.");
    const auto nothing = scan_clip(empty);
    REQUIRE_FALSE(nothing.ok());
    CHECK(nothing.error().spoken() == "leer.mp4: Die Datei ist leer. Sie erneut von der Kamera kopieren.");
}

TEST_CASE("a stream that a clip does not have is told in German with its numbers") {
    const auto clip = made_clip("spoken.mp4", "-f lavfi -i testsrc2=s=160x120:r=25:d=1 -c:v libx264 ");
    const InLanguage german("de");
    ScanOptions third;
    third.stream = 2;
    const auto refused = scan_clip(clip, third);
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().sentence.spoken() ==
          "Es gibt keinen Videostrom 2; die Datei hat die Ströme 0 bis 0.");
    CHECK(refused.error().sentence == "There is no video stream 2; the file has streams 0 to 0.");
    const auto silent = SoundReader::open(clip);
    REQUIRE_FALSE(silent.ok());
    CHECK(silent.error().sentence.spoken() == "Der Clip hat keinen Ton.");
}

TEST_CASE("what is wrong with a file is said anew in whichever language is chosen") {
    const FileDamage cut{FileDamage::Kind::missing_listed, 1};
    const FileDamage broken{FileDamage::Kind::broken_stream, 7, 0, "a packet is empty"};
    CHECK(cut.sentence() == "The file is cut short: 1 picture that its index lists cannot be read whole.");
    {
        const InLanguage german("de");
        CHECK(cut.sentence().spoken() ==
              "Die Datei ist abgeschnitten: 1 Bild, das ihr Index aufführt, lässt sich nicht ganz lesen.");
        CHECK(cut.missing_end().spoken() ==
              "die Datei endet hier, und 1 Bild, das ihr Index aufführt, lässt sich nicht ganz lesen");
        CHECK(broken.sentence().spoken() ==
              "Der Strom ist beschädigt: ein Paket ist leer (zuerst bei Paket 7).");
        CHECK(broken.sentence() == "The stream is damaged: a packet is empty (first at packet 7).");
        CHECK(broken.missing_end().empty());
    }
    CHECK(cut.sentence().spoken() == cut.sentence().english());
}

TEST_CASE("a file that cannot be made is told in German") {
    const InLanguage german("de");
    const auto made = NewFile::create(scratch() / "no-such-folder" / "clip.mp4");
    REQUIRE_FALSE(made.ok());
    const std::string told = made.error().sentence.spoken();
    CHECK(told.starts_with("Die Datei lässt sich nicht anlegen: "));
    CHECK(told.ends_with(". Es bleibt nichts davon zurück, und was vorher da war, ist unverändert."));
    CHECK(made.error().sentence.english().starts_with("The file cannot be made: "));
}
