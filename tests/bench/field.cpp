#include "figures.h"

namespace plumbmark::bench {

Field assemble(const Clip& clip, const Needs& needs) {
    Field field;
    for (Entrant& peer : needs.libraries ? peers() : std::vector<Entrant>{bare_libav_entrant()}) {
        if (peer.absent.empty()) {
            auto entered = enter(peer, clip, needs.seeking, needs.reading);
            if (entered) {
                field.entries.push_back(std::move(*entered));
                continue;
            }
            peer.absent = entered.error().sentence;
        }
        field.missing.push_back(std::move(peer));
    }
    return field;
}

void add_missing(Figure& figure, const Field& field) {
    for (const Entrant& peer : field.missing)
        figure.rows.push_back({peer.name, "", false, {}, peer.absent});
}

std::vector<std::size_t> turn(std::size_t count, std::size_t first) {
    std::vector<std::size_t> order(count);
    for (std::size_t i = 0; i < count; ++i)
        order[i] = (first + i) % count;
    return order;
}

}  // namespace plumbmark::bench
