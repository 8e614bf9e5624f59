#pragma once
// A club for the tests of the review.

#include <deque>

#include "node/commands/review.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline::test {

// Olga's club. Newcomers' rows are put together by hand, so that every field can be chosen.
struct ReviewClub {
    SetClock clock;
    MemberNode olga{clock, 1};
    std::deque<MemberNode> members;

    ReviewClub() {
        clock.to("2026-03-02T18:00Z");
        begin_as(olga, "Olga", protocol::MemberRole::officer, false, "Hill Club");
    }
    MemberNode& enter(const std::string& name, protocol::MemberRole role, bool under_18 = false) {
        MemberNode& member = members.emplace_back(clock, 10 + members.size());
        begin_as(member, name, role, under_18);
        join(olga, member, name, protocol::CircleKind::club, role, under_18);
        return member;
    }
    protocol::ClubRowBody row(const std::string& stage = "05") {
        protocol::ClubRowBody out;
        out.stage = stage;
        out.consent_until = day("2027-12-31");
        return out;
    }
    // As the newcomer's own node would say it.
    void show(MemberNode& member, const protocol::ClubRowBody& body) {
        const auto club = member.circle(protocol::CircleKind::club);
        std::vector<protocol::EventId> before;
        for (const auto& view : must(node::shown(member.db(), club, protocol::kind::club_row))) {
            if (view.by == member.id()) before.push_back(view.id);
        }
        must(node::say(member.context, club, protocol::kind::club_row, protocol::codec::encode(body), before));
        sync(olga, member);
    }
    MemberNode& newcomer(const std::string& name, const protocol::ClubRowBody& body) {
        MemberNode& member = enter(name, protocol::MemberRole::newcomer);
        show(member, body);
        return member;
    }
    node::Review review() { return must(node::review(olga.context)); }
    std::vector<std::string> who(int number) {
        std::vector<std::string> out;
        for (const auto& person : must(node::question(olga.context, number)).who) out.push_back(person.name);
        return out;
    }
    Day today() { return olga.context.today(); }
};

}  // namespace ladderline::test
