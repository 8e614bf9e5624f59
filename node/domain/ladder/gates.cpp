#include "node/domain/ladder/gates.hpp"

#include <algorithm>

#include "node/domain/licence/clocks.hpp"

namespace ladderline::domain {
namespace {

Error refused(std::string sentence) {
    return {Fault::refused, std::move(sentence)};
}

bool holds(const Group& group, const PersonId& person, Role role) {
    return std::find(group.seats.begin(), group.seats.end(), Seat{person, role}) != group.seats.end();
}

// Somebody in the seat `role` who is neither the newcomer, nor a mentor, nor `not_this`.
bool has_independent(const Group& group, Role role, const std::optional<PersonId>& not_this = {}) {
    return std::any_of(group.seats.begin(), group.seats.end(), [&](const Seat& seat) {
        return seat.role == role && seat.person != group.newcomer && seat.person != not_this &&
               !holds(group, seat.person, Role::mentor);
    });
}

Result<void> agreement_stands(const Group& group, Day today) {
    if (!group.guardian_agreed_on || *group.guardian_agreed_on > today) {
        return refused(
            "The newcomer is under 18: the guardian reads the plan and agrees, with "
            "'ladderline consent', before anything is arranged.");
    }
    if (group.consent_until && *group.consent_until < today) {
        return refused("The guardian's agreement ran until " + to_iso(*group.consent_until) +
                       "; the guardian renews it before anything more is arranged.");
    }
    return ok();
}

// A guardian and a second adult who are two people, and neither of them a mentor.
Result<void> two_adults(const Group& group) {
    if (!has_independent(group, Role::guardian)) {
        return refused("The newcomer is under 18: first a guardian takes a seat, who is nobody else of the group.");
    }
    const bool both = std::any_of(group.seats.begin(), group.seats.end(), [&](const Seat& seat) {
        return seat.role == Role::guardian && seat.person != group.newcomer &&
               !holds(group, seat.person, Role::mentor) && has_independent(group, Role::second_adult, seat.person);
    });
    if (both) return ok();
    return refused(
        "The newcomer is under 18: a second adult takes a seat, who is neither the guardian nor the mentor.");
}

Result<void> may_take_minors_seat(const Group& group, const Seat& joining, Day today) {
    const auto already = [&](Role role) { return holds(group, joining.person, role); };
    const bool other_seat = (joining.role != Role::guardian && already(Role::guardian)) ||
                            (joining.role != Role::second_adult && already(Role::second_adult)) ||
                            (joining.role != Role::mentor && already(Role::mentor));
    if (other_seat && joining.role != Role::officer) {
        return refused("Guardian, second adult and mentor of somebody under 18 are three people.");
    }
    switch (joining.role) {
        case Role::guardian:
            return ok();
        case Role::second_adult:
            if (has_independent(group, Role::guardian)) return ok();
            return refused("The newcomer is under 18: the guardian takes a seat before the second adult.");
        default:
            TRY(two_adults(group));
            return agreement_stands(group, today);
    }
}

Error future_day(Day day, Day today) {
    return {Fault::bad_input,
            to_iso(day) + " has not come yet (today is " + to_iso(today) + " UTC); give the day on which it was done."};
}

bool needs_exposure(const Item& item) {
    return item.id != known_item::grant_and_frequency_checked;
}

}  // namespace

Result<void> may_take_seat(const Group& group, const Seat& joining, Day today) {
    if (joining.person == group.newcomer || joining.role == Role::newcomer) {
        return refused("The newcomer holds the newcomer's seat and no other, and nobody else holds it.");
    }
    if (!group.under_18) return ok();
    return may_take_minors_seat(group, joining, today);
}

Result<void> group_complete(const Group& group, Day today) {
    if (!group.under_18) return ok();
    TRY(two_adults(group));
    return agreement_stands(group, today);
}

Result<void> grant_visible(const OnAirAs& as, const ItemState& grant, Day contact_day) {
    if (const auto* guest = std::get_if<AsGuest>(&as)) {
        if (guest->control_operator.empty() || guest->call_sign.empty()) {
            return Error{Fault::bad_input,
                         "A guest speaks under somebody's control; name the licensed operator and the call sign used."};
        }
        return ok();
    }
    if (std::get<UnderOwnCall>(as).call_sign.empty()) {
        return Error{Fault::bad_input, "Write your own call sign, or say that you were a guest and of whom."};
    }
    if (!grant.tick) {
        return refused(
            "Your call sign is not ticked as visible in the public register (04.06); until it is, speak as a guest.");
    }
    if (grant.tick->day > contact_day) {
        return refused("Your call sign was first seen in the register on " + to_iso(grant.tick->day) +
                       ", after the UTC day of this contact (" + to_iso(contact_day) + "); correct one of the two.");
    }
    return ok();
}

std::vector<ItemId> reopened_by(const Edition& edition, const States& states, StationChange change) {
    const auto touched = [&](const Item& item) {
        return item.recheck == Recheck::each_change ||
               (item.recheck == Recheck::each_site && change == StationChange::place);
    };
    const bool something_to_redo = std::any_of(edition.items.begin(), edition.items.end(), [&](const Item& item) {
        return touched(item) && state_of(states, item.id).reached();
    });
    std::vector<ItemId> out;
    for (const Item& item : edition.items) {
        const bool reopens = state_of(states, item.id).reached() || (something_to_redo && item.only_if_needed);
        if (touched(item) && reopens) out.push_back(item.id);
    }
    return out;
}

ItemId exposure_sheet_for(const Edition& edition, std::uint8_t stage) {
    ItemId sheet = known_item::exposure_sheet;
    if (stage == 13 || stage == 15) sheet = known_item::exposure_sheet_hf;
    if (stage == 14) sheet = known_item::exposure_sheet_data;
    if (stage == 18) sheet = known_item::exposure_sheet_upgrade;
    return edition.find(sheet) != nullptr ? sheet : known_item::exposure_sheet;
}

Result<void> exposure_worked_out(const ItemState& sheet, const PersonId& owner, Day transmission) {
    const std::optional<Day> done = sheet.reached_on();
    if (!done) {
        return refused("Work out the radio-frequency exposure of this station before it sends (see the safety stage).");
    }
    if (*done > transmission) {
        return refused("The exposure sheet is dated " + to_iso(*done) + ", after this transmission (" +
                       to_iso(transmission) + "); it comes first.");
    }
    if (!sheet.confirmed_by_another(owner)) {
        return refused("The exposure sheet waits for a second person; ask your mentor to look at it and sign.");
    }
    return ok();
}

Result<void> antenna_may_go_up(const PersonId& owner, const std::optional<PersonId>& second,
                               const ItemState& site_walk) {
    if (!second || *second == owner) {
        return refused("No antenna goes up or comes down alone; name the second person who will be there.");
    }
    if (!site_walk.reached() || !site_walk.confirmed_by_another(owner)) {
        return refused("Walk the site with a second person first (07.01): nothing that falls may reach a power line.");
    }
    return ok();
}

Result<void> pool_in_force(Day first, Day last, Day exam) {
    if (exam < first) {
        return refused("This question pool comes into force on " + to_iso(first) + ", after the exam on " +
                       to_iso(exam) + "; study the edition before it.");
    }
    if (exam > last) {
        return refused("This question pool ends on " + to_iso(last) + ", before the exam on " + to_iso(exam) +
                       "; study the edition that follows, or sit the exam earlier.");
    }
    return ok();
}

Result<void> signer_holds(const Item& item, const PersonId& owner, const PersonId& signer, Level attested,
                          Level level) {
    if (signer == owner) return refused("Nobody signs an item of their own; a tick is your own word.");
    if (item.kind != ItemKind::skill) {
        if (level == Level::none) return ok();
        return Error{Fault::bad_input, "Only skills have a level; sign " + to_text(item.id) + " without one."};
    }
    if (level < Level::with_help) {
        return Error{Fault::bad_input, "A skill is signed at a level: 2 with help, 3 alone or 4 taught it."};
    }
    if (attested < level) {
        const std::string own = attested == Level::none ? "none yet" : "'" + std::string(to_word(attested)) + "'";
        return refused("You can sign only up to the level that you hold yourself in " + to_text(item.id) + " (" + own +
                       "); somebody who holds '" + std::string(to_word(level)) + "' can.");
    }
    return ok();
}

Result<void> tick_gates(const Item& item, Role speaker, const TickFacts& facts) {
    if (facts.day > facts.today) return future_day(facts.day, facts.today);
    if (speaker == Role::mentor) {
        TRY(group_complete(facts.group, facts.today));
    }
    if (item.id == known_item::second_person_at_antenna || item.id == known_item::antenna_up) {
        TRY(antenna_may_go_up(facts.group.newcomer, facts.second_person,
                              state_of(facts.states, known_item::site_walk)));
    }
    if (item.gate != ItemGate::grant) return ok();
    if (!facts.on_air) {
        return Error{Fault::bad_input, "Say under which call sign you were on the air: your own, or as whose guest."};
    }
    TRY(grant_visible(*facts.on_air, state_of(facts.states, known_item::grant_visible), facts.day));
    if (std::holds_alternative<AsGuest>(*facts.on_air) || !needs_exposure(item)) return ok();
    const ItemState& sheet = state_of(facts.states, exposure_sheet_for(facts.edition, item.id.stage));
    return exposure_worked_out(sheet, facts.group.newcomer, facts.day);
}

}  // namespace ladderline::domain
