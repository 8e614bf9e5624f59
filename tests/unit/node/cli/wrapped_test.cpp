#include "node/cli/wrapped.hpp"

#include <doctest/doctest.h>

using ladderline::node::cli::wrapped;

TEST_CASE("long lines are broken between words, and what fits stays as it is") {
    struct Row {
        const char* name;
        const char* text;
        const char* broken;
    };
    const Row rows[] = {
        {"nothing", "", ""},
        {"what fits to the last column", "a line of twenty let\n", "a line of twenty let\n"},
        {"one word more", "a line of twenty let more", "a line of twenty let\nmore"},
        {"each line by itself", "short\nthis one is longer than it\nshort",
         "short\nthis one is longer\nthan it\nshort"},
        {"as far in as it began", "  this one stands a bit in", "  this one stands a\n  bit in"},
        {"below the second column", "  tick  says that it is done", "  tick  says that it\n        is done"},
        {"a second column far to the right does not count", "a very long first  and the second",
         "a very long first\nand the second"},
        {"a word that is too long is left whole", "to LADDER-ABCDEFGHIJKLMNOPQRSTUVWXYZ go",
         "to\nLADDER-ABCDEFGHIJKLMNOPQRSTUVWXYZ\ngo"},
        {"letters of two bytes are one", "ÄÖÜ äöü ÄÖÜ äöü ÄÖÜß", "ÄÖÜ äöü ÄÖÜ äöü ÄÖÜß"},
        {"empty lines", "\n\n", "\n\n"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.name);
        CHECK(wrapped(row.text, 20) == row.broken);
    }
}
