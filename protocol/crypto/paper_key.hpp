#pragma once
// The paper key: 128 random bits that a person keeps on a sheet. From it follow the secret of a key slot, the member's
// identity and a key for sealed boxes, each by keyed BLAKE2b under a text of its own.
//
// Written form: 26 characters of Crockford's base 32 (the last with two spare zero bits), then 4 check characters (the
// first 20 bits of BLAKE2b-128 of "ladderline paper check 1", a zero byte and the seed), as 6 groups of 5.

#include <array>
#include <string>

#include "protocol/crypto/keys.hpp"

namespace ladderline::protocol {

struct PaperSeedTag;
using PaperSeed = Secret<PaperSeedTag, 16>;

inline constexpr std::size_t paper_groups = 6;
inline constexpr std::size_t paper_group_size = 5;  // characters
using PaperGroups = std::array<std::string, paper_groups>;

PaperGroups paper_groups_of(const PaperSeed& seed);
// "XXXXX-XXXXX-XXXXX-XXXXX-XXXXX-XXXXX"
std::string to_paper_text(const PaperSeed& seed);

// Either case, blanks, line breaks and hyphens anywhere, O for 0, I and L for 1. bad_input: a sentence that names the
// group to look at where that can be told (a group of the wrong length, a character that no key has, one character
// wrong, or two neighbours swapped).
Result<PaperSeed> read_paper_key(std::string_view text);
// One group as a person typed it, brought to the written form; characters that no key has stay as they are.
std::string tidy_paper_group(std::string_view typed);

// 32 bytes.
SecretBytes paper_slot_secret(const PaperSeed& seed);
// 32 bytes: what sign_keys_from_seed takes.
SecretBytes paper_member_seed(const PaperSeed& seed);
// For boxes that only the paper opens.
DhKeys paper_box_keys(const PaperSeed& seed);

}  // namespace ladderline::protocol
