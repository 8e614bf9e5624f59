// Script in every field of every form of every page is text, wherever it is shown afterwards.

#include "node/commands/club_row.hpp"
#include "node/commands/contacts.hpp"
#include "node/commands/help.hpp"
#include "node/commands/meetings.hpp"
#include "node/commands/pair_requests.hpp"
#include "node/commands/pair_wishes.hpp"
#include "node/commands/pairing.hpp"
#include "tests/unit/node/web/page_crawl.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Method;
using node::web::Response;

namespace {

constexpr const char* script = "\"><script>alert(1)</script><img src=x>";
constexpr std::size_t addresses_a_route = 3;

bool is_inert(const Response& response) {
    if (!response.content_type.starts_with("text/html")) return true;  // never read as a page: sent with nosniff
    return !has(response.body, "<script>alert") && !has(response.body, "<img src=x");
}

struct FoundForm {
    const PagesOf* pages;
    std::string page;
    std::string route;  // that it is sent to
    PageForm form;
};

// One of each: sent to the same route, with the same fields.
std::vector<FoundForm> all_forms(const std::vector<PagesOf*>& of_all) {
    std::vector<FoundForm> out;
    std::set<std::string> known;
    for (PagesOf* pages : of_all) {
        for (const std::string& address : crawl(*pages, addresses_a_route)) {
            for (PageForm& form : forms_of(pages->body(address))) {
                const std::string route =
                    route_of(pages->router(), form.is_post ? Method::post : Method::get, form.action);
                std::string key = route;
                for (const auto& [name, value] : form.values) key += " " + name;
                for (const auto& [name, value] : form.buttons) key += " " + name + "=" + value;
                if (known.insert(key).second) out.push_back({pages, address, route, std::move(form)});
            }
        }
    }
    // What ends things comes last.
    std::stable_partition(out.begin(), out.end(), [](const FoundForm& f) { return !f.route.starts_with("/goings"); });
    return out;
}

Response sent(const FoundForm& found, const PageForm& form) {
    if (form.is_post) return found.pages->send(form);
    std::string address = form.action;
    for (const auto& [name, value] : form.values) {
        address += (address.find('?') == std::string::npos ? "?" : "&") + node::web::percent_encode(name) + "=" +
                   node::web::percent_encode(value);
    }
    return found.pages->get(address);
}

// What the form is answered with, and the page that the answer leads to. What is refused changes nothing.
void check_inert(const FoundForm& found, const PageForm& form) {
    const std::int64_t events = found.pages->events();
    const Response response = sent(found, form);
    CHECK(response.status != 500);
    if (response.status >= 400 && !has(response.body, "Saved in part")) CHECK(found.pages->events() == events);
    CHECK(is_inert(response));
    if (response.status == 303) CHECK(is_inert(found.pages->get(response.header_value("Location"))));
}

void put_card(MemberNode& member, std::uint8_t room) {
    node::CardRequest request;
    request.zone = "America/New_York";
    request.windows = must(node::parse_windows("Tue 18:00-21:00"));
    request.room = room;
    must(node::change_card(member.context, request));
}

// Something of everything, so that the forms about it are there.
void prepare(Cast& cast) {
    must(node::share_with_club(cast.newcomer.context, day("2027-06-30")));
    put_card(cast.mentor, 2);
    put_card(cast.newcomer, 0);
    tick_item(cast.newcomer, "01.17");
    tick_item(cast.newcomer, "01.18");
    node::ContactRequest contact;
    contact.worked = "KD0XBB";
    contact.start = cast.clock.now;
    contact.frequency = "146.94";
    contact.mode = "FM";
    contact.guest_of = "WB0XMN";
    must(node::log_contact(cast.newcomer.context, contact));
    cast.everybody_syncs();
    cast.clock.pass_minutes(1);
    sign_item(cast.mentor, "Nadia", "01.18");
    cast.everybody_syncs();
}

void arrange(Cast& cast) {
    node::MeetRequest request;
    request.with = "Marten";
    request.start = WallTime{cast.clock.now.ms + 3'600'000};
    request.first_frequency = "146.94";
    must(node::meet(cast.newcomer.context, request));
    cast.everybody_syncs();
}

struct Tally {
    std::set<std::string> routes;
    int forms = 0;
    int fields = 0;
    int pages = 0;
};

void fill_with_script(const FoundForm& found, Tally& tally) {
    CAPTURE(found.page);
    CAPTURE(found.route);
    tally.routes.insert(found.route);
    ++tally.forms;
    PageForm all = found.form;
    for (const std::string& name : found.form.typed) all.set(name, script);
    check_inert(found, all);
    for (const auto& [name, value] : found.form.values) {
        CAPTURE(name);
        if (name == "csrf") continue;
        PageForm one = found.form;
        one.set(name, script);
        check_inert(found, one);
        ++tally.fields;
    }
    for (const auto& [name, value] : found.form.buttons) {
        PageForm one = all;
        one.set(name, value);
        check_inert(found, one);
    }
}

void go_through(Cast& cast, Tally& tally) {
    const std::vector<PagesOf*> everybody{&cast.newcomers, &cast.mentors, &cast.officers};
    for (const FoundForm& found : all_forms(everybody)) fill_with_script(found, tally);
    cast.everybody_syncs();
    for (PagesOf* own : everybody) {
        for (const std::string& address : crawl(*own, addresses_a_route)) {
            CAPTURE(address);
            CHECK(is_inert(own->get(address)));
            ++tally.pages;
        }
    }
}

// Forms that only some circumstances show; the second test makes each of them.
const std::set<std::string> in_circumstances{
    "/exposure/forget",
    "/goings/consent",
    "/practise/why",
    "/club/end",
    "/club/asked",
    "/club/old",
    "/club/pairing/take-back",
    "/club/pairing/hand-over",
    "/club/pairing/together",
    "/club/pairing/not-cleared",
    "/pairing/no-matter",
    "/people/{who}/sign-many",
    "/people/{who}/side",
    "/people/{who}/contact/{id}",
    "/people/{who}/tick",
    "/evening",
    "/evening/outcome",
};

// Forms that neither test shows; each is driven by the tests of its own page.
const std::set<std::string> not_met{
    "/join/confirm",  // like those below, only while somebody is called or calls
    "/join/word",    "/join/drop", "/greet/open", "/greet/heard", "/greet/differ", "/greet/shut",
    "/store/read",  // only after a store went back in time, and without a field
};

// Fills the first form of that page that is sent to the route.
void drive(const PagesOf& pages, const std::string& address, const std::string& route, Tally& tally) {
    CAPTURE(address);
    CAPTURE(route);
    for (PageForm& form : forms_of(pages.body(address))) {
        const std::string to = route_of(pages.router(), form.is_post ? Method::post : Method::get, form.action);
        if (to != route) continue;
        fill_with_script({&pages, address, to, std::move(form)}, tally);
        return;
    }
    FAIL_CHECK("the page does not show this form");
}

void drive_pairing_notes(Tally& tally) {
    Cast cast(false);
    put_card(cast.mentor, 1);
    put_card(cast.newcomer, 0);
    cast.everybody_syncs();
    must(node::ask_pair(cast.officer.context, "Nadia", {"Marten"}));
    must(node::keep_apart(cast.officer.context, "Nadia", "Olga", true));
    must(node::note_clearance(cast.officer.context, "Olga", cast.officer.context.today() + 400, 1));
    must(node::not_with(cast.newcomer.context, "Marten", true));
    drive(cast.officers, "/club/pairing", "/club/pairing/take-back", tally);
    drive(cast.officers, "/club/pairing", "/club/pairing/together", tally);
    drive(cast.officers, "/club/pairing", "/club/pairing/not-cleared", tally);
    drive(cast.newcomers, "/pairing", "/pairing/no-matter", tally);
}

// Nadia and Marten, who rests.
void drive_pair(const std::string& address, const std::string& route, Tally& tally) {
    Cast cast;
    prepare(cast);
    must(node::agree_pair(cast.officer.context, "Nadia", "Marten"));
    node::CardRequest rest;
    rest.resting = true;
    must(node::change_card(cast.mentor.context, rest));
    put_card(cast.officer, 1);
    cast.everybody_syncs();
    drive(cast.officers, address, route, tally);
}

void drive_review(Tally& tally) {
    Cast cast;
    must(node::share_with_club(cast.newcomer.context, cast.newcomer.context.today() + 30));
    must(node::ask_for_help(cast.newcomer.context, "antenna", cast.newcomer.context.today() + -12));
    for (const char* item : {"00.03", "00.08", "01.17"}) tick_item(cast.newcomer, item);
    cast.everybody_syncs();
    drive(cast.mentors, cast.bench(), "/people/{who}/sign-many", tally);
    drive(cast.officers, "/club", "/club/asked", tally);
    cast.clock.pass_days(40);
    drive(cast.officers, "/club/old", "/club/old", tally);
}

}  // namespace

TEST_CASE("Script in every field of every form of every page comes out as text, at once and when it was stored") {
    Tally tally;
    {
        Cast cast;
        prepare(cast);
        arrange(cast);
        go_through(cast, tally);
    }
    {
        Cast cast;  // paired for so long that they are asked how it goes
        prepare(cast);
        must(node::agree_pair(cast.officer.context, "Nadia", "Marten"));
        cast.clock.pass_days(35);
        cast.everybody_syncs();
        go_through(cast, tally);
    }
    {
        Cast cast(false);  // without a mentor
        put_card(cast.mentor, 1);
        put_card(cast.newcomer, 0);
        cast.everybody_syncs();
        go_through(cast, tally);
    }
    {
        Cast cast(false);  // asked, and not paired yet
        must(node::ask_pair(cast.officer.context, "Nadia", {"Marten"}));
        cast.everybody_syncs();
        go_through(cast, tally);
    }
    const Cast any;
    for (const auto& pattern : any.officers.router().patterns()) {
        if (pattern.method != Method::post) continue;
        if (not_met.contains(pattern.text) || in_circumstances.contains(pattern.text)) continue;
        CAPTURE(pattern.text);
        CHECK(tally.routes.contains(pattern.text));
    }
    CHECK(tally.forms > 150);
    CHECK(tally.fields > 500);
    CHECK(tally.pages > 250);
}

namespace {

// A child and the guardian, who has not agreed yet.
struct Household {
    SetClock clock;
    MemberNode pia{clock, 31};
    MemberNode gus{clock, 32};
    PagesOf pages{gus};

    Household() {
        begin_as(pia, "Pia", protocol::MemberRole::newcomer, true);
        begin_as(gus, "Gus", protocol::MemberRole::guardian);
        join(pia, gus, "Gus", protocol::CircleKind::path, protocol::MemberRole::guardian);
    }
};

void drive_guardian(Tally& tally) {
    const Household agrees;
    drive(agrees.pages, "/goings", "/goings/consent", tally);
    Household ticks;
    MemberNode sue{ticks.clock, 33};
    begin_as(sue, "Sue", protocol::MemberRole::mentor);
    join(ticks.pia, sue, "Sue", protocol::CircleKind::path, protocol::MemberRole::second_adult);
    drive(PagesOf(sue), "/people/" + to_hex(ticks.pia.id().view()), "/people/{who}/tick", tally);
}

// The mentor's side of a contact, and the page on which it is changed.
void drive_side(Tally& tally) {
    Cast cast;
    node::CardRequest card;
    card.call_sign = "KD0XBB";
    must(node::change_card(cast.mentor.context, card));
    tick_item(cast.newcomer, "04.06", "KD0XAA");
    cast.everybody_syncs();
    drive(cast.mentors, cast.bench(), "/people/{who}/side", tally);
    PageForm side = cast.mentors.form(cast.bench(), cast.bench() + "/side");
    side.set("side-frequency", "146.52");
    CHECK(cast.mentors.send(side).status == 303);
    const auto sides = must(node::way(cast.mentor.context, "Nadia")).other_sides;
    REQUIRE_FALSE(sides.empty());
    drive(cast.mentors, cast.bench() + "/contact/" + to_hex(sides.front().id.view()), "/people/{who}/contact/{id}",
          tally);
    CHECK(is_inert(cast.mentors.get(cast.bench())));
}

void drive_evening(Tally& tally) {
    Cast cast;
    MemberNode omar(cast.clock, 21);
    begin_as(omar, "Omar", protocol::MemberRole::newcomer);
    join(omar, cast.mentor, "Marten", protocol::CircleKind::path, protocol::MemberRole::mentor);
    const std::string asked =
        "/evening?evening-who=" + to_hex(cast.newcomer.id().view()) + "&evening-who=" + to_hex(omar.id().view());
    drive(cast.mentors, asked, "/evening", tally);
    PageForm form = cast.mentors.form(asked, "/evening");
    form.set("evening-frequency", "146.55");
    form.set("evening-words", script);
    CHECK(is_inert(cast.mentors.send(form)));
    drive(cast.mentors, "/evening", "/evening/outcome", tally);
}

}  // namespace

TEST_CASE("Script in the forms that only some circumstances show comes out as text") {
    Tally tally;
    drive_pairing_notes(tally);
    drive_pair("/club/pairing", "/club/pairing/hand-over", tally);
    drive_pair("/club", "/club/end", tally);
    drive_review(tally);
    drive_guardian(tally);
    drive_side(tally);
    drive_evening(tally);
    {
        Cast cast;
        PageForm keep = cast.newcomers.form("/exposure?mhz=146.52&watt=5&mode=fm&on=10&off=0&loss=0&gain=0&metres=2",
                                            "/exposure", "Keep this sheet");
        keep.set("keep-name", script);
        keep.set("keep-antenna", script);
        CHECK(is_inert(cast.newcomers.send(keep)));
        drive(cast.newcomers, "/exposure", "/exposure/forget", tally);
    }
    {
        Cast cast;
        drive(cast.mentors, "/practise/why?pool=0&question=P1A01", "/practise/why", tally);
        CHECK(is_inert(cast.mentors.get("/practise/why?pool=0&question=P1A01")));
    }
    CHECK(tally.routes == in_circumstances);
}
