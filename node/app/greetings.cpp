#include "node/app/greetings.hpp"

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "node/app/joining.hpp"
#include "node/app/node_host.hpp"
#include "node/commands/circles.hpp"
#include "protocol/handshake/check_words.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
namespace asio = boost::asio;
using Stage = net::GreetingDoor::Stage;
using What = cli::GreetOptions::What;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr std::size_t letters_shown = 4;  // the last two are typed as they were heard
constexpr std::int64_t minute_ms = 60'000;

std::string_view word_of(Stage stage) {
    switch (stage) {
        case Stage::closed:
            return "closed";
        case Stage::waiting:
            return "waiting";
        case Stage::comparing:
            return "comparing";
        case Stage::answered:
            return "answered";
        case Stage::joined:
            return "joined";
        case Stage::refused:
            return "refused";
        case Stage::locked:
            return "locked";
        case Stage::over:
            break;
    }
    return "over";
}

GreetLook::Stage look_of(Stage stage) {
    switch (stage) {
        case Stage::closed:
            return GreetLook::Stage::closed;
        case Stage::waiting:
            return GreetLook::Stage::waiting;
        case Stage::comparing:
            return GreetLook::Stage::comparing;
        case Stage::answered:
            return GreetLook::Stage::answered;
        case Stage::joined:
            return GreetLook::Stage::joined;
        case Stage::refused:
            return GreetLook::Stage::refused;
        case Stage::locked:
            return GreetLook::Stage::locked;
        case Stage::over:
            break;
    }
    return GreetLook::Stage::over;
}

std::string waiting_words(const net::GreetingDoor& door, std::int64_t left_ms, const std::string& address) {
    const std::int64_t minutes = (left_ms + minute_ms - 1) / minute_ms;
    std::string out = net::failure_words(door.failures());
    if (!out.empty()) out += "\n";
    return out + "Waiting for one person, for " + std::to_string(minutes) +
           (minutes == 1 ? " more minute" : " more minutes") + ". They type: ladderline join " + address +
           " --by-voice";
}

std::string stage_words(const net::GreetingDoor& door, Stage stage, std::int64_t left_ms, const std::string& address) {
    switch (stage) {
        case Stage::closed:
            return "No greeting is open. 'ladderline greet club --as newcomer' opens one, for one person.";
        case Stage::waiting:
            return waiting_words(door, left_ms, address);
        case Stage::comparing:
            return "Somebody has called. Let them read six words to you. The first four must be:\n  " +
                   itu_spelling(std::string_view(door.letters()).substr(0, letters_shown)) +
                   "\nIf they are, type the last two letters that you hear: ladderline greet --heard XY\n"
                   "If not: ladderline greet --different";
        case Stage::answered:
            return "That is right. Now read all six words to them:\n  " + itu_spelling(door.letters()) +
                   "\nThey are let in when they say that they have the same.";
        case Stage::joined:
            return door.outcome() +
                   " was let in. You compared the check words by voice, which 'sees' shows from now "
                   "on.";
        case Stage::refused:
            return "The words were the same, but nobody was let in: " + door.outcome();
        case Stage::locked:
            return net::failure_words(door.failures());
        case Stage::over:
            break;
    }
    return "Nobody came in time; the greeting is shut. Open another when they are ready.";
}

template <class T>
asio::awaitable<void> into(asio::awaitable<Result<T>> work, std::optional<Result<T>>& outcome) {
    Result<T> done = co_await std::move(work);
    outcome.emplace(std::move(done));
}

template <class T>
Result<T> run_to_end(asio::io_context& io, asio::awaitable<Result<T>> work) {
    std::optional<Result<T>> outcome;
    asio::co_spawn(io, into(std::move(work), outcome), [](std::exception_ptr) {});
    io.restart();
    io.run();
    ENSURE(outcome.has_value());
    return std::move(*outcome);
}

}  // namespace

Result<net::VoiceSetup> prepare_call(OpenHome& home, const cli::JoinOptions& options, std::uint16_t port) {
    net::VoiceSetup setup;
    TRY(setup.address, net::parse_address(options.code));
    TRY(setup.who, join_message(home, options.under_18, port));
    return setup;
}

cli::Answer letters_answer(const std::string& letters) {
    return {"Read these six words to them, slowly:\n  " + itu_spelling(letters) +
                "\nThen let them read all six to you. Nothing about you is told before both of you have said that "
                "they are the same.\nThe same: ladderline join --same\nNot the same: ladderline join --different",
            {{"letters", letters}, {"words", itu_spelling(letters)}}};
}

Result<Done> join_by_voice_once(OpenHome& home, Env& env, const cli::JoinOptions& options,
                                const std::function<bool(const std::string&)>& is_same) {
    TRY(const net::VoiceSetup setup, prepare_call(home, options, 0));
    asio::io_context io;
    NodeHost host(*home.context);
    const net::Parts parts{
        home.store->db(), home.context->states, home.store->log(), *home.me, env.clock, env.random, host};
    const std::shared_ptr<net::VoiceCall> call = net::VoiceCall::make(io.get_executor(), parts, setup);
    TRY(const std::string letters, run_to_end(io, net::VoiceCall::dial(call)));
    const bool same = is_same(letters);
    TRY(const WelcomeMessage::Joined joined, run_to_end(io, net::VoiceCall::finish(call, same)));
    return accept_welcome(*home.context, joined);
}

Greetings::Greetings(asio::any_io_executor strand, OpenHome& home, const net::Parts& parts,
                     std::shared_ptr<net::GreetingDoor> door)
    : home_(home),
      parts_(parts),
      door_(std::move(door)),
      strand_(strand),
      changed_(strand, asio::steady_timer::time_point::max()) {
    door_->on_change([this] {
        changed_.cancel();
        told_();
    });
}

Greetings::~Greetings() {
    door_->on_change([] {});
}

Result<void> Greetings::open(const InviteRequest& request, std::uint16_t port) {
    if (port == 0) {
        return Error{Fault::refused, "This node listens nowhere, so nobody can call it; start it with --listen."};
    }
    const MonoTime now = parts_.clock.monotonic();
    const Stage stage = door_->stage(now);
    if (stage == Stage::waiting || stage == Stage::comparing || stage == Stage::answered) return door_->open({}, now);
    TRY(const InviteId offer, offer_to_stranger(*home_.context, request, limits::greeting_ms_max));
    return door_->open(offer, now);
}

asio::awaitable<void> Greetings::wait_for_change() {
    const MonoTime now = parts_.clock.monotonic();
    const Stage stage = door_->stage(now);
    if (stage != Stage::waiting && stage != Stage::answered) co_return;
    changed_.expires_after(std::chrono::milliseconds(door_->left_ms(now)));
    co_await changed_.async_wait(tuple);
}

GreetLook Greetings::look() {
    const MonoTime now = parts_.clock.monotonic();
    const Stage stage = door_->stage(now);
    GreetLook out;
    out.stage = look_of(stage);
    if (stage == Stage::comparing) out.letters = door_->letters().substr(0, letters_shown);
    if (stage == Stage::answered) out.letters = door_->letters();
    out.outcome = door_->outcome();
    out.warning = net::failure_words(door_->failures());
    out.left_ms = door_->left_ms(now);
    return out;
}

cli::Answer Greetings::state(const std::string& address) {
    const MonoTime now = parts_.clock.monotonic();
    const Stage stage = door_->stage(now);
    const std::string said = stage_words(*door_, stage, door_->left_ms(now), address);
    boost::json::object json{{"state", word_of(stage)}, {"failures", door_->failures()}, {"said", said}};
    if (stage == Stage::comparing) json["letters"] = door_->letters().substr(0, letters_shown);
    if (stage == Stage::answered) json["letters"] = door_->letters();
    if (stage == Stage::joined) json["name"] = door_->outcome();
    return {said, std::move(json)};
}

asio::awaitable<Result<cli::Answer>> Greetings::greet(cli::GreetOptions options, std::uint16_t port,
                                                      std::string address) {
    const MonoTime now = parts_.clock.monotonic();
    Result<void> done = ok();
    if (options.what == What::open) done = open(options.request, port);
    if (options.what == What::heard) done = door_->hear(options.heard, now);
    if (options.what == What::differ) done = door_->differ(now);
    if (options.what == What::shut) door_->shut();
    if (!done) co_return done.error();
    if (options.what == What::wait) co_await wait_for_change();
    co_return state(address);
}

asio::awaitable<Result<cli::Answer>> Greetings::join(cli::JoinOptions options, std::uint16_t port) {
    if (options.is_same) {
        const std::shared_ptr<net::VoiceCall> call = std::exchange(call_, nullptr);
        if (!call) {
            Error none(Fault::not_found,
                       "No call waits for your word; begin with 'ladderline join HOST:PORT --by-voice'.");
            co_return none;
        }
        const Result<WelcomeMessage::Joined> joined = co_await net::VoiceCall::finish(call, *options.is_same);
        if (!joined) co_return joined.error();
        const Result<Done> done = accept_welcome(*home_.context, joined.value());
        if (!done) co_return done.error();
        co_return cli::answer_of(done.value());
    }
    const Result<net::VoiceSetup> setup = prepare_call(home_, options, port);
    if (!setup) co_return setup.error();
    call_ = nullptr;
    const std::shared_ptr<net::VoiceCall> call = net::VoiceCall::make(strand_, parts_, setup.value());
    const Result<std::string> letters = co_await net::VoiceCall::dial(call);
    if (!letters) co_return letters.error();
    call_ = call;
    co_return letters_answer(letters.value());
}

}  // namespace ladderline::node
