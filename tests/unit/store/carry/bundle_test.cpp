// Bundles out of one store and into another.

#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>

#include "protocol/circle/epochs.hpp"
#include "protocol/sync/messages.hpp"
#include "protocol/sync/room.hpp"
#include "store/circles/circle_model.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/protocol/made_up_fork.hpp"
#include "tests/support/store/carrier.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using namespace ladderline::test;
using store::PutIn;
using store::take_in;
using store::TakenIn;

namespace {

TakenIn must_take(Carrier& reader, ByteView part) {
    auto taken = take_in(reader.store(), part);
    if (!taken) FAIL(taken.error().sentence());
    return std::move(taken).value();
}

std::vector<std::size_t> first_order(std::size_t count) {
    std::vector<std::size_t> order(count);
    std::iota(order.begin(), order.end(), 0);
    return order;
}

// Reads in that order, again and again, until a round brings nothing.
void read_until_quiet(Carrier& reader, const std::vector<Bytes>& parts, const std::vector<std::size_t>& order) {
    for (bool news = true; news;) {
        news = false;
        for (const std::size_t i : order) news = must_take(reader, parts[i]).events > 0 || news;
    }
}

// So many more logs of the circle, made up.
void crowd(Carrier& reader, const CircleId& circle, std::size_t logs) {
    const Result<void> done = reader.node.db.run(
        "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?2) "
        "INSERT INTO log (circle, log, device, salt, founding, mine, next_seq, head) "
        "SELECT ?1, randomblob(16), randomblob(32), randomblob(16), 0, 0, 1, randomblob(32) FROM n",
        circle, static_cast<std::int64_t>(logs));
    REQUIRE(done.has_value());
}

// Keeps the proof that a device which nobody knows forked at the first event of a log.
void keep_made_up_proof(Carrier& writer, const CircleId& circle) {
    const SignKeys device = make_sign_keys(writer.node.random);
    const LogOpening opening{DeviceId::from(device.pub.view()), writer.node.random.draw<LogSalt>(), false};
    const ForkProof proof = made_up_fork(circle, device, opening, 0, writer.node.random);
    REQUIRE(writer.node.log.append_fork_proof(circle, proof).value());
}

// A log of Max's, who is in the path, that forks at its second event; the signature over the first stands beyond.
LogId hold_forked_log(SharedPath& f) {
    const AeadKey key = f.ada.node.log.current_key(f.circle).value();
    LogWriter log(f.circle, f.max.person.device, f.ada.node.random);
    for (int i = 0; i < 2; ++i) log.write_note(key, "note");
    log.spoil_signature(0);
    const ForkProof proof = made_up_fork(f.circle, f.max.person.device, log.opening(), 1, f.ada.node.random);
    REQUIRE(f.ada.node.log.append_run(f.circle, log.run()).value() == Appended::stored);
    REQUIRE(f.ada.node.log.append_fork_proof(f.circle, proof).value());
    return log.log();
}

// Max, who is in the path, says a word and then sends Ada a stretch with one signature, at its end, that a message of a
// session just holds and a frame of a bundle does not.
LogId send_stretch_too_large(SharedPath& f) {
    const AeadKey key = f.ada.node.log.current_key(f.circle).value();
    LogWriter log(f.circle, f.max.person.device, f.ada.node.random);
    const auto write = [&](std::size_t bytes) { log.write(key, {{f.ada.node.now, 0}, kind::note, {}, Bytes(bytes)}); };
    const auto stretch = [&] { return log.run(1, log.events().size() - 1); };
    const auto in_session = [&] {
        return encode_message(RunMessage{0, {{LogTag{}, encode_run_body(stretch())}}}).size();
    };
    write(10);
    for (int i = 0; i < 15; ++i) write(65'400);
    write(30'000);
    const std::size_t before = in_session();
    write(10);
    const std::size_t each = in_session() - before;
    write(limits::message_bytes_max - in_session() - each);
    for (std::size_t seq = 1; seq + 1 < log.events().size(); ++seq) log.spoil_signature(seq);
    REQUIRE(in_session() <= limits::message_bytes_max);
    REQUIRE(f.ada.node.log.append_run(f.circle, log.run(0, 1)).value() == Appended::stored);
    REQUIRE(f.ada.node.log.append_run(f.circle, stretch()).value() == Appended::stored);
    return log.log();
}

}  // namespace

TEST_CASE("a bundle brings the reader in step with its writer") {
    SharedPath f;
    f.ada.note(f.circle, "first contact");
    PutIn said;
    const auto parts = f.ada.bundle(f.order(), &said);
    REQUIRE(parts.size() == 1);
    const TakenIn taken = must_take(f.max, parts[0]);
    CHECK(said.events == 3);
    CHECK(taken.events == 3);
    CHECK(taken.in_step);
    CHECK(f.max.root(f.circle) == f.ada.root(f.circle));
}

TEST_CASE("a bundle read twice brings nothing the second time") {
    SharedPath f;
    const auto parts = f.ada.bundle(f.order());
    must_take(f.max, parts[0]);
    const std::int64_t events = f.max.events();
    const TakenIn again = must_take(f.max, parts[0]);
    CHECK(again.events == 0);
    CHECK(again.in_step);
    CHECK(f.max.events() == events);
}

TEST_CASE("the next bundle holds only what is new, and there is none if nothing is") {
    SharedPath f;
    f.ada.bundle(f.order());
    CHECK(f.ada.bundle(f.order()).empty());
    f.ada.note(f.circle, "second");
    PutIn said;
    f.ada.bundle(f.order(), &said);
    CHECK(said.events == 1);
}

TEST_CASE("what was put in for one reader is still put in for another") {
    SharedPath f;
    f.ada.bundle(f.order());
    store::BundleOrder other = f.order();
    other.for_whom.data[0] = 1;
    PutIn said;
    f.ada.bundle(other, &said);
    CHECK(said.events == 2);
}

TEST_CASE("a bundle of everything repeats what was put in before") {
    SharedPath f;
    f.ada.bundle(f.order());
    store::BundleOrder all = f.order();
    all.everything = true;
    PutIn said;
    f.ada.bundle(all, &said);
    CHECK(said.events == 2);
}

TEST_CASE("every tenth bundle repeats the last 30 days, and nothing older") {
    SharedPath f;
    f.ada.bundle(f.order());  // the founding and Max, on day 0
    f.ada.node.now.ms += std::int64_t{31} * 86'400'000;
    for (int i = 0; i < 8; ++i) {
        f.ada.note(f.circle, "news");
        PutIn said;
        f.ada.bundle(f.order(), &said);
        CHECK(said.events == 1);
    }
    f.ada.note(f.circle, "news");
    PutIn tenth;
    f.ada.bundle(f.order(), &tenth);
    CHECK(tenth.repeats);
    CHECK(tenth.events == 9);
    f.ada.note(f.circle, "news");
    PutIn next;
    f.ada.bundle(f.order(), &next);
    CHECK(next.events == 1);
}

TEST_CASE("an error while a part is put away leaves the news for the next bundle") {
    SharedPath f;
    const auto failed = store::write_bundle(f.ada.store(), f.order(), f.ada.node.now, f.ada.node.random,
                                            [](const Bytes&) -> Result<void> {
                                                return Error{Fault::disk, "There is no room left."};
                                            });
    CHECK(failed.error().fault() == Fault::disk);
    PutIn said;
    f.ada.bundle(f.order(), &said);
    CHECK(said.events == 2);
}

TEST_CASE("a stretch that is too large for a bundle is left out, and everything else is carried") {
    SharedPath f;
    const LogId log = send_stretch_too_large(f);
    f.ada.note(f.circle, "said later");
    const auto parts = f.ada.bundle(f.order());
    REQUIRE(parts.size() == 1);
    CHECK(must_take(f.max, parts[0]).events == 4);  // three of Ada's, and what Max said before
    CHECK(f.max.node.log.next_seq(f.circle, log).value() == 1);
}

TEST_CASE("a log that could not be put in whole is counted, and no bundle is written for it alone") {
    SharedPath f;
    send_stretch_too_large(f);
    PutIn said;
    f.ada.bundle(f.order(), &said);
    CHECK(said.logs_left == 1);
    CHECK(said.events == 3);
    CHECK(f.ada.bundle(f.order(), &said).empty());
    CHECK(said.logs_left == 1);
}

TEST_CASE("bundles read in any order end in step, and say what they wait for") {
    SharedPath writer;
    std::vector<Bytes> parts;
    for (int i = 0; i < 4; ++i) {
        writer.ada.note(writer.circle, "news");
        parts.push_back(writer.ada.bundle(writer.order()).front());
    }
    std::vector<std::size_t> order = first_order(parts.size());
    do {
        SharedPath f;  // the same people, since the seeds are the same
        REQUIRE(f.circle == writer.circle);
        const TakenIn first = must_take(f.max, parts[order[0]]);
        CHECK((first.runs_waiting > 0) == (order[0] != 0));
        CHECK(store::what_is_missing(first).empty() == (order[0] == 0));
        read_until_quiet(f.max, parts, order);
        CHECK(f.max.root(f.circle) == writer.ada.root(f.circle));
    } while (std::next_permutation(order.begin(), order.end()));
}

TEST_CASE("the parts of one large bundle may come in any order, and name the one that is missing") {
    SharedPath writer;
    for (int i = 0; i < 170; ++i) writer.ada.note(writer.circle, std::string(60'000, 'x'));
    const auto parts = writer.ada.bundle(writer.order());
    REQUIRE(parts.size() == 3);
    for (const Bytes& part : parts) CHECK(part.size() <= limits::bundle_bytes_max);
    SharedPath last_first;
    const TakenIn third = must_take(last_first.max, parts[2]);
    CHECK(third.missing == std::vector<std::uint16_t>{1, 2});
    must_take(last_first.max, parts[0]);
    CHECK(must_take(last_first.max, parts[2]).missing == std::vector<std::uint16_t>{2});
    must_take(last_first.max, parts[1]);
    const TakenIn at_last = must_take(last_first.max, parts[2]);
    CHECK(at_last.runs_waiting == 0);
    CHECK(at_last.in_step);
}

TEST_CASE("a bundle that is cut at any byte stores whole events, and the whole bundle mends it") {
    SharedPath writer;
    for (int i = 0; i < 3; ++i) writer.ada.note(writer.circle, "news");
    const Bytes part = writer.ada.bundle(writer.order()).front();
    SharedPath f;
    for (std::size_t size = 0; size < part.size(); ++size) {
        CAPTURE(size);
        const auto taken = take_in(f.max.store(), ByteView(part).first(size));
        REQUIRE((!taken || taken.value().spoiled));
    }
    const auto half = f.max.node.log.heads(f.circle).value();
    for (const LogHead& head : half) CHECK(f.max.node.log.read_run(f.circle, head.log, 0).has_value());
    must_take(f.max, part);
    CHECK(f.max.root(f.circle) == writer.ada.root(f.circle));
}

TEST_CASE("a bundle with any bit changed stores nothing that its writer did not write") {
    SharedPath writer;
    const Bytes part = writer.ada.bundle(writer.order()).front();
    SharedPath f;
    for (std::size_t bit = 0; bit < part.size() * 8; ++bit) {
        CAPTURE(bit);
        Bytes changed = part;
        changed[bit / 8] ^= static_cast<std::uint8_t>(1U << (bit % 8));
        const auto taken = take_in(f.max.store(), changed);
        REQUIRE((!taken || taken.value().spoiled));
    }
    const bool some = f.max.events() > 0;
    CHECK((!some || f.max.root(f.circle) == writer.ada.root(f.circle)));
}

TEST_CASE("a bundle for a circle whose key is not here says so and stores nothing") {
    SharedPath f;
    Carrier stranger("Cy Marsh", 9);
    const auto taken = take_in(stranger.store(), f.ada.bundle(f.order()).front());
    CHECK(taken.error().fault() == Fault::not_found);
    CHECK(stranger.events() == 0);
}

TEST_CASE("a bundle that names another circle than its key's is refused") {
    SharedPath f;
    const AeadKey key = f.ada.node.log.current_key(f.circle).value();
    BundleHead head;
    head.circle = f.ada.node.random.draw<CircleId>();
    BundleWriter writer(BundleLock::under(key, f.ada.node.random), head);
    const auto taken = take_in(f.max.store(), std::move(writer).finish(true));
    CHECK(taken.error().fault() == Fault::peer);
}

TEST_CASE("a log that holds something else here is left as it is, and the rest is taken in") {
    SharedPath f;
    must_take(f.max, f.ada.bundle(f.order()).front());
    // The same device wrote on from an old copy of its store.
    SharedPath copy;
    copy.ada.node.random.next();
    copy.ada.note(copy.circle, "written on the copy");
    store::BundleOrder all = copy.order();
    f.ada.note(f.circle, "written here");
    must_take(f.max, f.ada.bundle(f.order()).front());
    const std::int64_t events = f.max.events();
    const TakenIn taken = must_take(f.max, copy.ada.bundle(all).front());
    CHECK(taken.runs_forked == 1);
    CHECK_FALSE(taken.in_step);
    CHECK(f.max.events() == events);
    // What proves it goes on in bundles, once for each reader.
    const TakenIn told = must_take(f.ada, f.max.bundle(f.order()).front());
    CHECK(told.new_forks == 1);
    CHECK(told.in_step);
    CHECK(f.max.bundle(f.order()).empty());
}

TEST_CASE("a bundle carries what stands before a fork, although the signature over it stands beyond the fork") {
    SharedPath f;
    const LogId log = hold_forked_log(f);
    PutIn said;
    const TakenIn taken = must_take(f.max, f.ada.bundle(f.order(), &said).front());
    CHECK(said.events == 3);
    CHECK(taken.events == 3);
    CHECK(taken.in_step);
    CHECK(f.max.node.log.next_seq(f.circle, log).value() == 1);
    CHECK(f.ada.bundle(f.order()).empty());
    Carrier cal{"Cal Reed", 3};
    REQUIRE(cal.node.log.add_key(f.circle, f.ada.node.log.current_key(f.circle).value()).has_value());
    CHECK(must_take(cal, f.max.bundle(f.order()).front()).in_step);
}

TEST_CASE("what stands before a fork without a signature over it is left out of a bundle, and the rest is carried") {
    SharedPath f;
    const LogId log = hold_forked_log(f);
    // As an older version kept it.
    REQUIRE(f.ada.node.db
                .execute("DELETE FROM event WHERE seq = 1 AND log_ref = (SELECT max(log_ref) FROM log); "
                         "UPDATE log SET next_seq = 1, head = (SELECT id FROM event WHERE event.log_ref = log.log_ref) "
                         "WHERE log_ref = (SELECT max(log_ref) FROM log)")
                .has_value());
    PutIn said;
    const TakenIn taken = must_take(f.max, f.ada.bundle(f.order(), &said).front());
    CHECK(said.events == 2);
    CHECK(taken.events == 2);
    CHECK(taken.new_forks == 1);
    CHECK(f.max.node.log.next_seq(f.circle, log).value() == 0);
}

TEST_CASE("a bundle to a device brings the circle's key from somebody known") {
    SharedPath f;
    must_take(f.max, f.ada.bundle(f.order()).front());
    // Max knows Ada by her path; now he is let onto another one of hers whose key he has not.
    const CircleId second = f.ada.node.found(f.ada.person, CircleKind::path, MemberRole::newcomer);
    f.ada.admit(second, f.max.person);
    store::BundleOrder order{second, {}, f.max.person.id(), false, f.max.person.box.pub};
    const TakenIn taken = must_take(f.max, f.ada.bundle(order).front());
    CHECK(taken.in_step);
    CHECK(f.max.node.log.current_key(second).has_value());
}

TEST_CASE("a key from somebody unknown is not taken") {
    SharedPath f;
    Carrier cy("Cy Marsh", 9);
    store::BundleOrder order{f.circle, {}, cy.person.id(), false, cy.person.box.pub};
    const auto taken = take_in(cy.store(), f.ada.bundle(order).front());
    CHECK(taken.error().fault() == Fault::refused);
    CHECK(cy.events() == 0);
    CHECK(cy.node.count("SELECT count(*) FROM epoch_key") == 0);
}

TEST_CASE("a later key of a known circle comes in a bundle to the device, and what was said under it opens") {
    SharedPath f;
    must_take(f.max, f.ada.bundle(f.order()).front());
    {
        auto tx = store::sqlite::Transaction::begin(f.ada.node.db).value();
        store::EventLog::Rotation rotation;
        rotation.parents = {id_of_key(f.ada.node.log.current_key(f.circle).value())};
        rotation.boxes = {f.ada.person.box.pub, f.max.person.box.pub};
        const CircleState state = store::CircleModel::state_of(f.ada.node.db, f.circle).value();
        rotation.members = digest_of(members_of(state, Readers::everyone));
        REQUIRE(f.ada.node.log.rotate_within(f.circle, rotation, f.ada.node.now).has_value());
        REQUIRE(tx.commit().has_value());
    }
    f.ada.note(f.circle, "under the new key");
    CHECK(take_in(f.max.store(), f.ada.bundle(f.order()).front()).error().fault() == Fault::not_found);
    store::BundleOrder order{f.circle, {}, f.max.person.id(), true, f.max.person.box.pub};
    const TakenIn taken = must_take(f.max, f.ada.bundle(order).front());
    CHECK(taken.new_key);
    CHECK(f.max.node.log.missing_keys(f.circle).value().empty());
    CHECK(taken.in_step);
}

TEST_CASE("a key that came in a bundle never replaces one that is here") {
    SharedPath f;
    must_take(f.max, f.ada.bundle(f.order()).front());
    const KeyId before = id_of_key(f.max.node.log.current_key(f.circle).value());
    store::BundleOrder order{f.circle, {}, f.max.person.id(), true, f.max.person.box.pub};
    must_take(f.max, f.ada.bundle(order).front());
    CHECK(id_of_key(f.max.node.log.current_key(f.circle).value()) == before);
}

TEST_CASE("a bundle's last new log that a circle has room for is taken in") {
    SharedPath f;
    crowd(f.max, f.circle, logs_taken_max - 1);
    const TakenIn taken = must_take(f.max, f.ada.bundle(f.order()).front());
    CHECK(taken.events == 2);
    CHECK(taken.logs_left == 0);
}

TEST_CASE("a circle with as many logs as can be named takes no new one from a bundle, and says so") {
    SharedPath f;
    crowd(f.max, f.circle, logs_taken_max);
    const TakenIn taken = must_take(f.max, f.ada.bundle(f.order()).front());
    CHECK(taken.events == 0);
    CHECK(taken.logs_left == 1);
    CHECK(taken.runs_waiting == 0);
}

TEST_CASE("what follows the beginning of a log that was left is left too, and waits for nothing") {
    SharedPath f;
    f.ada.bundle(f.order());
    f.ada.note(f.circle, "second");
    crowd(f.max, f.circle, logs_taken_max);
    const TakenIn taken = must_take(f.max, f.ada.bundle(f.order()).front());
    CHECK(taken.logs_left == 1);
    CHECK(taken.runs_waiting == 0);
}

TEST_CASE("a circle with as many logs as can be named takes news of those it has from a bundle") {
    SharedPath f;
    must_take(f.max, f.ada.bundle(f.order()).front());
    crowd(f.max, f.circle, logs_taken_max);
    f.ada.note(f.circle, "second");
    CHECK(must_take(f.max, f.ada.bundle(f.order()).front()).events == 1);
}

TEST_CASE("of a bundle's made-up proofs as many are taken in as a circle has room for") {
    SharedPath f;
    must_take(f.max, f.ada.bundle(f.order()).front());
    crowd(f.max, f.circle, logs_taken_max - 2);
    for (int i = 0; i < 3; ++i) keep_made_up_proof(f.ada, f.circle);
    const TakenIn taken = must_take(f.max, f.ada.bundle(f.order()).front());
    CHECK(taken.new_forks == 1);
    CHECK(taken.logs_left == 2);
}

TEST_CASE("the beginning of a log that is known to fork is taken in where there is no room for new ones") {
    SharedPath f;
    const LogId log = f.ada.node.log.heads(f.circle).value().at(0).log;
    const LogOpening opening = f.ada.node.log.read_run(f.circle, log, 0).value().opening.value();
    const ForkProof proof = made_up_fork(f.circle, f.ada.person.device, opening, 1, f.ada.node.random);
    REQUIRE(f.max.node.log.append_fork_proof(f.circle, proof).value());
    crowd(f.max, f.circle, logs_taken_max);
    const TakenIn taken = must_take(f.max, f.ada.bundle(f.order()).front());
    CHECK(taken.events == 1);
    CHECK(taken.logs_left == 0);
}
