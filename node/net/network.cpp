#include "node/net/network.hpp"

#include <algorithm>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/connect.hpp>
#include <boost/asio/ip/v6_only.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <map>
#include <set>

#include "node/net/crowd.hpp"
#include "node/net/dialling.hpp"
#include "node/net/doorstep.hpp"

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;
using asio::ip::tcp;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr std::size_t links_max = 256;  // that have proven whose they are; more push out others
constexpr std::int64_t idle_look_ms = 1000;
constexpr std::int64_t same_noted_ms = 60'000;  // not each time that two are in step is written down
constexpr std::int64_t accept_retry_ms = 200;
constexpr std::size_t heard_calls_max = 2;        // at once, to one device where it was heard
constexpr std::int64_t crossing_ms_max = 30'000;  // from one side's looking for a link to its own call's being answered

void ignore(std::exception_ptr) {}

// Not one that was cut and has not come to its end.
bool is_up(const std::shared_ptr<Link>& link) {
    return link->peer().has_value() && !link->has_ended();
}

bool is_own_fault(const Error& why) {
    return why.fault() == Fault::disk || why.fault() == Fault::damaged || why.fault() == Fault::busy;
}

}  // namespace

struct Network::State : std::enable_shared_from_this<State> {
    // When a device is called at the address that is kept for it.
    struct Dial {
        MonoTime next;
        std::int64_t wait_ms = 0;
        std::optional<std::string> calling;  // that address, while a call to it goes on
    };
    // One call, from its first step to its end.
    struct Call {
        store::PeerDevice peer;
        bool is_heard = false;  // the address was heard, and anybody may have said it
        store::ReachStep step = store::ReachStep::none;
        std::optional<MonoTime> established;  // none: it came to no session
        bool led_somewhere = false;
        std::optional<MonoTime> same_noted;
    };

    State(asio::any_io_executor strand_, const Parts& parts_, NetworkTimes times_)
        : strand(std::move(strand_)), parts(parts_), times(times_), acceptor(strand), retry(strand), look(strand) {}

    asio::any_io_executor strand;
    Parts parts;
    NetworkTimes times;
    tcp::acceptor acceptor;
    asio::steady_timer retry;
    asio::steady_timer look;
    std::vector<std::shared_ptr<Link>> links;
    std::map<const Link*, MonoTime> known_since;  // whose device they lead to
    std::map<DeviceId, Dial> dials;
    std::vector<store::PeerDevice> heard;  // that are being called where they were heard
    std::string said_last;
    bool stopping = false;

    bool linked(const DhPublic& noise) const {
        return std::any_of(links.begin(), links.end(), [&](const auto& l) { return is_up(l) && l->peer() == noise; });
    }

    bool is_called_where_heard(const store::PeerDevice& peer) const {
        return std::any_of(heard.begin(), heard.end(), [&](const store::PeerDevice& one) {
            return one.device == peer.device && one.address == peer.address;
        });
    }
    bool may_call_where_heard(const store::PeerDevice& peer);

    void drop(const std::shared_ptr<Link>& link) {
        std::erase(links, link);
        known_since.erase(link.get());
    }

    void make_room_at_door_for(const asio::ip::address& newcomer) {
        std::vector<std::shared_ptr<Link>> waiting;
        std::copy_if(links.begin(), links.end(), std::back_inserter(waiting),
                     [](const auto& l) { return l->is_at_the_door(); });
        std::vector<Caller> callers;
        for (const std::shared_ptr<Link>& link : waiting) callers.push_back({link->from()});
        const auto goes = who_makes_room(callers, newcomer, {half_open_max, half_open_per_network_max});
        if (goes) waiting[*goes]->cut();
    }

    // Nobody calls who has a link, so calls cross only while both are on their way. A peer that calls later has lost
    // the link that we began.
    bool is_lost_there(const Link& other, const Link& fresh) const {
        if (other.is_ours() == fresh.is_ours()) return true;
        const auto began = known_since.find(&other);
        return other.is_ours() && began != known_since.end() &&
               parts.clock.monotonic() >= began->second + crossing_ms_max;
    }

    // Two links to one device. Both sides called: the one that the smaller key began stays. The same side twice, or
    // too late for that: the peer lost the older one, perhaps with its power, and nobody is there to say goodbye to.
    void keep_one(const std::shared_ptr<Link>& fresh) {
        known_since[fresh.get()] = parts.clock.monotonic();
        for (const std::shared_ptr<Link>& other : std::vector(links)) {
            if (other == fresh || !is_up(other) || other->peer() != fresh->peer()) continue;
            if (is_lost_there(*other, *fresh)) {
                other->cut();
                continue;
            }
            const bool ours_stays = parts.me.noise.pub < *fresh->peer();
            (fresh->is_ours() == ours_stays ? other : fresh)->close();
        }
        if (fresh->is_ours()) end_other_calls(*fresh);
        const Result<void> room = make_room_for(fresh);
        if (!room) parts.host.log_line("Whose the links are cannot be read: " + room.error().sentence());
    }

    // Before the peer has heard a word of them: of two that it takes for members' it would keep the one that came to it
    // last, which need not be the last that was answered here.
    void end_other_calls(const Link& through) {
        for (const std::shared_ptr<Link>& other : std::vector(links)) {
            if (!other->peer() && other->is_call_to(*through.peer())) other->cut();
        }
    }

    // A full node turns no member away at the door: whoever is one too many is known only behind it. An idle link has
    // no end, and a member may certify any number of devices.
    Result<void> make_room_for(const std::shared_ptr<Link>& fresh) {
        std::vector<std::shared_ptr<Link>> proven;
        std::copy_if(links.begin(), links.end(), std::back_inserter(proven), is_up);
        if (proven.size() <= links_max || !is_up(fresh)) return ok();
        const MonoTime now = parts.clock.monotonic();
        std::vector<CrowdLink> crowd;
        for (const std::shared_ptr<Link>& link : proven) {
            TRY(const store::Owners owners, store::owners_of(parts.db, parts.me.id(), *link->peer()));
            crowd.push_back({owners, now.ms - known_since.at(link.get()).ms});
        }
        const auto place = std::find(proven.begin(), proven.end(), fresh) - proven.begin();
        proven[who_goes(crowd, static_cast<std::size_t>(place))]->cut();
        return ok();
    }

    // What this machine could not do with what came; said once until something else is wrong.
    void say_own_fault(const Error& why) {
        if (!is_own_fault(why)) return;
        if (std::exchange(said_last, why.sentence()) == why.sentence()) return;
        parts.host.log_line("What another node sent was not kept: " + why.sentence());
    }

    static asio::awaitable<void> accept_loop(std::shared_ptr<State> self);
    static asio::awaitable<void> serve(std::shared_ptr<State> self, std::shared_ptr<Link> link);
    static asio::awaitable<void> dial_loop(std::shared_ptr<State> self);
    static asio::awaitable<void> dial(std::shared_ptr<State> self, store::PeerDevice peer);
    static asio::awaitable<void> call_where_heard(std::shared_ptr<State> self, store::PeerDevice peer);
    asio::awaitable<Result<tcp::socket>> connect(std::shared_ptr<Call> call);
    asio::awaitable<Error> connect_and_run(std::shared_ptr<Call> call);
    void note_end(Call& call, const Error& why);
    bool note(const store::PeerDevice& peer, store::ReachStep step, std::string why);
    void note_unkept(const DhPublic& noise, store::ReachStep step, const Error& why);
    void end_unkept(const DhPublic& noise);
    void schedule(const DeviceId& device, bool led_somewhere);
};

asio::awaitable<void> Network::State::accept_loop(std::shared_ptr<State> self) {
    while (!self->stopping) {
        tcp::socket socket(self->strand);
        const auto [error] = co_await self->acceptor.async_accept(socket, tuple);
        if (error) {
            if (self->stopping || error == asio::error::operation_aborted) break;
            // Out of file descriptors, most likely: not again in a tight loop.
            self->retry.expires_after(std::chrono::milliseconds(accept_retry_ms));
            co_await self->retry.async_wait(tuple);
            continue;
        }
        boost::system::error_code gone;
        const tcp::endpoint from = socket.remote_endpoint(gone);
        if (gone) continue;
        self->make_room_at_door_for(from.address());
        const std::shared_ptr<Link> link = Link::accepted(self->parts, std::move(socket));
        self->links.push_back(link);
        asio::co_spawn(self->strand, serve(self, link), ignore);
    }
}

asio::awaitable<void> Network::State::serve(std::shared_ptr<State> self, std::shared_ptr<Link> link) {
    // The link holds this function, and the state holds the link: neither may be held by it.
    std::function<void()> established = [state = self.get(), known = link.get()] {
        state->keep_one(known->shared_from_this());
    };
    std::function<void()> came_in_step = [state = self.get(), known = link.get()] {
        if (known->peer()) state->end_unkept(*known->peer());
    };
    const Error why = co_await link->run(std::move(established), std::move(came_in_step));
    self->drop(link);
    if (why.fault() == Fault::peer) self->parts.host.log_line("A caller was turned away: " + why.sentence());
    self->say_own_fault(why);
    if (is_own_fault(why) && link->peer()) self->note_unkept(*link->peer(), link->step(), why);
}

asio::awaitable<void> Network::State::dial_loop(std::shared_ptr<State> self) {
    while (!self->stopping) {
        const auto peers = store::reachable_peers(self->parts.db, self->parts.me.id(), self->parts.me.device_id());
        const MonoTime now = self->parts.clock.monotonic();
        if (peers) {
            for (const store::PeerDevice& peer : peers.value()) {
                Dial& dial_state = self->dials[peer.device];
                if (dial_state.calling || dial_state.next > now || self->linked(peer.noise)) continue;
                if (self->is_called_where_heard(peer)) continue;
                dial_state.calling = peer.address;
                asio::co_spawn(self->strand, dial(self, peer), ignore);
            }
        }
        self->look.expires_after(std::chrono::milliseconds(std::min(idle_look_ms, self->times.first_retry_ms)));
        co_await self->look.async_wait(tuple);
    }
}

asio::awaitable<Result<tcp::socket>> Network::State::connect(std::shared_ptr<Call> call) {
    const std::string& at = call->peer.address;
    const Result<Address> address = parse_address(at);
    if (!address) co_return address.error();
    const auto resolver = std::make_shared<tcp::resolver>(strand);
    const auto socket = std::make_shared<tcp::socket>(strand);
    asio::steady_timer limit(strand);
    limit.expires_after(std::chrono::milliseconds(times.dial_wait_ms_max));
    limit.async_wait([resolver, socket](const boost::system::error_code& ended) {
        if (ended) return;
        resolver->cancel();
        boost::system::error_code ignored;
        socket->close(ignored);
    });
    const std::string port = std::to_string(address.value().port);
    const auto [unresolved, endpoints] = co_await resolver->async_resolve(address.value().host, port, tuple);
    if (unresolved) {
        Error error(Fault::network, at + " cannot be found: " + unresolved.message() + ".");
        co_return error;
    }
    call->step = store::ReachStep::address;
    const auto [refused, endpoint] = co_await asio::async_connect(*socket, endpoints, tuple);
    limit.cancel();
    if (refused) {
        const bool late = refused == asio::error::operation_aborted;
        Error error(Fault::network, at + " does not answer: " + (late ? "no word in time" : refused.message()) + ".");
        co_return error;
    }
    call->step = store::ReachStep::answer;
    co_return std::move(*socket);
}

asio::awaitable<Error> Network::State::connect_and_run(std::shared_ptr<Call> call) {
    Result<tcp::socket> socket = co_await connect(call);
    if (!socket) co_return socket.error();
    if (stopping || linked(call->peer.noise)) {
        Error error(Fault::cancelled, stopping ? "The node stops." : "Another call came through first.");
        co_return error;
    }
    const std::shared_ptr<Link> link = Link::dialled(parts, std::move(socket.value()), call->peer.noise);
    links.push_back(link);
    std::function<void()> established = [this, known = link.get(), call] {
        static_cast<void>(note(call->peer, store::ReachStep::proof, ""));
        call->established = parts.clock.monotonic();
        keep_one(known->shared_from_this());
    };
    std::function<void()> came_in_step = [this, call] {
        const MonoTime now = parts.clock.monotonic();
        if (call->same_noted && now < *call->same_noted + same_noted_ms) return;
        call->same_noted = now;
        if (note(call->peer, store::ReachStep::same, "")) end_unkept(call->peer.noise);
    };
    Error why = co_await link->run(std::move(established), std::move(came_in_step));
    call->step = link->step();
    call->led_somewhere = link->led_somewhere();
    drop(link);
    co_return why;
}

// Whether it could be kept.
bool Network::State::note(const store::PeerDevice& peer, store::ReachStep step, std::string why) {
    const store::Reached reached{step, parts.clock.wall(), std::move(why)};
    const Result<void> noted = store::note_peer(parts.db, peer.device, reached);
    if (!noted) note_unkept(peer.noise, step, noted.error());
    return noted.has_value();
}

// Whatever was the same before, what came last is not here.
void Network::State::note_unkept(const DhPublic& noise, store::ReachStep step, const Error& why) {
    const store::Reached reached{std::min(step, store::ReachStep::talk), parts.clock.wall(), why.sentence()};
    const Result<void> noted = store::note_unkept(parts.db, noise, reached);
    if (!noted) parts.host.log_line("What was not kept cannot be shown: " + noted.error().sentence());
}

void Network::State::end_unkept(const DhPublic& noise) {
    const Result<void> ended = store::end_unkept(parts.db, noise);
    if (!ended) parts.host.log_line("What was not kept is still shown: " + ended.error().sentence());
}

asio::awaitable<void> Network::State::dial(std::shared_ptr<State> self, store::PeerDevice peer) {
    const auto call = std::make_shared<Call>();
    call->peer = peer;
    const Error why = co_await self->connect_and_run(call);
    if (self->stopping) co_return;
    self->note_end(*call, why);
    self->schedule(peer.device, call->led_somewhere);
}

// Nothing that comes of it changes when the device is called at the address that is kept.
asio::awaitable<void> Network::State::call_where_heard(std::shared_ptr<State> self, store::PeerDevice peer) {
    const auto call = std::make_shared<Call>();
    call->peer = peer;
    call->is_heard = true;
    const Error why = co_await self->connect_and_run(call);
    std::erase_if(self->heard, [&](const store::PeerDevice& one) {
        return one.device == peer.device && one.address == peer.address;
    });
    if (!self->stopping) self->note_end(*call, why);
}

// One call to each host and few in all: whoever says a beacon again can name any number of ports.
bool Network::State::may_call_where_heard(const store::PeerDevice& peer) {
    const Dial& dial = dials[peer.device];
    if (stopping || linked(peer.noise) || dial.calling == peer.address) return false;
    const Result<Address> address = parse_address(peer.address);
    if (!address) return false;
    std::size_t calls = 0;
    for (const store::PeerDevice& one : heard) {
        if (one.device != peer.device) continue;
        if (parse_address(one.address).value().host == address.value().host) return false;
        ++calls;
    }
    return calls < heard_calls_max;
}

// What the call came to. It says nothing of the device where another call has come through meanwhile, or where it never
// was the device that answered at an address that was only heard.
void Network::State::note_end(Call& call, const Error& why) {
    say_own_fault(why);
    if (is_own_fault(why)) {
        note_unkept(call.peer.noise, call.step, why);
        call.led_somewhere = false;
        return;
    }
    const MonoTime now = parts.clock.monotonic();
    const bool stood = call.established && now >= *call.established + times.stood_ms_min;
    call.led_somewhere = call.led_somewhere || stood;
    if (linked(call.peer.noise) || (call.is_heard && !call.established)) return;
    if (note(call.peer, call.step, why.sentence())) end_unkept(call.peer.noise);
}

// Longer after every call in a row that led nowhere: nobody answered, or the session broke off at once, as it does
// where either side's disk takes nothing.
void Network::State::schedule(const DeviceId& device, bool led_somewhere) {
    Dial& state = dials[device];
    state.calling.reset();
    if (led_somewhere) state.wait_ms = 0;
    state.wait_ms = state.wait_ms == 0 ? times.first_retry_ms : std::min(state.wait_ms * 2, times.last_retry_ms);
    state.next = parts.clock.monotonic() + state.wait_ms;
}

Network::Network(asio::any_io_executor strand, const Parts& parts, NetworkTimes times)
    : state_(std::make_shared<State>(std::move(strand), parts, times)) {}

Network::~Network() {
    state_->stopping = true;
    boost::system::error_code ignored;
    state_->acceptor.close(ignored);
    state_->look.cancel();
    state_->retry.cancel();
    for (const auto& link : std::vector(state_->links)) link->cut_with_the_node();
}

Result<std::uint16_t> Network::listen(const Address& address) {
    return open_acceptor(state_->acceptor, address);
}

std::uint16_t Network::port() const {
    boost::system::error_code error;
    const auto endpoint = state_->acceptor.local_endpoint(error);
    return error ? std::uint16_t{0} : endpoint.port();
}

Families Network::families() const {
    boost::system::error_code error;
    const auto endpoint = state_->acceptor.local_endpoint(error);
    if (error) return {};
    if (endpoint.address().is_v4()) return {true, false};
    // One that listens on all of IPv6 is called by IPv4 too, unless the system says otherwise.
    asio::ip::v6_only only;
    state_->acceptor.get_option(only, error);
    return {endpoint.address().is_unspecified() && !error && !only.value(), true};
}

void Network::start() {
    if (state_->acceptor.is_open()) asio::co_spawn(state_->strand, State::accept_loop(state_), ignore);
    asio::co_spawn(state_->strand, State::dial_loop(state_), ignore);
}

void Network::stop() {
    state_->stopping = true;
    boost::system::error_code ignored;
    state_->acceptor.close(ignored);
    state_->look.cancel();
    state_->retry.cancel();
    for (const auto& link : std::vector(state_->links)) link->close();
}

void Network::on_news(const CircleId& circle) {
    for (const auto& link : std::vector(state_->links)) link->on_news(circle);
}

void Network::look_again() {
    for (auto& [device, dial] : state_->dials) dial.next = {};
    state_->look.cancel();
}

void Network::call_once(const store::PeerDevice& peer) {
    if (!state_->may_call_where_heard(peer)) return;
    state_->heard.push_back(peer);
    asio::co_spawn(state_->strand, State::call_where_heard(state_, peer), ignore);
}

std::size_t Network::links() const {
    return static_cast<std::size_t>(std::count_if(state_->links.begin(), state_->links.end(), is_up));
}

std::size_t Network::links_in_step() const {
    return static_cast<std::size_t>(std::count_if(state_->links.begin(), state_->links.end(),
                                                  [](const auto& l) { return is_up(l) && l->in_step(); }));
}

bool Network::was_in_step_with(const DhPublic& noise) const {
    return std::any_of(state_->links.begin(), state_->links.end(),
                       [&](const auto& l) { return is_up(l) && l->peer() == noise && l->was_in_step(); });
}

}  // namespace ladderline::node::net
