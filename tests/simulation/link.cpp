#include "tests/simulation/link.hpp"

#include <algorithm>

#include "protocol/sync/wraps.hpp"
#include "store/circles/peers.hpp"
#include "tests/simulation/world.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

constexpr std::size_t wire_messages_max = 4;

}  // namespace

// A courier talks with everybody about every circle.
std::vector<CircleId> shared_circles(World& world, Station& at, const Station& with) {
    const Node* peer = const_cast<Station&>(with).member();
    if (Node* self = at.member(); self != nullptr && peer != nullptr) {
        auto found = store::circles_with(self->db(), self->me.id(), peer->me.noise.pub);
        return found ? found.value() : std::vector<CircleId>();
    }
    std::vector<CircleId> out;
    for (const Circle& circle : world.circles) {
        Node* self = at.member();
        if (self == nullptr || self->log().current_key(circle.id)) out.push_back(circle.id);
    }
    std::sort(out.begin(), out.end());
    return out;
}

Link::Link(World& world, Station& caller, Station& called, bool sealed, Dice& dice) : world_(world) {
    ends_[0].station = &caller;
    ends_[1].station = &called;
    for (End& end : ends_) {
        Station& other = *ends_[1 - number_of(end)].station;
        end.circles = shared_circles(world, *end.station, other);
        if (other.member() != nullptr) end.peer = other.member()->me.noise.pub;
        if (end.circles.empty()) over_ = true;  // it would not call, or does not let the caller in
    }
    if (over_) return;
    world.counts.sessions += 1;
    if (sealed && caller.member() != nullptr && called.member() != nullptr) {
        Node& from = *caller.member();
        Node& to = *called.member();
        InitiatorSetup init;
        init.local_static = {from.me.noise.pub, from.me.noise.secret.clone()};
        init.remote_static = to.me.noise.pub;
        ends_[0].connection = Connection::initiate(std::move(init), from.random(), mono_);
        ResponderSetup resp;
        resp.local_static = {to.me.noise.pub, to.me.noise.secret.clone()};
        resp.allow_xx = false;
        ends_[1].connection = Connection::respond(std::move(resp), to.random(), mono_);
        flush(ends_[0]);
        return;
    }
    binding_.resize(32);
    dice.fill(binding_);
    begin_end(1, Session::Side::called, binding_);
    begin_end(0, Session::Side::caller, binding_);
}

void Link::begin_end(std::size_t which, Session::Side side, ByteView binding) {
    End& end = ends_[which];
    Node* self = end.station->member();
    const Station& other = *ends_[1 - which].station;
    const ByteView peer = end.peer.is_zero() ? as_bytes(other.name()) : end.peer.view();
    end.session.emplace(end.station->view(), side, end.circles, binding, peer);
    if (self != nullptr && !end.peer.is_zero()) {
        const Day today = utc_day(self->clock(world_.now));
        for (const CircleId& circle : end.circles) {
            auto key = store::key_for_device(self->states(), self->log(), circle, end.peer, today);
            if (key && key.value()) end.session->offer_key(circle, *key.value());
        }
        end.shelf = std::make_unique<store::StoreShelf>(self->states(), self->log(), self->random(), end.peer);
        end.book =
            std::make_unique<WrapBook>(*end.shelf, dh_keys_from_secret(self->me.box.secret.clone()), end.circles);
    }
    const auto begun = end.session->begin();
    if (!begun) return ended_by(end, begun.error());
    for (const CircleId& circle : end.circles) ask_for_keys(end, circle);
}

void Link::ask_for_keys(End& end, const CircleId& circle) {
    if (!end.book || over_) return;
    auto request = end.book->next_request(circle);
    if (!request) return ended_by(end, request.error());
    if (request.value()) send(end, std::move(*request.value()));
}

void Link::send(End& end, Bytes message) {
    if (!end.connection) {
        end.wire.push_back(std::move(message));
        return;
    }
    if (!end.connection->established()) return;
    ENSURE(end.connection->send(message).has_value());
    flush(end);
}

void Link::flush(End& end) {
    Bytes bytes = end.connection->next_output();
    if (!bytes.empty()) end.wire.push_back(std::move(bytes));
}

bool Link::in_step() const {
    return !over_ && ends_[0].session && ends_[1].session && ends_[0].session->in_step() && ends_[1].session->in_step();
}

bool Link::speak(std::size_t which) {
    End& end = ends_[which];
    if (!end.session || end.wire.size() >= wire_messages_max) return false;
    auto message = end.session->next_output();
    if (!message) return false;
    send(end, std::move(*message));
    return true;
}

bool Link::hear(std::size_t which, Dice& dice) {
    End& from = ends_[which];
    End& to = ends_[1 - which];
    if (from.wire.empty()) return false;
    Bytes bytes = std::move(from.wire.front());
    from.wire.pop_front();
    world_.trace.add(bytes);
    world_.counts.messages += 1;
    if (!to.connection) {
        on_message(to, bytes);
        return true;
    }
    for (std::size_t at = 0; at < bytes.size() && !over_;) {
        const std::size_t some = dice.chance(50) ? 1 + dice.below(7) : 1 + dice.below(bytes.size());
        const std::size_t count = std::min(bytes.size() - at, some);
        const auto begin = bytes.begin() + static_cast<std::ptrdiff_t>(at);
        if (!hear_bytes(to, Bytes(begin, begin + static_cast<std::ptrdiff_t>(count)))) break;
        at += count;
    }
    return true;
}

bool Link::hear_bytes(End& end, const Bytes& bytes) {
    const auto taken = end.connection->on_bytes(bytes, mono_);
    if (taken && end.connection->awaiting_decision()) {
        if (!end.connection->accept({})) world_.fail("A connection did not let itself be accepted.");
    }
    if (!taken) {
        ended_by(end, taken.error());
        return false;
    }
    if (end.connection->established() && !end.session) {
        const bool calls = number_of(end) == 0;
        begin_end(number_of(end), calls ? Session::Side::caller : Session::Side::called,
                  end.connection->handshake_hash().view());
    }
    while (!over_) {
        const auto message = end.connection->next_message();
        if (!message) break;
        on_message(end, *message);
    }
    if (!over_) flush(end);
    return !over_;
}

void Link::on_message(End& end, const Bytes& message) {
    if (!message.empty() && is_wrap_message(message.front())) {
        if (!end.book) return;
        end.shelf->set_today(utc_day(end.station->member()->clock(world_.now)));
        auto answer = end.book->on_message(message);
        if (!answer) return ended_by(end, answer.error());
        if (answer.value()) send(end, std::move(*answer.value()));
        for (const CircleId& circle : end.book->take_opened()) {
            end.unsettled.insert(circle);
            world_.news(*end.station, circle, this);
        }
        return after_message(end);
    }
    const auto outcome = end.session->on_message(message);
    for (const CircleId& circle : end.session->take_changed()) {
        end.unsettled.insert(circle);
        world_.news(*end.station, circle, this);
        ask_for_keys(end, circle);
    }
    if (!outcome) return ended_by(end, outcome.error());
    after_message(end);
}

void Link::after_message(End& end) {
    if (over_) return;
    Node* self = end.station->member();
    if (self != nullptr && end.session->in_step()) {
        for (const CircleId& circle : std::exchange(end.unsettled, {})) world_.settled(*self, circle);
    }
    if (over_ || !end.session) return;
    const auto grants = end.session->take_grants();
    if (self == nullptr || grants.empty()) return;
    bool is_new = false;
    for (const GrantMessage& grant : grants) is_new = world_.took_grant(*self, grant, end.peer) || is_new;
    if (is_new) say_goodbye();  // the next one knows the circle
}

void Link::ended_by(End& end, const Error& error) {
    over_ = true;
    const bool honest = world_.plan.shape.courier_lies == false ||
                        (ends_[0].station->member() != nullptr && ends_[1].station->member() != nullptr);
    world_.tell("The conversation of " + ends_[0].station->name() + " and " + ends_[1].station->name() +
                " ended: " + error.sentence());
    if (error.fault() == Fault::disk || error.fault() == Fault::busy) {
        if (Node* self = end.station->member()) world_.disk_failed(*self);
        return;
    }
    if (honest) {
        world_.fail("A conversation between honest ends, " + ends_[0].station->name() + " and " +
                    ends_[1].station->name() + ", ended at " + end.station->name() + ": " + error.sentence());
    }
}

void Link::say_goodbye() {
    over_ = true;
}

void Link::on_news(const Station& at, const CircleId& circle) {
    if (over_) return;
    End& end = ends_[ends_[0].station == &at ? 0 : 1];
    const End& other = ends_[1 - number_of(end)];
    if (!end.session) return;
    const auto shared = shared_circles(world_, *end.station, *other.station);
    const auto is_in = [&](const std::vector<CircleId>& all) {
        return std::find(all.begin(), all.end(), circle) != all.end();
    };
    if (is_in(end.circles) != is_in(shared)) return say_goodbye();
    if (!is_in(end.circles)) return;
    const auto outcome = end.session->on_local_news(circle);
    if (!outcome) ended_by(end, outcome.error());
}

bool Link::move(Dice& dice) {
    if (over_) return false;
    const std::size_t first = dice.below(4);
    for (std::size_t i = 0; i < 4 && !over_; ++i) {
        const std::size_t what = (first + i) % 4;
        if (what < 2 ? speak(what) : hear(what - 2, dice)) return true;
    }
    return false;
}

void Link::finish(Dice& dice) {
    for (std::size_t moves = 0; move(dice);) {
        if (++moves > 50'000) {
            world_.fail("The conversation of " + ends_[0].station->name() + " and " + ends_[1].station->name() +
                        " does not come to an end.");
            return;
        }
    }
}

}  // namespace ladderline::simulation
