#pragma once
// Who may say what about an item. One table: rights.cpp. A refusal is a sentence that says who may.

#include <initializer_list>
#include <span>
#include <string_view>

#include "node/domain/ladder/record.hpp"

namespace ladderline::domain {

class RoleSet {
public:
    constexpr RoleSet() = default;
    constexpr RoleSet(std::initializer_list<Role> roles) {
        for (Role role : roles) bits_ |= bit(role);
    }
    constexpr bool has(Role role) const { return (bits_ & bit(role)) != 0; }
    constexpr bool empty() const { return bits_ == 0; }
    constexpr RoleSet with(Role role) const {
        RoleSet out = *this;
        out.bits_ |= bit(role);
        return out;
    }
    constexpr RoleSet common(RoleSet other) const {
        RoleSet out;
        out.bits_ = bits_ & other.bits_;
        return out;
    }
    constexpr bool operator==(const RoleSet&) const = default;

private:
    static constexpr unsigned bit(Role role) { return 1U << static_cast<unsigned>(role); }
    unsigned bits_ = 0;
};

// "the mentor or an officer"
std::string to_words(RoleSet roles);

// Which seats may record a `signs` word, and why those.
struct SignRow {
    SignWord word;
    RoleSet roles;         // of an ordinary item
    RoleSet safety_roles;  // of a safety item
    std::string_view reason;
};
std::span<const SignRow> sign_table();

// Seats that may tick. The owner of the way always speaks as newcomer.
RoleSet may_tick_roles(const Edition& edition, const Item& item);
// Seats that may sign; empty if the item takes no signature. `owner_under_18`: the guardian signs for the public
// address, and witnesses of a guardian's own ticks are another guardian or the second adult.
RoleSet may_sign_roles(const Edition& edition, const Item& item, bool owner_under_18);

// Somebody of the circle: one person may hold several seats (a mentor who is also an officer of the club).
struct Actor {
    PersonId person;
    RoleSet roles;
    Level attested = Level::none;  // the level this person holds in the item's skill, as signed on their own way,
                                   // or as the club vouches for a mentor's topics
};

struct Way {
    PersonId owner;
    bool under_18 = false;
};

// Tick and untick.
Result<void> may_tick(const Edition& edition, const Item& item, const Way& way, const Actor& actor);
// Seat, not the own item, not the ticker of it, a level exactly for skills and within what the signer holds
// (gates.hpp: signer_holds). `state` is the item's state before the signature.
Result<void> may_sign(const Edition& edition, const Item& item, const Way& way, const Actor& actor, Level level,
                      const ItemState& state);
// Only the author of a standing signature; the reason must not be empty.
Result<void> may_withdraw(const ItemState& state, const Actor& actor, const StatementId& about,
                          std::string_view reason);
// A mentor for the owner, or the owner for themselves.
Result<void> may_assign(const Item& item, const Way& way, const Actor& actor);
// Only the owner; no reason is ever asked.
Result<void> may_set_aside(const Item& item, const Way& way, const Actor& actor);
// The owner (a change was made, or it is wanted again), or anyone who may sign the item.
Result<void> may_reopen(const Edition& edition, const Item& item, const Way& way, const Actor& actor);

// The seat to write into a statement: of the seats that the actor holds and the act allows, the first of
// newcomer, guardian, second adult, officer, mentor. Precondition: they share one.
Role speaking_role(RoleSet allowed, const Actor& actor);

}  // namespace ladderline::domain
