// Finding something from every page, and the keys.

#include <set>

#include "node/commands/contacts.hpp"
#include "node/commands/search.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

void log(Cast& cast, const char* call, const char* comment) {
    node::ContactRequest request;
    request.worked = call;
    request.start = cast.clock.now;
    request.frequency = "14.28";
    request.mode = "SSB";
    request.guest_of = "KD0XCC";
    request.comment = comment;
    request.another = true;
    must(node::log_contact(cast.newcomer.context, request));
    cast.clock.pass_minutes(5);
}

}  // namespace

TEST_CASE("Every page has a field to find something, named for the screen reader") {
    Cast cast;
    for (const char* address : {"/", "/way", "/circles", "/card", "/find?q=xx", "/keys"}) {
        CAPTURE(address);
        const std::string page = cast.newcomers.body(address);
        CHECK(has(page, "<label for=\"f-q\">Find</label>"));
        CHECK(has(page, "action=\"/find\""));
    }
}

TEST_CASE("A person is found by part of the name in any case, with the circles they are in") {
    Cast cast;
    const auto found = must(node::search(cast.mentor.context, "nAd"));
    REQUIRE(found.people.size() == 1);
    CHECK(found.people[0].name == "Nadia");
    CHECK(found.people[0].places.size() == 2);
    CHECK(found.people[0].path_shared);
    CHECK(has(cast.mentors.body("/find?q=nad"), "<a href=\"" + cast.bench() + "\">Nadia</a>"));
}

TEST_CASE("Who shares no path with somebody gets no link to it") {
    Cast cast;
    CHECK_FALSE(must(node::search(cast.officer.context, "nadia")).people.at(0).path_shared);
}

TEST_CASE("An item is found by words that need not stand together") {
    Cast cast;
    const auto found = must(node::search(cast.newcomer.context, "exposure sheet"));
    REQUIRE_FALSE(found.items.empty());
    for (const auto& item : found.items) CHECK(cast.newcomer.context.edition.find(item.id) != nullptr);
    CHECK(has(cast.newcomers.body("/find?q=07.12"), "href=\"/way/07.12\""));
}

TEST_CASE("A contact is found by call sign or remark, by its author and by whoever shares the path") {
    Cast cast;
    log(cast, "KD0XBB", "windy evening");
    cast.everybody_syncs();
    CHECK(must(node::search(cast.newcomer.context, "kd0xbb")).contacts.at(0).own);
    const auto theirs = must(node::search(cast.mentor.context, "windy"));
    REQUIRE(theirs.contacts.size() == 1);
    CHECK(theirs.contacts[0].whose_name == "Nadia");
    CHECK(must(node::search(cast.officer.context, "windy")).empty());
}

TEST_CASE("Every word must stand in what is found") {
    Cast cast;
    log(cast, "KD0XBB", "windy evening");
    CHECK(must(node::search(cast.newcomer.context, "windy evening")).contacts.size() == 1);
    CHECK(must(node::search(cast.newcomer.context, "windy morning")).contacts.empty());
}

TEST_CASE("One letter is too little to look for, and the page says so") {
    Cast cast;
    CHECK(must_fail(node::search(cast.newcomer.context, " x ")).fault() == Fault::bad_input);
    CHECK(has(cast.newcomers.body("/find?q=x"), "Write at least two characters"));
}

TEST_CASE("What is looked for comes back as text, markup too") {
    Cast cast;
    const std::string page = cast.newcomers.body("/find?q=%3Cscript%3Ealert(1)%3C%2Fscript%3E");
    CHECK_FALSE(has(page, "<script>alert"));
    CHECK(has(page, "Nothing with"));
}

TEST_CASE("More than fifty of a kind are cut off, which is said") {
    Cast cast;
    for (int i = 0; i < 51; ++i) log(cast, "KD0XBB", "windy");
    const auto found = must(node::search(cast.newcomer.context, "windy"));
    CHECK(found.contacts.size() == node::found_max);
    CHECK(found.more);
    CHECK(has(cast.newcomers.body("/find?q=windy"), "There is more; add a word."));
}

TEST_CASE("The page of keys lists each link's key, and no key leads to two places") {
    Cast cast;
    for (const PagesOf* pages : {&cast.newcomers, &cast.mentors, &cast.officers}) {
        const std::string page = pages->body("/keys");
        std::set<std::string> seen;
        for (std::size_t at = page.find("accesskey=\""); at != std::string::npos;
             at = page.find("accesskey=\"", at + 1)) {
            const std::string key = page.substr(at + 11, 1);
            CAPTURE(key);
            CHECK(seen.insert(key).second);
            CHECK(has(page, "<kbd>" + key + "</kbd>"));
        }
        CHECK(seen.size() >= 5);
    }
}
