#include "node/domain/ladder/rights.hpp"

#include <array>

#include "node/domain/ladder/gates.hpp"

namespace ladderline::domain {
namespace {

constexpr RoleSet anyone_else{Role::mentor, Role::guardian, Role::second_adult, Role::officer};
constexpr RoleSet mentor_or_officer{Role::mentor, Role::officer};

// Seats of a path are newcomer, mentor, guardian and second adult; most other witnesses have no seat and need not
// use the program, so somebody with a seat records their word. Safety items are held closer where it matters.
constexpr std::array<SignRow, 11> table{{
    {SignWord::none, {}, {}, "The person's own word is enough."},
    {SignWord::mentor, {Role::mentor}, {Role::mentor}, "The mentor saw it, heard it or asked about it."},
    {SignWord::instructor, mentor_or_officer, mentor_or_officer,
     "A class teacher rarely has a seat; the mentor or an officer takes the teacher's word."},
    {SignWord::examiner, mentor_or_officer, mentor_or_officer,
     "Examiners need not use the program; the mentor or an officer has seen the paper."},
    {SignWord::net_control, mentor_or_officer, mentor_or_officer,
     "Whoever ran the net rarely has a seat; the mentor or an officer heard it or was told by net control."},
    {SignWord::event_lead, mentor_or_officer, mentor_or_officer,
     "The event's lead rarely has a seat; the mentor or an officer takes the lead's word."},
    {SignWord::guardian, {Role::guardian}, {Role::guardian}, "Only a guardian speaks for the family."},
    {SignWord::second_person, anyone_else, anyone_else, "Whoever stood there; any seat but the person's own."},
    {SignWord::other_station, anyone_else, anyone_else,
     "Whoever sat at the other station, or has seen that station's entry."},
    {SignWord::club,
     mentor_or_officer,
     {Role::officer},
     "An officer speaks for the club; the mentor may record what the club said, but not on safeguarding."},
    {SignWord::household, anyone_else, anyone_else,
     "The household has no seat of its own; whoever was shown it, or was told, says so."},
}};

constexpr std::array<Role, 5> speaking_order{Role::newcomer, Role::guardian, Role::second_adult, Role::officer,
                                             Role::mentor};

const SignRow& row_of(SignWord word) {
    const SignRow& row = table[static_cast<std::size_t>(word)];
    ENSURE(row.word == word);
    return row;
}

std::string named(const Item& item) {
    return to_text(item.id) + " '" + item.text + "'";
}

Error refused(std::string sentence) {
    return {Fault::refused, std::move(sentence)};
}

Result<void> on_this_way(const Item& item, const Way& way) {
    if (item.applies == AppliesTo::minor && !way.under_18) {
        return refused("Item " + named(item) + " is for people under 18 and is not on this way.");
    }
    return ok();
}

bool is_owner(const Way& way, const Actor& actor) {
    return actor.person == way.owner;
}

}  // namespace

std::string to_words(RoleSet roles) {
    std::vector<std::string> names;
    for (const Role role : {Role::newcomer, Role::mentor, Role::guardian, Role::second_adult, Role::officer}) {
        if (!roles.has(role)) continue;
        names.push_back((role == Role::officer ? "an " : "the ") + std::string(to_word(role)));
    }
    std::string out;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (i > 0) out += i + 1 == names.size() ? " or " : ", ";
        out += names[i];
    }
    return out.empty() ? "nobody" : out;
}

std::span<const SignRow> sign_table() {
    return table;
}

RoleSet may_tick_roles(const Edition& edition, const Item& item) {
    switch (item.ticks) {
        case TickWord::newcomer:
            return {Role::newcomer};
        case TickWord::mentor:
            return edition.walked_as_mentor(item.id) ? RoleSet{Role::newcomer} : RoleSet{Role::mentor};
        case TickWord::guardian:
            return {Role::guardian};
        case TickWord::club:  // the second adult is the club's own choice, and may hold the only seat it has
            return {Role::officer, Role::second_adult};
    }
    return {};
}

RoleSet may_sign_roles(const Edition&, const Item& item, bool owner_under_18) {
    if (item.id == known_item::public_address && item.safety && owner_under_18) return {Role::guardian};
    // A guardian's own tick is no second word: another guardian or the second adult witnesses it.
    if (item.ticks == TickWord::guardian && item.signs == SignWord::guardian) {
        return {Role::guardian, Role::second_adult};
    }
    const SignRow& row = row_of(item.signs);
    return item.safety ? row.safety_roles : row.roles;
}

Result<void> may_tick(const Edition& edition, const Item& item, const Way& way, const Actor& actor) {
    TRY(on_this_way(item, way));
    const RoleSet allowed = may_tick_roles(edition, item);
    const bool own_item = allowed.has(Role::newcomer);
    if (own_item && is_owner(way, actor)) return ok();
    if (own_item) {
        return refused("Item " + named(item) + " is ticked by the person whose way it is, and by nobody else.");
    }
    if (is_owner(way, actor) || allowed.common(actor.roles).empty()) {
        return refused("Item " + named(item) + " is ticked by " + to_words(allowed) + ".");
    }
    return ok();
}

Result<void> may_sign(const Edition& edition, const Item& item, const Way& way, const Actor& actor, Level level,
                      const ItemState& state) {
    TRY(on_this_way(item, way));
    if (item.signs == SignWord::none) {
        return refused("Item " + named(item) + " needs no signature; the tick is enough.");
    }
    TRY(signer_holds(item, way.owner, actor.person, actor.attested, level));
    const RoleSet allowed = may_sign_roles(edition, item, way.under_18);
    if (allowed.common(actor.roles).empty()) {
        return refused("Item " + named(item) + " is signed by " + to_words(allowed) + ".");
    }
    if (state.tick && state.tick->author == actor.person) {
        return refused("You ticked " + named(item) + " yourself; the signature is for somebody else to give.");
    }
    if (state.reopening && !state.tick) {
        return refused("Item " + named(item) +
                       " was opened again; it is done and ticked once more before it is signed.");
    }
    return ok();
}

Result<void> may_withdraw(const ItemState& state, const Actor& actor, const StatementId& about,
                          std::string_view reason) {
    for (const Mark& mark : state.signatures) {
        if (mark.id != about) continue;
        if (mark.author != actor.person) {
            return refused("Only the person who gave a signature can withdraw it; it stands.");
        }
        if (reason.find_first_not_of(" \t\r\n") == std::string_view::npos) {
            return Error{Fault::bad_input, "A signature is withdrawn with a reason; write one line for the newcomer."};
        }
        return ok();
    }
    return Error{Fault::not_found, "That signature does not stand any more, so there is nothing to withdraw."};
}

Result<void> may_assign(const Item& item, const Way& way, const Actor& actor) {
    TRY(on_this_way(item, way));
    if (is_owner(way, actor) || actor.roles.has(Role::mentor)) return ok();
    return refused("Only the mentor, or the person whose way it is, says what comes next.");
}

Result<void> may_set_aside(const Item& item, const Way& way, const Actor& actor) {
    TRY(on_this_way(item, way));
    if (!is_owner(way, actor)) return refused("Only the person whose way it is skips an item or lets it rest.");
    if (item.gate != ItemGate::minor) return ok();
    return refused("Item " + named(item) +
                   " must stand before anybody under 18 is matched, so it is neither skipped nor left to rest.");
}

Result<void> may_reopen(const Edition& edition, const Item& item, const Way& way, const Actor& actor) {
    TRY(on_this_way(item, way));
    const RoleSet signers = may_sign_roles(edition, item, way.under_18);
    if (is_owner(way, actor) || !signers.common(actor.roles).empty()) return ok();
    return refused("Item " + named(item) + " is re-opened by the person whose way it is, or by " + to_words(signers) +
                   ".");
}

Role speaking_role(RoleSet allowed, const Actor& actor) {
    const RoleSet both = allowed.common(actor.roles);
    ENSURE(!both.empty());
    for (const Role role : speaking_order) {
        if (both.has(role)) return role;
    }
    return Role::newcomer;
}

}  // namespace ladderline::domain
