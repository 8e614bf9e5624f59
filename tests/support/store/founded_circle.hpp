#pragma once
// A circle that Ada has founded at her node, and two people whom she may let in.

#include "protocol/event/kinds.hpp"
#include "store/circles/new_key.hpp"
#include "tests/support/store/event_log_node.hpp"

namespace ladderline::test {

struct FoundedCircle {
    // Ada is a club's officer or a path's newcomer.
    FoundedCircle(std::uint64_t seed, protocol::CircleKind kind)
        : random(seed),
          ada(make_person("Ada", random)),
          ben(make_person("Ben", random)),
          cal(make_person("Cal", random)),
          node(seed + 1),
          circle(node.found(
              ada, kind,
              kind == protocol::CircleKind::club ? protocol::MemberRole::officer : protocol::MemberRole::newcomer)),
          key(node.log.current_key(circle).value()) {}

    protocol::EventId say(EventLogNode& at, std::uint16_t number, Bytes payload) {
        return at.log.append({circle, number, std::move(payload), {}}, at.now).value();
    }
    protocol::EventId admit(EventLogNode& at, const Person& who, protocol::MemberRole role) {
        const protocol::AdmitBody body{who.id(), role, 2, who.name, false, {who.certificate()}};
        return say(at, protocol::kind::admit, protocol::codec::encode(body));
    }
    protocol::CircleState state(EventLogNode& at) { return store::CircleModel::state_of(at.db, circle).value(); }
    // That person's node: up to date, with the key that Ada's writes under.
    void welcome(EventLogNode& at, const Person& who) {
        at.act_as(who);
        carry(node, at, circle);
        ENSURE(at.log.add_key(circle, node.log.current_key(circle).value()).has_value());
    }
    protocol::EventId rotate(EventLogNode& at, protocol::Readers readers = protocol::Readers::everyone) {
        auto tx = store::sqlite::Transaction::begin(at.db);
        ENSURE(store::see_off_within(at.log, circle, state(at), ada.id(), at.now).has_value());
        const auto next = store::new_key_for(at.log, circle, state(at), readers, ada.id());
        const protocol::EventId id = at.log.rotate_within(circle, next.value(), at.now).value();
        ENSURE(tx.value().commit().has_value());
        return id;
    }

    SeededRandom random;
    Person ada;
    Person ben;
    Person cal;
    EventLogNode node;
    protocol::CircleId circle;
    protocol::AeadKey key;  // the founding one
};

}  // namespace ladderline::test
