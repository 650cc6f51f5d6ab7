// Start lists: any bytes as a CSV, any columns; what is good can be entered, what is written reads back the
// same.
#include <cstdint>
#include <cstdlib>
#include <string>

#include "base/check.h"
#include "meet/start_list.h"
#include "store/csv.h"

using namespace plumbmark;

namespace {

const meet::State& meet_with_division() {
    static const meet::State kState = [] {
        meet::State state;
        const meet::Division division{{1}, "u14", "Under 14", 2012, 2013, "girls", ""};
        const meet::Round round{{1}, "Final", meet::RoundKind::final, 1};
        const meet::Athlete athlete{{1}, "17", "Ann", "", "u14"};
        PLUMBMARK_CHECK(
            state.apply({"", {{std::nullopt, division}, {std::nullopt, round}, {std::nullopt, athlete}}, 0})
                .ok());
        return state;
    }();
    return kState;
}

void reads_back(const base::Table& table) {
    const auto again = store::read_csv(store::write_csv(table));
    // A formula's apostrophe may make a field too long; else all reads back, and the second time the same.
    if (!again) return;
    PLUMBMARK_CHECK(again->header.size() == table.header.size() && again->rows.size() == table.rows.size());
    const auto twice = store::read_csv(store::write_csv(*again));
    PLUMBMARK_CHECK(twice.ok() && twice->rows.size() == again->rows.size() && twice->header == again->header);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto table = store::read_csv({reinterpret_cast<const char*>(data), size});
    if (!table) {
        PLUMBMARK_CHECK(!table.error().sentence.empty());
        return 0;
    }
    for (const base::TableRow& row : table->rows)
        PLUMBMARK_CHECK(row.fields.size() == table->header.size() && row.line > 0);
    reads_back(*table);
    const meet::StartList list = meet::read_start_list(*table, meet::guessed_columns(table->header),
                                                       meet_with_division(), meet::RoundId{1});
    if (!list.good()) return 0;
    meet::State state = meet_with_division();
    PLUMBMARK_CHECK(state.apply(meet::entering(list, state, {1})).ok());
    return 0;
}
