#include "node/app/execute.hpp"

#include <doctest/doctest.h>

using namespace ladderline;
using namespace ladderline::node;

TEST_CASE("a sentence of a peer cannot command the terminal it is printed on") {
    const ControlAnswer answer = to_answer(Error{Fault::refused, "No\x1b[2J\nmore."}, false);
    CHECK(answer.err == "ladderline: No?[2J more.\n");
}

TEST_CASE("a name of a peer cannot command the terminal it is printed on") {
    const ControlAnswer answer = to_answer(cli::Answer{"Club\n  Max\x1b]0;x\x07, mentor", {}}, false);
    CHECK(answer.out == "Club\n  Max?]0;x?, mentor\n");
}

TEST_CASE("letters of all languages are printed as they are") {
    CHECK(to_answer(cli::Answer{"J\u00fcrgen \u5c71", {}}, false).out == "J\u00fcrgen \u5c71\n");
}
