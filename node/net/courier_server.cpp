#include "node/net/courier_server.hpp"

#include <algorithm>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "node/net/dialling.hpp"
#include "node/net/doorstep.hpp"

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;
using asio::ip::tcp;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr DoorPlaces places{128, 16};
constexpr std::int64_t accept_retry_ms = 200;
constexpr std::int64_t tidy_ms = 60 * 60'000;
constexpr std::int64_t first_tidy_ms = 24 * tidy_ms;  // members come every hour where they can

void ignore(std::exception_ptr) {}

}  // namespace

struct CourierServer::State : std::enable_shared_from_this<State> {
    class Visit;
    struct Kept {
        std::shared_ptr<Duplex> duplex;
        asio::ip::address address;
    };

    State(asio::any_io_executor strand_, const CourierParts& parts_, DuplexTimes times_, std::int64_t tidy_look_ms_)
        : strand(std::move(strand_)),
          parts(parts_),
          times(times_),
          tidy_look_ms(tidy_look_ms_),
          acceptor(strand),
          retry(strand),
          tidy(strand) {}

    static asio::awaitable<void> accept_loop(std::shared_ptr<State> self);
    static asio::awaitable<void> serve(std::shared_ptr<State> self, std::shared_ptr<Duplex> duplex);
    static asio::awaitable<void> tidy_loop(std::shared_ptr<State> self);
    void remove_outdated();
    void take(tcp::socket socket);
    void make_room_for(const asio::ip::address& newcomer);
    // To everybody else who is here for the circle.
    void tell(const Visit& from, const CircleId& circle);
    void close(const Visit& from, const CircleId& circle);

    asio::any_io_executor strand;
    CourierParts parts;
    DuplexTimes times;
    std::int64_t tidy_look_ms;
    tcp::acceptor acceptor;
    asio::steady_timer retry;
    asio::steady_timer tidy;
    std::vector<Kept> callers;
    bool stopping = false;
};

// One caller: a registrar with a code, or a visitor.
class CourierServer::State::Visit : public Talk {
public:
    explicit Visit(State& state) : state_(state), book_(state.parts.db, state.parts.log) {}

    Result<void> on_established(Connection& connection) override {
        invite_ = connection.invite();
        handshake_ = connection.handshake_hash();
        has_code_ = connection.pattern() == WirePattern::xx_psk0;
        if (connection.pattern() == WirePattern::ik) {
            attendant_.emplace(book_, state_.parts.me.device.secret, connection.handshake_hash());
        }
        return ok();
    }

    Result<void> on_message(ByteView message) override {
        const WallTime now = state_.parts.clock.wall();
        if (!attendant_) return on_place(message, now);
        book_.set_today(utc_day(now));
        const Result<void> outcome = attendant_->on_message(message, now);
        for (const CircleId& circle : attendant_->take_changed()) state_.tell(*this, circle);
        for (const CircleId& circle : attendant_->take_closed()) state_.close(*this, circle);
        return outcome;
    }

    std::optional<Bytes> next_output() override {
        if (attendant_) return attendant_->next_output();
        return std::exchange(answer_, std::nullopt);
    }

    bool is_over() const override { return attendant_ ? attendant_->peer_said_bye() : answered_; }

    // Anybody who has heard of the courier's key can shake hands.
    bool is_known() const { return has_code_ || (attendant_ && attendant_->has_access()); }
    bool is_here_for(const CircleId& circle) const { return attendant_ && attendant_->has_access_to(circle); }
    Result<void> on_news(const CircleId& circle) { return attendant_->on_news(circle); }

private:
    Result<void> on_place(ByteView bytes, WallTime now) {
        TRY(const CourierMessage message, decode_courier_message(bytes));
        if (const auto* access = std::get_if<AccessMessage>(&message)) return on_access(*access);
        const auto* place = std::get_if<PlaceMessage>(&message);
        if (place == nullptr || std::exchange(answered_, true)) {
            return Error{Fault::peer, "A caller with a code did not say what it is for."};
        }
        const store::CourierSelf self{state_.parts.me.noise.pub, state_.parts.me.device.pub};
        TRY(const PlacedMessage placed, store::take_place(state_.parts.db, self, invite_, *place, now, proven_));
        answer_ = encode_courier_message(placed);
        if (placed.place) {
            state_.parts.log_line("A place was taken: " + to_hex(place->circle.view().first(4)) + ".");
            state_.close(*this, place->circle);
        }
        return ok();
    }

    // Whoever takes a place over says first that they belong to its circle. What is said of that is the answer to
    // Place.
    Result<void> on_access(const AccessMessage& message) {
        if (answered_ || accesses_++ == limits::courier_accesses_max) {
            return Error{Fault::peer, "A caller with a code spoke out of turn."};
        }
        for (const AccessMessage::Claim& claim : message.claims) {
            if (!is_genuine(claim, handshake_)) {
                return Error{Fault::peer, "A caller with a code could not prove the key that it named."};
            }
            proven_.emplace(claim.circle, claim.access);
        }
        return ok();
    }

    State& state_;
    store::DeskBook book_;
    InviteId invite_;
    HandshakeHash handshake_;
    store::ProvenAccess proven_;
    std::size_t accesses_ = 0;
    std::optional<Attendant> attendant_;
    std::optional<Bytes> answer_;
    bool has_code_ = false;
    bool answered_ = false;
};

void CourierServer::State::tell(const Visit& from, const CircleId& circle) {
    for (const Kept& kept : std::vector(callers)) {
        auto& caller = static_cast<Visit&>(kept.duplex->talk());
        if (&caller == &from || !caller.is_here_for(circle)) continue;
        const Result<void> told = caller.on_news(circle);
        if (!told) kept.duplex->cut(told.error());
        if (told) kept.duplex->say();
    }
}

void CourierServer::State::close(const Visit& from, const CircleId& circle) {
    for (const Kept& kept : std::vector(callers)) {
        auto& caller = static_cast<Visit&>(kept.duplex->talk());
        if (&caller == &from || !caller.is_here_for(circle)) continue;
        kept.duplex->cut(Error{Fault::refused, "The circle's key was renewed, or its place ended."});
    }
}

void CourierServer::State::make_room_for(const asio::ip::address& newcomer) {
    std::vector<Caller> all;
    for (const Kept& kept : callers) {
        all.push_back({kept.address, static_cast<Visit&>(kept.duplex->talk()).is_known()});
    }
    const auto goes = who_makes_room(all, newcomer, places);
    if (!goes) return;
    const std::shared_ptr<Duplex> duplex = callers[*goes].duplex;
    callers.erase(callers.begin() + static_cast<std::ptrdiff_t>(*goes));
    duplex->cut(Error{Fault::network, "The courier had no more places."});
}

void CourierServer::State::take(tcp::socket socket) {
    boost::system::error_code unknown;
    const auto endpoint = socket.remote_endpoint(unknown);
    if (unknown) return;
    make_room_for(endpoint.address());
    ResponderSetup setup;
    setup.local_static = {parts.me.noise.pub, parts.me.noise.secret.clone()};
    setup.find_psk = [this](const InviteId& code) -> std::optional<Psk> {
        const auto secret = store::secret_of_code(parts.db, code, parts.clock.wall());
        if (!secret || !secret.value()) return std::nullopt;
        return Psk::copy_of(*secret.value());
    };
    setup.allow_xx = false;
    Connection connection = Connection::respond(std::move(setup), parts.random, parts.clock.monotonic());
    const auto duplex = std::make_shared<Duplex>(std::move(socket), std::move(connection), parts.clock,
                                                 std::make_unique<Visit>(*this), times);
    callers.push_back({duplex, endpoint.address()});
    asio::co_spawn(strand, serve(shared_from_this(), duplex), ignore);
}

asio::awaitable<void> CourierServer::State::serve(std::shared_ptr<State> self, std::shared_ptr<Duplex> duplex) {
    const Result<void> outcome = co_await duplex->run();
    std::erase_if(self->callers, [&](const Kept& kept) { return kept.duplex == duplex; });
    if (!outcome && outcome.error().fault() == Fault::peer) {
        self->parts.log_line("A caller was turned away: " + outcome.error().sentence());
    }
}

asio::awaitable<void> CourierServer::State::accept_loop(std::shared_ptr<State> self) {
    while (!self->stopping) {
        tcp::socket socket(self->strand);
        const auto [error] = co_await self->acceptor.async_accept(socket, tuple);
        if (!error) {
            self->take(std::move(socket));
            continue;
        }
        if (self->stopping || error == asio::error::operation_aborted) break;
        // Out of file descriptors, most likely: not again in a tight loop.
        self->retry.expires_after(std::chrono::milliseconds(accept_retry_ms));
        co_await self->retry.async_wait(tuple);
    }
}

// Not at once: a courier that was off for a season, or begins with a clock that is ahead, would remove what nobody
// could visit meanwhile.
asio::awaitable<void> CourierServer::State::tidy_loop(std::shared_ptr<State> self) {
    MonoTime next = self->parts.clock.monotonic() + first_tidy_ms;
    while (!self->stopping) {
        const MonoTime now = self->parts.clock.monotonic();
        if (now >= next) {
            self->remove_outdated();
            next = now + tidy_ms;
        }
        self->tidy.expires_after(std::chrono::milliseconds(self->tidy_look_ms));
        co_await self->tidy.async_wait(tuple);
    }
}

void CourierServer::State::remove_outdated() {
    const auto gone = store::remove_outdated(parts.db, parts.clock.wall());
    if (!gone) return parts.log_line("What is outdated could not be removed: " + gone.error().sentence());
    for (const CircleId& circle : gone.value()) {
        parts.log_line("Nobody came for " + to_hex(circle.view().first(4)) + "; it was removed.");
    }
}

CourierServer::CourierServer(asio::any_io_executor strand, const CourierParts& parts, DuplexTimes times,
                             std::int64_t tidy_look_ms)
    : state_(std::make_shared<State>(std::move(strand), parts, times, tidy_look_ms)) {}

CourierServer::~CourierServer() {
    stop();
}

Result<std::uint16_t> CourierServer::listen(const Address& address) {
    return open_acceptor(state_->acceptor, address);
}

void CourierServer::start() {
    asio::co_spawn(state_->strand, State::accept_loop(state_), ignore);
    asio::co_spawn(state_->strand, State::tidy_loop(state_), ignore);
}

void CourierServer::stop() {
    state_->stopping = true;
    boost::system::error_code ignored;
    state_->acceptor.close(ignored);
    state_->retry.cancel();
    state_->tidy.cancel();
    for (const State::Kept& kept : std::vector(state_->callers)) {
        kept.duplex->cut(Error{Fault::cancelled, "The courier stops."});
    }
}

std::size_t CourierServer::callers() const {
    return state_->callers.size();
}

}  // namespace ladderline::node::net
