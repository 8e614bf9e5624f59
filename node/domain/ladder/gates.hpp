#pragma once
// The six hard gates. Each says yes, or refuses with the reason as a sentence; what the fifth says of a pool is shown
// as a warning, because an exam team takes no notice of what somebody studied from. Everything else is advice.

#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "node/domain/ladder/record.hpp"

namespace ladderline::domain {

// --- Gate 1: nobody under 18 is ever alone with one adult in a circle.

struct Seat {
    PersonId person;
    Role role = Role::mentor;
    bool operator==(const Seat&) const = default;
};

struct Group {
    PersonId newcomer;
    bool under_18 = false;
    std::vector<Seat> seats;                // everyone but the newcomer who has a seat now
    std::optional<Day> guardian_agreed_on;  // the guardian's tick on "Under 18: guardian reads the plan, ..."
    std::optional<Day> consent_until;       // if the agreement was given for a time
};

// May `joining` take a seat now? Under 18: guardian first, then second adult, then mentor (who waits for the
// guardian's agreement too); one person never holds two of these seats. Adults: anyone.
Result<void> may_take_seat(const Group& group, const Seat& joining, Day today);

// Must hold before a mentor is paired, assigns, signs, writes a note or arranges a contact with the newcomer.
// Under 18: a guardian, and a second adult, each somebody other than the other, than every mentor and than the
// newcomer; the guardian agreed, and the agreement has not run out (its last day still counts).
Result<void> group_complete(const Group& group, Day today);

// --- Gate 2: no sending under the own call sign before it stands in the public register.

struct UnderOwnCall {
    std::string call_sign;
};
struct AsGuest {
    std::string control_operator;  // the licensed person who stayed in control
    std::string call_sign;         // under which it was sent
};
using OnAirAs = std::variant<UnderOwnCall, AsGuest>;

// `grant` is the state of item 04.06; `contact_day` the contact's UTC day. 47 CFR 97.5(a), 97.7; guests: 97.115(b)(1).
Result<void> grant_visible(const OnAirAs& as, const ItemState& grant, Day contact_day);

// --- Gate 3: exposure worked out before a station's first transmission, and again after a change.

enum class StationChange : std::uint8_t { power, antenna, place };

// Items that a change re-opens: every each-change item, and every each-site item if the place changed.
// Only those that were reached; the item that speaks of the change itself (07.18) opens along with any of them.
std::vector<ItemId> reopened_by(const Edition& edition, const States& states, StationChange change);

// The sheet that covers a transmission made while walking `stage`: 13.04 on shortwave (13, 15), 14.04 for data
// (14), 18.07 after an upgrade (18), else, or if the edition has no such item, 07.12.
ItemId exposure_sheet_for(const Edition& edition, std::uint8_t stage);

// The sheet stands, which none does that a change of the station opened again; it is dated not later than
// `transmission`, and somebody other than `owner` signed it. 47 CFR 97.13(c)(1), 1.1307(b), 1.1310.
Result<void> exposure_worked_out(const ItemState& sheet, const PersonId& owner, Day transmission);

// --- Gate 4: no antenna raised alone, no power line in reach.

// `second`: who will be there. `site_walk` is the state of item 07.01, signed by another; a change of place opens it
// again.
Result<void> antenna_may_go_up(const PersonId& owner, const std::optional<PersonId>& second,
                               const ItemState& site_walk);

// --- Gate 5: the question pool in date on the exam day; the certificate stands in exam_steps.

// Both days belong to the term of the pool.
Result<void> pool_in_force(Day first, Day last, Day exam);

// --- Gate 6: a signer holds the level that they sign.

// Only skills carry a level, 2 to 4; others take Level::none. attested >= level. Nobody signs an own item.
Result<void> signer_holds(const Item& item, const PersonId& owner, const PersonId& signer, Level attested, Level level);

// --- One door: every gate that item `id` itself asks for when it is ticked on `day`.

struct TickFacts {
    const Edition& edition;
    const Group& group;
    const States& states;
    Day today;
    Day day;                                // the UTC day of the thing done
    std::optional<OnAirAs> on_air;          // needed by items with the grant gate
    std::optional<PersonId> second_person;  // who was there when an antenna went up or down
};
// Grant items: gate 2, and under the own call sign also gate 3 (not for the check that comes before it, 09.04).
// Raising an antenna (07.02, 13.03): gate 4. Ticks by a mentor: gate 1. A day after `today` is bad_input.
Result<void> tick_gates(const Item& item, Role speaker, const TickFacts& facts);

}  // namespace ladderline::domain
