#include "review/rig_text.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <cstdlib>

#include "base/text.h"
#include "base/worded.h"

namespace plumbmark::review {
namespace {

constexpr double kMillimetresOfMetre = 1000;

std::vector<std::string> parts_of(const std::string& text, char between) {
    std::vector<std::string> parts(1);
    for (const char c : text) {
        if (c == between)
            parts.emplace_back();
        else
            parts.back() += c;
    }
    for (std::string& part : parts)
        part = std::string(base::trimmed(part));
    return parts;
}

}  // namespace

base::Result<meet::RigItem> read_rig_item(const std::string& text) {
    const std::vector<std::string> parts = parts_of(text, ';');
    const base::Error none{
        base::Category::bad_input,
        base::worded("'{}' is no item of a rig; write what it is, where it hangs and how high in metres, as "
                     "'hawser;hook 3;2.25' (the last two may be left out)",
                     text),
        ""};
    constexpr std::size_t kParts = 3;
    if (parts.size() > kParts || parts[0].empty()) return none;
    meet::RigItem item;
    item.what = parts[0];
    if (parts.size() > 1) item.where = parts[1];
    if (parts.size() < kParts || parts[2].empty()) return item;
    double height = 0;
    const auto [end, problem] = std::from_chars(parts[2].data(), parts[2].data() + parts[2].size(), height);
    const bool reads = problem == std::errc{} && end == parts[2].data() + parts[2].size();
    if (!reads || !(height >= 0 && height * kMillimetresOfMetre <= meet::kHighestItem)) return none;
    item.height_mm = static_cast<std::int32_t>(std::lround(height * kMillimetresOfMetre));
    return item;
}

base::Result<std::vector<meet::RigItem>> read_rig_items(const std::string& text) {
    std::vector<meet::RigItem> items;
    if (base::trimmed(text).empty()) return items;
    for (const std::string& part : parts_of(text, '|')) {
        auto item = read_rig_item(part);
        if (!item) return item.error();
        items.push_back(std::move(*item));
    }
    return items;
}

std::string rig_items_text(const std::vector<meet::RigItem>& items) {
    std::string text;
    for (const meet::RigItem& item : items) {
        text += (text.empty() ? "" : " | ") + item.what;
        if (!item.where.empty() || item.height_mm) text += ";" + item.where;
        if (item.height_mm) text += fmt::format(";{:g}", *item.height_mm / kMillimetresOfMetre);
    }
    return text;
}

std::vector<std::filesystem::path> read_photo_files(const std::string& text,
                                                    const std::filesystem::path& folder) {
    std::vector<std::filesystem::path> files;
    for (const std::string& part : parts_of(text, '|'))
        if (!part.empty()) files.push_back(folder / part);
    return files;
}

std::string photo_files_text(const std::vector<std::filesystem::path>& files) {
    std::string text;
    for (const std::filesystem::path& file : files)
        text += (text.empty() ? "" : " | ") + file.string();
    return text;
}

}  // namespace plumbmark::review
