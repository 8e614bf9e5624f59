#include "node/net/wire.hpp"

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>

namespace ladderline::node::net {
namespace {

namespace asio = boost::asio;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr std::size_t read_bytes = 16 * 1024;
constexpr std::size_t waiting_bytes_max = 1024 * 1024;  // to be written; beyond it nothing is read
constexpr std::int64_t hang_up_ms_max = 2000;

// The writer reports through the wire, not by exception.
void ignore(std::exception_ptr) {}

Error ended(const boost::system::error_code& why) {
    return {Fault::network, "The connection ended: " + why.message() + "."};
}

}  // namespace

Wire::Wire(Socket socket, protocol::Connection& connection, Talker& talker)
    : socket_(std::move(socket)),
      wake_(socket_.get_executor(), asio::steady_timer::time_point::max()),
      drained_(socket_.get_executor(), asio::steady_timer::time_point::max()),
      connection_(connection),
      talker_(talker),
      incoming_(read_bytes) {
    boost::system::error_code ignored;
    socket_.set_option(asio::ip::tcp::no_delay(true), ignored);
}

asio::awaitable<Error> Wire::run(std::shared_ptr<void> owner) {
    asio::co_spawn(socket_.get_executor(), write_loop(std::shared_ptr<Wire>(owner, this)), ignore);
    say();
    while (!end_) {
        while (outgoing_.size() > waiting_bytes_max && !end_) {
            co_await drained_.async_wait(tuple);
        }
        const auto into = asio::buffer(incoming_);
        const auto [error, size] = co_await socket_.async_read_some(into, tuple);
        if (error) {
            fail(ended(error));
            break;
        }
        const Result<void> outcome = talker_.on_bytes(ByteView(incoming_).first(size));
        if (!outcome) fail(outcome.error());
        co_await take_messages();
        say();
    }
    wake_.cancel();
    co_return *end_;
}

// One at a time, and whatever else waits on the strand in between: a breath may hold hundreds of small messages, each
// of them dear to answer, and the pages and the other peers wait no longer than for one.
asio::awaitable<void> Wire::take_messages() {
    while (!end_) {
        const Result<bool> took = talker_.take_message();
        if (!took) fail(took.error());
        if (!took || !took.value()) co_return;
        co_await asio::post(socket_.get_executor(), asio::use_awaitable);
    }
}

asio::awaitable<void> Wire::write_loop(std::shared_ptr<Wire> self) {
    while (!self->end_) {
        if (self->outgoing_.empty()) {
            if (self->talker_.is_over()) break;
            co_await self->wake_.async_wait(tuple);
            continue;
        }
        const Bytes chunk = std::exchange(self->outgoing_, {});
        const auto from = asio::buffer(chunk);
        const auto [error, size] = co_await asio::async_write(self->socket_, from, tuple);
        if (error) {
            self->fail(ended(error));
            break;
        }
        self->say();
        self->drained_.cancel();
    }
    co_await hang_up(self);
}

// Says that nothing more will come, and gives the peer a moment to take what was said: a socket closed while bytes of
// the peer's lie unread in it may take the last words with it.
asio::awaitable<void> Wire::hang_up(std::shared_ptr<Wire> self) {
    self->hung_up_ = true;
    boost::system::error_code ignored;
    self->socket_.shutdown(Socket::shutdown_send, ignored);
    self->wake_.expires_after(std::chrono::milliseconds(hang_up_ms_max));
    if (!self->end_) co_await self->wake_.async_wait(tuple);  // run() wakes this at the peer's end of the stream
    self->cut({Fault::network, "The connection was closed here."});
}

// Moves what the talker wants to say through the channel to the writer, as far as the writer keeps up.
Result<void> Wire::pump() {
    if (hung_up_) return ok();
    bool more = connection_.established();
    while (more && outgoing_.size() < waiting_bytes_max) {
        // What is said in one breath shares frames.
        for (std::size_t bytes = 0; more && bytes < protocol::frame_plain_bytes_max;) {
            const std::optional<Bytes> message = talker_.next_message();
            more = message.has_value();
            if (!message) break;
            bytes += message->size();
            TRY(connection_.send(*message));
        }
        append(connection_.next_output());
    }
    append(connection_.next_output());
    if (!outgoing_.empty() || talker_.is_over()) wake_.cancel();
    return ok();
}

void Wire::append(const Bytes& sealed) {
    outgoing_.insert(outgoing_.end(), sealed.begin(), sealed.end());
}

void Wire::say() {
    if (end_) return;
    const Result<void> said = pump();
    if (!said) fail(said.error());
}

void Wire::fail(Error why) {
    if (!end_) end_.emplace(std::move(why));
    wake_.cancel();
    drained_.cancel();
    talker_.on_end();
    boost::system::error_code ignored;
    socket_.cancel(ignored);
}

void Wire::cut(Error why) {
    fail(std::move(why));
    boost::system::error_code ignored;
    socket_.shutdown(Socket::shutdown_both, ignored);
    socket_.close(ignored);
}

}  // namespace ladderline::node::net
