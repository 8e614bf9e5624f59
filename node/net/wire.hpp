#pragma once
// A socket and the protocol::Connection on it: one loop that reads and one that writes. What comes is for the talker to
// understand; what is to go out is fetched from it as far as the socket keeps up. Everything runs on one strand.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <memory>
#include <optional>

#include "protocol/handshake/connection.hpp"

namespace ladderline::node::net {

// Who speaks over a wire.
class Talker {
public:
    // Any error of these two ends the wire.
    virtual Result<void> on_bytes(ByteView bytes) = 0;
    // Takes in one message of the bytes that came; false if there is none.
    virtual Result<bool> take_message() = 0;
    // What is to be said next; asked once the channel stands.
    virtual std::optional<Bytes> next_message() = 0;
    // Nothing more will be said: what is ready is written, then the wire is closed.
    virtual bool is_over() const = 0;
    // The wire has ended; its talker's own timers end with it.
    virtual void on_end() = 0;

protected:
    ~Talker() = default;
};

class Wire {
public:
    using Socket = boost::asio::ip::tcp::socket;

    // `connection` and `talker` outlive the wire.
    Wire(Socket socket, protocol::Connection& connection, Talker& talker);

    // Once. Runs until the wire ends, and says why. `owner` holds the wire, its connection and its talker, and is kept
    // as long as either loop runs.
    boost::asio::awaitable<Error> run(std::shared_ptr<void> owner);
    // The talker has something new to say, or is over.
    void say();
    void fail(Error why);
    // At once, without a word.
    void cut(Error why);

    bool has_ended() const { return end_.has_value(); }
    Socket& socket() { return socket_; }

private:
    static boost::asio::awaitable<void> write_loop(std::shared_ptr<Wire> self);
    static boost::asio::awaitable<void> hang_up(std::shared_ptr<Wire> self);
    boost::asio::awaitable<void> take_messages();
    Result<void> pump();
    void append(const Bytes& sealed);

    Socket socket_;
    boost::asio::steady_timer wake_;     // the writer sleeps on it
    boost::asio::steady_timer drained_;  // the reader sleeps on it while the peer is slow
    protocol::Connection& connection_;
    Talker& talker_;
    Bytes incoming_;
    Bytes outgoing_;
    std::optional<Error> end_;
    bool hung_up_ = false;  // the last byte is written
};

}  // namespace ladderline::node::net
