// A contact that newcomer and mentor had with each other, seen from the mentor's page of that newcomer.

#include "node/commands/contacts.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

namespace {

// Nadia has a call sign and wrote down one contact with Marten.
struct SideCast : Cast {
    SideCast() {
        node::CardRequest card;
        card.call_sign = "KD0XBB";
        must(node::change_card(mentor.context, card));
        tick_item(newcomer, "04.06", "KD0XAA");
        node::ContactRequest contact;
        contact.worked = "KD0XBB";
        contact.start = clock.now;
        contact.frequency = "146.52";
        contact.mode = "FM";
        must(node::log_contact(newcomer.context, contact));
        everybody_syncs();
    }
    PageForm side(const std::string& frequency) {
        PageForm out = mentors.form(bench(), bench() + "/side");
        out.set("side-frequency", frequency);
        return out;
    }
    void write_side(const std::string& frequency) {
        must_be_done(mentors.send(side(frequency)));
        everybody_syncs();
    }
    static void must_be_done(const Response& answer) {
        if (answer.status != 303) throw std::runtime_error("not done: " + answer.body);
    }
    // The page of what Marten wrote down, or of what Nadia did.
    std::string side_address() { return address(must(node::way(newcomer.context, "")).other_sides); }
    std::string contact_address() { return address(must(node::way(newcomer.context, "")).contacts); }

private:
    std::string address(const std::vector<node::ContactView>& log) {
        return bench() + "/contact/" + to_hex(log.at(0).id.view());
    }
};

}  // namespace

TEST_CASE("No side of a contact is asked for while the newcomer has no call sign") {
    Cast cast;
    CHECK_FALSE(has(cast.mentors.body(cast.bench()), "write your side down"));
}

TEST_CASE("A mentor's side of a contact, written on the newcomer's page, confirms it on the newcomer's") {
    SideCast cast;
    CHECK(has(cast.newcomers.body("/contact"), "not yet"));
    cast.write_side("146.520");
    CHECK(has(cast.newcomers.body("/contact"), "Marten&#39;s log agrees"));
    CHECK(must(node::way(cast.newcomer.context, "")).contacts.size() == 1);
}

TEST_CASE("A slip in the mentor's side is named on the mentor's page, and put right there") {
    SideCast cast;
    cast.write_side("446.000");
    CHECK(has(cast.mentors.body(cast.bench()), "Nadia&#39;s log has it, and the band differs"));
    PageForm change = cast.mentors.form(cast.side_address(), cast.side_address(), "Change it");
    change.set("change-frequency", "146.520");
    CHECK(has(cast.mentors.follow(cast.mentors.send(change)), "frequency 146.520 (was 446.000)"));
    CHECK(has(cast.mentors.body(cast.bench()), "Nadia&#39;s log agrees"));
    cast.everybody_syncs();
    CHECK(has(cast.newcomers.body("/contact"), "Marten&#39;s log agrees"));
}

TEST_CASE("A side that was struck out is still found on the mentor's page, and a change brings it back") {
    SideCast cast;
    cast.write_side("146.520");
    const std::string address = cast.side_address();
    const PageForm strike = cast.mentors.form(address, address, "Strike it out");
    CHECK(has(cast.mentors.follow(cast.mentors.send(strike)), "struck out"));
    PageForm change = cast.mentors.form(address, address, "Change it");
    change.set("change-sent", "59");
    SideCast::must_be_done(cast.mentors.send(change));
    CHECK(has(cast.mentors.body(cast.bench()), "Nadia&#39;s log agrees"));
}

TEST_CASE("A side that looks as if it was written down brings the form back with a box to tick") {
    SideCast cast;
    cast.write_side("146.520");
    const Response answer = cast.mentors.send(cast.side("146.520"));
    CHECK(answer.status == 409);
    CHECK(has(answer.body, "name=\"side-another\""));
    PageForm again = cast.side("146.520");
    again.set("side-another", "yes");
    CHECK(cast.mentors.send(again).status == 303);
}

TEST_CASE("A mentor looks at a newcomer's contact and can change nothing of it") {
    SideCast cast;
    const std::string address = cast.contact_address();
    CHECK(has(cast.mentors.body(cast.bench()), "href=\"" + address + "\""));
    const std::string page = cast.mentors.body(address);
    CHECK(has(page, "Written down by"));
    CHECK_FALSE(has(page, "Strike it out"));
    const auto events = cast.mentor.events();
    CHECK(cast.mentors.post(address, {{"form", "strike"}, {"strike-reason", "never"}}).status >= 400);
    CHECK(cast.mentor.events() == events);
}
