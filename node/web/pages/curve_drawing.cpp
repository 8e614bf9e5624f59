#include "node/web/pages/curve_drawing.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "node/domain/review/small_counts.hpp"
#include "node/web/page.hpp"

namespace ladderline::node::web {
namespace {

constexpr double width = 600;
constexpr double height = 240;
constexpr double left = 60;
constexpr double top = 16;
constexpr double days_least = 90;
constexpr std::array<const char*, 4> dashes{"", "10 5", "3 4", "12 4 3 4"};

struct Scale {
    double days_max = days_least;
    double x(double days) const { return left + width * days / days_max; }
    double y(double share) const { return top + height * (1 - share); }
};

std::string number(double value) {
    const double tenths = std::round(value * 10) / 10;
    std::string out = std::to_string(tenths);
    return out.substr(0, out.find('.') + 2);
}

std::string point(const Scale& scale, double days, double share) {
    return number(scale.x(days)) + " " + number(scale.y(share));
}

// Level until each event, then up.
std::string line_of(const Cohort& cohort, const Scale& scale) {
    std::string out = "M" + point(scale, 0, 0);
    double share = 0;
    for (const domain::SurvivalStep& step : cohort.curve.steps()) {
        out += " L" + point(scale, step.days, share);
        share = 1 - step.survival;
        out += " L" + point(scale, step.days, share);
    }
    const double last = cohort.days.empty() ? 0 : cohort.days.back();
    return out + " L" + point(scale, last, share);
}

std::vector<int> marks_to(double days_max) {
    std::vector<int> out;
    for (const int days : {0, 30, 90, 180, 365, 730, 1095, 1825, 3650}) {
        if (days <= days_max) out.push_back(days);
    }
    return out;
}

Html axes(const Scale& scale) {
    Html out;
    for (const int percent : {0, 50, 100}) {
        const std::string y = number(scale.y(percent / 100.0));
        out.add(
            "<path d=\"{}\" stroke=\"currentColor\" stroke-width=\"0.5\" fill=\"none\"/><text x=\"{}\" y=\"{}\" "
            "text-anchor=\"end\" font-size=\"14\" fill=\"currentColor\">{} %</text>",
            "M" + number(left) + " " + y + " L" + number(left + width) + " " + y, number(left - 6), y, percent);
    }
    for (const int days : marks_to(scale.days_max)) {
        out.add("<text x=\"{}\" y=\"{}\" text-anchor=\"middle\" font-size=\"14\" fill=\"currentColor\">{}</text>",
                number(scale.x(days)), number(top + height + 18), days);
    }
    return out;
}

Html lines(const std::vector<const Cohort*>& cohorts, const Scale& scale) {
    Html out;
    for (std::size_t i = 0; i < cohorts.size(); ++i) {
        const Cohort& cohort = *cohorts[i];
        out.add("<path d=\"{}\" stroke=\"currentColor\" stroke-width=\"2\" stroke-dasharray=\"{}\" fill=\"none\"/>",
                line_of(cohort, scale), dashes[i % dashes.size()]);
        const double y = top + height + 42 + 18 * static_cast<double>(i);
        out.add(
            "<path d=\"{}\" stroke=\"currentColor\" stroke-width=\"2\" stroke-dasharray=\"{}\" fill=\"none\"/><text "
            "x=\"{}\" y=\"{}\" font-size=\"14\" fill=\"currentColor\">{}</text>",
            "M" + number(left) + " " + number(y - 5) + " L" + number(left + 50) + " " + number(y - 5),
            dashes[i % dashes.size()], number(left + 60), number(y), cohort.title);
    }
    return out;
}

Html table_beside(const std::vector<const Cohort*>& cohorts, const Scale& scale) {
    Table out;
    out.caption = "Share that had got there, and how many were still waiting; - where nobody was followed so long";
    out.columns = {"Began"};
    const std::vector<int> marks = marks_to(scale.days_max);
    for (const int days : marks) out.columns.push_back(std::to_string(days) + " days");
    for (const Cohort* cohort : cohorts) {
        std::vector<Html> row{html("{}", cohort->title)};
        for (const int days : marks) {
            if (!cohort->is_followed(days)) {
                row.push_back(text("-"));
                continue;
            }
            row.push_back(html("{} % ({})", std::lround(cohort->curve.reached_by(days) * 100),
                               domain::fewer_than_five(cohort->at_risk(days))));
        }
        out.rows.push_back(std::move(row));
    }
    return table(out);
}

}  // namespace

Html curve_drawing(const std::string& title, const std::vector<Cohort>& all) {
    std::vector<const Cohort*> cohorts;
    Scale scale;
    for (const Cohort& cohort : all) {
        if (cohort.days.empty()) continue;
        cohorts.push_back(&cohort);
        scale.days_max = std::max(scale.days_max, cohort.days.back());
    }
    if (cohorts.empty()) return Html();
    const double drawn = top + height + 50 + 18 * static_cast<double>(cohorts.size());
    return html(
        "<figure><svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}: curves; the same figures stand in the "
        "table below\">{}{}</svg><figcaption>Share of those who go on that had got there, by days since they "
        "began.</figcaption></figure>{}",
        number(left + width + 20), number(drawn), title, axes(scale), lines(cohorts, scale),
        table_beside(cohorts, scale));
}

}  // namespace ladderline::node::web
