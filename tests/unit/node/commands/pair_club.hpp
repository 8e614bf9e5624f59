#pragma once

#include "node/commands/pair_wishes.hpp"
#include "node/commands/pairing.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline::test {

// Olga's club with newcomers and mentors whose cards hold weekly times.
struct PairClub {
    SetClock clock;
    MemberNode olga{clock, 1};

    PairClub() {
        clock.to("2026-03-02T18:00Z");
        begin_as(olga, "Olga", protocol::MemberRole::officer, false, "Hill Club");
    }

    void enter(MemberNode& member, const std::string& name, protocol::MemberRole role, bool under_18 = false) {
        // Whoever becomes an officer of a club that is there begins as something else.
        begin_as(member, name, role == protocol::MemberRole::officer ? protocol::MemberRole::mentor : role, under_18);
        join(olga, member, name, protocol::CircleKind::club, role, under_18);
        clock.pass_minutes(1);
    }
    void card(MemberNode& member, const std::string& times, std::uint8_t room = 0, const std::string& locator = "",
              std::vector<std::string> topics = {}) {
        node::CardRequest request;
        request.zone = "America/New_York";
        request.windows = must(node::parse_windows(times));
        request.room = room;
        request.locator = locator;
        request.topics = std::move(topics);
        must(node::change_card(member.context, request));
        sync(olga, member);
    }
    node::PairProposal propose() { return must(node::propose_pairs(olga.context)); }
    void agree(const std::string& newcomer, const std::string& mentor) {
        must(node::agree_pair(olga.context, newcomer, mentor));
    }
};

// Ana, who learns, and Ben, a mentor; their cards say nothing yet.
struct OnePair : PairClub {
    MemberNode ana{clock, 2};
    MemberNode ben{clock, 3};

    OnePair() {
        enter(ana, "Ana", protocol::MemberRole::newcomer);
        enter(ben, "Ben", protocol::MemberRole::mentor);
    }
};

inline bool any_has(const std::vector<std::string>& sentences, const std::string& part) {
    for (const std::string& sentence : sentences) {
        if (sentence.find(part) != std::string::npos) return true;
    }
    return false;
}

// Mia, under 18, with her guardian and Olga, the club's officer, as second adult.
struct MinorClub : PairClub {
    MemberNode mia{clock, 2};
    MemberNode ben{clock, 3};
    MemberNode gus{clock, 4};

    MinorClub() {
        enter(mia, "Mia", protocol::MemberRole::newcomer, true);
        enter(ben, "Ben", protocol::MemberRole::mentor);
        begin_as(gus, "Gus", protocol::MemberRole::guardian);
        join(mia, gus, "Gus", protocol::CircleKind::path, protocol::MemberRole::guardian);
        sync(olga, mia);
        must(node::let_onto_path(mia.context, "Olga", protocol::MemberRole::second_adult, 0));
        sync(olga, mia);
    }
    void guardian_agrees() {
        tick_item(gus, "00.05", "signed today", "Mia");
        sync(gus, mia);
        sync(mia, olga);
    }
};

// Olga and Otto are officers; Ana learns; Ben and Cat mentor.
struct LifeClub : PairClub {
    MemberNode ana{clock, 2};
    MemberNode ben{clock, 3};
    MemberNode cat{clock, 4};
    MemberNode otto{clock, 5};

    LifeClub() {
        enter(ana, "Ana", protocol::MemberRole::newcomer);
        enter(ben, "Ben", protocol::MemberRole::mentor);
        enter(cat, "Cat", protocol::MemberRole::mentor);
        enter(otto, "Otto", protocol::MemberRole::officer);
        card(ana, "Tue 18:00-21:00", 0, "FN31");
        card(ben, "Tue 18:00-21:00", 1, "FN31");
        card(cat, "Tue 18:00-21:00", 1, "FN31");
        everybody_syncs();
    }
    void everybody_syncs() {
        for (int round = 0; round < 2; ++round) {
            for (MemberNode* member : {&ana, &ben, &cat, &otto}) sync(olga, *member);
        }
        clock.pass_minutes(1);
    }
    node::Done done(Result<node::Done> result) {
        node::Done out = must(std::move(result));
        everybody_syncs();
        return out;
    }
    node::WishRequest speaks(const std::string& language) {
        node::WishRequest out;
        out.languages = std::vector<std::string>{language};
        return out;
    }
    void paired(const std::string& mentor = "Ben") { done(node::agree_pair(olga.context, "Ana", mentor)); }
    node::PairOfMine mine(MemberNode& member, std::size_t which = 0) {
        return must(node::my_pairings(member.context)).at(which);
    }
    std::optional<protocol::PairingStep> step_of(MemberNode& mentor, MemberNode& seen_by) {
        const auto club = seen_by.circle(protocol::CircleKind::club);
        for (const auto& pair : must(node::pairings(seen_by.db(), club))) {
            if (pair.newcomer == ana.id() && pair.mentor == mentor.id()) return pair.step;
        }
        return std::nullopt;
    }
    std::vector<std::string> reasons() { return propose().lines.at(0).reasons_not; }
};

}  // namespace ladderline::test
