// Whatever is typed into a field is shown as text, and nothing that a browser can send ends the program.

#include "node/commands/contacts.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

namespace {

constexpr const char* script = "\"><script>alert(1)</script><img src=x>";

struct Place {
    PagesOf* pages;
    std::string path;
};

// Of a contact in the newcomer's log, struck out or not.
std::string contact_address(Cast& cast) {
    const node::WayView way = must(node::way(cast.newcomer.context, ""));
    const auto& log = way.contacts.empty() ? way.struck : way.contacts;
    return "/contact/" + to_hex(log.at(0).id.view());
}

std::vector<Place> places_of(Cast& cast) {
    return {{&cast.newcomers, "/"},
            {&cast.newcomers, "/way/04.06"},
            {&cast.newcomers, "/way/09.06"},
            {&cast.newcomers, "/way/07.02"},
            {&cast.newcomers, "/contact"},
            {&cast.newcomers, "/meet"},
            {&cast.newcomers, "/circles"},
            {&cast.newcomers, "/card"},
            {&cast.mentors, "/people"},
            {&cast.mentors, cast.bench()},
            {&cast.mentors, "/card"},
            {&cast.officers, "/circles"},
            {&cast.newcomers, "/contact/quick"},
            {&cast.newcomers, "/contact/net"},
            {&cast.newcomers, "/contact/file"},
            {&cast.newcomers, contact_address(cast)}};
}

void prepare(Cast& cast) {
    tick_item(cast.newcomer, "01.17", script);
    tick_item(cast.newcomer, "01.18", script);
    node::ContactRequest contact;
    contact.worked = "KD0XBB";
    contact.start = cast.clock.now;
    contact.frequency = "146.94";
    contact.mode = "FM";
    contact.guest_of = "WB0XMN";
    contact.sent = "<b>59</b>";
    contact.comment = script;
    must(node::log_contact(cast.newcomer.context, contact));
    cast.everybody_syncs();
    cast.clock.pass_minutes(1);
    sign_item(cast.mentor, "Nadia", "01.18");
    cast.everybody_syncs();
}

bool is_inert(const std::string& body) {
    return !has(body, "<script>alert") && !has(body, "<img src=x");
}

}  // namespace

TEST_CASE("Script in every field of every form comes out as text, kept or stored") {
    Cast cast;
    prepare(cast);
    int forms = 0;
    int fields = 0;
    for (const Place& place : places_of(cast)) {
        for (PageForm form : forms_of(place.pages->body(place.path))) {
            CAPTURE(form.action);
            for (const std::string& name : form.typed) form.set(name, script);
            fields += static_cast<int>(form.typed.size());
            forms += 1;
            const Response response = place.pages->send(form);
            CHECK(response.status != 500);
            CHECK(is_inert(response.status == 303 ? place.pages->follow(response) : response.body));
        }
    }
    cast.everybody_syncs();
    for (const Place& place : places_of(cast)) CHECK(is_inert(place.pages->body(place.path)));
    CHECK(forms > 20);
    CHECK(fields > 30);
}

TEST_CASE("Names of people and clubs that hold markup are shown as text on every page") {
    SetClock clock;
    MemberNode officer(clock, 41);
    MemberNode newcomer(clock, 42);
    begin_as(officer, script, protocol::MemberRole::officer, false, script);
    begin_as(newcomer, script, protocol::MemberRole::newcomer);
    join(officer, newcomer, script, protocol::CircleKind::club, protocol::MemberRole::newcomer);
    const PagesOf officers(officer);
    const PagesOf newcomers(newcomer);
    for (const char* path : {"/", "/club", "/circles", "/card"}) {
        CAPTURE(path);
        CHECK(is_inert(officers.body(path)));
        CHECK(is_inert(newcomers.body(path)));
    }
}

TEST_CASE("Very long words in every field are refused with a sentence or stored whole, and the program lives") {
    Cast cast;
    prepare(cast);
    const std::string long_word(60'000, 'a');
    for (const Place& place : places_of(cast)) {
        for (PageForm form : forms_of(place.pages->body(place.path))) {
            for (const std::string& name : form.typed) {
                CAPTURE(form.action);
                CAPTURE(name);
                PageForm one = form;
                one.set(name, long_word);
                CHECK(place.pages->send(one).status != 500);
            }
        }
    }
    CHECK(cast.newcomers.get("/").status == 200);
}

TEST_CASE("Forms with nothing in them, or with nonsense in the hidden parts, change nothing") {
    Cast cast;
    prepare(cast);
    const std::string one = contact_address(cast);
    CHECK(cast.newcomers.post(one, {}).status >= 400);
    const char* const addresses[] = {"/way/01.02",     "/way/77.77",     "/meet",           "/meet/outcome",
                                     "/contact",       "/practise",      "/circles/invite", "/circles/let-in",
                                     "/circles/share", "/circles/reach", "/card",           "/exam",
                                     "/contact/quick", "/contact/net",   "/contact/file",   "/contact/milestone"};
    for (const char* address : addresses) {
        CAPTURE(address);
        const auto events = cast.newcomer.events();
        CHECK(cast.newcomers.post(address, {}).status >= 400);
        CHECK(cast.newcomers.post(address, {{"form", "nonsense"}, {"do", "nonsense"}, {"order", "9999"}}).status >=
              400);
        CHECK(cast.newcomer.events() == events);
    }
    for (const char* end : {"/sign", "/tick", "/withdraw", "/assign", "/meet", "/outcome"}) {
        CAPTURE(end);
        const auto events = cast.mentor.events();
        CHECK(cast.mentors.post(cast.bench() + end, {}).status >= 400);
        CHECK(cast.mentor.events() == events);
    }
}
