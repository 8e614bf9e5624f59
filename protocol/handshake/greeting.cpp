#include "protocol/handshake/greeting.hpp"

#include "protocol/codec/archive.hpp"
#include "protocol/limits.hpp"

namespace ladderline::protocol {
namespace {

template <class Fields>
Bytes message_of(std::uint8_t type, const Fields& fields) {
    codec::Writer ar;
    ar.put(type);
    ar(fields);
    return ar.take();
}

Result<void> out_of_turn() {
    return Error{Fault::peer, "The other side left the order of a greeting; nothing was told to it."};
}

}  // namespace

Greeting::Greeting(Role role, const HandshakeHash& handshake, Random& random)
    : role_(role),
      handshake_(handshake),
      own_(random.draw<CheckNonce>()),
      awaits_(role == Role::responder ? Awaits::nonce : Awaits::commit) {}

Greeting Greeting::host(const HandshakeHash& handshake, Random& random) {
    Greeting out(Role::responder, handshake, random);
    out.commitment_ = check_commit(handshake, out.own_);
    out.output_.push_back(message_of(greeting_commit_type, out.commitment_));
    return out;
}

Greeting Greeting::caller(const HandshakeHash& handshake, Random& random) {
    return {Role::initiator, handshake, random};
}

Result<void> Greeting::on_message(ByteView message) {
    const bool sound = !over_ && !message.empty() && message.size() <= limits::greeting_bytes_max;
    Result<void> taken = sound ? take(message.front(), message.subspan(1)) : out_of_turn();
    if (taken) return taken;
    over_ = true;
    letters_.clear();
    return taken;
}

Result<void> Greeting::take(std::uint8_t type, ByteView fields) {
    if (type == greeting_commit_type && awaits_ == Awaits::commit) {
        TRY(commitment_, codec::decode<CheckCommitment>(fields));
        output_.push_back(message_of(greeting_nonce_type, own_));
        awaits_ = Awaits::reveal;
        return ok();
    }
    if (type == greeting_nonce_type && awaits_ == Awaits::nonce) {
        TRY(const CheckNonce theirs, codec::decode<CheckNonce>(fields));
        output_.push_back(message_of(greeting_reveal_type, own_));
        letters_ = check_letters(handshake_, theirs, own_);
        awaits_ = Awaits::verdict;
        return ok();
    }
    if (type == greeting_reveal_type && awaits_ == Awaits::reveal) {
        TRY(const CheckNonce revealed, codec::decode<CheckNonce>(fields));
        return take_reveal(revealed);
    }
    if (type == greeting_verdict_type && awaits_ == Awaits::verdict) {
        TRY(theirs_, codec::decode<bool>(fields));
        awaits_ = Awaits::nothing;
        return ok();
    }
    return out_of_turn();
}

Result<void> Greeting::take_reveal(const CheckNonce& revealed) {
    TRY(check_verify(handshake_, commitment_, revealed));
    letters_ = check_letters(handshake_, own_, revealed);
    awaits_ = Awaits::verdict;
    return ok();
}

std::optional<Bytes> Greeting::next_output() {
    if (output_.empty()) return std::nullopt;
    Bytes out = std::move(output_.front());
    output_.pop_front();
    return out;
}

const std::string& Greeting::letters() const {
    ENSURE(letters_known());
    return letters_;
}

void Greeting::say(bool same) {
    ENSURE(letters_known() && !mine_);
    mine_ = same;
    output_.push_back(message_of(greeting_verdict_type, same));
}

}  // namespace ladderline::protocol
