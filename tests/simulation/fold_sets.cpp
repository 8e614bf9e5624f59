#include "tests/simulation/fold_sets.hpp"

#include <algorithm>

#include "protocol/circle/epochs.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/simulation/plain_circle.hpp"
#include "tests/support/protocol/person.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

// One device with two genuine certificates: its keys are in the hands of two people.
constexpr std::size_t shared = 6;
constexpr std::size_t two_owners = 10;  // the same device, as its second owner has it

std::size_t owner_of(std::size_t device) {
    return device == two_owners ? 2 : device % 5;
}

test::Person with_device_of(const test::Person& owner, const test::Person& device) {
    return {owner.name,
            {owner.identity.pub, owner.identity.secret.clone()},
            {device.device.pub, device.device.secret.clone()},
            {device.noise.pub, device.noise.secret.clone()},
            {device.box.pub, device.box.secret.clone()}};
}

// Made once: certificates cost more than folds.
struct Cast {
    Dice dice{99};
    std::vector<test::Person> devices;  // five people, their second devices, and one of these as another's
    std::vector<DeviceCertificate> certificates;

    Cast() {
        init_crypto();
        for (int i = 0; i < 5; ++i) devices.push_back(test::make_person("P" + std::to_string(i), dice));
        for (std::size_t i = 0; i < 5; ++i) devices.push_back(test::second_device(devices[i], dice));
        devices.push_back(with_device_of(devices[owner_of(two_owners)], devices[shared]));
        for (const test::Person& device : devices) certificates.push_back(device.certificate());
    }
};

const Cast& cast() {
    static const Cast made;
    return made;
}

class SetMaker {
public:
    // `aside` decides what came to the sets later, so that a seed goes on making what it made.
    SetMaker(Dice& dice, Dice& aside) : dice_(dice), aside_(aside) {}

    std::vector<ControlEvent> make(CircleId& circle) {
        const std::size_t kind = dice_.below(10);
        const CircleKind circle_kind = kind < 6 ? CircleKind::club : kind < 9 ? CircleKind::path : CircleKind::desk;
        const FoundBody body{circle_kind,
                             "circle",
                             circle_kind == CircleKind::club ? MemberRole::officer : MemberRole::newcomer,
                             4,
                             "P0",
                             dice_.chance(30),
                             cast().certificates[0]};
        add(0, kind::found, codec::encode(body), {});
        circle.data = events_.front().id.data;
        circle_ = circle;
        const std::size_t count = 4 + dice_.below(22);
        while (events_.size() < count) add_any();
        return events_;
    }

private:
    // And keeps in state_ what that reader sees.
    std::vector<EventId> some_ctl() {
        std::vector<EventId> out;
        // Mostly what a reader of a part of the events would name; at times anything.
        if (dice_.chance(75)) {
            std::vector<ControlEvent> known(
                events_.begin(),
                events_.begin() + static_cast<std::ptrdiff_t>(
                                      1 + (dice_.chance(50) ? events_.size() - 1 : dice_.below(events_.size()))));
            if (dice_.chance(30) && known.size() > 2)
                known.erase(known.begin() + 1 + static_cast<std::ptrdiff_t>(dice_.below(known.size() - 1)));
            state_ = fold_control(circle_, known);
            return state_.heads;
        }
        for (std::size_t i = 1 + dice_.below(3); i > 0; --i) out.push_back(dice_.pick(events_).id);
        std::sort(out.begin(), out.end());
        out.erase(std::unique(out.begin(), out.end()), out.end());
        return out;
    }

    LogId log_of(std::size_t device, std::size_t number) const {
        LogId log = LogId::from(cast().devices[device].device_id().view().first(LogId::size));
        log.data[0] = static_cast<std::uint8_t>(log.data[0] + number);
        return log;
    }

    void add(std::size_t device, std::uint16_t kind, Bytes payload, std::vector<EventId> ctl) {
        ControlEvent e;
        e.id = dice_.draw<EventId>();
        e.author = cast().devices[device].device_id();
        e.log = log_of(device, events_.empty() ? 0 : dice_.below(8) == 0);
        e.seq = next_seq_[e.log];
        next_seq_[e.log] += 1 + dice_.below(2);
        e.ctl = std::move(ctl);
        e.kind = kind;
        e.payload = std::move(payload);
        e.genuine = true;
        events_.push_back(std::move(e));
    }

    std::vector<Cut> some_cuts(std::size_t device) {
        std::vector<Cut> out;
        for (std::size_t number = 0; number < 2; ++number) {
            for (const std::size_t of : {device % 5, device % 5 + 5}) {
                const LogId log = log_of(of, number);
                const auto next = next_seq_.find(log);
                if (next == next_seq_.end() || dice_.chance(20)) continue;
                out.push_back({log, dice_.chance(60) ? next->second - 1 : dice_.below(next->second + 1), {}});
            }
        }
        return out;
    }

    // Mostly somebody who may do something there, as that reader sees it.
    std::size_t some_author() {
        std::vector<std::size_t> out;
        for (std::size_t device = 0; device < cast().devices.size(); ++device) {
            const auto member = state_.present_member(cast().devices[device].device_id());
            if (member && (*member == state_.founder || state_.members.at(*member).role == MemberRole::officer))
                out.push_back(device);
        }
        return out.empty() || dice_.chance(30) ? dice_.below(10) : dice_.pick(out);
    }
    MemberRole some_role() { return dice_.chance(40) ? MemberRole::officer : MemberRole(1 + dice_.below(5)); }

    void add_any() {
        std::vector<EventId> ctl = some_ctl();
        const std::size_t by = some_author();
        // Often about one person, so that several say different things of them without knowing of each other.
        const std::size_t on = dice_.chance(40) ? focus_ : dice_.below(10);
        const std::size_t as = on == shared && aside_.chance(50) ? two_owners : on;
        const MemberId member{cast().devices[as].identity.pub.data};
        switch (dice_.below(12)) {
            case 0:
            case 1:
            case 2:
                focus_ = on;
                return add(
                    by, kind::admit,
                    codec::encode(AdmitBody{member, some_role(), 1, "P", dice_.chance(10), {cast().certificates[as]}}),
                    std::move(ctl));
            case 3:
                return add(dice_.chance(50) ? by : owner_of(as), kind::certify,
                           codec::encode(CertifyBody{cast().certificates[as]}), std::move(ctl));
            case 4:
                return add(by, kind::set_role, codec::encode(SetRoleBody{member, MemberRole(1 + dice_.below(5)), 2}),
                           std::move(ctl));
            case 5:
            case 6:
            case 7:
                return add(by, kind::remove, codec::encode(RemoveBody{member, "x", some_cuts(on)}), std::move(ctl));
            case 8:
                return add(by, kind::leave, codec::encode(LeaveBody{some_cuts(by)}), std::move(ctl));
            case 9:
                return add(by, kind::revoke,
                           codec::encode(RevokeBody{cast().devices[on].device_id(), "x", some_cuts(on)}),
                           std::move(ctl));
            case 10:
                return add(by, kind::extend_cut, codec::encode(ExtendCutBody{member, some_cuts(on)}), std::move(ctl));
            default:
                return add_key_or_consent(by, std::move(ctl));
        }
    }

    void add_key_or_consent(std::size_t by, std::vector<EventId> ctl) {
        if (dice_.chance(40)) {
            const Day given{static_cast<std::int32_t>(dice_.below(100))};
            return add(by, kind::consent, codec::encode(ConsentBody{given, given + 50, dice_.chance(30)}),
                       std::move(ctl));
        }
        RotateBody body;
        body.key = dice_.draw<KeyId>();
        body.members = digest_of(members_of(fold_control(circle_, events_), Readers::everyone));
        add(by, kind::rotate_key, codec::encode(body), std::move(ctl));
    }

    Dice& dice_;
    Dice& aside_;
    CircleId circle_;
    std::vector<ControlEvent> events_;
    std::map<LogId, std::uint64_t> next_seq_;
    CircleState state_;
    std::size_t focus_ = 1;  // a device whose owner was let in lately
};

}  // namespace

std::string check_fold_set(std::uint64_t seed, bool plain) {
    Dice dice(mixed(seed, 9));
    Dice aside(mixed(seed, 10));
    CircleId circle;
    std::vector<ControlEvent> events = SetMaker(dice, aside).make(circle);
    if (dice.chance(20)) events.erase(events.begin() + 1 + static_cast<std::ptrdiff_t>(dice.below(events.size() - 1)));
    const CircleState state = fold_control(circle, events);
    for (std::size_t i = events.size(); i > 1; --i) std::swap(events[i - 1], events[dice.below(i)]);
    if (fold_control(circle, events) != state) return "Another order of one set of events gives another circle.";
    if (!plain) return {};
    const PlainCircle other(circle, events);
    const CircleState slow = other.state();
    if (slow.members != state.members) return "Another plain reading of the rules gives other members.";
    if (slow.devices != state.devices) return "Another plain reading of the rules gives other devices.";
    if (all_lost(slow) != all_lost(state)) return "Another plain reading of the rules gives other lost devices.";
    if (all_cuts(slow) != all_cuts(state)) return "Another plain reading of the rules gives other cuts.";
    if (slow.after_return != state.after_return) return "Another plain reading of the rules gives other returns.";
    if (other.without_effect() != state.without_effect)
        return "Another plain reading finds other events without effect.";
    return {};
}

}  // namespace ladderline::simulation
