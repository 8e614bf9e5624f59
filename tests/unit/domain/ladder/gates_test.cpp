#include "node/domain/ladder/gates.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "tests/unit/domain/ladder/people.hpp"

namespace ladderline::test {
namespace {

using namespace ladderline::domain;

const Day today = day("2026-11-25");
const Seat guardian{cleo, Role::guardian};
const Seat second_adult{dora, Role::second_adult};
const Seat mentor{ben, Role::mentor};

Group minors_group(std::vector<Seat> seats) {
    return {ann, true, std::move(seats), day("2026-11-01"), {}};
}

const Item& item(std::uint8_t stage, std::uint8_t number) {
    return *shipped_edition().find({stage, number});
}

// --- gate 1

TEST_CASE("under 18 the seats are taken in order: guardian, second adult, mentor") {
    struct Row {
        std::string what;
        std::vector<Seat> seats;
        Seat joining;
        bool may;
    };
    const Row rows[] = {
        {"guardian first", {}, guardian, true},
        {"second adult before the guardian", {}, second_adult, false},
        {"mentor before anybody", {}, mentor, false},
        {"officer before anybody", {}, {emil, Role::officer}, false},
        {"second adult second", {guardian}, second_adult, true},
        {"mentor before the second adult", {guardian}, mentor, false},
        {"mentor with a second adult but no guardian", {second_adult}, mentor, false},
        {"mentor third", {guardian, second_adult}, mentor, true},
        {"a second mentor", {guardian, second_adult, mentor}, {fritz, Role::mentor}, true},
        {"a second guardian", {guardian}, {fritz, Role::guardian}, true},
        {"the guardian as second adult", {guardian}, {cleo, Role::second_adult}, false},
        {"the guardian as mentor", {guardian, second_adult}, {cleo, Role::mentor}, false},
        {"the second adult as mentor", {guardian, second_adult}, {dora, Role::mentor}, false},
        {"the mentor as guardian", {guardian, second_adult, mentor}, {ben, Role::guardian}, false},
        {"the newcomer as own guardian", {}, {ann, Role::guardian}, false},
        {"somebody else as the newcomer", {guardian}, {fritz, Role::newcomer}, false},
        {"an officer when both are there", {guardian, second_adult}, {emil, Role::officer}, true},
    };
    for (const Row& row : rows) {
        CAPTURE(row.what);
        CHECK(may_take_seat(minors_group(row.seats), row.joining, today).has_value() == row.may);
    }
}

TEST_CASE("an adult's mentor takes a seat at once") {
    CHECK(may_take_seat(Group{ann, false, {}, {}, {}}, mentor, today).has_value());
    CHECK(group_complete(Group{ann, false, {mentor}, {}, {}}, today).has_value());
}

TEST_CASE("one adult and one minor are never a group") {
    struct Row {
        std::string what;
        std::vector<Seat> seats;
        bool complete;
    };
    const Row rows[] = {
        {"mentor alone", {mentor}, false},
        {"guardian and mentor", {guardian, mentor}, false},
        {"second adult and mentor", {second_adult, mentor}, false},
        {"all three", {guardian, second_adult, mentor}, true},
        {"one person in two seats", {guardian, {cleo, Role::second_adult}, mentor}, false},
        {"the mentor is also the guardian", {{ben, Role::guardian}, second_adult, mentor}, false},
        {"the mentor is also the second adult", {guardian, {ben, Role::second_adult}, mentor}, false},
        {"the newcomer in the guardian's seat", {{ann, Role::guardian}, second_adult, mentor}, false},
        {"another guardian makes up for it", {{ben, Role::guardian}, guardian, second_adult, mentor}, true},
    };
    for (const Row& row : rows) {
        CAPTURE(row.what);
        CHECK(group_complete(minors_group(row.seats), today).has_value() == row.complete);
    }
}

TEST_CASE("the guardian's agreement is needed, and holds through its last day") {
    Group group = minors_group({guardian, second_adult, mentor});
    group.consent_until = today;
    CHECK(group_complete(group, today).has_value());
    CHECK_FALSE(group_complete(group, today + 1).has_value());
    group.consent_until.reset();
    group.guardian_agreed_on.reset();
    CHECK_FALSE(group_complete(group, today).has_value());
    CHECK_FALSE(may_take_seat(group, {fritz, Role::mentor}, today).has_value());
    group.guardian_agreed_on = today + 1;
    CHECK_FALSE(group_complete(group, today).has_value());
}

TEST_CASE("a mentor's tick for a minor waits for the group") {
    const States states;
    const Group alone = minors_group({mentor});
    const Group whole = minors_group({guardian, second_adult, mentor});
    const auto tick = [&](const Group& group) {
        const TickFacts facts{shipped_edition(), group, states, today, today, {}, {}};
        return tick_gates(item(2, 12), Role::mentor, facts).has_value();
    };
    CHECK_FALSE(tick(alone));
    CHECK(tick(whole));
}

// --- gate 2

TEST_CASE("sending under the own call sign waits for the register") {
    const ItemState seen = ticked_by(ann, day("2026-11-20"));
    const OnAirAs own = UnderOwnCall{"KF1XQB"};
    CHECK(grant_visible(own, seen, day("2026-11-20")).has_value());
    CHECK(grant_visible(own, seen, day("2026-11-25")).has_value());
    CHECK(grant_visible(own, seen, day("2026-11-19")).error().fault() == Fault::refused);
    CHECK(grant_visible(own, {}, day("2026-11-25")).error().fault() == Fault::refused);
    CHECK(grant_visible(UnderOwnCall{""}, seen, day("2026-11-25")).error().fault() == Fault::bad_input);
}

TEST_CASE("a guest needs no grant, but a named operator in control and a call sign") {
    CHECK(grant_visible(AsGuest{"Ben", "KD0XAA"}, {}, today).has_value());
    CHECK(grant_visible(AsGuest{"", "KD0XAA"}, {}, today).error().fault() == Fault::bad_input);
    CHECK(grant_visible(AsGuest{"Ben", ""}, {}, today).error().fault() == Fault::bad_input);
}

// --- gate 3

TEST_CASE("a station sends only after its exposure was worked out and looked at") {
    const ItemState sheet = ticked_and_signed(ann, ben, day("2026-11-20"));
    struct Row {
        std::string what;
        ItemState sheet;
        std::string sends;
        bool may;
    };
    const Row rows[] = {
        {"never worked out", {}, "2026-11-25", false},
        {"worked out and signed", sheet, "2026-11-25", true},
        {"on the day itself", sheet, "2026-11-20", true},
        {"worked out after sending", sheet, "2026-11-19", false},
        {"not yet looked at", ticked_by(ann, day("2026-11-20")), "2026-11-25", false},
        {"signed by oneself", ticked_and_signed(ann, ann, day("2026-11-20")), "2026-11-25", false},
    };
    for (const Row& row : rows) {
        CAPTURE(row.what);
        CHECK(exposure_worked_out(row.sheet, ann, day(row.sends)).has_value() == row.may);
    }
}

TEST_CASE("a change re-opens the exposure sheets and the wiring that were done, a move also the site") {
    States states;
    for (const ItemId id : {ItemId{7, 1}, ItemId{7, 8}, ItemId{7, 10}, ItemId{7, 12}}) {
        states[id] = ticked_and_signed(ann, ben, today);
    }
    const std::vector<ItemId> power{{7, 10}, {7, 12}, {7, 18}};
    const std::vector<ItemId> place{{7, 1}, {7, 10}, {7, 12}, {7, 18}};
    CHECK(reopened_by(shipped_edition(), states, StationChange::power) == power);
    CHECK(reopened_by(shipped_edition(), states, StationChange::antenna) == power);
    CHECK(reopened_by(shipped_edition(), states, StationChange::place) == place);
    CHECK(reopened_by(shipped_edition(), {}, StationChange::place).empty());
}

TEST_CASE("each kind of sending has its exposure sheet; an edition without it falls back on the first one") {
    CHECK(exposure_sheet_for(shipped_edition(), 10) == known_item::exposure_sheet);
    CHECK(exposure_sheet_for(shipped_edition(), 13) == known_item::exposure_sheet_hf);
    CHECK(exposure_sheet_for(shipped_edition(), 14) == known_item::exposure_sheet_data);
    CHECK(exposure_sheet_for(shipped_edition(), 15) == known_item::exposure_sheet_hf);
    CHECK(exposure_sheet_for(shipped_edition(), 18) == known_item::exposure_sheet_upgrade);
    CHECK(exposure_sheet_for(Edition{}, 13) == known_item::exposure_sheet);
}

// --- gate 4

TEST_CASE("an antenna goes up with a second person, on a site that was walked with another") {
    const ItemState walked = ticked_and_signed(ann, dora, day("2026-11-01"));
    CHECK(antenna_may_go_up(ann, dora, walked).has_value());
    CHECK_FALSE(antenna_may_go_up(ann, {}, walked).has_value());
    CHECK_FALSE(antenna_may_go_up(ann, ann, walked).has_value());
    CHECK_FALSE(antenna_may_go_up(ann, dora, {}).has_value());
    CHECK_FALSE(antenna_may_go_up(ann, dora, ticked_by(ann, day("2026-11-01"))).has_value());
}

// --- gate 5

TEST_CASE("a question pool counts from its first to its last day, judged by the day of the exam") {
    const Day first = day("2022-07-01");
    const Day last = day("2026-06-30");
    CHECK(pool_in_force(first, last, first).has_value());
    CHECK(pool_in_force(first, last, last).has_value());
    CHECK_FALSE(pool_in_force(first, last, first + -1).has_value());
    CHECK_FALSE(pool_in_force(first, last, last + 1).has_value());
}

// --- gate 6

TEST_CASE("a signer signs skills from level 2 up to the level that they hold") {
    const Item& skill = item(6, 2);
    for (int held = 0; held <= 4; ++held) {
        for (int level = 0; level <= 4; ++level) {
            CAPTURE(held);
            CAPTURE(level);
            const bool may = level >= 2 && held >= level;
            CHECK(signer_holds(skill, ann, ben, Level(held), Level(level)).has_value() == may);
        }
    }
}

TEST_CASE("other items carry no level, and nobody signs an own item") {
    CHECK(signer_holds(item(3, 8), ann, ben, Level::none, Level::none).has_value());
    CHECK_FALSE(signer_holds(item(3, 8), ann, ben, Level::taught_it, Level::alone).has_value());
    CHECK_FALSE(signer_holds(item(6, 2), ann, ann, Level::taught_it, Level::alone).has_value());
    CHECK_FALSE(signer_holds(item(3, 8), ann, ann, Level::none, Level::none).has_value());
}

// --- one door

TEST_CASE("what ticking an item on the air asks for") {
    const ItemState grant = ticked_by(ann, day("2026-11-10"));
    const ItemState sheet = ticked_and_signed(ann, ben, day("2026-11-11"));
    const OnAirAs own = UnderOwnCall{"KF1XQB"};
    const OnAirAs guest = AsGuest{"Ben", "KD0XAA"};
    const States nothing;
    const States granted{{known_item::grant_visible, grant}};
    const States ready{{known_item::grant_visible, grant}, {known_item::exposure_sheet, sheet}};
    struct Row {
        std::string what;
        ItemId id;
        const States& states;
        std::optional<OnAirAs> as;
        bool may;
    };
    const Row rows[] = {
        {"first contact, ready", {9, 6}, ready, own, true},
        {"first contact, no call sign said", {9, 6}, ready, {}, false},
        {"first contact, no grant", {9, 6}, nothing, own, false},
        {"first contact, no exposure sheet", {9, 6}, granted, own, false},
        {"first contact as a guest", {9, 6}, nothing, guest, true},
        {"the check of grant and frequency comes before the sheet", {9, 4}, granted, own, true},
        {"somebody else's shortwave station", {13, 5}, nothing, {}, true},
        {"own shortwave station without its own sheet", {13, 10}, ready, own, false},
        {"listening", {10, 1}, nothing, {}, true},
        {"rehearsing", {9, 3}, nothing, {}, true},
    };
    const Group group{ann, false, {mentor}, {}, {}};
    for (const Row& row : rows) {
        CAPTURE(row.what);
        const TickFacts facts{shipped_edition(), group, row.states, today, today, row.as, {}};
        CHECK(tick_gates(item(row.id.stage, row.id.number), Role::newcomer, facts).has_value() == row.may);
    }
}

TEST_CASE("a day that has not come is not ticked") {
    const Group group{ann, false, {}, {}, {}};
    const States states;
    const TickFacts facts{shipped_edition(), group, states, today, today + 1, {}, {}};
    CHECK(tick_gates(item(6, 2), Role::newcomer, facts).error().fault() == Fault::bad_input);
}

TEST_CASE("raising an antenna is ticked with the second person's name, after the site was walked") {
    const Group group{ann, false, {mentor}, {}, {}};
    const States walked{{known_item::site_walk, ticked_and_signed(ann, ben, day("2026-11-01"))}};
    TickFacts facts{shipped_edition(), group, walked, today, today, {}, {}};
    for (const ItemId id : {known_item::antenna_up, known_item::second_person_at_antenna}) {
        facts.second_person.reset();
        CHECK_FALSE(tick_gates(*shipped_edition().find(id), Role::newcomer, facts).has_value());
        facts.second_person = ben;
        CHECK(tick_gates(*shipped_edition().find(id), Role::newcomer, facts).has_value());
    }
}

}  // namespace
}  // namespace ladderline::test
