// Free-space loss, horizon and S-units against what the recommendations print.
#include "node/domain/radio/link_budget.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace ladderline::domain;

TEST_CASE("free-space loss is that of ITU-R P.525-5") {
    // 32.4 + 20 log f + 20 log d, worked out; the recommendation rounds its constant down from 32.448.
    struct Row {
        double mhz, km, rounded_db, exact_db;
    };
    for (const Row& row :
         {Row{7.1, 100, 89.43, 89.47}, Row{14.2, 1000, 115.45, 115.49}, Row{28.4, 20, 87.49, 87.53},
          Row{50.125, 30, 95.94, 95.99}, Row{146.52, 10, 95.72, 95.77}, Row{146.52, 50, 109.70, 109.75},
          Row{446, 10, 105.39, 105.43}, Row{2400, 1, 100.00, 100.05}, Row{435, 500, 139.15, 139.20}}) {
        CAPTURE(row.mhz);
        CHECK(std::fabs(free_space_loss_db(row.mhz, row.km) - row.exact_db) < 0.0051);
        CHECK(std::fabs(free_space_loss_db(row.mhz, row.km) - row.rounded_db - 0.048) < 0.0055);
    }
}

TEST_CASE("the radio horizon is that of an Earth of 4/3 its radius") {
    // 4.12 (sqrt h1 + sqrt h2), worked out; US Federal Standard 1037C: 2.23 nautical miles for the root of a metre.
    struct Row {
        double one_m, other_m, km;
    };
    for (const Row& row : {Row{1.5, 1.5, 10.09}, Row{1.5, 10, 18.07}, Row{10, 10, 26.06}, Row{1.5, 30, 27.61},
                           Row{2, 100, 47.03}, Row{30, 100, 63.77}, Row{10, 300, 84.39}}) {
        CHECK(std::fabs(radio_horizon_km(row.one_m, row.other_m) - row.km) < 0.001 * row.km);
    }
    CHECK(std::fabs(radio_horizon_km(1, 0) - 2.23 * 1.852) < 0.01);
}

TEST_CASE("S-units are those of IARU Region 1 Technical Recommendation R.1") {
    const char* names[] = {"S1", "S2", "S3", "S4", "S5", "S6", "S7", "S8", "S9"};
    for (int i = 0; i < 9; ++i) {
        CHECK(s_reading(-121 + 6 * i, 14.2) == names[i]);
        CHECK(s_reading(-141 + 6 * i, 146) == names[i]);
    }
    CHECK(s_reading(-53, 14.2) == "S9+20");
    CHECK(s_reading(-73, 146) == "S9+20");
}

TEST_CASE("watts in decibels over a milliwatt") {
    // Logarithms, worked out.
    CHECK(dbm_of_watt(1) == doctest::Approx(30));
    CHECK(std::fabs(dbm_of_watt(5) - 36.99) < 0.005);
    CHECK(std::fabs(dbm_of_watt(50) - 46.99) < 0.005);
    CHECK(std::fabs(dbm_of_watt(1500) - 61.76) < 0.005);
}
