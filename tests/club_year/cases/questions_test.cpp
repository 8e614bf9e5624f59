// Each of the club's questions, asked by its officer at four days of the year, against what happened.

#include "node/commands/club_numbers.hpp"
#include "tests/club_year/cases/officer.hpp"

using namespace ladderline;
using namespace ladderline::club_year;

namespace {

std::string joined(const std::vector<std::string>& lines) {
    std::string out;
    for (const std::string& line : lines) out += line + "\n";
    return out;
}

void hold_against(Officer& o, const Record& record, std::map<int, int>& named) {
    for (const node::ReviewQuestion& q : node::review_questions()) {
        if (q.from == node::AnsweredFrom::counts) continue;
        CAPTURE(q.number);
        CAPTURE(to_iso(record.today()));
        const auto told = o.who(q.number);
        CHECK(joined(told) == joined(record.who(q.number)));
        named[q.number] += static_cast<int>(told.size());
        if (q.from != node::AnsweredFrom::rows) continue;
        const auto answer = must(node::question(o.olive.context, q.number));
        CHECK(answer.unknown == record.unknown());
        CHECK((answer.as_of ? std::optional(utc_day(*answer.as_of)) : std::nullopt) == record.oldest_news());
    }
}

void hold_counts_against(Officer& o, const Record& record) {
    const auto spring = must(node::question(o.olive.context, 29)).counts;
    const auto own = record.spring();
    REQUIRE(spring.size() == own.size());
    for (std::size_t i = 0; i < own.size(); ++i) {
        CAPTURE(spring[i]);
        CHECK(spring[i].find(own[i]) != std::string::npos);
    }
    const std::string medians = joined(must(node::question(o.olive.context, 30)).counts);
    for (const auto& [year, persons] : record.to_contact_by_year()) {
        CAPTURE(medians);
        CAPTURE(year);
        if (persons < 5) {
            CHECK(medians.find(year + ": ") == std::string::npos);
            continue;
        }
        const auto median = record.median_days(year);
        const std::string words = !median        ? "more than half still waiting"
                                  : *median < 0  ? "half of them within "
                                  : *median == 1 ? "half of them within 1 day"
                                                 : "half of them within " + std::to_string(*median) + " days";
        CHECK(medians.find(year + ": " + words) != std::string::npos);
    }
    std::vector<std::string> stages;
    for (const auto& [stage, n] : record.stages()) {
        if (n.came < 5) continue;
        stages.push_back("Stage " + std::string(stage < 10 ? "0" : "") + std::to_string(stage) + ": of " +
                         std::to_string(n.came) + " who came, " + Record::small(n.went_on) + " went on, " +
                         Record::small(n.left) + " left the club there, " + Record::small(n.quiet) +
                         " have been quiet for 90 days.");
    }
    CHECK(joined(must(node::question(o.olive.context, 31)).counts) == joined(stages));
}

}  // namespace

TEST_CASE("each of the 36 questions names whom it should, four times in the club's year") {
    Officer o(1);
    std::map<int, int> named;
    for (const int after : {110, 200, 290, 364}) {
        o.play.until(o.story.first + after);
        const Record record(o.story, o.story.first + after);
        hold_against(o, record, named);
        hold_counts_against(o, record);
    }
    for (const auto& [number, people] : named) {
        CAPTURE(number);
        CHECK((people > 0) == (number != 26));  // 26 says that nobody here can know
    }
}

TEST_CASE("the year on one page counts what happened") {
    Officer o(2);
    o.play.until(o.story.last);
    const Record::Year year = Record(o.story, o.story.last).year();
    const auto report = must(node::annual_report(o.olive.context));
    const std::string said = joined(report.sentences);
    CAPTURE(said);
    const auto holds = [&](const std::string& words, int n) {
        return said.find(words + ": " + Record::small(n) + ".") != std::string::npos;
    };
    CHECK(holds("Newcomers who came into the club's list", year.began));
    CHECK(holds("Came past the examination", year.passed));
    CHECK(holds("Made their first contact", year.on_air));
    CHECK(holds("Asked for a hand at least once", year.asked));
    CHECK(holds("Pairs agreed in the year that still stand", year.paired));
    CHECK(holds("Left the club", year.left));
}

TEST_CASE("who was asked within fourteen days is off the list, and of those who left none is forgotten") {
    Officer o(1);
    int asked_in_all = 0;
    for (const int after : {110, 200, 290, 364}) {
        o.play.until(o.story.first + after);
        const Record record(o.story, o.story.first + after);
        std::vector<std::string> asked;
        for (const Newcomer& n : record.newcomers()) {
            if (!n.has_row(record.today()) || n.asked_and_fine.empty()) continue;
            const Day last = n.asked_and_fine.back();
            const auto& topic = n.rows.back().topic_since;
            if (days_between(last, record.today()) < 14 && !(topic && *topic > last))
                asked.push_back(record.name(n.who));
        }
        std::sort(asked.begin(), asked.end());
        const auto review = must(node::review(o.olive.context));
        std::vector<std::string> told;
        for (const node::AskedLine& line : review.asked) told.push_back(line.name);
        std::sort(told.begin(), told.end());
        CHECK(joined(told) == joined(asked));
        for (const node::ReviewLine& line : review.lines) {
            CHECK(std::find(asked.begin(), asked.end(), line.name) == asked.end());
        }
        int rows = 0;
        for (const Newcomer& n : record.newcomers()) rows += n.has_row(record.today()) ? 1 : 0;
        CHECK(review.lines.size() + asked.size() == static_cast<std::size_t>(rows));
        CHECK(review.hits.left == record.year().left);
        CHECK(review.hits.named_and_left <= review.hits.left);
        asked_in_all += static_cast<int>(asked.size());
    }
    CHECK(asked_in_all > 0);
}

TEST_CASE("no count of a group below five is spelled out, on no answer and not on the year's page") {
    Officer o(5);
    for (const int after : {40, 90, 364}) {
        o.play.until(o.story.first + after);
        std::vector<std::string> all = must(node::annual_report(o.olive.context)).sentences;
        for (const int number : {29, 31}) {
            for (const auto& line : must(node::question(o.olive.context, number)).counts) all.push_back(line);
        }
        for (const auto& line : must(node::review(o.olive.context)).hits.sentences) all.push_back(line);
        for (const std::string& line : all) {
            CAPTURE(line);
            for (const char* few : {"0", "1", "2", "3", "4"}) {
                for (const char* before : {": ", " of ", "Of ", "of ", ", "}) {
                    for (const char* after_it :
                         {" of", " people", " who", ".", ",", " went", " left", " have", " more"}) {
                        CHECK(line.find(std::string(before) + few + after_it) == std::string::npos);
                    }
                }
            }
        }
    }
}

TEST_CASE("the same seed gives the same answers, another seed others") {
    const auto all = [](std::uint64_t seed) {
        Officer o(seed, must(parse_day("2026-05-31")));
        o.play.until(o.story.first + 150);
        std::string out;
        for (const node::ReviewQuestion& q : node::review_questions()) {
            const auto answer = must(node::question(o.olive.context, q.number));
            for (const auto& person : answer.who) out += person.name + " " + person.detail + "\n";
            out += joined(answer.counts) + answer.looked_at + std::to_string(answer.unknown) + "\n";
        }
        return out;
    };
    const std::string first = all(3);
    CHECK(first == all(3));
    CHECK(first != all(4));
}
