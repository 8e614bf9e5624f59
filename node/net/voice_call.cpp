#include "node/net/voice_call.hpp"

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>

#include "node/net/call.hpp"
#include "node/net/dead_line.hpp"
#include "store/circles/peers.hpp"
#include "store/circles/voice_checks.hpp"

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;
using asio::ip::tcp;
using Joined = WelcomeMessage::Joined;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr std::size_t read_bytes = 4096;

Connection caller(const Parts& parts) {
    InitiatorSetup initiator;
    initiator.pattern = WirePattern::xx;
    initiator.local_static = {parts.me.noise.pub, parts.me.noise.secret.clone()};
    return Connection::initiate(std::move(initiator), parts.random, parts.clock.monotonic());
}

Error no_greeting() {
    return {Fault::refused,
            "The node there waits for nobody now: its person opens a greeting for you with 'ladderline greet'. If they "
            "have, a call that broke off is not over there yet; call again in ten seconds. Nothing was joined."};
}

Error left() {
    return {Fault::refused,
            "The other side has ended the greeting: the check words were not the same there, it took too long, or the "
            "connection broke. Nothing about you was told, and nothing was joined; call again."};
}

}  // namespace

VoiceCall::VoiceCall(asio::any_io_executor strand, const Parts& parts, VoiceSetup setup)
    : parts_(parts),
      setup_(std::move(setup)),
      socket_(std::make_shared<tcp::socket>(strand)),
      resolver_(std::make_shared<tcp::resolver>(strand)),
      limit_(strand),
      connection_(caller(parts)),
      incoming_(read_bytes) {}

std::shared_ptr<VoiceCall> VoiceCall::make(asio::any_io_executor strand, const Parts& parts, VoiceSetup setup) {
    return std::shared_ptr<VoiceCall>(new VoiceCall(std::move(strand), parts, std::move(setup)));
}

void VoiceCall::hang_up() {
    limit_.cancel();
    resolver_->cancel();
    boost::system::error_code ignored;
    socket_->shutdown(tcp::socket::shutdown_both, ignored);
    socket_->close(ignored);
}

// Whatever runs ends with the socket.
void VoiceCall::limit_to(std::int64_t wait_ms) {
    limit_.expires_after(std::chrono::milliseconds(wait_ms));
    limit_.async_wait([socket = socket_, resolver = resolver_](const boost::system::error_code& error) {
        if (error) return;
        resolver->cancel();
        boost::system::error_code ignored;
        socket->close(ignored);
    });
}

Result<void> VoiceCall::send_waiting() {
    while (const auto message = greeting_->next_output()) {
        TRY(connection_.send(*message));
    }
    return ok();
}

// Writes what waits, and reads once. Fault::network at the end of the stream.
asio::awaitable<Result<void>> VoiceCall::step(std::shared_ptr<VoiceCall> self) {
    const Error gone(Fault::network, "The connection ended.");
    const Bytes outgoing = self->connection_.next_output();
    const auto from = asio::buffer(outgoing);
    const auto [unwritten, written] = co_await asio::async_write(*self->socket_, from, tuple);
    if (unwritten) co_return gone;
    const auto into = asio::buffer(self->incoming_);
    const auto [error, size] = co_await self->socket_->async_read_some(into, tuple);
    if (error) co_return gone;
    co_return self->connection_.on_bytes(ByteView(self->incoming_).first(size), self->parts_.clock.monotonic());
}

asio::awaitable<Result<Bytes>> VoiceCall::next_message(std::shared_ptr<VoiceCall> self) {
    for (;;) {
        if (self->connection_.established()) {
            std::optional<Bytes> message = self->connection_.next_message();
            if (message) co_return std::move(*message);
        }
        const Result<void> moved = co_await step(self);
        if (!moved) co_return moved.error();
    }
}

asio::awaitable<Result<std::string>> VoiceCall::dial(std::shared_ptr<VoiceCall> self) {
    self->limit_to(self->setup_.wait_ms_max);
    const std::string kept = "Nothing was joined";
    const Result<void> reached = co_await reach(self->socket_, self->resolver_, self->setup_.address, kept);
    if (!reached) co_return reached.error();
    notice_a_dead_line(*self->socket_);
    while (!self->greeting_ || !self->greeting_->letters_known()) {
        const Result<Bytes> message = co_await next_message(self);
        if (!message) {
            if (message.error().fault() == Fault::network) co_return no_greeting();
            co_return message.error();
        }
        if (!self->greeting_) {
            self->greeting_.emplace(Greeting::caller(self->connection_.handshake_hash(), self->parts_.random));
        }
        Result<void> taken = self->greeting_->on_message(message.value());
        if (taken) taken = self->send_waiting();
        if (!taken) co_return taken.error();
    }
    self->limit_.cancel();
    co_return self->greeting_->letters();
}

Result<Joined> VoiceCall::read_welcome(ByteView bytes) {
    TRY(const SyncMessage message, decode_message(bytes));
    const auto* welcome = std::get_if<WelcomeMessage>(&message);
    if (welcome == nullptr) return Error{Fault::peer, "The node there answered with something else."};
    if (!welcome->joined) return Error{Fault::refused, welcome->refusal};
    const DeviceCertificate& host = welcome->joined->host;
    if (host.noise != connection_.remote_static() || !is_genuine(host)) {
        return Error{Fault::peer, "The node there could not show who it is; nothing was joined."};
    }
    TRY(store::note_voice_check(parts_.db, host.member, utc_day(parts_.clock.wall())));
    TRY(store::remember_address(parts_.db, host.device, to_text(setup_.address)));
    return *welcome->joined;
}

asio::awaitable<Result<Joined>> VoiceCall::finish(std::shared_ptr<VoiceCall> self, bool same) {
    self->limit_to(limits::greeting_ms_max);
    self->greeting_->say(same);
    const Result<void> said = self->send_waiting();
    if (!said) co_return said.error();
    if (!same) {
        const Bytes last = self->connection_.next_output();
        const auto from = asio::buffer(last);
        co_await asio::async_write(*self->socket_, from, tuple);
        self->hang_up();
        Error error(Fault::refused,
                    "The check words differ, so nothing about you was told and nothing was joined: somebody may be "
                    "between the two of you. Try once more, or ask for an invite in another way.");
        co_return error;
    }
    while (!self->greeting_->agreed()) {
        const Result<Bytes> message = co_await next_message(self);
        if (!message) co_return left();
        const Result<void> taken = self->greeting_->on_message(message.value());
        if (!taken) co_return taken.error();
        if (self->greeting_->differed()) co_return left();
    }
    const Result<void> named = self->connection_.send(encode_message(self->setup_.who));
    if (!named) co_return named.error();
    const Result<Bytes> welcome = co_await next_message(self);
    self->limit_.cancel();
    if (!welcome) {
        Error error(Fault::network,
                    "The other node went away before it answered, so nothing was joined here; ask its person whether "
                    "you were let in.");
        co_return error;
    }
    co_return self->read_welcome(welcome.value());
}

}  // namespace ladderline::node::net
