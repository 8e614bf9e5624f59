#pragma once
// One question to a node that is not a peer yet, over a connection that both ends can only make with a shared secret.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <functional>
#include <memory>
#include <string>

#include "node/net/address.hpp"
#include "node/net/host.hpp"

namespace ladderline::node::net {

struct Question {
    Address address;
    protocol::InviteId invite;
    protocol::Psk secret;
    // What to ask, once the handshake is done.
    std::function<Bytes(const protocol::Connection&)> words;
    std::string kept;  // the part of a sentence that says what did not happen: "Nothing was joined"
    Error silence;     // when the node closes without an answer
    std::int64_t wait_ms_max = 15'000;
    bool nameless = false;  // under a key made for this question alone, not the device's
    // Said before `words`, if it is given; the other end says nothing to it.
    std::function<Bytes(const protocol::Connection&)> before = nullptr;
};

struct Reply {
    Bytes message;
    protocol::DhPublic remote;  // the key that the other end proved
    std::optional<Bytes> more;  // a second message that stood behind the first
};

// Opens the socket. network: nobody there, with a sentence that says which step failed and what did not happen. Whoever
// calls this may close both to cut it short.
boost::asio::awaitable<Result<void>> reach(std::shared_ptr<boost::asio::ip::tcp::socket> socket,
                                           std::shared_ptr<boost::asio::ip::tcp::resolver> resolver, Address address,
                                           std::string kept);

// network: nobody there, with a sentence that says which step failed.
boost::asio::awaitable<Result<Reply>> ask_once(boost::asio::any_io_executor strand, Parts parts,
                                               std::shared_ptr<const Question> question);

}  // namespace ladderline::node::net
