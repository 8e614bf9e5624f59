// The page that opens the others to a telephone, and the copy on the page about safety.

#include "node/commands/copy_work.hpp"
#include "node/web/phone/phone_door.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using namespace ladderline::node::web;
using boost::asio::ip::make_address;

namespace {

struct PhonePages {
    PhonePages() { begin_as(member, "Nadia", protocol::MemberRole::newcomer); }

    SetClock clock;
    MemberNode member{clock, 3};
    boost::asio::io_context io;
    LiveHub hub;
    Router unused;
    std::vector<OwnAddress> own{{"lo", make_address("127.0.0.1")}};
    PhoneDoor door{io.get_executor(), unused, hub, member.context.env, {[this] { return own; }, 0}};
    PagesOf pages{member, {{}, nullptr, &door, nullptr}};
};

class MadeUpCopy : public node::CopyWork {
public:
    Result<void> begin() override {
        now.is_running = true;
        return ok();
    }
    void stop() override { now.is_running = false; }
    node::CopyState state() const override { return now; }

    node::CopyState now;
};

}  // namespace

TEST_CASE("Without a local network the page says so, and offers nothing") {
    PhonePages p;
    const std::string page = p.pages.body("/phone");
    CHECK(has(page, "on no local network just now"));
    CHECK(forms_of(page).empty());
}

TEST_CASE("An address is offered and none is chosen before") {
    PhonePages p;
    p.own.push_back({"wlan0", make_address("192.168.7.20")});
    const PageForm form = p.pages.form("/phone", "/phone/open");
    CHECK(has(form.words, "192.168.7.20 (wlan0)"));
    CHECK(form.get("open-address").empty());
    CHECK(form.get("open-minutes") == "30");
    CHECK(p.pages.send(form).status == 400);
    CHECK_FALSE(p.door.state().is_open);
}

TEST_CASE("An open door shows link, picture, fingerprint and warning here, and a badge on every page") {
    PhonePages p;
    PageForm form;
    form.action = "/phone/open";
    form.values = {{"form", "open"}, {"open-address", "127.0.0.1"}, {"open-minutes", "15"}};
    const std::string page = p.pages.follow(p.pages.send(form));
    REQUIRE(p.door.state().is_open);
    CHECK(has(page, p.door.state().link));
    CHECK(has(page, "<svg class=\"qr\""));
    CHECK(has(page, p.door.state().fingerprint.substr(0, 2)));
    CHECK(has(page, "Ladderline " + p.door.state().name));
    CHECK(has(page, "If one differs, do not go on"));
    CHECK(has(p.pages.body("/"), "Open to a telephone"));
    CHECK(has(p.pages.follow(p.pages.post("/phone/shut", {})), "It was ended by a button"));
    CHECK_FALSE(has(p.pages.body("/"), "Open to a telephone"));
}

TEST_CASE("A node without a door has no page for it") {
    Cast cast;
    CHECK(cast.newcomers.get("/phone").status == 404);
    CHECK_FALSE(has(cast.newcomers.body("/"), "My phone"));
}

TEST_CASE("A copy is begun by a button, shown while it runs, and stopped by another") {
    Cast cast;
    MadeUpCopy copy;
    const PagesOf pages(cast.newcomer, {{}, nullptr, nullptr, &copy});
    CHECK(has(pages.follow(pages.send(pages.form("/store", "/store/copy"))), "It begins."));
    copy.now.done = 3;
    copy.now.total = 12;
    CHECK(has(pages.body("/store"), "Copying: 3 of 12"));
    copy.now.is_being_proven = true;
    CHECK(has(pages.body("/store"), "read again"));
    const std::string after = pages.follow(pages.send(pages.form("/store", "/store/copy/stop")));
    CHECK(has(after, "Make a copy now"));
}

TEST_CASE("How a copy ended stands on the page, good or not") {
    Cast cast;
    MadeUpCopy copy;
    const PagesOf pages(cast.newcomer, {{}, nullptr, nullptr, &copy});
    copy.now.said = "Stopped; no copy was made and nothing was changed.";
    CHECK(has(pages.body("/store"), "<h2>"));
    CHECK(has(pages.body("/store"), "No copy</h2>"));
    copy.now.went_well = true;
    CHECK(has(pages.body("/store"), "Done</h2>"));
}
