#include "protocol/sync/wraps.hpp"

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

// Keys of one circle that one connection may ask about; more are somebody's inventions.
constexpr std::size_t asked_max = 4096;

std::size_t count_in(const std::set<std::pair<CircleId, KeyId>>& asked, const CircleId& circle) {
    std::size_t count = 0;
    for (auto at = asked.lower_bound({circle, KeyId{}}); at != asked.end() && at->first == circle; ++at) ++count;
    return count;
}

WrapRoot leaf_of(const Wrap& wrap) {
    return hash_as<WrapRoot>("ladderline wrap 1", {wrap.tag.view(), wrap.box});
}

WrapRoot node_of(const WrapRoot& left, const WrapRoot& right) {
    return hash_as<WrapRoot>("ladderline wrap node 1", {left.view(), right.view()});
}

template <class Message>
Bytes encode_as(std::uint8_t type, const Message& message) {
    codec::Writer ar;
    ar.put(type);
    ar(message);
    return ar.take();
}

// Fills in the proofs and gives the root. A level of odd length is filled up with zeros.
WrapRoot grow_tree(std::vector<Wrap>& copies) {
    std::vector<WrapRoot> level;
    for (const Wrap& copy : copies) level.push_back(leaf_of(copy));
    for (std::size_t height = 0; level.size() > 1; ++height) {
        if (level.size() % 2 != 0) level.emplace_back();
        for (Wrap& copy : copies) copy.proof.push_back(level[(copy.place >> height) ^ 1U]);
        std::vector<WrapRoot> above;
        for (std::size_t i = 0; i < level.size(); i += 2) above.push_back(node_of(level[i], level[i + 1]));
        level = std::move(above);
    }
    return level.front();
}

}  // namespace

WrapTag tag_of(const KeyId& key, const DhPublic& box) {
    return hash_as<WrapTag>("ladderline wrap tag 1", {key.view(), box.view()});
}

Wrap wrap_freshly(const AeadKey& key, const DhPublic& box, Random& random) {
    return {tag_of(id_of_key(key), box), seal_box(key.view(), box, random), 0, {}};
}

Result<WrappedKey> wrap_key(const AeadKey& key, const std::vector<DhPublic>& boxes, Random& random) {
    const std::set<DhPublic> different(boxes.begin(), boxes.end());
    if (different.empty() || different.size() > limits::wrap_copies_max) {
        return Error{Fault::bad_input, "A circle's key goes to 1 to 8,192 devices; nothing was changed."};
    }
    WrappedKey out;
    for (const DhPublic& box : different) out.copies.push_back(wrap_freshly(key, box, random));
    std::sort(out.copies.begin(), out.copies.end(), [](const Wrap& a, const Wrap& b) { return a.tag < b.tag; });
    for (std::size_t i = 0; i < out.copies.size(); ++i) out.copies[i].place = static_cast<std::uint16_t>(i);
    out.root = grow_tree(out.copies);
    return out;
}

bool is_under(const Wrap& wrap, const WrapRoot& root) {
    if (wrap.proof.size() > limits::wrap_proof_max || wrap.place >> wrap.proof.size() != 0) return false;
    WrapRoot at = leaf_of(wrap);
    for (std::size_t height = 0; height < wrap.proof.size(); ++height) {
        const bool is_right = (wrap.place >> height & 1U) != 0;
        at = is_right ? node_of(wrap.proof[height], at) : node_of(at, wrap.proof[height]);
    }
    return at == root;
}

Result<AeadKey> unwrap(const Wrap& wrap, const KeyId& key, const DhKeys& box) {
    TRY(const SecretBytes plain, open_box(wrap.box, box));
    if (plain.size() != AeadKey::size) return Error{Fault::wrong_key, "A wrapped key holds something else."};
    AeadKey out = AeadKey::copy_of(plain.view());
    if (id_of_key(out) != key) return Error{Fault::wrong_key, "A wrapped key is not the one that it is named for."};
    return out;
}

Bytes encode_wrap_message(const WrapRequestMessage& message) {
    return encode_as(wrap_request_type, message);
}

Bytes encode_wrap_message(const WrapAnswerMessage& message) {
    return encode_as(wrap_answer_type, message);
}

WrapBook::WrapBook(WrapShelf& shelf, DhKeys box, std::vector<CircleId> circles)
    : shelf_(shelf), circles_(std::move(circles)) {
    boxes_.push_back(std::move(box));
}

bool WrapBook::is_shared(const CircleId& circle) const {
    return std::find(circles_.begin(), circles_.end(), circle) != circles_.end();
}

Result<std::optional<Bytes>> WrapBook::next_request(const CircleId& circle) {
    if (!is_shared(circle)) return std::optional<Bytes>();
    std::size_t asked = count_in(asked_, circle);
    if (asked >= asked_max) return std::optional<Bytes>();
    TRY(const auto missing, shelf_.missing_keys(circle));
    WrapRequestMessage request{circle, {}};
    for (const KeyId& key : missing) {
        if (request.wishes.size() + boxes_.size() > limits::list_max || asked >= asked_max) break;
        if (!asked_.emplace(circle, key).second) continue;
        ++asked;
        for (const DhKeys& box : boxes_) request.wishes.push_back({key, tag_of(key, box.pub)});
    }
    if (request.wishes.empty()) return std::optional<Bytes>();
    open_.insert(circle);
    return std::optional<Bytes>(encode_wrap_message(request));
}

Result<std::optional<Bytes>> WrapBook::on_message(ByteView message) {
    ENSURE(!message.empty() && is_wrap_message(message.front()));
    if (message.front() == wrap_request_type) {
        TRY(const auto request, codec::decode<WrapRequestMessage>(message.subspan(1)));
        return on_request(request);
    }
    TRY(const auto answer, codec::decode<WrapAnswerMessage>(message.subspan(1)));
    TRY(on_answer(answer));
    return next_request(answer.circle);
}

Result<std::optional<Bytes>> WrapBook::on_request(const WrapRequestMessage& request) {
    // No fault: the peer need not have heard yet that somebody is gone.
    if (!is_shared(request.circle)) return std::optional<Bytes>();
    WrapAnswerMessage answer{request.circle, {}};
    for (const auto& wish : request.wishes) {
        TRY(auto copy, shelf_.copy_for_peer(request.circle, wish.key, wish.tag));
        if (copy) answer.copies.push_back({wish.key, std::move(*copy)});
    }
    // Also one without copies: the asker goes on with the keys that did not fit into this request.
    return std::optional<Bytes>(encode_wrap_message(answer));
}

Result<void> WrapBook::on_answer(const WrapAnswerMessage& answer) {
    // To look for what is missing next costs more than an empty answer does.
    const auto awaited = open_.find(answer.circle);
    if (awaited == open_.end()) {
        return Error{Fault::peer, "The peer answered a request for keys that it was not sent."};
    }
    open_.erase(awaited);
    for (const auto& copy : answer.copies) {
        // Only what was asked for: nobody fills this store with keys of their own making.
        if (!asked_.contains({answer.circle, copy.key})) continue;
        const auto box = std::find_if(boxes_.begin(), boxes_.end(),
                                      [&](const DhKeys& b) { return tag_of(copy.key, b.pub) == copy.wrap.tag; });
        if (box == boxes_.end()) continue;
        const auto key = unwrap(copy.wrap, copy.key, *box);
        if (!key) continue;
        TRY(shelf_.take_key(answer.circle, key.value()));
        if (std::find(opened_.begin(), opened_.end(), answer.circle) == opened_.end()) {
            opened_.push_back(answer.circle);
        }
    }
    return ok();
}

}  // namespace ladderline::protocol
