#include "desk/damage.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

bool has_frames(const media::BadStretch& bad) {
    return bad.first <= bad.last;
}

std::int64_t end_of(const media::FrameTable& table, std::int64_t frame) {
    if (frame + 1 < table.size()) return table.time(frame + 1).ns;
    const media::FrameEntry& last = table[table.size() - 1];
    return base::floor_to_time(last.pts + last.duration, table.time_base()).ns;
}

/// Why there are no pictures after the last one is told by what is known of the whole file.
std::string what_of(const media::FrameTable& table, const media::BadStretch& bad) {
    for (const media::FileDamage& damage : table.info().damage)
        if (const base::Sentence why = damage.missing_end(); why.english() == bad.what) return why.spoken();
    return tr(bad.what);
}

std::string words_of(const media::FrameTable& table, const media::BadStretch& bad) {
    if (!has_frames(bad))
        return bad.first >= table.size()
                   ? tr("after the last frame: {}", what_of(table, bad))
                   : tr("before f {} pictures are missing: {}", bad.first, what_of(table, bad));
    std::string words = bad.first == bad.last
                            ? tr("f {}: {}", bad.first, what_of(table, bad))
                            : tr("f {} to {}, each: {}", bad.first, bad.last, what_of(table, bad));
    if (bad.lean_until > bad.last) words += tr("; up to f {} remains of it may show", bad.lean_until);
    return words;
}

}  // namespace

std::vector<DamagedStretch> damaged_stretches(const media::FrameTable& table) {
    std::vector<DamagedStretch> list;
    if (table.size() == 0) return list;
    for (const media::BadStretch& bad : table.bad_stretches()) {
        DamagedStretch stretch;
        stretch.from = bad.from.ns;
        stretch.until = std::max(bad.from.ns, bad.until.ns);
        stretch.lean_until = stretch.until;
        if (bad.lean_until > bad.last && bad.lean_until < table.size())
            stretch.lean_until = std::max(stretch.until, end_of(table, bad.lean_until));
        stretch.frame = std::clamp<std::int64_t>(bad.first, 0, table.size() - 1);
        stretch.words = words_of(table, bad);
        list.push_back(std::move(stretch));
    }
    return list;
}

std::string damage_at(const media::FrameTable& table, std::int64_t frame) {
    std::string lesser;
    for (const media::BadStretch& bad : table.bad_stretches()) {
        if (bad.first > frame + 1) break;
        if (has_frames(bad) && bad.first <= frame && frame <= bad.last)
            return tr("damaged: {}", what_of(table, bad));
        if (!has_frames(bad) && bad.first == frame)
            lesser = tr("pictures are missing before this one: {}", what_of(table, bad));
        else if (!has_frames(bad) && bad.first == frame + 1)
            lesser = bad.first >= table.size()
                         ? tr("the last frame there is: {}", what_of(table, bad))
                         : tr("pictures are missing after this one: {}", what_of(table, bad));
        else if (lesser.empty() && bad.first <= frame && frame <= bad.lean_until)
            lesser = has_frames(bad) ? tr("may show remains of the damage at f {}", bad.first)
                                     : tr("may show remains of the damage before f {}", bad.first);
    }
    return lesser;
}

bool is_damaged(const media::FrameTable& table, std::int64_t frame) {
    return std::any_of(table.bad_stretches().begin(), table.bad_stretches().end(), [&](const auto& bad) {
        return has_frames(bad) && bad.first <= frame && frame <= bad.last;
    });
}

std::string damage_summary(const media::FrameTable& table) {
    const auto places = static_cast<std::int64_t>(table.bad_stretches().size());
    if (places > 0) return tr_n("{} damaged place", "{} damaged places", places);
    return table.info().damage.empty() ? "" : tr("damaged file");
}

}  // namespace plumbmark::desk
