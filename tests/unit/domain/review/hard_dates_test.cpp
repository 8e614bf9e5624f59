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

std::vector<Pin> pins(const HardDateFacts& facts, std::optional<double> grant_days_90 = {}) {
    return hard_dates(std::vector<HardDateFacts>{facts}, grant_days_90, today);
}

}  // namespace

TEST_CASE("nobody is pinned without a date") {
    CHECK(pins(person("a")).empty());
}

TEST_CASE("the last safe day of a certificate is day 364, pinned sixty days ahead and red from thirty") {
    HardDateFacts facts = person("a");
    struct Row {
        int days_left;
        bool pinned, red;
    };
    for (const Row& row :
         {Row{61, false, false}, {60, true, false}, {31, true, false}, {30, true, true}, {-5, true, true}}) {
        CAPTURE(row.days_left);
        facts.certificate_exam_day = today + (row.days_left - 364);
        const auto found = pins(facts);
        REQUIRE(found.size() == (row.pinned ? 1u : 0u));
        if (!row.pinned) continue;
        CHECK(found[0].is_red == row.red);
        CHECK(found[0].days_left == row.days_left);
        CHECK(found[0].day == today + row.days_left);
    }
}

TEST_CASE("an exam within fourteen days is pinned if the chance to pass is under six in ten") {
    HardDateFacts facts = person("a");
    facts.exam_booked_on = today + 14;
    CHECK(pins(facts).empty());
    facts.pass_chance = 0.6;
    CHECK(pins(facts).empty());
    facts.pass_chance = 0.59;
    CHECK(pins(facts).size() == 1);
    facts.exam_booked_on = today + 15;
    CHECK(pins(facts).empty());
    facts.exam_booked_on = today + -1;
    CHECK(pins(facts).empty());
}

TEST_CASE("an unpaid fee is pinned, and red in its last days") {
    HardDateFacts facts = person("a");
    facts.fee_due_since = today + -1;
    CHECK_FALSE(pins(facts).at(0).is_red);
    CHECK(pins(facts).at(0).days_left == 9);
    facts.fee_due_since = today + -8;
    CHECK(pins(facts).at(0).is_red);
}

TEST_CASE("a grant is late when it takes longer than nine of ten took") {
    HardDateFacts facts = person("a");
    facts.grant_pending_since = today + -12;
    CHECK(pins(facts).empty());
    CHECK(pins(facts, 12.0).empty());
    CHECK(pins(facts, 11.5).size() == 1);
    CHECK(pins(facts, 11.5)[0].kind == HardDate::grant_late);
}

TEST_CASE("red pins come first, then the nearer date, then the id") {
    HardDateFacts far = person("far");
    far.certificate_exam_day = today + (50 - 364);
    HardDateFacts near = person("near");
    near.fee_due_since = today + -3;
    HardDateFacts red_b = person("b");
    red_b.certificate_exam_day = today + (20 - 364);
    HardDateFacts red_a = red_b;
    red_a.id = "a";
    std::string order;
    for (const Pin& pin : hard_dates(std::vector<HardDateFacts>{far, near, red_b, red_a}, {}, today))
        order += pin.id + " ";
    CHECK(order == "a b near far ");
}
