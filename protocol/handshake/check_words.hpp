#pragma once
// Check words: six letters that two people compare by voice after a handshake between strangers.
//
// Three messages inside the finished channel (h = handshake hash, nI and nR = 32 random bytes each):
//   1. responder -> initiator   c = BLAKE2b-256("sas-c" | h | nR)
//   2. initiator -> responder   nI
//   3. responder -> initiator   nR; the initiator checks c
// Letters: the first 8 bytes of BLAKE2b-256("sas" | h | nI | nR), little-endian, modulo 26^6, most significant letter
// first. 2^64 is not a multiple of 26^6 (2^28.2), so some strings are likelier than others by less than 2^-35 of their
// chance.
// Somebody in between must fix his own nonce on each side before he learns the honest one, so an attempt succeeds with
// 1 in 308,915,776, and a failed one is heard. (The commitment scheme of Vaudenay, CRYPTO 2005.)
// The letters are not secret; they may be read over the air. Show them only after message 3 was checked.

#include "protocol/handshake/noise.hpp"

namespace ladderline::protocol {

struct CheckNonceTag;
struct CheckCommitmentTag;
using CheckNonce = FixedBytes<CheckNonceTag, 32>;
using CheckCommitment = FixedBytes<CheckCommitmentTag, 32>;

inline constexpr std::size_t check_letters_count = 6;

// Message 1 from the responder's own nonce (draw it fresh for each attempt, tell nobody before message 2 has come).
CheckCommitment check_commit(const HandshakeHash& handshake, const CheckNonce& responder_nonce);
// Initiator, on message 3: Fault::peer if the revealed nonce is not the one committed to. Then close and count.
Result<void> check_verify(const HandshakeHash& handshake, const CheckCommitment& commitment,
                          const CheckNonce& responder_nonce);
// Six letters A to Z.
std::string check_letters(const HandshakeHash& handshake, const CheckNonce& initiator_nonce,
                          const CheckNonce& responder_nonce);

// The word for a letter A to Z (ITU Radio Regulations, appendix 14): 'J' -> "Juliett".
std::string_view itu_word(char letter);
// "Alfa Bravo ..." for letters A to Z.
std::string itu_spelling(std::string_view letters);

}  // namespace ladderline::protocol
