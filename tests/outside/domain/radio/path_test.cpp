// Distances and azimuths that other programs and published examples give.
#include "node/domain/radio/path.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <sstream>

#include "tests/support/domain/check_data.hpp"

using namespace ladderline::domain;
using ladderline::test::rounds_to;

namespace {

struct Way {
    const char* from;
    const char* to;
    double km;
    double azimuth_deg;
    double back_deg;
};

Position centre_of(const char* locator) {
    return Locator::parse(locator).value().centre();
}

// A line of the GeodTest set.
struct GeodTestLine {
    double lat1, lon1, azi1, lat2, lon2, azi2, s12, a12;
};

double turn(double a, double b) {
    return std::fabs(std::remainder(a - b, 360.0));
}

// Within 1e-6 degrees of a pole, or of 180 degrees of arc (conjugate points), azimuths are ill-conditioned.
bool has_sound_azimuths(const GeodTestLine& line) {
    const bool polar = std::fabs(line.lat1) > 90 - 1e-6 || std::fabs(line.lat2) > 90 - 1e-6;
    return !polar && line.a12 < 180 - 1e-6;
}

void check_line(const GeodTestLine& line) {
    const Geodesic way = shortest_way({line.lat1, line.lon1}, {line.lat2, line.lon2});
    CHECK(std::fabs(way.distance_m - line.s12) <= 1e-6);
    if (!has_sound_azimuths(line)) return;
    CHECK(turn(way.azimuth_deg, line.azi1) <= 1e-9);
    CHECK(turn(way.arrival_azimuth_deg, line.azi2) <= 1e-9);
}

}  // namespace

TEST_CASE("distances and azimuths between locators agree with GeodSolve") {
    // GeographicLib 2.1.2, program GeodSolve, WGS84.
    static constexpr Way ways[] = {
        {"FN31", "IO91", 5407.475, 52.261716, 288.031627},      {"FN31pr", "IO91wm", 5429.610, 52.242152, 288.610906},
        {"QF56od", "RE78ir", 2224.651, 118.578151, 284.094168}, {"JN58td", "PM95vq", 9394.573, 39.881740, 328.187988},
        {"GG87jc", "JF96fc", 6076.676, 116.211750, 264.364552}, {"BP51", "KP20", 6463.232, 3.482403, 356.625508},
    };
    for (const Way& expected : ways) {
        CAPTURE(expected.from);
        const Geodesic way = shortest_way(centre_of(expected.from), centre_of(expected.to));
        CHECK(rounds_to(way.distance_km(), expected.km, 3));
        CHECK(rounds_to(way.azimuth_deg, expected.azimuth_deg, 6));
        CHECK(rounds_to(way.back_azimuth_deg, expected.back_deg, 6));
    }
}

TEST_CASE("the longest way between locators converges") {
    // GeodSolve, as above.
    CHECK(rounds_to(shortest_way(centre_of("AA00aa"), centre_of("RR99xx")).distance_km(), 19999.278, 3));
}

TEST_CASE("Flinders Peak to Buninyong agrees with the worked example") {
    // Geoscience Australia's example on GRS80 (54,972.271 m, 306 52' 05.37", back 127 10' 25.07"), whose ellipsoid
    // differs from WGS84 by 0.1 mm; the positions are the example's.
    const double flinders_lat = -(37 + 57 / 60.0 + 3.72030 / 3600);
    const double flinders_lon = 144 + 25 / 60.0 + 29.52440 / 3600;
    const double buninyong_lat = -(37 + 39 / 60.0 + 10.15610 / 3600);
    const double buninyong_lon = 143 + 55 / 60.0 + 35.38390 / 3600;
    const Geodesic way = shortest_way({flinders_lat, flinders_lon}, {buninyong_lat, buninyong_lon});
    CHECK(rounds_to(way.distance_m, 54972.271, 3));
    CHECK(std::fabs(way.azimuth_deg - (306 + 52 / 60.0 + 5.37 / 3600)) <= 0.005001 / 3600);
    CHECK(std::fabs(way.back_azimuth_deg - (127 + 10 / 60.0 + 25.07 / 3600)) <= 0.005001 / 3600);
}

TEST_CASE("some lines of the GeodTest set agree to a micrometre") {
    // C. F. F. Karney, GeodTest set for WGS84.
    static constexpr GeodTestLine lines[] = {
        {0.003311913742, 0, 90.001862369144, 0.001762385472585824, 32.846794581272844, 90.003358355630087731,
         3656488.4472191, 32.957294150507910671},
        {35.602540598169, 0, 111.870427868602, -19.406200172031696834, 78.995799629955596127, 126.810557548058637274,
         10299779.6328425, 92.803714519858639493},
        {0.002776960941, 0, 90.004934285837, -0.002670966075003864, 57.164518655793700538, 90.00499207004449665,
         6363525.1342937, 57.356825466117117425},
        {23.225828498891, 0, 90, -23.225828498891, 179.44518683104154539, 90, 19975528.4919571414229,
         179.999999999999999999},
        {13.765992822182, 0, 168.128113329941, -65.459181533817945268, 156.332712198928562629, 28.6750940424198578,
         13992595.6683315, 125.906798467904872903},
        {18.147469450587, 0, 108.364591170233, -12.262527258040757617, 69.795639557604029612, 112.619507321054052439,
         8368940.3554485, 75.425389380465159903},
        {0.004023090575, 0, 89.996885503681, -0.002055164723248576, 151.123219293604579159, 90.004645596608656255,
         16822959.8159264, 151.631611349310522139},
        {0.002214721753, 0, 90.004938778767, 0.001604859709652937, 6.860305943586887695, 90.005167722849785647,
         763685.766878, 6.883384651955295924},
        {37.634753648535, 0, 0.002089246356, 61.890738855282764565, 179.995628232403445455, 179.996493158790602541,
         8972218.8832628, 80.647560489098724547},
        {11.898997917427, 0, 75.119044134969, 11.899065303345823952, 0.000257501685735042, 75.119097228635683489,
         29.0265121, 0.000261589547493973},
    };
    for (const GeodTestLine& line : lines) {
        CAPTURE(line.s12);
        check_line(line);
    }
}

TEST_CASE("the fifty lines of the GeodTest set agree to a micrometre") {
    const auto text = ladderline::test::check_file("vectors/geodtest50.dat");
    if (!text) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set; only the lines typed in were checked.");
        return;
    }
    std::istringstream in(*text);
    int lines = 0;
    double m12 = 0, area = 0;
    for (GeodTestLine line{}; in >> line.lat1 >> line.lon1 >> line.azi1 >> line.lat2 >> line.lon2 >> line.azi2 >>
                              line.s12 >> line.a12 >> m12 >> area;
         ++lines) {
        CAPTURE(lines);
        check_line(line);
    }
    CHECK(lines == 50);
}
