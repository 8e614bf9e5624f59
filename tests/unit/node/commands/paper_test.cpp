#include "node/commands/paper.hpp"

#include <doctest/doctest.h>

#include "store/settings/settings.hpp"
#include "tests/support/node/member_fixture.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

struct Ada {
    SetClock clock;
    MemberNode node{clock, 9};

    Ada() { begin_as(node, "Ada <Finch>", protocol::MemberRole::newcomer); }
    // As if the store had been made before there were paper keys.
    void forget_seed() { must(node.db().run("DELETE FROM setting WHERE name = 'paper_seed'")); }
};

bool holds(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

std::string joined(const std::vector<std::string>& lines) {
    std::string out;
    for (const std::string& line : lines) out += line + "\n";
    return out;
}

}  // namespace

TEST_CASE("printing the sheet gives the key file its slot") {
    Ada ada;
    Bytes slot;
    ada.node.context.keep_paper_slot = [&](ByteView secret) -> Result<void> {
        slot = to_bytes(secret);
        return ok();
    };
    const auto sheet = must(node::paper_sheet(ada.node.context));
    const auto seed = must(protocol::read_paper_key(sheet.key));
    CHECK(to_hex(slot) == to_hex(protocol::paper_slot_secret(seed).view()));
}

TEST_CASE("an older store gets a sheet that says what it cannot do") {
    Ada ada;
    CHECK(must(node::paper_sheet(ada.node.context)).restores_identity);
    ada.forget_seed();
    const auto sheet = must(node::paper_sheet(ada.node.context));
    CHECK_FALSE(sheet.restores_identity);
    CHECK(holds(joined(node::sheet_lines(sheet)), "cannot bring you back"));
    CHECK(must(node::paper_sheet(ada.node.context)).key == sheet.key);
}

TEST_CASE("a name with marks of HTML is a name on the printed page") {
    Ada ada;
    const std::string html = must(node::sheet_html(must(node::paper_sheet(ada.node.context))));
    CHECK(holds(html, "Ada &lt;Finch&gt;"));
    CHECK_FALSE(holds(html, "<Finch>"));
}

TEST_CASE("the reminder ends with the confirmation") {
    Ada ada;
    CHECK_FALSE(must(node::paper_reminder(ada.node.context)).empty());
    const auto sheet = must(node::paper_sheet(ada.node.context));
    must(node::confirm_paper(ada.node.context, sheet.groups[0] + " " + sheet.groups[3]));
    CHECK(must(node::paper_reminder(ada.node.context)).empty());
    CHECK(must(node::paper_sheet(ada.node.context)).written_down == ada.node.context.today());
}

TEST_CASE("a wrong confirmation leaves the reminder") {
    Ada ada;
    const auto sheet = must(node::paper_sheet(ada.node.context));
    for (const std::string& groups : {std::string(), sheet.groups[0], sheet.groups[0] + " " + sheet.groups[0],
                                      sheet.groups[0] + " 0000U", sheet.key, std::string(5000, '\xFF')}) {
        CHECK(must_fail(node::confirm_paper(ada.node.context, groups)).fault() == Fault::bad_input);
    }
    CHECK_FALSE(must(node::paper_reminder(ada.node.context)).empty());
}
