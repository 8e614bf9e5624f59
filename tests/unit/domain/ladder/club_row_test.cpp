#include "node/domain/ladder/club_row.hpp"

#include <doctest/doctest.h>

#include "tests/unit/domain/ladder/people.hpp"

namespace ladderline::test {
namespace {

using namespace ladderline::domain;

TEST_CASE("the club's row holds twelve fields, taken from the way and from what was agreed") {
    WayFacts way;
    way.owner = ann;
    way.under_18 = true;
    way.resting = true;
    Progress progress;
    progress.current_stage = 9;
    progress.last_milestone = day("2026-11-02");
    RowFacts facts;
    facts.chosen_name = "Ann";
    facts.call_sign = "KF1XQB";
    facts.call_sign_shared = true;
    facts.last_contact = day("2026-11-03");
    facts.last_mentor_touch = day("2026-11-04");
    facts.mentor = ben;
    facts.help_wanted = "antennas";
    facts.consent_until = day("2027-11-01");
    const auto& [who, name, call, stage, milestone, contact, touch, mentor, help, resting, minor, consent] =
        club_row(way, progress, facts);
    CHECK(who == ann);
    CHECK(name == "Ann");
    CHECK(call == "KF1XQB");
    CHECK(stage == 9);
    CHECK(milestone == day("2026-11-02"));
    CHECK(contact == day("2026-11-03"));
    CHECK(touch == day("2026-11-04"));
    CHECK(mentor == ben);
    CHECK(help == "antennas");
    CHECK(resting);
    CHECK(minor);
    CHECK(consent == day("2027-11-01"));
}

TEST_CASE("a call sign that was not shared stays out of the club's row") {
    RowFacts facts;
    facts.call_sign = "KF1XQB";
    CHECK_FALSE(club_row({}, {}, facts).call_sign);
}

TEST_CASE("a group below five is not counted out in print") {
    for (int n = 0; n < 5; ++n) CHECK(fewer_than_five(n) == "fewer than five");
    CHECK(fewer_than_five(5) == "5");
    CHECK(fewer_than_five(120) == "120");
}

}  // namespace
}  // namespace ladderline::test
