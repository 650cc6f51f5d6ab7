#include "store/internal/manifest.h"

#include <fmt/format.h>

#include "store/internal/read_word.h"
#include "store/meet_file.h"

namespace plumbmark::store {
namespace {

constexpr const char* kFormat = "plumbmark-package/1";

std::string read_hex(const Members& members, const std::string& name, std::size_t digits) {
    std::string text = members.text(name);
    if (text.size() != digits || text.find_first_not_of("0123456789abcdef") != std::string::npos)
        fail_at(members.path_of(name),
                fmt::format("{} lower-case hexadecimal digits are expected here", digits));
    return text;
}

ManifestLine read_line(const Json& value, const std::string& path) {
    const Members members(value, path, {"path", "size", "sha256"});
    ManifestLine line{members.text("path"), static_cast<std::uint64_t>(members.whole_number("size")),
                      read_hex(members, "sha256", 64)};
    if (!good_package_path(line.path) || line.path == kManifestPath || line.path == kSignaturePath)
        fail_at(members.path_of("path"), "no file of a package is named so");
    if (line.size > kLargestPackageFile) fail_at(members.path_of("size"), "no file of a package is so large");
    return line;
}

Manifest read(const Json& json) {
    const Members members(
        json, "",
        {"format", "meet", "row", "row_sha256", "public_key", "holder", "capacity", "made_at_ms", "files"});
    if (members.text("format") != kFormat)
        fail_at("format", std::string("'") + kFormat + "' is expected here; was it made by a newer version?");
    Manifest manifest;
    PackageFacts& facts = manifest.facts;
    facts.meet = read_hex(members, "meet", 32);
    facts.row = members.whole_number("row");
    facts.row_sha256 = read_hex(members, "row_sha256", 64);
    facts.public_key = read_hex(members, "public_key", 64);
    facts.holder = members.text("holder");
    facts.capacity = read_word(members, "capacity", meet::kCapacityWords);
    facts.made_at = {members.whole_number("made_at_ms")};
    const Json& files = members.list("files");
    if (files.size() > kMostPackageFiles) fail_at("files", "a package has fewer files");
    std::uint64_t all = 0;
    for (std::size_t i = 0; i < files.size(); ++i) {
        manifest.files.push_back(read_line(files[i], item_path("files", i)));
        all += manifest.files.back().size;
        if (i > 0 && manifest.files[i - 1].path >= manifest.files[i].path)
            fail_at(item_path("files", i), "the files are not in order, each once");
    }
    if (all > kLargestPackage) fail_at("files", "no package is so large");
    return manifest;
}

}  // namespace

std::string manifest_text(const PackageFacts& facts, const std::vector<PackageFile>& files) {
    Json lines = Json::array();
    for (const PackageFile& file : files)
        lines.push_back(
            {{"path", file.path}, {"size", file.bytes.size()}, {"sha256", sha256_hex(file.bytes)}});
    return canonical_text(Json{{"format", kFormat},
                               {"meet", facts.meet},
                               {"row", facts.row},
                               {"row_sha256", facts.row_sha256},
                               {"public_key", facts.public_key},
                               {"holder", facts.holder},
                               {"capacity", word_for(meet::kCapacityWords, facts.capacity)},
                               {"made_at_ms", facts.made_at.ms},
                               {"files", lines}});
}

base::Result<Manifest> read_manifest(const std::string& text) {
    const base::Result<Json> json = parse_json(text);
    try {
        if (!json) throw ReadProblem{json.error()};
        if (canonical_text(*json) != text) fail_at("", "it is not in canonical form");
        return read(*json);
    } catch (const ReadProblem& problem) {
        return base::Error{base::Category::damaged, problem.error.text(), kManifestPath};
    }
}

}  // namespace plumbmark::store
