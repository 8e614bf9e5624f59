#pragma once
// A member who has no right to change a circle's key and links to keys of their own making.

#include "protocol/circle/epochs.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/store/founded_circle.hpp"

namespace ladderline::test {

// Changes of key without effect in one log of theirs, as it comes from a peer. They name the key that is written under
// and link to `count` others, at most 2,000.
inline void link_to_inventions(EventLogNode& at, const protocol::CircleId& circle, const Person& by,
                               std::size_t count) {
    const protocol::AeadKey current = at.log.current_key(circle).value();
    const std::vector<protocol::EventId> heads = store::CircleModel::state_of(at.db, circle).value().heads;
    LogWriter log(circle, by.device, at.random);
    while (count > 0) {
        protocol::RotateBody body;
        body.key = protocol::id_of_key(current);
        for (; count > 0 && body.links.size() < protocol::limits::control_heads_max; --count) {
            body.links.push_back(protocol::seal_link(circle, current, protocol::AeadKey::random(at.random)));
        }
        log.write(current, {{at.now, 0}, protocol::kind::rotate_key, {}, protocol::codec::encode(body)}, heads);
    }
    ENSURE(at.log.append_run(circle, log.run()).value() == protocol::Appended::stored);
}

}  // namespace ladderline::test
