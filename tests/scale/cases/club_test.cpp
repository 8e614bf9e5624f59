#include <doctest/doctest.h>
TEST_CASE("x") { CHECK(true); }
