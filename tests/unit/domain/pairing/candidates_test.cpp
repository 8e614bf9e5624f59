#include "node/domain/pairing/candidates.hpp"

#include <doctest/doctest.h>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

const Day today = parse_day("2026-11-25").value();
const HardRules rules{today, today + 180, 30};

PairingNewcomer newcomer(const char* id = "n") {
    PairingNewcomer out;
    out.id = id;
    out.class_held = ClassRank::technician;
    out.languages = {"en"};
    return out;
}

PairingMentor mentor(const char* id = "m") {
    PairingMentor out;
    out.id = id;
    out.places = 1;
    out.class_held = ClassRank::general;
    out.languages = {"en", "es"};
    return out;
}

PairFacts near_by() {
    PairFacts out;
    out.weekly_common_minutes = 120;
    out.apart = Apart{5};
    return out;
}

PairingNewcomer minor() {
    PairingNewcomer out = newcomer();
    out.is_minor = true;
    out.safeguards.guardian_consent_until = today;
    out.safeguards.second_adults = {{"second", rules.pairing_ends}};
    return out;
}

PairingMentor cleared() {
    PairingMentor out = mentor();
    out.cleared_until = rules.pairing_ends;
    return out;
}

std::vector<WhyNot> against(const PairingNewcomer& n, const PairingMentor& m, const PairFacts& f = near_by()) {
    return reasons_against(n, m, f, rules);
}

using Reasons = std::vector<WhyNot>;

}  // namespace

TEST_CASE("two who suit each other are a candidate") {
    CHECK(against(newcomer(), mentor()).empty());
}

TEST_CASE("an officer rules a pair out") {
    PairFacts facts = near_by();
    facts.blocked_by_officer = true;
    CHECK(against(newcomer(), mentor(), facts) == Reasons{WhyNot::blocked_by_officer});
}

TEST_CASE("a pair that did not come about lately is left alone") {
    PairFacts facts = near_by();
    facts.not_taken_up = true;
    CHECK(against(newcomer(), mentor(), facts) == Reasons{WhyNot::not_taken_up});
}

TEST_CASE("without a common language there is no pair") {
    PairingNewcomer n = newcomer();
    n.languages = {"fr", "es"};
    CHECK(against(n, mentor()).empty());
    n.languages = {"fr"};
    CHECK(against(n, mentor()) == Reasons{WhyNot::no_common_language});
}

TEST_CASE("a newcomer under age needs consent, a second pair of eyes and a cleared mentor") {
    CHECK(against(minor(), cleared()).empty());

    PairingNewcomer n = minor();
    n.safeguards.guardian_consent_until.reset();
    CHECK(against(n, cleared()) == Reasons{WhyNot::no_guardian_consent});
    n.safeguards.guardian_consent_until = today + -1;
    CHECK(against(n, cleared()) == Reasons{WhyNot::guardian_consent_passed});

    PairingMentor m = mentor();
    CHECK(against(minor(), m) == Reasons{WhyNot::no_mentor_clearance});
    m.cleared_until = rules.pairing_ends + -1;
    CHECK(against(minor(), m) == Reasons{WhyNot::mentor_clearance_ends});
}

TEST_CASE("a second adult counts only if cleared and not the mentor") {
    PairingNewcomer n = minor();
    n.safeguards.second_adults.clear();
    CHECK(against(n, cleared()) == Reasons{WhyNot::no_second_adult});
    n.safeguards.second_adults = {{"m", rules.pairing_ends}};
    CHECK(against(n, cleared()) == Reasons{WhyNot::no_second_adult});
    n.safeguards.second_adults = {{"x", {}}, {"y", rules.pairing_ends + -1}};
    CHECK(against(n, cleared()) == Reasons{WhyNot::no_second_adult});
    n.safeguards.second_adults.push_back({"z", rules.pairing_ends});
    CHECK(against(n, cleared()).empty());
}

TEST_CASE("every failing safeguard is told at once") {
    PairingNewcomer n = newcomer();
    n.is_minor = true;
    CHECK(against(n, mentor()) ==
          Reasons{WhyNot::no_guardian_consent, WhyNot::no_second_adult, WhyNot::no_mentor_clearance});
}

TEST_CASE("safeguards are not asked of adults") {
    PairingNewcomer n = newcomer();
    n.safeguards = {};
    CHECK(against(n, mentor()).empty());
}

TEST_CASE("too little common time matters unless both accept written contact only") {
    PairFacts facts = near_by();
    facts.weekly_common_minutes = 29;
    PairingNewcomer n = newcomer();
    PairingMentor m = mentor();
    CHECK(against(n, m, facts) == Reasons{WhyNot::too_little_common_time});
    n.accepts_written_only = true;
    CHECK(against(n, m, facts) == Reasons{WhyNot::too_little_common_time});
    m.accepts_written_only = true;
    CHECK(against(n, m, facts).empty());
    facts.weekly_common_minutes = 30;
    CHECK(against(newcomer(), mentor(), facts).empty());
}

TEST_CASE("a distance that either side limits matters unless both accept remote help") {
    PairFacts facts = near_by();
    facts.apart = Apart{41};
    PairingNewcomer n = newcomer();
    PairingMentor m = mentor();
    CHECK(against(n, m, facts).empty());
    m.distance_km_max = 40;
    CHECK(against(n, m, facts) == Reasons{WhyNot::too_far});
    facts.apart->unsure_km = 1;
    CHECK(against(n, m, facts).empty());
    facts.apart.reset();
    CHECK(against(n, m, facts) == Reasons{WhyNot::distance_unknown});
    n.accepts_remote = m.accepts_remote = true;
    CHECK(against(n, m, facts).empty());
}

TEST_CASE("every reason has a sentence of its own") {
    for (int k = 0; k <= static_cast<int>(WhyNot::distance_unknown); ++k) {
        CAPTURE(k);
        CHECK(to_sentence(static_cast<WhyNot>(k)).ends_with('.'));
        for (int other = 0; other < k; ++other) {
            CHECK(to_sentence(static_cast<WhyNot>(k)) != to_sentence(static_cast<WhyNot>(other)));
        }
    }
}

TEST_CASE("a cost is made of six weighted parts") {
    PairingNewcomer n = newcomer();
    n.bands_and_modes = {"2m", "20m", "FM"};
    n.goals = {"first contact"};
    PairingMentor m = mentor();
    m.bands_and_modes = {"20m", "40m"};
    m.goals = {"first contact"};
    PairFacts facts = near_by();
    facts.weekly_common_minutes = 60;
    facts.apart = Apart{50};
    const PairCost cost = cost_of_pair(n, m, facts);
    const std::array<double, cost_parts> match{0.5, 0.36787944117144233, 0.25, 1, 1, 1};
    double sum = 0;
    for (std::size_t k = 0; k < cost_parts; ++k) {
        CAPTURE(k);
        CHECK(cost.match[k] == doctest::Approx(match[k]));
        CHECK(cost.points_lost[k] == doctest::Approx(1000 * PairWeights{}.of[k] * (1 - match[k])));
        sum += cost.points_lost[k];
    }
    CHECK(cost.cost == 426);  // 150 + 126.42 + 150 + 0 + 0 + 0
    CHECK(sum == doctest::Approx(426.42).epsilon(1e-4));
}

TEST_CASE("what nobody has named counts half, and remote help is never far") {
    PairingNewcomer n = newcomer();
    PairingMentor m = mentor();
    n.accepts_remote = m.accepts_remote = true;
    PairFacts facts = near_by();
    facts.apart = Apart{5000};
    const PairCost cost = cost_of_pair(n, m, facts);
    CHECK(cost.match[static_cast<std::size_t>(CostPart::bands_and_modes)] == 0.5);
    CHECK(cost.match[static_cast<std::size_t>(CostPart::goals)] == 0.5);
    CHECK(cost.match[static_cast<std::size_t>(CostPart::distance)] == 0.6);
}

TEST_CASE("two who have nothing in common lose all thousand points") {
    PairingNewcomer n = newcomer();
    n.bands_and_modes = {"2m"};
    n.goals = {"antennas"};
    n.languages = {"fr"};
    PairingMentor m = mentor();
    m.bands_and_modes = {"20m"};
    m.goals = {"first contact"};
    m.class_held = n.class_held;
    CHECK(cost_of_pair(n, m, {}).cost == 1000);
}

TEST_CASE("one or two classes above is best, and the same class is not above") {
    struct Row {
        ClassRank held, mentor_class;
        double match;
    };
    for (const Row& row : {Row{ClassRank::none, ClassRank::technician, 1},
                           {ClassRank::none, ClassRank::advanced, 1},
                           {ClassRank::none, ClassRank::extra, 0},
                           {ClassRank::technician, ClassRank::extra, 1},
                           {ClassRank::general, ClassRank::general, 0},
                           {ClassRank::extra, ClassRank::general, 0}}) {
        PairingNewcomer n = newcomer();
        n.class_held = row.held;
        PairingMentor m = mentor();
        m.class_held = row.mentor_class;
        CHECK(cost_of_pair(n, m, near_by()).match[static_cast<std::size_t>(CostPart::class_above)] == row.match);
    }
}

TEST_CASE("weights add up to one") {
    CHECK(check(PairWeights{}));
    CHECK_FALSE(check(PairWeights{{0.5, 0.2, 0.2, 0.15, 0.1, 0.05}}));
    CHECK_FALSE(check(PairWeights{{1.1, -0.1, 0, 0, 0, 0}}));
    CHECK(check(PairWeights{{1, 0, 0, 0, 0, 0}}));
}

TEST_CASE("those who wait longest come first") {
    std::vector<PairingNewcomer> people{newcomer("b"), newcomer("a"), newcomer("c")};
    people[2].days_waiting = 40;
    sort_by_waiting(people);
    CHECK(people[0].id + people[1].id + people[2].id == "cab");
}

TEST_CASE("who comes first stands before those who wait longest, and counts as waiting a year") {
    std::vector<PairingNewcomer> newcomers(2);
    newcomers[0] = newcomer("a");
    newcomers[0].days_waiting = 300;
    newcomers[1] = newcomer("b");
    newcomers[1].days_waiting = 7;
    newcomers[1].comes_first = true;
    sort_by_waiting(newcomers);
    CHECK(newcomers[0].id == "b");
    const std::vector<PairingMentor> mentors{mentor()};
    const auto table = build_pairing(
        newcomers, mentors, [](std::size_t, std::size_t) { return near_by(); }, rules);
    CHECK(table.problem.waiting_points == std::vector<std::int32_t>{520, 420});
}

TEST_CASE("every mentor is a candidate or has a reason against") {
    const std::vector<PairingNewcomer> newcomers{newcomer()};
    std::vector<PairingMentor> mentors{mentor("a"), mentor("b")};
    mentors[0].languages = {"fr"};
    const auto facts_of = [](std::size_t, std::size_t) { return near_by(); };
    const PairingTable table = build_pairing(newcomers, mentors, facts_of, rules);
    REQUIRE(table.choices.size() == 1);
    REQUIRE(table.choices[0].ruled_out.size() == 1);
    CHECK(table.choices[0].ruled_out[0].mentor == 0);
    REQUIRE(table.choices[0].candidates.size() == 1);
    CHECK(table.choices[0].candidates[0].mentor == 1);
    CHECK(solve_pairing(table.problem).mentor_of == std::vector<std::int32_t>{1});
}

TEST_CASE("a pairing says why this mentor, who comes next, and where the better one went") {
    const std::vector<PairingNewcomer> newcomers{newcomer("a"), newcomer("b")};
    const std::vector<PairingMentor> mentors{mentor("near"), mentor("far"), mentor("farther")};
    // Newcomer a loses little by going far, b would lose a lot.
    const auto facts_of = [](std::size_t n, std::size_t m) {
        PairFacts out = near_by();
        out.apart = Apart{n == 0 ? std::array{5.0, 20.0, 40.0}[m] : std::array{5.0, 300.0, 400.0}[m]};
        return out;
    };
    const PairingTable table = build_pairing(newcomers, mentors, facts_of, rules);
    const Assignment best = solve_pairing(table.problem);
    REQUIRE(best.mentor_of == std::vector<std::int32_t>{1, 0});
    const auto why = why_this_mentor(table, best, 0);
    REQUIRE(why);
    CHECK(why->cost.cost == table.choices[0].candidates[1].cost.cost);
    REQUIRE(why->next_best.size() == 1);
    CHECK(why->next_best[0].mentor == 2);
    CHECK(why->next_best[0].lacks == std::vector<CostPart>{CostPart::distance});
    REQUIRE(why->best_alone);
    CHECK(why->best_alone->mentor == 0);
    CHECK(why->best_alone->fewer_paired == 0);
    const auto cost = [&](std::size_t n, std::int32_t m) { return cost_of(table.problem, n, m); };
    CHECK(why->best_alone->price == cost(0, 0) + cost(1, 1) - cost(0, 1) - cost(1, 0));
    CHECK_FALSE(why_this_mentor(table, best, 1)->best_alone);
}
