#pragma once
// A visitor and an attendant over memory: a courier's book with a place for one circle, and members' logs beside it.

#include <doctest/doctest.h>

#include "protocol/courier/attendant.hpp"
#include "protocol/courier/visitor.hpp"
#include "tests/support/protocol/session_pair.hpp"

namespace ladderline::test {

// A courier's places in memory. `events_max`: so many runs' events are taken of a circle, then it is full.
class MemoryBook : public protocol::CourierBook, public MemoryLog {
public:
    Result<std::optional<protocol::CourierPlace>> find_place(const protocol::CircleId& id) override {
        const auto place = places.find(id);
        if (place == places.end()) return std::optional<protocol::CourierPlace>();
        place->second.full = event_count(id) >= events_max;
        return std::optional(place->second);
    }
    Result<void> note_visit(const protocol::CircleId&, WallTime now) override {
        visits.push_back(now);
        return ok();
    }
    Result<void> renew(const protocol::CircleId& id, const protocol::SignPublic& access) override {
        protocol::CourierPlace& place = places.at(id);
        place.former.insert(place.former.begin(), place.access);
        place.access = access;
        return ok();
    }
    Result<void> remove(const protocol::CircleId& id) override {
        places.erase(id);
        return ok();
    }
    Result<std::vector<protocol::KeyId>> kept_keys(const protocol::CircleId&) override {
        std::vector<protocol::KeyId> out;
        for (const auto& copy : copies) out.push_back(copy.key);
        return out;
    }
    Result<std::optional<protocol::Wrap>> kept_copy(const protocol::CircleId&, const protocol::KeyId& key,
                                                    const protocol::WrapTag& tag) override {
        for (const auto& copy : copies) {
            if (copy.key == key && copy.wrap.tag == tag) return std::optional(copy.wrap);
        }
        return std::optional<protocol::Wrap>();
    }
    // The first copy for a tag is the one that is given.
    Result<void> keep_copies(const protocol::CircleId&, const std::vector<protocol::WrapAnswerMessage::Copy>& left,
                             WallTime) override {
        copies.insert(copies.end(), left.begin(), left.end());
        return ok();
    }
    Result<void> replace_copies(const protocol::CircleId&, const std::vector<protocol::WrapAnswerMessage::Copy>& left,
                                WallTime) override {
        for (const auto& copy : left) {
            std::erase_if(copies, [&](const auto& kept) { return kept.wrap.tag == copy.wrap.tag; });
        }
        copies.insert(copies.end(), left.begin(), left.end());
        return ok();
    }
    protocol::LogView& log() override { return *this; }
    std::vector<protocol::FullMessage> take_refusals() override { return std::exchange(refusals, {}); }

    Result<protocol::Appended> append_run(const protocol::CircleId& id, const protocol::Run& run) override {
        if (event_count(id) + run.events.size() <= events_max) return MemoryLog::append_run(id, run);
        refusals.push_back({id, protocol::FullReason::place});
        return protocol::Appended::later;
    }

    std::map<protocol::CircleId, protocol::CourierPlace> places;
    std::vector<protocol::WrapAnswerMessage::Copy> copies;
    std::vector<protocol::FullMessage> refusals;
    std::vector<WallTime> visits;
    std::size_t events_max = 1'000'000;
};

// Takes keys and knows which are missing.
struct MemoryShelf : protocol::WrapShelf {
    Result<std::vector<protocol::KeyId>> missing_keys(const protocol::CircleId&) override { return missing; }
    Result<std::optional<protocol::Wrap>> copy_for_peer(const protocol::CircleId&, const protocol::KeyId&,
                                                        const protocol::WrapTag&) override {
        return std::optional<protocol::Wrap>();
    }
    Result<void> take_key(const protocol::CircleId&, const protocol::AeadKey& key) override {
        taken.push_back(protocol::id_of_key(key));
        std::erase(missing, taken.back());
        return ok();
    }

    std::vector<protocol::KeyId> missing;
    std::vector<protocol::KeyId> taken;
};

// One member: a log, a box key, and the epoch keys that they hold.
struct CourierMember {
    explicit CourierMember(SeededRandom& random, const protocol::AeadKey& key) : box(protocol::make_dh_keys(random)) {
        log.instance = random.draw<protocol::InstanceTag>();
        keys.push_back(key.clone());
    }

    MemoryLog log;
    MemoryShelf shelf;
    protocol::DhKeys box;
    std::vector<protocol::AeadKey> keys;  // the one to try first in front
};

class CourierWorld : public SyncWorld {
public:
    CourierWorld() : SyncWorld(77) {
        book.instance = random.draw<protocol::InstanceTag>();
        book.places[circle] = {protocol::access_keys(circle, key).pub, registrar.pub, {}, 0, 30, false};
    }

    protocol::VisitSetup setup_of(const CourierMember& member) {
        protocol::VisitSetup setup;
        setup.circle = circle;
        setup.courier = noise;
        setup.signing = signing.pub;
        setup.box = protocol::dh_keys_from_secret(member.box.secret.clone());
        for (const protocol::AeadKey& one : member.keys) setup.keys.push_back(one.clone());
        return setup;
    }
    // The registrar's, from `current` on.
    protocol::VisitSetup renewing(const CourierMember& member, const protocol::AeadKey& current) {
        protocol::VisitSetup setup = setup_of(member);
        setup.registrar = registrar.secret.clone();
        setup.renew_to = protocol::access_keys(circle, current).pub;
        return setup;
    }

    // One visit from its first message to its last; the error that ended it, if one did.
    std::optional<Error> error;
    std::vector<Bytes> said_to_courier;
    protocol::VisitOutcome visit(CourierMember& member, protocol::VisitSetup setup) {
        const auto handshake = random.draw<protocol::HandshakeHash>();
        protocol::Visitor visitor(member.log, member.shelf, std::move(setup), handshake);
        protocol::Attendant attendant(book, signing.secret, handshake);
        error.reset();
        said_to_courier.clear();
        for (bool moved = true; std::exchange(moved, false);) {
            while (auto message = visitor.next_output()) {
                moved = true;
                said_to_courier.push_back(*message);
                const auto outcome = attendant.on_message(*message, now);
                if (!outcome) error = outcome.error();
                if (error) return visitor.outcome();
            }
            while (auto message = attendant.next_output()) {
                moved = true;
                if (change) change(*message);
                const auto outcome = visitor.on_message(*message);
                if (!outcome) error = outcome.error();
                if (error) return visitor.outcome();
            }
        }
        is_over = visitor.is_over();
        return visitor.outcome();
    }
    protocol::VisitOutcome visit(CourierMember& member) { return visit(member, setup_of(member)); }

    MemoryBook book;
    protocol::SignKeys signing = protocol::make_sign_keys(random);
    protocol::SignKeys registrar = protocol::make_sign_keys(random);
    protocol::DhPublic noise = protocol::make_dh_keys(random).pub;
    WallTime now{1'800'000'000'000};
    std::function<void(Bytes&)> change;  // what the courier says on its way
    bool is_over = false;                // the last visit said goodbye
};

}  // namespace ladderline::test
