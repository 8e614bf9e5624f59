#pragma once
// Which cryptography this process runs with.

#include <string_view>

namespace ladderline::protocol {

// The version of libsodium that this process runs with, as "1.0.18"; it may be newer than the one it was built with.
std::string_view crypto_library_version();

}  // namespace ladderline::protocol
