#include "protocol/crypto/library.hpp"

#include <sodium.h>

namespace ladderline::protocol {

std::string_view crypto_library_version() {
    return sodium_version_string();
}

}  // namespace ladderline::protocol
