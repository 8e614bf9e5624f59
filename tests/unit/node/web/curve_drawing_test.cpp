#include "node/web/pages/curve_drawing.hpp"

#include <doctest/doctest.h>

using namespace ladderline;

namespace {

node::Cohort cohort(const std::string& title, const std::vector<domain::Wait>& waits) {
    node::Cohort out;
    out.title = title;
    out.persons = static_cast<int>(waits.size());
    std::vector<domain::Outcome> outcomes;
    for (const domain::Wait& wait : waits) {
        outcomes.push_back({wait.days, wait.reached ? domain::End::reached : domain::End::open});
        out.days.push_back(wait.days);
    }
    out.curve = domain::SurvivalCurve::of(waits);
    out.outcomes = domain::OutcomeCurves::of(outcomes);
    return out;
}

}  // namespace

// Klein & Moeschberger, Survival Analysis, 2nd ed., section 4.2: beyond the longest time that anybody was followed the
// product-limit estimate is not defined, unless nobody is still open there.
TEST_CASE("a year's row of the table ends where its people were followed no longer") {
    const auto young = cohort("2027", {{5, true}, {10, true}, {20, true}, {60, false}, {60, false}, {60, false}});
    const auto done = cohort("2025", {{5, true}, {10, true}, {20, true}, {30, true}, {40, true}});
    const auto old = cohort("2026", {{5, true}, {100, false}, {200, false}, {200, false}, {200, false}});
    const std::string page = node::web::curve_drawing("To the first contact", {young, old, done}).markup();
    const std::string row = page.substr(page.rfind(">2027<"), page.rfind(">2026<") - page.rfind(">2027<"));
    CHECK(row.find("50 %") != std::string::npos);  // after 30 days
    CHECK(row.find("50 %") == row.rfind("50 %"));  // and not after 90 or 180
    CHECK(page.substr(page.rfind(">2025<")).find("100 %") != std::string::npos);
}
