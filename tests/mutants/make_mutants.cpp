// make-mutants FOLDER SOURCE...: writes a copy of each source into FOLDER in which every condition can be
// switched (of a header into FOLDER/ruling/internal, where it is found before the one that it is of), and
// FOLDER/mutants.txt, a line for each: number, file, line, what is switched, and the condition, with tabs
// between.
#include <cstdio>
#include <exception>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include "mutants/find.h"

namespace fs = std::filesystem;
using namespace plumbmark::mutants;

namespace {

std::string text_of(const fs::path& path) {
    std::ifstream stream(path, std::ios::binary);
    if (!stream) throw std::runtime_error(path.string() + ": cannot be read");
    return {std::istreambuf_iterator<char>(stream), {}};
}

// A file that stays the same is not written again, so that it is not compiled again.
void write(const fs::path& path, const std::string& text) {
    if (fs::exists(path) && text_of(path) == text) return;
    std::ofstream stream(path, std::ios::binary);
    stream << text;
    if (!stream.flush()) throw std::runtime_error(path.string() + ": cannot be written");
}

int make(const fs::path& folder, int count, char** sources) {
    fs::create_directories(folder / "ruling/internal");
    std::string list;
    int next = 1;
    for (int i = 0; i < count; ++i) {
        const fs::path path = sources[i];
        const Mutated made = mutate(text_of(path), next);
        next += static_cast<int>(made.mutants.size());
        const bool header = path.extension() == ".h";
        write((header ? folder / "ruling/internal" : folder) / path.filename(), made.source);
        for (const Mutant& mutant : made.mutants)
            list += std::to_string(mutant.number) + "\t" + path.filename().string() + "\t" +
                    std::to_string(mutant.line) + "\t" + mutant.what + "\t" + mutant.text + "\n";
    }
    write(folder / "mutants.txt", list);
    std::printf("%d mutants of %d sources\n", next - 1, count);
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc < 3) {
        std::fprintf(stderr, "usage: make-mutants FOLDER SOURCE...\n");
        return 2;
    }
    try {
        return make(argv[1], argc - 2, argv + 2);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "make-mutants: %s\n", error.what());
        return 1;
    }
}
