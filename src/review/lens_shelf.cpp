#include "review/lens_shelf.h"

#include <algorithm>
#include <fstream>
#include <iterator>

#include "base/worded.h"
#include "review/own_folders.h"
#include "store/lens_shelf.h"

namespace plumbmark::review {
namespace {

namespace fs = std::filesystem;
using base::Error;
using base::Result;

}  // namespace

fs::path lens_shelf_file() {
    return config_folder() / "lenses.json";
}

Result<std::vector<meet::CameraLens>> kept_lenses(const fs::path& file) {
    std::error_code problem;
    if (!fs::exists(file, problem)) return std::vector<meet::CameraLens>();
    std::ifstream in(file, std::ios::binary);
    if (!in)
        return Error{base::Category::io,
                     base::worded("The file cannot be read; see that it is there and may be read."),
                     file.string()};
    auto lenses = store::read_lenses(std::string(std::istreambuf_iterator<char>(in), {}));
    if (lenses) return lenses;
    Error error = lenses.error();
    error.where = error.where.empty() ? base::Sentence(file.string())
                                      : base::worded("{}, {}", file.string(), error.where);
    return error;
}

Result<void> keep_lens(const fs::path& file, const meet::CameraLens& lens) {
    auto lenses = kept_lenses(file);
    if (!lenses) return lenses.error();
    std::erase_if(*lenses, [&](const meet::CameraLens& one) {
        return one.camera == lens.camera && one.width == lens.width && one.height == lens.height;
    });
    lenses->push_back(lens);
    lenses->back().id = {};
    return keep_file(file, store::write_lenses(*lenses));
}

std::vector<meet::CameraLens> lenses_to_take(const meet::State& state,
                                             const std::vector<meet::CameraLens>& kept) {
    std::vector<meet::CameraLens> out;
    for (const auto& [id, lens] : state.lenses())
        out.push_back(lens);
    for (const meet::CameraLens& one : kept) {
        const bool have = std::any_of(out.begin(), out.end(), [&](meet::CameraLens other) {
            other.id = one.id;
            return other == one;
        });
        if (!have) out.push_back(one);
    }
    return out;
}

}  // namespace plumbmark::review
