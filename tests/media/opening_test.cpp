// Opening a clip: how often its bytes are opened, the first picture on the way, and drives that never answer.
#include <catch2/catch.hpp>
#include <future>

#include "media/frame_service.h"
#include "media/internal/patient_call.h"
#include "media/memory_bytes.h"
#include "media/reference.h"
#include "media/table_cache.h"
#include "support/temporary_folder.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
using plumbmark::base::Category;
using Phase = ServiceState::Phase;

namespace {

std::filesystem::path small_clip(const std::string& ending) {
    return made_clip("opening." + ending,
                     "-f lavfi -i testsrc2=s=320x240:r=25:d=2,noise=alls=60:allf=t+u -c:v libx264 -preset "
                     "ultrafast -qp 20 -bf 2 -g 10 ");
}

std::shared_ptr<MemoryFile> small_file(const std::string& ending) {
    return std::make_shared<MemoryFile>(read_file(small_clip(ending)));
}

/// A scan that notes its first pictures and how much had been read by then.
struct NotedScan {
    std::vector<std::string> pictures;
    std::int64_t reads_before = 0;
    plumbmark::base::Result<FrameTable> table;

    explicit NotedScan(const std::shared_ptr<MemoryFile>& file) : table(scan(file)) {}

  private:
    plumbmark::base::Result<FrameTable> scan(const std::shared_ptr<MemoryFile>& file) {
        ScanOptions options;
        options.open_bytes = opener_of(file);
        options.first_picture = [&, file](const std::shared_ptr<const Picture>& picture) {
            pictures.push_back(md5_hex(*picture));
            reads_before = file->reads;
        };
        return scan_clip("memory.clip", options);
    }
};

ServiceState when(FrameService& service, const std::function<bool(const ServiceState&)>& done) {
    for (;;) {
        ServiceState state = service.poll();
        if (done(state)) return state;
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
}

ServiceOptions options_of(const std::shared_ptr<MemoryFile>& file) {
    ServiceOptions options;
    options.scan.open_bytes = options.reader.open_bytes = opener_of(file);
    return options;
}

}  // namespace

TEST_CASE("a scan shows ffmpeg's first picture on its way, once, and finds the same table") {
    for (const std::string ending : {"mp4", "mkv", "ts", "avi"}) {
        INFO(ending);
        const auto file = small_file(ending);
        const NotedScan scan(file);
        REQUIRE(scan.table.ok());
        const auto sums = framemd5(small_clip(ending));
        CHECK(scan.pictures == std::vector{sums.front()});
        CHECK(scan.reads_before < file->reads);
        ScanOptions plain;
        plain.open_bytes = opener_of(file);
        const auto table = scan_clip("memory.clip", plain);
        REQUIRE(table.ok());
        REQUIRE(table->size() == scan.table->size());
        for (std::int64_t n = 0; n < table->size(); ++n)
            CHECK((*table)[n].pts == (*scan.table)[n].pts);
    }
}

TEST_CASE("a drive that fails behind the beginning still shows the first picture") {
    const auto file = small_file("mkv");
    file->fails_from = 400'000;
    const NotedScan scan(file);
    REQUIRE(scan.table.ok());
    CHECK(scan.pictures.size() == 1);
    CHECK_FALSE(scan.table->info().damage.empty());
    file->fails_from = 3000;
    CHECK(NotedScan(file).pictures.empty());
}

TEST_CASE("a clip of one picture is shown before its table stands") {
    const auto clip = made_clip("one-picture.mp4", "-f lavfi -i testsrc2=s=64x64:r=25:d=0.04 -c:v libx264 ");
    const NotedScan scan(std::make_shared<MemoryFile>(read_file(clip)));
    REQUIRE(scan.table.ok());
    CHECK(scan.pictures == framemd5(clip));
}

TEST_CASE("a first opening opens the clip twice: to scan it, first picture included, and to read it") {
    const auto file = small_file("mp4");
    FrameService service("memory.clip", {}, options_of(file));
    service.request(30);
    const auto state = when(service, [](const ServiceState& s) { return s.settled(); });
    REQUIRE_FALSE(state.error);
    CHECK(md5_hex(*state.picture) == framemd5(small_clip("mp4"))[30]);
    CHECK(file->opened == 2);
}

TEST_CASE("what never answers is left behind when it is stopped") {
    std::promise<void> drive;
    auto answers = std::make_shared<std::shared_future<void>>(drive.get_future().share());
    auto done = std::make_shared<std::promise<int>>();
    std::stop_source stop;
    auto call = std::async(std::launch::async, [&] {
        return call_patiently(
            [answers, done] {
                answers->wait();
                done->set_value(7);
                return 7;
            },
            {stop.get_token()});
    });
    CHECK(call.wait_for(std::chrono::milliseconds(30)) == std::future_status::timeout);
    stop.request_stop();
    CHECK_FALSE(call.get());
    drive.set_value();  // the thread that was left behind ends by itself
    CHECK(done->get_future().get() == 7);
    CHECK(call_patiently([] { return 8; }, {std::stop_source().get_token()}) == 8);
    CHECK(call_patiently([] { return 9; }, {}) == 9);
    std::promise<void> never;
    auto silence = std::make_shared<std::shared_future<void>>(never.get_future().share());
    const auto wait = [silence] { return silence->wait(), 10; };
    CHECK_FALSE(call_patiently(wait, {{}, std::chrono::milliseconds(20)}));
    never.set_value();
    CHECK(call_patiently(wait, {{}, std::chrono::seconds(60)}) == 10);
}

TEST_CASE("a service whose drive does not answer can be cancelled and closed") {
    for (const bool opening : {true, false}) {
        INFO(opening);
        const auto file = small_file("mp4");
        (opening ? file->opening_stalls : file->stalls) = true;
        {
            FrameService service("memory.clip", {}, options_of(file));
            when(service, [&](const ServiceState&) { return file->waiting > 0; });
            service.cancel_scan();
            const auto state = when(service, [](const ServiceState& s) { return s.phase == Phase::failed; });
            CHECK(state.error->category == Category::cancelled);
        }
        FrameService service("memory.clip", {}, options_of(file));
        when(service, [&](const ServiceState&) { return file->waiting > 0; });
        // Its destructor joins the worker: a hang here is ended by the test program's own time limit.
    }
}

TEST_CASE("a service whose drive falls silent between the scan and the reading can be closed") {
    const auto file = small_file("mp4");
    ServiceOptions options = options_of(file);
    auto table = scan_clip("memory.clip", options.scan);
    REQUIRE(table.ok());
    options.table = std::make_shared<const FrameTable>(std::move(*table));
    file->opening_stalls = true;
    FrameService service("memory.clip", {}, options);
    when(service, [&](const ServiceState&) { return file->waiting > 0; });
    CHECK(service.poll().phase != Phase::ready);
}

TEST_CASE("opening a file that was stopped beforehand reads nothing") {
    std::stop_source stop;
    stop.request_stop();
    const auto bytes = open_file_bytes(small_clip("mp4"), stop.get_token());
    REQUIRE_FALSE(bytes.ok());
    CHECK(bytes.error().category == Category::cancelled);
    ScanOptions options;
    options.stop = stop.get_token();
    const plumbmark::test::TemporaryFolder folder;
    CHECK_FALSE(table_key(small_clip("mp4"), options, folder.path()));
}

TEST_CASE("what stands under a name is told without opening it") {
    using std::filesystem::file_type;
    const Patience patience{{}, std::chrono::seconds(60)};
    CHECK(type_of_file(small_clip("mp4"), patience) == file_type::regular);
    CHECK(type_of_file(scratch(), patience) == file_type::directory);
    CHECK(type_of_file(scratch() / "no-such-file", patience) == file_type::not_found);
    CHECK(type_of_file("/dev/null", patience) == file_type::character);
}
