#include "node/net/dialling.hpp"

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/connect.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>

namespace ladderline::node::net {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);

Error unreached(const std::string& sentence) {
    return {Fault::network, sentence};
}

}  // namespace

asio::awaitable<Result<std::shared_ptr<tcp::socket>>> dial_to(asio::any_io_executor strand, Address address,
                                                              std::int64_t wait_ms_max) {
    const auto socket = std::make_shared<tcp::socket>(strand);
    const auto resolver = std::make_shared<tcp::resolver>(strand);
    asio::steady_timer limit(strand);
    limit.expires_after(std::chrono::milliseconds(wait_ms_max));
    const auto late = std::make_shared<bool>(false);
    limit.async_wait([socket, resolver, late](const boost::system::error_code& error) {
        if (error) return;
        *late = true;
        resolver->cancel();
        boost::system::error_code ignored;
        socket->close(ignored);
    });
    const std::string where = to_text(address);
    const std::string port = std::to_string(address.port);
    const auto [unresolved, endpoints] = co_await resolver->async_resolve(address.host, port, tuple);
    if (unresolved) co_return unreached(where + " cannot be found: " + unresolved.message() + ".");
    const auto [refused, endpoint] = co_await asio::async_connect(*socket, endpoints, tuple);
    limit.cancel();
    if (*late) co_return unreached(where + " does not answer in time.");
    if (refused) co_return unreached(where + " does not answer: " + refused.message() + ".");
    co_return socket;
}

Result<std::uint16_t> open_acceptor(tcp::acceptor& acceptor, const Address& address) {
    boost::system::error_code error;
    const auto ip = asio::ip::make_address(address.host, error);
    if (error) {
        return Error{Fault::bad_input,
                     "'" + address.host + "' is no address of this machine; write it as 127.0.0.1:7300."};
    }
    const tcp::endpoint endpoint(ip, address.port);
    acceptor.open(endpoint.protocol(), error);
    if (!error) acceptor.set_option(asio::socket_base::reuse_address(true), error);
    if (!error) acceptor.bind(endpoint, error);
    if (!error) acceptor.listen(asio::socket_base::max_listen_connections, error);
    if (error == asio::error::address_in_use) {
        return Error{Fault::busy,
                     "Port " + std::to_string(address.port) +
                         " is in use, by another program or by this one in another window; choose another port, for "
                         "example with --listen 0.0.0.0:" +
                         std::to_string(address.port < 65535 ? address.port + 1 : 7301) + "."};
    }
    if (error) {
        return Error{Fault::network,
                     "This machine cannot listen on " + to_text(address) + ": " + error.message() + "."};
    }
    return acceptor.local_endpoint().port();
}

}  // namespace ladderline::node::net
