#include "node/domain/radio/band.hpp"

#include <algorithm>
#include <array>
#include <cctype>

namespace ladderline::domain {
namespace {

constexpr std::int64_t khz = 1000;
constexpr std::int64_t mhz = 1'000'000;

constexpr std::array<Band, 33> bands{{
    {"2190m", 135'700, 137'800},
    {"630m", 472 * khz, 479 * khz},
    {"560m", 501 * khz, 504 * khz},
    {"160m", 1800 * khz, 2000 * khz},
    {"80m", 3500 * khz, 4000 * khz},
    {"60m", 5060 * khz, 5450 * khz},
    {"40m", 7000 * khz, 7300 * khz},
    {"30m", 10'100 * khz, 10'150 * khz},
    {"20m", 14'000 * khz, 14'350 * khz},
    {"17m", 18'068 * khz, 18'168 * khz},
    {"15m", 21'000 * khz, 21'450 * khz},
    {"12m", 24'890 * khz, 24'990 * khz},
    {"10m", 28'000 * khz, 29'700 * khz},
    {"8m", 40 * mhz, 45 * mhz},
    {"6m", 50 * mhz, 54 * mhz},
    {"5m", 54'000'001, 69'900 * khz},
    {"4m", 70 * mhz, 71 * mhz},
    {"2m", 144 * mhz, 148 * mhz},
    {"1.25m", 222 * mhz, 225 * mhz},
    {"70cm", 420 * mhz, 450 * mhz},
    {"33cm", 902 * mhz, 928 * mhz},
    {"23cm", 1240 * mhz, 1300 * mhz},
    {"13cm", 2300 * mhz, 2450 * mhz},
    {"9cm", 3300 * mhz, 3500 * mhz},
    {"6cm", 5650 * mhz, 5925 * mhz},
    {"3cm", 10'000 * mhz, 10'500 * mhz},
    {"1.25cm", 24'000 * mhz, 24'250 * mhz},
    {"6mm", 47'000 * mhz, 47'200 * mhz},
    {"4mm", 75'500 * mhz, 81'000 * mhz},
    {"2.5mm", 119'980 * mhz, 123'000 * mhz},
    {"2mm", 134'000 * mhz, 149'000 * mhz},
    {"1mm", 241'000 * mhz, 250'000 * mhz},
    {"submm", 300'000 * mhz, 7'500'000 * mhz},
}};

bool same_letters(std::string_view a, std::string_view b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                      [](unsigned char x, unsigned char y) { return std::tolower(x) == std::tolower(y); });
}

}  // namespace

std::span<const Band> all_bands() {
    return bands;
}

const Band* band_of(std::int64_t frequency_hz) {
    const auto found = std::find_if(bands.begin(), bands.end(), [&](const Band& band) {
        return band.low_hz <= frequency_hz && frequency_hz <= band.high_hz;
    });
    return found == bands.end() ? nullptr : &*found;
}

const Band* find_band(std::string_view name) {
    const auto found =
        std::find_if(bands.begin(), bands.end(), [&](const Band& band) { return same_letters(band.name, name); });
    return found == bands.end() ? nullptr : &*found;
}

}  // namespace ladderline::domain
