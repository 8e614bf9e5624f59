#include "node/app/arrivals.hpp"

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "node/app/joining.hpp"

namespace ladderline::node {

using namespace protocol;
namespace asio = boost::asio;
using Joined = WelcomeMessage::Joined;
using Step = JoinLook::Step;

NodeArrivals::NodeArrivals(asio::any_io_executor strand, OpenHome& home, const net::Parts& parts, Greetings& greetings,
                           Line line)
    : strand_(std::move(strand)), home_(home), parts_(parts), greetings_(greetings), line_(std::move(line)) {
    greetings_.on_change([this] { line_.changed(); });
}

Result<void> NodeArrivals::not_busy() const {
    if (!look_.is_under_way()) return ok();
    return Error{Fault::busy, "A call is under way already; let it come to its end first. Nothing else was begun."};
}

void NodeArrivals::start(asio::awaitable<void> work) {
    asio::co_spawn(strand_, std::move(work), [](std::exception_ptr) {});
}

void NodeArrivals::show(Step step) {
    look_.step = step;
    line_.changed();
}

void NodeArrivals::failed(const Error& error) {
    look_.sentence = error.sentence();
    show(Step::failed);
}

void NodeArrivals::came_to(const Result<Joined>& joined) {
    if (!joined) return failed(joined.error());
    look_.circle = joined.value().circle;
    look_.host = joined.value().host.member;
    line_.joined();
    show(Step::joined);
}

asio::awaitable<void> NodeArrivals::run_join(net::JoinSetup setup) {
    const Result<Joined> joined = co_await join_circle(home_, parts_, setup);
    came_to(joined);
}

Result<void> NodeArrivals::join_by_code(const InviteCode& code, bool under_18) {
    TRY(not_busy());
    TRY(net::JoinSetup setup, prepare_join(home_, code, under_18, line_.port()));
    look_ = {};
    look_.address = code.address;
    show(Step::calling);
    start(run_join(std::move(setup)));
    return ok();
}

asio::awaitable<void> NodeArrivals::run_dial(std::shared_ptr<net::VoiceCall> call) {
    const Result<std::string> letters = co_await net::VoiceCall::dial(call);
    if (!letters) {
        failed(letters.error());
        co_return;
    }
    call_ = call;
    look_.letters = letters.value();
    show(Step::comparing);
}

Result<void> NodeArrivals::join_by_voice(const std::string& address, bool under_18) {
    TRY(not_busy());
    cli::JoinOptions options;
    options.code = address;
    options.under_18 = under_18;
    TRY(const net::VoiceSetup setup, prepare_call(home_, options, line_.port()));
    look_ = {};
    look_.address = address;
    show(Step::calling);
    start(run_dial(net::VoiceCall::make(strand_, parts_, setup)));
    return ok();
}

asio::awaitable<void> NodeArrivals::run_finish(std::shared_ptr<net::VoiceCall> call, bool same) {
    Result<Joined> joined = co_await net::VoiceCall::finish(call, same);
    if (joined) {
        const Result<Done> done = accept_welcome(*home_.context, joined.value());
        if (!done) joined = done.error();
    }
    came_to(joined);
}

Result<void> NodeArrivals::say(bool same) {
    const std::shared_ptr<net::VoiceCall> call = std::exchange(call_, nullptr);
    if (!call) return Error{Fault::not_found, "No words wait to be compared; begin a call first."};
    show(Step::answered);
    start(run_finish(call, same));
    return ok();
}

void NodeArrivals::forget() {
    if (!look_.is_under_way()) look_ = {};
}

GreetLook NodeArrivals::greet_look() {
    GreetLook out = greetings_.look();
    out.address = line_.address();
    return out;
}

Result<void> NodeArrivals::open_greeting(const InviteRequest& request) {
    return greetings_.open(request, line_.port());
}

Result<void> NodeArrivals::hear(const std::string& last_two) {
    return greetings_.hear(last_two);
}

Result<void> NodeArrivals::differ() {
    return greetings_.differ();
}

void NodeArrivals::shut_greeting() {
    greetings_.shut();
}

}  // namespace ladderline::node
