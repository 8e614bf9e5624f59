// The ids by which a mentor changes their own side of a contact, as commands list them.

#include <boost/json.hpp>

#include "tests/support/node/typed_command.hpp"
#include "tests/unit/node/commands/log_fixture.hpp"

using namespace ladderline;
using namespace ladderline::test;

TEST_CASE("A mentor finds the id of their own side of a contact in the list, and strikes it out by that") {
    LogPath p;
    p.log(p.contact("KF1XMD"));
    node::ContactRequest side = p.contact("KD0XAA");
    side.who = "Ana";
    must(node::log_contact(p.ben.context, side));
    p.both();
    const std::string id = to_hex(p.log_of(p.ben).other_sides.at(0).id.view());
    const std::string list = printed(p.ben, {"contact", "--for", "Ana"});
    CHECK(list.find("Your side of contacts with Ana:\n  " + id.substr(0, 8)) != std::string::npos);
    CHECK(list.find("[Ana's log agrees]") != std::string::npos);
    const auto json = boost::json::parse(printed(p.ben, {"--json", "contact", "--for", "Ana"})).as_array();
    REQUIRE(json.size() == 2);
    CHECK(json.at(1).at("id").as_string() == id);
    CHECK(json.at(1).at("own_side").as_bool());
    printed(p.ben, {"contact", "--for", "Ana", "--strike", id.substr(0, 8)});
    CHECK(p.log_of(p.ben).other_sides.empty());
}

TEST_CASE("What somebody else wrote down as their side is no contact of one's own to change") {
    LogPath p;
    node::ContactRequest side = p.contact("KD0XAA");
    side.who = "Ana";
    must(node::log_contact(p.ben.context, side));
    p.both();
    CHECK(printed(p.ana, {"contact"}).find("Your side") == std::string::npos);
}
