// How long ago somebody was heard from, on the page of those who help.

#include "node/commands/contacts.hpp"
#include "node/commands/help.hpp"
#include "node/commands/meetings.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

std::string peoples_page(Cast& cast) {
    cast.everybody_syncs();
    return cast.mentors.body("/people");
}

// Somebody who ticked something ten days ago.
struct Quiet : Cast {
    Quiet() {
        tick_item(newcomer, "01.17");
        clock.pass_days(10);
    }
};

}  // namespace

TEST_CASE("What a mentor writes is no news of the newcomer") {
    Quiet cast;
    CHECK(has(peoples_page(cast), "quiet for 10 days"));
    must(node::assign(cast.mentor.context, {"Nadia", {"01.18"}}));
    CHECK(has(peoples_page(cast), "quiet for 10 days"));
}

TEST_CASE("A question of theirs is news of them") {
    Quiet cast;
    must(node::ask_for_help(cast.newcomer.context, "knots", std::nullopt));
    CHECK_FALSE(has(peoples_page(cast), "quiet for"));
}

TEST_CASE("A contact that they write down is news of them") {
    Quiet cast;
    node::ContactRequest request;
    request.start = cast.clock.wall();
    request.worked = "KD0XBB";
    request.frequency = "146.52";
    request.mode = "FM";
    request.guest_of = "KD0XCC";
    must(node::log_contact(cast.newcomer.context, request));
    CHECK_FALSE(has(peoples_page(cast), "quiet for"));
}

TEST_CASE("Their word on an arranged contact is news of them, and the mentor's is not") {
    for (const bool by_mentor : {true, false}) {
        Quiet cast;
        node::MeetRequest request;
        request.who = "Nadia";
        request.start = cast.clock.wall();
        request.first_frequency = "146.52";
        must(node::meet(cast.mentor.context, request));
        cast.everybody_syncs();
        MemberNode& who = by_mentor ? cast.mentor : cast.newcomer;
        must(node::meet_outcome(who.context, {by_mentor ? "Nadia" : "", "", protocol::MeetOutcome::made}));
        CHECK(has(peoples_page(cast), "quiet for") == by_mentor);
    }
}
