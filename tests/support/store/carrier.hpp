#pragma once
// Somebody with a store who carries bundles: the log, their keys, and a path that a newcomer shares with a mentor.

#include "protocol/event/kinds.hpp"
#include "store/carry/bundle_in.hpp"
#include "tests/support/store/event_log_node.hpp"

namespace ladderline::test {

struct Carrier {
    Carrier(std::string name, std::uint64_t seed, std::vector<store::ReadModel*> others = {})
        : node(seed, std::move(others)),
          person(make_person(std::move(name), node.random)),
          me{{person.identity.pub, person.identity.secret.clone()},
             {person.device.pub, person.device.secret.clone()},
             {person.noise.pub, person.noise.secret.clone()},
             {person.box.pub, person.box.secret.clone()},
             person.certificate()} {
        node.act_as(person);
    }

    store::CarryStore store() { return {node.db, node.log, me}; }

    void note(const protocol::CircleId& circle, const std::string& text) {
        const Bytes payload = protocol::codec::encode(text);
        ENSURE(node.log.append({circle, protocol::kind::note, payload}, node.now).has_value());
    }
    void admit(const protocol::CircleId& circle, const Person& other) {
        const protocol::AdmitBody body{other.id(), protocol::MemberRole::mentor, 3, other.name,
                                       false,      {other.certificate()}};
        ENSURE(node.log.append({circle, protocol::kind::admit, protocol::codec::encode(body)}, node.now).has_value());
    }
    protocol::Root root(const protocol::CircleId& circle) {
        return protocol::root_of(circle, node.log.heads(circle).value());
    }
    std::int64_t events() { return node.count("SELECT count(*) FROM event"); }

    // The parts of a bundle; what was written goes into `said` if it is given.
    std::vector<Bytes> bundle(const store::BundleOrder& order, store::PutIn* said = nullptr) {
        std::vector<Bytes> parts;
        const auto put_in = store::write_bundle(store(), order, node.now, node.random, [&](Bytes part) -> Result<void> {
            parts.push_back(std::move(part));
            return ok();
        });
        ENSURE(put_in.has_value());
        if (said != nullptr) *said = put_in.value();
        return parts;
    }

    EventLogNode node;
    Person person;
    store::Identity me;
};

// Ada's path, onto which Max was let; Max holds the key and no event.
struct SharedPath {
    SharedPath() : circle(ada.node.found(ada.person, protocol::CircleKind::path, protocol::MemberRole::newcomer)) {
        ada.admit(circle, max.person);
        ENSURE(max.node.log.add_key(circle, ada.node.log.current_key(circle).value()).has_value());
    }
    store::BundleOrder order() const { return {circle, {}, std::nullopt, false, std::nullopt}; }

    Carrier ada{"Ada Finch", 1};
    Carrier max{"Max Dale", 2};
    protocol::CircleId circle;
};

}  // namespace ladderline::test
