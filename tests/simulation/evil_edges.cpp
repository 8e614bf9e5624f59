#include "tests/simulation/evil_edges.hpp"

#include "protocol/circle/bodies.hpp"
#include "tests/support/protocol/edge_words.hpp"
#include "tests/support/protocol/made_up_fork.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

test::Subjects subjects_of(EvilSeat& seat) {
    test::Subjects out;
    for (const test::Person& person : seat.world.people) out.members.push_back(person.id());
    for (const auto& station : seat.world.stations) {
        if (station->member() != nullptr) out.devices.push_back(station->member()->me.device_id());
    }
    (void)seat.node.db().query(
        "SELECT id FROM event WHERE id > ?1 ORDER BY id LIMIT 20",
        [&](const store::sqlite::Row& row) { out.events.push_back(row.fixed<EventId>(0)); }, seat.dice.draw<EventId>());
    if (const auto heads = seat.node.log().heads(seat.circle.id)) {
        for (const LogHead& head : heads.value()) out.logs.push_back(head.log);
    }
    out.words = {"01.01", "02.03", "2m", "FM"};
    return out;
}

void write(EvilSeat& seat, test::LogWriter& log, std::uint16_t kind, Bytes payload) {
    Body body = evil_body(seat, kind, std::move(payload));
    if (seat.dice.chance(30)) body.time = test::edge_value<HybridTime>(seat.dice, {});
    log.write(seat.key, body, seat.state.heads);
}

// Whether or not the member may; what ends somebody's membership is seldom said, since little happens afterwards.
void decide(EvilSeat& seat, test::LogWriter& log, const test::Subjects& subjects) {
    const auto payload = [&]<class T>() { return test::edge_payload<T>(seat.dice, subjects); };
    write(seat, log, kind::set_role, payload.operator()<SetRoleBody>());
    write(seat, log, kind::consent, payload.operator()<ConsentBody>());
    write(seat, log, kind::extend_cut, payload.operator()<ExtendCutBody>());
    write(seat, log, kind::rotate_key, payload.operator()<RotateBody>());
    write(seat, log, kind::take_back, payload.operator()<TakeBackBody>());
    if (seat.dice.chance(20)) write(seat, log, kind::revoke, payload.operator()<RevokeBody>());
    if (seat.dice.chance(10)) write(seat, log, kind::remove, payload.operator()<RemoveBody>());
    if (seat.dice.chance(10)) write(seat, log, kind::leave, payload.operator()<LeaveBody>());
}

// As a session takes it in: what proves nothing is refused there.
void bring(EvilSeat& seat, const LogOpening& opening, std::uint64_t seq) {
    const ForkProof proof = test::made_up_fork(seat.circle.id, seat.node.person.device, opening, seq, seat.dice);
    const bool is_taken = verify_fork(seat.circle.id, proof).has_value();
    if (is_taken != (seq <= limits::seq_max)) {
        return seat.world.fail("A fork at " + std::to_string(seq) + " is " + (is_taken ? "taken." : "refused."));
    }
    if (!is_taken) return;
    Station& victim = some_station(seat);
    const auto outcome = victim.view().append_fork_proof(seat.circle.id, proof);
    seat.world.counts.evil += 1;
    if (outcome) return seat.world.news(victim, seat.circle.id);
    const Fault why = outcome.error().fault();
    if ((why == Fault::disk || why == Fault::busy) && victim.member() != nullptr) {
        return seat.world.disk_failed(*victim.member());
    }
    seat.world.fail(victim.name() + " cannot keep a proof: " + outcome.error().sentence());
}

}  // namespace

void numbers_at_the_edge(EvilSeat& seat) {
    const test::Subjects subjects = subjects_of(seat);
    test::LogWriter log(seat.circle.id, seat.node.person.device, seat.dice);
    for (const test::EdgeWord& word : test::edge_words(seat.dice, subjects)) {
        if (seat.dice.chance(20)) write(seat, log, word.kind, word.payload);
    }
    decide(seat, log, subjects);
    spread(seat, log.run());
    if (seat.dice.chance(30)) bring(seat, log.opening(), seat.dice.chance(50) ? limits::seq_max : 1'000'000);
    for (const std::uint64_t seq : {std::uint64_t{0}, limits::seq_max, limits::seq_max, limits::seq_max + 1,
                                    std::numeric_limits<std::uint64_t>::max()}) {
        bring(seat, {seat.node.me.device_id(), seat.dice.draw<LogSalt>(), false}, seq);
    }
}

}  // namespace ladderline::simulation
