#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/checks.hpp"
#include "node/commands/club_numbers.hpp"
#include "node/commands/handover.hpp"
#include "node/commands/list_hits.hpp"
#include "node/commands/old_records.hpp"
#include "node/commands/review.hpp"
#include "protocol/base/comma_list.hpp"

namespace ladderline::node::cli {
namespace {

void add_names(std::vector<std::string>& text, const std::string& title, const std::vector<std::string>& names) {
    if (names.empty()) return;
    text.push_back(title);
    for (const std::string& name : names) text.push_back("  " + name);
}

// One who may need somebody.
void add_line(const ReviewLine& line, std::vector<std::string>& text, boost::json::array& needs) {
    text.push_back("  " + line.name + (line.call_sign.empty() ? "" : " (" + line.call_sign + ")") +
                   (line.stage.empty() ? "" : ", stage " + line.stage) +
                   (line.mentor_name.empty() ? ", no mentor" : ", with " + line.mentor_name));
    boost::json::array reasons;
    for (const std::string& reason : line.reasons) {
        text.push_back("      " + reason);
        reasons.push_back(boost::json::value(reason));
    }
    if (line.reasons.empty()) text.emplace_back("      Nothing stands out.");
    std::string falls_out;
    for (const std::string& one : line.falls_out_if) falls_out += (falls_out.empty() ? "" : ", or if ") + one;
    if (!falls_out.empty()) text.push_back("      Would fall out of the list if " + falls_out + ".");
    needs.push_back(
        {{"name", line.name}, {"stage", line.stage}, {"mentor", line.mentor_name}, {"reasons", std::move(reasons)}});
}

// Who needs somebody, and apart from them who is left in peace.
void add_people(const Review& r, std::vector<std::string>& text, boost::json::object& json) {
    boost::json::array needs;
    std::vector<std::string> resting;
    text.emplace_back("Who needs us:");
    for (const ReviewLine& line : r.lines) {
        if (line.resting) {
            resting.push_back(line.name);
        } else {
            add_line(line, text, needs);
        }
    }
    if (r.consenting == 0) {
        text.emplace_back("  Nobody shares their row with the club yet.");
    } else if (needs.empty()) {
        text.emplace_back("  Nobody stands out.");
    }
    for (const AskedLine& line : r.asked) {
        text.push_back("  " + line.name + " was asked on " + to_iso(line.asked) +
                       " and is fine; on the list again from " + to_iso(line.until) + ".");
    }
    if (!resting.empty()) text.push_back("Resting, and left in peace: " + joined(resting) + ".");
    json["needs"] = std::move(needs);
    json["resting"] = boost::json::value_from(resting);
}

Answer review_answer(const Review& r) {
    std::vector<std::string> text{"Review of " + r.club, r.as_of_sentence};
    boost::json::object json{{"club", r.club}, {"unknown", r.unknown}};
    if (!r.pinned.empty()) text.emplace_back("Dates that do not move:");
    for (const ReviewPin& pin : r.pinned) text.push_back("  " + pin.name + ": " + pin.sentence);
    add_people(r, text, json);
    add_names(text, "Without a mentor:", r.without_mentor);
    if (!r.with_room.empty()) text.emplace_back("Mentors with room:");
    for (const MentorLine& m : r.with_room) text.push_back("  " + m.name + ": room for " + std::to_string(m.places));
    for (const MentorLine& m : r.over_five)
        text.push_back("  " + m.name + " carries " + std::to_string(m.carries) + "; more than five is a lot.");
    text.push_back(r.on_air.sentence);
    text.push_back("Not known: " + std::to_string(r.unknown) + ".");
    return {lines(text), std::move(json)};
}

Answer question_answer(const ReviewAnswer& a) {
    std::vector<std::string> text{std::to_string(a.question.number) + ". " + std::string(a.question.title)};
    boost::json::array who;
    for (const ReviewedPerson& p : a.who) {
        text.push_back("  " + p.name + (p.detail.empty() ? "" : ": " + p.detail));
        who.push_back({{"name", p.name}, {"detail", p.detail}});
    }
    boost::json::array counts;
    for (const std::string& sentence : a.counts) {
        text.push_back("  " + sentence);
        counts.push_back(boost::json::value(sentence));
    }
    if (a.who.empty() && a.counts.empty()) text.push_back("  " + a.none);
    text.push_back(a.looked_at);
    if (a.as_of) text.push_back("As of " + to_iso_minute(*a.as_of) + ", the oldest news looked at.");
    text.push_back("Not known: " + std::to_string(a.unknown) + ". " + a.cannot_know);
    return {lines(text),
            {{"number", a.question.number},
             {"who", std::move(who)},
             {"counts", std::move(counts)},
             {"unknown", a.unknown}}};
}

Answer listed_questions() {
    std::vector<std::string> text;
    boost::json::array json;
    for (const ReviewQuestion& q : review_questions()) {
        const char* from = q.from == AnsweredFrom::paths ? "  [from the paths this node shares]" : "";
        text.push_back((q.number < 10 ? " " : "") + std::to_string(q.number) + "  " + std::string(q.title) + from);
        json.push_back({{"number", q.number}, {"title", std::string(q.title)}});
    }
    return {lines(text), std::move(json)};
}

Answer numbers_answer(const ClubNumbers& n, const ListHits& hits) {
    std::vector<std::string> text{"How long it takes in " + n.club};
    boost::json::array json;
    for (const WaitCurve& m : n.milestones) {
        text.push_back(m.title + ":");
        for (const std::string& sentence : m.sentences) text.push_back("  " + sentence);
        for (const Cohort& year : m.years) text.push_back("  " + year.title + ": " + median_words(year) + ".");
        if (!m.comparison.empty()) text.push_back("  " + m.comparison);
        text.push_back("  " + m.definition);
        const auto& median = m.all.median.days;
        json.push_back({{"title", m.title},
                        {"persons", m.all.persons < 5 ? boost::json::value() : boost::json::value(m.all.persons)},
                        {"median_days", median ? boost::json::value(*median) : boost::json::value()}});
    }
    text.emplace_back("Did the list of those who need us help?");
    for (const std::string& sentence : hits.sentences) text.push_back("  " + sentence);
    if (n.as_of) text.push_back("As of " + to_iso_minute(*n.as_of) + ", the oldest news in it.");
    text.push_back("Not known: " + std::to_string(n.unknown) + ".");
    return {lines(text), std::move(json)};
}

Answer year_answer(const AnnualReport& report) {
    std::vector<std::string> text{report.club + ", " + to_iso(report.from + 1) + " to " + to_iso(report.to)};
    boost::json::array json;
    for (const std::string& sentence : report.sentences) {
        text.push_back("  " + sentence);
        json.push_back(boost::json::value(sentence));
    }
    if (report.as_of) text.push_back("As of " + to_iso_minute(*report.as_of) + ", the oldest news in it.");
    return {lines(text), std::move(json)};
}

struct ReviewOptions {
    int number = 0;
    bool held = false;
    bool questions = false;
    bool numbers = false;
    bool year = false;
};

void add_review(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("review", "Who needs us, who has no mentor, and what the club does not know");
    auto o = std::make_shared<ReviewOptions>();
    sub->add_option("question", o->number, "One of the club's numbered questions; the whole review without it");
    sub->add_flag("--questions", o->questions, "The 36 questions and their numbers");
    sub->add_flag("--numbers", o->numbers, "How long people take, and how many leave first: counts, no names");
    sub->add_flag("--year", o->year, "The last year on one page: counts, no names");
    sub->add_flag("--held", o->held, "The review meeting was held today");
    sub->callback([&out, o] {
        out.command = [o](Context& context) -> Result<Answer> {
            if (o->held) {
                TRY(const Done done, review_held(context));
                return answer_of(done);
            }
            if (o->questions) return listed_questions();
            if (o->numbers) {
                TRY(const ClubNumbers numbers, club_numbers(context));
                TRY(const ListHits hits, list_hits(context));
                return numbers_answer(numbers, hits);
            }
            if (o->year) {
                TRY(const AnnualReport report, annual_report(context));
                return year_answer(report);
            }
            if (o->number != 0) {
                TRY(const ReviewAnswer answer, question(context, o->number));
                return question_answer(answer);
            }
            TRY(const Review all, review(context));
            return review_answer(all);
        };
    });
}

struct AskedOptions {
    std::string newcomer;
    std::string day;
};

void add_asked(CLI::App& app, CommandLine& out) {
    auto* sub =
        app.add_subcommand("asked", "You asked a newcomer of the club, and they are fine: the day, nothing else");
    auto o = std::make_shared<AskedOptions>();
    sub->add_option("newcomer", o->newcomer, "Who")->required();
    sub->add_option("--on", o->day, "The day, YYYY-MM-DD; today without it");
    sub->callback([&out, o] {
        out.command = [o](Context& context) -> Result<Answer> {
            std::optional<Day> day;
            if (!o->day.empty()) {
                TRY(day, parse_day(o->day));
            }
            TRY(const Done done, note_checked(context, o->newcomer, day));
            return answer_of(done);
        };
    });
}

void add_matters(std::vector<std::string>& text, boost::json::object& json, const char* key, const char* title,
                 const std::vector<OpenMatter>& matters) {
    boost::json::array list;
    if (!matters.empty()) text.push_back(std::string(title) + ":");
    for (const OpenMatter& matter : matters) {
        text.push_back("  " + matter.who + ": " + matter.sentence);
        list.push_back({{"who", matter.who},
                        {"sentence", matter.sentence},
                        {"day", matter.day ? boost::json::value(to_iso(*matter.day)) : boost::json::value()}});
    }
    json[key] = std::move(list);
}

Answer matters_answer(const OpenMatters& open) {
    std::vector<std::string> text{"What is open in " + open.club};
    std::string officers;
    for (const std::string& name : open.officers) officers += (officers.empty() ? "" : ", ") + name;
    text.push_back("Officers: " + officers + ".");
    boost::json::object json{{"club", open.club},
                             {"standing_pairs", open.standing_pairs},
                             {"on_my_word", open.on_my_word},
                             {"unknown", open.unknown}};
    add_matters(text, json, "asks", "Asked, and not answered yet", open.asks);
    add_matters(text, json, "dates", "Dates that do not move", open.dates);
    add_matters(text, json, "minors", "Under 18", open.minors);
    add_matters(text, json, "reviews", "Pairs to look at together", open.reviews);
    text.push_back("Pairs that stand: " + std::to_string(open.standing_pairs) +
                   ", of these only on your word: " + std::to_string(open.on_my_word) + ".");
    if (open.as_of) text.push_back("As of " + to_iso_minute(*open.as_of) + ", the oldest news in it.");
    text.push_back("Not known: " + std::to_string(open.unknown) + ".");
    return {lines(text), std::move(json)};
}

struct HandoverOptions {
    std::string to;
    bool take = false;
    bool step_down = false;
    std::string as = "mentor";
};

void add_handover(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("handover", "What the club's next officer has to know; the seat itself");
    auto o = std::make_shared<HandoverOptions>();
    auto* to = sub->add_option("--to", o->to, "Give this member an officer's seat");
    auto* take = sub->add_flag("--take", o->take, "The new officer takes the standing pairs over");
    auto* down = sub->add_flag("--step-down", o->step_down, "The old officer steps down");
    sub->add_option("--as", o->as, "With --step-down: mentor or second-adult")->needs(down);
    to->excludes(take)->excludes(down);
    take->excludes(down);
    sub->callback([&out, o] {
        out.command = [o](Context& context) -> Result<Answer> {
            if (!o->to.empty()) {
                TRY(const Done done, make_officer(context, o->to));
                return answer_of(done);
            }
            if (o->take) {
                TRY(const Done done, take_over_pairs(context));
                return answer_of(done);
            }
            if (o->step_down) {
                TRY(const auto seat, parse_role(o->as));
                TRY(const Done done, step_down(context, seat));
                return answer_of(done);
            }
            TRY(const OpenMatters open, open_matters(context));
            return matters_answer(open);
        };
    });
}

void add_old_records(CLI::App& app, CommandLine& out) {
    auto* sub =
        app.add_subcommand("old-records", "What this node still holds of people who left or whose consent is over");
    auto drop = std::make_shared<bool>(false);
    sub->add_flag("--drop", *drop, "Take them off this node, for good; a bare mark stays");
    sub->callback([&out, drop] {
        out.command = [drop](Context& context) -> Result<Answer> {
            if (*drop) {
                TRY(const Done done, drop_old_records(context));
                return answer_of(done);
            }
            TRY(const auto all, old_records(context));
            std::vector<std::string> text;
            boost::json::array json;
            for (const OldRecords& old : all) {
                text.push_back(old.name + ": " + old.sentence + "; records " + std::to_string(old.records));
                json.push_back({{"name", old.name}, {"left", old.left}, {"records", old.records}});
            }
            if (all.empty()) text.emplace_back("There are no old records here.");
            return Answer{lines(text), std::move(json)};
        };
    });
}

}  // namespace

void add_club_commands(CLI::App& app, CommandLine& out) {
    add_review(app, out);
    add_asked(app, out);
    add_handover(app, out);
    add_old_records(app, out);
}

}  // namespace ladderline::node::cli
