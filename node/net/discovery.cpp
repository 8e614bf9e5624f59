#include "node/net/discovery.hpp"

#include <algorithm>
#include <array>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/ip/multicast.hpp>
#include <boost/asio/ip/v6_only.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <map>
#include <set>

#include "node/net/interfaces.hpp"
#include "store/circles/neighbours.hpp"
#include "store/circles/owners.hpp"

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;
using asio::ip::udp;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr std::int64_t jitter_parts = 4;          // a period is up to a quarter longer
constexpr std::size_t heard_per_second_max = 50;  // datagrams looked at; the rest of a flood is dropped
constexpr std::size_t runs_kept_max = 256;
// Of more circles than a beacon holds the first always stand in it, and the others take turns, as in a hello.
constexpr std::ptrdiff_t always_called = beacon_tags_max * 3 / 4;

void ignore(std::exception_ptr) {}

}  // namespace

struct Discovery::State : std::enable_shared_from_this<State> {
    State(asio::any_io_executor strand_, const Parts& parts_, DiscoverySetup setup_, Found found_)
        : strand(std::move(strand_)),
          parts(parts_),
          setup(std::move(setup_)),
          found(std::move(found_)),
          v4(strand),
          v6(strand),
          period(strand),
          run(parts.random.draw<BeaconRun>()) {}

    asio::any_io_executor strand;
    Parts parts;
    DiscoverySetup setup;
    Found found;
    udp::socket v4;
    udp::socket v6;
    asio::steady_timer period;
    BeaconRun run;
    std::uint16_t tcp_port = 0;
    Families families;
    std::set<BeaconRun> known_runs;
    MonoTime second_began;
    std::size_t heard_in_second = 0;
    bool stopping = false;

    Result<void> open(udp::socket& socket, const udp::endpoint& endpoint);
    void join_groups();
    void call_out();
    void send(udp::socket& socket, const udp::endpoint& to, const Bytes& datagram);
    void send_everywhere(const Bytes& datagram);
    bool too_many();
    Result<void> put_in_turn(std::vector<store::Neighbourhood>& around);
    Bytes own_beacon();
    void on_datagram(ByteView datagram, const udp::endpoint& from);
    static asio::awaitable<void> hear(std::shared_ptr<State> self, udp::socket& socket);
    static asio::awaitable<void> call_now_and_then(std::shared_ptr<State> self);
};

Result<void> Discovery::State::open(udp::socket& socket, const udp::endpoint& endpoint) {
    boost::system::error_code error;
    socket.open(endpoint.protocol(), error);
    // Several nodes on one machine all hear what is called out.
    if (!error) socket.set_option(udp::socket::reuse_address(true), error);
    if (!error && endpoint.protocol() == udp::v6()) socket.set_option(asio::ip::v6_only(true), error);
    if (!error && endpoint.protocol() == udp::v4()) socket.set_option(asio::socket_base::broadcast(true), error);
    if (!error) socket.bind(endpoint, error);
    if (!error) socket.non_blocking(true, error);
    if (!error) return ok();
    boost::system::error_code ignored;
    socket.close(ignored);
    return Error{Fault::network,
                 "Nodes nearby cannot be found by themselves: " + error.message() + "; name an address instead."};
}

// Repeated before each call, because a laptop changes its networks.
void Discovery::State::join_groups() {
    boost::system::error_code joined_before;
    for (const Interface& one : interfaces()) {
        if (v4.is_open() && !one.own.is_unspecified()) {
            v4.set_option(asio::ip::multicast::join_group(asio::ip::make_address_v4(discovery_group_v4), one.own),
                          joined_before);
        }
        if (v6.is_open() && one.has_v6) {
            v6.set_option(asio::ip::multicast::join_group(asio::ip::make_address_v6(discovery_group_v6), one.index),
                          joined_before);
        }
    }
}

void Discovery::State::send(udp::socket& socket, const udp::endpoint& to, const Bytes& datagram) {
    if (!(to.address().is_v6() ? families.v6 : families.v4)) return;  // nobody would answer there
    // What a network does not carry is no loss: another way, or the next call, will do.
    boost::system::error_code lost;
    if (socket.is_open()) socket.send_to(asio::buffer(datagram), to, 0, lost);
}

void Discovery::State::send_everywhere(const Bytes& datagram) {
    const udp::endpoint group_v4(asio::ip::make_address(discovery_group_v4), setup.port);
    boost::system::error_code ignored;
    for (const Interface& one : interfaces()) {
        if (v4.is_open() && !one.own.is_unspecified()) {
            v4.set_option(asio::ip::multicast::outbound_interface(one.own), ignored);
            send(v4, group_v4, datagram);
            if (!one.broadcast.is_unspecified()) send(v4, {one.broadcast, setup.port}, datagram);
        }
        if (v6.is_open() && one.has_v6) {
            auto group = asio::ip::make_address_v6(discovery_group_v6);
            group.scope_id(one.index);
            send(v6, {group, setup.port}, datagram);
        }
    }
}

// A member can found any number of circles: those that came unasked stand behind the chosen ones. Where the turns begin
// is drawn each time, because anybody can have a beacon called out (answers to a node that has just started).
Result<void> Discovery::State::put_in_turn(std::vector<store::Neighbourhood>& around) {
    if (around.size() <= beacon_tags_max) return ok();
    std::vector<CircleId> circles;
    for (const store::Neighbourhood& one : around) circles.push_back(one.circle);
    TRY(auto order, store::by_turns(parts.db, parts.me.id(), circles));
    std::array<std::uint8_t, 2> dice;
    parts.random.fill(dice);
    const auto others = order.begin() + always_called;
    std::rotate(others, others + (dice[0] * 256 + dice[1]) % (order.end() - others), order.end());
    std::map<CircleId, std::size_t> places;
    for (std::size_t i = 0; i < order.size(); ++i) places[order[i]] = i;
    std::sort(around.begin(), around.end(),
              [&](const auto& a, const auto& b) { return places[a.circle] < places[b.circle]; });
    return ok();
}

// Empty if there is nobody to be found by.
Bytes Discovery::State::own_beacon() {
    auto around = store::neighbourhoods(parts.db, parts.me.id(), parts.me.device_id());
    if (!around || around.value().empty() || tcp_port == 0) return {};
    if (!put_in_turn(around.value())) return {};
    std::vector<BeaconKey> keys;
    for (const store::Neighbourhood& one : around.value()) keys.push_back(beacon_key(one.circle, one.keys.front()));
    return write_beacon(keys, parts.me.device_id(), run, tcp_port, parts.random);
}

void Discovery::State::call_out() {
    const Bytes datagram = own_beacon();
    if (datagram.empty()) return;
    if (setup.everywhere) {
        join_groups();
        send_everywhere(datagram);
    }
    for (const Address& address : setup.also_to) {
        boost::system::error_code error;
        const auto ip = asio::ip::make_address(address.host, error);
        if (!error) send(ip.is_v6() ? v6 : v4, {ip, address.port}, datagram);
    }
}

bool Discovery::State::too_many() {
    const MonoTime now = parts.clock.monotonic();
    if (now.ms - second_began.ms >= 1000) {
        second_began = now;
        heard_in_second = 0;
    }
    return ++heard_in_second > heard_per_second_max;
}

void Discovery::State::on_datagram(ByteView datagram, const udp::endpoint& from) {
    const auto beacon = read_beacon(datagram);
    if (!beacon || beacon->run == run || too_many()) return;
    const auto around = store::neighbourhoods(parts.db, parts.me.id(), parts.me.device_id());
    if (!around) return;
    std::map<DeviceId, DhPublic> heard;
    for (const store::Neighbourhood& one : around.value()) {
        for (const AeadKey& key : one.keys) {
            const BeaconKey tags = beacon_key(one.circle, key);
            for (const store::Neighbour& other : one.devices) {
                if (beacon->has(beacon_tag(tags, beacon->nonce, other.device))) heard[other.device] = other.noise;
            }
        }
    }
    const std::string address = to_text({from.address().to_string(), beacon->port});
    for (const auto& [device, noise] : heard) found({device, noise, address});
    if (heard.empty()) return;
    if (known_runs.size() >= runs_kept_max) known_runs.clear();
    // A node that has just started hears of this one at once.
    if (!known_runs.insert(beacon->run).second) return;
    if (const Bytes answer = own_beacon(); !answer.empty()) send(from.address().is_v6() ? v6 : v4, from, answer);
}

asio::awaitable<void> Discovery::State::hear(std::shared_ptr<State> self, udp::socket& socket) {
    std::array<std::uint8_t, beacon_bytes_max + 1> into;
    udp::endpoint from;
    while (!self->stopping && socket.is_open()) {
        const auto buffer = asio::buffer(into);
        const auto [error, size] = co_await socket.async_receive_from(buffer, from, tuple);
        if (error == asio::error::operation_aborted || error == asio::error::bad_descriptor) break;
        if (!error) self->on_datagram(ByteView(into).first(size), from);
    }
}

asio::awaitable<void> Discovery::State::call_now_and_then(std::shared_ptr<State> self) {
    while (!self->stopping) {
        self->call_out();
        std::array<std::uint8_t, 2> dice;
        self->parts.random.fill(dice);
        const std::int64_t more = self->setup.period_ms / jitter_parts * (dice[0] * 256 + dice[1]) / 65'536;
        self->period.expires_after(std::chrono::milliseconds(self->setup.period_ms + more));
        co_await self->period.async_wait(tuple);
    }
}

Discovery::Discovery(asio::any_io_executor strand, const Parts& parts, DiscoverySetup setup, Found found)
    : state_(std::make_shared<State>(std::move(strand), parts, std::move(setup), std::move(found))) {}

Discovery::~Discovery() {
    stop();
}

Result<void> Discovery::start(std::uint16_t tcp_port, Families families) {
    state_->tcp_port = tcp_port;
    state_->families = families;
    const auto any_v4 = state_->setup.everywhere ? asio::ip::address_v4::any() : asio::ip::address_v4::loopback();
    const auto any_v6 = state_->setup.everywhere ? asio::ip::address_v6::any() : asio::ip::address_v6::loopback();
    TRY(state_->open(state_->v4, {any_v4, state_->setup.port}));
    // A machine without IPv6 is no worse off.
    static_cast<void>(state_->open(state_->v6, {any_v6, port()}).has_value());
    asio::co_spawn(state_->strand, State::hear(state_, state_->v4), ignore);
    if (state_->v6.is_open()) asio::co_spawn(state_->strand, State::hear(state_, state_->v6), ignore);
    asio::co_spawn(state_->strand, State::call_now_and_then(state_), ignore);
    return ok();
}

void Discovery::stop() {
    state_->stopping = true;
    state_->period.cancel();
    boost::system::error_code ignored;
    state_->v4.close(ignored);
    state_->v6.close(ignored);
}

std::uint16_t Discovery::port() const {
    boost::system::error_code error;
    const auto endpoint = state_->v4.local_endpoint(error);
    return error ? std::uint16_t{0} : endpoint.port();
}

void Discovery::call_out() {
    state_->call_out();
}

}  // namespace ladderline::node::net
