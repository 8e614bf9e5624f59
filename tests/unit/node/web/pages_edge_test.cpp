// A member's own program can say whatever decodes: the first day and the last, the largest numbers, the longest lists,
// words about everybody and every event. Every page of everybody opens all the same.

#include "node/commands/export.hpp"
#include "node/commands/review.hpp"
#include "tests/support/scratch.hpp"
#include "tests/support/test_size.hpp"
#include "tests/unit/node/web/edge_cast.hpp"
#include "tests/unit/node/web/page_crawl.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

constexpr std::size_t addresses_a_route = 3;

struct Found {
    std::string broken;   // the first page that does not open, and what it says
    int at_the_edge = 0;  // pages that show the last day
};

Found look_through(const PagesOf& pages) {
    Found out;
    crawl(pages, addresses_a_route, [&](const std::string& address, const node::web::Response& response) {
        if (response.status >= 500 && out.broken.empty()) out.broken = address + ": " + response.body;
        if (has(response.body, "9999-12-31")) ++out.at_the_edge;
    });
    return out;
}

// Pages that show the last day.
int check_pages(std::uint64_t seed) {
    CAPTURE(seed);
    int at_the_edge = 0;
    Cast cast;
    let_everybody_say(cast, seed);
    for (const PagesOf* pages : {&cast.newcomers, &cast.mentors, &cast.officers}) {
        const Found found = look_through(*pages);
        CHECK_MESSAGE(found.broken.empty(), found.broken);
        at_the_edge += found.at_the_edge;
    }
    return at_the_edge;
}

}  // namespace

TEST_CASE("Whatever members' own programs say, every page of everybody opens") {
    int at_the_edge = 0;
    for (int seed = 0; seed < 2 * test_size(); ++seed) at_the_edge += check_pages(seed);
    CHECK(at_the_edge > 0);
}

TEST_CASE("Whatever members' own programs say, the club's 36 questions are answered") {
    Cast cast;
    let_everybody_say(cast, 100);
    for (int number = 1; number <= 36; ++number) {
        CAPTURE(number);
        CHECK(node::question(cast.officer.context, number).has_value());
    }
}

TEST_CASE("Whatever members' own programs say, everybody's records can be taken out as files") {
    Cast cast;
    let_everybody_say(cast, 200);
    const ScratchFolder folder;
    for (MemberNode* member : {&cast.newcomer, &cast.mentor, &cast.officer}) {
        const auto counts = node::export_all(member->context, folder.path() / to_hex(member->id().view()));
        CHECK(must(counts).events > 100);
    }
}
