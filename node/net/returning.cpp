#include "node/net/returning.hpp"

#include "node/net/call.hpp"
#include "node/net/courier_visit.hpp"
#include "protocol/sync/returning.hpp"
#include "store/circles/peers.hpp"

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;
using Back = ReturnedMessage::Back;

Error not_known() {
    return {Fault::refused,
            "The node there knows nobody with this paper key in a circle of its own. Nothing was brought back; check "
            "the address, or ask somebody else who shares a circle with you."};
}

Result<Back> read_answer(const Reply& reply) {
    TRY(const SyncMessage message, decode_message(reply.message));
    const auto* returned = std::get_if<ReturnedMessage>(&message);
    if (returned == nullptr) return Error{Fault::peer, "The node there answered with something else."};
    if (!returned->back) return Error{Fault::refused, returned->refusal};
    const DeviceCertificate& host = returned->back->host;
    if (host.noise != reply.remote || !is_genuine(host)) {
        return Error{Fault::peer, "The node there could not show who it is; nothing was brought back."};
    }
    return *returned->back;
}

std::shared_ptr<const Question> question_of(const Parts& parts, const ReturnSetup& setup) {
    const store::Identity* me = &parts.me;
    return std::make_shared<const Question>(
        Question{setup.address, return_invite(me->id()), return_psk(me->id()),
                 [me](const Connection& connection) {
                     return encode_message(make_return(me->certificate, me->member, connection.handshake_hash()));
                 },
                 "Nothing was brought back", not_known(), setup.wait_ms_max});
}

}  // namespace

asio::awaitable<Result<Back>> come_back(asio::any_io_executor strand, Parts parts, ReturnSetup setup) {
    const std::shared_ptr<const Question> question = question_of(parts, setup);
    const Result<Reply> reply = co_await ask_once(strand, parts, question);
    if (!reply) co_return reply.error();
    Result<Back> back = read_answer(reply.value());
    if (back) {
        Result<void> kept = store::remember_address(parts.db, back.value().host.device, to_text(setup.address));
        if (kept) kept = take_couriers(parts, reply.value());
        if (!kept) co_return kept.error();
    }
    co_return back;
}

}  // namespace ladderline::node::net
