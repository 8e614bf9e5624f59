#pragma once
// Epoch keys of a circle: who gets one, which of several is written under, when a new one is due. Pure functions of
// the circle's state; calendar days are arguments.

#include "protocol/circle/state.hpp"

namespace ladderline::protocol {

// A circle's key is replaced at the latest after this many days, if two devices or more share it.
inline constexpr std::int32_t epoch_days_max = 90;

// A guardian who is present said so, did not take it back, and its days cover `today`. A household whose key was
// changed because it ended by somebody's calendar stays closed until a guardian says it again: otherwise two devices
// with different dates would bring key after key, one opening and one closing.
bool consent_in_force(const CircleState& state, Day today);
// Whom a key may go to on that day. A minor's path without guardian, second adult or consent in force: the household.
Readers readers_on(const CircleState& state, Day today);
// Present members within `readers`.
std::set<MemberId> members_of(const CircleState& state, Readers readers);
// True if the device may be given that key on that day: a reader's, and not revoked. A key made for the household stays
// with it until a key for everybody follows: what is written under must not reach others, who would keep reading when
// consent ends. Afterwards it opens what was said meanwhile, without which nobody could follow who is in the circle.
bool may_read(const CircleState& state, const DeviceId& device, const KeyId& key, Day today);
MembersDigest digest_of(const std::set<MemberId>& members);

// Who may bring a new key: a club's officers, a path's newcomer and guardians, the owner of a desk.
Result<void> may_rotate(const CircleState& state, const MemberId& by);
// True if the circle needs a new key on that day: somebody who had the one written under is gone, unseen by whoever
// made it, or it is made for others than may read now. Age is not looked at. Epochs side by side need no third one as
// long as the one written under knows of everybody who is gone: two officers who both replaced two keys would go on for
// ever.
bool rotation_due(const CircleState& state, Day today);
// The same, or the key is old. `since`: when the current key came, as its author's clock said.
bool rotation_due(const CircleState& state, WallTime since, WallTime now);

// Puts epochs that stand side by side in order, the one to write under first, whatever order they are given in.
// First those whose readers include no other's readers and more; among them the higher rank, then the longer time in
// that role, then the smaller event id; the others follow by the same rule.
void put_in_order(std::vector<Epoch>& epochs);

// An older key for whoever holds the newer one.
KeyLink seal_link(const CircleId& circle, const AeadKey& newer, const AeadKey& older);
// wrong_key if it was not sealed so, or if the key inside is not the one named.
Result<AeadKey> open_link(const CircleId& circle, const AeadKey& newer, const KeyLink& link);

}  // namespace ladderline::protocol
