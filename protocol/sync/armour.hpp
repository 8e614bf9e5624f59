#pragma once
// Bundles as text, for letters and messages: seven-bit, lines of at most 64 characters. Survives other line ends,
// blanks at the ends of lines, empty lines, quoting marks (any of "> | :" and blanks before a line), and other text
// around it.
//
//   LADDERLINE-BUNDLE-BEGINS
//   base 64 (RFC 4648, section 4) without padding, 64 characters a line
//   LADDERLINE-BUNDLE-ENDS check       check: 16 hexadecimal digits over the bytes

#include <vector>

#include "protocol/base/bytes.hpp"
#include "protocol/limits.hpp"

namespace ladderline::protocol {

// Ends with a line break.
std::string to_armour(ByteView part);

// Whether a text holds a bundle, or the beginning of one.
bool holds_armour(std::string_view text);

// Every bundle in the text, in order, each read or with one sentence (damaged): a spoiled one spoils no other. At most
// limits::bundle_text_parts_max; the rest of the text is left unread, which the last entry then says.
std::vector<Result<Bytes>> from_armour(std::string_view text);

}  // namespace ladderline::protocol
