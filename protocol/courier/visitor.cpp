#include "protocol/courier/visitor.hpp"

#include <algorithm>

namespace ladderline::protocol {
namespace {

const Error out_of_turn{Fault::peer, "The courier spoke out of turn."};

}  // namespace

Visitor::Visitor(LogView& log, WrapShelf& shelf, VisitSetup setup, const HandshakeHash& handshake)
    : log_(log),
      setup_(std::move(setup)),
      handshake_(handshake),
      book_(shelf, dh_keys_from_secret(setup_.box.secret.clone()), {setup_.circle}) {
    if (setup_.paper_box) book_.also_opens(dh_keys_from_secret(setup_.paper_box->secret.clone()));
    if (setup_.stop) {
        ENSURE(setup_.registrar.has_value());
        ready_.push_back(encode_courier_message(make_stop(setup_.circle, *setup_.registrar, handshake_)));
        return;
    }
    ENSURE(!setup_.keys.empty());
    claim(setup_.keys.front());
}

void Visitor::claim(const AeadKey& key) {
    const SignKeys access = access_keys(setup_.circle, key);
    claimed_ = access.pub;
    tried_.insert(hint_of(access.pub));
    awaits_answer_ = true;
    ready_.push_back(encode_courier_message(AccessMessage{{make_claim(setup_.circle, access, handshake_)}}));
}

Result<void> Visitor::on_message(ByteView message) {
    if (message.empty()) return Error{Fault::peer, "The courier sent an empty message."};
    if (over_) return ok();
    if (is_courier_message(message.front())) {
        TRY(on_courier_message(message));
    } else if (is_wrap_message(message.front())) {
        TRY(on_wraps(message));
    } else {
        if (!session_) return out_of_turn;
        const Result<void> outcome = session_->on_message(message);
        TRY(after_session());
        TRY(outcome);
    }
    end_if_done();
    return ok();
}

Result<void> Visitor::on_courier_message(ByteView bytes) {
    TRY(const CourierMessage message, decode_courier_message(bytes));
    if (const auto* answer = std::get_if<AccessAnswerMessage>(&message)) return on(*answer);
    if (const auto* said = std::get_if<SaidMessage>(&message)) return on(*said);
    if (const auto* receipt = std::get_if<Receipt>(&message)) return on(*receipt);
    const auto* full = std::get_if<FullMessage>(&message);
    if (full == nullptr || !session_ || full->circle != setup_.circle) return out_of_turn;
    outcome_.full = true;
    session_->hold_back(setup_.circle);
    return ok();
}

Result<void> Visitor::on(const AccessAnswerMessage& message) {
    if (!std::exchange(awaits_answer_, false) || message.entries.size() != 1) return out_of_turn;
    const AccessAnswerMessage::Entry& entry = message.entries.front();
    outcome_.verdict = entry.verdict;
    if (entry.verdict == AccessVerdict::granted) return begin_session(entry);
    if (entry.verdict == AccessVerdict::unknown || tried_.size() >= limits::courier_accesses_max) {
        over_ = true;
        return ok();
    }
    expected_ = entry.hint;
    for (const AeadKey& key : setup_.keys) {
        const AccessHint hint = hint_of(access_keys(setup_.circle, key).pub);
        if (hint != expected_ || tried_.contains(hint)) continue;
        claim(key);
        return ok();
    }
    if (entry.verdict == AccessVerdict::former_key && !entry.copies.empty() && !awaits_first_copies_) {
        ask_for_first_copies(entry.copies);
        return ok();
    }
    // None of the keys held here is the one expected; one of before may still bring the copies of what followed.
    const auto untried = std::find_if(setup_.keys.begin(), setup_.keys.end(), [&](const AeadKey& key) {
        return !tried_.contains(hint_of(access_keys(setup_.circle, key).pub));
    });
    if (untried == setup_.keys.end()) {
        over_ = true;
    } else {
        claim(*untried);
    }
    return ok();
}

void Visitor::ask_for_first_copies(const std::vector<KeyId>& keys) {
    awaits_first_copies_ = true;
    WrapRequestMessage request{setup_.circle, {}};
    const std::size_t wishes_each = setup_.paper_box ? 2 : 1;
    for (const KeyId& key : keys) {
        if (request.wishes.size() + wishes_each > limits::list_max) break;
        request.wishes.push_back({key, tag_of(key, setup_.box.pub)});
        if (setup_.paper_box) request.wishes.push_back({key, tag_of(key, setup_.paper_box->pub)});
    }
    ready_.push_back(encode_wrap_message(request));
}

std::optional<AeadKey> Visitor::open_copy(const WrapAnswerMessage::Copy& copy) const {
    const bool is_paper = setup_.paper_box && copy.wrap.tag == tag_of(copy.key, setup_.paper_box->pub);
    auto key = unwrap(copy.wrap, copy.key, is_paper ? *setup_.paper_box : setup_.box);
    if (!key) return std::nullopt;
    return std::move(key).value();
}

// A key from a copy is only tried here. It is kept once an event names it, like every other.
Result<void> Visitor::on_first_copies(const WrapAnswerMessage& message) {
    awaits_first_copies_ = false;
    if (message.circle != setup_.circle) return out_of_turn;
    for (const auto& copy : message.copies) {
        const auto key = open_copy(copy);
        if (!key || hint_of(access_keys(setup_.circle, *key).pub) != expected_) continue;
        if (tried_.size() >= limits::courier_accesses_max) break;
        claim(*key);
        return ok();
    }
    over_ = true;
    return ok();
}

void Visitor::leave_copies() {
    for (std::size_t at = 0; at < setup_.to_leave.size(); at += limits::list_max) {
        WrapAnswerMessage left{setup_.circle, {}};
        const std::size_t end = std::min(setup_.to_leave.size(), at + limits::list_max);
        for (std::size_t i = at; i < end; ++i) left.copies.push_back(setup_.to_leave[i]);
        ready_.push_back(encode_wrap_message(left));
    }
    outcome_.copies_left = true;
}

Result<void> Visitor::begin_session(const AccessAnswerMessage::Entry& entry) {
    outcome_.full = entry.full;
    outcome_.used_bytes = entry.used_bytes;
    // Copies first: once the key is renewed, they are what those who were away come back by.
    leave_copies();
    outcome_.was_behind = setup_.renew_to && *setup_.renew_to != claimed_;
    if (setup_.registrar && setup_.renew_to && (outcome_.was_behind || !setup_.to_leave.empty())) {
        ready_.push_back(
            encode_courier_message(make_renewal(setup_.circle, *setup_.renew_to, *setup_.registrar, handshake_)));
        awaits_renewal_ = true;
        // Once more, over what somebody may have left for those tags before.
        leave_copies();
    }
    session_.emplace(log_, Session::Side::caller, std::vector<CircleId>{setup_.circle}, handshake_.view(),
                     setup_.courier.view());
    session_->hide_position();
    if (entry.full) session_->hold_back(setup_.circle);
    TRY(session_->begin());
    return ask_for_keys();
}

Result<void> Visitor::ask_for_keys() {
    TRY(auto request, book_.next_request(setup_.circle));
    if (request) ready_.push_back(std::move(*request));
    return ok();
}

Result<void> Visitor::on_wraps(ByteView message) {
    // Copies are sealed and left unasked; nothing is ever looked up for a courier.
    if (message.front() != wrap_answer_type) return out_of_turn;
    if (awaits_first_copies_) {
        TRY(const auto answer, codec::decode<WrapAnswerMessage>(message.subspan(1)));
        return on_first_copies(answer);
    }
    TRY(auto more, book_.on_message(message));
    changed_ = changed_ || !book_.take_opened().empty();
    if (more) ready_.push_back(std::move(*more));
    return ok();
}

Result<void> Visitor::on(const SaidMessage& message) {
    const bool is_awaited = setup_.stop || std::exchange(awaits_renewal_, false);
    if (!is_awaited || message.circle != setup_.circle) return out_of_turn;
    outcome_.said = message.said;
    over_ = setup_.stop;
    return ok();
}

Result<void> Visitor::on(const Receipt& receipt) {
    if (!session_ || receipt.circle != setup_.circle) return out_of_turn;
    if (!is_genuine(receipt, setup_.signing)) {
        return Error{Fault::peer, "The courier's receipt is not signed with the key that the circle knows."};
    }
    TRY(const auto heads, log_.heads(setup_.circle));
    outcome_.receipt = receipt;
    outcome_.receipt_is_current = root_of(setup_.circle, heads) == receipt.root;
    return ok();
}

Result<void> Visitor::after_session() {
    if (!session_->take_grants().empty()) return Error{Fault::peer, "The courier offered a key, which it cannot have."};
    if (session_->take_changed().empty()) return ok();
    changed_ = true;
    return ask_for_keys();
}

void Visitor::end_if_done() {
    if (over_ || !session_) return;
    outcome_.in_step = session_->in_step();
    const bool heard = !outcome_.in_step || outcome_.receipt.has_value();
    const bool ended = session_->peer_said_bye() || (session_->concluded() && heard);
    if (!ended || awaits_renewal_ || book_.awaits_answer()) return;
    session_->say_bye();
    while (auto last = session_->next_output()) ready_.push_back(std::move(*last));
    over_ = true;
}

std::optional<Bytes> Visitor::next_output() {
    if (!ready_.empty()) {
        Bytes out = std::move(ready_.front());
        ready_.pop_front();
        return out;
    }
    if (over_ || !session_) return std::nullopt;
    return session_->next_output();
}

}  // namespace ladderline::protocol
