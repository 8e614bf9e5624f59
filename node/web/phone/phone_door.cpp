#include "node/web/phone/phone_door.hpp"

#include <algorithm>
#include <array>
#include <boost/asio/post.hpp>
#include <chrono>

#include "node/web/phone/certificate.hpp"
#include "node/web/server.hpp"
#include "node/web/site.hpp"
#include "protocol/handshake/check_words.hpp"

namespace ladderline::node::web {

namespace asio = boost::asio;

namespace {

constexpr std::uint16_t port_least = 1024;         // below, only the system's own programs listen
constexpr std::int64_t clocks_apart_ms = 300'000;  // a telephone's clock may be a little behind

// Before anybody is let in, little of what comes is kept: one browser's worth, and no files.
ServerLimits limits() {
    ServerLimits out;
    out.connections_max = 16;
    out.file_body_bytes_max = out.body_bytes_max;
    return out;
}

std::string three_words(Random& random) {
    std::array<std::uint8_t, 3> bytes{};
    random.fill(bytes);
    std::string letters;
    for (const std::uint8_t byte : bytes) letters.push_back(static_cast<char>('A' + byte % 26));
    return protocol::itu_spelling(letters);
}

Error bad(std::string sentence) {
    return {Fault::bad_input, std::move(sentence)};
}

Result<asio::ip::address> chosen(const PhoneOptions& options, const std::vector<OwnAddress>& own) {
    boost::system::error_code unreadable;
    const asio::ip::address out = asio::ip::make_address(options.address, unreadable);
    const bool is_ours = std::any_of(own.begin(), own.end(), [&](const OwnAddress& o) { return o.address == out; });
    if (unreadable || !(is_ours || out.is_loopback())) {
        std::string known;
        for (const OwnAddress& one : own) known += (known.empty() ? "" : ", ") + one.address.to_string();
        return bad("'" + options.address +
                   "' is no address of this machine on a local network, so nothing was opened; " +
                   (known.empty() ? "it has none just now." : "it has " + known + "."));
    }
    if (options.minutes < 1 || options.minutes > phone_minutes_max) {
        return bad("Choose between 1 minute and " + std::to_string(phone_minutes_max / 60) +
                   " hours; nothing was opened.");
    }
    if (options.port != 0 && options.port < port_least) {
        return bad("Choose a port from 1024 to 65535, or 0 for a free one; nothing was opened.");
    }
    return out;
}

}  // namespace

// All that one share is made of.
struct PhoneDoor::Share {
    Share(asio::any_io_executor strand, TlsKeys made) : keys(std::move(made)), server(strand, limits(), keys.context) {}

    TlsKeys keys;
    Server server;
    std::optional<Guard> guard;
    std::optional<Site> site;
};

PhoneDoor::PhoneDoor(asio::any_io_executor strand, const Router& router, LiveHub& hub, Env& env, Setup setup)
    : strand_(strand), router_(router), hub_(hub), env_(env), setup_(std::move(setup)), timer_(strand) {}

PhoneDoor::~PhoneDoor() = default;

void PhoneDoor::on_fault(std::function<void(const std::string&, const std::string&)> listener) {
    on_fault_ = std::move(listener);
}

std::vector<OwnAddress> PhoneDoor::addresses() const {
    return shareable(setup_.addresses());
}

Result<void> PhoneDoor::open(const PhoneOptions& options) {
    if (share_) {
        return Error{Fault::busy, "The pages are open to a telephone already; end that first, then open them anew."};
    }
    TRY(const asio::ip::address address, chosen(options, addresses()));
    const WallTime now = env_.clock.wall();
    const std::int64_t time_ms = std::int64_t{60'000} * options.minutes;
    PhoneState state;
    state.name = three_words(env_.random);
    state.until = {now.ms + time_ms};
    TRY(TlsKeys keys,
        make_tls_keys({address, "Ladderline " + state.name, {now.ms - clocks_apart_ms}, state.until}, env_.random));
    state.fingerprint = fingerprint_text(keys.fingerprint);
    auto share = std::make_shared<Share>(strand_, std::move(keys));
    TRY(state.port, share->server.listen(address, options.port, is_of_local_network));
    GuardOptions guarded;
    guarded.port = state.port;
    guarded.host = host_text(address);
    guarded.for_phone = true;
    guarded.idle_ms_max = setup_.idle_ms_max;
    guarded.sessions_max = 1;
    share->guard.emplace(guarded, env_.random);
    share->guard->on_opened([this](Opened what, const std::string& peer) { opened(what, peer); });
    share->site.emplace(*share->guard, router_, hub_, env_.clock);
    if (on_fault_) share->site->on_fault(on_fault_);
    share->site->on_lock([this] {
        shut(PhoneEnd::locked);
        on_lock_();
    });
    share->server.serve(share->site->handler(), hub_);
    share->server.start_ticking(env_.clock);
    state.is_open = true;
    state.address = address.to_string();
    state.link = share->guard->start_address();
    state_ = std::move(state);
    deadline_ = env_.clock.monotonic() + time_ms;
    share_ = std::move(share);
    tick();
    tell();
    return ok();
}

void PhoneDoor::shut(PhoneEnd why) {
    if (!share_) return;
    state_.is_open = false;
    state_.link.clear();
    state_.ended = why;
    state_.ended_at = env_.clock.wall();
    timer_.cancel();
    // A page may be what ends it, so that what answers the page goes later.
    Share* const gone = share_.get();
    leaving_.push_back(std::move(share_));
    gone->server.stop([this, gone, alive = std::weak_ptr<int>(alive_)] {
        if (alive.expired()) return;
        asio::post(strand_, [this, gone, alive] {
            if (alive.expired()) return;
            std::erase_if(leaving_, [gone](const std::shared_ptr<Share>& share) { return share.get() == gone; });
        });
    });
    tell();
}

// By either clock: one stands still while the machine sleeps, the other may be put back.
void PhoneDoor::on_time() {
    if (!share_) return;
    share_->server.on_time(env_.clock.monotonic());
    const bool is_over = env_.clock.monotonic() >= deadline_ || env_.clock.wall() >= state_.until;
    if (is_over) shut(PhoneEnd::time_up);
}

void PhoneDoor::tick() {
    timer_.expires_after(std::chrono::seconds(1));
    timer_.async_wait([this, alive = std::weak_ptr<int>(alive_)](const boost::system::error_code& error) {
        if (error || alive.expired()) return;
        on_time();
        if (share_) tick();
    });
}

void PhoneDoor::opened(Opened what, const std::string& peer) {
    const Caller caller{peer, env_.clock.wall()};
    if (what == Opened::let_in) {
        state_.browser = caller;
        state_.link.clear();
    } else if (what == Opened::used_already) {
        state_.second = caller;
    } else {
        ++state_.wrong;
        if (state_.wrong >= links_wrong_max) return shut(PhoneEnd::wrong_links);
    }
    tell();
}

void PhoneDoor::tell() {
    hub_.publish(phone_topic);
}

}  // namespace ladderline::node::web
