#include "node/net/duplex.hpp"

#include <algorithm>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/use_awaitable.hpp>

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;

}  // namespace

Duplex::Duplex(Socket socket, Connection connection, Clock& clock, std::unique_ptr<Talk> talk, DuplexTimes times)
    : limit_(socket.get_executor()),
      connection_(std::move(connection)),
      wire_(std::move(socket), connection_, *this),
      clock_(clock),
      talk_(std::move(talk)),
      times_(times),
      begun_(clock.monotonic()),
      heard_(begun_) {}

asio::awaitable<Result<void>> Duplex::run() {
    const std::shared_ptr<Duplex> self = shared_from_this();
    // It reports through the wire, not by exception.
    asio::co_spawn(limit_.get_executor(), watch(self), [](std::exception_ptr) {});
    const Error why = co_await wire_.run(self);
    if (talk_->is_over()) co_return ok();
    co_return why;
}

std::int64_t Duplex::ms_left() const {
    const MonoTime now = clock_.monotonic();
    std::int64_t left = std::min(heard_.ms + times_.silence_ms_max, begun_.ms + times_.whole_ms_max) - now.ms;
    if (!spoken_to_) left = std::min(left, begun_.ms + times_.first_word_ms_max - now.ms);
    if (const auto deadline = connection_.deadline()) left = std::min(left, deadline->ms - now.ms);
    return left;
}

asio::awaitable<void> Duplex::watch(std::shared_ptr<Duplex> self) {
    while (!self->wire_.has_ended()) {
        const std::int64_t left = self->ms_left();
        if (left <= 0) {
            self->wire_.fail(Error{Fault::network, "The other side took too long."});
            break;
        }
        self->limit_.expires_after(std::chrono::milliseconds(left));
        const auto [error] = co_await self->limit_.async_wait(asio::as_tuple(asio::use_awaitable));
        if (error) break;
    }
}

Result<void> Duplex::on_bytes(ByteView bytes) {
    heard_ = clock_.monotonic();
    TRY(connection_.on_bytes(bytes, heard_));
    if (connection_.awaiting_decision()) {
        TRY(connection_.accept({}));
    }
    if (connection_.established() && !std::exchange(told_established_, true)) {
        TRY(talk_->on_established(connection_));
    }
    return ok();
}

Result<bool> Duplex::take_message() {
    const auto message = connection_.next_message();
    if (!message) return false;
    spoken_to_ = true;
    TRY(talk_->on_message(*message));
    return true;
}

}  // namespace ladderline::node::net
