#include "node/commands/spoken.hpp"

#include <doctest/doctest.h>

namespace ladderline::test {

TEST_CASE("letters are read however people write what they heard") {
    struct Row {
        const char* typed;
        const char* letters;
    };
    constexpr Row rows[] = {{"XY", "XY"},          {"xy", "XY"},           {"x y", "XY"},
                            {" X  Y ", "XY"},      {"X-Y", "XY"},          {"X-ray Yankee", "XY"},
                            {"xray yankee", "XY"}, {"alpha juliet", "AJ"}, {"Alfa Juliett", "AJ"},
                            {"Whiskey z", "WZ"}};
    for (const Row& row : rows) {
        CAPTURE(row.typed);
        const auto read = node::spoken_letters(row.typed, 2);
        REQUIRE(read.has_value());
        CHECK(read.value() == row.letters);
    }
}

TEST_CASE("what is no two letters is not taken for them") {
    for (const char* typed : {"", " ", "X", "XYZ", "X Y Z", "5Y", "Xylophone Yankee", "Yankee", "Yankee Zulu Alfa",
                              "\xC3\x84Y", "X,Y", "x-ray yankees"}) {
        CAPTURE(typed);
        CHECK(node::spoken_letters(typed, 2).error().fault() == Fault::bad_input);
    }
}

}  // namespace ladderline::test
