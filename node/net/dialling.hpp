#pragma once
// A TCP connection to somewhere, within a time.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <memory>

#include "node/net/address.hpp"

namespace ladderline::node::net {

// network: with a sentence that says which step failed.
boost::asio::awaitable<Result<std::shared_ptr<boost::asio::ip::tcp::socket>>> dial_to(
    boost::asio::any_io_executor strand, Address address, std::int64_t wait_ms_max);

// Port 0 takes a free one. busy: somebody else has it; bad_input: no address of this machine.
Result<std::uint16_t> open_acceptor(boost::asio::ip::tcp::acceptor& acceptor, const Address& address);

}  // namespace ladderline::node::net
