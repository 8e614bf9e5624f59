// Requests for epoch keys and their answers, from a peer who shares one circle. Input: messages as pieces.

#include "protocol/sync/wraps.hpp"

#include "protocol/event/event.hpp"
#include "tests/fuzz/engine/again.hpp"
#include "tests/fuzz/engine/pieces.hpp"
#include "tests/fuzz/engine/tweaker.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

struct World {
    test::SeededRandom random{61};
    CircleId circle = random.draw<CircleId>();
    AeadKey key = AeadKey::random(random);
    DhKeys box = make_dh_keys(random);
    WrappedKey wrapped = wrap_key(key, {box.pub, make_dh_keys(random).pub, make_dh_keys(random).pub}, random).value();
};
const World& world() {
    static const World out;
    return out;
}

// Lacks the key, and keeps the copies of everybody.
struct Shelf : WrapShelf {
    Result<std::vector<KeyId>> missing_keys(const CircleId&) override {
        return std::vector<KeyId>{id_of_key(world().key)};
    }
    Result<std::optional<Wrap>> copy_for_peer(const CircleId&, const KeyId&, const WrapTag& tag) override {
        for (const Wrap& copy : world().wrapped.copies) {
            if (copy.tag == tag) return std::optional(copy);
        }
        return std::optional<Wrap>();
    }
    Result<void> take_key(const CircleId& circle, const AeadKey& key) override {
        demand(circle == world().circle && id_of_key(key) == id_of_key(world().key), "only a key asked for is taken");
        return ok();
    }
};

template <class Message>
void demand_message(ByteView fields) {
    const Result<Message> message = codec::decode<Message>(fields);
    if (!message) return;
    demand_same(fields, codec::encode(message.value()));
    if constexpr (std::is_same_v<Message, WrapAnswerMessage>) {
        for (const auto& copy : message.value().copies) static_cast<void>(is_under(copy.wrap, world().wrapped.root));
    }
}

void knock(ByteView input) {
    Shelf shelf;
    WrapBook book(shelf, dh_keys_from_secret(world().box.secret.clone()), {world().circle});
    demand(book.next_request(world().circle).value().has_value(), "a missing key is asked for");
    for (const Bytes& message : cut_pieces(input)) {
        if (message.empty() || !is_wrap_message(message[0])) continue;
        const ByteView fields = ByteView(message).subspan(1);
        demand_message<WrapRequestMessage>(fields);
        demand_message<WrapAnswerMessage>(fields);
        const auto answer = book.on_message(message);
        if (!answer) return demand_sentence(answer.error().sentence());
    }
}

template <class Message>
Bytes typed(std::uint8_t type, const Message& message) {
    Bytes out = codec::encode(message);
    out.insert(out.begin(), type);
    return out;
}

Bytes tweaked(const Bytes& bytes, test::SeededRandom& random) {
    if (bytes.empty()) return bytes;
    const ByteView fields = ByteView(bytes).subspan(1);
    auto request = codec::decode<WrapRequestMessage>(fields);
    auto answer = codec::decode<WrapAnswerMessage>(fields);
    if (bytes[0] == wrap_request_type && request) {
        tweak(request.value(), random);
        return typed(bytes[0], request.value());
    }
    if (bytes[0] == wrap_answer_type && answer) {
        tweak(answer.value(), random);
        return typed(bytes[0], answer.value());
    }
    return nibbled(bytes, random);
}

}  // namespace

Door door() {
    WrapRequestMessage request{world().circle, {}};
    WrapAnswerMessage answer{world().circle, {}};
    for (const Wrap& copy : world().wrapped.copies) {
        request.wishes.push_back({id_of_key(world().key), copy.tag});
        answer.copies.push_back({id_of_key(world().key), copy});
    }
    const Bytes asks = typed(wrap_request_type, request);
    const Bytes answers = typed(wrap_answer_type, answer);
    Door out;
    out.knock = knock;
    out.seeds = {{"request", join_pieces({asks})},
                 {"answer", join_pieces({answers})},
                 {"both", join_pieces({asks, answers, asks})}};
    out.reshape = [](ByteView input, test::SeededRandom& random) { return reshape_pieces(input, random, tweaked); };
    out.runs = 4000;
    return out;
}

}  // namespace ladderline::fuzz
