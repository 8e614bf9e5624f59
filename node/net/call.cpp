#include "node/net/call.hpp"

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/connect.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;
using asio::ip::tcp;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr std::size_t read_bytes = 4096;

Connection caller(const Parts& parts, const Question& question) {
    InitiatorSetup initiator;
    initiator.pattern = WirePattern::xx_psk0;
    initiator.local_static = {parts.me.noise.pub, parts.me.noise.secret.clone()};
    if (question.nameless) initiator.local_static = make_dh_keys(parts.random);
    initiator.invite = question.invite;
    initiator.psk = question.secret.clone();
    return Connection::initiate(std::move(initiator), parts.random, parts.clock.monotonic());
}

// The one who answers closes behind its last word; a second message may stand before that.
asio::awaitable<void> read_more(Connection& connection, Clock& clock, tcp::socket& socket, Reply& reply) {
    Bytes incoming(read_bytes);
    for (;;) {
        reply.more = connection.next_message();
        if (reply.more) co_return;
        const auto into = asio::buffer(incoming);
        const auto [error, size] = co_await socket.async_read_some(into, tuple);
        if (error || !connection.on_bytes(ByteView(incoming).first(size), clock.monotonic())) co_return;
    }
}

asio::awaitable<Result<Reply>> talk(Parts parts, std::shared_ptr<const Question> question,
                                    std::shared_ptr<tcp::socket> socket) {
    Connection connection = caller(parts, *question);
    Bytes incoming(read_bytes);
    bool asked = false;
    for (;;) {
        if (connection.established() && !asked) {
            asked = true;
            if (question->before) {
                const Result<void> said = connection.send(question->before(connection));
                if (!said) co_return said.error();
            }
            const Result<void> sent = connection.send(question->words(connection));
            if (!sent) co_return sent.error();
        }
        const Bytes outgoing = connection.next_output();
        if (!outgoing.empty()) {
            const auto from = asio::buffer(outgoing);
            const auto [error, written] = co_await asio::async_write(*socket, from, tuple);
            if (error) co_return question->silence;
        }
        std::optional<Bytes> message = connection.next_message();
        if (message) {
            Reply reply{std::move(*message), connection.remote_static(), {}};
            co_await read_more(connection, parts.clock, *socket, reply);
            co_return reply;
        }
        const auto into = asio::buffer(incoming);
        const auto [error, size] = co_await socket->async_read_some(into, tuple);
        if (error) co_return question->silence;
        const Result<void> outcome = connection.on_bytes(ByteView(incoming).first(size), parts.clock.monotonic());
        if (!outcome) co_return outcome.error();
    }
}

}  // namespace

asio::awaitable<Result<void>> reach(std::shared_ptr<tcp::socket> socket, std::shared_ptr<tcp::resolver> resolver,
                                    Address address, std::string kept) {
    const std::string where = to_text(address);
    const std::string port = std::to_string(address.port);
    const auto [unresolved, endpoints] = co_await resolver->async_resolve(address.host, port, tuple);
    if (unresolved) {
        Error error(Fault::network, where + " cannot be found. " + kept + "; check the network and try again.");
        co_return error;
    }
    const auto [refused, endpoint] = co_await asio::async_connect(*socket, endpoints, tuple);
    if (refused) {
        Error error(Fault::network,
                    "Nobody answers at " + where + ". " + kept + "; see that the other node runs, and try again.");
        co_return error;
    }
    co_return ok();
}

asio::awaitable<Result<Reply>> ask_once(asio::any_io_executor strand, Parts parts,
                                        std::shared_ptr<const Question> question) {
    const auto socket = std::make_shared<tcp::socket>(strand);
    const auto resolver = std::make_shared<tcp::resolver>(strand);
    const auto late = std::make_shared<bool>(false);
    asio::steady_timer limit(strand);
    limit.expires_after(std::chrono::milliseconds(question->wait_ms_max));
    limit.async_wait([socket, resolver, late](const boost::system::error_code& error) {
        if (error) return;
        *late = true;
        resolver->cancel();
        boost::system::error_code ignored;
        socket->close(ignored);
    });
    const Result<void> reached = co_await reach(socket, resolver, question->address, question->kept);
    if (!reached) co_return reached.error();
    Result<Reply> reply = co_await talk(parts, question, socket);
    limit.cancel();
    if (*late && !reply) {
        Error error(Fault::network,
                    to_text(question->address) + " did not answer in time. " + question->kept + "; try again.");
        co_return error;
    }
    co_return reply;
}

}  // namespace ladderline::node::net
