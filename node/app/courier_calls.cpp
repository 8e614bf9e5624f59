#include "node/app/courier_calls.hpp"

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/this_coro.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "node/app/node_host.hpp"
#include "node/commands/couriers.hpp"
#include "node/commands/goings.hpp"
#include "node/net/courier_visit.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
namespace asio = boost::asio;

struct Prepared {
    PlaceWish wish;
    net::PlaceSetup setup;
};

Result<Prepared> prepare_place(Context& context, const cli::CourierCall& call) {
    TRY(const net::Address address, net::parse_address(call.address));
    TRY(const CircleView circle, circle_meant(context, call.circle, call.who));
    TRY(PlaceWish wish, wish_for_place(context, circle, net::to_text(address), call.code));
    net::PlaceSetup setup{address, wish.code, wish.secret, wish.words};
    return Prepared{std::move(wish), std::move(setup)};
}

asio::awaitable<Result<cli::Answer>> use_courier(Context& context, net::Parts parts, cli::CourierCall call) {
    const auto strand = co_await asio::this_coro::executor;
    Result<Prepared> prepared = prepare_place(context, call);
    if (!prepared) co_return prepared.error();
    const Prepared ready = std::move(prepared).value();
    net::PlaceSetup setup = ready.setup;
    const Result<PlacedMessage::Place> place = co_await net::take_courier_place(strand, parts, setup);
    if (!place) co_return place.error();
    const Result<Done> done = announce_courier(context, ready.wish, place.value());
    if (!done) co_return done.error();
    cli::Answer answer = cli::answer_of(done.value());
    answer.text += "\n" + std::string(courier_limits);
    co_return answer;
}

Result<Withdrawn> withdraw(Context& context, const cli::CourierCall& call) {
    TRY(const CircleView circle, circle_meant(context, call.circle, call.who));
    return withdraw_couriers(context, circle, call.address);
}

asio::awaitable<Result<cli::Answer>> give_up_courier(Context& context, net::Parts parts, cli::CourierCall call) {
    const auto strand = co_await asio::this_coro::executor;
    const Result<Withdrawn> withdrawn = withdraw(context, call);
    if (!withdrawn) co_return withdrawn.error();
    const net::CourierTimes times;
    std::size_t ended = 0;
    std::string trouble;
    const std::vector<store::AtCourier> all = withdrawn.value().to_stop;
    for (const store::AtCourier& at : all) {
        const Result<void> stopped = co_await net::stop_courier(strand, parts, at, times);
        if (stopped) ended += 1;
        if (!stopped) trouble = " " + stopped.error().sentence() + " It is told when it can be reached.";
    }
    std::string text = "The circle is told to use its courier no more.";
    if (ended > 0) text += " The courier has removed everything of the circle, it says.";
    if (all.empty()) {
        text +=
            " This node did not take the place, so what is there stays until its days are over or its keeper ends it.";
    }
    text += trouble;
    cli::Answer answer{text, {{"said", text}, {"ended", ended}}};
    co_return answer;
}

std::string visit_words(const store::CircleCourier& where, const Result<VisitOutcome>& outcome) {
    const std::string to = "The courier at " + where.said.address + ": ";
    if (!outcome) return to + outcome.error().sentence();
    const std::string refusal = net::courier_refusal(outcome.value());
    if (!refusal.empty()) return to + refusal;
    if (outcome.value().in_step) return to + "both hold the same now.";
    if (outcome.value().full) return to + "it has no more room for this circle; what it had was fetched.";
    return to + "the two do not hold the same, though all was exchanged.";
}

asio::awaitable<Result<cli::Answer>> visit_couriers(Context& context, net::Parts parts) {
    const auto strand = co_await asio::this_coro::executor;
    const auto all = store::couriers_for(context.db, context.me.id());
    if (!all) co_return all.error();
    const net::CourierTimes times;
    std::vector<std::string> text;
    std::size_t good = 0;
    const std::vector<store::CircleCourier> couriers = all.value();
    for (const store::CircleCourier& where : couriers) {
        const Result<VisitOutcome> outcome = co_await net::visit_courier(strand, parts, where, times);
        if (outcome && outcome.value().in_step) good += 1;
        text.push_back(visit_words(where, outcome));
    }
    if (text.empty()) text.emplace_back("No circle of yours has a courier.");
    Error none(Fault::network, cli::lines(text));
    if (!couriers.empty() && good == 0) co_return none;
    cli::Answer answer{cli::lines(text), {{"visited", couriers.size()}, {"in_step", good}}};
    co_return answer;
}

asio::awaitable<void> call_into(Context& context, net::Parts parts, cli::CourierCall call,
                                std::optional<Result<cli::Answer>>& outcome) {
    Result<cli::Answer> answer = co_await call_courier(context, parts, call);
    outcome.emplace(std::move(answer));
}

}  // namespace

asio::awaitable<Result<cli::Answer>> call_courier(Context& context, net::Parts parts, cli::CourierCall call) {
    using What = cli::CourierCall::What;
    if (call.what == What::use) {
        Result<cli::Answer> used = co_await use_courier(context, parts, call);
        co_return used;
    }
    if (call.what == What::stop) {
        Result<cli::Answer> stopped = co_await give_up_courier(context, parts, call);
        co_return stopped;
    }
    Result<cli::Answer> visited = co_await visit_couriers(context, parts);
    co_return visited;
}

Result<cli::Answer> call_courier_once(OpenHome& home, Env& env, const cli::CourierCall& call) {
    asio::io_context io;
    NodeHost host(*home.context);
    const net::Parts parts{
        home.store->db(), home.context->states, home.store->log(), *home.me, env.clock, env.random, host};
    std::optional<Result<cli::Answer>> outcome;
    asio::co_spawn(io, call_into(*home.context, parts, call, outcome), [](std::exception_ptr) {});
    io.run();
    ENSURE(outcome.has_value());
    return std::move(*outcome);
}

}  // namespace ladderline::node
