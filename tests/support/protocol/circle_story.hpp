#pragma once
// Control events of one circle, told one after another; ids are drawn, nothing is sealed. Who says something knows
// either all that was said before or just the heads they are given.

#include "protocol/circle/epochs.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/support/protocol/person.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::test {

class CircleStory {
public:
    explicit CircleStory(std::uint64_t seed) : random(seed) {}

    Person person(std::string name) { return make_person(std::move(name), random); }

    protocol::EventId found(const Person& by, protocol::CircleKind circle_kind, protocol::MemberRole role,
                            bool is_minor = false) {
        const protocol::FoundBody body{circle_kind, "circle", role, 4, by.name, is_minor, by.certificate()};
        const protocol::EventId id = say(by, protocol::kind::found, protocol::codec::encode(body), {});
        circle.data = id.data;
        return id;
    }
    // Knowing everything so far.
    protocol::EventId say(const Person& by, std::uint16_t number, const Bytes& payload) {
        return say(by, number, payload, state().heads);
    }
    protocol::EventId say(const Person& by, std::uint16_t number, const Bytes& payload,
                          std::vector<protocol::EventId> ctl) {
        protocol::ControlEvent e;
        e.id = random.draw<protocol::EventId>();
        e.author = by.device_id();
        e.log = log_of(by);
        e.seq = next_seq_[e.log]++;
        e.ctl = std::move(ctl);
        e.kind = number;
        e.payload = payload;
        e.genuine = protocol::has_genuine_certificates(number, payload);
        events.push_back(e);
        return e.id;
    }

    static Bytes admit(const Person& who, protocol::MemberRole role, bool is_minor = false, std::uint8_t level = 0) {
        return protocol::codec::encode(
            protocol::AdmitBody{who.id(), role, level, who.name, is_minor, {who.certificate()}});
    }
    static Bytes certify(const Person& device) {
        return protocol::codec::encode(protocol::CertifyBody{device.certificate()});
    }
    static Bytes set_role(const Person& who, protocol::MemberRole role, std::uint8_t level = 0) {
        return protocol::codec::encode(protocol::SetRoleBody{who.id(), role, level});
    }
    static Bytes remove(const Person& who, std::vector<protocol::Cut> cuts = {}) {
        return protocol::codec::encode(protocol::RemoveBody{who.id(), "because", std::move(cuts)});
    }
    static Bytes leave(std::vector<protocol::Cut> cuts = {}) {
        return protocol::codec::encode(protocol::LeaveBody{std::move(cuts)});
    }
    static Bytes revoke(const Person& device, std::vector<protocol::Cut> cuts = {}) {
        return protocol::codec::encode(protocol::RevokeBody{device.device_id(), "lost", std::move(cuts)});
    }
    static Bytes extend(const Person& who, std::vector<protocol::Cut> cuts) {
        return protocol::codec::encode(protocol::ExtendCutBody{who.id(), std::move(cuts)});
    }
    static Bytes consent(Day given, Day keep_until, bool withdrawn = false) {
        return protocol::codec::encode(protocol::ConsentBody{given, keep_until, withdrawn});
    }
    // A fresh key for all who may read, as somebody knows the circle who knows `state`.
    Bytes rotation(const protocol::CircleState& state, protocol::Readers readers = protocol::Readers::everyone) {
        protocol::RotateBody body;
        body.key = random.draw<protocol::KeyId>();
        body.readers = readers;
        body.members = protocol::digest_of(protocol::members_of(state, readers));
        return protocol::codec::encode(body);
    }
    // What a remover who has seen all events so far writes down about somebody's device.
    std::vector<protocol::Cut> cut_now(const Person& device) {
        const protocol::LogId log = log_of(device);
        const auto next = next_seq_.find(log);
        if (next == next_seq_.end() || next->second == 0) return {};
        return {{log, next->second - 1, {}}};
    }

    protocol::CircleState state() const { return protocol::fold_control(circle, events); }
    const protocol::Member& member(const Person& who) { return at(state().members, who.id()); }
    bool has_effect(const protocol::EventId& id) const {
        const protocol::CircleState now = state();
        return !now.without_effect.contains(id);
    }
    bool is_present(const Person& who) const {
        const protocol::CircleState now = state();
        const auto found = now.members.find(who.id());
        return found != now.members.end() && !found->second.removed;
    }
    // A log a device, as nodes have them.
    static protocol::LogId log_of(const Person& device) {
        return protocol::LogId::from(device.device_id().view().first(protocol::LogId::size));
    }

    SeededRandom random;
    protocol::CircleId circle;
    std::vector<protocol::ControlEvent> events;

private:
    const protocol::Member& at(const std::map<protocol::MemberId, protocol::Member>& members,
                               const protocol::MemberId& id) {
        last_ = members.at(id);
        return last_;
    }

    std::map<protocol::LogId, std::uint64_t> next_seq_;
    protocol::Member last_;
};

}  // namespace ladderline::test
