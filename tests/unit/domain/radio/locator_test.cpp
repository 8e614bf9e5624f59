#include "node/domain/radio/locator.hpp"

#include <doctest/doctest.h>

#include <limits>

using namespace ladderline;
using namespace ladderline::domain;

TEST_CASE("a locator is read in either case and written in the usual one") {
    CHECK(Locator::parse("fn31PR").value().text() == "FN31pr");
    CHECK(Locator::parse("io91WM47").value().text() == "IO91wm47");
    CHECK(Locator::parse("jj00").value().text() == "JJ00");
}

TEST_CASE("the value of a locator is the centre of its cell") {
    const Position four = Locator::parse("FN31").value().centre();
    CHECK(four.latitude_deg == doctest::Approx(41.5).epsilon(1e-12));
    CHECK(four.longitude_deg == doctest::Approx(-73).epsilon(1e-12));
    const Position six = Locator::parse("FN31pr").value().centre();
    CHECK(six.latitude_deg == doctest::Approx(41.7291666667).epsilon(1e-11));
    CHECK(six.longitude_deg == doctest::Approx(-72.7083333333).epsilon(1e-11));
    const Position eight = Locator::parse("IO91wm47").value().centre();
    CHECK(eight.latitude_deg == doctest::Approx(51.53125).epsilon(1e-12));
    CHECK(eight.longitude_deg == doctest::Approx(-0.1291666667).epsilon(1e-9));
}

TEST_CASE("a wrong character is named by its place") {
    struct Row {
        const char* text;
        const char* part_of_sentence;
    };
    static constexpr Row rows[] = {
        {"SN31", "Character 1"},     {"FS31", "Character 2"},     {"FNa1", "Character 3"},
        {"FN3x", "Character 4"},     {"FN31yr", "Character 5"},   {"FN31pz", "Character 6"},
        {"FN31pra0", "Character 7"}, {"FN31pr0 ", "Character 8"}, {"FN31p\xC3", "Character 6"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.text);
        const auto locator = Locator::parse(row.text);
        REQUIRE_FALSE(locator);
        CHECK(locator.error().fault() == Fault::bad_input);
        CHECK(locator.error().sentence().find(row.part_of_sentence) != std::string::npos);
    }
}

TEST_CASE("a locator of another length is refused") {
    for (const char* text : {"", "F", "FN", "FN3", "FN31p", "FN31pr2", "FN31pr214"}) {
        CAPTURE(text);
        const auto locator = Locator::parse(text);
        REQUIRE_FALSE(locator);
        CHECK(locator.error().sentence().find("4, 6 or 8") != std::string::npos);
    }
}

TEST_CASE("the centre of every cell leads back to the cell") {
    for (const char* text :
         {"AA00", "RR99", "JJ00", "AA00aa", "RR99xx", "FN31pr", "AA00aa00", "RR99xx99", "QF56od54"}) {
        CAPTURE(text);
        const Locator locator = Locator::parse(text).value();
        CHECK(Locator::of(locator.centre(), locator.length()).value() == locator);
    }
}

TEST_CASE("longitudes wrap and the poles belong to the last rows") {
    CHECK(Locator::of({0, 180}, LocatorLength::four).value().text() == "AJ00");
    CHECK(Locator::of({0, 190}, LocatorLength::four).value().text() == "AJ50");
    CHECK(Locator::of({0, -541}, LocatorLength::four).value().text() == "RJ90");
    CHECK(Locator::of({90, 0}, LocatorLength::eight).value().text() == "JR09ax09");
}

TEST_CASE("a position that is none has no locator") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const double infinite = std::numeric_limits<double>::infinity();
    for (const Position position : {Position{90.001, 0}, {-91, 0}, {nan, 0}, {0, nan}, {0, infinite}}) {
        CHECK_FALSE(Locator::of(position, LocatorLength::six));
    }
}

TEST_CASE("a locator is cut to a coarser one that holds it") {
    const Locator fine = Locator::parse("IO91wm47").value();
    CHECK(fine.cut_to(LocatorLength::four).text() == "IO91");
    CHECK(fine.cut_to(LocatorLength::six).text() == "IO91wm");
    CHECK(fine.cut_to(LocatorLength::four).cut_to(LocatorLength::eight).text() == "IO91");
}
