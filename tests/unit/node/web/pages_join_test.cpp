// Joining and greeting by their pages. The node behind them is played: its network is tested elsewhere.

#include "node/commands/joining.hpp"
#include "protocol/handshake/check_words.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::GreetLook;
using node::JoinLook;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

struct PlayedArrivals : node::Arrivals {
    JoinLook join;
    GreetLook greet;
    std::vector<std::string> deeds;
    std::optional<Error> refusal;

    Result<void> did(const std::string& deed) {
        if (refusal) return *refusal;
        deeds.push_back(deed);
        return ok();
    }
    JoinLook join_look() override { return join; }
    Result<void> join_by_code(const node::InviteCode& code, bool under_18) override {
        return did("code " + code.address + (under_18 ? " minor" : ""));
    }
    Result<void> join_by_voice(const std::string& address, bool under_18) override {
        return did("voice " + address + (under_18 ? " minor" : ""));
    }
    Result<void> say(bool same) override { return did(same ? "same" : "different"); }
    void forget() override { join = {}; }
    GreetLook greet_look() override { return greet; }
    Result<void> open_greeting(const node::InviteRequest& request) override {
        return did(std::string("open ") + (request.circle == CircleKind::club ? "club " : "path ") +
                   std::string(node::role_word(request.role)) + " " + std::to_string(request.level));
    }
    Result<void> hear(const std::string& letters) override { return did("heard " + letters); }
    Result<void> differ() override { return did("differ"); }
    void shut_greeting() override { deeds.emplace_back("shut"); }
};

struct Porch {
    Porch() {
        begin_as(officer, "Olga", MemberRole::officer, false, "Example Lake Radio Club");
        begin_as(newcomer, "Nadia", MemberRole::newcomer);
        begin_as(guardian, "Gerd", MemberRole::guardian);
    }
    std::string code() {
        node::InviteRequest request;
        request.circle = CircleKind::club;
        request.role = MemberRole::newcomer;
        request.address = "192.168.1.20:7300";
        return must(node::invite(officer.context, request)).code;
    }
    node::web::Response take_in(const PagesOf& pages, const std::string& typed) {
        PageForm form = pages.form("/join", "/join/code");
        form.set("code-code", typed);
        return pages.send(form);
    }

    SetClock clock;
    MemberNode officer{clock, 11};
    MemberNode newcomer{clock, 12};
    MemberNode guardian{clock, 13};
    PlayedArrivals arrivals;
    PagesOf officers{officer, {{}, &arrivals}};
    PagesOf newcomers{newcomer, {{}, &arrivals}};
    PagesOf guardians{guardian, {{}, &arrivals}};
};

}  // namespace

TEST_CASE("A code that was typed is looked at before anybody is called: where it leads, its words, what is told") {
    Porch p;
    const std::string code = p.code();
    const std::string page = p.newcomers.follow(p.take_in(p.newcomers, "  " + code + "\n"));
    CHECK(has(page, "192.168.1.20:7300"));
    CHECK(has(page, protocol::itu_spelling(node::check_letters_of(must(node::parse_code(code))))));
    CHECK(has(page, "Nadia"));
    CHECK_FALSE(has(page, code.substr(0, 30)));
    CHECK(p.arrivals.deeds.empty());
}

TEST_CASE("The same check words stand beside the code on the page that made it") {
    Porch p;
    PageForm form = p.officers.form("/circles", "/circles/invite");
    form.set(form.named("-address"), "192.168.1.20:7300");
    const std::string page = p.officers.follow(p.officers.send(form));
    const std::size_t at = page.find("LADDER-");
    REQUIRE(at != std::string::npos);
    const auto code = must(node::parse_code(page.substr(at, page.find('<', at) - at)));
    CHECK(has(page, protocol::itu_spelling(node::check_letters_of(code))));
}

TEST_CASE("Beside a code that is good in the local network alone it says so, and beside another nothing") {
    Porch p;
    const auto page_for = [&](const std::string& address) {
        PageForm form = p.officers.form("/circles", "/circles/invite");
        form.set(form.named("-address"), address);
        return p.officers.follow(p.officers.send(form));
    };
    CHECK(has(page_for("192.168.1.20:7300"), "Only a machine in the same local network reaches 192.168.1.20:7300"));
    CHECK_FALSE(has(page_for("club.example.org:7300"), "local network reaches"));
}

TEST_CASE("The button joins with the code that was looked at, and says who is under 18") {
    Porch p;
    CHECK(p.take_in(p.newcomers, p.code()).status == 303);
    PageForm form = p.newcomers.form("/join", "/join/confirm");
    CHECK(p.newcomers.send(form).status == 303);
    form.set("confirm-under-18", "yes");
    CHECK(p.newcomers.send(form).status == 303);
    CHECK(p.arrivals.deeds == std::vector<std::string>{"code 192.168.1.20:7300", "code 192.168.1.20:7300 minor"});
}

TEST_CASE("A slip in a code is one sentence at its field, and what was typed is still there") {
    Porch p;
    std::string code = p.code();
    code[20] = code[20] == '7' ? '8' : '7';
    const auto answer = p.take_in(p.newcomers, code);
    CHECK(answer.status == 400);
    CHECK(has(answer.body, "typing mistake"));
    CHECK(has(answer.body, code));
    CHECK(p.take_in(p.newcomers, "192.168.1.20:7300").status == 400);
    CHECK(p.arrivals.deeds.empty());
}

TEST_CASE("A code put aside is forgotten") {
    Porch p;
    CHECK(p.take_in(p.newcomers, p.code()).status == 303);
    const std::string page = p.newcomers.follow(p.newcomers.send(p.newcomers.form("/join", "/join/drop")));
    CHECK(has(page, "I was given a code"));
    CHECK(p.newcomers.post("/join/confirm", {}).status == 404);
    CHECK(p.arrivals.deeds.empty());
}

TEST_CASE("After a call that failed the sentence is there, and so is the code for another try") {
    Porch p;
    CHECK(p.take_in(p.newcomers, p.code()).status == 303);
    p.arrivals.join.step = JoinLook::Step::failed;
    p.arrivals.join.sentence = "Nobody answered there.";
    const std::string page = p.newcomers.body("/join");
    CHECK(has(page, "Nobody answered there."));
    CHECK(has(page, "Is it the right code?"));
}

TEST_CASE("Once joined, the page names who let them in, the circle and the seat") {
    Porch p;
    p.arrivals.join.step = JoinLook::Step::joined;
    p.arrivals.join.circle = p.officer.circle(CircleKind::club);
    p.arrivals.join.host = p.officer.id();
    CHECK(has(p.newcomers.body("/join"), "come with the first sync"));
    join(p.officer, p.newcomer, "Nadia", CircleKind::club, MemberRole::newcomer);
    sync(p.officer, p.newcomer);
    const std::string page = p.newcomers.body("/join");
    CHECK(has(page, "Olga"));
    CHECK(has(page, "the club Example Lake Radio Club"));
    CHECK(has(page, "the seat of newcomer"));
}

TEST_CASE("The six words of a call are shown, and the person's word on them goes on") {
    Porch p;
    PageForm call = p.newcomers.form("/join", "/join/call");
    call.set("call-address", "192.168.1.20:7300");
    CHECK(p.newcomers.send(call).status == 303);
    p.arrivals.join.step = JoinLook::Step::comparing;
    p.arrivals.join.letters = "ABCXYZ";
    CHECK(has(p.newcomers.body("/join"), "Alfa Bravo Charlie X-ray Yankee Zulu"));
    CHECK(p.newcomers.send(p.newcomers.form("/join", "/join/word", "same")).status == 303);
    CHECK(p.newcomers.send(p.newcomers.form("/join", "/join/word", "differ")).status == 303);
    CHECK(p.arrivals.deeds == std::vector<std::string>{"voice 192.168.1.20:7300", "same", "different"});
}

TEST_CASE("A code in the place of an address is said to be one, and nobody is called") {
    Porch p;
    PageForm call = p.newcomers.form("/join", "/join/call");
    call.set("call-address", p.code());
    const auto answer = p.newcomers.send(call);
    CHECK(answer.status == 400);
    CHECK(has(answer.body, "That is a code and not an address"));
    CHECK(p.arrivals.deeds.empty());
}

TEST_CASE("Whoever has nobody yet finds the code's form on the first page; a newcomer finds the way to it") {
    Porch p;
    CHECK(has(p.guardians.body("/"), "action=\"/join/code\""));
    CHECK(has(p.newcomers.body("/"), "href=\"/join\""));
    CHECK(has(p.newcomers.body("/circles"), "action=\"/join/code\""));
}

TEST_CASE("An officer opens the door for a seat in the club by its form") {
    Porch p;
    PageForm form = p.officers.form("/greet", "/greet/open");
    CHECK(p.officers.send(form).status == 303);
    CHECK(p.arrivals.deeds == std::vector<std::string>{"open club newcomer 3"});
}

TEST_CASE("While the door is open its address is shown; four words when somebody called; six when they fitted") {
    Porch p;
    p.arrivals.greet.stage = GreetLook::Stage::waiting;
    p.arrivals.greet.address = "192.168.1.20:7300";
    p.arrivals.greet.left_ms = 90'000;
    std::string page = p.officers.body("/greet");
    CHECK(has(page, "192.168.1.20:7300"));
    CHECK(has(page, "2 minutes"));
    p.arrivals.greet.stage = GreetLook::Stage::comparing;
    p.arrivals.greet.letters = "ABCX";
    page = p.officers.body("/greet");
    CHECK(has(page, "Alfa Bravo Charlie X-ray<"));
    PageForm form = p.officers.form("/greet", "/greet/heard");
    form.set("heard-letters", "Yankee zulu");
    CHECK(p.officers.send(form).status == 303);
    form.set("heard-letters", "what?");
    const auto slip = p.officers.send(form);
    CHECK(slip.status == 400);
    CHECK(has(slip.body, "value=\"what?\""));
    p.arrivals.greet.stage = GreetLook::Stage::answered;
    p.arrivals.greet.letters = "ABCXYZ";
    CHECK(has(p.officers.body("/greet"), "Alfa Bravo Charlie X-ray Yankee Zulu"));
    CHECK(p.arrivals.deeds == std::vector<std::string>{"heard YZ"});
}

TEST_CASE("Script typed as words that were heard comes back as text") {
    Porch p;
    p.arrivals.greet.stage = GreetLook::Stage::comparing;
    p.arrivals.greet.letters = "ABCX";
    PageForm form = p.officers.form("/greet", "/greet/heard");
    form.set("heard-letters", "\"><script>alert(1)</script>");
    const auto slip = p.officers.send(form);
    CHECK(slip.status == 400);
    CHECK_FALSE(has(slip.body, "<script>alert"));
    CHECK(has(slip.body, "&lt;script&gt;alert"));
}

TEST_CASE("What came of a greeting is said, and another can be opened") {
    Porch p;
    p.arrivals.greet.stage = GreetLook::Stage::joined;
    p.arrivals.greet.outcome = "Ada Finch";
    const std::string page = p.officers.body("/greet");
    CHECK(has(page, "Ada Finch was let in."));
    CHECK(has(page, "action=\"/greet/open\""));
}

TEST_CASE("Whoever has no circle to let anybody into is told so") {
    Porch p;
    CHECK(has(p.guardians.body("/greet"), "nothing here into which you could let somebody"));
}

TEST_CASE("Without a running node both pages say so and nothing is lost") {
    Porch p;
    const PagesOf alone{p.newcomer};
    CHECK(has(alone.body("/greet"), "No node runs here"));
    CHECK(p.take_in(alone, p.code()).status == 303);
    const auto answer = alone.send(alone.form("/join", "/join/confirm"));
    CHECK(answer.status == 403);
    CHECK(has(answer.body, "nothing was joined"));
    CHECK(has(answer.body, "Is it the right code?"));
}
