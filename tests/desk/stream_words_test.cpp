// Streams in words.
#include "desk/stream_words.h"

#include <catch2/catch.hpp>

using namespace plumbmark;
using namespace plumbmark::desk;

TEST_CASE("a stream is named by what its file says of it, and by no more") {
    CHECK(stream_words(media::StreamInfo{0, 0, "h264", 1280, 720, {}}) == "pictures 1 · h264 · 1280 x 720");
    CHECK(stream_words(media::StreamInfo{1, 3, "hevc", 1920, 1080, {"deu", "Deck", 9, "quay"}}) ==
          "pictures 2 · hevc · 1920 x 1080 · deu · program 9 'quay' · 'Deck'");
    CHECK(stream_words(media::StreamInfo{2, 3, "mjpeg", 0, 0, {"", "", 4, ""}}) ==
          "pictures 3 · mjpeg · program 4");
    CHECK(stream_words(media::SoundStream{0, 1, "aac", 48000, 2, true, {1, 48000}, {"eng", "", {}, ""}}) ==
          "sound 1 · aac · stereo · 48 kHz · eng");
    CHECK(stream_words(media::SoundStream{4, 1, "ac3", 44100, 6, false, {1, 1}, {}}) ==
          "sound 5 · ac3 · 6 channels · 44.1 kHz");
}

TEST_CASE("what is no text, or without end, is not shown whole") {
    media::StreamInfo stream{0, 0, "h264", 64, 48, {"\xFF\xFE", std::string(500, 'x'), {}, ""}};
    CHECK(stream_words(stream) == "pictures 1 · h264 · 64 x 48 · '" + std::string(60, 'x') + "…'");
    stream.label.title = "two\nlines";
    CHECK(stream_words(stream) == "pictures 1 · h264 · 64 x 48 · 'two lines'");
}

TEST_CASE("there is a choice where there is more than one stream of a kind") {
    media::ClipInfo info;
    info.streams.resize(1);
    info.sounds.resize(1);
    CHECK_FALSE(has_choice_of_streams(info));
    info.sounds.resize(2);
    CHECK(has_choice_of_streams(info));
    info.sounds.clear();
    info.streams.resize(2);
    CHECK(has_choice_of_streams(info));
}
