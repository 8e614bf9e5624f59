#include "node/commands/milestones.hpp"

#include <algorithm>

#include "node/commands/contact_changes.hpp"
#include "tests/unit/node/commands/log_fixture.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

std::optional<node::Milestone> shown(LogPath& p, domain::MarkKind kind) {
    for (node::Milestone& one : node::milestones(p.ana.context, p.log_of(p.ana))) {
        if (one.kind == kind) return std::move(one);
    }
    return std::nullopt;
}

domain::Phase phase_of(LogPath& p, const std::string& item) {
    return domain::state_of(p.log_of(p.ana).states, must(domain::parse_item_id(item))).phase;
}

// Ten contacts, an hour apart; their ids.
std::vector<std::string> ten(LogPath& p) {
    std::vector<std::string> out;
    for (int i = 0; i < 10; ++i) {
        out.push_back(p.log(p.contact()));
        p.clock.pass_minutes(60);
    }
    return out;
}

}  // namespace

TEST_CASE("every milestone that has an item names one that the shipped edition has as a milestone") {
    LogPath p;
    ten(p);
    auto far = p.contact("DL/KD0XBB");
    far.comment = "simplex";
    p.log(far);
    p.clock.pass_minutes(60);
    p.log(p.contact("KF1XMD"));
    const auto all = node::milestones(p.ana.context, p.log_of(p.ana));
    CHECK(all.size() >= 7);
    for (const node::Milestone& one : all) {
        CAPTURE(one.words);
        const bool plain = one.kind == domain::MarkKind::first || one.kind == domain::MarkKind::first_direct;
        CHECK((one.item == nullptr) == plain);
        if (one.item != nullptr) CHECK(one.item->kind == domain::ItemKind::milestone);
    }
}

TEST_CASE("the tenth contact is offered for a tick, ticked with the contact as its evidence, and offered no more") {
    LogPath p;
    p.work_out_exposure();
    const auto ids = ten(p);
    const auto tenth = shown(p, domain::MarkKind::tenth);
    REQUIRE(tenth.has_value());
    CHECK(tenth->can_be_ticked);
    CHECK(to_hex(tenth->contact.id.view()) == ids.back());
    must(node::tick_milestone(p.ana.context, "10.11"));
    const auto state = domain::state_of(p.log_of(p.ana).states, must(domain::parse_item_id("10.11")));
    REQUIRE(state.tick.has_value());
    CHECK(state.tick->text == "KD0XBB, 2026-03-03T03:00Z, 146.94 MHz FM");
    CHECK(state.tick->day == day("2026-03-03"));
    CHECK_FALSE(shown(p, domain::MarkKind::tenth)->can_be_ticked);
}

TEST_CASE("a tick and a signature stand when the contact behind them is struck out") {
    LogPath p;
    p.work_out_exposure();
    const std::string id = p.log(p.contact("KF1XMD"));
    must(node::tick_milestone(p.ana.context, "09.06"));
    p.both();
    sign_item(p.ben, "Ana", "09.06");
    p.both();
    CHECK(phase_of(p, "09.06") == domain::Phase::is_signed);
    must(node::strike_contact(p.ana.context, "", id, "wrong log"));
    p.both();
    CHECK_FALSE(shown(p, domain::MarkKind::with_mentor).has_value());
    CHECK(phase_of(p, "09.06") == domain::Phase::is_signed);
}

TEST_CASE("the gates of the ladder hold for a milestone as for any tick") {
    LogPath p;
    p.log(p.contact("KF1XMD"));
    CHECK(must_fail(node::tick_milestone(p.ana.context, "09.06")).sentence().find("exposure") != std::string::npos);
    CHECK(phase_of(p, "09.06") == domain::Phase::open);
}

TEST_CASE("what the log does not show is not ticked") {
    LogPath p;
    const auto events = p.ana.events();
    CHECK(must_fail(node::tick_milestone(p.ana.context, "10.11")).fault() == Fault::not_found);
    CHECK(must_fail(node::tick_milestone(p.ana.context, "nonsense")).fault() == Fault::not_found);
    CHECK(p.ana.events() == events);
}

TEST_CASE("contacts as a guest count as a guest's, and ticking says whose guest") {
    LogPath p;
    auto guest = p.contact();
    guest.guest_of = "WB0XMN";
    p.log(guest);
    CHECK(shown(p, domain::MarkKind::first_as_guest).has_value());
    CHECK_FALSE(shown(p, domain::MarkKind::first).has_value());
    CHECK(must(node::tick_milestone(p.ana.context, "00.11")).sentence.empty() == false);
}

TEST_CASE("distance is known only from both locators, and by the least that they allow") {
    LogPath p;
    auto far = p.contact();
    far.comment = "simplex";
    far.locator = "FN31pr";
    p.log(far);
    CHECK_FALSE(shown(p, domain::MarkKind::direct_far).has_value());
    node::CardRequest card;
    card.locator = "FN31";  // the same square: it may be next door
    must(node::change_card(p.ana.context, card));
    CHECK_FALSE(shown(p, domain::MarkKind::direct_far).has_value());
    card.locator = "FN20";
    must(node::change_card(p.ana.context, card));
    CHECK(shown(p, domain::MarkKind::direct_far).has_value());
}
