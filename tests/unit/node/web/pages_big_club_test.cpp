// Branches that only a big club's pages take: lists page by page, names typed instead of chosen, parts on a page of
// their own. Its people stand in the tables alone, because a thousand joins would take minutes.

#include "node/commands/old_records.hpp"
#include "node/commands/sees.hpp"
#include "node/web/pages/paging.hpp"
#include "protocol/event/bodies.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Paging;
using node::web::Url;
using protocol::CircleKind;
using protocol::MemberId;
using protocol::MemberRole;

namespace {

struct BigClub : Cast {
    protocol::CircleId club = officer.circle(CircleKind::club);
    std::size_t people = 0;

    MemberId add(MemberRole role, bool gone = false) {
        MemberId id{};
        id.data[0] = 0xA0;
        id.data[1] = static_cast<std::uint8_t>(++people >> 8);
        id.data[2] = static_cast<std::uint8_t>(people);
        std::string digits = std::to_string(people);
        digits.insert(0, 4 - digits.size(), '0');
        must(
            officer.db().run("INSERT INTO member (circle, member, role, level, name, minor, removed) "
                             "VALUES (?1,?2,?3,0,?4,0,?5)",
                             club, id, role, "Person " + digits, std::int64_t{gone ? 2 : 0}));
        return id;
    }
    void add(std::size_t count, MemberRole role) {
        for (std::size_t i = 0; i < count; ++i) add(role);
    }
    // Somebody who left and whose card is still here.
    void add_old(std::size_t count) {
        for (std::size_t i = 0; i < count; ++i) {
            const MemberId id = add(MemberRole::newcomer, true);
            const auto log = static_cast<std::int64_t>(100'000 + people);
            protocol::CardBody card;
            card.name = "Card";
            const Bytes payload = protocol::codec::encode(card);
            must(
                officer.db().run("INSERT INTO author (log_ref, circle, member, role, level, seq_min, seq_max) "
                                 "VALUES (?1,?2,?3,0,0,0,1000)",
                                 log, club, id));
            must(
                officer.db().run("INSERT INTO shown (circle, kind, log_ref, seq, id, said, count, payload) "
                                 "VALUES (?1,?2,?3,0,?4,5,0,?5)",
                                 club, protocol::kind::card, log, id, payload));
            must(
                officer.db().run("INSERT INTO shown_latest (circle, kind, log_ref, seq_first, said_first, seq, id, "
                                 "said, count, payload, plain, story) VALUES (?1,?2,?3,0,5,0,?4,5,0,?5,1,x'')",
                                 club, protocol::kind::card, log, id, payload));
        }
    }
};

std::size_t count(const std::string& page, std::string_view words) {
    std::size_t out = 0;
    for (std::size_t at = page.find(words); at != std::string::npos; at = page.find(words, at + 1)) out += 1;
    return out;
}

Paging paging(const std::string& from, std::size_t all, std::size_t lines) {
    node::web::Request request;
    if (!from.empty()) request.query.add("from", from);
    return {request, all, lines};
}

std::string links_of(const Paging& paging) {
    return paging.links([](std::size_t from) { return node::web::url("/x?from={}", from); }).markup();
}

}  // namespace

TEST_CASE("A list that fits one page has no links to others") {
    CHECK(links_of(paging("", 20, 20)).empty());
    CHECK(links_of(paging("", 0, 20)).empty());
    CHECK(paging("", 20, 20).end() == 20);
}

TEST_CASE("A list of several pages names the lines before and after, without a way beyond its ends") {
    CHECK(links_of(paging("", 45, 20)) == "<p>1 to 20 of 45. <a href=\"/x?from=20\">The next 20</a></p>");
    CHECK(links_of(paging("20", 45, 20)) ==
          "<p>21 to 40 of 45. <a href=\"/x?from=0\">The 20 before</a> <a href=\"/x?from=40\">The next 5</a></p>");
    CHECK(links_of(paging("40", 45, 20)) == "<p>41 to 45 of 45. <a href=\"/x?from=20\">The 20 before</a></p>");
}

TEST_CASE("A page number that makes no sense leads to a page that is there") {
    CHECK(paging("-3", 45, 20).begin() == 0);
    CHECK(paging("many", 45, 20).begin() == 0);
    CHECK(paging("27", 45, 20).begin() == 20);
    CHECK(paging("9223372036854775807", 45, 20).begin() == 40);
    CHECK(paging("7", 0, 20).begin() == 0);
}

TEST_CASE("Old records of a big club come two hundred a page, each with its count") {
    BigClub club;
    club.add_old(230);
    const std::string first = club.officers.body("/club/old");
    CHECK(count(first, "has left, and no consent stands") == 200);
    CHECK(has(first, "/club/old?from=200"));
    CHECK_FALSE(has(first, "Person 0201"));
    const std::string second = club.officers.body("/club/old?from=200");
    CHECK(count(second, "has left, and no consent stands") == 30);
    CHECK(has(second, "Person 0201"));
    CHECK(must(node::old_records(club.officer.context)).back().records == 1);
}

TEST_CASE("Old records are dropped whole, whichever page they were looked at from") {
    BigClub club;
    club.add_old(230);
    PageForm drop = club.officers.form("/club/old?from=200", "/club/old");
    drop.set("old-sure", "yes");
    CHECK(has(club.officers.follow(club.officers.send(drop)), "230 records of 230 people"));
    CHECK(must(node::old_people(club.officer.context)).empty());
}

TEST_CASE("The people of a big club stand behind a link, two hundred a page with their machines") {
    BigClub club;
    club.add(220, MemberRole::newcomer);
    const std::string brief = club.officers.body("/circles");
    CHECK(has(brief, "223 people (newcomer 221, mentor 1, officer 1)"));
    CHECK_FALSE(has(brief, "Person 0001"));
    const std::string all = club.officers.body("/circles?all=1");
    CHECK(has(all, "/circles?all=1&amp;from=200"));
    CHECK(has(all, "<bdi>Marten</bdi>: test node"));
    CHECK_FALSE(has(all, "Person 0220"));
    CHECK(has(club.officers.body("/circles?all=1&from=200"), "<bdi>Person 0220</bdi>: no machine"));
}

TEST_CASE("Of those who are gone a page names two hundred and says how many more there are") {
    BigClub club;
    for (int i = 0; i < 203; ++i) club.add(MemberRole::newcomer, true);
    CHECK(has(club.officers.body("/circles"), "3 more are gone, and keep what they had"));
}

TEST_CASE("What a page shows of a club's machines is what folding everything shows") {
    Cast cast;
    for (MemberNode* member : {&cast.officer, &cast.newcomer}) {
        for (const node::CircleView& circle : must(node::circles(member->db()))) {
            const auto persons = must(node::people(member->db(), circle.id));
            const node::CircleSight some = must(node::sight_of_some(member->context, circle, persons));
            const node::CircleSight full = must(node::sight_of(member->context, circle));
            CHECK(some.key == full.key);
            CHECK(some.key_since == full.key_since);
            CHECK(some.gone == full.gone);
            CHECK(some.notes == full.notes);
            REQUIRE(some.people.size() == full.people.size());
            for (std::size_t i = 0; i < some.people.size(); ++i) {
                CHECK(some.people[i].key == full.people[i].key);
                CHECK(some.people[i].devices == full.people[i].devices);
                CHECK(some.people[i].reads == full.people[i].reads);
            }
        }
    }
}

TEST_CASE("In a big club a name is typed where a small one's people are chosen from a list") {
    BigClub club;
    club.add(40, MemberRole::newcomer);
    CHECK_FALSE(has(club.officers.body("/goings"), "name=\"remove-name\""));
    CHECK(has(club.officers.body("/circles"), "<select id=\"f-reach-person\""));
    club.add(280, MemberRole::newcomer);
    CHECK(has(club.officers.body("/goings"), "name=\"remove-name\""));
    CHECK_FALSE(has(club.officers.body("/circles"), "<select id=\"f-reach-person\""));
    CHECK(has(club.officers.body("/circles"), "Their name or call sign"));
}

TEST_CASE("Names are typed on the board of a big club, and what is typed is found") {
    BigClub club;
    club.add(110, MemberRole::mentor);
    CHECK(has(club.officers.body("/club/pairing"), "<select id=\"f-apart-newcomer\""));  // of them there are few
    CHECK_FALSE(has(club.officers.body("/club/pairing"), "<select id=\"f-gone-mentor\""));
    PageForm gone = club.officers.form("/club/pairing", "/club/pairing/out-of-reach");
    gone.set("gone-sure", "yes");
    gone.set("gone-mentor", "Person 9");
    CHECK(club.officers.send(gone).status == 404);
    gone.set("gone-mentor", "Person 0007");
    CHECK(club.officers.send(gone).status == 303);
}

TEST_CASE("A big club's proposal comes fifty newcomers a page, and beyond the last is the last") {
    BigClub club;
    club.add(119, MemberRole::newcomer);
    const auto lines = [&](const std::string& address) {
        return count(club.officers.body(address), "nobody can be proposed now");
    };
    CHECK(lines("/club/pairing") == 50);
    CHECK(lines("/club/pairing?from=100") == 20);
    const auto beyond = club.officers.get("/club/pairing?from=4000");
    CHECK(beyond.status == 303);
    CHECK(beyond.header_value("Location") == "/club/pairing?from=100");
}

TEST_CASE("Mentors who cannot be for the same reason stand in one line, many of them as a number") {
    BigClub club;
    club.add(29, MemberRole::mentor);
    const std::string board = club.officers.body("/club/pairing");
    CHECK(has(board, " and 10 more: "));
    CHECK(board.size() < 40'000);
}

TEST_CASE("What else could be done has a page of its own in a big club, where any mentor can be asked about") {
    BigClub club;
    club.add(600, MemberRole::newcomer);
    club.add(29, MemberRole::mentor);
    const std::string board = club.officers.body("/club/pairing");
    CHECK(has(board, "href=\"/club/pairing/else\""));
    CHECK_FALSE(has(board, "Takes one more"));
    const std::string page = club.officers.body("/club/pairing/else");
    CHECK(has(page, "10 mentors are asked about here, 20 are not"));
    CHECK_FALSE(has(page, "<bdi>Person 0629</bdi>"));
    CHECK(has(club.officers.body("/club/pairing/else?mentor=Person+0629"), "<bdi>Person 0629</bdi>"));
    CHECK(has(club.officers.body("/club/pairing/else?mentor=Zacharias"), "Nobody"));
}

TEST_CASE("Whoever has a free place is asked about before those who have none") {
    BigClub club;
    club.add(50, MemberRole::mentor);
    node::CardRequest request;
    request.room = 2;
    must(node::change_card(club.mentor.context, request));
    club.everybody_syncs();
    const std::string page = club.officers.body("/club/pairing/else");
    CHECK(page.find("<bdi>Marten</bdi>") != std::string::npos);
    CHECK(page.find("<bdi>Marten</bdi>") < page.find("<bdi>Person"));
}

TEST_CASE("The review of a big club stops its lists and says how many more there are") {
    BigClub club;
    club.add(200, MemberRole::newcomer);
    const std::string page = club.officers.body("/club");
    CHECK(has(page, "And 53 more; the field at the top finds anybody."));
    CHECK(page.size() < 150'000);
}
