#include "node/net/duplex.hpp"

#include <algorithm>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr std::size_t read_bytes = 16 * 1024;
constexpr std::size_t waiting_bytes_max = 1024 * 1024;  // to be written; beyond it nothing is read
constexpr std::int64_t hang_up_ms_max = 2000;

// For coroutines started beside run(): they report through the connection, not by exception.
void ignore(std::exception_ptr) {}

}  // namespace

Duplex::Duplex(Socket socket, Connection connection, Clock& clock, std::unique_ptr<Talk> talk, DuplexTimes times)
    : socket_(std::move(socket)),
      wake_(socket_.get_executor(), asio::steady_timer::time_point::max()),
      drained_(socket_.get_executor(), asio::steady_timer::time_point::max()),
      limit_(socket_.get_executor()),
      connection_(std::move(connection)),
      clock_(clock),
      talk_(std::move(talk)),
      times_(times),
      begun_(clock.monotonic()),
      heard_(begun_),
      incoming_(read_bytes) {
    boost::system::error_code ignored;
    socket_.set_option(asio::ip::tcp::no_delay(true), ignored);
}

asio::awaitable<Result<void>> Duplex::run() {
    const std::shared_ptr<Duplex> self = shared_from_this();
    asio::co_spawn(socket_.get_executor(), write_loop(self), ignore);
    asio::co_spawn(socket_.get_executor(), watch(self), ignore);
    const Result<void> begun = pump();
    if (!begun) fail(begun.error());
    while (!end_) {
        while (outgoing_.size() > waiting_bytes_max && !end_) {
            co_await drained_.async_wait(tuple);
        }
        const auto into = asio::buffer(incoming_);
        const auto [error, size] = co_await socket_.async_read_some(into, tuple);
        if (error) {
            fail(Error{Fault::network, "The connection ended: " + error.message() + "."});
            break;
        }
        heard_ = clock_.monotonic();
        const Result<void> outcome = on_bytes(ByteView(incoming_).first(size));
        if (!outcome) fail(outcome.error());
    }
    wake_.cancel();
    close();
    if (talk_->is_over()) co_return ok();
    co_return *end_;
}

asio::awaitable<void> Duplex::write_loop(std::shared_ptr<Duplex> self) {
    while (!self->end_) {
        if (self->outgoing_.empty()) {
            if (self->talk_->is_over()) break;
            co_await self->wake_.async_wait(tuple);
            continue;
        }
        const Bytes chunk = std::exchange(self->outgoing_, {});
        const auto from = asio::buffer(chunk);
        const auto [error, size] = co_await asio::async_write(self->socket_, from, tuple);
        if (error) {
            self->fail(Error{Fault::network, "The connection ended: " + error.message() + "."});
            break;
        }
        const Result<void> more = self->pump();
        if (!more) self->fail(more.error());
        self->drained_.cancel();
    }
    // The peer gets a moment to take the last words: a socket closed with unread bytes in it may take them with it.
    self->hung_up_ = true;
    boost::system::error_code ignored;
    self->socket_.shutdown(Socket::shutdown_send, ignored);
    self->wake_.expires_after(std::chrono::milliseconds(hang_up_ms_max));
    if (!self->end_) co_await self->wake_.async_wait(tuple);  // run() wakes this at the peer's end of the stream
    self->fail(Error{Fault::network, "The connection was closed here."});
    self->close();
}

std::int64_t Duplex::ms_left() const {
    const MonoTime now = clock_.monotonic();
    std::int64_t left = std::min(heard_.ms + times_.silence_ms_max, begun_.ms + times_.whole_ms_max) - now.ms;
    if (!spoken_to_) left = std::min(left, begun_.ms + times_.first_word_ms_max - now.ms);
    if (const auto deadline = connection_.deadline()) left = std::min(left, deadline->ms - now.ms);
    return left;
}

asio::awaitable<void> Duplex::watch(std::shared_ptr<Duplex> self) {
    while (!self->end_) {
        const std::int64_t left = self->ms_left();
        if (left <= 0) {
            self->fail(Error{Fault::network, "The other side took too long."});
            break;
        }
        self->limit_.expires_after(std::chrono::milliseconds(left));
        const auto [error] = co_await self->limit_.async_wait(tuple);
        if (error) break;
    }
}

Result<void> Duplex::on_bytes(ByteView bytes) {
    TRY(connection_.on_bytes(bytes, clock_.monotonic()));
    if (connection_.awaiting_decision()) {
        TRY(connection_.accept({}));
    }
    if (connection_.established() && !std::exchange(told_established_, true)) {
        TRY(talk_->on_established(connection_));
    }
    while (auto message = connection_.next_message()) {
        spoken_to_ = true;
        TRY(talk_->on_message(*message));
    }
    return pump();
}

Result<void> Duplex::pump() {
    if (hung_up_) return ok();
    bool more = connection_.established();
    while (more && outgoing_.size() < waiting_bytes_max) {
        // What is said in one breath shares frames.
        for (std::size_t bytes = 0; more && bytes < frame_plain_bytes_max;) {
            const std::optional<Bytes> message = talk_->next_output();
            more = message.has_value();
            if (!message) break;
            bytes += message->size();
            TRY(connection_.send(*message));
        }
        const Bytes sealed = connection_.next_output();
        outgoing_.insert(outgoing_.end(), sealed.begin(), sealed.end());
    }
    const Bytes rest = connection_.next_output();
    outgoing_.insert(outgoing_.end(), rest.begin(), rest.end());
    if (!outgoing_.empty() || talk_->is_over()) wake_.cancel();
    return ok();
}

void Duplex::say() {
    if (end_) return;
    const Result<void> said = pump();
    if (!said) fail(said.error());
}

void Duplex::cut(const Error& why) {
    fail(why);
    close();
}

void Duplex::close() {
    boost::system::error_code ignored;
    socket_.shutdown(Socket::shutdown_both, ignored);
    socket_.close(ignored);
}

void Duplex::fail(Error error) {
    if (!end_) end_.emplace(std::move(error));
    wake_.cancel();
    drained_.cancel();
    limit_.cancel();
    boost::system::error_code ignored;
    socket_.cancel(ignored);
}

}  // namespace ladderline::node::net
