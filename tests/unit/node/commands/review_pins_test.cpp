// Dates that do not move, of paths that the officer's node shares.

#include <doctest/doctest.h>

#include "node/commands/exam.hpp"
#include "tests/unit/node/commands/review_club.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

struct Mentoring : ReviewClub {
    MemberNode& ana = enter("Ana", MemberRole::newcomer);

    Mentoring() { join(ana, olga, "Olga", CircleKind::path, MemberRole::mentor); }
    std::vector<std::string> pins() {
        sync(ana, olga);
        std::vector<std::string> out;
        for (const auto& pin : review().pinned) out.push_back(pin.name + ": " + pin.sentence);
        return out;
    }
};

TEST_CASE("an unpaid fee on a path that the officer shares is pinned until it is paid") {
    Mentoring c;
    tick_item(c.ana, "03.08", "certificate");
    tick_item(c.ana, "04.01");
    c.clock.pass_days(8);
    REQUIRE(c.pins().size() == 1);
    CHECK(c.pins()[0] ==
          "Ana: The application fee is unpaid; the application is dismissed after 2026-03-12 (in 2 days).");
    tick_item(c.ana, "04.03");
    CHECK(c.pins().empty());
}

TEST_CASE("a certificate is pinned sixty days before its last safe day, and no more once it was used") {
    Mentoring c;
    tick_item(c.ana, "03.08", "certificate");
    c.clock.pass_days(303);
    CHECK(c.pins().empty());
    c.clock.pass_days(1);
    REQUIRE(c.pins().size() == 1);
    CHECK(c.pins()[0].find("The last safe day of the exam certificate is 2027-03-01 (in 60 days).") !=
          std::string::npos);
    tick_item(c.ana, "04.06", "KD0XAA");
    CHECK(c.pins().empty());
}

TEST_CASE("whose old licence lapsed has certificate and fee pinned as for a first one, until the new one is granted") {
    Mentoring c;
    must(node::licence_held(c.ana.context, {"T", day("2010-01-05"), {}}));
    must(node::exam_passed(c.ana.context, {"2", c.ana.context.today(), false}));
    tick_item(c.ana, "04.01");
    c.clock.pass_days(8);
    REQUIRE(c.pins().size() == 1);
    CHECK(c.pins()[0].find("The application fee is unpaid") != std::string::npos);
    must(node::licence_held(c.ana.context, {"T", c.ana.context.today(), {}}));
    CHECK(c.pins().empty());
}

TEST_CASE("the certificate of an upgrade is pinned until the register shows the class, and no fee with it") {
    Mentoring c;
    must(node::licence_held(c.ana.context, {"T", day("2026-01-05"), {}}));
    must(node::exam_passed(c.ana.context, {"3", c.ana.context.today(), false}));
    c.clock.pass_days(310);
    REQUIRE(c.pins().size() == 1);
    CHECK(c.pins()[0].find("The last safe day of the exam certificate is 2027-03-01") != std::string::npos);
    must(node::licence_held(c.ana.context, {"G", c.ana.context.today(), {}}));
    CHECK(c.pins().empty());
}

TEST_CASE("a date is pinned for a month after it has gone by, and then left") {
    Mentoring c;
    tick_item(c.ana, "03.08", "certificate");
    tick_item(c.ana, "04.01");
    c.clock.pass_days(40);
    CHECK(c.pins().size() == 1);
    c.clock.pass_days(1);
    CHECK(c.pins().empty());
}

}  // namespace
}  // namespace ladderline
