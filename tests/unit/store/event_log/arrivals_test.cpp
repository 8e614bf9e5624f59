#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "tests/support/store/event_log_node.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;

namespace {

struct Two {
    test::SeededRandom random{61};
    test::Person ada = test::make_person("Ada", random);
    EventLogNode here{62};
    EventLogNode there{63};
    CircleId club = here.found(ada, CircleKind::club, MemberRole::officer);
    CircleId desk = here.found(ada, CircleKind::desk, MemberRole::newcomer);

    void write(const CircleId& circle) {
        REQUIRE(here.log.append({circle, kind::note, to_bytes(as_bytes("note")), {}}, here.now).has_value());
    }
};

}  // namespace

TEST_CASE("every event stored is counted, own or not") {
    Two two;
    CHECK(two.here.log.arrivals().value() == 2);
    two.write(two.club);
    CHECK(two.here.log.arrivals().value() == 3);
    carry(two.here, two.there, two.club);
    CHECK(two.there.log.arrivals().value() == 2);
}

TEST_CASE("only the logs of the circle that changed since an arrival are named, as they stand now") {
    Two two;
    const std::uint64_t before = two.here.log.arrivals().value();
    two.write(two.desk);
    const std::uint64_t between = two.here.log.arrivals().value();
    two.write(two.club);
    two.write(two.club);
    CHECK(two.here.log.logs_changed_since(two.club, before).value() == two.here.log.heads(two.club).value());
    CHECK(two.here.log.logs_changed_since(two.desk, before).value() == two.here.log.heads(two.desk).value());
    CHECK(two.here.log.logs_changed_since(two.desk, between).value().empty());
    CHECK(two.here.log.logs_changed_since(two.club, two.here.log.arrivals().value()).value().empty());
}

TEST_CASE("a step that failed uses no arrival numbers") {
    Two two;
    const std::uint64_t before = two.here.log.arrivals().value();
    {
        auto tx = store::sqlite::Transaction::begin(two.here.db);
        REQUIRE(tx.has_value());
        REQUIRE(two.here.log.append_within({two.club, kind::note, Bytes(3, 1), {}}, two.here.now).has_value());
    }
    CHECK(two.here.log.arrivals().value() == before);
}
