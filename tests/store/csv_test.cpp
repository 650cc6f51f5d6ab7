// Comma-separated values: the rules of RFC 4180 with what programs write beside them, and lists made to break
// readers.
#include "store/csv.h"

#include <catch2/catch.hpp>
#include <random>

using namespace plumbmark;
using base::Table;
using store::read_csv;

namespace {

Table table(const std::string& text) {
    const auto read = read_csv(text);
    INFO((read.ok() ? "" : read.error().text()));
    REQUIRE(read.ok());
    return *read;
}

std::string refusal(const std::string& text) {
    const auto read = read_csv(text);
    REQUIRE_FALSE(read.ok());
    CHECK(read.error().category == base::Category::bad_input);
    return read.error().text();
}

using Fields = std::vector<std::string>;

}  // namespace

TEST_CASE("the examples of RFC 4180 are read as it says") {
    // Section 2, rules 1 to 7; its sample has no header, so here the first row is one.
    const Table plain = table("field_name,field_name,field_name\r\naaa,bbb,ccc\r\nzzz,yyy,xxx");
    CHECK(plain.header == Fields{"field_name", "field_name", "field_name"});
    REQUIRE(plain.rows.size() == 2);
    CHECK(plain.rows[0] == base::TableRow{2, {"aaa", "bbb", "ccc"}});
    CHECK(plain.rows[1] == base::TableRow{3, {"zzz", "yyy", "xxx"}});
    const Table quoted = table("h,i,j\r\n\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx\r\n");
    CHECK(quoted.rows[0] == base::TableRow{2, {"aaa", "b\r\nbb", "ccc"}});
    CHECK(quoted.rows[1].line == 4);
    CHECK(table("h,i,j\r\n\"aaa\",\"b\"\"bb\",\"ccc\"").rows[0].fields == Fields{"aaa", "b\"bb", "ccc"});
    CHECK(table("h,i\r\n a , b").rows[0].fields == Fields{" a ", " b"});  // blanks belong to the field
}

TEST_CASE("what programs write beside the rules is read as well") {
    CHECK(table("\xEF\xBB\xBFnumber;name\n17;Łukasz Ż.\n").rows[0].fields == Fields{"17", "Łukasz Ż."});
    CHECK(table("number\tname\n17\tさくら\n").header == Fields{"number", "name"});
    CHECK(table("number;\"a,b,c,d\"\n1;2\n").header == Fields{"number", "a,b,c,d"});
    CHECK(table("number\n\n\n4\n").rows == std::vector<base::TableRow>{{4, {"4"}}});
    CHECK(table("a,b,c\n1\n").rows[0].fields == Fields{"1", "", ""});
    CHECK(table("a,b\n,\n").rows[0].fields == Fields{"", ""});
}

TEST_CASE("a list that is wrong is refused with the line and what is wrong") {
    CHECK(refusal("") == "The list is empty: it has no header.");
    CHECK(refusal("\n\n") == "The list is empty: it has no header.");
    CHECK(refusal("a,b\n1,2\n1,2,3\n") == "line 3: the row has 3 fields, the header 2");
    CHECK(refusal("a,b\n1,\"2\n3,4\n") == "line 2: a quote is opened here and not closed");
    CHECK(refusal("a,b\n1,2\nx\"y,3\n").find("line 3: a quote stands where none may") == 0);
    CHECK(refusal("a,b\n1,\"2\"3\n").find("line 2: a quote stands where none may") == 0);
    CHECK(refusal("a\n\xC3\x28\n") == "line 2: it is not UTF-8 text. Save the list as 'CSV UTF-8'.");
    CHECK(refusal(std::string("a\nb\0c\n", 6)) == "line 2: it holds the character U+0000");
    CHECK(refusal("a\n" + std::string(10'001, 'x') + "\n") == "line 2: a field is longer than 10,000 bytes");
    CHECK(refusal("a\n" + std::string(300, ',') + "\n").find("line 2: it has more than 200 columns") == 0);
    std::string long_list = "a\n";
    for (int i = 0; i <= 100'000; ++i)
        long_list += "1\n";
    CHECK(refusal(long_list) == "line 100002: it has more than 100,000 rows");
    CHECK(refusal(std::string((16U << 20U) + 1, 'x')) == "The list is larger than 16 MiB.");
}

TEST_CASE("what is written reads back the same, whatever stands in the fields") {
    std::mt19937_64 random(3);
    const std::vector<std::string> pieces{"a", ",", ";",  "\t", "\"", "\r\n", "\n",
                                          " ", "é", "さ", "'",  "1",  ""};
    for (int round = 0; round < 500; ++round) {
        const auto field = [&] {
            std::string text;
            for (std::uint64_t i = random() % 6; i > 0; --i)
                text += pieces[random() % pieces.size()];
            return text;
        };
        Table written;
        for (std::uint64_t i = random() % 4 + 2; i > 0; --i)
            written.header.push_back("h" + field());
        for (std::uint64_t i = random() % 5; i > 0; --i) {
            written.rows.push_back({0, {}});
            for (std::size_t k = 0; k < written.header.size(); ++k)
                written.rows.back().fields.push_back("f" + field());
        }
        Table read = table(store::write_csv(written));
        for (base::TableRow& row : read.rows)
            row.line = 0;
        CHECK(read == written);
    }
}

TEST_CASE("a field that a spreadsheet would run is written as a text") {
    const Table evil{{"name", "time"},
                     {{0, {"=HYPERLINK(\"x\")", "-1.5"}}, {0, {"@SUM(1)", "+3"}}, {0, {"-x", "a=b"}}}};
    CHECK(store::write_csv(evil) ==
          "name,time\r\n\"'=HYPERLINK(\"\"x\"\")\",-1.5\r\n'@SUM(1),+3\r\n'-x,a=b\r\n");
}

TEST_CASE("what would be lost at an end of a line or of the file is quoted") {
    const Table one{{""}, {{0, {""}}, {0, {"x"}}}};
    CHECK(store::write_csv(one) == "\"\"\r\n\"\"\r\nx\r\n");
    CHECK(table(store::write_csv(one)).rows.size() == 2);
    const Table marked{{"\xEF\xBB\xBFnumber"}, {}};
    CHECK(table(store::write_csv(marked)).header == marked.header);
}
