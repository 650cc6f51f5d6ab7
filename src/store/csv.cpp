#include "store/csv.h"

#include <csv.h>

#include <algorithm>
#include <array>

#include "base/check.h"
#include "base/text.h"
#include "base/worded.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::Sentence;
using base::Table;
using base::worded;
using base::worded_n;

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
constexpr std::size_t kMostBytes = 16U << 20U;
constexpr std::size_t kMostRows = 100'000;
constexpr std::size_t kMostColumns = 200;
constexpr std::size_t kMostFieldBytes = 10'000;

Error refused(std::int64_t line, const Sentence& sentence) {
    return {Category::bad_input, sentence, worded("line {}", line)};
}

/// The first line, with its end, off the text, which is not empty.
std::string_view take_line(std::string_view& text) {
    const std::size_t end = text.find('\n');
    const std::string_view line = text.substr(0, end == text.npos ? end : end + 1);
    text.remove_prefix(line.size());
    return line;
}

/// libcsv's parser, which knows no lines: it is fed one at a time.
class Parser {
  public:
    explicit Parser(char separator) {
        constexpr unsigned char kOptions = CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL;
        PLUMBMARK_CHECK(csv_init(&parser_, kOptions) == 0);
        csv_set_delim(&parser_, static_cast<unsigned char>(separator));
        // A blank belongs to its field.
        csv_set_space_func(&parser_, [](unsigned char) { return 0; });
    }
    Parser(const Parser&) = delete;
    Parser& operator=(const Parser&) = delete;
    ~Parser() { csv_free(&parser_); }

    Result<Table> read(std::string_view text) {
        while (!text.empty() && !problem_) {
            const std::string_view one = take_line(text);
            ++line_;
            if (csv_parse(&parser_, one.data(), one.size(), on_field, on_row, this) != one.size() &&
                !problem_)
                return refused(line_, what_is_wrong());
        }
        if (!problem_ && csv_fini(&parser_, on_field, on_row, this) != 0)
            return refused(first_line_, worded("a quote is opened here and not closed"));
        if (problem_) return *problem_;
        if (table_.header.empty())
            return Error{Category::bad_input, worded("The list is empty: it has no header."), ""};
        return std::move(table_);
    }

  private:
    static void on_field(void* bytes, std::size_t count, void* self) {
        static_cast<Parser*>(self)->take_field({static_cast<const char*>(bytes), count});
    }
    static void on_row(int, void* self) { static_cast<Parser*>(self)->take_row(); }

    void take_field(std::string_view field) {
        if (fields_.empty()) first_line_ = line_;
        if (field.size() > kMostFieldBytes) stop(worded("a field is longer than 10,000 bytes"));
        if (fields_.size() == kMostColumns) stop(worded("it has more than 200 columns"));
        if (!problem_) fields_.emplace_back(field);
    }
    void take_row() {
        std::vector<std::string> fields = std::move(fields_);
        fields_.clear();
        if (problem_) return;
        if (table_.header.empty()) {
            table_.header = std::move(fields);
            return;
        }
        if (table_.rows.size() == kMostRows) return stop(worded("it has more than 100,000 rows"));
        if (fields.size() > table_.header.size())
            return stop(worded_n("the row has {} field, the header {}",
                                 "the row has {} fields, the header {}", std::ssize(fields),
                                 table_.header.size()));
        fields.resize(table_.header.size());
        table_.rows.push_back({first_line_, std::move(fields)});
    }
    void stop(const Sentence& sentence) {
        if (!problem_) problem_ = refused(first_line_, sentence);
    }
    Sentence what_is_wrong() {
        return csv_error(&parser_) == CSV_EPARSE
                   ? worded(
                         "a quote stands where none may: inside a field it is written twice, "
                         "and the field in quotes")
                   : csv_strerror(csv_error(&parser_));
    }

    csv_parser parser_{};
    std::int64_t line_ = 0;
    std::int64_t first_line_ = 1;  ///< on which the row under way begins
    std::vector<std::string> fields_;
    Table table_;
    std::optional<Error> problem_;
};

/// The one that stands in the first line most often outside quotes; the comma where there is none.
char separator_of(std::string_view text) {
    std::array<std::pair<char, int>, 3> counts{{{',', 0}, {';', 0}, {'\t', 0}}};
    bool quoted = false;
    for (const char c : text.substr(0, text.find_first_of("\r\n"))) {
        if (c == '"') quoted = !quoted;
        for (auto& [separator, count] : counts)
            count += !quoted && c == separator ? 1 : 0;
    }
    return std::max_element(counts.begin(), counts.end(),
                            [](const auto& a, const auto& b) { return a.second < b.second; })
        ->first;
}

/// The line of the first byte that is wrong.
std::optional<Error> wrong_bytes(std::string_view text) {
    for (std::int64_t line = 1; !text.empty(); ++line) {
        const std::string_view one = take_line(text);
        if (!base::is_utf8(one))
            return refused(line, worded("it is not UTF-8 text. Save the list as 'CSV UTF-8'."));
        if (one.find('\0') != one.npos) return refused(line, worded("it holds the character U+0000"));
    }
    return std::nullopt;
}

bool is_number(std::string_view text) {
    if (text.starts_with('-') || text.starts_with('+')) text.remove_prefix(1);
    return !text.empty() && text.find_first_not_of("0123456789.,") == text.npos;
}

std::string written(const std::string& field) {
    constexpr std::string_view kRun = "=+-@\t\r";
    const bool runs = !field.empty() && kRun.find(field.front()) != kRun.npos && !is_number(field);
    const std::string text = runs ? "'" + field : field;
    // At the beginning of a file the mark would be passed over.
    const bool marked = text.starts_with(kByteOrderMark);
    if (!marked && text.find_first_of(",;\t\"\r\n") == text.npos) return text;
    std::string quoted = "\"";
    for (const char c : text)
        quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
    return quoted + '"';
}

}  // namespace

Result<Table> read_csv(std::string_view bytes) {
    if (bytes.size() > kMostBytes)
        return Error{Category::bad_input, worded("The list is larger than 16 MiB."), ""};
    if (bytes.starts_with(kByteOrderMark)) bytes.remove_prefix(kByteOrderMark.size());
    if (const std::optional<Error> wrong = wrong_bytes(bytes)) return *wrong;
    return Parser(separator_of(bytes)).read(bytes);
}

std::string write_csv(const Table& table) {
    std::string text;
    const auto write_row = [&](const std::vector<std::string>& fields) {
        // An empty line would be none.
        if (fields.size() == 1 && fields.front().empty()) text += "\"\"";
        for (std::size_t i = 0; i < fields.size(); ++i)
            text += (i > 0 ? "," : "") + written(fields[i]);
        text += "\r\n";
    };
    write_row(table.header);
    for (const base::TableRow& row : table.rows)
        write_row(row.fields);
    return text;
}

}  // namespace plumbmark::store
