#include "node/domain/ladder/record.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "tests/unit/domain/ladder/people.hpp"

namespace ladderline::test {
namespace {

using namespace ladderline::domain;
using K = StatementKind;

// Sets of statements with what must follow from them, in whatever order they arrive.
struct Row {
    std::string what;
    std::vector<Statement> statements;
    Phase phase;
    bool tick_stands;
    Level signed_level;  // none: no signature stands
};

std::vector<Row> simple_rows() {
    return {
        {"nothing was said", {}, Phase::open, false, Level::none},
        {"a tick", {says(1, K::tick, ann, 1)}, Phase::ticked, true, Level::none},
        {"a signature without a tick", {says(1, K::sign, ben, 1, Level::alone)}, Phase::is_signed, false, Level::alone},
        {"tick, then signature",
         {says(1, K::tick, ann, 1), says(2, K::sign, ben, 2, Level::with_help)},
         Phase::is_signed,
         true,
         Level::with_help},
        {"a tick taken back leaves the signature",
         {says(1, K::tick, ann, 1), says(2, K::sign, ben, 2, Level::alone), says(3, K::untick, ann, 3)},
         Phase::is_signed,
         false,
         Level::alone},
        {"a signature withdrawn leaves the tick",
         {says(1, K::tick, ann, 1), says(2, K::sign, ben, 2, Level::alone),
          says(3, K::withdraw, ben, 3, Level::none, 2)},
         Phase::withdrawn,
         true,
         Level::none},
        {"ticked again after the withdrawal",
         {says(1, K::tick, ann, 1), says(2, K::sign, ben, 2, Level::alone),
          says(3, K::withdraw, ben, 3, Level::none, 2), says(4, K::tick, ann, 4)},
         Phase::ticked,
         true,
         Level::none},
        {"a withdrawal by somebody else counts for nothing",
         {says(1, K::sign, ben, 1, Level::alone), says(2, K::withdraw, fritz, 2, Level::none, 1)},
         Phase::is_signed,
         false,
         Level::alone},
        {"a withdrawal whose clock ran behind still counts",
         {says(1, K::sign, ben, 9, Level::alone), says(2, K::withdraw, ben, 2, Level::none, 1)},
         Phase::withdrawn,
         false,
         Level::none},
        {"a withdrawal of a signature that has not arrived",
         {says(1, K::tick, ann, 1), says(2, K::withdraw, ben, 2, Level::none, 77)},
         Phase::ticked,
         true,
         Level::none},
        {"the higher of two signatures counts",
         {says(1, K::sign, ben, 1, Level::alone), says(2, K::sign, fritz, 2, Level::with_help)},
         Phase::is_signed,
         false,
         Level::alone},
        {"the higher withdrawn, the lower stands",
         {says(1, K::sign, ben, 1, Level::alone), says(2, K::sign, fritz, 2, Level::with_help),
          says(3, K::withdraw, ben, 3, Level::none, 1)},
         Phase::is_signed,
         false,
         Level::with_help},
    };
}

std::vector<Row> later_rows() {
    return {
        {"re-opened after tick and signature",
         {says(1, K::tick, ann, 1), says(2, K::sign, ben, 2, Level::alone), says(3, K::reopen, ann, 3)},
         Phase::reopened,
         false,
         Level::none},
        {"done again after it was re-opened",
         {says(1, K::tick, ann, 1), says(2, K::reopen, ann, 2), says(3, K::tick, ann, 3)},
         Phase::ticked,
         true,
         Level::none},
        {"signed by somebody who had not heard that it was re-opened",
         {says(1, K::tick, ann, 1), says(2, K::reopen, ann, 2), says(3, K::sign, ben, 3, Level::alone)},
         Phase::reopened,
         false,
         Level::none},
        {"signed unheard, then done again",
         {says(1, K::tick, ann, 1), says(2, K::reopen, ann, 2), says(3, K::sign, ben, 3, Level::alone),
          says(4, K::tick, ann, 4)},
         Phase::ticked,
         true,
         Level::none},
        {"done again and signed",
         {says(1, K::tick, ann, 1), says(2, K::reopen, ann, 2), says(3, K::tick, ann, 3),
          says(4, K::sign, ben, 4, Level::alone)},
         Phase::is_signed,
         true,
         Level::alone},
        {"skipped", {says(1, K::skip, ann, 1)}, Phase::skipped, false, Level::none},
        {"resting", {says(1, K::tick, ann, 1), says(2, K::rest, ann, 2)}, Phase::resting, true, Level::none},
        {"resting, then skipped",
         {says(1, K::rest, ann, 1), says(2, K::skip, ann, 2)},
         Phase::skipped,
         false,
         Level::none},
        {"a tick ends the skip",
         {says(1, K::skip, ann, 1), says(2, K::tick, ann, 2)},
         Phase::ticked,
         true,
         Level::none},
        {"a withdrawn signature does not end the rest",
         {says(1, K::rest, ann, 1), says(2, K::sign, ben, 2, Level::alone),
          says(3, K::withdraw, ben, 3, Level::none, 2)},
         Phase::resting,
         false,
         Level::none},
        {"asking for a skipped item does not end the skip",
         {says(1, K::skip, ann, 1), says(2, K::assign, ben, 2)},
         Phase::skipped,
         false,
         Level::none},
        {"only the ticker's own untick counts",
         {says(1, K::tick, ann, 1), says(2, K::untick, ben, 2)},
         Phase::ticked,
         true,
         Level::none},
        {"same instant: the smaller id first",
         {says(1, K::tick, ann, 5), says(2, K::untick, ann, 5)},
         Phase::open,
         false,
         Level::none},
        {"everything at once",
         {says(1, K::assign, ben, 1), says(2, K::tick, ann, 2), says(3, K::sign, ben, 3, Level::with_help),
          says(4, K::withdraw, ben, 4, Level::none, 3), says(5, K::reopen, ann, 5), says(6, K::tick, ann, 6)},
         Phase::ticked,
         true,
         Level::none},
    };
}

// A re-opening of what is set aside takes the skip or rest away and nothing else.
std::vector<Row> aside_rows() {
    return {
        {"opened again after a skip", {says(1, K::skip, ann, 1), says(2, K::reopen, ann, 2)}, Phase::open, false, {}},
        {"opened again after a rest, what stood before stands",
         {says(1, K::tick, ann, 1), says(2, K::sign, ben, 2, Level::alone), says(3, K::rest, ann, 3),
          says(4, K::reopen, ann, 4)},
         Phase::is_signed,
         true,
         Level::alone},
        {"rested, then skipped, then opened again",
         {says(1, K::rest, ann, 1), says(2, K::skip, ann, 2), says(3, K::reopen, ann, 3)},
         Phase::open,
         false,
         {}},
        {"re-opened, then skipped, then opened again",
         {says(1, K::tick, ann, 1), says(2, K::reopen, ann, 2), says(3, K::skip, ann, 3), says(4, K::reopen, ann, 4)},
         Phase::reopened,
         false,
         {}},
        {"opened again twice after a rest",
         {says(1, K::tick, ann, 1), says(2, K::rest, ann, 2), says(3, K::reopen, ann, 3), says(4, K::reopen, ann, 4)},
         Phase::reopened,
         false,
         {}},
    };
}

std::vector<Row> rows() {
    std::vector<Row> all = simple_rows();
    for (Row& row : later_rows()) all.push_back(std::move(row));
    for (Row& row : aside_rows()) all.push_back(std::move(row));
    return all;
}

TEST_CASE("the state of an item follows from what was said about it") {
    for (const Row& row : rows()) {
        CAPTURE(row.what);
        const ItemState state = derive(row.statements);
        CHECK(to_word(state.phase) == to_word(row.phase));
        CHECK(state.tick.has_value() == row.tick_stands);
        CHECK(state.signed_level() == row.signed_level);
    }
}

TEST_CASE("the state is the same in whatever order the statements arrive") {
    for (const Row& row : rows()) {
        std::vector<Statement> order = row.statements;
        std::sort(order.begin(), order.end(), [](const auto& a, const auto& b) { return a.id < b.id; });
        const ItemState expected = derive(order);
        int different = 0;
        do {
            different += derive(order) == expected ? 0 : 1;
        } while (std::next_permutation(order.begin(), order.end(),
                                       [](const auto& a, const auto& b) { return a.id < b.id; }));
        CAPTURE(row.what);
        CHECK(different == 0);
    }
}

TEST_CASE("what was said under one reading of the clock counts in the order of its count") {
    for (const std::uint8_t first : {std::uint8_t{1}, std::uint8_t{2}}) {
        const std::uint8_t second = first == 1 ? 2 : 1;
        Statement tick = says(first, K::tick, ann, 1);
        Statement untick = says(second, K::untick, ann, 1);
        tick.count = 4;
        untick.count = 5;
        CHECK(derive(std::vector{tick, untick}).phase == Phase::open);
        std::swap(tick.count, untick.count);
        CHECK(derive(std::vector{tick, untick}).phase == Phase::ticked);
    }
}

TEST_CASE("a statement that arrives twice counts once") {
    for (const Row& row : rows()) {
        std::vector<Statement> twice = row.statements;
        twice.insert(twice.end(), row.statements.begin(), row.statements.end());
        CAPTURE(row.what);
        CHECK(derive(twice) == derive(row.statements));
    }
}

TEST_CASE("a signature is remembered with who, when, in which seat and at which level") {
    const ItemState state = derive(std::vector{says(1, K::sign, ben, 40, Level::alone)});
    REQUIRE(state.signature);
    CHECK(state.signature->author == ben);
    CHECK(state.signature->role == Role::mentor);
    CHECK(state.signature->said == WallTime{40});
    CHECK(state.reached_on() == Day{40});
}

TEST_CASE("of two signatures of one level the earlier is named, and both are kept") {
    const ItemState state =
        derive(std::vector{says(2, K::sign, fritz, 2, Level::alone), says(1, K::sign, ben, 1, Level::alone)});
    CHECK(state.signature->author == ben);
    CHECK(state.signatures.size() == 2);
}

TEST_CASE("only open, withdrawn and re-opened items need doing") {
    for (const Row& row : rows()) {
        CAPTURE(row.what);
        const bool needs = row.phase == Phase::open || row.phase == Phase::withdrawn || row.phase == Phase::reopened;
        CHECK(derive(row.statements).needs_doing() == needs);
    }
}

TEST_CASE("a signature by the ticker, or by the person whose way it is, is nobody else's word") {
    CHECK(ticked_and_signed(ann, ben, Day{1}).confirmed_by_another(ann));
    CHECK_FALSE(ticked_and_signed(cleo, cleo, Day{1}).confirmed_by_another(ann));
    CHECK_FALSE(ticked_and_signed(cleo, ann, Day{1}).confirmed_by_another(ann));
    CHECK_FALSE(ticked_by(ann, Day{1}).confirmed_by_another(ann));
}

TEST_CASE("statements about many items are parted by item") {
    Statement other = says(2, K::sign, ben, 2);
    other.item = {7, 1};
    const States states = derive_all(std::vector{says(1, K::tick, ann, 1), other});
    CHECK(state_of(states, {6, 2}).phase == Phase::ticked);
    CHECK(state_of(states, {7, 1}).phase == Phase::is_signed);
    CHECK(state_of(states, {7, 2}).phase == Phase::open);
}

TEST_CASE("a level is read as a word or a digit, and nothing else") {
    CHECK(parse_level("alone").value() == Level::alone);
    CHECK(parse_level("4").value() == Level::taught_it);
    for (const std::string text : {"", "0", "5", "expert", "22"}) {
        CAPTURE(text);
        CHECK_FALSE(parse_level(text).has_value());
    }
}

TEST_CASE("no word for a state blames anybody") {
    for (const Phase phase : {Phase::open, Phase::ticked, Phase::is_signed, Phase::withdrawn, Phase::reopened,
                              Phase::resting, Phase::skipped}) {
        for (const char* word : {"fail", "overdue", "score", "rank", "inactive", "drop"}) {
            CHECK(to_word(phase).find(word) == std::string_view::npos);
        }
    }
}

}  // namespace
}  // namespace ladderline::test
