// The rows of what a dishonest member can do (sync rules; tests/unit/protocol/circle/byzantine_rules_test.cpp has the
// rule for each), as acts in a running network.

#include "tests/simulation/byzantine.hpp"

#include <array>

#include "protocol/circle/epochs.hpp"
#include "protocol/event/bodies.hpp"
#include "tests/simulation/acts.hpp"
#include "tests/simulation/evil_edges.hpp"
#include "tests/simulation/evil_log.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

test::LogWriter new_log(EvilSeat& seat) {
    return {seat.circle.id, seat.node.person.device, seat.dice};
}

EventId write_word(EvilSeat& seat, test::LogWriter& log) {
    Words said = words(seat.world, seat.node, seat.circle.id, seat.dice);
    return log.write(seat.key, evil_body(seat, said.kind, std::move(said.payload)), seat.state.heads);
}

EventId write(EvilSeat& seat, test::LogWriter& log, std::uint16_t kind, Bytes payload) {
    return log.write(seat.key, evil_body(seat, kind, std::move(payload)), seat.state.heads);
}

Node& somebody(EvilSeat& seat) {
    for (;;) {
        Station& station = *seat.dice.pick(seat.world.stations);
        if (station.member() != nullptr) return *station.member();
    }
}

AdmitBody admission(const test::Person& who, MemberRole role) {
    return {who.id(), role, 4, who.name, false, {who.certificate()}};
}

void fork(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    const std::size_t common = seat.dice.below(4);
    for (std::size_t i = 0; i < common; ++i) write_word(seat, log);
    const std::size_t branches = 2 + seat.dice.below(2);
    for (std::size_t b = 0; b < branches; ++b) {
        test::LogWriter branch = log;
        const std::size_t length = 1 + seat.dice.below(4);
        for (std::size_t i = 0; i < length; ++i) write_word(seat, branch);
        if (length > 1 && seat.dice.chance(30)) {
            branch.spoil_signature(common);
            // At times no signature stands over the common part but beyond the fork.
            for (std::size_t i = 0; i < common && length % 2 == 0; ++i) branch.spoil_signature(i);
        }
        inject(seat, some_station(seat), seat.circle.id, branch.run());
    }
}

void absurd_clock(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    for (const std::int64_t ms : {std::int64_t{4'000'000'000'000'000}, std::int64_t{-1}, std::int64_t{1} << 62}) {
        Words said = words(seat.world, seat.node, seat.circle.id, seat.dice);
        Body body = evil_body(seat, said.kind, std::move(said.payload));
        body.time.wall.ms = ms;
        body.time.count = seat.dice.chance(30) ? 0xffffffff : 0;
        log.write(seat.key, body, seat.state.heads);
    }
    spread(seat, log.run());
}

void without_right(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    Node& other = somebody(seat);
    const test::Person stranger = test::make_person("Zed", seat.dice);
    write(seat, log, kind::admit, codec::encode(admission(stranger, MemberRole::officer)));
    write(seat, log, kind::set_role, codec::encode(SetRoleBody{seat.node.me.id(), MemberRole::officer, 9}));
    write(seat, log, kind::remove, codec::encode(RemoveBody{other.me.id(), "no", {}}));
    write(seat, log, kind::revoke, codec::encode(RevokeBody{other.me.device_id(), "no", {}}));
    write(seat, log, kind::consent, codec::encode(ConsentBody{{1}, {99'999}, false}));
    write(seat, log, kind::extend_cut, codec::encode(ExtendCutBody{other.me.id(), {{log.log(), 5, {}}}}));
    spread(seat, log.run());
}

void old_ctl(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    write_word(seat, log);
    Words said = words(seat.world, seat.node, seat.circle.id, seat.dice);
    const EventId founding{seat.circle.id.data};
    log.write(seat.key, evil_body(seat, said.kind, std::move(said.payload)), {founding});
    const test::Person puppet = test::make_person("Zoe", seat.dice);
    log.write(seat.key, evil_body(seat, kind::admit, codec::encode(admission(puppet, MemberRole::newcomer))),
              {founding});
    spread(seat, log.run());
}

// Told long after it was written, under the ctl of then; by then the liar may have been removed.
void back_dated(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    for (std::size_t i = 1 + seat.dice.below(4); i > 0; --i) write_word(seat, log);
    write(seat, log, kind::leave, codec::encode(LeaveBody{}));
    for (std::size_t i = seat.dice.below(3); i > 0; --i) write_word(seat, log);
    seat.world.kept_back.push_back({seat.node.owner, seat.circle.id, log.run()});
}

void other_circle(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    write_word(seat, log);
    const CircleId other = seat.world.circles.size() > 1 && seat.world.circles[0].id == seat.circle.id
                               ? seat.world.circles[1].id
                               : seat.dice.draw<CircleId>();
    inject(seat, some_station(seat), other, log.run());
    spread(seat, log.run());
}

void oversized(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    write_word(seat, log);
    write_word(seat, log);
    Run run = log.run();
    if (seat.dice.chance(70)) {
        run.events.back().sealed.resize(limits::body_bytes_max + 1);
    } else {
        run.events.resize(limits::run_events_max + 1, run.events.back());
    }
    inject(seat, some_station(seat), seat.circle.id, run);
}

void nonsense(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    Bytes noise(seat.dice.below(200));
    seat.dice.fill(noise);
    for (const std::uint16_t kind : {kind::card, kind::tick, kind::admit, kind::rotate_key, std::uint16_t{31},
                                     std::uint16_t{999}, std::uint16_t{0}}) {
        write(seat, log, kind, noise);
    }
    Bytes bad_text = codec::encode(NoteBody{"note"});
    bad_text.back() = 0xff;
    write(seat, log, kind::note, bad_text);
    TickBody tick{"01.01", {20'000}, "x", false};
    Bytes bad_tick = codec::encode(tick);
    bad_tick[1] = 0xc0;
    write(seat, log, kind::tick, bad_tick);
    spread(seat, log.run());
}

void withheld(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    for (std::size_t i = 2 + seat.dice.below(6); i > 0; --i) write_word(seat, log);
    inject(seat, some_station(seat), seat.circle.id, log.run(0, 1 + seat.dice.below(log.events().size())));
    seat.world.kept_back.push_back({seat.node.owner, seat.circle.id, log.run()});
}

void junk_signatures(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    const std::size_t count = 3 + seat.dice.below(8);
    for (std::size_t i = 0; i < count; ++i) write_word(seat, log);
    for (std::size_t i = 0; i < count; ++i) {
        if (seat.dice.chance(60)) log.spoil_signature(i);
    }
    for (int i = 0; i < 3; ++i) {
        const std::size_t first = i == 0 ? 0 : seat.dice.below(count);
        inject(seat, some_station(seat), seat.circle.id, log.run(first, 1 + seat.dice.below(count - first)));
    }
}

void mutual_removal(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    Node& other = somebody(seat);
    write(seat, log, kind::remove, codec::encode(RemoveBody{other.me.id(), "first", {}}));
    if (other.is_up() && !other.is_byzantine && &other != &seat.node) {
        act(seat.world, {What::remove, seat.world.number_of(other), seat.world.number_of(seat.node), seat.dice.next()});
    }
    spread(seat, log.run());
}

// Puppets let in one another's puppets; their words come from the liar's own machine.
void puppets(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    const test::Person first = test::make_person("Zed", seat.dice);
    const test::Person second = test::make_person("Zoe", seat.dice);
    const EventId in = write(seat, log, kind::admit, codec::encode(admission(first, MemberRole::officer)));
    test::LogWriter by_first(seat.circle.id, first.device, seat.dice);
    by_first.write(seat.key, evil_body(seat, kind::admit, codec::encode(admission(second, MemberRole::officer))), {in});
    by_first.write(seat.key, evil_body(seat, kind::remove, codec::encode(RemoveBody{somebody(seat).me.id(), "x", {}})),
                   {in});
    spread(seat, log.run());
    inject(seat, some_station(seat), seat.circle.id, by_first.run());
}

void flood(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    for (int i = 0; i < 60; ++i) write_word(seat, log);
    spread(seat, log.run());
}

// A key that nobody gets, a key for others than it says, a rotation that names another key than its own.
void false_rotation(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    const AeadKey key = AeadKey::random(seat.dice);
    RotateBody body;
    body.key = id_of_key(key);
    body.members = digest_of(members_of(seat.state, Readers::everyone));
    if (seat.dice.chance(50)) body.members = seat.dice.draw<MembersDigest>();
    if (seat.dice.chance(50)) body.links.push_back(seal_link(seat.circle.id, key, seat.key));
    const Bytes payload = codec::encode(body);
    if (seat.dice.chance(30)) {
        write(seat, log, kind::rotate_key, payload);
    } else {
        log.write(key, evil_body(seat, kind::rotate_key, payload), seat.state.heads);
    }
    write_word(seat, log);
    log.write(key, evil_body(seat, kind::note, codec::encode(NoteBody{"under the false key"})), seat.state.heads);
    spread(seat, log.run());
    Node& reader = somebody(seat);
    if (!seat.dice.chance(50) || !reader.is_up()) return;
    if (!reader.log().add_key(seat.circle.id, key)) seat.world.disk_failed(reader);
}

void unknown_past(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    const test::Person puppet = test::make_person("Zed", seat.dice);
    log.write(seat.key, evil_body(seat, kind::admit, codec::encode(admission(puppet, MemberRole::newcomer))),
              {seat.dice.draw<EventId>()});
    Words said = words(seat.world, seat.node, seat.circle.id, seat.dice);
    Body body = evil_body(seat, kind::card, codec::encode(CardBody{"Zed", {}, {}, {}, {}, 0, {}, {}, {}, false}));
    for (int i = 0; i < 3; ++i) {
        const auto read = seat.node.db().query(
            "SELECT id FROM event ORDER BY id LIMIT 1 OFFSET ?1",
            [&](const store::sqlite::Row& row) { body.supersedes.push_back(row.fixed<EventId>(0)); },
            static_cast<std::int64_t>(seat.dice.below(50)));
        if (!read) return;
    }
    log.write(seat.key, body, seat.state.heads);
    spread(seat, log.run());
}

// A certificate of somebody else's device, or of one that is another's.
void stolen_device(EvilSeat& seat) {
    test::LogWriter log = new_log(seat);
    Node& other = somebody(seat);
    write(seat, log, kind::certify, codec::encode(CertifyBody{other.me.certificate}));
    DeviceCertificate forged = other.me.certificate;
    forged.member = seat.node.me.id();
    write(seat, log, kind::certify, codec::encode(CertifyBody{forged}));
    write(seat, log, kind::admit,
          codec::encode(
              AdmitBody{seat.dice.draw<MemberId>(), MemberRole::newcomer, 0, "Zed", false, {other.me.certificate}}));
    spread(seat, log.run());
}

struct Row {
    const char* name;
    void (*act)(EvilSeat& seat);
};

constexpr std::array<Row, ways_to_lie> rows{{
    {"two events in one place", fork},
    {"an absurd clock", absurd_clock},
    {"acts without a right", without_right},
    {"an old ctl", old_ctl},
    {"back-dated, told late", back_dated},
    {"a run of another circle", other_circle},
    {"too large", oversized},
    {"nonsense and unknown kinds", nonsense},
    {"withheld from most", withheld},
    {"junk signatures in the middle", junk_signatures},
    {"mutual removal", mutual_removal},
    {"puppets", puppets},
    {"a flood", flood},
    {"a false rotation", false_rotation},
    {"parents that never come", unknown_past},
    {"somebody else's device", stolen_device},
    {"numbers at the edge", numbers_at_the_edge},
}};

}  // namespace

void do_evil(World& world, const Step& step) {
    Node* node = step.who < world.stations.size() ? world.node_at(step.who) : nullptr;
    if (node == nullptr || !node->is_up() || !node->is_byzantine) return;
    Dice dice(step.dice);
    const Circle* circle = world.circle_of(*node, dice);
    if (circle == nullptr) return;
    auto state = store::CircleModel::state_of(node->db(), circle->id);
    auto key = node->log().current_key(circle->id);
    if (!state || !key) return;
    EvilSeat seat{world, *node, *circle, std::move(state).value(), std::move(key).value(), dice};
    const Row& row = rows[seat.dice.below(world.plan.shape.ways_to_lie)];
    world.tell(node->name() + " lied: " + row.name + ".");
    world.counts.rows[row.name] += 1;
    row.act(seat);
    if (seat.dice.chance(50) && !world.kept_back.empty()) {
        const KeptBack late = world.kept_back[seat.dice.below(world.kept_back.size())];
        inject(seat, some_station(seat), late.circle, late.run);
    }
}

Station& some_station(EvilSeat& seat) {
    for (;;) {
        Station& station = *seat.dice.pick(seat.world.stations);
        if (station.is_up()) return station;
    }
}

void inject(EvilSeat& seat, Station& victim, const CircleId& circle, const Run& run) {
    const auto outcome = victim.view().append_runs(circle, {run});
    seat.world.counts.evil += run.events.size();
    if (outcome) return seat.world.news(victim, circle);
    const Fault why = outcome.error().fault();
    if ((why == Fault::disk || why == Fault::busy) && victim.member() != nullptr) {
        return seat.world.disk_failed(*victim.member());
    }
    if (why != Fault::peer) {
        seat.world.fail(victim.name() + " did not take a lie for one: " + outcome.error().sentence());
    }
}

void spread(EvilSeat& seat, const Run& run) {
    inject(seat, seat.dice.chance(50) ? static_cast<Station&>(seat.node) : some_station(seat), seat.circle.id, run);
}

}  // namespace ladderline::simulation
