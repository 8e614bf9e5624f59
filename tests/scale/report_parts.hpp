#pragma once
// Sections of the report.

#include "tests/scale/experiment.hpp"
#include "tests/scale/page.hpp"
#include "tests/scale/plot.hpp"

namespace ladderline::scale {

void say_assumptions(Page& page, const Outcome& outcome);
void say_agreement(Page& page, const Outcome& outcome);
void say_million(Page& page, const Outcome& outcome);

// Bytes of a store after a year, by the measured bytes of the production store.
struct YearStores {
    double device = 0;
    double courier = 0;
    double courier_quota = 0;  // as the courier counts
};
YearStores year_stores(const Outcome& outcome, const Figures& figures, std::uint32_t members, std::uint32_t days);
// The run of the usual club.
const Figures& usual_club(const Outcome& outcome);
double equal_share(const Figures& figures);

// Bounds of the program that a club comes up against as it grows.
struct Bound {
    std::string name;
    double bound = 0;
    double a_member = 0;  // use grows in step with members
    std::string at_bound;
    std::string remedy;
    double members_at_bound() const { return bound / a_member; }
};
std::vector<Bound> bounds(const Outcome& outcome);
// Of the one whose name begins so.
double members_at_bound(const Outcome& outcome, const std::string& name);

}  // namespace ladderline::scale
