#include "review/read_file.h"

#include <fstream>

#include "base/worded.h"

namespace plumbmark::review {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
namespace fs = std::filesystem;

Result<std::string> read_file(const fs::path& path, std::size_t most) {
    std::error_code problem;
    const fs::file_status status = fs::status(path, problem);
    if (status.type() == fs::file_type::not_found)
        return Error{Category::not_found, worded("There is no such file."), path.string()};
    if (fs::is_directory(status))
        return Error{Category::bad_input, worded("This is a folder; name a file in it."), path.string()};
    std::ifstream file(path, std::ios::binary);
    if (!file)
        return Error{Category::io, worded("The file cannot be read; check who may read it."), path.string()};
    std::string bytes;
    char block[65536];
    while (file.read(block, sizeof block) || file.gcount() > 0) {
        bytes.append(block, static_cast<std::size_t>(file.gcount()));
        if (bytes.size() > most)
            return Error{
                Category::bad_input,
                worded("The file is over {} MiB, far too large for what it should hold.", most >> 20U),
                path.string()};
    }
    if (file.bad()) return Error{Category::io, worded("Reading the file failed half way."), path.string()};
    return bytes;
}

}  // namespace plumbmark::review
