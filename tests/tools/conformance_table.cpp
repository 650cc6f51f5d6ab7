// Writes docs/conformance.md: every clip of the made matrix and every shared clip, each held against the
// ffmpeg and ffprobe programs.
//
//     build/conformance-table MATRIX [SHARED] >docs/conformance.md
//
// MATRIX is a folder that tests/tools/make-conformance has filled; SHARED the folder 'clips/decode' of the
// shared clips. Ends with 1 when a clip differs.
#include <algorithm>
#include <cstdio>
#include <exception>
#include <string>

#include "media/conformance.h"
#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;

namespace {

namespace fs = std::filesystem;

const char* const kHead = R"(# Conformance

What each clip below was held against: number, order and pictures of the frames against
`ffmpeg -noautorotate -i CLIP -map 0:v:0 -fps_mode passthrough -f framemd5 -`, their times against `ffprobe -show_frames`,
all to the bit and the tick, reading forward, backward, and at random with nothing kept. 'table from' says what the frame
table rests on: the packets alone, or decoding every one (the rule stands in `src/media/frame_table.h`).

This page is written by a program of the project, never by hand:

    tests/tools/make-conformance build/conformance
    build/conformance-table build/conformance ../shared/clips/decode >docs/conformance.md

Pictures whose packets ffprobe flags as discarded (an edit list cuts them away) do not count: some of libav's decoders give
them out (dav1d's for AV1, MJPEG), others do not (libaom's, H.264).

The same clips are checked by the tests (`ctest -R "^media:"`). A clip that was damaged or has a strange structure is
exact when it shows what the ffmpeg program makes of it.
)";

const char* const kMatrix = R"(
## The made matrix

Small clips made by the ffmpeg program, which cover the valid pairs of container, codec, grouping (each picture alone;
closed groups; reordered, with B-frames or hidden pictures; open groups), lines (progressive; interlaced; fields, each coded
as a picture of its own), timing (steady; variable; late start; cut by an edit list), bits a sample, and rotation. Field
pairs of H.264 and MPEG-2 (PAFF) are not among them: no encoder at hand makes them.
)";

struct Row {
    std::string basis = "-", frames = "-", result;
    bool exact = false;
};

Row row_of(const fs::path& clip) {
    Row row;
    try {
        const Compared compared = compare_with_programs(clip, how_to_compare(clip));
        row.exact = compared.table && compared.differences.empty();
        row.result = row.exact ? "exact" : "**" + compared.differences.front() + "**";
        if (compared.table) {
            row.frames = std::to_string(compared.table->size());
            row.basis = compared.table->info().basis == TableBasis::packets ? "packets" : "decoding";
        }
    } catch (const std::exception& problem) {
        row.result = "**" + std::string(problem.what()) + "**";
    }
    return row;
}

int write_matrix(const fs::path& folder) {
    std::printf("%s\n| clip | frames | table from | result |\n|---|---|---|---|\n", kMatrix);
    int differing = 0;
    auto lines = lines_of(read_file(folder / "list.txt"));
    std::sort(lines.begin(), lines.end());
    for (const std::string& line : lines) {
        const std::string name = line.substr(0, line.find(' '));
        const Row row = row_of(folder / name);
        std::printf("| %s | %s | %s | %s |\n", name.c_str(), row.frames.c_str(), row.basis.c_str(),
                    row.result.c_str());
        differing += row.exact ? 0 : 1;
    }
    return differing;
}

int write_shared(const fs::path& folder) {
    std::printf("\n## Published clips\n\n");
    std::printf("| clip | codec | container | frames | table from | result |\n|---|---|---|---|---|---|\n");
    int differing = 0;
    std::vector<fs::path> folders;
    for (const auto& entry : fs::directory_iterator(folder)) {
        if (entry.is_directory()) folders.push_back(entry.path());
    }
    std::sort(folders.begin(), folders.end());
    for (const fs::path& one : folders) {
        for (const fs::path& clip : clips_in(one)) {
            const Row row = row_of(clip);
            const auto table = scan_clip(clip);
            std::printf(
                "| %s/%s | %s | %s | %s | %s | %s |\n", one.filename().c_str(), clip.filename().c_str(),
                table ? table->info().codec.c_str() : "-",
                table ? table->info().container.substr(0, table->info().container.find(',')).c_str() : "-",
                row.frames.c_str(), row.basis.c_str(), row.result.c_str());
            differing += row.exact ? 0 : 1;
        }
    }
    return differing;
}

}  // namespace

int main(int count, char** words) {
    if (count < 2 || count > 3 || !fs::exists(fs::path(words[1]) / "list.txt")) {
        std::fprintf(stderr, "usage: conformance-table MATRIX [SHARED]   (MATRIX: see make-conformance)\n");
        return 2;
    }
    const std::string version = lines_of(output_of("ffmpeg -version")).front();
    std::printf("%s\nWritten with %s.\n", kHead, version.substr(0, version.find(" Copyright")).c_str());
    int differing = write_matrix(words[1]);
    if (count > 2) differing += write_shared(words[2]);
    std::printf("\n%d clips differ.\n", differing);
    return differing == 0 ? 0 : 1;
}
