#pragma once
// Plays a story through the program's own commands, each person on a store of their own: real identities, real
// signatures, the production append path. Members who only show a card are let in together and have a store for as long
// as that takes; what others say reaches somebody as far as it decides anything for them. The officer's store is the
// caller's.

#include <map>
#include <memory>
#include <set>

#include "tests/club_year/story.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline::club_year {

class Play {
public:
    // `officer`: the first officer's node, which has begun nothing yet. Both outlive this; `clock` is the officer's
    // too.
    Play(const Story& story, test::SetClock& clock, node::Context& officer);
    ~Play();
    Play(const Play&) = delete;
    Play& operator=(const Play&) = delete;

    // Everything up to the end of that day, seen by the officer at 20:00 UTC of it.
    void until(Day day);
    protocol::MemberId id(int who) const { return ids_.at(who); }

private:
    void act(const Act& a);
    void act_on_path(const Act& a);
    void act_of_others(const Act& a);
    void show_card(const Act& a);
    void leave(int who);
    void begin(int who);
    void let_in(int who);
    void let_in_the_others();
    void seat(const Act& a);
    void take_seat_from_outside(const Act& a);
    void show_study(const Act& a);
    node::Context& node(int who);
    bool has_node(int who) const { return who == first_officer || nodes_.contains(who); }
    std::string key(int who) const { return to_hex(ids_.at(who).view()); }
    protocol::CircleId path(int newcomer) const { return paths_.at(newcomer); }

    // Events that `to` lacks; only logs of `of` where there are any.
    void send(node::Context& from, node::Context& to, const protocol::CircleId& circle);
    void send_decisions(int to);
    void give_keys(node::Context& from, node::Context& to, const protocol::CircleId& circle);
    void meet_on_path(int newcomer, int other);
    // What newcomers said in the club, to the officer.
    void collect(int who);

    const Story& story_;
    test::SetClock& clock_;
    node::Context& officer_;
    std::size_t next_ = 0;
    protocol::CircleId club_;
    std::map<int, std::unique_ptr<test::MemberNode>> nodes_;
    std::map<int, protocol::MemberId> ids_;
    std::map<int, protocol::CircleId> paths_;
    std::map<int, std::set<int>> seated_;  // by newcomer: who helps on the path
    std::set<int> deciding_;               // whose logs in the club hold acts that decide who belongs
    std::map<int, protocol::EventId> meetings_;
};

}  // namespace ladderline::club_year
