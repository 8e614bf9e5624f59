#pragma once
// Circles and their people, as pages and commands ask for them.

#include "node/domain/ladder/rights.hpp"
#include "node/read_models/shown_views.hpp"
#include "protocol/circle/state.hpp"
#include "protocol/event/bodies.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::node {

struct CircleView {
    protocol::CircleId id;
    protocol::CircleKind kind = protocol::CircleKind::desk;
    std::string name;
    protocol::MemberId founder;
};
Result<std::vector<CircleView>> circles(store::sqlite::Database& db);

struct PersonView {
    protocol::MemberId id;
    protocol::MemberRole role = protocol::MemberRole::newcomer;
    std::uint8_t level = 0;  // highest skill level they may sign here
    std::string name;        // the card's, else as admitted
    bool is_minor = false;
    std::optional<protocol::CardBody> card;
};
// Present members, by name.
Result<std::vector<PersonView>> people(store::sqlite::Database& db, const protocol::CircleId& circle);

// One of them; none if not present.
Result<std::optional<PersonView>> person(store::sqlite::Database& db, const protocol::CircleId& circle,
                                         const protocol::MemberId& id);

struct PairingView {
    protocol::MemberId newcomer;
    protocol::MemberId mentor;
    protocol::PairingStep step = protocol::PairingStep::proposed;
    Day day;
    bool newcomer_said_yes = false;  // to a proposal that is open
    bool mentor_said_yes = false;
    bool were_together = false;  // ended: the pairing stood, and was not a proposal that was taken back
};
// Where every pair that was ever proposed or agreed stands, in order of day (pairing_views.cpp).
Result<std::vector<PairingView>> pairings(store::sqlite::Database& db, const protocol::CircleId& circle);

// The first day on which somebody who is a mentor there now was let in; none without a mentor.
Result<std::optional<Day>> mentored_since(store::sqlite::Database& db, const protocol::CircleId& circle);
// The latest day on which a mentor said they had been in touch.
Result<std::optional<Day>> last_touch(store::sqlite::Database& db, const protocol::CircleId& circle);

// Seats and persons in the words of node/domain.
domain::Role to_domain(protocol::MemberRole role);
inline domain::PersonId to_domain(const protocol::MemberId& id) {
    return {id.data};
}
inline protocol::MemberId to_protocol(const domain::PersonId& id) {
    return {id.data};
}
std::string_view role_word(protocol::MemberRole role);
Result<protocol::MemberRole> parse_role(std::string_view word);

}  // namespace ladderline::node
