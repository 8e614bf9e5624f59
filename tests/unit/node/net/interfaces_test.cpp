#include "node/net/interfaces.hpp"

#include <doctest/doctest.h>

#include <algorithm>

using namespace ladderline::node::net;

TEST_CASE("the address for invites is this machine's own, of an interface that is up, or the loopback's") {
    boost::asio::io_context io;
    const auto own = outward_address(io);
    const auto all = interfaces();
    const bool known = std::any_of(all.begin(), all.end(), [&](const Interface& one) { return one.own == own; });
    CHECK((known || own.is_loopback()));
}
