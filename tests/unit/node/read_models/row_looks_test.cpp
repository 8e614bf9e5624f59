#include "node/read_models/row_looks.hpp"

#include <doctest/doctest.h>

#include <array>

#include "node/commands/list_hits.hpp"
#include "tests/unit/node/commands/review_club.hpp"

namespace ladderline {
namespace {

using node::RowLooks;
using protocol::CircleKind;
using protocol::ClubRowBody;
using namespace test;

bool same(const node::RowLook& a, const node::RowLook& b) {
    return a.said == b.said && a.days == b.days && a.days_mask == b.days_mask && a.stage == b.stage &&
           a.stage_since == b.stage_since && a.help_since == b.help_since && a.has_mentor == b.has_mentor &&
           a.resting == b.resting;
}

struct Told : ReviewClub {
    MemberNode& ana = newcomer("Ana", row("01"));

    std::int32_t now() { return node::look_period_of(today()); }
    node::RowsLookedAt of_ana() {
        RowLooks all = must(node::row_looks(olga.db(), olga.circle(CircleKind::club), now() - 13, now() - 1));
        return std::move(all.of.at(ana.id()));
    }
    // As of somebody whose rows have to be read one by one.
    node::RowsLookedAt of_ana_row_by_row() {
        must(olga.db().run("UPDATE shown_latest SET plain = 0"));
        must(olga.db().run("DELETE FROM row_look"));
        return of_ana();
    }
    std::int64_t kept() {
        std::int64_t out = 0;
        must(olga.db().query("SELECT count(*) FROM row_look",
                             [&](const store::sqlite::Row& found) { out = found.integer(0); }));
        return out;
    }
};

TEST_CASE("a period of four weeks ends on the day before the next begins, before the first day of all as well") {
    for (const std::int32_t number : {-57, -56, -29, -28, -1, 0, 27, 28, 20'500}) {
        const std::int32_t period = node::look_period_of(Day{number});
        CHECK(Day{number} <= node::last_day_of_look(period));
        CHECK(node::last_day_of_look(period - 1) < Day{number});
    }
}

TEST_CASE("looks that were kept say what reading every row says") {
    Told c;
    SeededRandom random(5);
    const auto below = [&](std::uint8_t n) {
        std::array<std::uint8_t, 1> byte{};
        random.fill(byte);
        return byte[0] % n;
    };
    for (int i = 0; i < 60; ++i) {
        c.clock.pass_days(1 + below(i % 20 == 7 ? 200 : 12));
        ClubRowBody row = c.row("0" + std::to_string(1 + i / 9));
        if (below(2) == 0) row.stage_since = c.today() + -below(9);
        if (below(3) == 0) row.help_since = c.today() + -below(20);
        if (below(2) == 0) row.mentor = c.olga.id();
        row.resting = below(5) == 0;
        row.consent_until = c.today() + 600;
        c.show(c.ana, row);
    }
    CHECK(c.kept() > 15);
    const node::RowsLookedAt kept = c.of_ana();
    const node::RowsLookedAt anew = c.of_ana_row_by_row();
    REQUIRE(kept.looks.size() == 13);
    REQUIRE(anew.looks.size() == 13);
    for (std::size_t i = 0; i < 13; ++i) {
        CAPTURE(i);
        CHECK(kept.looks[i].first == anew.looks[i].first);
        CHECK(same(kept.looks[i].second, anew.looks[i].second));
    }
    CHECK(kept.story.runs.size() == anew.story.runs.size());
    CHECK(kept.newest.consent_until == anew.newest.consent_until);
}

TEST_CASE("of a long silence there is a look at every period of it") {
    Told c;
    c.clock.pass_days(28 * 9);
    CHECK(c.of_ana().looks.size() == 9);
    c.show(c.ana, c.row("02"));
    REQUIRE(c.of_ana().looks.size() == 9);
    CHECK(c.of_ana().looks.back().second.stage == "01");
    c.clock.pass_days(28);
    CHECK(c.of_ana().looks.back().second.stage == "02");
}

TEST_CASE("whoever went through more stages than are kept is left out of the list's hits, which is said") {
    Told c;
    const std::size_t many = node::RowStory::runs_max + 1;
    for (std::size_t i = 0; i < many; ++i) {
        c.clock.pass_minutes(5);
        const auto row = protocol::codec::encode(c.row(i % 2 == 0 ? "03" : "04"));
        must(node::say(c.ana.context, c.ana.circle(CircleKind::club), protocol::kind::club_row, row));
    }
    sync(c.olga, c.ana);
    const auto hits = must(node::list_hits(c.olga.context));
    CHECK(hits.left_out == 1);
    CHECK(hits.sentences.back() ==
          "Not looked at: fewer than five who went back and forth between more than 200 stages.");
    CHECK(c.kept() == 0);
}

}  // namespace
}  // namespace ladderline
