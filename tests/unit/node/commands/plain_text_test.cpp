#include "node/commands/plain_text.hpp"

#include <doctest/doctest.h>

using namespace ladderline;

TEST_CASE("A table's cell that would be worked out is shown as the text it is") {
    for (const char* text : {"=1+1", "=HYPERLINK(0)", "+cmd", "-cmd", "@sum", "\tx", "=1", "-", "+1-1"}) {
        CAPTURE(text);
        CHECK(node::csv_line({text}) == "'" + std::string(text) + "\r\n");
    }
}

TEST_CASE("A report in decibels stays the number that it is") {
    CHECK(node::csv_line({"-12", "+5", "-0.5", "59"}) == "-12,+5,-0.5,59\r\n");
}

TEST_CASE("A table's cell with a comma, a quote or a line break is quoted") {
    // RFC 4180, section 2, rules 6 and 7
    CHECK(node::csv_line({"a,b", "c\"d", "e\nf", ""}) == "\"a,b\",\"c\"\"d\",\"e\nf\",\r\n");
}
