// The formulas of the worked problems against published values.

#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "node/domain/study/problem_values.hpp"

using namespace ladderline::domain;

namespace {

// SI Brochure (9th edition, 2019), exact; the same in CODATA 2018.
constexpr double speed_of_light = 299'792'458;  // m/s

}  // namespace

TEST_CASE("the trade's 300 million metres a second lie within a thousandth of the speed of light") {
    for (const double megahertz : {1.8, 7.1, 14.2, 50.1, 146.0, 446.0}) {
        const double exact = speed_of_light / (megahertz * 1e6);
        CHECK(wavelength_metres(megahertz) == doctest::Approx(exact).epsilon(0.001));
    }
}

TEST_CASE("the handbooks' 468 feet are a half wave shortened by about a twentieth") {
    const double half_wave_feet = speed_of_light / 1e6 / 2 / metres_in_a_foot;  // at 1 MHz: 491.8
    CHECK(dipole_feet(1) / half_wave_feet == doctest::Approx(0.95).epsilon(0.005));
}

TEST_CASE("a dipole for 7.1 MHz has about 66 feet and one for 14.2 MHz about 33 (from memory)") {
    CHECK(dipole_feet(7.1) == doctest::Approx(65.9).epsilon(0.001));
    CHECK(dipole_feet(14.2) == doctest::Approx(33.0).epsilon(0.002));
}

TEST_CASE("a foot is 0.3048 metres (international yard and pound agreement of 1959, exact)") {
    CHECK(metres_in_a_foot == 0.3048);
}

TEST_CASE("decibels are ten times the logarithm of a power ratio (definition of ITU-R V.574; values from memory)") {
    struct Row {
        double decibels;
        double ratio;
    };
    for (const Row& row : {Row{0, 1}, Row{1, 1.258925412}, Row{3, 1.995262315}, Row{6, 3.981071706}, Row{10, 10},
                           Row{20, 100}, Row{30, 1000}}) {
        CHECK(power_ratio_of(row.decibels) == doctest::Approx(row.ratio).epsilon(1e-9));
        CHECK(decibels_of(row.ratio) == doctest::Approx(row.decibels).epsilon(1e-9));
    }
}

TEST_CASE("the power law in its three forms agrees with itself (Ohm 1827, Joule 1841)") {
    const double amperes = 0.5;
    const double ohms = 50;
    const double volts = volts_across(amperes, ohms);
    CHECK(volts == doctest::Approx(25));
    CHECK(watts_of_current(amperes, ohms) == doctest::Approx(12.5));
    CHECK(watts_of_voltage(volts, ohms) == doctest::Approx(volts * amperes));
}

TEST_CASE("resistors together: two equal ones halve, and 3, 6 and 2 ohms make 1 (textbook examples, from memory)") {
    CHECK(in_parallel(std::array{100.0, 100.0}) == doctest::Approx(50));
    CHECK(in_parallel(std::array{3.0, 6.0, 2.0}) == doctest::Approx(1));
    CHECK(in_series(std::array{3.0, 6.0, 2.0}) == doctest::Approx(11));
}

TEST_CASE("prefixes are powers of a thousand (SI Brochure, 9th edition, table 7)") {
    const std::array<const char*, 8> written{"1 pX", "1 nX", "1 µX", "1 mX", "1 X", "1 kX", "1 MX", "1 GX"};
    for (int step = -4; step <= 3; ++step) {
        if (step == -4) continue;  // below what a problem writes
        CHECK(with_prefix(std::pow(10.0, 3 * step), "X") == written[static_cast<std::size_t>(step + 4)]);
    }
}
