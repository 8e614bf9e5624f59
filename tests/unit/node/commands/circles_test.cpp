#include "node/commands/circles.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "node/commands/club_row.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

struct Two {
    SetClock clock;
    MemberNode ana{clock, 1};
    MemberNode ben{clock, 2};

    explicit Two(bool under_18 = false) {
        clock.to("2026-03-02T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer, under_18);
        begin_as(ben, "Ben", MemberRole::mentor);
    }
    node::Invite invite(MemberRole role, CircleKind kind = CircleKind::path) {
        node::InviteRequest request;
        request.circle = kind;
        request.role = role;
        return must(node::invite(ana.context, request));
    }
    protocol::WelcomeMessage use(const node::Invite& invite, MemberNode& guest, const std::string& name,
                                 bool under_18 = false) {
        return must(
            node::let_in(ana.context, must(node::parse_code(invite.code)).id, join_message(guest, name, under_18)));
    }
};

TEST_CASE("a newcomer and a mentor who joined their path hold the same path") {
    Two t;
    join(t.ana, t.ben, "Ben", CircleKind::path, MemberRole::mentor);
    CHECK(must(node::way(t.ben.context, "Ana")).people.size() == 2);
}

TEST_CASE("nobody can hide somebody else's card by saying that theirs replaces it") {
    Two t;
    join(t.ana, t.ben, "Ben", CircleKind::path, MemberRole::mentor);
    const protocol::CircleId path = t.ana.circle(CircleKind::path);
    const auto cards = must(node::shown(t.ben.db(), path, protocol::kind::card));
    std::vector<protocol::EventId> all;
    for (const node::ShownView& card : cards) all.push_back(card.id);
    REQUIRE(all.size() == 2);
    protocol::CardBody card;
    card.name = "Ben";
    must(node::say(t.ben.context, path, protocol::kind::card, protocol::codec::encode(card), all));
    sync(t.ana, t.ben);
    CHECK(must(node::shown(t.ana.db(), path, protocol::kind::card)).size() == 2);
}

TEST_CASE("a store is begun once") {
    Two t;
    const auto before = t.ana.events();
    node::BeginRequest again;
    again.name = "Ana";
    CHECK(must_fail(node::begin(t.ana.context, again)).fault() == Fault::refused);
    CHECK(t.ana.events() == before);
}

TEST_CASE("a beginning that makes no sense stores nothing and says what to do") {
    SetClock clock;
    struct Bad {
        const char* name;
        MemberRole role;
        bool under_18;
        std::string club;
        const char* sentence;
    };
    const Bad table[] = {
        {"", MemberRole::newcomer, false, "", "Say the name you want to be called: --name NAME."},
        {"Ana", MemberRole::newcomer, false, "Hill Club",
         "A club is founded by an officer: begin --as officer --club NAME."},
        {"Olga", MemberRole::officer, false, "", "An officer begins a club: say its name with --club NAME."},
        {"Kid", MemberRole::mentor, true, "", "Somebody under 18 begins as a newcomer."},
        {"Olga", MemberRole::officer, false, std::string(97, 'x'), "That name is too long; use a shorter one."},
    };
    for (const Bad& bad : table) {
        MemberNode node(clock, 7);
        node::BeginRequest request;
        request.name = bad.name;
        request.role = bad.role;
        request.under_18 = bad.under_18;
        request.club = bad.club;
        CHECK(must_fail(node::begin(node.context, request)).sentence() == bad.sentence);
        CHECK(node.events() == 0);
    }
}

TEST_CASE("an invite lets one person in, once") {
    Two t;
    MemberNode cat(t.clock, 3);
    const auto invite = t.invite(MemberRole::mentor);
    CHECK(t.use(invite, t.ben, "Ben").joined.has_value());
    const auto before = t.ana.events();
    const auto second = t.use(invite, cat, "Cat");
    CHECK_FALSE(second.joined.has_value());
    CHECK(second.refusal == "This invite is used up or over; ask for a new one.");
    CHECK(t.ana.events() == before);
}

TEST_CASE("an invite is over after its last moment") {
    Two t;
    const auto invite = t.invite(MemberRole::mentor);
    const auto id = must(node::parse_code(invite.code)).id;
    t.clock.now = {invite.expires.ms - 1};
    CHECK(must(node::secret_of_invite(t.ana.context, id)).has_value());
    t.clock.now = invite.expires;
    CHECK_FALSE(must(node::secret_of_invite(t.ana.context, id)).has_value());
    CHECK_FALSE(t.use(invite, t.ben, "Ben").joined.has_value());
}

TEST_CASE("every single typing mistake in an invite code is noticed") {
    Two t;
    const std::string code = t.invite(MemberRole::mentor).code;
    for (std::size_t at = 7; at < code.size(); ++at) {
        std::string wrong = code;
        wrong[at] = wrong[at] == '7' ? '8' : '7';
        CHECK(must_fail(node::parse_code(wrong)).fault() == Fault::bad_input);
    }
}

TEST_CASE("an invite code may be typed in small letters, with blanks and hyphens") {
    Two t;
    std::string code = t.invite(MemberRole::mentor).code;
    const auto right = must(node::parse_code(code));
    code.insert(12, "\r\n");
    code.insert(20, "-");
    for (char& c : code) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    CHECK(must(node::parse_code("  " + code + "\n")).secret == right.secret);
}

TEST_CASE("a code that is cut short is named as incomplete") {
    Two t;
    const std::string code = t.invite(MemberRole::mentor).code;
    for (const std::size_t length :
         {std::size_t{0}, std::size_t{3}, std::size_t{7}, std::size_t{20}, code.size() - 1}) {
        CHECK_FALSE(node::parse_code(code.substr(0, length)).has_value());
    }
}

TEST_CASE("what is wrong with a code is named: its beginning, a character with its place, or its end") {
    Two t;
    const std::string code = t.invite(MemberRole::mentor).code;
    const auto said = [](const std::string& typed) { return must_fail(node::parse_code(typed)).sentence(); };
    CHECK(said("192.168.1.20:7300").find("begins with LADDER-") != std::string::npos);
    std::string strange = code;
    strange[10] = '!';
    CHECK(said(strange).find("The character '!' at place 4 after LADDER-") == 0);
    CHECK(said(code.substr(0, 40)).find("The end of this invite code is missing") == 0);
    std::string slip = code;
    slip[10] = slip[10] == '7' ? '8' : '7';
    CHECK(said(slip).find("typing mistake") != std::string::npos);
}

TEST_CASE("words that were copied along before a code do not count") {
    Two t;
    const std::string code = t.invite(MemberRole::mentor).code;
    CHECK(must(node::parse_code("here it is: " + code)).secret == must(node::parse_code(code)).secret);
}

TEST_CASE("the check letters of a code are twelve, and others once the address or the secret is another") {
    Two t;
    const auto code = must(node::parse_code(t.invite(MemberRole::mentor).code));
    const std::string letters = node::check_letters_of(code);
    CHECK(letters.size() == 12);
    CHECK(letters.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZ") == std::string::npos);
    auto elsewhere = code;
    elsewhere.address += "1";
    CHECK(node::check_letters_of(elsewhere) != letters);
    auto other = code;
    other.secret[0] ^= 1;
    CHECK(node::check_letters_of(other) != letters);
}

TEST_CASE("a code whose address could steer a terminal is no code, though its check characters fit") {
    for (const std::string& address : {std::string("\x1B[2J:7300"), std::string("a b:7300"),
                                       std::string("\xC2\x9B:7300"), std::string("\xFF:7300"), std::string(97, 'x')}) {
        const std::string code = node::to_code({{}, Bytes(32, 4), address});
        CHECK(must_fail(node::parse_code(code)).fault() == Fault::bad_input);
    }
    const std::string code = node::to_code({{}, Bytes(32, 4), "[2001:db8::7]:7300"});
    CHECK(must(node::parse_code(code)).address == "[2001:db8::7]:7300");
}

TEST_CASE("a mentor cannot invite onto somebody else's path") {
    Two t;
    join(t.ana, t.ben, "Ben", CircleKind::path, MemberRole::mentor);
    CHECK(must_fail(node::invite(t.ben.context, {})).fault() == Fault::not_found);
}

TEST_CASE("an invite is good for one to sixty days") {
    Two t;
    for (const std::int32_t days : {0, 61}) {
        node::InviteRequest request;
        request.days = days;
        CHECK(must_fail(node::invite(t.ana.context, request)).fault() == Fault::bad_input);
    }
}

TEST_CASE("officers have no seat on a path") {
    Two t;
    node::InviteRequest request;
    request.role = MemberRole::officer;
    CHECK(must_fail(node::invite(t.ana.context, request)).fault() == Fault::bad_input);
}

TEST_CASE("who is on the path already is told so and the invite stays good") {
    Two t;
    join(t.ana, t.ben, "Ben", CircleKind::path, MemberRole::mentor);
    const auto invite = t.invite(MemberRole::second_adult);
    CHECK(t.use(invite, t.ben, "Ben").refusal == "You are in this circle already.");
    MemberNode cat(t.clock, 3);
    CHECK(t.use(invite, cat, "Cat").joined.has_value());
}

// --- Under 18

TEST_CASE("under 18 the guardian joins first") {
    Two t(true);
    for (const MemberRole role : {MemberRole::mentor, MemberRole::second_adult}) {
        node::InviteRequest request;
        request.role = role;
        CHECK(must_fail(node::invite(t.ana.context, request)).sentence() ==
              "This newcomer is under 18: the guardian joins first, then a second adult, then the mentor.");
    }
}

struct Minor : Two {
    MemberNode gus{clock, 3};
    MemberNode sue{clock, 4};

    Minor() : Two(true) {
        begin_as(gus, "Gus", MemberRole::guardian);
        begin_as(sue, "Sue", MemberRole::second_adult);
        join(ana, gus, "Gus", CircleKind::path, MemberRole::guardian);
    }
    void second_adult() { join(ana, sue, "Sue", CircleKind::path, MemberRole::second_adult); }
    void agreement() {
        tick_item(gus, "00.05", "agreed in writing", "Ana");
        sync(gus, ana);
    }
};

TEST_CASE("under 18 a second adult joins before the mentor") {
    Minor t;
    node::InviteRequest request;
    CHECK(
        must_fail(node::invite(t.ana.context, request)).sentence().find("a second adult must join before the mentor") !=
        std::string::npos);
}

TEST_CASE("under 18 the mentor joins only after the guardian's agreement") {
    Minor t;
    t.second_adult();
    const auto invite = t.invite(MemberRole::mentor);
    const auto before = t.ana.events();
    CHECK(t.use(invite, t.ben, "Ben").refusal.find("the guardian reads the plan and agrees") != std::string::npos);
    CHECK(t.ana.events() == before);
    t.agreement();
    CHECK(t.use(invite, t.ben, "Ben").joined.has_value());
}

TEST_CASE("somebody under 18 takes no adult's seat") {
    Two t;
    MemberNode kid(t.clock, 5);
    for (const MemberRole role : {MemberRole::mentor, MemberRole::guardian, MemberRole::second_adult}) {
        const auto welcome = t.use(t.invite(role), kid, "Kid", true);
        CHECK_FALSE(welcome.joined.has_value());
        CHECK(welcome.refusal == "Somebody under 18 joins as a newcomer; this seat is an adult's.");
    }
}

// --- Club

struct Club : Two {
    MemberNode olga{clock, 6};

    Club() {
        begin_as(olga, "Olga", MemberRole::officer, false, "Hill Club");
        join(olga, ana, "Ana", CircleKind::club, MemberRole::newcomer);
        join(olga, ben, "Ben", CircleKind::club, MemberRole::mentor);
        sync(olga, ana);
    }
};

TEST_CASE("a member of the club is let onto the path without a code") {
    Club t;
    must(node::let_onto_path(t.ana.context, "Ben", MemberRole::mentor, 3));
    sync(t.ana, t.ben);
    CHECK(must(node::way(t.ben.context, "Ana")).owner.name == "Ana");
    CHECK(must_fail(node::let_onto_path(t.ana.context, "Ben", MemberRole::mentor, 3)).fault() == Fault::refused);
}

TEST_CASE("the level on a path is not above the one that the club attests") {
    Club t;
    must(node::let_onto_path(t.ana.context, "Ben", MemberRole::mentor, 4));
    const auto people = must(node::way(t.ana.context, "")).people;
    const auto ben = std::find_if(people.begin(), people.end(), [](const auto& one) { return one.name == "Ben"; });
    REQUIRE(ben != people.end());
    CHECK(ben->level == 3);
}

TEST_CASE("a name that is part of another can be meant") {
    Club t;
    MemberNode bea(t.clock, 8);
    begin_as(bea, "Benita", MemberRole::mentor);
    join(t.olga, bea, "Benita", CircleKind::club, MemberRole::mentor);
    const auto club = t.olga.circle(CircleKind::club);
    CHECK(must(node::find_person(t.olga.context, club, "ben")).name == "Ben");
    CHECK(must_fail(node::find_person(t.olga.context, club, "be")).sentence() ==
          "'be' could be Ben, Benita; give more of the name.");
}

TEST_CASE("only officers let people into a club") {
    Club t;
    node::InviteRequest request;
    request.circle = CircleKind::club;
    CHECK(must_fail(node::invite(t.ben.context, request)).fault() == Fault::refused);
}

TEST_CASE("a card holds at most four characters of the locator") {
    Club t;
    node::CardRequest card;
    card.locator = "FN31pr";
    must(node::change_card(t.ben.context, card));
    CHECK(must(node::myself(t.ben.context, t.ben.circle(CircleKind::club))).card->locator == "FN31");
}

TEST_CASE("a card that cannot be held is refused and the old one stays") {
    Club t;
    const std::vector<std::string> many(65, "topic");
    const std::vector<std::string> long_one{std::string(97, 'x')};
    const auto before = t.ben.events();
    for (const auto& list : {many, long_one}) {
        node::CardRequest topics;
        topics.topics = list;
        CHECK(must_fail(node::change_card(t.ben.context, topics)).fault() == Fault::bad_input);
        node::CardRequest bands;
        bands.bands = list;
        CHECK(must_fail(node::change_card(t.ben.context, bands)).fault() == Fault::bad_input);
    }
    CHECK(t.ben.events() == before);
}

TEST_CASE("a changed card reaches the others and leaves the rest of it") {
    Club t;
    node::CardRequest room;
    room.room = 3;
    must(node::change_card(t.ben.context, room));
    node::CardRequest topics;
    topics.topics = std::vector<std::string>{"nets"};
    must(node::change_card(t.ben.context, topics));
    sync(t.ben, t.olga);
    const auto person = must(node::find_person(t.olga.context, t.olga.circle(CircleKind::club), "Ben"));
    CHECK(person.card->room == 3);
    CHECK(person.card->topics == std::vector<std::string>{"nets"});
}

TEST_CASE("weekly times are read as people write them") {
    const auto windows = must(node::parse_windows("Tue 18:00-21:00, Sun 23:00-01:30"));
    REQUIRE(windows.size() == 2);
    CHECK(windows[0].weekday == 2);
    CHECK(windows[0].start_minute == 18 * 60);
    CHECK(windows[1].weekday == 7);
    CHECK(windows[1].end_minute == 90);
    for (const char* bad : {"Tue", "Xyz 18:00-21:00", "Tue 25:00-26:00", "Tue 18:00-21:60", "Tue 18.00-21.00", ","}) {
        CHECK(must_fail(node::parse_windows(bad)).fault() == Fault::bad_input);
    }
}

TEST_CASE("the club gets a row only after consent, and a stop ends new rows") {
    Club t;
    const auto club = t.ana.circle(CircleKind::club);
    const auto rows = [&] { return must(node::shown_history(t.ana.db(), club, protocol::kind::club_row)).size(); };
    tick_item(t.ana, "00.01");
    CHECK(rows() == 0);
    must(node::share_with_club(t.ana.context, day("2026-12-31")));
    CHECK(rows() == 1);
    tick_item(t.ana, "01.20");
    CHECK(rows() == 2);
    must(node::stop_sharing(t.ana.context));
    tick_item(t.ana, "01.15");
    CHECK(rows() == 2);
}

TEST_CASE("a step that changes none of the twelve fields tells the club nothing") {
    Club t;
    must(node::share_with_club(t.ana.context, day("2026-12-31")));
    const auto club = t.ana.circle(CircleKind::club);
    tick_item(t.ana, "06.02");
    CHECK(must(node::shown_history(t.ana.db(), club, protocol::kind::club_row)).size() == 1);
}

TEST_CASE("consent is for a day to come and for two years at most") {
    Club t;
    CHECK(must_fail(node::share_with_club(t.ana.context, day("2026-03-01"))).fault() == Fault::bad_input);
    CHECK(must_fail(node::share_with_club(t.ana.context, day("2028-03-04"))).fault() == Fault::bad_input);
}

}  // namespace
}  // namespace ladderline
