#include "node/domain/radio/path.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "tests/support/domain/pairing_instances.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

Path between(const char* from, const char* to) {
    return path_between(Locator::parse(from).value(), Locator::parse(to).value());
}

}  // namespace

TEST_CASE("a four-character locator gives a distance to ten kilometres and a bearing to whole degrees") {
    const Path path = between("FN31", "IO91");
    CHECK(path.kind == PathKind::ordinary);
    CHECK(path.distance_km == 5410);
    CHECK(path.bearing_deg == 52);
    CHECK(path.back_bearing_deg == 288);
    CHECK(to_text(path) == "5,410 km, bearing 52 degrees");
}

TEST_CASE("the coarser of two locators sets the digits") {
    CHECK(between("FN31pr", "IO91wm").distance_km == 5430);
    CHECK(between("QF56od", "RE78ir").distance_km == 2225);
    CHECK(between("QF56od", "RE78").distance_km == doctest::Approx(2230).epsilon(0.01));
    CHECK(std::fmod(between("QF56od", "RE78").distance_km, 10) == 0);
    CHECK(between("IO91wm47", "IO91xl94").distance_km == doctest::Approx(10.4).epsilon(0.2));
}

TEST_CASE("the long path runs the other way round and is given to ten kilometres") {
    const Path path = between("FN31pr", "IO91wm");
    CHECK(path.long_bearing_deg == 232);
    CHECK(path.long_distance_km == 34580);
}

TEST_CASE("one place has no distance and no direction") {
    for (const auto& [from, to] : {std::pair{"FN31", "FN31"}, {"FN31pr", "FN31"}, {"FN31", "FN31aa00"}}) {
        const Path path = between(from, to);
        CHECK(path.kind == PathKind::same_place);
        CHECK(path.distance_km == 0);
        CHECK_FALSE(path.bearing_deg);
        CHECK(to_text(path) == "the same place");
    }
}

TEST_CASE("under three cell diagonals there is a distance but no bearing") {
    CHECK(between("FN31", "FN32").kind == PathKind::too_close);
    CHECK(between("FN31", "FN31pr").kind == PathKind::same_place);
    CHECK(between("FN31pr", "FN31qs").kind == PathKind::too_close);
    CHECK_FALSE(between("FN31pr", "FN31qs").bearing_deg);
    CHECK(between("FN31pr", "FN32pr").kind == PathKind::ordinary);
}

TEST_CASE("within fifty kilometres of the antipode any direction will do") {
    CHECK(between("JJ00aa", "AI09ax").kind == PathKind::any_direction);
    CHECK(to_text(between("JJ00aa", "AI09ax")).find("any direction") != std::string::npos);
    CHECK(between("JJ00aa", "AI08aa").kind == PathKind::ordinary);
}

TEST_CASE("a place may be off by half a cell's diagonal") {
    CHECK(uncertainty_km(Locator::parse("FN31").value()) == doctest::Approx(100.0).epsilon(0.01));
    CHECK(uncertainty_km(Locator::parse("FN31pr").value()) == doctest::Approx(4.17).epsilon(0.002));
}

TEST_CASE("how far apart two live is said as far as their squares tell") {
    CHECK(to_text(Apart{42, 8}) == "about 40 km");
    CHECK(to_text(Apart{0, 200.1}) == "at most 210 km");
    CHECK(to_text(Apart{1111, 200}) == "between 910 and 1,320 km");
    const Apart neighbours = apart(Locator::parse("FN31").value(), Locator::parse("FN32").value());
    CHECK(neighbours.centres_km > 100);
    CHECK(neighbours.least_km() == 0);
}

TEST_CASE("the ellipsoid and a sphere differ by 0.56 per cent at most") {
    ladderline::test::SplitMix random{7};
    double worst = 0;
    for (int k = 0; k < 500; ++k) {
        const Position a{random.below(180) - 90.0, random.below(360) - 180.0};
        const Position b{random.below(180) - 90.0, random.below(360) - 180.0};
        const double radian = std::acos(-1.0) / 180;
        const double cosine = std::sin(a.latitude_deg * radian) * std::sin(b.latitude_deg * radian) +
                              std::cos(a.latitude_deg * radian) * std::cos(b.latitude_deg * radian) *
                                  std::cos((a.longitude_deg - b.longitude_deg) * radian);
        const double sphere_km = 6371 * std::acos(std::clamp(cosine, -1.0, 1.0));
        if (sphere_km > 1) worst = std::max(worst, std::fabs(shortest_way(a, b).distance_km() / sphere_km - 1));
    }
    CHECK(worst < 0.0056);
    CHECK(worst > 0.001);
}
