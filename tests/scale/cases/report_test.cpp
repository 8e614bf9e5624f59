#include "tests/scale/report.hpp"

#include <doctest/doctest.h>

using namespace ladderline::scale;

namespace {

Effort little() {
    Effort effort;
    effort.days = 3;
    effort.club_members = 20;
    effort.clubs = {1, 2};
    effort.sizes = {{10, 3}, {30, 2}};
    effort.pauses_s = {300, 1800};
    effort.talks = {1, 4};
    effort.real_days = 1;
    effort.store_logs = 10;
    effort.store_events = 100;
    return effort;
}

ReportFiles report(std::uint64_t seed) {
    Effort effort = little();
    effort.seed = seed;
    return report_of(run_all(effort, nullptr, [](const std::string&) {}));
}

const ReportFiles& first_report() {
    static const ReportFiles one = report(1);
    return one;
}

}  // namespace

TEST_CASE("the same seed gives the same report to the byte, another seed another one") {
    CHECK(first_report() == report(1));
    CHECK(first_report() != report(2));
}

TEST_CASE("every plot that the report shows is written, and has words at its axes") {
    const ReportFiles& files = first_report();
    const std::string& page = files.at("report.md");
    CHECK(files.size() > 4);
    for (const auto& [name, text] : files) {
        if (!name.ends_with(".svg")) continue;
        CAPTURE(name);
        CHECK(page.find("(" + name + ")") != std::string::npos);
        CHECK(text.starts_with("<svg "));
        CHECK(text.ends_with("</svg>\n"));
        CHECK(text.find("members") != std::string::npos);
        CHECK(text.find("prefers-color-scheme: dark") != std::string::npos);
        CHECK(text.find("nan") == std::string::npos);
    }
}

TEST_CASE("shares of many values are right to within three parts in a hundred") {
    Tally tally;
    for (std::uint64_t i = 1; i <= 100'000; ++i) tally.add(i);
    CHECK(tally.mean() == doctest::Approx(50'000.5));
    CHECK(tally.percent(50) == doctest::Approx(50'000).epsilon(0.032));
    CHECK(tally.percent(95) == doctest::Approx(95'000).epsilon(0.032));
    CHECK(tally.percent(100) == 100'000);
    CHECK(tally.worst() == 100'000);
}
