// The contact log by the pages: one line, many lines, changes, what the log shows of the way, and the files.

#include "node/commands/contact_lines.hpp"
#include "node/commands/contacts.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

namespace {

struct LogCast : Cast {
    LogCast() {
        tick_item(newcomer, "04.06", "KD0XAA");
        clock.pass_minutes(60);
    }
    node::WayView way() { return must(node::way(newcomer.context, "")); }
    Response quick(const std::string& line, const std::string& button = "") {
        PageForm form = newcomers.form("/contact/quick", "/contact/quick", "begins now");
        form.set("quick-line", line);
        if (form.get("quick-frequency").empty()) form.set("quick-frequency", "146.94");
        return button.empty() ? newcomers.send(form) : newcomers.send(form, "do", button);
    }
    Response net(const std::string& lines) {
        PageForm form = newcomers.form("/contact/net", "/contact/net");
        form.set("net-frequency", "146.94");
        form.set("net-lines", lines);
        return newcomers.send(form);
    }
    std::string first_address() { return "/contact/" + to_hex(way().contacts.at(0).id.view()); }
};

}  // namespace

TEST_CASE("One line writes a contact down, and the next one begins with its frequency and mode") {
    LogCast cast;
    const std::string page = cast.newcomers.follow(cast.quick("KD0XBB 59 57 Anna"));
    CHECK(has(page, "Written down: KD0XBB"));
    const auto contact = cast.way().contacts.at(0).contact;
    CHECK(contact.sent == "59");
    CHECK(contact.received == "57");
    CHECK(contact.comment == "Anna");
    CHECK(contact.start == cast.clock.now);
    CHECK(has(page, "value=\"146.94\""));
}

TEST_CASE("A line that is none comes back as it was typed, with its sentence at the field") {
    LogCast cast;
    const Response answer = cast.quick("Anna 59");
    CHECK(answer.status == 400);
    CHECK(has(answer.body, "value=\"Anna 59\""));
    CHECK(has(answer.body, "id=\"f-quick-line-problem\""));
    CHECK(cast.way().contacts.empty());
}

TEST_CASE("The page shows UTC, and the own time beside it once the zone is known") {
    LogCast cast;
    CHECK(has(cast.newcomers.body("/contact/quick"), "data-now=\"UTC\""));
    CHECK_FALSE(has(cast.newcomers.body("/contact/quick"), "by your own clock"));
    cast.clock.to("2026-11-25T19:05Z");
    cast.set_zone(cast.newcomer, "America/New_York");
    const std::string page = cast.newcomers.body("/contact/quick");
    CHECK(has(page, ">19:05</time> UTC"));
    CHECK(has(page, "data-now=\"America/New_York\""));
    CHECK(has(page, ">14:05</time> by your own clock"));
}

TEST_CASE("How one reached the other goes into the remark, and the log knows it was direct") {
    LogCast cast;
    PageForm form = cast.newcomers.form("/contact/quick", "/contact/quick", "begins now");
    form.set("quick-line", "KD0XBB 59");
    form.set("quick-frequency", "146.94");
    form.set("quick-through", "direct");
    cast.newcomers.follow(cast.newcomers.send(form));
    const std::string page = cast.newcomers.body("/contact");
    CHECK(has(page, "First direct contact, without a repeater"));
    CHECK(has(page, "the remark says so"));
}

TEST_CASE("A contact is begun with one button and ended with another") {
    LogCast cast;
    CHECK(has(cast.newcomers.follow(cast.quick("KD0XBB", "begin")), "Going on with"));
    CHECK(cast.way().contacts.empty());
    cast.clock.pass_minutes(7);
    PageForm form = cast.newcomers.form("/contact/quick", "/contact/quick", "ended now");
    form.set("ending-received", "57");
    CHECK_FALSE(has(cast.newcomers.follow(cast.newcomers.send(form)), "Going on with"));
    const auto contact = cast.way().contacts.at(0).contact;
    CHECK(contact.received == "57");
    CHECK(contact.start.ms == cast.clock.now.ms - 7 * 60'000);
}

TEST_CASE("A running contact of which nothing came is dropped by its button") {
    LogCast cast;
    cast.quick("KD0XBB", "begin");
    cast.newcomers.follow(
        cast.newcomers.send(cast.newcomers.form("/contact/quick", "/contact/quick", "ended now"), "do", "drop"));
    CHECK(cast.way().contacts.empty());
    CHECK_FALSE(must(node::running_contact(cast.newcomer.context)).has_value());
}

TEST_CASE("A net of many lines is one form; bad lines stay in it and the good ones are written down") {
    LogCast cast;
    const Response answer = cast.net("KD0XBB 59 57\nAnna\nKD0XCC\n");
    CHECK(answer.status == 400);
    CHECK(has(answer.body, "Saved in part"));
    CHECK(has(answer.body, "2 contacts are written down. 1 line is not"));
    CHECK(has(answer.body, "&#39;Anna&#39; is no call sign"));
    CHECK(has(answer.body, "Anna</textarea>"));
    CHECK(cast.way().contacts.size() == 2);
    CHECK(cast.newcomers.send(cast.newcomers.form("/contact/net", "/contact/net")).status == 400);
}

TEST_CASE("A net without a bad line leads to the list") {
    LogCast cast;
    CHECK(has(cast.newcomers.follow(cast.net("KD0XBB\nKD0XCC\n")), "2 contacts are written down."));
}

TEST_CASE("A line that is in the log already is said, and taken with the box ticked") {
    LogCast cast;
    cast.newcomers.follow(cast.net("KD0XBB\n"));
    const Response answer = cast.net("KD0XBB\n");
    CHECK(has(answer.body, "is in the log already"));
    CHECK(cast.way().contacts.size() == 1);
    std::vector<PageForm> forms = forms_of(answer.body);
    REQUIRE(forms.size() == 1);
    forms[0].set("net-another", "yes");
    CHECK(cast.newcomers.send(forms[0]).status == 303);
    CHECK(cast.way().contacts.size() == 2);
}

TEST_CASE("A contact that looks the same brings the form back with a box to tick") {
    LogCast cast;
    cast.newcomers.follow(cast.quick("KD0XBB 59"));
    const Response answer = cast.quick("KD0XBB 59");
    CHECK(answer.status == 409);
    CHECK(has(answer.body, "name=\"quick-another\""));
    CHECK(cast.way().contacts.size() == 1);
}

TEST_CASE("A contact has a page on which it is changed, and its earlier words stand there") {
    LogCast cast;
    cast.newcomers.follow(cast.quick("KD0XBB 59"));
    const std::string address = cast.first_address();
    CHECK(has(cast.newcomers.body(address), "It stands as it was written down."));
    PageForm form = cast.newcomers.form(address, address, "Change it");
    form.set("change-worked", "KD0XBC");
    const std::string page = cast.newcomers.follow(cast.newcomers.send(form));
    CHECK(has(page, "station KD0XBC (was KD0XBB)"));
    CHECK(has(cast.newcomers.body("/contact"), "(changed)"));
    form.set("change-worked", "Anna");
    const Response refused = cast.newcomers.send(form);
    CHECK(refused.status == 400);
    CHECK(has(refused.body, "value=\"Anna\""));
}

TEST_CASE(
    "Whoever changes the remark alone leaves the start as it was, to the millisecond, also in the hour that comes "
    "twice") {
    LogCast cast;
    cast.set_zone(cast.newcomer, "America/New_York");
    cast.clock.to("2026-11-01T06:40Z");  // the second 01:40 of that night
    cast.clock.now.ms += 45'123;
    const WallTime start = cast.clock.now;
    cast.newcomers.follow(cast.quick("KD0XBB 59"));
    const std::string address = cast.first_address();
    PageForm form = cast.newcomers.form(address, address, "Change it");
    form.set("change-comment", "from the porch");
    cast.newcomers.follow(cast.newcomers.send(form));
    CHECK(cast.way().contacts.at(0).contact.comment == "from the porch");
    CHECK(cast.way().contacts.at(0).contact.start.ms == start.ms);
}

TEST_CASE("A time typed that clocks are put back over comes back with its sentence, and in UTC it is taken") {
    LogCast cast;
    cast.set_zone(cast.newcomer, "America/New_York");
    cast.clock.to("2026-11-01T12:00Z");
    cast.newcomers.follow(cast.quick("KD0XBB 59"));
    const std::string address = cast.first_address();
    PageForm form = cast.newcomers.form(address, address, "Change it");
    form.set("change-clock", "01:40");
    const Response refused = cast.newcomers.send(form);
    CHECK(refused.status == 400);
    CHECK(has(refused.body, "so it comes twice; write it in UTC"));
    form.set("change-clock", "06:40");
    form.set("change-which", "utc");
    cast.newcomers.follow(cast.newcomers.send(form));
    CHECK(to_iso_second(cast.way().contacts.at(0).contact.start) == "2026-11-01T06:40:00Z");
}

TEST_CASE("A contact that is struck out leaves the list and stays to be looked at") {
    LogCast cast;
    cast.newcomers.follow(cast.quick("KD0XBB 59"));
    const std::string address = cast.first_address();
    PageForm form = cast.newcomers.form(address, address, "Strike it out");
    form.set("strike-reason", "never happened");
    const std::string page = cast.newcomers.follow(cast.newcomers.send(form));
    CHECK(has(page, "Struck out: 1"));
    CHECK(cast.way().contacts.empty());
    CHECK(has(cast.newcomers.body(address), "struck out: never happened"));
}

TEST_CASE("A contact that is not in the log is not here") {
    LogCast cast;
    CHECK(cast.newcomers.get("/contact/" + std::string(64, '0')).status == 404);
}

TEST_CASE("The list says the country, or that it is not known") {
    LogCast cast;
    cast.newcomers.follow(cast.net("DL/KD0XBB\nQ1ABC\n"));
    const std::string page = cast.newcomers.body("/contact");
    CHECK(has(page, "Germany"));
    CHECK(has(page, ">country not known<"));
    CHECK(has(page, "First contact with another country"));
}

TEST_CASE("What the log shows is ticked by a button, and then stands as ticked") {
    LogCast cast;
    tick_item(cast.newcomer, "07.12");
    cast.everybody_syncs();
    sign_item(cast.mentor, "Nadia", "07.12");
    cast.everybody_syncs();
    std::string lines;
    for (char c = 'A'; c <= 'J'; ++c) lines += std::string("KD0XBA\n").replace(5, 1, 1, c);
    cast.newcomers.follow(cast.net(lines));
    const Response answer = cast.newcomers.send(cast.newcomers.form("/contact", "/contact/milestone", "Tick 10.11"));
    CHECK_FALSE(has(cast.newcomers.follow(answer), "Tick 10.11"));
    CHECK(cast.state("10.11", cast.newcomer).phase == domain::Phase::ticked);
}

TEST_CASE("The log comes as files for other programs and for a spreadsheet") {
    LogCast cast;
    cast.newcomers.follow(cast.quick("KD0XBB 59"));
    const Response adi = cast.newcomers.get("/contact/log.adi");
    CHECK(adi.status == 200);
    CHECK(has(adi.header_value("Content-Disposition"), "log.adi"));
    CHECK(has(adi.body, "<CALL:6>KD0XBB"));
    const Response csv = cast.newcomers.get("/contact/log.csv");
    CHECK(has(csv.content_type, "text/csv"));
    CHECK(has(csv.body, "KD0XBB,United States of America"));
}

TEST_CASE("The blank sheet has the columns in the order in which lines are typed") {
    LogCast cast;
    const std::string page = cast.newcomers.body("/contact/sheet");
    CHECK(has(page, "<th>UTC</th><th>Call sign</th><th>MHz</th><th>Mode</th><th>Gave</th><th>Got</th>"));
    CHECK(has(page, "Log of <span class=\"call\""));
}

TEST_CASE("Another program's log is taken in on the page, and what was left out is named there") {
    LogCast cast;
    const std::string good = "<CALL:6>KD0XBB<QSO_DATE:8>20260921<TIME_ON:4>1400<BAND:2>2m<MODE:2>FM<NAME:4>Anna<EOR>";
    const std::string bad = "<CALL:6>KD0XBC<QSO_DATE:8>20261301<EOR>";
    const Response answer =
        cast.newcomers.send_file(cast.newcomers.form("/contact/file", "/contact/file"), "file", good + bad);
    const std::string page = cast.newcomers.follow(answer);
    CHECK(has(page, "1 written down, 0 were in the log, 1 left out."));
    CHECK(has(page, "Record 2 (byte "));
    CHECK(has(page, "keep the file for them: NAME"));
    CHECK(cast.way().contacts.size() == 1);
}

TEST_CASE("A file that is no log, or none, comes back with the sentence at its field") {
    LogCast cast;
    const PageForm form = cast.newcomers.form("/contact/file", "/contact/file");
    CHECK(has(cast.newcomers.send_file(form, "file", "nothing of the kind").body, "Nothing was taken in."));
    CHECK(has(cast.newcomers.send(form).body, "Choose a file first"));
    CHECK(cast.way().contacts.empty());
}
