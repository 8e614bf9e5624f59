#pragma once
// Beginning, letting others in, and the card that one shows.

#include "node/commands/context.hpp"
#include "protocol/handshake/preface.hpp"
#include "protocol/sync/messages.hpp"

namespace ladderline::node {

struct BeginRequest {
    std::string name;
    protocol::MemberRole role = protocol::MemberRole::newcomer;
    bool under_18 = false;
    std::string club;       // founds a club of that name; officers only
    std::string call_sign;  // optional
    std::string locator;    // optional; cut to four characters
    std::string zone;       // IANA name; optional
};
// What can be said without a store: bad_input with what to change.
Result<void> check_begin(const BeginRequest& request);
// The owner's desk, a newcomer's path, an officer's club. Once a store. `context.me` is fresh.
Result<Done> begin(Context& context, const BeginRequest& request);

// The owner's name and card, and a desk of their own. Within the caller's transaction.
Result<void> open_desk(Context& context, const BeginRequest& who, const protocol::CardBody& card);

struct InviteRequest {
    protocol::CircleKind circle = protocol::CircleKind::path;
    protocol::MemberRole role = protocol::MemberRole::mentor;
    std::uint8_t level = 3;  // highest skill level they may sign
    std::int32_t days = 7;   // 1..60
    std::string address;     // host:port where this node listens
};
// A code for one person, once: "LADDER-" and base 32. It carries a 256-bit secret, so it is handed over like a key.
struct Invite {
    std::string code;
    protocol::CircleId circle;
    WallTime expires;
};
Result<Invite> invite(Context& context, const InviteRequest& request);

// An invite that nobody is told of, good for so long: what a greeting offers to whoever passes it. The same refusals as
// an invite.
Result<protocol::InviteId> offer_to_stranger(Context& context, const InviteRequest& request, std::int64_t wait_ms);

// What a code says.
struct InviteCode {
    protocol::InviteId id;
    Bytes secret;  // 32 bytes
    std::string address;
};
std::string to_code(const InviteCode& invite);
// A mistyped code is noticed (4 check bytes); the sentence says whether its beginning, a character or its end is wrong.
// Words before LADDER-, blanks and hyphens do not count.
Result<InviteCode> parse_code(std::string_view code);
// Twelve letters A to Z that two people compare by voice when a code went by a way on which it could be changed. They
// follow from the code and are no secret.
std::string check_letters_of(const InviteCode& code);

// The inviting side of a join, once the secret has been proved. Admits the device's owner; a refusal is in the welcome.
// The invite is used up only if somebody was let in.
Result<protocol::WelcomeMessage> let_in(Context& context, const protocol::InviteId& invite,
                                        const protocol::JoinMessage& join);
// The secret of an invite that is open now.
Result<std::optional<Bytes>> secret_of_invite(Context& context, const protocol::InviteId& invite);
// The joining side, once the welcome came: takes the key. The circle fills with the first sync.
Result<Done> accept_welcome(Context& context, const protocol::WelcomeMessage::Joined& joined);

// Takes a member of the own club onto the own path without a code.
Result<Done> let_onto_path(Context& context, std::string_view who, protocol::MemberRole role, std::uint8_t level);

struct CardRequest {
    std::optional<std::string> call_sign;
    std::optional<std::string> locator;
    std::optional<std::string> zone;
    std::optional<std::uint8_t> room;
    std::optional<std::vector<std::string>> topics;
    std::optional<std::vector<std::string>> bands;
    std::optional<std::vector<protocol::WeeklyWindow>> windows;
    std::optional<bool> resting;
    std::optional<std::string> licence_class = {};  // code or name; empty: not said
};
// Shows the owner's card in a circle that they were just let into.
Result<void> show_card(Context& context, const protocol::CircleId& circle);
// What the owner's card says now.
Result<protocol::CardBody> own_card(Context& context);
// Changes what is given and leaves the rest; shown in every circle of the owner's but the desk.
Result<Done> change_card(Context& context, const CardRequest& request);

// "Tue 18:00-21:00, Sat 09:00-12:00"
Result<std::vector<protocol::WeeklyWindow>> parse_windows(std::string_view text);

}  // namespace ladderline::node
