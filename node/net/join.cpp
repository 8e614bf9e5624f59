#include "node/net/join.hpp"

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/connect.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>

#include "store/circles/peers.hpp"

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;
using asio::ip::tcp;
using Joined = WelcomeMessage::Joined;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr std::size_t read_bytes = 4096;

const Error unknown_invite{Fault::refused,
                           "The node there does not know this invite: it was used, has run out, or was not made there. "
                           "Nothing was joined; ask for a new one."};

Connection caller(const Parts& parts, const JoinSetup& setup) {
    InitiatorSetup initiator;
    initiator.pattern = WirePattern::xx_psk0;
    initiator.local_static = {parts.me.noise.pub, parts.me.noise.secret.clone()};
    initiator.invite = setup.invite;
    initiator.psk = Psk::copy_of(setup.secret);
    return Connection::initiate(std::move(initiator), parts.random, parts.clock.monotonic());
}

// What a whole message from the host means.
Result<Joined> read_welcome(ByteView bytes) {
    TRY(const SyncMessage message, decode_message(bytes));
    const auto* welcome = std::get_if<WelcomeMessage>(&message);
    if (welcome == nullptr) return Error{Fault::peer, "The node there answered the invite with something else."};
    if (!welcome->joined) return Error{Fault::refused, welcome->refusal};
    if (!is_genuine(welcome->joined->host)) return Error{Fault::peer, "The node there could not show who it is."};
    return *welcome->joined;
}

asio::awaitable<Result<Joined>> talk(Parts parts, JoinSetup setup, std::shared_ptr<tcp::socket> socket) {
    Connection connection = caller(parts, setup);
    Bytes incoming(read_bytes);
    bool asked = false;
    for (;;) {
        if (connection.established() && !asked) {
            asked = true;
            const Result<void> sent = connection.send(encode_message(setup.who));
            if (!sent) co_return sent.error();
        }
        const Bytes outgoing = connection.next_output();
        if (!outgoing.empty()) {
            const auto from = asio::buffer(outgoing);
            const auto [error, written] = co_await asio::async_write(*socket, from, tuple);
            if (error) co_return unknown_invite;
        }
        const std::optional<Bytes> message = connection.next_message();
        if (message) {
            Result<Joined> joined = read_welcome(*message);
            co_return joined;
        }
        const auto into = asio::buffer(incoming);
        const auto [error, size] = co_await socket->async_read_some(into, tuple);
        if (error) co_return unknown_invite;
        const Result<void> outcome = connection.on_bytes(ByteView(incoming).first(size), parts.clock.monotonic());
        if (!outcome) co_return outcome.error();
    }
}

}  // namespace

asio::awaitable<Result<Joined>> join(asio::any_io_executor strand, Parts parts, JoinSetup setup) {
    const auto socket = std::make_shared<tcp::socket>(strand);
    const auto resolver = std::make_shared<tcp::resolver>(strand);
    const auto late = std::make_shared<bool>(false);
    asio::steady_timer limit(strand);
    limit.expires_after(std::chrono::milliseconds(setup.wait_ms_max));
    limit.async_wait([socket, resolver, late](const boost::system::error_code& error) {
        if (error) return;
        *late = true;
        resolver->cancel();
        boost::system::error_code ignored;
        socket->close(ignored);
    });
    const std::string where = to_text(setup.address);
    const std::string port = std::to_string(setup.address.port);
    const auto [unresolved, endpoints] = co_await resolver->async_resolve(setup.address.host, port, tuple);
    if (unresolved) {
        Error error(Fault::network, where + " cannot be found. Nothing was joined; check the network and try again.");
        co_return error;
    }
    const auto [refused, endpoint] = co_await asio::async_connect(*socket, endpoints, tuple);
    if (refused) {
        Error error(Fault::network, "Nobody answers at " + where +
                                        ". Nothing was joined; see that the other node runs, and try again.");
        co_return error;
    }
    Result<Joined> joined = co_await talk(parts, setup, socket);
    limit.cancel();
    if (*late) {
        Error error(Fault::network, where + " did not answer in time. Nothing was joined; try again.");
        co_return error;
    }
    if (joined) {
        const Result<void> kept = store::remember_address(parts.db, joined.value().host.device, where);
        if (!kept) co_return kept.error();
    }
    co_return joined;
}

}  // namespace ladderline::node::net
