#include "protocol/handshake/connection.hpp"

namespace ladderline::protocol {
namespace {

NoiseSetup noise_setup(const Preface& preface, Role role, DhKeys local_static) {
    const auto pattern = noise_pattern(noise_name(preface.pattern));
    ENSURE(pattern.has_value());
    NoiseSetup out;
    out.pattern = *pattern;
    out.role = role;
    out.prologue = handshake_prologue(preface);
    out.local_static = std::move(local_static);
    return out;
}

void append(Bytes& to, ByteView bytes) {
    to.insert(to.end(), bytes.begin(), bytes.end());
}

}  // namespace

Connection::Connection(Role role, Random& random, MonoTime now, std::size_t message_bytes_max)
    : role_(role),
      random_(&random),
      handshake_deadline_(now + handshake_wait_ms_max),
      messages_(message_bytes_max),
      message_bytes_max_(message_bytes_max) {}

Connection Connection::initiate(InitiatorSetup setup, Random& random, MonoTime now) {
    ENSURE(setup.remote_static.has_value() == (setup.pattern == WirePattern::ik));
    ENSURE(setup.psk.has_value() == (setup.pattern == WirePattern::xx_psk0));
    ENSURE(setup.payload.size() <= handshake_payload_bytes_max);
    ENSURE(setup.payload.empty() || setup.pattern != WirePattern::ik);
    Connection out(Role::initiator, random, now, setup.message_bytes_max);
    out.preface_ = {setup.pattern, setup.invite};
    out.output_ = write_preface(out.preface_);
    out.outgoing_payload_ = std::move(setup.payload);
    NoiseSetup noise = noise_setup(out.preface_, Role::initiator, std::move(setup.local_static));
    noise.remote_static = setup.remote_static;
    if (setup.psk) noise.psks.push_back(std::move(*setup.psk));
    out.handshake_.emplace(std::move(noise), random);
    out.state_ = State::handshake;
    // A known peer's key that no honest program has: the connection is born failed and says so at the first call.
    if (auto written = out.write_handshake_message({}); !written) out.end(written.error());
    return out;
}

Connection Connection::respond(ResponderSetup setup, Random& random, MonoTime now) {
    Connection out(Role::responder, random, now, setup.message_bytes_max);
    out.responder_ = std::move(setup);
    return out;
}

void Connection::end(Error error) {
    state_ = State::failed;
    error_ = std::move(error);
    output_.clear();
    handshake_.reset();
    channel_.reset();
    responder_.reset();
}

Error Connection::fail(Error error) {
    end(std::move(error));
    return *error_;
}

Result<void> Connection::on_bytes(ByteView bytes, MonoTime now) {
    TRY(on_deadline(now));
    if (auto done = advance(bytes); !done) return fail(done.error());
    return ok();
}

Result<void> Connection::advance(ByteView bytes) {
    while (!bytes.empty()) {
        if (state_ == State::preface) {
            TRY(on_preface_bytes(bytes));
        } else if (state_ == State::handshake) {
            TRY(on_handshake_bytes(bytes));
        } else if (state_ == State::established) {
            return on_channel_bytes(bytes);
        } else {
            return Error{Fault::peer, "The other side sent more before it was answered; nothing of it was kept."};
        }
    }
    return ok();
}

Result<void> Connection::on_preface_bytes(ByteView& bytes) {
    const ByteView piece = bytes.first(std::min(preface_bytes - preface_in_.size(), bytes.size()));
    append(preface_in_, piece);
    bytes = bytes.subspan(piece.size());
    TRY(check_preface_start(preface_in_));
    if (preface_in_.size() < preface_bytes) return ok();
    TRY(preface_, read_preface(preface_in_));
    return start_responder();
}

Result<void> Connection::start_responder() {
    const bool allowed = preface_.pattern == WirePattern::ik   ? responder_->allow_ik
                         : preface_.pattern == WirePattern::xx ? responder_->allow_xx
                                                               : static_cast<bool>(responder_->find_psk);
    if (!allowed) return Error{Fault::refused, "A caller asked for a kind of contact that is switched off here."};
    NoiseSetup noise = noise_setup(preface_, Role::responder, std::move(responder_->local_static));
    if (preface_.pattern == WirePattern::xx_psk0) {
        auto psk = responder_->find_psk(preface_.invite);
        if (!psk) return Error{Fault::refused, "A caller named an invite that is not open here; it was not answered."};
        noise.psks.push_back(std::move(*psk));
    }
    handshake_.emplace(std::move(noise), *random_);
    responder_.reset();
    state_ = State::handshake;
    return ok();
}

// Only a message that is encrypted to a known party may carry one: ik message 2 and xx message 3, the last in each.
bool Connection::payload_allowed() const {
    return handshake_messages_ == (preface_.pattern == WirePattern::ik ? 1U : 2U);
}

Result<void> Connection::on_handshake_bytes(ByteView& bytes) {
    const std::size_t bytes_min = handshake_->next_message_bytes_min();
    const std::size_t bytes_max = bytes_min + (payload_allowed() ? handshake_payload_bytes_max : 0);
    TRY(const auto message, handshake_frames_.take(bytes, bytes_min, bytes_max));
    if (!message) return ok();
    return on_handshake_message(*message);
}

Result<void> Connection::on_handshake_message(ByteView message) {
    TRY(handshake_payload_, handshake_->read_message(message));
    ++handshake_messages_;
    if (handshake_->remote_static_known()) remote_static_ = handshake_->remote_static();
    if (handshake_->finished()) {
        finish_handshake();
        return ok();
    }
    if (role_ == Role::responder && preface_.pattern == WirePattern::ik) {
        state_ = State::awaiting_decision;
        return ok();
    }
    return write_handshake_message(payload_allowed() ? ByteView(outgoing_payload_) : ByteView());
}

Result<void> Connection::write_handshake_message(ByteView payload) {
    TRY(const Bytes message, handshake_->write_message(payload));
    append(output_, make_frame(message));
    ++handshake_messages_;
    if (handshake_->finished()) finish_handshake();
    return ok();
}

void Connection::finish_handshake() {
    handshake_hash_ = HandshakeHash::from(handshake_->handshake_hash());
    remote_static_ = handshake_->remote_static();
    channel_.emplace(handshake_->split());
    handshake_.reset();
    state_ = State::established;
}

Result<void> Connection::on_channel_bytes(ByteView bytes) {
    auto read = channel_->on_bytes(bytes);
    while (const auto plain = channel_->next_frame()) {
        TRY(messages_.on_plain(*plain));
    }
    return read;
}

Result<void> Connection::on_end() {
    if (failed()) return *error_;
    if (!established()) {
        return fail({Fault::network, "The other side closed the connection before the greeting was finished."});
    }
    if (auto ended = channel_->on_end(); !ended) return fail(ended.error());
    if (messages_.inside_message()) {
        return fail(
            {Fault::peer, "The connection ended in the middle of a message; what came whole before it was kept."});
    }
    return ok();
}

std::optional<MonoTime> Connection::deadline() const {
    if (established() || failed()) return std::nullopt;
    return handshake_deadline_;
}

Result<void> Connection::on_deadline(MonoTime now) {
    if (failed()) return *error_;
    if (established() || now < handshake_deadline_) return ok();
    return fail({Fault::network, "The other side did not finish the greeting within 10 seconds; try again later."});
}

Bytes Connection::next_output() {
    if (!unsealed_.empty() && !failed()) {
        auto frames = seal_plain(*channel_, std::exchange(unsealed_, {}));
        if (frames) {
            append(output_, frames.value());
        } else {
            (void)fail(frames.error());
        }
    }
    return std::exchange(output_, {});
}

Result<void> Connection::accept(ByteView payload) {
    ENSURE(awaiting_decision() && payload.size() <= handshake_payload_bytes_max);
    state_ = State::handshake;
    if (auto written = write_handshake_message(payload); !written) return fail(written.error());
    return ok();
}

void Connection::refuse() {
    ENSURE(awaiting_decision());
    end({Fault::refused, "A caller whose key is not accepted here was turned away."});
}

const DhPublic& Connection::remote_static() const {
    ENSURE(remote_static_.has_value());
    return *remote_static_;
}

const HandshakeHash& Connection::handshake_hash() const {
    ENSURE(handshake_hash_.has_value());
    return *handshake_hash_;
}

Bytes Connection::take_handshake_payload() {
    return std::exchange(handshake_payload_, {});
}

Result<void> Connection::send(ByteView message) {
    ENSURE(message.size() <= message_bytes_max_);
    if (failed()) return *error_;
    if (!established()) return Error{Fault::refused, "Nothing can be sent before the greeting is finished."};
    put_message(unsealed_, message);
    return ok();
}

std::optional<Bytes> Connection::next_message() {
    return messages_.next();
}

}  // namespace ladderline::protocol
