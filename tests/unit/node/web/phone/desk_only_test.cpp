#include "node/web/phone/desk_only.hpp"

#include "node/web/phone/phone_door.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using namespace ladderline::node::web;

TEST_CASE("For every form of every page it is decided whether a telephone may send it") {
    SetClock clock;
    MemberNode member(clock, 3);
    boost::asio::io_context io;
    LiveHub hub;
    Router router;
    PhoneDoor door(io.get_executor(), router, hub, member.context.env, {[] { return std::vector<OwnAddress>(); }, 0});
    add_pages(router, member.context, {{}, nullptr, &door, nullptr});
    int forms = 0;
    for (const Router::Pattern& pattern : router.patterns()) {
        if (pattern.method != Method::post) continue;
        CAPTURE(pattern.text);
        CHECK(phone_rule(pattern.text).decided);
        ++forms;
    }
    CHECK(forms > 60);
}

TEST_CASE("What cannot be undone, lets others in, opens the door or brings files stays on the machine") {
    for (const char* path : {"/goings/leave", "/goings/take-back", "/goings/lost", "/goings/remove", "/goings/consent",
                             "/club/old", "/club/officer", "/club/take-over", "/club/step-down", "/circles/invite",
                             "/circles/let-in", "/phone/open", "/store/copy", "/contact/file", "/practise/pools"}) {
        CAPTURE(path);
        CHECK_FALSE(phone_rule(path).may);
        CHECK_FALSE(phone_rule(path).why.empty());
    }
}

TEST_CASE("Everyday forms may be sent from a telephone") {
    for (const char* path : {"/way/01.01", "/people/aabb/sign", "/contact", "/contact/quick", "/card", "/lock",
                             "/phone/shut", "/practise", "/mock/mark"}) {
        CAPTURE(path);
        CHECK(phone_rule(path).may);
    }
}

TEST_CASE("A form that nobody has decided about stays on the machine") {
    CHECK_FALSE(phone_rule("/something/new").may);
    CHECK_FALSE(phone_rule("/something/new").decided);
    CHECK_FALSE(phone_rule("/goings").may);
}
