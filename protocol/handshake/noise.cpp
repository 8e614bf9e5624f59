#include "protocol/handshake/noise.hpp"

namespace ladderline::protocol {
namespace {

std::string protocol_name(const NoiseSetup& setup) {
    return "Noise_" + setup.pattern.name + "_25519_ChaChaPoly_" + std::string(noise_hash_name(setup.hash));
}

bool has_token(const NoisePattern& pattern, Role role, NoiseToken token) {
    for (std::size_t i = 0; i < pattern.messages.size(); ++i) {
        const bool initiators = pattern.one_way || i % 2 == 0;
        if (initiators != (role == Role::initiator)) continue;
        const auto& tokens = pattern.messages[i];
        if (std::find(tokens.begin(), tokens.end(), token) != tokens.end()) return true;
    }
    return false;
}

std::size_t psk_count(const NoisePattern& pattern) {
    std::size_t count = 0;
    for (const auto& tokens : pattern.messages) {
        count += static_cast<std::size_t>(std::count(tokens.begin(), tokens.end(), NoiseToken::psk));
    }
    return count;
}

void ensure_complete(const NoiseSetup& setup) {
    const NoisePattern& pattern = setup.pattern;
    const bool initiator = setup.role == Role::initiator;
    const bool own_known = initiator ? pattern.initiator_known : pattern.responder_known;
    const bool peer_known = initiator ? pattern.responder_known : pattern.initiator_known;
    if (own_known || has_token(pattern, setup.role, NoiseToken::s)) ENSURE(setup.local_static.has_value());
    ENSURE(setup.remote_static.has_value() == peer_known);
    ENSURE(setup.psks.size() == psk_count(pattern));
}

const Error dead_handshake{Fault::refused, "This handshake has already failed; connect again."};
const Error wrong_length{Fault::peer, "A handshake message of the other side has the wrong length."};

}  // namespace

NoiseHandshake::NoiseHandshake(NoiseSetup setup, Random& random)
    : setup_(std::move(setup)), random_(&random), symmetric_(setup_.hash, protocol_name(setup_)) {
    ensure_complete(setup_);
    symmetric_.mix_hash(setup_.prologue);
    mix_pre_messages();
}

void NoiseHandshake::mix_pre_messages() {
    const bool initiator = setup_.role == Role::initiator;
    if (setup_.pattern.initiator_known) {
        symmetric_.mix_hash(initiator ? setup_.local_static->pub.view() : setup_.remote_static->view());
    }
    if (setup_.pattern.responder_known) {
        symmetric_.mix_hash(initiator ? setup_.remote_static->view() : setup_.local_static->pub.view());
    }
}

bool NoiseHandshake::my_turn() const {
    const bool initiators = setup_.pattern.one_way || next_message_ % 2 == 0;
    return initiators == (setup_.role == Role::initiator);
}

std::size_t NoiseHandshake::next_message_bytes_min() const {
    ENSURE(next_message_ < setup_.pattern.messages.size());
    std::size_t size = 0;
    bool sealed = symmetric_.has_key();
    for (const NoiseToken token : setup_.pattern.messages[next_message_]) {
        if (token == NoiseToken::e) {
            size += DhPublic::size;
            sealed = sealed || setup_.pattern.uses_psk;
        } else if (token == NoiseToken::s) {
            size += DhPublic::size + (sealed ? aead_tag_bytes : 0);
        } else {
            sealed = true;
        }
    }
    return size + (sealed ? aead_tag_bytes : 0);
}

const DhPublic& NoiseHandshake::remote_static() const {
    ENSURE(remote_static_known());
    return *setup_.remote_static;
}

Bytes NoiseHandshake::handshake_hash() const {
    ENSURE(finished());
    return symmetric_.handshake_hash();
}

Result<void> NoiseHandshake::mix_dh(NoiseToken token) {
    const bool initiator = setup_.role == Role::initiator;
    const bool own_ephemeral = token == NoiseToken::ee || token == (initiator ? NoiseToken::es : NoiseToken::se);
    const bool peer_ephemeral = token == NoiseToken::ee || token == (initiator ? NoiseToken::se : NoiseToken::es);
    const auto& own = own_ephemeral ? local_ephemeral_ : setup_.local_static;
    const auto& peer = peer_ephemeral ? remote_ephemeral_ : setup_.remote_static;
    ENSURE(own.has_value() && peer.has_value());
    DhShared shared;
    if (!diffie_hellman(shared, own->secret, *peer)) {
        return Error{Fault::peer, "The other side sent a key that no honest program sends; nothing was accepted."};
    }
    symmetric_.mix_key(shared.view());
    return ok();
}

void NoiseHandshake::mix_psk() {
    symmetric_.mix_key_and_hash(setup_.psks[next_psk_++].view());
}

Result<void> NoiseHandshake::write_token(NoiseToken token, Bytes& out) {
    switch (token) {
        case NoiseToken::e: {
            ENSURE(!local_ephemeral_.has_value());
            local_ephemeral_ = make_dh_keys(*random_);
            const ByteView pub = local_ephemeral_->pub.view();
            out.insert(out.end(), pub.begin(), pub.end());
            symmetric_.mix_hash(pub);
            if (setup_.pattern.uses_psk) symmetric_.mix_key(pub);
            return ok();
        }
        case NoiseToken::s: {
            TRY(const Bytes sealed, symmetric_.encrypt_and_hash(setup_.local_static->pub.view()));
            out.insert(out.end(), sealed.begin(), sealed.end());
            return ok();
        }
        case NoiseToken::psk:
            mix_psk();
            return ok();
        default:
            return mix_dh(token);
    }
}

Result<void> NoiseHandshake::read_token(NoiseToken token, ByteView& rest) {
    switch (token) {
        case NoiseToken::e: {
            remote_ephemeral_ = DhPublic::from(rest.first(DhPublic::size));
            rest = rest.subspan(DhPublic::size);
            symmetric_.mix_hash(remote_ephemeral_->view());
            if (setup_.pattern.uses_psk) symmetric_.mix_key(remote_ephemeral_->view());
            return ok();
        }
        case NoiseToken::s: {
            const std::size_t size = DhPublic::size + (symmetric_.has_key() ? aead_tag_bytes : 0);
            TRY(const Bytes key, symmetric_.decrypt_and_hash(rest.first(size)));
            rest = rest.subspan(size);
            setup_.remote_static = DhPublic::from(key);
            return ok();
        }
        case NoiseToken::psk:
            mix_psk();
            return ok();
        default:
            return mix_dh(token);
    }
}

Result<Bytes> NoiseHandshake::write_tokens(ByteView payload) {
    Bytes out;
    for (const NoiseToken token : setup_.pattern.messages[next_message_]) {
        TRY(write_token(token, out));
    }
    TRY(const Bytes sealed, symmetric_.encrypt_and_hash(payload));
    out.insert(out.end(), sealed.begin(), sealed.end());
    return out;
}

Result<Bytes> NoiseHandshake::read_tokens(ByteView message) {
    for (const NoiseToken token : setup_.pattern.messages[next_message_]) {
        TRY(read_token(token, message));
    }
    return symmetric_.decrypt_and_hash(message);
}

Result<Bytes> NoiseHandshake::write_message(ByteView payload) {
    if (failed_) return dead_handshake;
    ENSURE(!finished() && my_turn());
    if (payload.size() > noise_message_bytes_max - next_message_bytes_min()) {
        return Error{Fault::refused, "What was to be sent with the handshake is too long; nothing was sent."};
    }
    auto out = write_tokens(payload);
    if (out) {
        ++next_message_;
    } else {
        failed_ = true;
    }
    return out;
}

Result<Bytes> NoiseHandshake::read_message(ByteView message) {
    if (failed_) return dead_handshake;
    ENSURE(!finished() && !my_turn());
    failed_ = true;  // until the whole message has been found good
    if (message.size() > noise_message_bytes_max || message.size() < next_message_bytes_min()) return wrong_length;
    const bool knew_static = remote_static_known();
    auto payload = read_tokens(message);
    if (!payload) {
        if (!knew_static) setup_.remote_static.reset();
        return payload;
    }
    failed_ = false;
    ++next_message_;
    return payload;
}

TransportCiphers NoiseHandshake::split() {
    ENSURE(finished() && !split_);
    split_ = true;
    auto [from_initiator, from_responder] = symmetric_.split();
    symmetric_.wipe_keys();
    local_ephemeral_.reset();
    setup_.local_static.reset();
    setup_.psks.clear();
    if (setup_.role == Role::initiator) return {std::move(from_initiator), std::move(from_responder)};
    return {std::move(from_responder), std::move(from_initiator)};
}

}  // namespace ladderline::protocol
