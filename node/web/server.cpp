#include "node/web/server.hpp"

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <chrono>
#include <exception>
#include <map>

#include "node/web/connection.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::node::web {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;
using detail::Connection;
using detail::Phase;

struct Server::State : std::enable_shared_from_this<Server::State> {
    State(asio::any_io_executor executor, ServerLimits limits, std::shared_ptr<asio::ssl::context> keys)
        : strand(std::move(executor)), acceptor(strand), tick(strand), retry(strand) {
        shared->limits = limits;
        shared->keys = std::move(keys);
    }

    // Every loop is known here and ends through this door; nothing runs unseen.
    void run(asio::awaitable<void> loop, std::function<void()> at_end) {
        ++loops;
        asio::co_spawn(strand, std::move(loop),
                       [self = shared_from_this(), at_end = std::move(at_end)](const std::exception_ptr&) {
                           at_end();
                           --self->loops;
                           self->report_stop();
                       });
    }

    void admit(tcp::socket socket);
    template <class Wire>
    void serve(std::shared_ptr<detail::ConnectionOver<Wire>> connection, std::string peer);
    void close_longest_waiting();
    void close_waiting();
    void close_everything();
    void report_stop();

    asio::any_io_executor strand;
    tcp::acceptor acceptor;
    asio::steady_timer tick;
    asio::steady_timer retry;
    std::shared_ptr<detail::Shared> shared = std::make_shared<detail::Shared>();
    std::map<std::uint64_t, std::shared_ptr<Connection>> connections;  // by age: the smallest number is the oldest
    std::uint64_t last_number = 0;
    std::size_t loops = 0;
    bool time_known = false;
    std::function<bool(const asio::ip::address&)> welcome;
    std::function<void()> stopped;
};

namespace {

template <class State>
asio::awaitable<void> accept_loop(std::shared_ptr<State> state) {
    while (!state->shared->stopping) {
        error_code ec;
        tcp::socket socket(state->strand);
        co_await state->acceptor.async_accept(socket, asio::redirect_error(asio::use_awaitable, ec));
        if (state->shared->stopping || ec == asio::error::operation_aborted) break;
        if (!ec) {
            state->admit(std::move(socket));
            continue;
        }
        // Out of file descriptors, most likely: give one back, and do not ask again in a tight loop.
        state->close_longest_waiting();
        state->retry.expires_after(std::chrono::milliseconds(200));
        co_await state->retry.async_wait(asio::redirect_error(asio::use_awaitable, ec));
    }
}

template <class State, class OnTime>
asio::awaitable<void> tick_loop(std::shared_ptr<State> state, Clock* clock, OnTime on_time) {
    // Goes on while a stop waits for answers to be taken, so that it cannot wait for ever.
    while (!state->shared->ended && (!state->shared->stopping || !state->connections.empty())) {
        on_time(clock->monotonic());
        error_code ec;
        state->tick.expires_after(std::chrono::seconds(1));
        co_await state->tick.async_wait(asio::redirect_error(asio::use_awaitable, ec));
    }
}

}  // namespace

void Server::State::admit(tcp::socket socket) {
    error_code ec;
    const tcp::endpoint peer = socket.remote_endpoint(ec);
    if (ec || !welcome(peer.address())) return;
    if (connections.size() >= shared->limits.connections_max) close_longest_waiting();
    if (connections.size() >= shared->limits.connections_max) return;
    socket.set_option(tcp::no_delay(true), ec);
    const std::string from = peer.address().to_string();
    if (shared->keys) {
        serve(std::make_shared<detail::ConnectionOver<detail::TlsWire>>(std::move(socket), *shared->keys), from);
    } else {
        serve(std::make_shared<detail::ConnectionOver<tcp::socket>>(std::move(socket)), from);
    }
}

template <class Wire>
void Server::State::serve(std::shared_ptr<detail::ConnectionOver<Wire>> connection, std::string peer) {
    const std::uint64_t number = ++last_number;
    connection->peer = std::move(peer);
    connection->enter(Phase::waiting, shared->now);
    connections.emplace(number, connection);
    run(detail::serve_connection(shared, connection), [this, number] {
        const auto found = connections.find(number);
        if (found != connections.end()) {
            found->second->close();
            connections.erase(found);
        }
        if (shared->stopping && connections.empty()) tick.cancel();
    });
}

void Server::State::close_longest_waiting() {
    auto longest = connections.end();
    for (auto at = connections.begin(); at != connections.end(); ++at) {
        const bool longer = longest == connections.end() || at->second->since < longest->second->since;
        if (at->second->phase == Phase::waiting && longer) longest = at;
    }
    if (longest == connections.end()) return;
    longest->second->close();
    connections.erase(longest);  // its place is free now; its loop ends by itself
}

void Server::State::close_waiting() {
    for (const auto& [number, connection] : connections) {
        if (connection->phase == Phase::waiting || connection->phase == Phase::reading) connection->close();
        if (connection->phase == Phase::streaming) connection->stream->close();
    }
}

void Server::State::close_everything() {
    error_code ignored;
    acceptor.close(ignored);
    retry.cancel();
    for (const auto& [number, connection] : connections) {
        if (connection->stream) connection->stream->close();
        connection->close();
    }
}

void Server::State::report_stop() {
    if (!shared->stopping || loops > 0 || !stopped) return;
    const std::function<void()> told = std::move(stopped);
    stopped = nullptr;
    told();
}

Server::Server(asio::any_io_executor strand, ServerLimits limits, std::shared_ptr<asio::ssl::context> keys)
    : state_(std::make_shared<State>(std::move(strand), limits, std::move(keys))) {}

Server::~Server() {
    state_->shared->stopping = true;
    state_->shared->ended = true;
    state_->stopped = nullptr;
    state_->close_everything();
    state_->tick.cancel();
}

Result<std::uint16_t> Server::listen(std::uint16_t port) {
    return listen(asio::ip::address_v4::loopback(), port,
                  [](const asio::ip::address& from) { return from.is_loopback(); });
}

Result<std::uint16_t> Server::listen(const asio::ip::address& address, std::uint16_t port,
                                     std::function<bool(const asio::ip::address&)> welcome) {
    ENSURE(!state_->acceptor.is_open() && !address.is_unspecified() && welcome);
    state_->welcome = std::move(welcome);
    const tcp::endpoint here(address, port);
    error_code ec;
    state_->acceptor.open(here.protocol(), ec);
    if (!ec) state_->acceptor.set_option(asio::socket_base::reuse_address(true), ec);
    if (!ec) state_->acceptor.bind(here, ec);
    if (!ec) state_->acceptor.listen(asio::socket_base::max_listen_connections, ec);
    tcp::endpoint bound;
    if (!ec) bound = state_->acceptor.local_endpoint(ec);
    if (!ec) return bound.port();
    error_code ignored;
    state_->acceptor.close(ignored);
    if (ec == asio::error::address_in_use) {
        return Error(Fault::busy, "Port " + std::to_string(port) +
                                      " of this machine is taken by another program, so the pages were not started; "
                                      "choose another port, or 0 for any free one.");
    }
    return Error(Fault::network, "The pages could not be started on port " + std::to_string(port) +
                                     " of this machine (" + ec.message() + "); choose another port, or 0 for any.");
}

void Server::serve(Handler handler, LiveHub& hub) {
    ENSURE(state_->acceptor.is_open() && !state_->shared->handler && handler);
    state_->shared->handler = std::move(handler);
    state_->shared->hub = &hub;
    state_->run(accept_loop(state_), [] {});
}

void Server::start_ticking(Clock& clock) {
    // The loop outlives this object only until the destructor's cancel is seen, and then does not call.
    state_->run(tick_loop(state_, &clock, [this](MonoTime now) { on_time(now); }), [] {});
}

void Server::on_time(MonoTime now) {
    state_->shared->now = now;
    for (const auto& [number, connection] : state_->connections) {
        if (!state_->time_known) connection->since = now;
        const bool quiet = now.ms - connection->since.ms > state_->shared->limits.idle_ms_max;
        if (quiet && connection->phase != Phase::streaming) connection->close();
    }
    state_->time_known = true;
    if (state_->shared->hub != nullptr) state_->shared->hub->on_time(now);
}

void Server::stop(std::function<void()> stopped) {
    const bool again = state_->shared->stopping;
    state_->shared->stopping = true;
    if (stopped) state_->stopped = std::move(stopped);
    error_code ignored;
    state_->acceptor.close(ignored);
    state_->retry.cancel();
    state_->close_waiting();
    if (again) state_->close_everything();
    if (state_->connections.empty()) state_->tick.cancel();
    state_->report_stop();
}

std::size_t Server::connections() const {
    return state_->connections.size();
}

}  // namespace ladderline::node::web
