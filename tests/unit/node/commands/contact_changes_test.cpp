#include "node/commands/contact_changes.hpp"

#include "node/commands/confirmed.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/commands/goings.hpp"
#include "node/commands/log_files.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/unit/node/commands/log_fixture.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

// What Ana wants it to be, from what stands there.
node::ContactRequest changed(LogPath& p, const std::string& id) {
    return node::change_of(must(node::own_contact(p.ana.context, "", id)).view);
}

}  // namespace

TEST_CASE("a changed contact is shown as it is now, by everybody, and the earlier word with its time") {
    LogPath p;
    const std::string id = p.log(p.contact());
    p.clock.pass_minutes(5);
    auto to = changed(p, id);
    to.worked = "KD0XBC";
    to.sent = "57";
    CHECK(must(node::amend_contact(p.ana.context, id.substr(0, 8), to)).sentence ==
          "Changed: KD0XBC, 2026-03-02T18:00Z, 146.94 MHz FM. What was there before stays in its history.");
    p.both();
    for (MemberNode* at : {&p.ana, &p.ben}) {
        const auto log = p.log_of(*at).contacts;
        REQUIRE(log.size() == 1);
        CHECK(log[0].contact.worked == "KD0XBC");
        const auto history = node::history_lines(log[0]);
        REQUIRE(history.size() == 2);
        CHECK(history[0].words == "written down: KD0XBB, 2026-03-02T18:00Z, 146.94 MHz FM");
        CHECK(history[1].words == "changed: station KD0XBC (was KD0XBB); report given 57 (was nothing)");
        CHECK(history[1].said == utc("2026-03-02T18:05Z"));
    }
}

TEST_CASE("a start that moves within its minute stands in the history to the second") {
    LogPath p;
    const std::string id = p.log(p.contact());
    auto to = changed(p, id);
    to.start.ms -= 15'000;
    must(node::amend_contact(p.ana.context, id, to));
    to.start.ms -= 20'000;
    must(node::amend_contact(p.ana.context, id, to));
    const auto history = node::history_lines(p.log_of(p.ana).contacts.at(0));
    REQUIRE(history.size() == 3);
    CHECK(history[1].words == "changed: start 2026-03-02T17:59Z (was 2026-03-02T18:00Z)");
    CHECK(history[2].words == "changed: start 2026-03-02T17:59:25Z (was 2026-03-02T17:59:45Z)");
}

TEST_CASE("a change of a contact keeps the call sign under which it was sent") {
    LogPath p;
    const std::string id = p.log(p.contact());
    p.clock.now.ms += 86'400'000LL * 30;
    tick_item(p.ana, "04.06", "KD0XZZ");
    auto to = changed(p, id);
    to.sent = "57";
    must(node::amend_contact(p.ana.context, id, to));
    const auto log = p.log_of(p.ana).contacts;
    REQUIRE(log.size() == 1);
    CHECK(log[0].contact.station == "KD0XAA");
    CHECK(log[0].contact.sent == "57");
}

TEST_CASE("the last of several changes stands, whatever order they arrive in") {
    LogPath p;
    const std::string id = p.log(p.contact());
    for (const char* report : {"51", "52", "53"}) {
        auto to = changed(p, id);
        to.sent = report;
        must(node::amend_contact(p.ana.context, id, to));
    }
    p.both();
    CHECK(p.log_of(p.ben).contacts.at(0).contact.sent == "53");
    CHECK(p.log_of(p.ben).contacts.at(0).history.size() == 4);
}

TEST_CASE("a change under a clock far ahead is changed again once the clock is right") {
    LogPath p;
    const std::string id = p.log(p.contact());
    const WallTime before = p.clock.now;
    p.clock.now.ms += 3'652 * std::int64_t{86'400'000};
    auto to = changed(p, id);
    to.sent = "51";
    must(node::amend_contact(p.ana.context, id, to));
    p.clock.now = before;
    to.sent = "52";
    must(node::amend_contact(p.ana.context, id, to));
    p.both();
    for (MemberNode* at : {&p.ana, &p.ben}) CHECK(p.log_of(*at).contacts.at(0).contact.sent == "52");
}

TEST_CASE("a contact that is struck out is in no list, export or count, and a change brings it back") {
    LogPath p;
    const std::string id = p.log(p.contact());
    must(node::strike_contact(p.ana.context, "", id, "never happened"));
    p.both();
    for (MemberNode* at : {&p.ana, &p.ben}) {
        CHECK(p.log_of(*at).contacts.empty());
        REQUIRE(p.log_of(*at).struck.size() == 1);
        CHECK(node::history_lines(p.log_of(*at).struck[0]).back().words == "struck out: never happened");
        CHECK_FALSE(p.log_of(*at).dates.first_contact.has_value());
    }
    CHECK(must(node::own_log_files(p.ana.context)).contacts == 0);
    CHECK(must_fail(node::strike_contact(p.ana.context, "", id, "")).fault() == Fault::bad_input);
    must(node::amend_contact(p.ana.context, id, changed(p, id)));
    CHECK(p.log_of(p.ana).contacts.size() == 1);
    CHECK(p.log_of(p.ana).struck.empty());
    CHECK(node::history_lines(p.log_of(p.ana).contacts[0]).back().words == "back in the log: as it was");
}

TEST_CASE("somebody else's contact cannot be changed or struck out, by no command and by no program") {
    LogPath p;
    const std::string id = p.log(p.contact());
    p.both();
    auto to = p.contact("KD0XZZ");
    to.who = "Ana";
    CHECK(must_fail(node::amend_contact(p.ben.context, id, to)).fault() == Fault::refused);
    CHECK(must_fail(node::strike_contact(p.ben.context, "Ana", id, "")).fault() == Fault::refused);
    // A changed program says it all the same.
    const auto path = p.ana.circle(protocol::CircleKind::path);
    const auto contact = p.log_of(p.ana).contacts.at(0);
    protocol::ContactBody forged = contact.contact;
    forged.worked = "KD0XZZ";
    must(node::say(p.ben.context, path, protocol::kind::amend_contact,
                   protocol::codec::encode(protocol::AmendContactBody{contact.id, forged})));
    must(node::say(p.ben.context, path, protocol::kind::strike_contact,
                   protocol::codec::encode(protocol::StrikeContactBody{contact.id, "no"})));
    p.both();
    for (MemberNode* at : {&p.ana, &p.ben}) {
        REQUIRE(p.log_of(*at).contacts.size() == 1);
        CHECK(p.log_of(*at).contacts[0].contact.worked == "KD0XBB");
        CHECK(p.log_of(*at).contacts[0].history.empty());
    }
}

TEST_CASE("a word about a contact that never came is kept and has no effect") {
    LogPath p;
    must(node::say(p.ana.context, p.ana.circle(protocol::CircleKind::path), protocol::kind::strike_contact,
                   protocol::codec::encode(protocol::StrikeContactBody{})));
    CHECK(p.log_of(p.ana).contacts.empty());
    CHECK(p.log_of(p.ana).struck.empty());
}

TEST_CASE("a change that cannot be is refused, and nothing is stored") {
    LogPath p;
    const std::string id = p.log(p.contact());
    p.clock.pass_minutes(60);
    const std::string other = p.log(p.contact("KD0XCC"));
    const auto events = p.ana.events();
    auto to = changed(p, id);
    CHECK(must_fail(node::amend_contact(p.ana.context, id, to)).sentence().find("stands in the log already") !=
          std::string::npos);
    to.worked = "no call";
    CHECK(must_fail(node::amend_contact(p.ana.context, id, to)).fault() == Fault::bad_input);
    to = changed(p, id);
    to.start = utc("2026-02-01T12:00Z");  // before the grant
    CHECK(must_fail(node::amend_contact(p.ana.context, id, to)).fault() == Fault::refused);
    to = changed(p, other);
    to.worked = "KD0XBB";
    to.start = utc("2026-03-02T18:10Z");  // as the first one, nearly
    CHECK(must_fail(node::amend_contact(p.ana.context, other, to)).sentence().find("Nothing was changed") !=
          std::string::npos);
    CHECK(must_fail(node::amend_contact(p.ana.context, "ffff", to)).fault() == Fault::not_found);
    CHECK(must_fail(node::strike_contact(p.ana.context, "", id, std::string(257, 'x'))).fault() == Fault::bad_input);
    CHECK(p.ana.events() == events);
    to.another = true;
    CHECK(node::amend_contact(p.ana.context, other, to).has_value());
}

TEST_CASE("a contact may be moved by a few minutes without looking like itself") {
    LogPath p;
    const std::string id = p.log(p.contact());
    auto to = changed(p, id);
    to.start.ms -= 3 * 60'000;
    CHECK(node::amend_contact(p.ana.context, id, to).has_value());
}

TEST_CASE("a side that is put right confirms, and one that is struck out does so no more") {
    LogPath p;
    const std::string id = p.log(p.contact("KF1XMD"));
    auto theirs = p.contact("KD0XAA");
    theirs.who = "Ana";
    theirs.frequency = "446.0";
    must(node::log_contact(p.ben.context, theirs));
    p.both();
    const auto confirmed = [&] {
        const auto way = p.log_of(p.ana);
        return !node::confirmed_by(node::other_logs(way), way.contacts.at(0).id).empty();
    };
    CHECK_FALSE(confirmed());
    const std::string side = to_hex(p.log_of(p.ben).other_sides.at(0).id.view());
    theirs.frequency = "146.94";
    must(node::amend_contact(p.ben.context, side, theirs));
    p.both();
    CHECK(confirmed());
    must(node::strike_contact(p.ben.context, "Ana", side, "wrong evening"));
    p.both();
    CHECK_FALSE(confirmed());
}

TEST_CASE("what is taken back goes with everything that was said about it") {
    LogPath p;
    const std::string id = p.log(p.contact());
    auto to = changed(p, id);
    to.sent = "57";
    must(node::amend_contact(p.ana.context, id, to));
    must(node::take_back(p.ana.context, must(node::circle_meant(p.ana.context, "path", ""))));
    p.both();
    CHECK(p.log_of(p.ben).contacts.empty());
    CHECK(p.log_of(p.ben).struck.empty());
}
