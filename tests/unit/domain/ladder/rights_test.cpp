#include "node/domain/ladder/rights.hpp"

#include <doctest/doctest.h>

#include "tests/unit/domain/ladder/people.hpp"

namespace ladderline::test {
namespace {

using namespace ladderline::domain;

const Way adult{ann, false};
const Way minor{ann, true};
const Actor newcomer{ann, {Role::newcomer}};
const Actor mentor{ben, {Role::mentor}, Level::alone};
const Actor guardian{cleo, {Role::guardian}};
const Actor second_adult{dora, {Role::second_adult}};
const Actor officer{emil, {Role::officer}, Level::taught_it};

const Item& item(std::uint8_t stage, std::uint8_t number) {
    return *shipped_edition().find({stage, number});
}

bool ticks(const Actor& actor, const Way& way, const Item& it) {
    return may_tick(shipped_edition(), it, way, actor).has_value();
}

bool signs(const Actor& actor, const Way& way, const Item& it, const ItemState& state = {}) {
    const Level level = it.kind == ItemKind::skill ? Level::with_help : Level::none;
    Actor able = actor;
    able.attested = Level::taught_it;
    return may_sign(shipped_edition(), it, way, able, level, state).has_value();
}

TEST_CASE("every item of every way has somebody who may tick it") {
    for (const Item& it : shipped_edition().items) {
        CAPTURE(it.text);
        const bool somebody = ticks(newcomer, minor, it) || ticks(mentor, minor, it) || ticks(guardian, minor, it) ||
                              ticks(second_adult, minor, it);
        CHECK(somebody);
    }
}

TEST_CASE("every item that takes a signature can be signed by somebody with a seat other than its ticker") {
    for (const Item& it : shipped_edition().items) {
        CAPTURE(it.text);
        const RoleSet roles = may_sign_roles(shipped_edition(), it, false);
        CHECK(roles.empty() == (it.signs == SignWord::none));
        CHECK_FALSE(roles.has(Role::newcomer));
    }
}

TEST_CASE("every safety item can be signed by a second person when whoever ticks it has ticked it") {
    for (const Item& it : shipped_edition().items) {
        if (!it.safety) continue;
        CAPTURE(it.text);
        for (const Actor& ticker : {newcomer, mentor, guardian, second_adult, officer}) {
            if (!ticks(ticker, minor, it)) continue;
            const ItemState ticked = ticked_by(ticker.person, Day{1});
            CHECK_FALSE(signs(ticker, minor, it, ticked));
            const bool another = signs(mentor, minor, it, ticked) || signs(guardian, minor, it, ticked) ||
                                 signs(second_adult, minor, it, ticked) || signs(officer, minor, it, ticked);
            CHECK(another);
        }
    }
}

TEST_CASE("the table of signers has one row for each word, in order, each with its reason") {
    REQUIRE(sign_table().size() == 11);
    for (std::size_t i = 0; i < sign_table().size(); ++i) {
        CHECK(static_cast<std::size_t>(sign_table()[i].word) == i);
        CHECK_FALSE(sign_table()[i].reason.empty());
        CHECK(sign_table()[i].safety_roles.common(sign_table()[i].roles) == sign_table()[i].safety_roles);
    }
}

TEST_CASE("who ticks what") {
    struct Row {
        std::string what;
        const Actor& actor;
        const Way& way;
        ItemId id;
        bool may;
    };
    const Row rows[] = {
        {"the newcomer ticks an own item", newcomer, adult, {6, 2}, true},
        {"nobody ticks it for them", mentor, adult, {6, 2}, false},
        {"the mentor ticks the call on the day before", mentor, adult, {2, 12}, true},
        {"the newcomer does not", newcomer, adult, {2, 12}, false},
        {"becoming a mentor, the owner ticks what the mentor ticks", newcomer, adult, {19, 3}, true},
        {"and the owner's mentor does not", mentor, adult, {19, 3}, false},
        {"the guardian agrees", guardian, minor, {0, 5}, true},
        {"on an adult's way there is nothing to agree to", guardian, adult, {0, 5}, false},
        {"the club's second adult ticks for the club", second_adult, minor, {0, 6}, true},
        {"so does an officer", officer, minor, {0, 6}, true},
        {"the mentor does not", mentor, minor, {0, 6}, false},
    };
    for (const Row& row : rows) {
        CAPTURE(row.what);
        CHECK(ticks(row.actor, row.way, item(row.id.stage, row.id.number)) == row.may);
    }
}

TEST_CASE("who signs what") {
    struct Row {
        std::string what;
        const Actor& actor;
        const Way& way;
        ItemId id;
        bool may;
    };
    const Row rows[] = {
        {"the mentor signs a skill", mentor, adult, {6, 2}, true},
        {"the guardian does not", guardian, minor, {6, 2}, false},
        {"the mentor confirms the examiner's paper", mentor, adult, {3, 8}, true},
        {"an officer does too", officer, adult, {3, 8}, true},
        {"the second adult does not", second_adult, minor, {3, 8}, false},
        {"the mentor heard the net", mentor, adult, {11, 3}, true},
        {"any other person was the second person", guardian, minor, {7, 1}, true},
        {"the newcomer is not a second person", newcomer, adult, {7, 1}, false},
        {"the mentor takes the club's word on borrowed things", mentor, adult, {5, 18}, true},
        {"but not on safeguarding", mentor, adult, {19, 1}, false},
        {"an officer does", officer, adult, {19, 1}, true},
        {"no signature on a plain checklist line", mentor, adult, {5, 11}, false},
        {"an adult's public address is the mentor's to ask about", mentor, adult, {2, 2}, true},
        {"a minor's is the guardian's", guardian, minor, {2, 2}, true},
        {"and not the mentor's", mentor, minor, {2, 2}, false},
        {"the second adult witnesses the guardian's agreement", second_adult, minor, {0, 5}, true},
        {"the guardian signs the naming of the second adult", guardian, minor, {0, 6}, true},
        {"the second adult does not sign their own naming", second_adult, minor, {0, 6}, false},
    };
    for (const Row& row : rows) {
        CAPTURE(row.what);
        CHECK(signs(row.actor, row.way, item(row.id.stage, row.id.number)) == row.may);
    }
}

TEST_CASE("the guardian's own tick is not witnessed by the same guardian, but by another") {
    const ItemState agreed = ticked_by(cleo, Day{1});
    CHECK_FALSE(signs(guardian, minor, item(0, 5), agreed));
    CHECK(signs(Actor{fritz, {Role::guardian}}, minor, item(0, 5), agreed));
}

TEST_CASE("an officer who holds a mentor's seat has the rights of both") {
    const Actor both{emil, {Role::mentor, Role::officer}};
    CHECK(signs(both, adult, item(6, 2)));
    CHECK(signs(both, adult, item(19, 1)));
}

TEST_CASE("a signer without the level is refused, and told which level they hold") {
    const auto result = may_sign(shipped_edition(), item(6, 2), adult, mentor, Level::taught_it, {});
    CHECK(answer(result).find("'alone'") != std::string::npos);
}

TEST_CASE("only the author withdraws a signature, once, with a reason") {
    const ItemState state = ticked_and_signed(ann, ben, Day{1}, Level::alone);
    CHECK(may_withdraw(state, mentor, statement_id(2), "seen wrongly").has_value());
    CHECK(may_withdraw(state, mentor, statement_id(2), " \t").error().fault() == Fault::bad_input);
    CHECK(may_withdraw(state, newcomer, statement_id(2), "mine").error().fault() == Fault::refused);
    CHECK(may_withdraw(state, mentor, statement_id(9), "gone").error().fault() == Fault::not_found);
}

TEST_CASE("only the owner skips and rests; the mentor and the owner say what comes next") {
    CHECK(may_set_aside(item(6, 2), adult, newcomer).has_value());
    CHECK_FALSE(may_set_aside(item(6, 2), adult, mentor).has_value());
    CHECK(may_assign(item(6, 2), adult, mentor).has_value());
    CHECK(may_assign(item(6, 2), adult, newcomer).has_value());
    CHECK_FALSE(may_assign(item(6, 2), adult, guardian).has_value());
}

TEST_CASE("what must stand before a minor is paired is neither skipped nor set to rest, and opened again if it was") {
    for (const std::uint8_t number : {std::uint8_t{5}, std::uint8_t{6}}) {
        CHECK(may_set_aside(item(0, number), minor, newcomer).error().fault() == Fault::refused);
        CHECK(may_reopen(shipped_edition(), item(0, number), minor, newcomer).has_value());
    }
}

TEST_CASE("an item is re-opened by the owner or by somebody who could sign it") {
    CHECK(may_reopen(shipped_edition(), item(7, 12), adult, newcomer).has_value());
    CHECK(may_reopen(shipped_edition(), item(7, 12), adult, mentor).has_value());
    CHECK_FALSE(may_reopen(shipped_edition(), item(7, 12), minor, guardian).has_value());
}

TEST_CASE("the seat written down is one that the act allows") {
    const Actor both{emil, {Role::mentor, Role::officer}};
    CHECK(speaking_role({Role::mentor}, both) == Role::mentor);
    CHECK(speaking_role({Role::mentor, Role::officer}, both) == Role::officer);
}

TEST_CASE("seats are named in words") {
    CHECK(to_words({}) == "nobody");
    CHECK(to_words({Role::mentor}) == "the mentor");
    CHECK(to_words({Role::mentor, Role::officer}) == "the mentor or an officer");
    CHECK(to_words({Role::mentor, Role::guardian, Role::officer}) == "the mentor, the guardian or an officer");
}

}  // namespace
}  // namespace ladderline::test
