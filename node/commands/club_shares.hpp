#pragma once
// What the owner lets a club hold is noted club by club: consent for one is none for the next, and ends with leaving.

#include "node/commands/context.hpp"
#include "node/domain/licence/clocks.hpp"

namespace ladderline::node {

// One kind of consent. The settings are called `name`, a colon and the club's id.
struct ClubShare {
    std::string_view name;
    std::uint16_t kind;  // the register in which the club sees what it may hold
    // Programs that knew one club noted the value alone, under `name`: whether a write shows what that allowed.
    bool (*shows)(const Bytes& payload, const std::string& value);
};
// Twelve facts about the own way; the value is the last day.
extern const ClubShare row_share;
// The own study; the value is the pool's element.
extern const ClubShare study_share;

struct NotedShare {
    CircleView club;
    std::string value;
};
// Those of clubs that the owner is in.
Result<std::vector<NotedShare>> noted_shares(Context& context, const ClubShare& share);
// When the twelve facts end that the owner lets their clubs hold: near the day, and from then on until they agree again
// or end it.
Result<std::vector<domain::DueLine>> ending_shares(Context& context);
// For that club, as share_with_club (club_row.hpp) for the only one.
Result<Done> share_with_club(Context& context, const CircleView& club, Day until);
Result<void> note_share(Context& context, const ClubShare& share, const protocol::CircleId& club,
                        std::string_view value);
// For every club.
Result<void> end_shares(Context& context, const ClubShare& share);
// Of every kind, for a club that is left.
Result<void> end_shares_with(Context& context, const protocol::CircleId& club);

}  // namespace ladderline::node
