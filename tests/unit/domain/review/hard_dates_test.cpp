#include "node/domain/review/hard_dates.hpp"

#include <doctest/doctest.h>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

const Day today = parse_day("2026-11-25").value();

HardDateFacts person(const char* id) {
    HardDateFacts out;
    out.id = id;
    return out;
}

std::vector<Pin> pins(const HardDateFacts& facts, const Clocks& clocks = shipped_clocks()) {
    return hard_dates(std::vector<HardDateFacts>{facts}, clocks, today);
}

}  // namespace

TEST_CASE("nobody is pinned without a date") {
    CHECK(pins(person("a")).empty());
}

TEST_CASE("the last safe day of a certificate is day 364, pinned from sixty days before it on") {
    HardDateFacts facts = person("a");
    struct Row {
        int days_left;
        bool pinned;
    };
    for (const Row& row : {Row{61, false}, {60, true}, {-5, true}}) {
        CAPTURE(row.days_left);
        facts.certificate_exam_day = today + (row.days_left - 364);
        const auto found = pins(facts);
        REQUIRE(found.size() == (row.pinned ? 1u : 0u));
        if (!row.pinned) continue;
        CHECK(found[0].days_left == row.days_left);
        CHECK(found[0].day == today + row.days_left);
    }
}

TEST_CASE("an unpaid fee is pinned from its notice to ten days after it") {
    HardDateFacts facts = person("a");
    facts.fee_due_since = today + -1;
    CHECK(pins(facts).at(0).days_left == 9);
}

TEST_CASE("the regulator's lengths are those of the clocks") {
    HardDateFacts facts = person("a");
    facts.certificate_exam_day = today;
    facts.fee_due_since = today;
    Clocks clocks = shipped_clocks();
    clocks.certificate_safe_days = 50;
    clocks.fee_last_days = 20;
    const auto found = pins(facts, clocks);
    REQUIRE(found.size() == 2);
    CHECK(found[0].day == today + 20);
    CHECK(found[1].day == today + 50);
}

TEST_CASE("the nearer date comes first, then the id") {
    HardDateFacts far = person("far");
    far.certificate_exam_day = today + (50 - 364);
    HardDateFacts near = person("near");
    near.fee_due_since = today + -3;
    HardDateFacts b = person("b");
    b.certificate_exam_day = today + (20 - 364);
    HardDateFacts a = b;
    a.id = "a";
    std::string order;
    for (const Pin& pin : hard_dates(std::vector<HardDateFacts>{far, b, near, a}, shipped_clocks(), today))
        order += pin.id + " ";
    CHECK(order == "near a b far ");
}
