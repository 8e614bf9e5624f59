#include "store/identity/identity.hpp"

#include <doctest/doctest.h>

#include "tests/support/store/event_log_node.hpp"

using namespace ladderline;

TEST_CASE("the member is the paper's, the device is this machine's") {
    test::SeededRandom random(5);
    const auto paper = protocol::PaperSeed::random(random);
    auto one = test::empty_store();
    auto other = test::empty_store();
    const auto here = store::create_identity(one, "one", paper, random);
    const auto there = store::create_identity(other, "other", paper, random);
    REQUIRE(here.has_value());
    REQUIRE(there.has_value());
    CHECK(here.value().id() == there.value().id());
    CHECK(here.value().device_id() != there.value().device_id());
    CHECK(here.value().noise.pub != there.value().noise.pub);
    CHECK(store::gives_identity(paper, here.value()));
}

TEST_CASE("the paper seed is kept in the store, and gives the identity loaded from it") {
    test::SeededRandom random(6);
    auto db = test::empty_store();
    REQUIRE(store::create_identity(db, "one", random).has_value());
    const auto seed = store::stored_paper_seed(db);
    REQUIRE((seed.has_value() && seed.value().has_value()));
    CHECK(store::gives_identity(*seed.value(), store::load_identity(db).value()));
}

TEST_CASE("a store of before paper keys has no seed, and one drawn later does not give its identity") {
    test::SeededRandom random(7);
    auto db = test::empty_store();
    REQUIRE(store::create_identity(db, "one", random).has_value());
    REQUIRE(db.execute("DELETE FROM setting WHERE name = 'paper_seed'").has_value());
    CHECK_FALSE(store::stored_paper_seed(db).value().has_value());
    const auto later = protocol::PaperSeed::random(random);
    REQUIRE(store::store_paper_seed(db, later).has_value());
    CHECK_FALSE(store::gives_identity(later, store::load_identity(db).value()));
}
