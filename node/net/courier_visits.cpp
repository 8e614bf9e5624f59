#include "node/net/courier_visits.hpp"

#include <algorithm>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <map>

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);

void ignore(std::exception_ptr) {}

}  // namespace

struct CourierVisits::State : std::enable_shared_from_this<State> {
    using Key = std::pair<CircleId, DhPublic>;
    struct Turn {
        MonoTime next;
        std::int64_t wait_ms = 0;  // after failures in a row
        bool by_news = false;
    };

    State(asio::any_io_executor strand_, const Parts& parts_, VisitTimes times_)
        : strand(std::move(strand_)), parts(parts_), times(times_), look(strand) {}

    asio::any_io_executor strand;
    Parts parts;
    VisitTimes times;
    asio::steady_timer look;
    std::map<Key, Turn> turns;
    std::size_t good = 0;
    bool stopping = false;

    static asio::awaitable<void> loop(std::shared_ptr<State> self);
    static asio::awaitable<void> visit(std::shared_ptr<State> self, store::CircleCourier where);
    static asio::awaitable<void> end_places(std::shared_ptr<State> self);
    bool is_due(const Key& key) {
        const Turn& turn = turns[key];
        return turn.next <= parts.clock.monotonic();
    }
    bool has_news(const store::CircleCourier& where);
    void after_success(const Key& key);
    void after_failure(const Key& key);
};

// News that a courier's own receipt covers, for instance because it brought them, are none to it.
bool CourierVisits::State::has_news(const store::CircleCourier& where) {
    const auto receipt = store::receipt_of(parts.db, {where.circle, where.said.noise});
    const std::uint64_t covered = receipt && receipt.value() ? receipt.value()->covered : 0;
    const auto beyond = store::events_beyond(parts.db, where.circle, covered, false);
    return !beyond || beyond.value() > 0;
}

void CourierVisits::State::after_success(const Key& key) {
    Turn& turn = turns[key];
    std::array<std::uint8_t, 2> drawn{};
    parts.random.fill(drawn);
    const std::int64_t spread = times.again_ms / 5 * (drawn[0] * 256 + drawn[1]) / 65'536;
    turn = {parts.clock.monotonic() + times.again_ms + spread, 0, false};
}

void CourierVisits::State::after_failure(const Key& key) {
    Turn& turn = turns[key];
    turn.wait_ms = turn.wait_ms == 0 ? times.first_retry_ms : std::min(turn.wait_ms * 2, times.last_retry_ms);
    turn.next = parts.clock.monotonic() + turn.wait_ms;
    turn.by_news = false;
}

asio::awaitable<void> CourierVisits::State::visit(std::shared_ptr<State> self, store::CircleCourier where) {
    const Key key{where.circle, where.said.noise};
    if (std::exchange(self->turns[key].by_news, false) && !self->has_news(where)) {
        self->after_success(key);
        co_return;
    }
    const Result<VisitOutcome> outcome = co_await visit_courier(self->strand, self->parts, where, self->times.call);
    const bool let_in = outcome && outcome.value().verdict == AccessVerdict::granted;
    const bool in_step = outcome && outcome.value().in_step;
    if (in_step) self->good += 1;
    if (let_in) {
        self->after_success(key);
        // What was said while the visit ran is news that on_news has told of already.
        if (in_step && self->has_news(where)) {
            self->turns[key].next = self->parts.clock.monotonic() + self->times.after_news_ms;
        }
    } else {
        self->after_failure(key);
    }
}

asio::awaitable<void> CourierVisits::State::end_places(std::shared_ptr<State> self) {
    const auto ending = store::registrars_to_stop(self->parts.db);
    if (!ending) co_return;
    std::vector<store::AtCourier> due;
    for (const store::Registrar& registrar : ending.value()) {
        if (self->is_due({registrar.at.circle, registrar.at.courier})) due.push_back(registrar.at);
    }
    for (const store::AtCourier& at : due) {
        const Result<void> outcome = co_await stop_courier(self->strand, self->parts, at, self->times.call);
        if (!outcome) self->after_failure({at.circle, at.courier});
    }
}

asio::awaitable<void> CourierVisits::State::loop(std::shared_ptr<State> self) {
    while (!self->stopping) {
        co_await end_places(self);
        const auto all = store::couriers_for(self->parts.db, self->parts.me.id());
        if (all) {
            const std::vector<store::CircleCourier> couriers = all.value();
            for (const store::CircleCourier& where : couriers) {
                if (self->stopping || !self->is_due({where.circle, where.said.noise})) continue;
                co_await visit(self, where);
            }
        }
        if (self->stopping) break;
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
    const MonoTime soon = state_->parts.clock.monotonic() + state_->times.after_news_ms;
    for (auto& [key, turn] : state_->turns) {
        // One that failed is called when its pause is over, whatever happens here meanwhile.
        if (key.first != circle || turn.wait_ms != 0 || turn.next <= soon) continue;
        turn.next = soon;
        turn.by_news = true;
    }
}

void CourierVisits::look_again() {
    for (auto& [key, turn] : state_->turns) turn.next = {};
    state_->look.cancel();
}

std::size_t CourierVisits::good_visits() const {
    return state_->good;
}

}  // namespace ladderline::node::net
