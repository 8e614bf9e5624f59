#include "node/domain/radio/band.hpp"

#include <doctest/doctest.h>

#include <string>

#include "node/domain/radio/mode.hpp"

using namespace ladderline::domain;

TEST_CASE("a frequency falls into its band, edges included") {
    struct Row {
        std::int64_t hz;
        const char* band;  // null: between bands
    };
    static constexpr Row rows[] = {
        {14'074'000, "20m"},
        {14'000'000, "20m"},
        {14'350'000, "20m"},
        {13'999'999, nullptr},
        {14'350'001, nullptr},
        {146'520'000, "2m"},
        {3'985'000, "80m"},
        {5'357'000, "60m"},
        {135'700, "2190m"},
        {54'000'000, "6m"},
        {54'000'001, "5m"},
        {223'500'000, "1.25m"},
        {24'000'000'000, "1.25cm"},
        {10'368'000'000, "3cm"},
        {7'500'000'000'000, "submm"},
        {7'500'000'000'001, nullptr},
        {0, nullptr},
        {-1, nullptr},
        {27'205'000, nullptr},
    };
    for (const Row& row : rows) {
        CAPTURE(row.hz);
        const Band* band = band_of(row.hz);
        CHECK((band == nullptr ? std::string{} : std::string(band->name)) == (row.band == nullptr ? "" : row.band));
    }
}

TEST_CASE("a band is found by its name in either case") {
    CHECK(find_band("70CM") == band_of(446'000'000));
    CHECK(find_band("submm") != nullptr);
    CHECK(find_band("75m") == nullptr);
    CHECK(find_band("") == nullptr);
}

TEST_CASE("bands rise and do not overlap") {
    const auto bands = all_bands();
    CHECK(bands.size() == 33);
    for (std::size_t k = 1; k < bands.size(); ++k) {
        CAPTURE(bands[k].name);
        CHECK(bands[k - 1].high_hz < bands[k].low_hz);
        CHECK(bands[k].low_hz < bands[k].high_hz);
    }
}

TEST_CASE("a finer name in the mode's place is put right") {
    CHECK(normal_mode("usb") == Mode{"SSB", "USB"});
    CHECK(normal_mode("FT4") == Mode{"MFSK", "FT4"});
    CHECK(normal_mode("MFSK", "FT4") == Mode{"MFSK", "FT4"});
    CHECK(normal_mode("FT8") == Mode{"FT8", ""});
    CHECK(normal_mode("SSB", "LSB") == Mode{"SSB", "LSB"});
    CHECK(normal_mode("UNHEARD-OF") == Mode{"UNHEARD-OF", ""});
}

TEST_CASE("modes fall into speech, Morse and data") {
    CHECK(group_of(normal_mode("LSB")) == ModeGroup::phone);
    CHECK(group_of(normal_mode("D-STAR")) == ModeGroup::phone);
    CHECK(group_of(normal_mode("FM")) == ModeGroup::phone);
    CHECK(group_of(normal_mode("cw")) == ModeGroup::morse);
    CHECK(group_of(normal_mode("FT8")) == ModeGroup::data);
    CHECK(is_listed_mode("WSPR"));
    CHECK_FALSE(is_listed_mode("USB"));
}
