#pragma once
// The calling side of a greeting: reaches a node that waits for one stranger, shows the letters, says what this side's
// person found, and joins if both have found the same. It tells nothing about its person before that.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <memory>
#include <optional>
#include <string>

#include "node/net/address.hpp"
#include "node/net/host.hpp"
#include "protocol/handshake/greeting.hpp"

namespace ladderline::node::net {

struct VoiceSetup {
    Address address;
    protocol::JoinMessage who;
    std::int64_t wait_ms_max = 15'000;
};

class VoiceCall : public std::enable_shared_from_this<VoiceCall> {
public:
    static std::shared_ptr<VoiceCall> make(boost::asio::any_io_executor strand, const Parts& parts, VoiceSetup setup);
    VoiceCall(const VoiceCall&) = delete;
    VoiceCall& operator=(const VoiceCall&) = delete;

    // Six letters, once the host's part of them has been checked. network: nobody there. refused: no greeting is open
    // there, or somebody else is in it. peer: the host's part did not fit. First, and once.
    static boost::asio::awaitable<Result<std::string>> dial(std::shared_ptr<VoiceCall> self);
    // This person's word, and what came of it; after dial, once. refused: they said that the letters differ, the other
    // person did, or a gate says no. The host is noted as checked by voice, with its address.
    static boost::asio::awaitable<Result<protocol::WelcomeMessage::Joined>> finish(std::shared_ptr<VoiceCall> self,
                                                                                   bool same);
    // Ends whatever runs.
    void hang_up();

private:
    VoiceCall(boost::asio::any_io_executor strand, const Parts& parts, VoiceSetup setup);
    static boost::asio::awaitable<Result<void>> step(std::shared_ptr<VoiceCall> self);
    static boost::asio::awaitable<Result<Bytes>> next_message(std::shared_ptr<VoiceCall> self);
    Result<void> send_waiting();
    void limit_to(std::int64_t wait_ms);
    Result<protocol::WelcomeMessage::Joined> read_welcome(ByteView bytes);

    Parts parts_;
    VoiceSetup setup_;
    std::shared_ptr<boost::asio::ip::tcp::socket> socket_;
    std::shared_ptr<boost::asio::ip::tcp::resolver> resolver_;
    boost::asio::steady_timer limit_;
    protocol::Connection connection_;
    std::optional<protocol::Greeting> greeting_;
    Bytes incoming_;
};

}  // namespace ladderline::node::net
