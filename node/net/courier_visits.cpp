#include "node/net/courier_visits.hpp"

#include <array>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "store/circles/owners.hpp"

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);

void ignore(std::exception_ptr) {}

}  // namespace

struct CourierVisits::State : std::enable_shared_from_this<State> {
    State(asio::any_io_executor strand_, const Parts& parts_, VisitTimes times_)
        : strand(std::move(strand_)), parts(parts_), times(times_), look(strand), turns(times_) {}

    asio::any_io_executor strand;
    Parts parts;
    VisitTimes times;
    asio::steady_timer look;
    VisitTurns turns;
    std::size_t good = 0;
    bool stopping = false;

    static asio::awaitable<void> loop(std::shared_ptr<State> self);
    static asio::awaitable<void> visit(std::shared_ptr<State> self, store::CircleCourier where);
    static asio::awaitable<void> end_place(std::shared_ptr<State> self, store::AtCourier at);
    void begin_due();
    VisitTurns::Place place_at(const store::AtCourier& at);
    bool has_news(const store::CircleCourier& where);
    void end_well(const store::AtCourier& at);
};

// News that a courier's own receipt covers, for instance because it brought them, are none to it.
bool CourierVisits::State::has_news(const store::CircleCourier& where) {
    const auto receipt = store::receipt_of(parts.db, {where.circle, where.said.noise});
    const std::uint64_t covered = receipt && receipt.value() ? receipt.value()->covered : 0;
    const auto beyond = store::events_beyond(parts.db, where.circle, covered, false);
    return !beyond || beyond.value() > 0;
}

void CourierVisits::State::end_well(const store::AtCourier& at) {
    std::array<std::uint8_t, 2> drawn{};
    parts.random.fill(drawn);
    turns.ended_well(at, parts.clock.monotonic(), static_cast<std::uint16_t>(drawn[0] * 256 + drawn[1]));
}

asio::awaitable<void> CourierVisits::State::visit(std::shared_ptr<State> self, store::CircleCourier where) {
    const store::AtCourier at{where.circle, where.said.noise};
    if (self->turns.take_by_news(at) && !self->has_news(where)) {
        self->end_well(at);
        co_return;
    }
    const Result<VisitOutcome> outcome = co_await visit_courier(self->strand, self->parts, where, self->times.call);
    const bool let_in = outcome && outcome.value().verdict == AccessVerdict::granted;
    const bool in_step = outcome && outcome.value().in_step;
    if (in_step) self->good += 1;
    if (let_in) {
        self->end_well(at);
        // What was said while the visit ran is news that on_news has told of already.
        if (in_step && self->has_news(where)) self->turns.go_again_soon(at, self->parts.clock.monotonic());
    } else {
        self->turns.failed(at, self->parts.clock.monotonic());
    }
    self->look.cancel();  // somebody may have waited for it
}

asio::awaitable<void> CourierVisits::State::end_place(std::shared_ptr<State> self, store::AtCourier at) {
    const Result<void> outcome = co_await stop_courier(self->strand, self->parts, at, self->times.call);
    if (outcome) {
        self->end_well(at);
    } else {
        self->turns.failed(at, self->parts.clock.monotonic());
    }
    self->look.cancel();
}

VisitTurns::Place CourierVisits::State::place_at(const store::AtCourier& at) {
    const auto unasked = store::came_unasked(parts.db, at.circle, parts.me.id());
    return {at, unasked && unasked.value()};
}

void CourierVisits::State::begin_due() {
    const auto ending = store::registrars_to_stop(parts.db);
    const auto couriers = store::couriers_for(parts.db, parts.me.id());
    std::vector<VisitTurns::Place> places;
    if (ending) {
        for (const store::Registrar& one : ending.value()) places.push_back(place_at(one.at));
    }
    const std::size_t to_end = places.size();
    if (couriers) {
        for (const store::CircleCourier& one : couriers.value())
            places.push_back(place_at({one.circle, one.said.noise}));
    }
    for (const std::size_t i : turns.begin_due(places, parts.clock.monotonic())) {
        if (i < to_end) {
            asio::co_spawn(strand, end_place(shared_from_this(), places[i].at), ignore);
        } else {
            asio::co_spawn(strand, visit(shared_from_this(), couriers.value()[i - to_end]), ignore);
        }
    }
}

asio::awaitable<void> CourierVisits::State::loop(std::shared_ptr<State> self) {
    while (!self->stopping) {
        self->begin_due();
        self->look.expires_after(std::chrono::milliseconds(self->times.look_ms));
        co_await self->look.async_wait(tuple);
    }
}

CourierVisits::CourierVisits(asio::any_io_executor strand, const Parts& parts, VisitTimes times)
    : state_(std::make_shared<State>(std::move(strand), parts, times)) {}

CourierVisits::~CourierVisits() {
    stop();
}

void CourierVisits::start() {
    asio::co_spawn(state_->strand, State::loop(state_), ignore);
}

void CourierVisits::stop() {
    state_->stopping = true;
    state_->look.cancel();
}

void CourierVisits::on_news(const CircleId& circle) {
    state_->turns.on_news(circle, state_->parts.clock.monotonic());
}

void CourierVisits::look_again() {
    state_->turns.all_are_due();
    state_->look.cancel();
}

std::size_t CourierVisits::good_visits() const {
    return state_->good;
}

}  // namespace ladderline::node::net
