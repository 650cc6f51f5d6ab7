// make-sample-meet FOLDER: makes FOLDER/pier-nine.meet from the clips, the course book and the truth in that
// folder. All names are invented. The same input gives the same journal, since clock and salts are fixed
// here. With --open-appeal FOLDER the meet is as it was before anybody looked at the second camera: the run
// that the appeal about number 41 is about is marked on camera A alone; only its start is marked on both.
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <iterator>
#include <nlohmann/json.hpp>

#include "sample_competition.h"
#include "sample_reviewer.h"
#include "support/file_bytes.h"

namespace {

using plumbmark::base::Result;
using plumbmark::review::Session;
using plumbmark::test::bytes_of;
namespace meet = plumbmark::meet;

constexpr std::int64_t kMeetDay = 1'777'710'000'000'000'000;  // 2026-05-02 08:20 UTC

plumbmark::review::SessionOptions fixed_options() {
    plumbmark::review::SessionOptions options;
    options.clock = [seconds = std::int64_t{0}]() mutable { return kMeetDay + 1'000'000'000 * seconds++; };
    options.random = [state = std::uint64_t{9}](unsigned char* bytes, std::size_t count) mutable {
        for (std::size_t i = 0; i < count; ++i) {
            state = state * 6364136223846793005ULL + 1442695040888963407ULL;
            bytes[i] = static_cast<unsigned char>(state >> 56U);
        }
    };
    return options;
}

std::vector<plumbmark::sample::ReviewPlan> plans(bool open_appeal) {
    const auto athlete = [](const char* number, const char* name, const char* club) {
        return meet::Athlete{{}, number, name, club, "12 to 13"};
    };
    std::vector<plumbmark::sample::ReviewPlan> all{
        {"run-1", "run 1", {"run-1-a.mp4"}, {"run-1-a.mp4"}, athlete("17", "Dunlin", "North Quay"), ""},
        {"run-2", "run 2", {"run-2-a.mp4"}, {"run-2-a.mp4"}, athlete("23", "Łyska", "Slipway"), ""},
        {"run-3", "run 3", {"run-3-a.mp4"}, {"run-3-a.mp4"}, athlete("30", "Κορμοράνος", "North Quay"), ""},
        {"run-4",
         "run 4",
         {"run-4-a.mp4", "run-4-b.mp4"},
         {"run-4-a.mp4"},
         athlete("41", "かもめ", "Dry Dock"),
         "Were both feet on the gantry deck at once?"},
        {"run-4",
         "run 4, both cameras",
         {"run-4-a.mp4", "run-4-b.mp4"},
         {"run-4-a.mp4", "run-4-b.mp4"},
         athlete("41", "かもめ", "Dry Dock"),
         "Were both feet on the gantry deck at once?"},
    };
    if (open_appeal) {
        all.pop_back();
        all.back().tied = {"run-4-b.mp4"};
    }
    return all;
}

Result<void> call_floor(Session& session, const plumbmark::sample::ReviewPlan& plan) {
    if (plan.run == "run-1" || plan.run == "run-4") {
        Result<void> first =
            session.put_floor_call("bollard_hop", meet::Call::clear, false, "judge at the coil deck");
        if (!first) return first;
    }
    if (plan.run == "run-1") {
        Result<void> second =
            session.put_floor_call("hawser_swing", meet::Call::clear, false, "judge at the gantry");
        if (!second) return second;
        return session.put_floor_call("gantry_rungs", meet::Call::clear, false, "judge at the quay");
    }
    if (plan.run == "run-2")
        return session.put_floor_call("hawser_swing", meet::Call::fail, false, "judge at the coil deck");
    if (plan.run == "run-3")
        return session.put_floor_call("gantry_rungs", meet::Call::clear, true, "judge at the quay");
    return session.put_floor_call("hawser_swing", meet::Call::fail, true, "judge at the gantry");
}

Result<void> make(const std::filesystem::path& folder, bool open_appeal) {
    const std::filesystem::path path = folder / "pier-nine.meet";
    std::filesystem::remove(path);
    Result<std::unique_ptr<Session>> session =
        Session::create(path, {"Pier Nine Youth Open", "harbour hall", "2026-05-02"}, fixed_options());
    if (!session) return session.error();
    auto book = (*session)->add_book("pier-nine.course", bytes_of(folder / "pier-nine.course"));
    if (!book) return book.error();
    const nlohmann::json truth = nlohmann::json::parse(bytes_of(folder / "truth.json"));
    for (const auto& plan : plans(open_appeal)) {
        Result<void> reviewed = plumbmark::sample::review_run(**session, folder.string(), truth, plan);
        if (!reviewed) return reviewed;
        if (Result<void> called = call_floor(**session, plan); !called) return called;
    }
    constexpr std::int64_t day_ms = kMeetDay / 1'000'000;
    if (Result<void> held = plumbmark::sample::hold_competition(**session, day_ms); !held) return held;
    return (*session)->settle();
}

}  // namespace

int main(int argc, char** argv) {
    const bool open_appeal = argc == 3 && std::strcmp(argv[1], "--open-appeal") == 0;
    const char* folder = argc > 1 ? argv[argc - 1] : "-";
    if ((argc != 2 && !open_appeal) || *folder == '-') {
        std::fputs(
            "make-sample-meet FOLDER: makes FOLDER/pier-nine.meet from the clips, the course book and the "
            "truth there\n  --open-appeal FOLDER: the same, before anybody looked at the second camera of "
            "run 4\n",
            stderr);
        return argc == 2 ? 0 : 2;
    }
    const Result<void> made = make(folder, open_appeal);
    if (made) return 0;
    std::fprintf(stderr, "make-sample-meet: %s\n", made.error().text().c_str());
    return 1;
}
