// What keys cost at a courier's door, by the model and by the production objects.

#include <doctest/doctest.h>

#include "tests/scale/costs.hpp"
#include "tests/support/protocol/courier_pair.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

TEST_CASE("who comes with the key of before pays what the model says") {
    constexpr std::size_t devices = 21;
    constexpr std::uint64_t flights_up = 5;
    constexpr std::uint64_t flights_down = 4;
    test::CourierWorld world;
    test::CourierMember member(world.random, world.key);
    std::vector<DhPublic> boxes{member.box.pub};
    while (boxes.size() < devices) boxes.push_back(make_dh_keys(world.random).pub);
    const AeadKey fresh = AeadKey::random(world.random);
    const auto wrapped = wrap_key(fresh, boxes, world.random);
    REQUIRE(wrapped.has_value());
    // Those of the others are of no matter here.
    for (const Wrap& copy : wrapped.value().copies) {
        if (copy.tag == tag_of(id_of_key(fresh), member.box.pub)) world.book.copies.push_back({id_of_key(fresh), copy});
    }
    CourierPlace& place = world.book.places.at(world.circle);
    place.former = {place.access};
    place.access = access_keys(world.circle, fresh).pub;

    std::uint64_t down = 2 + 48 + flights_down * 18;
    world.change = [&](Bytes& message) { down += message.size() + 4; };
    VisitSetup setup = world.setup_of(member);
    setup.paper_box = make_dh_keys(world.random);
    const VisitOutcome outcome = world.visit(member, std::move(setup));
    REQUIRE(outcome.in_step);
    REQUIRE(world.said_to_courier.size() == flights_up);
    std::uint64_t up = 24 + 2 + 96 + flights_up * 18;
    for (const Bytes& message : world.said_to_courier) up += message.size() + 4;

    scale::Bytes2 modelled = scale::bytes_of({}, {});
    // The list of one key that is kept comes with the refusal.
    modelled += scale::KeyCosts(devices).come_back_by_former_key(1);
    CHECK(modelled.up == doctest::Approx(static_cast<double>(up)).epsilon(0.02));
    CHECK(modelled.down == doctest::Approx(static_cast<double>(down)).epsilon(0.02));
}
