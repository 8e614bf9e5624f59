#include "protocol/courier/attendant.hpp"

#include <algorithm>

namespace ladderline::protocol {
namespace {

const Error out_of_turn{Fault::peer, "A courier's visitor spoke out of turn."};
// What waits to be said to a visitor who does not listen: answers are small, and a visit needs a few.
constexpr std::size_t waiting_max = 256;

}  // namespace

Result<void> Attendant::on_message(ByteView message, WallTime now) {
    if (message.empty()) return Error{Fault::peer, "A courier's visitor sent an empty message."};
    if (ready_.size() > waiting_max) return Error{Fault::peer, "A courier's visitor asks for more than it takes."};
    if (is_courier_message(message.front())) return on_courier_message(message, now);
    if (is_wrap_message(message.front())) return on_wraps(message, now);
    if (!session_) return out_of_turn;
    const Result<void> outcome = session_->on_message(message);
    TRY(after_session(now));
    return outcome;
}

Result<void> Attendant::on_courier_message(ByteView bytes, WallTime now) {
    TRY(const CourierMessage message, decode_courier_message(bytes));
    if (const auto* access = std::get_if<AccessMessage>(&message)) return on(*access, now);
    if (const auto* renewal = std::get_if<RenewMessage>(&message)) return on(*renewal);
    if (const auto* stop = std::get_if<StopMessage>(&message)) return on(*stop);
    return out_of_turn;
}

Result<AccessAnswerMessage::Entry> Attendant::judge(const AccessMessage::Claim& claim) {
    AccessAnswerMessage::Entry entry;
    TRY(const auto place, book_.find_place(claim.circle));
    if (!place) return entry;
    if (!is_genuine(claim, handshake_)) {
        return Error{Fault::peer, "A courier's visitor could not prove the key that it named."};
    }
    entry.hint = hint_of(place->access);
    if (claim.access == place->access) {
        entry.verdict = AccessVerdict::granted;
        entry.full = place->full;
        entry.used_bytes = place->used_bytes;
        granted_.insert(claim.circle);
        return entry;
    }
    const bool is_former = std::find(place->former.begin(), place->former.end(), claim.access) != place->former.end();
    entry.verdict = is_former ? AccessVerdict::former_key : AccessVerdict::other_key;
    if (is_former) {
        former_.insert(claim.circle);
        TRY(entry.copies, book_.kept_keys(claim.circle));
    }
    return entry;
}

Result<void> Attendant::on(const AccessMessage& message, WallTime now) {
    if (session_ || accesses_++ == limits::courier_accesses_max) return out_of_turn;
    AccessAnswerMessage answer;
    for (const AccessMessage::Claim& claim : message.claims) {
        TRY(auto entry, judge(claim));
        answer.entries.push_back(std::move(entry));
    }
    push(answer);
    if (granted_.empty()) return ok();
    for (const CircleId& circle : granted_) {
        TRY(book_.note_visit(circle, now));
    }
    // Without the visitor's key: it was made for this call, so no cursor of this side would ever be used again.
    session_.emplace(book_.log(), Session::Side::called, std::vector<CircleId>(granted_.begin(), granted_.end()),
                     handshake_.view());
    return session_->begin();
}

// None, and the visitor is told why, if there is no such place or its registrar does not say this.
template <class Message>
Result<std::optional<CourierPlace>> Attendant::place_of_registrar(const Message& message) {
    TRY(auto place, book_.find_place(message.circle));
    if (place && is_genuine(message, place->registrar, handshake_)) return place;
    push(SaidMessage{message.circle, place ? CourierSaid::not_registrar : CourierSaid::unknown});
    return std::optional<CourierPlace>();
}

Result<void> Attendant::on(const RenewMessage& message) {
    TRY(const auto place, place_of_registrar(message));
    if (!place) return ok();
    if (message.access != place->access) {
        TRY(book_.renew(message.circle, message.access));
        closed_.push_back(message.circle);
    }
    registered_.insert(message.circle);
    push(SaidMessage{message.circle, CourierSaid::renewed});
    return ok();
}

Result<void> Attendant::on(const StopMessage& message) {
    if (session_) return out_of_turn;
    TRY(const auto place, place_of_registrar(message));
    if (!place) return ok();
    TRY(book_.remove(message.circle));
    former_.erase(message.circle);
    registered_.erase(message.circle);
    closed_.push_back(message.circle);
    push(SaidMessage{message.circle, CourierSaid::stopped});
    return ok();
}

Result<void> Attendant::on_wraps(ByteView message, WallTime now) {
    if (message.front() == wrap_answer_type) {
        TRY(const auto left, codec::decode<WrapAnswerMessage>(message.subspan(1)));
        if (!granted_.contains(left.circle)) return out_of_turn;
        if (registered_.contains(left.circle)) return book_.replace_copies(left.circle, left.copies, now);
        return book_.keep_copies(left.circle, left.copies, now);
    }
    TRY(const auto request, codec::decode<WrapRequestMessage>(message.subspan(1)));
    if (!granted_.contains(request.circle) && !former_.contains(request.circle)) return out_of_turn;
    WrapAnswerMessage answer{request.circle, {}};
    for (const auto& wish : request.wishes) {
        TRY(auto copy, book_.kept_copy(request.circle, wish.key, wish.tag));
        if (copy) answer.copies.push_back({wish.key, std::move(*copy)});
    }
    ready_.push_back(encode_wrap_message(answer));  // also an empty one: the visitor waits for it
    return ok();
}

Result<void> Attendant::after_session(WallTime now) {
    for (const CircleId& circle : session_->take_changed()) changed_.push_back(circle);
    for (const FullMessage& full : book_.take_refusals()) push(full);
    if (!session_->take_grants().empty()) return Error{Fault::peer, "A courier's visitor offered it a key."};
    for (const CircleId& circle : granted_) {
        if (!session_->in_step(circle)) {
            receipted_.erase(circle);
            continue;
        }
        if (!receipted_.insert(circle).second) continue;
        TRY(const auto place, book_.find_place(circle));
        if (!place) continue;
        TRY(const auto heads, book_.log().heads(circle));
        TRY(const auto position, book_.log().position());
        Receipt receipt{circle, root_of(circle, heads), position ? position->arrivals : 0, now, place->days, {}};
        sign_receipt(receipt, signing_);
        push(receipt);
    }
    return ok();
}

Result<void> Attendant::on_news(const CircleId& circle) {
    if (!session_ || !granted_.contains(circle)) return ok();
    return session_->on_local_news(circle);
}

std::optional<Bytes> Attendant::next_output() {
    if (!ready_.empty()) {
        Bytes out = std::move(ready_.front());
        ready_.pop_front();
        return out;
    }
    return session_ ? session_->next_output() : std::nullopt;
}

}  // namespace ladderline::protocol
