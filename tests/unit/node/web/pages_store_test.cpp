// Whether what stands in the store would survive.

#include "node/commands/store_state.hpp"
#include "store/upkeep/instance_notice.hpp"
#include "store/upkeep/last_check.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

TEST_CASE("A store without a copy and a check says so, and how to make them") {
    Cast cast;
    const std::string page = cast.newcomers.body("/store");
    CHECK(has(page, "The spare key is not written down yet."));
    CHECK(has(page, "No copy was made yet."));
    CHECK(has(page, "Not looked through yet."));
    CHECK(has(page, "ladderline backup FOLDER"));
}

TEST_CASE("A copy is good for a month, and then another is asked for") {
    Cast cast;
    must(node::note_copy(cast.newcomer.db(), cast.clock.now, "/media/stick/copy"));
    CHECK(has(cast.newcomers.body("/store"), "/media/stick/copy"));
    cast.clock.pass_days(31);
    CHECK_FALSE(has(cast.newcomers.body("/store"), "make another"));
    cast.clock.pass_days(1);
    CHECK(has(cast.newcomers.body("/store"), "That is 32 days ago; make another."));
}

TEST_CASE("That a store is older than it was stands on its page until somebody has read it") {
    Cast cast;
    CHECK_FALSE(has(cast.newcomers.body("/store"), "older than it was"));
    must(store::keep_instance_notice(cast.newcomer.db(), "This store went back in time. Let it sync."));
    CHECK(has(cast.newcomers.body("/store"), "This store went back in time. Let it sync."));
    const std::string after = cast.newcomers.follow(cast.newcomers.send(cast.newcomers.form("/store", "/store/read")));
    CHECK_FALSE(has(after, "This store went back in time"));
    CHECK_FALSE(has(cast.newcomers.body("/store"), "older than it was"));
}

TEST_CASE("A damaged store is said to be damaged, with what helps") {
    Cast cast;
    must(store::put_full_check(cast.newcomer.db(), {cast.clock.now, 3, 40, false, "1 log is damaged."}));
    const std::string page = cast.newcomers.body("/store");
    CHECK(has(page, "Damaged, as of"));
    CHECK(has(page, "ladderline mend"));
}

TEST_CASE("What is said of the events alone is not said of the whole store") {
    Cast cast;
    must(store::put_events_check(cast.newcomer.db(), {cast.clock.now, 3, 40, true, "All chains are whole."}));
    const std::string page = cast.newcomers.body("/store");
    CHECK(has(page, "Every event is whole, as of"));
    CHECK_FALSE(has(page, "Whole, as of"));
    CHECK(has(page, "ladderline check"));
    must(store::put_full_check(cast.newcomer.db(), {cast.clock.now, 3, 40, true, "All is whole."}));
    CHECK(has(cast.newcomers.body("/store"), "Whole, as of"));
    must(store::put_events_check(cast.newcomer.db(), {cast.clock.now, 3, 41, true, "All chains are whole."}));
    CHECK(has(cast.newcomers.body("/store"), "The whole store was good on"));
}

TEST_CASE("Those who hold a part of it are counted once each") {
    Cast cast;
    CHECK(must(node::store_state(cast.newcomer.context)).people == 2);
}
