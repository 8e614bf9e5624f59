#include "node/commands/old_records.hpp"

#include <doctest/doctest.h>

#include <fstream>

#include "node/commands/export.hpp"
#include "node/commands/goings.hpp"
#include "tests/support/scratch.hpp"
#include "tests/unit/node/commands/review_club.hpp"

namespace ladderline {
namespace {

using protocol::ClubRowBody;
using protocol::MemberRole;
using namespace test;

// Ana has left, and her consent ends ten days later.
struct Left : ReviewClub {
    MemberNode& ana = newcomer("Ana", until(10));

    Left() {
        sync(ana, olga);
        must(node::leave_circle(ana.context, must(node::own_circle(ana.context, protocol::CircleKind::club))));
        sync(ana, olga);
    }
    ClubRowBody until(int days) {
        ClubRowBody out = row();
        out.consent_until = today() + days;
        return out;
    }
    std::vector<node::OldRecords> old() { return must(node::old_records(olga.context)); }
    std::size_t rows() {
        return must(node::shown_history(olga.db(), olga.circle(protocol::CircleKind::club), protocol::kind::club_row))
            .size();
    }
};

TEST_CASE("what somebody showed who left is old once their consent is over, and not before") {
    Left c;
    c.clock.pass_days(10);
    CHECK(c.old().empty());
    c.clock.pass_days(1);
    REQUIRE(c.old().size() == 1);
    CHECK(c.old()[0].name == "Ana");
    CHECK(c.old()[0].left);
    CHECK(c.old()[0].records == 2);  // a card and a row
}

TEST_CASE("old records go from this node, and stay gone when its tables are made anew") {
    Left c;
    c.clock.pass_days(11);
    must(node::drop_old_records(c.olga.context));
    CHECK(c.rows() == 0);
    CHECK(c.old().empty());
    must(c.olga.db().run("UPDATE read_model SET version = 0"));
    must(c.olga.log().prepare());
    CHECK(c.rows() == 0);
}

TEST_CASE("what was dropped is in no export") {
    Left c;
    c.clock.pass_days(11);
    const ScratchFolder folder("old-records");
    must(node::export_all(c.olga.context, folder / "before", {}));
    must(node::drop_old_records(c.olga.context));
    must(node::export_all(c.olga.context, folder / "after", {}));
    const auto rows_in = [&](const char* name) {
        std::ifstream in(folder / name / "events.jsonl");
        int out = 0;
        for (std::string line; std::getline(in, line);) out += line.find("\"club_row\"") != std::string::npos ? 1 : 0;
        return out;
    };
    CHECK(rows_in("before") == 1);
    CHECK(rows_in("after") == 0);
}

TEST_CASE("of a member whose consent is over the row goes and the card stays") {
    Left c;
    c.newcomer("Ivo", c.until(2));
    c.clock.pass_days(3);
    REQUIRE(c.old().size() == 1);
    CHECK(c.old()[0].sentence == "the consent is over");
    must(node::drop_old_records(c.olga.context));
    CHECK(c.who(34).empty());
    CHECK(must(node::find_person(c.olga.context, c.olga.circle(protocol::CircleKind::club), "Ivo")).card.has_value());
}

TEST_CASE("who shares again after that is in the list again") {
    Left c;
    MemberNode& ivo = c.newcomer("Ivo", c.until(2));
    c.clock.pass_days(3);
    must(node::drop_old_records(c.olga.context));
    c.clock.pass_days(1);
    c.show(ivo, c.until(100));
    REQUIRE(c.review().lines.size() == 1);
    CHECK(c.review().lines[0].name == "Ivo");
}

TEST_CASE("without old records nothing is changed, and they are the officers' to drop") {
    Left c;
    CHECK(must(node::drop_old_records(c.olga.context)).sentence ==
          "There are no old records here; nothing was changed.");
    MemberNode& ivo = c.newcomer("Ivo", c.until(2));
    CHECK(must_fail(node::drop_old_records(ivo.context)).fault() == Fault::refused);
}

}  // namespace
}  // namespace ladderline
