// Tables as comma-separated values (RFC 4180): start lists come in and results go out by them.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/table.h"

namespace plumbmark::store {

/// Reads a table whose first row is its header. The separator is the comma, the semicolon or the tab,
/// whichever stands in the header most often outside quotes. A byte order mark is passed over; lines may end
/// as on any system; lines without any field are passed over. Any bytes are allowed. Errors, each with the
/// line: bad_input where the text is not UTF-8, holds U+0000, a quote is not closed or stands where none may,
/// a row has more fields than the header, or a limit is passed (16 MiB, 100,000 rows, 200 columns, 10,000
/// bytes a field); bad_input for a text without a header. Rows with fewer fields are filled up with empty
/// ones.
[[nodiscard]] base::Result<base::Table> read_csv(std::string_view bytes);

/// Writes a table with commas, a header, and lines that end in CR LF. A field that a spreadsheet would run as
/// a formula (one that begins with = + - @ or a tab or carriage return, and is no plain number) gets an
/// apostrophe before it.
[[nodiscard]] std::string write_csv(const base::Table& table);

}  // namespace plumbmark::store
