#include "node/net/join.hpp"

#include "node/net/call.hpp"
#include "node/net/courier_visit.hpp"
#include "store/circles/peers.hpp"

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;
using Joined = WelcomeMessage::Joined;

Error unknown_invite() {
    return {Fault::refused,
            "The node there does not know this invite: it was used, has run out, or was not made there. "
            "Nothing was joined; ask for a new one."};
}

// What a whole message from the host means.
Result<Joined> read_welcome(ByteView bytes) {
    TRY(const SyncMessage message, decode_message(bytes));
    const auto* welcome = std::get_if<WelcomeMessage>(&message);
    if (welcome == nullptr) return Error{Fault::peer, "The node there answered the invite with something else."};
    if (!welcome->joined) return Error{Fault::refused, welcome->refusal};
    if (!is_genuine(welcome->joined->host)) return Error{Fault::peer, "The node there could not show who it is."};
    return *welcome->joined;
}

std::shared_ptr<const Question> question_of(const JoinSetup& setup) {
    const Bytes words = encode_message(setup.who);
    return std::make_shared<const Question>(Question{setup.address, setup.invite, Psk::copy_of(setup.secret),
                                                     [words](const Connection&) { return words; }, "Nothing was joined",
                                                     unknown_invite(), setup.wait_ms_max});
}

}  // namespace

asio::awaitable<Result<Joined>> join(asio::any_io_executor strand, Parts parts, JoinSetup setup) {
    const std::shared_ptr<const Question> question = question_of(setup);
    const Result<Reply> reply = co_await ask_once(strand, parts, question);
    if (!reply) co_return reply.error();
    Result<Joined> joined = read_welcome(reply.value().message);
    if (joined) {
        Result<void> kept = store::remember_address(parts.db, joined.value().host.device, to_text(setup.address));
        if (kept) kept = take_couriers(parts, reply.value());
        if (!kept) co_return kept.error();
    }
    co_return joined;
}

}  // namespace ladderline::node::net
