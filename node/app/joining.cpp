#include "node/app/joining.hpp"

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "node/app/node_host.hpp"
#include "node/commands/joined_words.hpp"
#include "node/commands/joining.hpp"

namespace ladderline::node {

using namespace protocol;
namespace asio = boost::asio;
using Joined = WelcomeMessage::Joined;

Result<JoinMessage> join_message(OpenHome& home, bool under_18, std::uint16_t port) {
    TRY(const Joiner who, joiner(*home.context));
    return JoinMessage{home.me->certificate, who.name, under_18 || who.is_minor, port};
}

Result<net::JoinSetup> prepare_join(OpenHome& home, const InviteCode& code, bool under_18, std::uint16_t port) {
    if (code.address.empty())
        return Error{Fault::bad_input, "This code names no address; ask for one made with --address HOST:PORT."};
    net::JoinSetup setup;
    TRY(setup.address, net::parse_address(code.address));
    TRY(setup.who, join_message(home, under_18, port));
    setup.invite = code.id;
    setup.secret = code.secret;
    return setup;
}

asio::awaitable<Result<Joined>> join_circle(OpenHome& home, net::Parts parts, net::JoinSetup setup) {
    const auto strand = co_await asio::this_coro::executor;
    Result<Joined> joined = co_await net::join(strand, parts, setup);
    if (!joined) co_return joined;
    const Result<Done> done = accept_welcome(*home.context, joined.value());
    if (!done) co_return done.error();
    co_return joined;
}

asio::awaitable<Result<Done>> join_as_typed(OpenHome& home, net::Parts parts, cli::JoinOptions options,
                                            std::uint16_t port) {
    const Result<InviteCode> code = parse_code(options.code);
    if (!code) co_return code.error();
    Result<net::JoinSetup> setup = prepare_join(home, code.value(), options.under_18, port);
    if (!setup) co_return setup.error();
    net::JoinSetup prepared = std::move(setup).value();
    const Result<Joined> joined = co_await join_circle(home, parts, prepared);
    if (!joined) co_return joined.error();
    Done done{std::string(joined_words), {}};
    co_return done;
}

namespace {

asio::awaitable<void> join_into(OpenHome& home, net::Parts parts, cli::JoinOptions options,
                                std::optional<Result<Done>>& outcome) {
    Result<Done> done = co_await join_as_typed(home, parts, options, 0);
    outcome.emplace(std::move(done));
}

}  // namespace

Result<Done> join_once(OpenHome& home, Env& env, const cli::JoinOptions& options) {
    asio::io_context io;
    NodeHost host(*home.context);
    const net::Parts parts{
        home.store->db(), home.context->states, home.store->log(), *home.me, env.clock, env.random, host};
    std::optional<Result<Done>> outcome;
    asio::co_spawn(io, join_into(home, parts, options, outcome), [](std::exception_ptr) {});
    io.run();
    ENSURE(outcome.has_value());
    return std::move(*outcome);
}

}  // namespace ladderline::node
