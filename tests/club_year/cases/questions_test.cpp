// Each of the club's questions, asked by its officer on eight days of the year, against what happened.

#include <algorithm>

#include "tests/club_year/cases/officer.hpp"

using namespace ladderline;
using namespace ladderline::club_year;

TEST_CASE("each of the 36 questions names whom it should") {
    for (const Told& told : the_year()) {
        for (const auto& [number, answer] : told.answers) {
            if (answer.question.from == node::AnsweredFrom::counts) continue;
            CAPTURE(number);
            CAPTURE(to_iso(told.record.today()));
            CHECK(joined(named_in(answer)) == joined(told.record.who(number)));
        }
    }
}

TEST_CASE("each question but the one about silent hours has somebody to name on one of the days") {
    std::map<int, std::size_t> named;
    for (const Told& told : the_year()) {
        for (const auto& [number, answer] : told.answers) {
            if (answer.question.from != node::AnsweredFrom::counts) named[number] += answer.who.size();
        }
    }
    REQUIRE(named.size() == 33);
    for (const auto& [number, people] : named) {
        CAPTURE(number);
        CHECK((people > 0) == (number != 26));
    }
}

TEST_CASE("each answer from the rows says how many are unknown and how old the oldest news is") {
    for (const Told& told : the_year()) {
        for (const auto& [number, answer] : told.answers) {
            if (answer.question.from == node::AnsweredFrom::paths) continue;
            CAPTURE(number);
            CHECK(answer.unknown == told.record.unknown(number));
            const auto as_of = answer.as_of ? std::optional(utc_day(*answer.as_of)) : std::nullopt;
            CHECK(as_of == told.record.oldest_news());
        }
    }
}

TEST_CASE("of last spring's class as many were on the air as made contacts") {
    for (const Told& told : the_year()) {
        const auto& counts = told.answers.at(29).counts;
        const auto own = told.record.spring();
        REQUIRE(counts.size() == own.size());
        for (std::size_t i = 0; i < own.size(); ++i) {
            CAPTURE(counts[i]);
            CAPTURE(own[i]);
            CHECK(counts[i].find(own[i]) != std::string::npos);
        }
    }
}

TEST_CASE("the median time to the first contact is that of counting day by day") {
    for (const Told& told : the_year()) {
        const std::string medians = joined(told.answers.at(30).counts);
        for (const auto& [year, persons] : told.record.to_contact_by_year()) {
            CAPTURE(medians);
            CAPTURE(year);
            if (persons < 5) {
                CHECK(medians.find(year + ": ") == std::string::npos);
                continue;
            }
            const auto median = told.record.median_days(year);
            const std::string words = !median        ? "more than half still waiting"
                                      : *median < 0  ? "half of them within "
                                      : *median == 1 ? "half of them within 1 day"
                                                     : "half of them within " + std::to_string(*median) + " days";
            CHECK(medians.find(year + ": " + words) != std::string::npos);
        }
    }
}

TEST_CASE("people are lost where they stood when they left or went quiet") {
    for (const Told& told : the_year()) {
        std::vector<std::string> stages;
        for (const auto& [stage, n] : told.record.stages()) {
            if (n.came < 5) continue;
            stages.push_back("Stage " + std::string(stage < 10 ? "0" : "") + std::to_string(stage) + ": of " +
                             std::to_string(n.came) + " who came, " + Record::small(n.went_on) + " went on, " +
                             Record::small(n.left) + " left the club there, " + Record::small(n.quiet) +
                             " have been quiet for 90 days.");
        }
        CHECK(joined(told.answers.at(31).counts) == joined(stages));
    }
}
