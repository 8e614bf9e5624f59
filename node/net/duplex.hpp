#pragma once
// One TCP connection to a courier, or of a courier: a wire with limits of time, and what is said over it is a Talk's.
// Everything runs on one strand.

#include "node/net/wire.hpp"

namespace ladderline::node::net {

// One side's part in a connection.
class Talk {
public:
    virtual ~Talk() = default;
    // Once. The connection outlives the talk.
    virtual Result<void> on_established(protocol::Connection& connection) = 0;
    // Any error ends the connection.
    virtual Result<void> on_message(ByteView message) = 0;
    virtual std::optional<Bytes> next_output() = 0;
    // Nothing more will be said or is awaited: what is ready is written, then the connection is closed.
    virtual bool is_over() const = 0;
};

struct DuplexTimes {
    std::int64_t silence_ms_max = 60'000;     // without a byte of the peer's
    std::int64_t first_word_ms_max = 20'000;  // handshake and first message; the handshake alone can be said again
    std::int64_t whole_ms_max = 30 * 60'000;  // from the first byte to the last
};

class Duplex : public std::enable_shared_from_this<Duplex>, private Talker {
public:
    using Socket = Wire::Socket;

    // `clock` outlives the connection.
    Duplex(Socket socket, protocol::Connection connection, Clock& clock, std::unique_ptr<Talk> talk,
           DuplexTimes times = {});

    // Runs until the connection ends; ok if the talk came to its end.
    boost::asio::awaitable<Result<void>> run();
    // The talk has something new to say.
    void say() { wire_.say(); }
    // At once, without a word.
    void cut(const Error& why) { wire_.cut(why); }

    Talk& talk() { return *talk_; }

private:
    Result<void> on_bytes(ByteView bytes) override;
    Result<bool> take_message() override;
    std::optional<Bytes> next_message() override { return talk_->next_output(); }
    bool is_over() const override { return talk_->is_over(); }
    void on_end() override { limit_.cancel(); }

    static boost::asio::awaitable<void> watch(std::shared_ptr<Duplex> self);
    std::int64_t ms_left() const;

    boost::asio::steady_timer limit_;
    protocol::Connection connection_;
    Wire wire_;
    Clock& clock_;
    std::unique_ptr<Talk> talk_;
    DuplexTimes times_;
    MonoTime begun_;
    MonoTime heard_;
    bool told_established_ = false;
    bool spoken_to_ = false;  // the peer's first message came
};

}  // namespace ladderline::node::net
