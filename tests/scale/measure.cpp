#include "tests/scale/measure.hpp"

#include <algorithm>
#include <cmath>

#include "node/read_models/club_model.hpp"
#include "node/read_models/contact_model.hpp"
#include "node/read_models/desk_model.hpp"
#include "node/read_models/ladder_model.hpp"
#include "protocol/circle/epochs.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/run_cutter.hpp"
#include "protocol/sync/beacon.hpp"
#include "protocol/sync/head_tree.hpp"
#include "protocol/sync/wraps.hpp"
#include "tests/bench/sync/world.hpp"
#include "tests/scale/assumptions.hpp"
#include "tests/support/store/event_log_node.hpp"

namespace ladderline::scale {
namespace {

using namespace protocol;

struct PageTables {
    node::LadderModel ladder;
    node::ContactModel contacts;
    node::ClubModel club;
    node::DeskModel desk;

    std::vector<store::ReadModel*> all() { return {&ladder, &contacts, &club, &desk}; }
};

double database_bytes(test::EventLogNode& node) {
    return static_cast<double>(node.count("PRAGMA page_count") * node.count("PRAGMA page_size"));
}

struct Weighed {
    double device = 0;
    double courier = 0;
};

Weighed weigh(bench::WorldSize size) {
    const bench::World world(size);
    PageTables tables;
    test::EventLogNode device(1, tables.all());
    test::EventLogNode courier(2);
    ENSURE(device.log.add_key(world.circle(), world.key()).has_value());
    for (std::size_t i = 0; i < world.log_count(); ++i) {
        const auto log = world.write(i);
        ENSURE(device.log.append_burst(world.circle(), log.runs).has_value());
        ENSURE(courier.log.append_burst(world.circle(), log.runs).has_value());
    }
    ENSURE(device.log.end_burst(world.circle()).has_value());
    return {database_bytes(device), database_bytes(courier)};
}

// Microseconds of one call of `work`, repeated until a tenth of a second is over.
template <class Call>
double cost_us(CpuClock cpu_s, Call work) {
    const double begun = cpu_s();
    std::size_t times = 0;
    do {
        work();
        ++times;
    } while (cpu_s() - begun < 0.1);
    return (cpu_s() - begun) / static_cast<double>(times) * 1e6;
}

// The control events of a club that is a year old, one officer's: each knows of the one before, which is the
// easiest case. Certificates are taken as checked.
class Year {
public:
    Year(std::size_t members, std::size_t gone) {
        founder_ = certificate();
        const FoundBody found{CircleKind::club, "Example club", MemberRole::officer, level_max, "Robin Example", false,
                              founder_};
        last_ = add(kind::found, codec::encode(found), {});
        circle = CircleId{last_.data};
        for (std::size_t i = 1; i < members; ++i) admit();
        for (std::size_t i = 0; i < gone; ++i) {
            remove_and_rotate();
            admit();
        }
    }

    CircleId circle;
    std::vector<ControlEvent> events;
    std::size_t keys = 1;

private:
    DeviceCertificate certificate() {
        DeviceCertificate out;
        out.member = dice_.draw<MemberId>();
        out.device = dice_.draw<DeviceId>();
        out.noise = dice_.draw<DhPublic>();
        out.box = dice_.draw<DhPublic>();
        return out;
    }
    EventId add(std::uint16_t kind, Bytes payload, std::vector<EventId> ctl) {
        events.push_back(
            {dice_.draw<EventId>(), founder_.device, log_, seq_++, std::move(ctl), kind, std::move(payload), true});
        return events.back().id;
    }
    void admit() {
        const DeviceCertificate one = certificate();
        const AdmitBody body{one.member, MemberRole::newcomer, 0, "Robin Example", false, {one}};
        last_ = add(kind::admit, codec::encode(body), {last_});
        present_.push_back(one.member);
    }
    void remove_and_rotate() {
        const std::size_t at = dice_.below(present_.size());
        const RemoveBody remove{present_[at], "moved away", {}};
        present_.erase(present_.begin() + static_cast<std::ptrdiff_t>(at));
        last_ = add(kind::remove, codec::encode(remove), {last_});
        RotateBody rotate;
        rotate.key = dice_.draw<KeyId>();
        rotate.parents = {key_};
        key_ = rotate.key;
        std::set<MemberId> readers(present_.begin(), present_.end());
        readers.insert(founder_.member);
        rotate.members = digest_of(readers);
        last_ = add(kind::rotate_key, codec::encode(rotate), {last_});
        ++keys;
    }

    Dice dice_{20261125};
    DeviceCertificate founder_;
    LogId log_ = dice_.draw<LogId>();
    std::uint64_t seq_ = 0;
    KeyId key_ = dice_.draw<KeyId>();
    EventId last_;
    std::vector<MemberId> present_;
};

double check_cost(CpuClock cpu_s) {
    Dice dice(3);
    const SignKeys device = make_sign_keys(dice);
    const LogOpening opening{DeviceId{device.pub.data}, dice.draw<LogSalt>(), false};
    const auto circle = dice.draw<CircleId>();
    const LogId log = log_id_of(circle, opening);
    const AeadKey key = AeadKey::random(dice);
    const Body body{{{1'764'097'500'000}, 0}, kind::note, {}, Bytes(108)};
    RunCutter cutter(log, opening, {});
    cutter.add(make_event({circle, log, 0, {}, {}}, body, key, device.secret, dice));
    const Run run = std::move(cutter).take();
    return cost_us(cpu_s, [&] { ENSURE(check_run(circle, opening, {}, run).has_value()); });
}

double wraps_cost(CpuClock cpu_s, std::size_t boxes) {
    if (boxes > limits::wrap_copies_max) return 0;
    Dice dice(5);
    const AeadKey key = AeadKey::random(dice);
    std::vector<DhPublic> all;
    for (std::size_t i = 0; i < boxes; ++i) all.push_back(make_dh_keys(dice).pub);
    return cost_us(cpu_s, [&] { ENSURE(wrap_key(key, all, dice).has_value()); });
}

// As node/net/discovery looks: every key of the circle against every device.
double beacon_cost(CpuClock cpu_s, std::size_t devices, std::size_t keys) {
    Dice dice(7);
    const auto circle = dice.draw<CircleId>();
    const AeadKey one = AeadKey::random(dice);
    std::vector<BeaconKey> own;
    own.push_back(beacon_key(circle, one));
    const Bytes datagram = write_beacon(own, dice.draw<DeviceId>(), dice.draw<BeaconRun>(), 1, dice);
    const auto beacon = read_beacon(datagram);
    ENSURE(beacon.has_value());
    const auto device = dice.draw<DeviceId>();
    const double one_key = cost_us(cpu_s, [&] {
        const BeaconKey again = beacon_key(circle, one);
        ENSURE(again.view().size() == BeaconKey::size);
    });
    const double one_look =
        cost_us(cpu_s, [&] { ENSURE(!beacon->has(beacon_tag(own.front(), beacon->nonce, device))); });
    return static_cast<double>(keys) * (one_key + one_look * static_cast<double>(devices));
}

double fold_cost(CpuClock cpu_s, const Year& year) {
    return cost_us(cpu_s, [&] {
        const CircleState state = fold_control(year.circle, year.events);
        ENSURE(state.without_effect.empty() && state.pending == 0);
    });
}

Work::AtSize work_at(std::size_t members, CpuClock cpu_s) {
    const double devices = static_cast<double>(members) * (1 + Assumptions{}.second_device);
    const auto gone = static_cast<std::size_t>(12 * Assumptions{}.going_month * static_cast<double>(members));
    const Year year(members, gone);
    Work::AtSize out;
    out.members = members;
    out.control_events = year.events.size();
    Dice dice(9);
    std::vector<LogHead> heads;
    for (std::size_t i = 0; i < static_cast<std::size_t>(devices); ++i) {
        heads.push_back({dice.draw<LogId>(), 100 + i % 20, dice.draw<EventId>()});
    }
    const auto tree_key = dice.draw<TreeKey>();
    out.root = cost_us(cpu_s, [&] { ENSURE(!root_of(year.circle, heads).is_zero()); });
    out.tree = cost_us(cpu_s, [&] { ENSURE(HeadTree(tree_key, heads).leaves().size() == heads.size()); });
    out.fold = fold_cost(cpu_s, year);
    out.quiet_fold = fold_cost(cpu_s, Year(members + gone, 0));
    out.wraps = wraps_cost(cpu_s, static_cast<std::size_t>(devices));
    out.beacon = beacon_cost(cpu_s, static_cast<std::size_t>(devices), year.keys);
    return out;
}

}  // namespace

StoreBytes weigh_stores(std::size_t logs, std::size_t events) {
    const std::size_t many = 3 * logs;
    const Weighed small = weigh({logs, events});
    const Weighed large = weigh({logs, 2 * events});
    // Two events of each further log are its first words.
    const Weighed wide = weigh({many, events});
    const auto each = [](double more, double less, std::size_t count) {
        return (more - less) / static_cast<double>(count);
    };
    return {each(large.device, small.device, events), each(large.courier, small.courier, events),
            each(wide.device, small.device, many - logs), each(wide.courier, small.courier, many - logs)};
}

Work measure_work(const std::vector<std::size_t>& members, CpuClock cpu_s) {
    Work out;
    out.event_check = check_cost(cpu_s);
    for (const std::size_t one : members) out.sizes.push_back(work_at(one, cpu_s));
    return out;
}

}  // namespace ladderline::scale
