// A table of texts with a header, as it was read from a file or is to be written to one.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace plumbmark::base {

struct TableRow {
    std::int64_t line = 0;            ///< of the file it was read from, from 1; 0: from none
    std::vector<std::string> fields;  ///< as many as the header has
    friend bool operator==(const TableRow&, const TableRow&) = default;
};

struct Table {
    std::vector<std::string> header;
    std::vector<TableRow> rows;
    friend bool operator==(const Table&, const Table&) = default;
};

}  // namespace plumbmark::base
