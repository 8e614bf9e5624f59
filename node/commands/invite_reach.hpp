#pragma once
// Whom the address of an invite leads here.

#include <string>
#include <string_view>

namespace ladderline::node {

// One sentence if not everybody who holds the code can call that address, host:port; empty otherwise. What the address
// says of itself alone: nobody is asked and nothing is tried.
std::string limits_of_address(std::string_view address);

}  // namespace ladderline::node
