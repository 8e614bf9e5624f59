// A member's own program can say whatever decodes: the first day and the last, the largest numbers, the longest lists,
// words about everybody and every event. Every page of everybody opens all the same.

#include "node/commands/export.hpp"
#include "node/commands/review.hpp"
#include "node/commands/study.hpp"
#include "tests/support/node/practice_pool.hpp"
#include "tests/support/protocol/edge_words.hpp"
#include "tests/support/scratch.hpp"
#include "tests/support/test_size.hpp"
#include "tests/unit/node/web/page_crawl.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

constexpr std::size_t addresses_a_route = 3;
constexpr std::int64_t day_ms = 86'400'000;

Subjects subjects_of(Cast& cast) {
    Subjects out;
    out.members = {cast.newcomer.id(), cast.mentor.id(), cast.officer.id()};
    must(cast.newcomer.db().query("SELECT id FROM event", [&](const store::sqlite::Row& row) {
        out.events.push_back(row.fixed<protocol::EventId>(0));
    }));
    out.words = {"01.17", "01.18",  "07.02", "09", "146.520", "14.070", "FM",  "2m",        "20m",          "KD0XBB",
                 "FN20",  "FN31pr", "E",     "T",  "2",       "T1A01",  "599", "2022-2026", "Europe/Berlin"};
    return out;
}

// Says one word of every kind in every circle that is held here, at a time that its clock is set to.
void say_everything(MemberNode& member, SeededRandom& random, const Subjects& subjects) {
    const WallTime now = member.context.now();
    for (const protocol::CircleId& circle : member.keys()) {
        for (const EdgeWord& word : edge_words(random, subjects)) {
            const std::int64_t ago = static_cast<std::int64_t>(random.next() % 400) * day_ms;
            must(member.log().append({circle, word.kind, word.payload}, WallTime{now.ms - ago}));
        }
    }
}

struct Found {
    std::string broken;   // the first page that does not open, and what it says
    int at_the_edge = 0;  // pages that show the last day
};

Found look_through(const PagesOf& pages) {
    Found out;
    crawl(pages, addresses_a_route, [&](const std::string& address, const node::web::Response& response) {
        if (response.status >= 500 && out.broken.empty()) out.broken = address + ": " + response.body;
        if (has(response.body, "9999")) ++out.at_the_edge;
    });
    return out;
}

void let_everybody_say(Cast& cast, std::uint64_t seed) {
    SeededRandom random(seed);
    must(node::import_pool(cast.newcomer.context, element_2_pool()));
    for (int round = 0; round < 3; ++round) {
        const Subjects subjects = subjects_of(cast);
        for (MemberNode* member : {&cast.newcomer, &cast.mentor, &cast.officer}) {
            say_everything(*member, random, subjects);
        }
        cast.everybody_syncs();
    }
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
