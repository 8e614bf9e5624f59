#include "node/net/link.hpp"

#include <netinet/tcp.h>

#include <algorithm>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "node/net/dead_line.hpp"
#include "protocol/sync/returning.hpp"
#include "store/circles/owners.hpp"
#include "store/courier/courier_model.hpp"

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr std::int64_t flow_look_ms = 15'000;
constexpr int dead_ms_max = 60'000;
constexpr std::int64_t flow_wait_ms_max = 60'000;  // for the acknowledgement of runs that are on their way

// For coroutines started beside the wire's: they report through it, not by exception.
void ignore(std::exception_ptr) {}

}  // namespace

Link::Link(const Parts& parts, Socket socket, Connection connection)
    : parts_(parts),
      connection_(std::move(connection)),
      wire_(std::move(socket), connection_, *this),
      deadline_(wire_.socket().get_executor()),
      flow_(wire_.socket().get_executor()) {
    boost::system::error_code ignored;
    from_ = wire_.socket().remote_endpoint(ignored).address();
    // A peer that lost its power says nothing: it is noticed within about a minute.
    using asio::detail::socket_option::integer;
    wire_.socket().set_option(asio::socket_base::keep_alive(true), ignored);
    wire_.socket().set_option(integer<IPPROTO_TCP, TCP_KEEPIDLE>(30), ignored);
    wire_.socket().set_option(integer<IPPROTO_TCP, TCP_KEEPINTVL>(10), ignored);
    wire_.socket().set_option(integer<IPPROTO_TCP, TCP_KEEPCNT>(3), ignored);
    // The same where something is on its way to them, for then the system does not look.
    wire_.socket().set_option(integer<IPPROTO_TCP, TCP_USER_TIMEOUT>(dead_ms_max), ignored);
}

std::shared_ptr<Link> Link::accepted(const Parts& parts, Socket socket) {
    ResponderSetup setup;
    setup.local_static = {parts.me.noise.pub, parts.me.noise.secret.clone()};
    setup.find_psk = [host = &parts.host](const InviteId& invite) { return host->invite_secret(invite); };
    const std::shared_ptr<GreetingDoor> door = parts.host.greeting_door();
    setup.allow_xx = door != nullptr && door->may_call(parts.clock.monotonic());
    return std::shared_ptr<Link>(new Link(
        parts, std::move(socket), Connection::respond(std::move(setup), parts.random, parts.clock.monotonic())));
}

std::shared_ptr<Link> Link::dialled(const Parts& parts, Socket socket, const DhPublic& peer) {
    InitiatorSetup setup;
    setup.pattern = WirePattern::ik;
    setup.local_static = {parts.me.noise.pub, parts.me.noise.secret.clone()};
    setup.remote_static = peer;
    const std::shared_ptr<Link> link(new Link(
        parts, std::move(socket), Connection::initiate(std::move(setup), parts.random, parts.clock.monotonic())));
    link->callee_ = peer;
    return link;
}

asio::awaitable<Error> Link::run(std::function<void()> established, std::function<void()> came_in_step) {
    const std::shared_ptr<Link> self = shared_from_this();
    established_ = std::move(established);
    came_in_step_ = std::move(came_in_step);
    asio::co_spawn(flow_.get_executor(), watch_deadline(self), ignore);
    asio::co_spawn(flow_.get_executor(), watch_flow(self), ignore);
    Error why = co_await wire_.run(self);
    established_ = nullptr;  // whoever asked to be told may hold this link
    came_in_step_ = nullptr;
    greeted_.reset();
    end_bursts();
    co_return why;
}

void Link::on_end() {
    deadline_.cancel();
    flow_.cancel();
}

std::optional<MonoTime> Link::deadline() const {
    return proof_deadline_ ? proof_deadline_ : connection_.deadline();
}

asio::awaitable<void> Link::watch_deadline(std::shared_ptr<Link> self) {
    while (!self->wire_.has_ended()) {
        const std::optional<MonoTime> deadline = self->deadline();
        if (!deadline) break;
        const std::int64_t wait_ms = deadline->ms - self->parts_.clock.monotonic().ms;
        self->deadline_.expires_after(std::chrono::milliseconds(std::max<std::int64_t>(wait_ms, 0)));
        const auto [error] = co_await self->deadline_.async_wait(tuple);
        if (self->wire_.has_ended()) break;
        if (error) continue;  // another deadline counts now
        const Result<void> outcome = self->on_deadline();
        if (!outcome) self->wire_.fail(outcome.error());
    }
}

Result<void> Link::on_deadline() {
    if (!proof_deadline_) return connection_.on_deadline(parts_.clock.monotonic());
    if (parts_.clock.monotonic() < *proof_deadline_) return ok();
    return Error{Fault::network, "A caller did not go on after the handshake."};
}

asio::awaitable<void> Link::watch_flow(std::shared_ptr<Link> self) {
    while (!self->wire_.has_ended()) {
        self->flow_.expires_after(std::chrono::milliseconds(flow_look_ms));
        co_await self->flow_.async_wait(tuple);
        if (self->wire_.has_ended()) break;
        const Result<void> flows = self->check_flow();
        if (!flows) self->wire_.fail(flows.error());
    }
}

Result<void> Link::check_flow() {
    if (!session_) return ok();
    const MonoTime now = parts_.clock.monotonic();
    const std::optional<MonoTime> since = session_->unacknowledged_since(now);
    if (!since || now < *since + flow_wait_ms_max) return ok();
    return Error{Fault::network, "The other node took nothing in for a minute; the next call goes on from there."};
}

void Link::take_for_proven() {
    if (proven_ || !peer_) return;
    proven_ = peer_;
    proof_deadline_.reset();
    deadline_.cancel();
    if (established_) established_();
}

Result<void> Link::on_bytes(ByteView bytes) {
    TRY(connection_.on_bytes(bytes, parts_.clock.monotonic()));
    if (proof_deadline_) {
        TRY(on_deadline());
    }
    if (connection_.awaiting_decision()) {
        TRY(decide());
    }
    if (connection_.established()) {
        if (!session_ && connection_.pattern() == WirePattern::ik) {
            TRY(begin_session());
        } else if (!session_) {
            // A greeting has an end of its own; whoever holds an invite joins or comes back at once.
            if (!proof_deadline_ && connection_.pattern() == WirePattern::xx_psk0) {
                proof_deadline_ = parts_.clock.monotonic() + handshake_wait_ms_max;
            }
            deadline_.cancel();
        }
        if (!greeted_ && connection_.pattern() == WirePattern::xx) {
            TRY(greet());
        }
    }
    return ok();
}

Result<bool> Link::take_message() {
    if (!connection_.established()) return false;
    const auto message = connection_.next_message();
    if (!message) return false;
    TRY(on_message(*message));
    note_step();
    return true;
}

void Link::note_step() {
    const bool before = std::exchange(was_in_step_, in_step());
    if (!was_in_step_ || before) return;
    ever_in_step_ = true;
    moved_ = moved_ || session_->in_flight() > 0;  // what is little is not acknowledged, but it is there now
    if (came_in_step_) came_in_step_();
}

bool Link::is_at_the_door() const {
    return !is_ours() && !proven_ && !greeted_ && !closing_ && !wire_.has_ended();
}

bool Link::led_somewhere() const {
    return moved_ || closing_ || (session_ && session_->peer_said_bye());
}

store::ReachStep Link::step() const {
    if (ever_in_step_) return store::ReachStep::same;
    if (!session_) return store::ReachStep::answer;
    return session_->greeted() ? store::ReachStep::talk : store::ReachStep::proof;
}

Result<void> Link::decide() {
    TRY(const auto shared, store::circles_with(parts_.db, parts_.me.id(), connection_.remote_static()));
    if (shared.empty()) {
        connection_.refuse();
        return Error{Fault::refused, "A device called that shares no circle with this node."};
    }
    return connection_.accept({});
}

Result<void> Link::begin_session() {
    peer_ = connection_.remote_static();
    TRY(const auto shared, store::circles_with(parts_.db, parts_.me.id(), *peer_));
    TRY(circles_, store::by_turns(parts_.db, parts_.me.id(), shared));
    const auto side = is_ours() ? Session::Side::caller : Session::Side::called;
    session_.emplace(parts_.log, side, circles_, connection_.handshake_hash().view(), peer_->view());
    for (const CircleId& circle : circles_) {
        TRY(const auto key,
            store::key_for_device(parts_.states, parts_.log, circle, *peer_, utc_day(parts_.clock.wall())));
        if (key) session_->offer_key(circle, *key);
    }
    TRY(session_->begin());
    shelf_ = std::make_unique<store::StoreShelf>(parts_.states, parts_.log, parts_.random, *peer_);
    book_ = std::make_unique<WrapBook>(*shelf_, dh_keys_from_secret(parts_.me.box.secret.clone()), circles_);
    TRY(const auto paper, store::stored_paper_seed(parts_.db));
    if (paper && store::gives_identity(*paper, parts_.me)) book_->also_opens(paper_box_keys(*paper));
    for (const CircleId& circle : circles_) {
        TRY(ask_for_keys(circle));
    }
    if (is_ours()) {
        take_for_proven();
    } else {
        proof_deadline_ = parts_.clock.monotonic() + handshake_wait_ms_max;
        deadline_.cancel();
    }
    return ok();
}

Result<void> Link::greet() {
    notice_a_dead_line(wire_.socket());  // nobody else may call while this one is thought to be there
    Greeted::Line line{connection_, [this] { wire_.say(); }, [this] { close(); }};
    greeted_ = Greeted::enter(parts_, flow_.get_executor(), std::move(line));
    if (!greeted_) return Error{Fault::refused, "A stranger called while no greeting was open for them."};
    return ok();
}

Result<void> Link::ask_for_keys(const CircleId& circle) {
    TRY(const auto request, book_->next_request(circle));
    if (!request) return ok();
    return connection_.send(*request);
}

Result<void> Link::on_wraps(ByteView message) {
    shelf_->set_today(utc_day(parts_.clock.wall()));
    TRY(const auto answer, book_->on_message(message));
    if (answer) {
        TRY(connection_.send(*answer));
    }
    for (const CircleId& circle : book_->take_opened()) {
        unsettled_.insert(circle);
        parts_.host.changed(circle);
    }
    return ok();
}

// A first load that was broken off is shown as far as it came. Where the node goes down, what waits is done at the next
// opening.
void Link::end_bursts() {
    if (!session_ || node_goes_down_) return;
    const Result<void> ended = session_->end_bursts();
    if (!ended) {
        parts_.host.log_line("What came before the connection ended waits for the next start: " +
                             ended.error().sentence());
    }
    for (const CircleId& circle : session_->take_changed()) parts_.host.changed(circle);
}

void Link::tell_settled() {
    if (!session_->in_step()) return;
    for (const CircleId& circle : std::exchange(unsettled_, {})) parts_.host.settled(circle);
}

Result<void> Link::on_message(ByteView message) {
    if (!session_) return on_caller(message);
    take_for_proven();
    if (!message.empty() && is_wrap_message(message.front())) {
        TRY(on_wraps(message));
        tell_settled();
        return ok();
    }
    const std::uint64_t in_flight = session_->in_flight();
    const Result<void> outcome = session_->on_message(message);
    moved_ = moved_ || session_->in_flight() < in_flight;
    for (const CircleId& circle : session_->take_changed()) {
        moved_ = true;
        unsettled_.insert(circle);
        parts_.host.changed(circle);
        TRY(ask_for_keys(circle));
    }
    TRY(outcome);
    tell_settled();
    TRY(take_grants());
    if (session_->peer_said_bye()) return Error{Fault::network, "The peer said goodbye."};
    return ok();
}

// Somebody who is no peer yet: joins, or comes back. One message, after a greeting if they hold no invite.
Result<void> Link::on_caller(ByteView bytes) {
    if (greeted_ && !greeted_->may_join()) return greeted_->on_message(bytes);
    TRY(const SyncMessage message, decode_message(bytes));
    const auto* join = std::get_if<JoinMessage>(&message);
    const auto* back = std::get_if<ReturnMessage>(&message);
    if (join != nullptr && !closing_) return on_join(*join);
    if (back != nullptr && !closing_ && !greeted_) return on_return(*back);
    return Error{Fault::peer, "A caller with an invite did not say who they are."};
}

Result<void> Link::on_return(const ReturnMessage& message) {
    if (return_invite(message.device.member) != connection_.invite() ||
        !is_genuine(message, connection_.handshake_hash(), connection_.remote_static())) {
        return Error{Fault::peer, "A caller could not prove to be the member they named."};
    }
    TRY(const ReturnedMessage answer, parts_.host.let_back(message));
    TRY(connection_.send(encode_message(answer)));
    std::vector<CircleId> circles;
    if (answer.back) {
        for (const auto& back : answer.back->circles) circles.push_back(back.circle);
    }
    TRY(name_couriers(circles));
    closing_ = true;
    return ok();
}

// Behind an answer that lets somebody in: where else they find the circle.
Result<void> Link::name_couriers(const std::vector<CircleId>& circles) {
    TRY(const auto named, store::couriers_to_name(parts_.db, circles));
    if (named.couriers.empty()) return ok();
    return connection_.send(encode_courier_message(named));
}

Result<void> Link::on_join(const JoinMessage& join) {
    if (join.device.noise != connection_.remote_static()) {
        return Error{Fault::peer, "A caller with an invite named another device than the one that called."};
    }
    const InviteId invite = greeted_ ? greeted_->offer() : connection_.invite();
    TRY(const WelcomeMessage welcome, parts_.host.let_in(invite, join));
    if (greeted_) {
        TRY(greeted_->on_welcome(join, welcome));
    }
    if (welcome.joined && join.port != 0) {
        boost::system::error_code error;
        const auto endpoint = wire_.socket().remote_endpoint(error);
        if (!error) {
            const std::string host = endpoint.address().to_string();
            const bool v6 = endpoint.address().is_v6();
            TRY(store::remember_address(parts_.db, join.device.device,
                                        (v6 ? "[" + host + "]" : host) + ":" + std::to_string(join.port)));
        }
    }
    TRY(connection_.send(encode_message(welcome)));
    if (welcome.joined) {
        TRY(name_couriers({welcome.joined->circle}));
    }
    closing_ = true;
    return ok();
}

Result<void> Link::take_grants() {
    bool is_new = false;
    for (const GrantMessage& grant : session_->take_grants()) {
        TRY(const bool told, parts_.host.take_grant(grant, *peer_));
        is_new = is_new || told;
    }
    // The next session knows the new circle. A grant of a known one (the peer has not heard of somebody's going) must
    // not end this one: it would come again in every other.
    if (is_new) close();
    return ok();
}

void Link::on_news(const CircleId& circle) {
    if (!session_ || wire_.has_ended() || closing_) return;
    was_in_step_ = false;
    const auto shared = store::circles_with(parts_.db, parts_.me.id(), *peer_);
    if (!shared) return wire_.fail(shared.error());
    const auto is_in = [&](const std::vector<CircleId>& all) {
        return std::find(all.begin(), all.end(), circle) != all.end();
    };
    if (is_in(circles_) != is_in(shared.value())) return close();  // the next session names the circles of now
    if (!is_in(circles_)) return;
    const Result<void> outcome = session_->on_local_news(circle);
    if (!outcome) return wire_.fail(outcome.error());
    wire_.say();
}

void Link::close() {
    if (wire_.has_ended() || closing_) return;
    if (session_) session_->say_bye();
    closing_ = true;
    wire_.say();
}

void Link::cut() {
    wire_.cut({Fault::network, "The connection was closed here."});
}

void Link::cut_with_the_node() {
    node_goes_down_ = true;
    cut();
}

}  // namespace ladderline::node::net
