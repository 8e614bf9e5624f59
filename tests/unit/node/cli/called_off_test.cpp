// What commands say of a contact that does not take place, and of one of which nobody has said what became of it.

#include "tests/support/node/typed_command.hpp"
#include "tests/unit/node/web/minor_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

constexpr const char* off = "[does not take place for now]";

struct Whose {
    MemberNode* who;
    std::string path;  // as it is typed behind a command; empty on the own way
};

std::string printed(const Whose& whose, std::string command) {
    std::vector<std::string> words{std::move(command)};
    if (!whose.path.empty()) words.push_back(whose.path);
    return test::printed(*whose.who, words);
}

}  // namespace

TEST_CASE("A contact that does not take place says so in every command that lists it, to minor, guardian and mentor") {
    Minor m;
    const std::vector<Whose> all{{&m.kay, ""}, {&m.gus, "Kay"}, {&m.max, "Kay"}};
    for (const Whose& whose : all) {
        CHECK_FALSE(has(printed(whose, "meet"), off));
        CHECK_FALSE(has(printed(whose, "waiting"), off));
        CHECK(has(test::printed(*whose.who, {"today"}), "  contact: 2026-03-04T18:00Z"));
    }
    m.take_back();
    for (const Whose& whose : all) {
        CHECK(has(printed(whose, "meet"), off));
        CHECK(has(printed(whose, "waiting"), off));
        const std::string today = test::printed(*whose.who, {"today"});
        CHECK(has(today, off));
        CHECK(has(today, "  called off: 2026-03-04T18:00Z"));
        CHECK_FALSE(has(today, "  contact: "));
    }
}

TEST_CASE("A contact that has not come is to come, and once it has begun nobody has said what became of it") {
    Minor m;
    CHECK(has(test::printed(m.kay, {"meet"}), "[to come]"));
    m.clock.to("2026-03-04T18:00Z");
    CHECK(has(test::printed(m.kay, {"meet"}), "[not said]"));
}
