// The figures of docs/figures.md, each measured for us and every contestant that is there, in turns within
// one run.
#pragma once

#include <cstdint>
#include <vector>

#include "contestant.h"
#include "report.h"

namespace plumbmark::bench {

/// How much is measured; fewer makes a quick look, more a steadier figure.
struct Effort {
    int rounds = 5;          ///< turns of linear reads, scans and openings
    std::size_t seeks = 40;  ///< random seeks
    std::size_t exact = 60;  ///< frames looked at backward and at random
    int walks = 3;           ///< walks of steps, each across another group border
    int peer_steps = 12;     ///< steps of a peer in each walk
};

/// Contestants with the settings that suit them best on this clip, and those that are absent.
struct Field {
    std::vector<Entry> entries;    ///< peers that are there
    std::vector<Entrant> missing;  ///< peers that are not
};
/// What the chosen figures need.
struct Needs {
    bool libraries = true;  ///< else only the bare libav way enters
    bool seeking = true, reading = true;
};
/// Peers that are not installed, or that cannot open the clip, are 'missing' and say why.
[[nodiscard]] Field assemble(const Clip& clip, const Needs& needs);

[[nodiscard]] std::vector<Figure> measure_exact(const Clip& clip, const Field& field, const Effort& effort);

struct Steps {
    std::string name, title;
    int direction = -1;  ///< -1 back, 1 forward
    int per_second = 10;
    double seconds = 6;    ///< length of one walk of ours
    double leave_out = 0;  ///< seconds at the begin that do not count
    double bound = 0;      ///< the goal for the 95th percentile, ms
    bool across_border =
        true;             ///< ours starts near a group border, as peers always do; else at an end of the clip
    bool memory = false;  ///< a second figure: memory at its peak
};
[[nodiscard]] std::vector<Figure> measure_steps(const Clip& clip, const Field& field, const Effort& effort,
                                                const Steps& steps);

[[nodiscard]] Figure measure_random_seek(const Clip& clip, const Field& field, const Effort& effort);
[[nodiscard]] Figure measure_linear(const Clip& clip, const Field& field, const Effort& effort);
[[nodiscard]] Figure measure_scan(const Clip& clip, const Effort& effort);
[[nodiscard]] Figure measure_second_opening(const Clip& clip, const Effort& effort);
[[nodiscard]] Figure measure_first_picture(const Clip& clip, const Field& field, const Effort& effort);

/// Rows for the peers that are missing, which say why.
void add_missing(Figure& figure, const Field& field);
/// 0, 1, ... count - 1 beginning at 'first': who begins changes from turn to turn.
[[nodiscard]] std::vector<std::size_t> turn(std::size_t count, std::size_t first);

}  // namespace plumbmark::bench
