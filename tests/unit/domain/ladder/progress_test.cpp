#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "node/domain/ladder/papers.hpp"
#include "tests/unit/domain/ladder/people.hpp"

namespace ladderline::test {
namespace {

using namespace ladderline::domain;
using K = StatementKind;

const Day when = day("2026-11-20");

ItemState state_after(std::initializer_list<K> kinds) {
    std::vector<Statement> all;
    std::uint8_t n = 0;
    for (const K kind : kinds) {
        ++n;
        const bool mentor = kind == K::sign || kind == K::assign;
        all.push_back(says(n, kind, mentor ? ben : ann, n));
        all.back().day = when;
    }
    return derive(all);
}

// Every item before `until` ticked and signed.
States done_before(ItemId until) {
    States states;
    for (const Item& item : shipped_edition().items) {
        if (item.id < until) states[item.id] = state_after({K::tick, K::sign});
    }
    return states;
}

Progress of(const States& states, const WayFacts& facts, const Papers& papers = {}) {
    return progress(shipped_edition(), states, facts, papers);
}

WayFacts adult() {
    WayFacts facts;
    facts.owner = ann;
    return facts;
}

WayFacts minor() {
    WayFacts facts = adult();
    facts.under_18 = true;
    return facts;
}

TEST_CASE("a new way begins at the first stage with its first item") {
    const Progress p = of({}, adult());
    CHECK(p.current_stage == 0);
    CHECK_FALSE(p.furthest_stage);
    REQUIRE(p.next);
    CHECK(p.next->item == ItemId{0, 1});
    CHECK(p.next->reason == Reason::next_in_order);
}

TEST_CASE("when everything is done there is no stage and no next step") {
    const Progress p = of(done_before({99, 99}), minor());
    CHECK_FALSE(p.current_stage);
    CHECK_FALSE(p.next);
    CHECK(p.waiting.empty());
    CHECK(p.furthest_stage == 19);
}

TEST_CASE("a skipped or resting item holds no stage and is no next step") {
    for (const K aside : {K::skip, K::rest}) {
        States states = done_before({6, 1});
        for (const Item& item : shipped_edition().items) {
            if (item.id.stage == 6) states[item.id] = state_after({aside});
        }
        const Progress p = of(states, adult());
        CHECK(p.current_stage == 7);
        CHECK(p.next->item == ItemId{7, 1});
    }
}

TEST_CASE("a case that may never come holds no stage until it is asked for") {
    States states = done_before({5, 18});
    CHECK(of(states, adult()).current_stage == 6);
    states[{5, 18}] = state_after({K::assign});
    CHECK(of(states, adult()).current_stage == 5);
}

TEST_CASE("what the mentor ticks holds no newcomer up") {
    States states = done_before({9, 1});
    for (const Item& item : shipped_edition().items) {
        const bool by_newcomer = item.id.stage == 9 && item.ticks == TickWord::newcomer;
        if (by_newcomer) states[item.id] = state_after({K::tick, K::sign});
    }
    CHECK(of(states, adult()).current_stage == 10);
}

TEST_CASE("somebody who passed before joining is not sent back to pack for the exam, but safety stays") {
    States states = done_before({1, 1});
    WayFacts facts = adult();
    facts.exam_passed = when;
    const Progress p = of(states, facts);
    CHECK(p.next->item == ItemId{1, 14});  // three dangers, aloud
    states[{1, 14}] = states[{2, 2}] = state_after({K::tick, K::sign});
    CHECK(of(states, facts).next->item == ItemId{3, 11});  // what follows the pass on the day itself
    Papers papers;
    papers.grant = when;
    CHECK(of(states, facts, papers).current_stage == 4);
}

TEST_CASE("the register makes the call sign the next step, and what is sent under it waits for the tick") {
    States states;
    states[known_item::first_contact] = state_after({K::assign});
    Papers papers;
    papers.grant = when;
    CHECK(of(states, adult(), papers).next->item == known_item::grant_visible);
    states[known_item::grant_visible] = state_after({K::tick});
    CHECK(of(states, adult(), papers).next->item == known_item::exposure_sheet);
    states[known_item::grant_visible] = state_after({K::skip});
    CHECK(of(states, adult(), papers).next->item == ItemId{0, 1});
}

TEST_CASE("a missed fee is filed again while the certificate counts, and neither is offered after it") {
    WayFacts facts = adult();
    facts.exam_passed = facts.fee_notice = when;
    Papers papers;
    papers.fee_missed = true;
    CHECK(of({}, facts, papers).next->item == ItemId{4, 5});
    const States asked{{{4, 5}, state_after({K::tick})}};
    CHECK(of(asked, facts, papers).next->item == ItemId{0, 1});
    papers.certificate_over = true;
    CHECK(of({}, facts, papers).next->item == ItemId{0, 1});
    CHECK(of({}, facts, papers).waiting.empty());
    CHECK(of(done_before({4, 1}), facts, papers).next->item == ItemId{4, 7});
}

TEST_CASE("the furthest stage is the last with a milestone, whatever lies open before it") {
    States states;
    states[{13, 5}] = state_after({K::tick});
    states[{14, 2}] = state_after({K::tick});  // a skill
    const Progress p = of(states, adult());
    CHECK(p.furthest_stage == 13);
    CHECK(p.last_milestone == when);
    CHECK(p.current_stage == 0);
}

TEST_CASE("under 18 the guardian and the second adult come first, whatever was asked for") {
    States states;
    states[{6, 2}] = state_after({K::assign});
    Progress p = of(states, minor());
    CHECK(p.next->item == known_item::guardian_agrees);
    CHECK(p.next->reason == Reason::minor_first);
    states[known_item::guardian_agrees] = state_after({K::tick});
    p = of(states, minor());
    CHECK(p.next->item == known_item::second_adult_named);
    states[known_item::second_adult_named] = state_after({K::tick});
    CHECK(of(states, minor()).next->reason == Reason::assigned);
}

TEST_CASE("under 18 the two that come first are not passed over by setting them aside, whichever program did it") {
    for (const K aside : {K::skip, K::rest}) {
        States states;
        states[known_item::guardian_agrees] = state_after({aside});
        const Progress p = of(states, minor());
        CHECK(p.next->item == known_item::guardian_agrees);
        CHECK(p.current_stage == 0);
        states[known_item::guardian_agrees] = state_after({K::tick, aside});
        CHECK(of(states, minor()).next->item == known_item::second_adult_named);
    }
}

TEST_CASE("an adult never sees the items for people under 18") {
    const Progress p = of({}, adult());
    const Progress m = of({}, minor());
    int difference = 0;
    for (std::size_t i = 0; i < p.stages.size(); ++i) difference += m.stages[i].all - p.stages[i].all;
    CHECK(difference == 5);
}

TEST_CASE("of the items asked for the first on the ladder comes next") {
    States states;
    states[{8, 4}] = state_after({K::assign});
    states[{6, 2}] = state_after({K::assign});
    const Progress p = of(states, adult());
    CHECK(p.next->item == ItemId{6, 2});
    CHECK(p.next->reason == Reason::assigned);
}

TEST_CASE("an item asked for and then skipped is not pressed") {
    States states;
    states[{6, 2}] = state_after({K::assign, K::skip});
    CHECK(of(states, adult()).next->item == ItemId{0, 1});
}

TEST_CASE("the running fee comes before what was asked for") {
    States states;
    states[{8, 4}] = state_after({K::assign});
    WayFacts facts = adult();
    facts.exam_passed = facts.fee_notice = when;
    CHECK(of(states, facts).next->item == known_item::fee_paid);
    CHECK(of(states, facts).next->reason == Reason::deadline);
    facts.fee_paid = when;
    CHECK(of(states, facts).next->item == ItemId{8, 4});
}

TEST_CASE("a contact asked for before the grant is passed over; after it the exposure sheet comes first") {
    States states;
    states[known_item::first_contact] = state_after({K::assign});
    CHECK(of(states, adult()).next->item == ItemId{0, 1});
    states[known_item::grant_visible] = state_after({K::tick});
    Progress p = of(states, adult());
    CHECK(p.next->item == known_item::exposure_sheet);
    CHECK(p.next->reason == Reason::safety_first);
    states[known_item::exposure_sheet] = state_after({K::tick});
    CHECK(of(states, adult()).next->reason == Reason::next_in_order);  // the sheet waits for its signature
    states[known_item::exposure_sheet] = state_after({K::tick, K::sign});
    CHECK(of(states, adult()).next->item == known_item::first_contact);
}

TEST_CASE("a sheet that was opened again is worked out before sending, though somebody signed it unseen") {
    States states;
    states[known_item::first_contact] = state_after({K::assign});
    states[known_item::grant_visible] = state_after({K::tick});
    states[known_item::exposure_sheet] = state_after({K::tick, K::sign, K::reopen, K::sign});
    CHECK(of(states, adult()).next->item == known_item::exposure_sheet);
}

TEST_CASE("a re-opened safety item comes before the next on the way") {
    States states = done_before({13, 6});
    states[{7, 12}] = state_after({K::tick, K::sign, K::reopen});
    const Progress p = of(states, adult());
    CHECK(p.next->item == ItemId{7, 12});
    CHECK(p.next->reason == Reason::reopened);
}

TEST_CASE("while the grant is awaited the next step is something else to do") {
    States states = done_before({4, 6});
    const Progress p = of(states, adult());
    CHECK(p.next->item == ItemId{4, 7});
    REQUIRE(p.waiting.size() == 1);
    CHECK(p.waiting.front().what == Awaited::grant);
}

TEST_CASE("who rests is not pressed, but still sees where they are") {
    WayFacts facts = adult();
    facts.resting = true;
    const Progress p = of({}, facts);
    CHECK_FALSE(p.next);
    CHECK(p.current_stage == 0);
}

TEST_CASE("what others must do is listed, oldest first") {
    States states;
    states[{6, 2}] = state_after({K::tick});           // a signature
    states[{6, 3}] = state_after({K::tick, K::sign});  // nothing any more
    states[{5, 11}] = state_after({K::tick});          // needs none
    states[known_item::guardian_agrees] = state_after({K::tick, K::sign});
    WayFacts facts = minor();
    facts.asked_mentor = when + 2;
    facts.asked_for_mentor = when + -2;
    facts.exam_passed = when + -1;
    std::vector<Awaited> what;
    for (const Waiting& w : of(states, facts).waiting) what.push_back(w.what);
    const std::vector<Awaited> expected{Awaited::mentor, Awaited::fee_notice, Awaited::second_adult, Awaited::signature,
                                        Awaited::mentor_reply};
    CHECK(what == expected);
}

TEST_CASE("a signature by the ticker alone still waits for another") {
    States states;
    states[{0, 5}] = ticked_and_signed(cleo, cleo, when);
    const Progress p = of(states, minor());
    const auto waits = [](const Waiting& w) { return w.what == Awaited::signature && w.item == ItemId{0, 5}; };
    CHECK(std::any_of(p.waiting.begin(), p.waiting.end(), waits));
}

TEST_CASE("the counts of a stage add up to its items") {
    States states;
    states[{6, 1}] = state_after({K::tick});
    states[{6, 2}] = state_after({K::tick, K::sign});
    states[{6, 3}] = state_after({K::skip});
    states[{6, 4}] = state_after({K::rest});
    states[{6, 5}] = state_after({K::tick, K::reopen});
    const Progress p = of(states, adult());
    const StageCount& c = p.stages[6];
    CHECK(c.all == 18);
    CHECK(c.ticked == 1);
    CHECK(c.is_signed == 1);
    CHECK(c.skipped == 1);
    CHECK(c.resting == 1);
    CHECK(c.reopened == 1);
    CHECK(c.open + c.ticked + c.is_signed + c.withdrawn + c.reopened + c.resting + c.skipped == c.all);
}

TEST_CASE("a yearly item is looked at again after 365 days, one of each change has no date of its own") {
    const Edition& edition = shipped_edition();
    const ItemState done = ticked_and_signed(ann, ben, day("2026-01-05"));
    CHECK(recheck_day(*edition.find({7, 8}), done) == day("2027-01-05"));
    CHECK(recheck_day(*edition.find({13, 13}), done) == day("2026-04-06"));
    CHECK_FALSE(recheck_day(*edition.find({7, 12}), done));
    CHECK_FALSE(recheck_day(*edition.find({7, 8}), {}));
    const States states{{{7, 8}, done}};
    CHECK(rechecks_due(edition, states, day("2027-01-04")).empty());
    CHECK(rechecks_due(edition, states, day("2027-01-05")) == std::vector{ItemId{7, 8}});
}

}  // namespace
}  // namespace ladderline::test
