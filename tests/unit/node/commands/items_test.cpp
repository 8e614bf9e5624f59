#include "node/commands/items.hpp"

#include <doctest/doctest.h>

#include "node/commands/contacts.hpp"
#include "node/commands/goings.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using domain::Phase;
using domain::StatementKind;
using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

// Ana's path with Ben, her mentor, who may sign up to "alone".
struct Path {
    SetClock clock;
    MemberNode ana{clock, 1};
    MemberNode ben{clock, 2};

    Path() {
        clock.to("2026-03-02T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
        begin_as(ben, "Ben", MemberRole::mentor);
        join(ana, ben, "Ben", CircleKind::path, MemberRole::mentor);
    }
    Phase phase(MemberNode& member, domain::ItemId item, const std::string& who = "") {
        return domain::state_of(must(node::way(member.context, who)).states, item).phase;
    }
    void swap_news() {
        sync(ana, ben);
        clock.pass_minutes(1);
    }
    void ben_leaves() {
        must(node::leave_circle(ben.context, must(node::path_of(ben.context, "Ana"))));
        swap_news();
    }
    void ana_removes_ben() {
        must(node::remove_person(ana.context, must(node::own_circle(ana.context, CircleKind::path)), "Ben", ""));
    }
    void ben_says_sign(const std::string& item, std::uint8_t level) {
        const protocol::SignBody body{item, level, ben.context.today(), "on his word"};
        must(node::say(ben.context, must(node::path_of(ben.context, "Ana")).id, protocol::kind::sign,
                       protocol::codec::encode(body)));
    }
    void grant() { tick_item(ana, "04.06", "KD0XAA"); }
    Error refused_tick(MemberNode& member, const std::string& item, const std::string& guest_of = "",
                       const std::string& who = "") {
        node::TickRequest request;
        request.who = who;
        request.item = item;
        request.guest_of = guest_of;
        const auto before = member.events();
        const Error error = must_fail(node::tick(member.context, request));
        CHECK(member.events() == before);
        return error;
    }
};

constexpr domain::ItemId frequency_entry{6, 2};
constexpr domain::ItemId memory_item{6, 5};

TEST_CASE("a tick is seen by the mentor after the next sync") {
    Path p;
    node::TickRequest request;
    request.item = "6.2";
    CHECK(must(node::tick(p.ana.context, request)).sentence ==
          "06.02 \"Enter a frequency by hand\" is ticked on your way.");
    p.swap_news();
    CHECK(p.phase(p.ben, frequency_entry, "Ana") == Phase::ticked);
}

TEST_CASE("a sign-off stands beside the tick and comes back with the next sync") {
    Path p;
    tick_item(p.ana, "06.02");
    p.swap_news();
    sign_item(p.ben, "Ana", "06.02");
    p.swap_news();
    const auto state = domain::state_of(must(node::way(p.ana.context, "")).states, frequency_entry);
    CHECK(state.phase == Phase::is_signed);
    CHECK(state.tick.has_value());
    CHECK(state.signed_level() == domain::Level::alone);
}

TEST_CASE("an undone tick opens the item again") {
    Path p;
    tick_item(p.ana, "06.02");
    p.clock.pass_minutes(1);
    node::TickRequest undo;
    undo.item = "06.02";
    undo.undo = true;
    must(node::tick(p.ana.context, undo));
    CHECK(p.phase(p.ana, frequency_entry) == Phase::open);
}

TEST_CASE("an undone tick leaves the mentor's signature alone") {
    Path p;
    tick_item(p.ana, "06.02");
    p.swap_news();
    sign_item(p.ben, "Ana", "06.02");
    p.swap_news();
    node::TickRequest undo;
    undo.item = "06.02";
    undo.undo = true;
    must(node::tick(p.ana.context, undo));
    CHECK(p.phase(p.ana, frequency_entry) == Phase::is_signed);
}

TEST_CASE("a signature is taken back by its author with a reason that the newcomer sees") {
    Path p;
    sign_item(p.ben, "Ana", "06.02");
    p.clock.pass_minutes(1);
    must(node::withdraw(p.ben.context, {"Ana", "06.02", "mixed up two people"}));
    p.swap_news();
    const auto state = domain::state_of(must(node::way(p.ana.context, "")).states, frequency_entry);
    CHECK(state.phase == Phase::withdrawn);
    REQUIRE(state.withdrawal.has_value());
    CHECK(state.withdrawal->text == "mixed up two people");
}

TEST_CASE("a signature given twice in the same words is written down once") {
    Path p;
    sign_item(p.ben, "Ana", "06.02");
    const auto before = p.ben.events();
    node::SignRequest again{"Ana", "06.02", "", {}, "was there"};
    CHECK(must(node::sign_off(p.ben.context, again))
              .sentence.ends_with("is signed by you already, in the same words; nothing was written down twice."));
    CHECK(p.ben.events() == before);
}

TEST_CASE("two signatures that say the same of one item are taken back together") {
    Path p;
    sign_item(p.ben, "Ana", "06.02");
    p.clock.pass_minutes(1);
    must(node::sign_off(p.ben.context, {"Ana", "06.02", "", {}, "and once more"}));
    p.clock.pass_minutes(1);
    CHECK(must(node::withdraw(p.ben.context, {"Ana", "06.02", "mixed up two people"}))
              .sentence.ends_with("is taken back; the newcomer sees the reason."));
    p.swap_news();
    CHECK(p.phase(p.ana, frequency_entry) == Phase::withdrawn);
    CHECK(must_fail(node::withdraw(p.ben.context, {"Ana", "06.02", "again"})).fault() == Fault::not_found);
}

TEST_CASE("a signature of another level stays when the later one is taken back, and its author is told") {
    Path p;
    must(node::sign_off(p.ben.context, {"Ana", "01.17", "with help", {}, ""}));
    p.clock.pass_minutes(1);
    must(node::sign_off(p.ben.context, {"Ana", "01.17", "alone", {}, ""}));
    p.clock.pass_minutes(1);
    CHECK(must(node::withdraw(p.ben.context, {"Ana", "01.17", "that was another evening"}))
              .sentence.ends_with("Your other signature there, level \"with help\", stands."));
    p.swap_news();
    const auto state = domain::state_of(must(node::way(p.ana.context, "")).states, {1, 17});
    CHECK(state.signed_level() == domain::Level::with_help);
    CHECK(state.signatures.size() == 1);
}

TEST_CASE("a withdrawal without a reason, or of nothing, stores nothing") {
    Path p;
    sign_item(p.ben, "Ana", "06.02");
    const auto before = p.ben.events();
    CHECK_FALSE(node::withdraw(p.ben.context, {"Ana", "06.02", ""}).has_value());
    CHECK(must_fail(node::withdraw(p.ben.context, {"Ana", "06.03", "why"})).fault() == Fault::not_found);
    CHECK_FALSE(node::withdraw(p.ana.context, {"", "06.02", "not mine"}).has_value());
    CHECK(p.ben.events() == before);
}

TEST_CASE("nobody signs on their own way") {
    Path p;
    const auto before = p.ana.events();
    node::SignRequest request;
    request.item = "06.02";
    CHECK_FALSE(node::sign_off(p.ana.context, request).has_value());
    CHECK(p.ana.events() == before);
}

TEST_CASE("a signer holds the level that they sign") {
    Path p;
    const auto before = p.ben.events();
    node::SignRequest request;
    request.who = "Ana";
    request.item = "06.02";
    request.level = "taught it";
    CHECK(must_fail(node::sign_off(p.ben.context, request)).sentence() ==
          "You can sign only up to the level that you hold yourself in 06.02 ('alone'); somebody who holds 'taught it' "
          "can.");
    CHECK(p.ben.events() == before);
}

TEST_CASE("a signature above its author's level counts nowhere, whatever node stored it") {
    Path p;
    p.ben_says_sign("06.02", 4);
    p.swap_news();
    CHECK(p.phase(p.ana, frequency_entry) == Phase::open);
}

TEST_CASE("a skill that was signed stays signed when its signer leaves") {
    Path p;
    tick_item(p.ana, "06.02");
    p.swap_news();
    sign_item(p.ben, "Ana", "06.02");
    p.ben_leaves();
    const auto state = domain::state_of(must(node::way(p.ana.context, "")).states, frequency_entry);
    CHECK(state.phase == Phase::is_signed);
    CHECK(state.signed_level() == domain::Level::alone);
    CHECK(state.confirmed_by_another(node::to_domain(p.ana.id())));
}

TEST_CASE("a skill that was signed stays signed when its signer is removed") {
    Path p;
    sign_item(p.ben, "Ana", "06.02");
    p.swap_news();
    p.ana_removes_ben();
    CHECK(p.phase(p.ana, frequency_entry) == Phase::is_signed);
}

TEST_CASE("what somebody signs beyond the cut of their removal counts nowhere") {
    Path p;
    sign_item(p.ben, "Ana", "06.02");
    p.swap_news();
    p.ana_removes_ben();
    sign_item(p.ben, "Ana", "06.05");  // his node has not heard of it
    send_circle(p.ben, p.ana, p.ana.circle(CircleKind::path));
    CHECK(p.phase(p.ana, memory_item) == Phase::open);
}

TEST_CASE("a signature above its author's level counts nowhere after its author has left either") {
    Path p;
    p.ben_says_sign("06.02", 4);
    p.ben_leaves();
    CHECK(p.phase(p.ana, frequency_entry) == Phase::open);
}

TEST_CASE("an item without a level takes none") {
    Path p;
    node::SignRequest request;
    request.who = "Ana";
    request.item = "07.12";
    request.level = "3";
    CHECK(must_fail(node::sign_off(p.ben.context, request)).fault() == Fault::bad_input);
}

TEST_CASE("an assignment names how many items are asked for") {
    Path p;
    CHECK(must(node::assign(p.ben.context, {"Ana", {"9.6"}})).sentence == "09.06 is now asked for on Ana's way.");
    CHECK(must(node::assign(p.ben.context, {"Ana", {"stage 6"}})).sentence ==
          "18 items are now asked for on Ana's way.");
    p.swap_news();
    CHECK(domain::state_of(must(node::way(p.ana.context, "")).states, memory_item).assigned.has_value());
}

TEST_CASE("an assignment with one unknown item stores nothing at all") {
    Path p;
    const auto before = p.ben.events();
    CHECK_FALSE(node::assign(p.ben.context, {"Ana", {"06.02", "99.01"}}).has_value());
    CHECK_FALSE(node::assign(p.ben.context, {"Ana", {}}).has_value());
    CHECK_FALSE(node::assign(p.ben.context, {"Ana", {"77"}}).has_value());
    CHECK(p.ben.events() == before);
}

TEST_CASE("an item is skipped, and opened again, by its owner alone") {
    Path p;
    must(node::set_aside(p.ana.context, {"06.02", StatementKind::skip}));
    CHECK(p.phase(p.ana, frequency_entry) == Phase::skipped);
    p.clock.pass_minutes(1);
    must(node::set_aside(p.ana.context, {"06.02", StatementKind::reopen}));
    CHECK(p.phase(p.ana, frequency_entry) == Phase::open);
    CHECK(must_fail(node::set_aside(p.ben.context, {"06.02", StatementKind::skip})).fault() == Fault::not_found);
}

TEST_CASE("opened again after a rest an item stands as it did, and says so; opened once more it is looked at again") {
    Path p;
    tick_item(p.ana, "06.02");
    must(node::set_aside(p.ana.context, {"06.02", StatementKind::rest}));
    const auto first = must(node::set_aside(p.ana.context, {"06.02", StatementKind::reopen}));
    CHECK(first.sentence.find("stands as it did") != std::string::npos);
    CHECK(p.phase(p.ana, frequency_entry) == Phase::ticked);
    must(node::set_aside(p.ana.context, {"06.02", StatementKind::reopen}));
    CHECK(p.phase(p.ana, frequency_entry) == Phase::reopened);
}

TEST_CASE("the whole way rests, and goes on again") {
    Path p;
    must(node::set_aside(p.ana.context, {"", StatementKind::rest}));
    CHECK(must(node::way(p.ana.context, "")).facts.resting);
    p.clock.pass_minutes(1);
    must(node::set_aside(p.ana.context, {"", StatementKind::reopen}));
    CHECK_FALSE(must(node::way(p.ana.context, "")).facts.resting);
    CHECK(must_fail(node::set_aside(p.ana.context, {"", StatementKind::skip})).fault() == Fault::bad_input);
}

// --- Gate 2: no sending under the own call sign before it stands in the register.

TEST_CASE("the first contact is not ticked before the call sign is visible") {
    Path p;
    CHECK(p.refused_tick(p.ana, "09.06").fault() == Fault::bad_input);
}

TEST_CASE("a guest's first contact is ticked without a call sign") {
    Path p;
    node::TickRequest request;
    request.item = "09.06";
    request.guest_of = "KD0XBB";
    CHECK(node::tick(p.ana.context, request).has_value());
}

TEST_CASE("the grant needs a call sign that the register could show") {
    Path p;
    for (const char* evidence : {"", "seen", "12345"}) {
        node::TickRequest request;
        request.item = "04.06";
        request.evidence = evidence;
        const auto before = p.ana.events();
        CHECK(must_fail(node::tick(p.ana.context, request)).fault() == Fault::bad_input);
        CHECK(p.ana.events() == before);
    }
    p.grant();
    CHECK(must(node::way(p.ana.context, "")).call_sign == "KD0XAA");
}

// --- Gate 3: exposure before the first transmission.

TEST_CASE("after the grant the first contact waits for an exposure sheet that somebody signed") {
    Path p;
    p.grant();
    CHECK(p.refused_tick(p.ana, "09.06").sentence().find("radio-frequency exposure") != std::string::npos);
    tick_item(p.ana, "07.12", "sheet kept");
    CHECK(p.refused_tick(p.ana, "09.06").sentence().find("waits for a second person") != std::string::npos);
    p.swap_news();
    sign_item(p.ben, "Ana", "07.12");
    p.swap_news();
    tick_item(p.ana, "09.06");
    CHECK(p.phase(p.ana, domain::known_item::first_contact) == Phase::ticked);
}

// --- Gate 4: no antenna raised alone.

TEST_CASE("an antenna goes up with a second person, after the site was walked") {
    Path p;
    CHECK(p.refused_tick(p.ana, "07.02").sentence().find("No antenna goes up or comes down alone") == 0);
    node::TickRequest request;
    request.item = "07.02";
    request.with = "Ben";
    CHECK(must_fail(node::tick(p.ana.context, request)).sentence().find("Walk the site") == 0);
    request.with = "Ana";
    CHECK_FALSE(node::tick(p.ana.context, request).has_value());
}

TEST_CASE("a day that has not come is refused") {
    Path p;
    node::TickRequest request;
    request.item = "06.02";
    request.day = p.ana.context.today() + 1;
    const auto before = p.ana.events();
    CHECK(must_fail(node::tick(p.ana.context, request)).fault() == Fault::bad_input);
    CHECK(p.ana.events() == before);
}

TEST_CASE("evidence that is longer than a line is refused") {
    Path p;
    node::TickRequest request;
    request.item = "06.02";
    request.evidence = std::string(257, 'x');
    CHECK(must_fail(node::tick(p.ana.context, request)).fault() == Fault::bad_input);
}

// --- Gate 1: nobody under 18 is alone with one adult.

// Mia's path with guardian and second adult; the agreement is not written yet, Ben is let in by hand.
struct MinorPath {
    SetClock clock;
    MemberNode mia{clock, 1};
    MemberNode gus{clock, 2};
    MemberNode sue{clock, 3};
    MemberNode ben{clock, 4};

    MinorPath() {
        clock.to("2026-03-02T18:00Z");
        begin_as(mia, "Mia", MemberRole::newcomer, true);
        begin_as(gus, "Gus", MemberRole::guardian);
        begin_as(sue, "Sue", MemberRole::second_adult);
        begin_as(ben, "Ben", MemberRole::mentor);
        join(mia, gus, "Gus", CircleKind::path, MemberRole::guardian);
        join(mia, sue, "Sue", CircleKind::path, MemberRole::second_adult);
        const protocol::AdmitBody body{ben.id(), MemberRole::mentor, 3, "Ben", false, {ben.me().certificate}};
        must(
            node::say(mia.context, mia.circle(CircleKind::path), protocol::kind::admit, protocol::codec::encode(body)));
        sync(mia, ben);
    }
    void agree() {
        tick_item(gus, "00.05", "agreed in writing", "Mia");
        sync(gus, mia);
        sync(mia, ben);
        clock.pass_minutes(1);
    }
};

TEST_CASE("a mentor neither assigns nor signs for a minor before the guardian agreed") {
    MinorPath p;
    const auto before = p.ben.events();
    node::SignRequest sign;
    sign.who = "Mia";
    sign.item = "06.02";
    // Before that he holds no key to her path, so that she is nobody he knows.
    CHECK(must_fail(node::sign_off(p.ben.context, sign)).fault() == Fault::not_found);
    CHECK(must_fail(node::assign(p.ben.context, {"Mia", {"06.02"}})).fault() == Fault::not_found);
    CHECK(p.ben.events() == before);
    p.agree();
    CHECK(node::assign(p.ben.context, {"Mia", {"06.02"}}).has_value());
    CHECK(node::sign_off(p.ben.context, sign).has_value());
}

TEST_CASE("a minor's own ticks need nobody") {
    MinorPath p;
    tick_item(p.mia, "06.02");
    CHECK(must(node::way(p.mia.context, "")).states.size() == 1);
}

TEST_CASE("a minor skips neither the guardian's agreement nor the second adult, and opens again what was skipped") {
    MinorPath p;
    const auto before = p.mia.events();
    for (const StatementKind what : {StatementKind::skip, StatementKind::rest}) {
        CHECK(must_fail(node::set_aside(p.mia.context, {"00.05", what})).fault() == Fault::refused);
        CHECK(must_fail(node::set_aside(p.mia.context, {"00.06", what})).fault() == Fault::refused);
    }
    CHECK(p.mia.events() == before);
    CHECK(node::set_aside(p.mia.context, {"00.06", StatementKind::reopen}).has_value());
}

TEST_CASE("the guardian's agreement is the guardian's tick alone") {
    MinorPath p;
    p.agree();
    for (MemberNode* member : {&p.mia, &p.ben}) {
        node::TickRequest request;
        request.item = "00.05";
        if (member != &p.mia) request.who = "Mia";
        const auto before = member->events();
        CHECK(must_fail(node::tick(member->context, request)).fault() == Fault::refused);
        CHECK(member->events() == before);
    }
}

// Ben, who had everybody's consent and has it no more.
struct ConsentTakenBack : MinorPath {
    ConsentTakenBack() {
        agree();
        node::CardRequest card;
        card.call_sign = "KD0XMM";
        must(node::change_card(ben.context, card));
        must(node::sign_off(ben.context, {"Mia", "06.02", "", {}, ""}));
        must(node::give_consent(gus.context, "Mia", std::nullopt));
        sync(gus, mia);
        sync(mia, ben);
    }
    node::ContactRequest contact() {
        node::ContactRequest out;
        out.who = "Mia";
        out.worked = "KD0XBB";
        out.start = clock.wall();
        out.frequency = "146.52";
        out.mode = "FM";
        out.guest_of = "KD0XMM";
        out.comment = "words for Mia alone";
        return out;
    }
};

TEST_CASE("without the guardian's consent a mentor writes no contact, and so no words, into a minor's log") {
    ConsentTakenBack p;
    const auto before = p.ben.events();
    CHECK(must_fail(node::log_contact(p.ben.context, p.contact())).fault() == Fault::refused);
    CHECK(p.ben.events() == before);
}

TEST_CASE("without the guardian's consent a signature is taken back without words") {
    ConsentTakenBack p;
    must(node::withdraw(p.ben.context, {"Mia", "06.02", "words for Mia alone"}));
    const auto said = must(node::statements(p.ben.db(), p.mia.circle(CircleKind::path)));
    CHECK(said.back().kind == StatementKind::withdraw);
    CHECK(said.back().text == "taken back");
}

}  // namespace
}  // namespace ladderline
