// Bytes that fail, stall, come in pieces, vanish and change: what the sound reader makes of it.
#include <array>
#include <catch2/catch.hpp>
#include <future>

#include "media/memory_bytes.h"
#include "media/reference.h"
#include "media/sound.h"

using namespace plumbmark;
using namespace plumbmark::media;
using namespace plumbmark::media::test;
using base::Category;
using base::Time;

namespace {

const std::array<std::string, 3> endings{"mp4", "mkv", "ts"};

// Noise does not compress, so that the sound is larger than what is read of it at once.
std::shared_ptr<MemoryFile> noisy_sound(const std::string& ending) {
    const std::string codec = ending == "mkv" ? "flac" : ending == "ts" ? "ac3 -b:a 448k" : "aac -b:a 256k";
    const auto clip = made_clip(
        "noisy-sound." + ending,
        "-f lavfi -i testsrc2=s=320x240:r=25:d=6,noise=alls=60:allf=t+u "
        "-f lavfi -i anoisesrc=d=6:r=48000:a=0.5:seed=4 -c:v libx264 -preset ultrafast -qp 30 -g 25 -c:a " +
            codec + " ");
    auto file = std::make_shared<MemoryFile>(read_file(clip));
    REQUIRE(file->bytes.size() > 600'000);
    return file;
}

base::Result<SoundReader> opened(const std::shared_ptr<MemoryFile>& file, std::stop_token stop = {}) {
    return SoundReader::open("memory.clip", {.stop = std::move(stop), .open_bytes = opener_of(file)});
}

struct Heard {
    std::vector<float> samples;
    std::optional<base::Error> error;
    Time until;
};

Heard rest_of(SoundReader& reader) {
    Heard heard;
    for (;;) {
        auto block = reader.read();
        heard.until = reader.good_until().value_or(heard.until);
        if (!block) return heard.error = block.error(), heard;
        if (!*block) return heard;
        heard.samples.insert(heard.samples.end(), (*block)->samples.begin(), (*block)->samples.end());
    }
}

Heard all_of(const std::shared_ptr<MemoryFile>& file) {
    auto reader = opened(file);
    REQUIRE(reader.ok());
    return rest_of(*reader);
}

bool begins_with(const std::vector<float>& whole, const std::vector<float>& part) {
    return part.size() <= whole.size() && std::equal(part.begin(), part.end(), whole.begin());
}

}  // namespace

TEST_CASE("sound read from memory in pieces of any size is the sound of the whole file") {
    for (const std::string& ending : endings) {
        INFO(ending);
        const auto file = noisy_sound(ending);
        const Heard whole = all_of(file);
        REQUIRE_FALSE(whole.error);
        REQUIRE(whole.samples.size() > 280'000);
        for (const std::size_t piece : {std::size_t{1000}, std::size_t{7}}) {
            file->most_at_once = piece;
            const Heard again = all_of(file);
            CHECK_FALSE(again.error);
            CHECK(again.samples == whole.samples);
        }
    }
}

TEST_CASE("a read of sound that fails once is tried again, and nobody notices") {
    for (const std::string& ending : endings) {
        INFO(ending);
        const auto file = noisy_sound(ending);
        const Heard whole = all_of(file);
        auto reader = opened(file);
        REQUIRE(reader.ok());
        file->failures_left = 2;
        const Heard again = rest_of(*reader);
        CHECK_FALSE(again.error);
        CHECK(again.samples == whole.samples);
        CHECK(file->failures_left == 0);
    }
}

TEST_CASE("a drive that fails from some byte on leaves the sound before it, and says from when on") {
    for (const std::string& ending : endings) {
        INFO(ending);
        const auto file = noisy_sound(ending);
        const Heard whole = all_of(file);
        auto reader = opened(file);
        REQUIRE(reader.ok());
        {
            const std::lock_guard lock(file->mutex);
            file->fails_from = static_cast<std::int64_t>(file->bytes.size() * 6 / 10);
        }
        const Heard before = rest_of(*reader);
        REQUIRE(before.error);
        CHECK(before.error->category == Category::io);
        CHECK(before.error->sentence.english().find("The sound cannot be read from ") == 0);
        CHECK(before.error->sentence.english().find(" on (The drive does not answer.") != std::string::npos);
        CHECK(before.until > Time{2'000'000'000});
        CHECK(before.until < Time{5'000'000'000});
        CHECK(before.samples.size() > 90'000);
        CHECK(begins_with(whole.samples, before.samples));

        // What lies before the failure can still be read, and all of it once the drive answers again.
        REQUIRE(reader->seek({500'000'000}).ok());
        const auto early = reader->read();
        REQUIRE(early.ok());
        CHECK((*early)->end() > Time{500'000'000});
        CHECK_FALSE(reader->seek({5'500'000'000}).ok());
        {
            const std::lock_guard lock(file->mutex);
            file->fails_from = INT64_MAX;
        }
        REQUIRE(reader->seek({5'500'000'000}).ok());
        const auto late = reader->read();
        REQUIRE(late.ok());
        REQUIRE(*late);
        CHECK((*late)->end() > Time{5'500'000'000});
    }
}

TEST_CASE("sound whose drive is taken out, or whose file changed, is told so") {
    const auto file = noisy_sound("mkv");
    auto reader = opened(file);
    REQUIRE(reader.ok());
    {
        const std::lock_guard lock(file->mutex);
        file->gone = true;
    }
    const Heard lost = rest_of(*reader);
    REQUIRE(lost.error);
    CHECK(lost.error->category == Category::not_found);
    CHECK(lost.error->sentence.english().find("its drive was taken out, or it was moved or deleted") !=
          std::string::npos);
    CHECK(opened(file).error().category == Category::not_found);
    {
        const std::lock_guard lock(file->mutex);
        file->gone = false;
    }
    REQUIRE(reader->seek({0}).ok());
    CHECK_FALSE(rest_of(*reader).error);

    {
        const std::lock_guard lock(file->mutex);
        file->bytes.resize(file->bytes.size() / 2);
        ++file->version;
    }
    const auto cut = reader->seek({0});
    REQUIRE_FALSE(cut.ok());
    CHECK(cut.error().category == Category::damaged);
    CHECK(cut.error().sentence.english().find("it was cut short since it was opened") != std::string::npos);
}

TEST_CASE("sound that stalls ends when it is stopped, while opening and while reading") {
    const auto file = noisy_sound("mp4");
    const auto ends_when_stopped = [&](auto work) {
        std::stop_source stop;
        auto waiting = std::async(std::launch::async, [&] { return work(stop.get_token()); });
        while (file->waiting == 0)
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        CHECK(waiting.wait_for(std::chrono::milliseconds(20)) == std::future_status::timeout);
        stop.request_stop();
        CHECK(waiting.get() ==
              Category::cancelled);  // a hang here is ended by the test program's own time limit
    };
    const auto opening = [&](std::stop_token stop) { return opened(file, std::move(stop)).error().category; };
    file->opening_stalls = true;
    ends_when_stopped(opening);
    file->opening_stalls = false;
    file->stalls = true;
    ends_when_stopped(opening);
    file->stalls = false;
    ends_when_stopped([&](std::stop_token stop) {
        auto reader = opened(file, std::move(stop));
        file->stalls = true;
        return rest_of(*reader).error.value().category;
    });
}
