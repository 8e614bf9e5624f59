// Members on clocks of their own: what their words say of the time, and what is noted of it.

#include "node/app/clock_watch.hpp"

#include <doctest/doctest.h>

#include "node/commands/today.hpp"
#include "tests/support/node/member_fixture.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

// A clock that can be set anew while its machine runs.
class OwnClock : public SetClock {
public:
    MonoTime monotonic() override { return {now.ms - set_forward_ms}; }

    std::int64_t set_forward_ms = 0;
};

// Olive's club; Ada and Ben are in it. Olive watches.
class Club {
public:
    Club() {
        begin_as(olive, "Olive", MemberRole::officer, false, "Example Club");
        begin_as(ada, "Ada", MemberRole::newcomer);
        begin_as(ben, "Ben", MemberRole::newcomer);
        id = olive.circle(CircleKind::club);
        join(olive, ada, "Ada", CircleKind::club, MemberRole::newcomer);
        join(olive, ben, "Ben", CircleKind::club, MemberRole::mentor);
        watch.start();
    }
    // Says something, and Olive's node takes it in.
    void speaks(MemberNode& who) {
        node::CardRequest request;
        request.room = ++said_;
        must(node::change_card(who.context, request));
        send_circle(who, olive, id);
        watch.on_settled(id);
    }
    std::string note() { return must(node::clock_note(olive.context)); }

    OwnClock right;
    SetClock adas;
    SetClock bens;
    MemberNode olive{right, 1};
    MemberNode ada{adas, 2};
    MemberNode ben{bens, 3};
    protocol::CircleId id;
    std::set<protocol::DhPublic> in_step;
    node::ClockWatch watch{olive.context, std::nullopt,
                           [this](const protocol::DhPublic& peer) { return in_step.contains(peer); }};

private:
    std::uint8_t said_ = 0;
};

bool has(const std::string& text, std::string_view part) {
    return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("words of right clocks are no reason to say anything") {
    Club c;
    c.speaks(c.ada);
    c.speaks(c.ben);
    CHECK(c.note().empty());
}

TEST_CASE("one whose clock is ahead is named, today says it, and right words of theirs take it back") {
    Club c;
    c.bens.pass_days(100);
    c.speaks(c.ben);
    CHECK(has(c.note(), "By the clock of Ben it is"));
    CHECK(must(node::today(c.olive.context)).clock == c.note());
    c.bens = c.right;
    c.speaks(c.ben);
    CHECK(c.note().empty());
}

TEST_CASE("words from before are old without a clock being wrong, unless their node was in step") {
    Club c;
    c.bens.pass_days(-100);
    c.speaks(c.ben);
    CHECK(c.note().empty());
    c.in_step.insert(c.ben.me().noise.pub);
    c.speaks(c.ben);
    CHECK(has(c.note(), "By the clock of Ben it is"));
}

TEST_CASE("where two others are ahead, the own clock is suspected") {
    Club c;
    c.adas.pass_days(3);
    c.bens.pass_days(3);
    c.speaks(c.ada);
    c.speaks(c.ben);
    CHECK(has(c.note(), "so this one is most likely wrong"));
}

TEST_CASE("after the own clock jumped, what others said before compares with nothing") {
    Club c;
    c.bens.pass_days(100);
    c.speaks(c.ben);
    REQUIRE_FALSE(c.note().empty());
    c.right.pass_days(100);
    c.right.set_forward_ms = 100LL * 86'400'000;
    c.watch.look();
    CHECK(c.note().empty());
}

TEST_CASE("a clock set back behind what was written here is said at the next opening") {
    Club c;
    c.right.pass_days(-30);
    must(node::look_at_clock(c.olive.context, {}));
    CHECK(has(c.note(), "what you wrote here last is dated"));
}

TEST_CASE("others who agree settle it for good that it was the clock of before") {
    Club c;
    c.right.pass_days(-30);
    c.bens.pass_days(-30);
    c.watch.look();
    REQUIRE(has(c.note(), "what you wrote here last is dated"));
    c.in_step.insert(c.ben.me().noise.pub);
    c.speaks(c.ben);
    CHECK(c.note().empty());
    must(node::look_at_clock(c.olive.context, {}));
    CHECK(c.note().empty());
}

TEST_CASE("a clock from before the program was made is said whoever agrees") {
    Club c;
    must(node::look_at_clock(c.olive.context, {WallTime{c.right.now.ms + 400LL * 86'400'000}, {}}));
    CHECK(has(c.note(), "this program was made on"));
}

TEST_CASE("a command that listens to nobody leaves what was noted of others, and a node that starts does not") {
    Club c;
    c.bens.pass_days(100);
    c.speaks(c.ben);
    must(node::look_at_clock(c.olive.context, {}));
    CHECK(has(c.note(), "By the clock of Ben it is"));
    node::ClockWatch anew(c.olive.context, std::nullopt, [](const protocol::DhPublic&) { return false; });
    anew.start();
    CHECK(c.note().empty());
}
