#pragma once
// People who compare words say nothing to their machines meanwhile, so only the system can tell that the cable is out.

#include <boost/asio/ip/tcp.hpp>

namespace ladderline::node::net {

// Milliseconds without a sign of the other machine after which the system ends the connection. Long enough for a
// wireless network that loses its place, short enough for somebody who calls again.
inline constexpr int dead_line_ms_max = 9'000;

// The socket ends after that, whether anything was sent or not. Where the system does not take an option, other limits
// of the call are what ends it.
void notice_a_dead_line(boost::asio::ip::tcp::socket& socket);

}  // namespace ladderline::node::net
