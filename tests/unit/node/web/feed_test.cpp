// The calendar feed: who is let in, and what is in it.

#include "node/commands/feed.hpp"

#include "node/commands/items.hpp"
#include "node/web/guard.hpp"
#include "tests/support/protocol/seeded_random.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::node;
using namespace ladderline::test;
using node::web::Guard;
using node::web::Method;
using node::web::Request;

namespace {

constexpr MonoTime start{1000};
const std::string secret(64, 'a');

Request look(const std::string& path) {
    Request request;
    request.path = path;
    request.host = "127.0.0.1:7300";
    return request;
}

bool is_let_in(Guard& guard, Request request) {
    const auto stopped = guard.admit(request, start);
    if (stopped) CHECK(stopped->status == 403);
    return !stopped;
}

}  // namespace

TEST_CASE("a calendar program that names the secret is let in, for looking and there alone") {
    SeededRandom random{7};
    Guard guard({7300, 0, 8}, random);
    guard.allow_feed(secret);
    CHECK(guard.feed_address() == "http://127.0.0.1:7300/feed/" + secret);
    CHECK(is_let_in(guard, look("/feed/" + secret)));
    CHECK_FALSE(is_let_in(guard, look("/feed/" + std::string(64, 'b'))));
    CHECK_FALSE(is_let_in(guard, look("/feed/")));
    CHECK_FALSE(is_let_in(guard, look("/way")));
    CHECK_FALSE(is_let_in(guard, look("/way/feed/" + secret)));
    Request post = look("/feed/" + secret);
    post.method = Method::post;
    CHECK_FALSE(is_let_in(guard, post));
    Request elsewhere = look("/feed/" + secret);
    elsewhere.fetch_site = "cross-site";
    CHECK_FALSE(is_let_in(guard, elsewhere));
    Request renamed = look("/feed/" + secret);
    renamed.host = "example.org:7300";
    CHECK_FALSE(is_let_in(guard, renamed));
}

TEST_CASE("without a feed nobody is let in, not even with an empty secret") {
    SeededRandom random{7};
    Guard guard({7300, 0, 8}, random);
    CHECK_FALSE(is_let_in(guard, look("/feed/")));
    CHECK_FALSE(is_let_in(guard, look("/feed/" + secret)));
}

TEST_CASE("the feed's secret stays until another one is asked for, and is gone when the feed is shut") {
    Cast cast;
    Context& context = cast.newcomer.context;
    CHECK(must(feed_secret(context)).empty());
    const std::string first = must(open_feed(context, false));
    CHECK(first.size() == 64);
    CHECK(must(open_feed(context, false)) == first);
    const std::string second = must(open_feed(context, true));
    CHECK(second != first);
    CHECK(must(feed_secret(context)) == second);
    must(shut_feed(context));
    CHECK(must(feed_secret(context)).empty());
}

TEST_CASE("a mentor's feed holds the days that run on the ways of their newcomers") {
    Cast cast;
    TickRequest passed;
    passed.item = "3.8";
    passed.day = cast.newcomer.context.today();
    must(tick(cast.newcomer.context, passed));
    cast.everybody_syncs();
    for (MemberNode* member : {&cast.newcomer, &cast.mentor}) {
        const auto answer = PagesOf(*member).get("/feed/" + secret);
        CHECK(answer.content_type.starts_with("text/calendar"));
        CHECK(has(answer.body, "BEGIN:VEVENT"));
        CHECK(has(answer.body, "SUMMARY:Nadia: "));
        CHECK(has(answer.body, "UID:due-"));
    }
}

TEST_CASE("a last day is a date in the feed, so that it begins at midnight wherever the calendar is read") {
    Cast cast;
    TickRequest passed;
    passed.item = "3.8";
    passed.day = cast.newcomer.context.today();
    must(tick(cast.newcomer.context, passed));
    const WayView view = must(way(cast.newcomer.context, ""));
    REQUIRE_FALSE(view.due.empty());
    std::string day = to_iso(view.due.front().day);
    std::erase(day, '-');
    const std::string text = must(feed_calendar(cast.newcomer.context));
    CHECK(has(text, "DTSTART;VALUE=DATE:" + day + "\r\nSUMMARY:"));
    CHECK_FALSE(has(text, "T000000Z"));
}
