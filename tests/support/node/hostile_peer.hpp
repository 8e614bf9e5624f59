#pragma once
// A peer over a real socket that does what no honest program does. It may hold a member's keys.

#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/write.hpp>

#include "protocol/handshake/connection.hpp"
#include "protocol/sync/returning.hpp"
#include "tests/support/node/loopback.hpp"

namespace ladderline::test {

class HostilePeer {
public:
    HostilePeer(Loopback& loop, std::uint16_t port) : loop_(loop), socket_(loop.io) {
        socket_.connect({boost::asio::ip::address_v4::loopback(), port});
        socket_.non_blocking(true);
    }
    HostilePeer(const HostilePeer&) = delete;
    HostilePeer& operator=(const HostilePeer&) = delete;

    // The handshake as the device of `self`, to its end: a member who turned bad.
    void shake_hands(const store::Identity& self, const protocol::DhPublic& node) {
        protocol::InitiatorSetup setup;
        setup.local_static = {self.noise.pub, self.noise.secret.clone()};
        setup.remote_static = node;
        shake_hands(std::move(setup));
    }
    // The handshake of whoever knows that there is such a member, and would come back as them.
    void shake_hands_as_returning(const store::Identity& self, const protocol::MemberId& member) {
        protocol::InitiatorSetup setup;
        setup.pattern = protocol::WirePattern::xx_psk0;
        setup.local_static = {self.noise.pub, self.noise.secret.clone()};
        setup.invite = protocol::return_invite(member);
        setup.psk = protocol::return_psk(member);
        shake_hands(std::move(setup));
    }
    void shake_hands(protocol::InitiatorSetup setup) {
        connection_.emplace(protocol::Connection::initiate(std::move(setup), random_, now()));
        loop_.until([&] {
            flush();
            take_in();
            return ended_ || connection_->established();
        });
    }
    bool is_through() const { return connection_ && connection_->established(); }

    // A message inside the channel. False once the node has hung up.
    bool say(ByteView message) {
        if (ended_ || !connection_->send(message)) return false;
        flush();
        return !ended_;
    }
    // Bytes as they are, past the channel, as far as the socket takes them.
    std::size_t throw_bytes(ByteView bytes) {
        boost::system::error_code error;
        const std::size_t written = socket_.write_some(boost::asio::buffer(bytes.data(), bytes.size()), error);
        if (error && error != boost::asio::error::would_block) ended_ = true;
        return error ? 0 : written;
    }
    // True once the node has hung up. Does not wait.
    bool ended() {
        take_in();
        return ended_;
    }
    // Runs the node until it hangs up; false if it never does.
    bool is_hung_up_on() {
        return loop_.until([&] { return ended(); });
    }
    // Everything the node said on the wire.
    const Bytes& wire() const { return wire_; }

private:
    MonoTime now() { return loop_.clock.monotonic(); }

    void flush() {
        Bytes out = connection_->next_output();
        for (std::size_t at = 0; at < out.size() && !ended_;) {
            at += throw_bytes(ByteView(out).subspan(at));
            if (at < out.size()) loop_.run_step();
        }
    }
    void take_in() {
        while (!ended_) {
            std::array<std::uint8_t, 16384> buffer{};
            boost::system::error_code error;
            const std::size_t size = socket_.read_some(boost::asio::buffer(buffer), error);
            if (error == boost::asio::error::would_block) return;
            if (error) {
                ended_ = true;
                return;
            }
            wire_.insert(wire_.end(), buffer.begin(), buffer.begin() + static_cast<std::ptrdiff_t>(size));
            if (!connection_) continue;
            static_cast<void>(connection_->on_bytes(ByteView(buffer).first(size), now()).has_value());
            while (connection_->next_message()) {
            }
        }
    }

    Loopback& loop_;
    boost::asio::ip::tcp::socket socket_;
    SeededRandom random_{4711};
    std::optional<protocol::Connection> connection_;
    Bytes wire_;
    bool ended_ = false;
};

}  // namespace ladderline::test
