// Whoever is out says two things at one place of their own log: that takes the log back and nothing else.

#include <doctest/doctest.h>

#include "store/circles/wrap_shelf.hpp"
#include "tests/support/protocol/made_up_fork.hpp"
#include "tests/support/store/founded_circle.hpp"

using namespace ladderline;
using namespace ladderline::test;
using namespace ladderline::protocol;

namespace {

// Ben said something on which everybody's next event builds, and then his time in the club was over.
struct BensLog {
    BensLog() {
        club.admit(club.node, club.ben, MemberRole::newcomer);
        club.welcome(bens, club.ben);
        club.say(bens, kind::paper_box, codec::encode(PaperBoxBody{club.ben.box.pub}));
        carry(bens, club.node, club.circle);
        const auto heads = club.node.log.heads(club.circle).value();
        for (const LogHead& head : heads) {
            const Run run = club.node.log.read_run(club.circle, head.log, 0).value();
            if (run.opening->device != club.ben.device_id()) continue;
            opening = *run.opening;
            cut = {head.log, head.next_seq - 1, head.head};
        }
    }
    void new_key() {
        club.rotate(club.node);
        key = id_of_key(club.node.log.current_key(club.circle).value());
    }
    void fork() {
        const ForkProof proof = made_up_fork(club.circle, club.ben.device, opening, 0, club.random);
        REQUIRE(club.node.log.append_fork_proof(club.circle, proof).value());
    }
    bool gets_the_new_key() {
        store::KnownStates states(club.node.db);
        store::StoreShelf shelf(states, club.node.log, club.random, club.ben.noise.pub);
        shelf.set_today(Day{20'000});
        return shelf.copy_for_peer(club.circle, key, tag_of(key, club.ben.box.pub)).value().has_value();
    }
    KeyId written_under() { return id_of_key(club.node.log.current_key(club.circle).value()); }

    FoundedCircle club{91, CircleKind::club};
    EventLogNode bens{93};
    LogOpening opening;
    Cut cut;
    KeyId key;
};

}  // namespace

TEST_CASE("Somebody removed who forks their log gets no new key by it") {
    BensLog story;
    story.club.say(story.club.node, kind::remove,
                   codec::encode(RemoveBody{story.club.ben.id(), "because", {story.cut}}));
    story.new_key();
    REQUIRE_FALSE(story.gets_the_new_key());
    story.fork();
    CHECK_FALSE(story.gets_the_new_key());
}

TEST_CASE("After the fork of somebody removed the circle goes on writing under the key that they never had") {
    BensLog story;
    story.club.say(story.club.node, kind::remove,
                   codec::encode(RemoveBody{story.club.ben.id(), "because", {story.cut}}));
    story.new_key();
    story.fork();
    CHECK(story.written_under() == story.key);
}

TEST_CASE("Somebody who left and forks the leaving away gets no new key by it") {
    BensLog story;
    story.club.say(story.bens, kind::leave, codec::encode(LeaveBody{{story.cut}}));
    carry(story.bens, story.club.node, story.club.circle);
    story.new_key();
    REQUIRE_FALSE(story.gets_the_new_key());
    story.fork();
    CHECK_FALSE(story.gets_the_new_key());
}

TEST_CASE("A device reported lost that forks its log gets no new key by it") {
    BensLog story;
    story.club.say(story.club.node, kind::revoke,
                   codec::encode(RevokeBody{story.club.ben.device_id(), "lost", {story.cut}}));
    story.new_key();
    REQUIRE_FALSE(story.gets_the_new_key());
    story.fork();
    CHECK_FALSE(story.gets_the_new_key());
}
