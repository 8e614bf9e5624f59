// Whole visits: a member's side and the courier's side talk to one another over memory.

#include "tests/support/protocol/courier_pair.hpp"
#include "tests/support/protocol/made_up_fork.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::CourierMember;
using test::CourierWorld;

namespace {

WrapAnswerMessage::Copy copy_for(const AeadKey& key, const CourierMember& member, Random& random) {
    return {id_of_key(key), wrap_freshly(key, member.box.pub, random)};
}

// So many bytes in a row are no coincidence.
constexpr std::size_t word_bytes = 4;

bool holds(const std::vector<Bytes>& messages, ByteView word) {
    return std::any_of(messages.begin(), messages.end(), [&](const Bytes& message) {
        return std::search(message.begin(), message.end(), word.begin(), word.end()) != message.end();
    });
}

Bytes joined(const std::vector<Bytes>& parts) {
    Bytes out;
    for (const Bytes& part : parts) out.insert(out.end(), part.begin(), part.end());
    return out;
}

}  // namespace

TEST_CASE("what one member leaves at the courier another one fetches there") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    CourierMember max(w.random, w.key);
    test::give(ada.log, w.log(40));
    CHECK(w.visit(ada).in_step);
    CHECK(w.is_over);
    const VisitOutcome fetched = w.visit(max);
    CHECK(fetched.in_step);
    CHECK(test::root_at(max.log, w.circle) == test::root_at(ada.log, w.circle));
}

TEST_CASE("a courier passes on what stands before a fork, although the signature over it stands beyond the fork") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    CourierMember max(w.random, w.key);
    const SignKeys device = make_sign_keys(w.random);
    test::LogWriter log(w.circle, device, w.random);
    for (int i = 0; i < 2; ++i) log.write_note(w.key, "note");
    log.spoil_signature(0);
    test::give(ada.log, log);
    const ForkProof proof = test::made_up_fork(w.circle, device, log.opening(), 1, w.random);
    REQUIRE(ada.log.append_fork_proof(w.circle, proof).value());
    test::give(ada.log, w.log(3));
    CHECK(w.visit(ada).in_step);
    CHECK(w.visit(max).in_step);
    CHECK(test::root_at(max.log, w.circle) == test::root_at(ada.log, w.circle));
}

TEST_CASE("a visit with nothing new ends with a receipt as well") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    test::give(ada.log, w.log(3));
    w.visit(ada);
    w.now.ms += 1000;
    const VisitOutcome again = w.visit(ada);
    REQUIRE(again.receipt.has_value());
    CHECK(again.receipt->at == w.now);
    CHECK(again.receipt_is_current);
}

TEST_CASE("a receipt names the root, the courier's arrivals and clock, and how long it keeps") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    test::give(ada.log, w.log(5));
    const VisitOutcome outcome = w.visit(ada);
    REQUIRE(outcome.receipt.has_value());
    CHECK(outcome.receipt->root == test::root_at(ada.log, w.circle));
    CHECK(outcome.receipt->arrivals == 5);
    CHECK(outcome.receipt->days == 30);
    CHECK(is_genuine(*outcome.receipt, w.signing.pub));
}

TEST_CASE("a receipt signed with another key than the circle knows ends the visit") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    test::give(ada.log, w.log(1));
    VisitSetup setup = w.setup_of(ada);
    setup.signing = make_sign_keys(w.random).pub;
    const VisitOutcome outcome = w.visit(ada, std::move(setup));
    REQUIRE(w.error.has_value());
    CHECK(w.error->fault() == Fault::peer);
    CHECK_FALSE(outcome.receipt.has_value());
}

TEST_CASE("a circle that the courier does not keep is unknown to it") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    w.book.places.clear();
    CHECK(w.visit(ada).verdict == AccessVerdict::unknown);
    CHECK(w.is_over);
}

TEST_CASE("a key that was never the circle's opens nothing") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    CourierMember stranger(w.random, AeadKey::random(w.random));
    test::give(ada.log, w.log(2));
    w.visit(ada);
    CHECK(w.visit(stranger).verdict == AccessVerdict::other_key);
    CHECK(stranger.log.event_count(w.circle) == 0);
}

TEST_CASE("a proof made for one connection is refused on another") {
    CourierWorld w;
    const SignKeys access = access_keys(w.circle, w.key);
    const auto there = w.random.draw<HandshakeHash>();
    const auto here = w.random.draw<HandshakeHash>();
    Attendant attendant(w.book, w.signing.secret, here);
    const Bytes replayed = encode_courier_message(AccessMessage{{make_claim(w.circle, access, there)}});
    const auto outcome = attendant.on_message(replayed, w.now);
    REQUIRE_FALSE(outcome.has_value());
    CHECK(outcome.error().fault() == Fault::peer);
    CHECK_FALSE(attendant.has_access_to(w.circle));
}

TEST_CASE("an older key that is still expected is found among those that the member holds") {
    CourierWorld w;
    CourierMember ada(w.random, AeadKey::random(w.random));
    ada.keys.push_back(w.key.clone());
    test::give(ada.log, w.log(2));
    CHECK(w.visit(ada).in_step);
}

TEST_CASE("the registrar renews, and whoever was removed is refused from then on") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    CourierMember removed(w.random, w.key);
    test::give(ada.log, w.log(2));
    w.visit(ada);
    const AeadKey next = AeadKey::random(w.random);
    ada.keys.push_back(next.clone());
    CHECK(w.visit(ada, w.renewing(ada, next)).said == CourierSaid::renewed);
    const VisitOutcome refused = w.visit(removed);
    CHECK(refused.verdict == AccessVerdict::former_key);
    CHECK(removed.log.event_count(w.circle) == 0);
    CHECK(removed.shelf.taken.empty());
}

TEST_CASE("a renewal that another than the registrar signs changes nothing") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    const AeadKey next = AeadKey::random(w.random);
    VisitSetup setup = w.renewing(ada, next);
    setup.registrar = make_sign_keys(w.random).secret.clone();
    CHECK(w.visit(ada, std::move(setup)).said == CourierSaid::not_registrar);
    CHECK(w.book.places.at(w.circle).access == access_keys(w.circle, w.key).pub);
}

TEST_CASE("a member who was away at a rotation comes back in by the sealed copy that was left") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    CourierMember max(w.random, w.key);
    const AeadKey next = AeadKey::random(w.random);
    test::give(ada.log, w.log(2));
    VisitSetup setup = w.renewing(ada, next);
    setup.to_leave = {copy_for(next, max, w.random)};
    w.visit(ada, std::move(setup));
    const VisitOutcome outcome = w.visit(max);
    CHECK(outcome.verdict == AccessVerdict::granted);
    CHECK(outcome.in_step);
    CHECK(max.log.event_count(w.circle) == 2);
}

TEST_CASE("what somebody left for others' tags before keeps nobody out once the registrar has left the copies") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    CourierMember max(w.random, w.key);
    CourierMember liar(w.random, w.key);
    const AeadKey next = AeadKey::random(w.random);
    test::give(ada.log, w.log(2));
    const WrapAnswerMessage::Copy genuine = copy_for(next, max, w.random);
    VisitSetup before = w.setup_of(liar);
    before.to_leave = {genuine};
    before.to_leave[0].wrap.box.assign(80, 7);
    w.visit(liar, std::move(before));
    VisitSetup setup = w.renewing(ada, next);
    setup.to_leave = {genuine};
    SUBCASE("with the renewal") {
        w.visit(ada, std::move(setup));
    }
    SUBCASE("after it") {
        w.visit(ada, w.renewing(ada, next));
        ada.keys.insert(ada.keys.begin(), next.clone());
        VisitSetup again = w.renewing(ada, next);
        again.to_leave = {genuine};
        CHECK(w.visit(ada, std::move(again)).in_step);
    }
    CHECK(w.visit(max).in_step);
}

TEST_CASE("copies that another than the registrar leaves stand behind those that are there") {
    CourierWorld w;
    CourierMember liar(w.random, w.key);
    CourierMember max(w.random, w.key);
    const WrapAnswerMessage::Copy genuine = copy_for(AeadKey::random(w.random), max, w.random);
    w.book.copies = {genuine};
    VisitSetup setup = w.renewing(liar, w.key);
    setup.registrar = make_sign_keys(w.random).secret.clone();
    setup.to_leave = {genuine};
    setup.to_leave[0].wrap.box.assign(80, 7);
    w.visit(liar, std::move(setup));
    CHECK(w.book.copies.front().wrap == genuine.wrap);
}

TEST_CASE("a copy for the paper key lets in whoever came back on a new device") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    CourierMember fresh(w.random, w.key);
    CourierMember paper(w.random, w.key);
    const AeadKey next = AeadKey::random(w.random);
    test::give(ada.log, w.log(2));
    VisitSetup setup = w.renewing(ada, next);
    setup.to_leave = {copy_for(next, paper, w.random)};
    w.visit(ada, std::move(setup));
    CHECK(w.visit(fresh).verdict == AccessVerdict::former_key);
    VisitSetup with_paper = w.setup_of(fresh);
    with_paper.paper_box = dh_keys_from_secret(paper.box.secret.clone());
    CHECK(w.visit(fresh, std::move(with_paper)).in_step);
}

TEST_CASE("a key from a copy is kept only once an event names it") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    CourierMember max(w.random, w.key);
    const AeadKey next = AeadKey::random(w.random);
    VisitSetup setup = w.renewing(ada, next);
    setup.to_leave = {copy_for(next, max, w.random)};
    w.visit(ada, std::move(setup));
    w.visit(max);
    CHECK(max.shelf.taken.empty());
    max.shelf.missing = {id_of_key(next)};
    w.visit(max);
    CHECK(max.shelf.taken == std::vector<KeyId>{id_of_key(next)});
}

TEST_CASE("a full courier says so, the visit ends, and what it has is still read") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    CourierMember max(w.random, w.key);
    test::give(ada.log, w.log(6));
    w.visit(ada);
    w.book.events_max = 6;
    test::give(max.log, w.log(3));
    const VisitOutcome outcome = w.visit(max);
    CHECK(outcome.full);
    CHECK_FALSE(outcome.in_step);
    CHECK(w.is_over);
    CHECK(max.log.event_count(w.circle) == 9);
    CHECK(w.book.event_count(w.circle) == 6);
}

TEST_CASE("a courier that fills up in the middle of a visit ends it cleanly") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    for (int i = 0; i < 8; ++i) test::give(ada.log, w.log(10));
    w.book.events_max = 35;
    const VisitOutcome outcome = w.visit(ada);
    CHECK_FALSE(w.error.has_value());
    CHECK(outcome.full);
    CHECK(w.is_over);
    CHECK(w.book.event_count(w.circle) == 30);
}

TEST_CASE("ending a place removes it when the registrar asks, and for nobody else") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    VisitSetup wrong = w.setup_of(ada);
    wrong.stop = true;
    wrong.registrar = make_sign_keys(w.random).secret.clone();
    CHECK(w.visit(ada, std::move(wrong)).said == CourierSaid::not_registrar);
    CHECK(w.book.places.size() == 1);
    VisitSetup right = w.renewing(ada, w.key);
    right.stop = true;
    CHECK(w.visit(ada, std::move(right)).said == CourierSaid::stopped);
    CHECK(w.is_over);
    CHECK(w.book.places.empty());
}

TEST_CASE("whoever renews or ends a place that is not there hears that the circle is unknown") {
    CourierWorld w;
    w.book.places.clear();
    const auto handshake = w.random.draw<HandshakeHash>();
    for (const bool ends : {false, true}) {
        Attendant attendant(w.book, w.signing.secret, handshake);
        const CourierMessage asked =
            ends ? CourierMessage(make_stop(w.circle, w.registrar.secret, handshake))
                 : CourierMessage(make_renewal(w.circle, w.registrar.pub, w.registrar.secret, handshake));
        REQUIRE(attendant.on_message(encode_courier_message(asked), w.now).has_value());
        CHECK(attendant.next_output() == encode_courier_message(SaidMessage{w.circle, CourierSaid::unknown}));
    }
}

TEST_CASE("a visitor that is still there gets what another one brings meanwhile") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    const auto handshake = w.random.draw<HandshakeHash>();
    Visitor visitor(ada.log, ada.shelf, w.setup_of(ada), handshake);
    Attendant attendant(w.book, w.signing.secret, handshake);
    test::give(ada.log, w.log(3));
    const auto talk = [&](std::size_t events_there) {
        for (bool moved = true; std::exchange(moved, false);) {
            while (auto message = visitor.next_output()) {
                moved = true;
                REQUIRE(attendant.on_message(*message, w.now).has_value());
                if (w.book.event_count(w.circle) == events_there) return;
            }
            while (auto message = attendant.next_output()) {
                moved = true;
                REQUIRE(visitor.on_message(*message).has_value());
            }
        }
    };
    talk(3);
    test::give(w.book, w.log(4));
    REQUIRE(attendant.on_news(w.circle).has_value());
    talk(1000);
    CHECK(ada.log.event_count(w.circle) == 7);
}

TEST_CASE("nothing that a visitor says names its store, and two visits share the circle, its key and no other words") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    test::give(ada.log, w.log(3));
    w.visit(ada);
    const std::vector<Bytes> first = w.said_to_courier;
    test::give(ada.log, w.log(3));
    w.visit(ada);
    const std::vector<Bytes> second = w.said_to_courier;
    REQUIRE(first.size() > 2);
    REQUIRE(second.size() > 2);
    CHECK_FALSE(holds(first, ada.log.instance.view()));
    CHECK_FALSE(holds(second, ada.log.instance.view()));
    const SignPublic access = access_keys(w.circle, w.key).pub;
    const KeyId key = id_of_key(w.key);
    // A claim but for its proof; an answer that tells of no position; in a run the key's name before a body's length.
    const std::vector<Bytes> known{joined({Bytes{22, 1}, to_bytes(w.circle.view()), to_bytes(access.view())}),
                                   encode_message(AnswerMessage{{}, 0, {HelloAnswer::equal}}),
                                   joined({Bytes{1}, to_bytes(key.view()), Bytes{0x1f}}), Bytes(64, 0)};
    for (const Bytes& message : second) {
        for (std::size_t at = 0; at + word_bytes <= message.size(); ++at) {
            const ByteView word = ByteView(message).subspan(at, word_bytes);
            CAPTURE(static_cast<int>(message.front()));
            CAPTURE(at);
            CHECK_FALSE((holds(first, word) && !holds(known, word)));
        }
    }
}

TEST_CASE("the second visit of a member uses its cursor") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    for (int i = 0; i < 200; ++i) test::give(ada.log, w.log(1));
    w.visit(ada);
    test::give(ada.log, w.log(1));
    w.visit(ada);
    std::size_t bytes = 0;
    for (const Bytes& message : w.said_to_courier) bytes += message.size();
    CHECK(w.visit(ada).in_step);
    CHECK(bytes < 700);  // a tree of 200 logs alone is more
}

TEST_CASE("a courier is offered no key, and takes none") {
    CourierWorld w;
    const auto handshake = w.random.draw<HandshakeHash>();
    Attendant attendant(w.book, w.signing.secret, handshake);
    const SignKeys access = access_keys(w.circle, w.key);
    REQUIRE(
        attendant.on_message(encode_courier_message(AccessMessage{{make_claim(w.circle, access, handshake)}}), w.now)
            .has_value());
    REQUIRE(attendant.on_message(encode_message(AnswerMessage{{}, 0, {HelloAnswer::equal}}), w.now).has_value());
    const auto outcome = attendant.on_message(encode_message(GrantMessage{w.circle, to_bytes(w.key.view())}), w.now);
    REQUIRE_FALSE(outcome.has_value());
    CHECK(outcome.error().fault() == Fault::peer);
}

TEST_CASE("a visitor gives a courier no copy that it asks for") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    Visitor visitor(ada.log, ada.shelf, w.setup_of(ada), w.random.draw<HandshakeHash>());
    const KeyId key = id_of_key(w.key);
    const auto outcome =
        visitor.on_message(encode_wrap_message(WrapRequestMessage{w.circle, {{key, tag_of(key, ada.box.pub)}}}));
    REQUIRE_FALSE(outcome.has_value());
    CHECK(outcome.error().fault() == Fault::peer);
}

TEST_CASE("without access a courier answers no session, no request and takes no copies") {
    CourierWorld w;
    const KeyId key = id_of_key(w.key);
    const WrapTag tag = w.random.draw<WrapTag>();
    for (const Bytes& early :
         {encode_message(AnswerMessage{{}, 0, {}}), encode_wrap_message(WrapRequestMessage{w.circle, {{key, tag}}}),
          encode_wrap_message(WrapAnswerMessage{w.circle, {}}), Bytes{}, Bytes{200}}) {
        Attendant attendant(w.book, w.signing.secret, w.random.draw<HandshakeHash>());
        const auto outcome = attendant.on_message(early, w.now);
        REQUIRE_FALSE(outcome.has_value());
        CHECK(outcome.error().fault() == Fault::peer);
    }
}

TEST_CASE("a caller tries a few keys on one connection, not many") {
    CourierWorld w;
    const auto handshake = w.random.draw<HandshakeHash>();
    Attendant attendant(w.book, w.signing.secret, handshake);
    std::size_t tries = 0;
    for (; tries < 100; ++tries) {
        const SignKeys access = access_keys(w.circle, AeadKey::random(w.random));
        const Bytes claim = encode_courier_message(AccessMessage{{make_claim(w.circle, access, handshake)}});
        if (!attendant.on_message(claim, w.now)) break;
    }
    CHECK(tries == limits::courier_accesses_max);
}

TEST_CASE("a courier that says nonsense ends the visit") {
    CourierWorld w;
    CourierMember ada(w.random, w.key);
    test::give(ada.log, w.log(3));
    std::size_t ended = 0;
    for (std::size_t at = 0; at < 4; ++at) {
        std::size_t number = 0;
        w.change = [&](Bytes& message) {
            if (number++ == at) message.resize(message.size() / 2);
        };
        w.visit(ada);
        if (w.error && w.error->fault() == Fault::peer) ended += 1;
    }
    CHECK(ended == 4);
}
