#include "node/domain/licence/exam_steps.hpp"

#include <algorithm>

#include "node/domain/licence/term.hpp"
#include "node/domain/licence/upgrade.hpp"

namespace ladderline::domain {
namespace {

constexpr std::int32_t week_days = 7;
constexpr std::int32_t try_shown_days = 30;
constexpr std::string_view team_first = "The exam team's own instructions come first; ask them where in doubt.";

std::string days_words(std::int32_t days) {
    if (days == 0) return "today";
    return days == 1 ? "tomorrow" : "in " + std::to_string(days) + " days";
}

bool has(const std::vector<std::string>& all, const std::string& one) {
    return std::find(all.begin(), all.end(), one) != all.end();
}

// Collects the steps of one day.
class Steps {
public:
    Steps(const RuleBook& book, const ExamFacts& facts, const Clocks& clocks, Day today)
        : book_(book), facts_(facts), dates_(facts.dates), clocks_(clocks), today_(today) {}

    std::vector<ExamStep> all() && {
        session();
        not_passed();
        passed();
        fee();
        identifier();
        term();
        if (out_.empty()) {
            out_.push_back(
                {"Nothing today", StepTone::plain, {"Nothing about an exam or the licence needs you today."}});
        }
        return std::move(out_);
    }

private:
    bool is_lapsed() const { return licence_lapsed(dates_, clocks_, today_); }
    bool holds_licence() const { return !is_lapsed() && (!facts_.held_class.empty() || dates_.grant.has_value()); }
    bool is_upgrade() const { return dates_.licensed_at_exam || holds_licence(); }
    bool is_pending() const {
        if (!dates_.licensed_at_exam) return first_licence_pending(dates_, clocks_);
        return dates_.exam_passed && !dates_.class_visible;
    }

    // What was passed last is too old to be filed any more.
    bool is_out_of_date() const {
        return dates_.exam_passed && *dates_.exam_passed <= today_ &&
               certificate_on(*dates_.exam_passed, today_, clocks_) == CertificateDay::over;
    }

    void advise(ExamStep& step, ExamTime when) const {
        for (const ExamAdvice& a : book_.advice) {
            if (a.when != when) continue;
            if (a.who == ExamWho::first && is_upgrade()) continue;
            if (a.who == ExamWho::upgrade && !is_upgrade()) continue;
            std::string sentence = a.text + ".";
            if (a.source.rule != "-") sentence += " (" + a.source.rule + (a.source.certain ? ")" : ", not checked)");
            step.sentences.push_back(std::move(sentence));
        }
    }

    // Something was said of that session already.
    bool is_over(Day session) const {
        const auto since = [&](const auto& one) { return one.day >= session; };
        const auto is_that = [&](const PassedElement& p) {
            return p.element == facts_.booked_element && certificate_on(p.day, today_, clocks_) == CertificateDay::safe;
        };
        if (std::any_of(facts_.passed.begin(), facts_.passed.end(), is_that)) return true;
        return std::any_of(facts_.passed.begin(), facts_.passed.end(), since) ||
               std::any_of(facts_.not_passed.begin(), facts_.not_passed.end(), since);
    }

    void session() {
        if (!dates_.exam_booked) {
            const auto left = still_to_pass(book_, facts_, clocks_, today_);
            if (holds_licence() || (is_pending() && !is_out_of_date()) || left.empty()) return;
            out_.push_back({"No exam is booked",
                            StepTone::plain,
                            {"When the figures say that you are ready, ask your mentor or a local exam team for a "
                             "session, and write it down here.",
                             exam_shape(left.front())}});
            return;
        }
        const Day session = *dates_.exam_booked;
        const std::int32_t left = days_between(today_, session);
        if (is_over(session)) return;
        ExamStep step;
        const std::string what = facts_.booked_element.empty() ? "exam" : "exam, element " + facts_.booked_element;
        const std::string where = facts_.booked_place.empty() ? "" : ", " + facts_.booked_place;
        if (left < 0) {
            step.title = "How did it go?";
            step.sentences = {"Your " + what + " was on " + to_iso(session) + where +
                                  ". If you like, write down how it went; nobody is told of a paper that did not pass.",
                              "Moved or not taken? Book the new day, and this goes away."};
        } else {
            step.title = "Your " + what + " is " + days_words(left);
            step.sentences.push_back("It is on " + to_iso(session) + where + ".");
            if (left <= week_days) advise(step, ExamTime::week);
            if (left == 0) advise(step, ExamTime::day);
            for (const DueLine& line : due(dates_, clocks_, today_)) {
                if (line.what == Due::pool_ends) step.sentences.push_back(line.sentence);
            }
            certificates_too_short(step, session);
            if (left > week_days) step.sentences.emplace_back("A week before, what to bring is shown here.");
            step.sentences.emplace_back(team_first);
        }
        out_.push_back(std::move(step));
    }

    // 47 CFR 97.505(b): what counts today may be over by the session.
    void certificates_too_short(ExamStep& step, Day session) const {
        std::vector<std::string> there;
        for (const CreditView& credit : credits(book_, facts_, clocks_, session)) {
            if (credit.counts) there.push_back(credit.element);
        }
        for (const CreditView& credit : credits(book_, facts_, clocks_, today_)) {
            if (!credit.counts || !credit.last_safe || has(there, credit.element)) continue;
            step.sentences.push_back("The certificate of element " + credit.element + " counts until " +
                                     to_iso(*credit.last_safe) +
                                     ", before that day: unless a licence has come of it by then, element " +
                                     credit.element + " has to be passed again, or you take an earlier session.");
        }
    }

    std::string exam_shape(const ToPass& left) const {
        std::string out;
        for (const std::string& element : left.elements) {
            const Exam* exam = book_.find_exam(element);
            if (exam == nullptr) continue;
            out += (out.empty() ? "" : " ") + std::string("Element ") + element + " has " +
                   std::to_string(exam->questions) + " questions; " + std::to_string(exam->least_right) +
                   " right answers pass (" + exam->source.rule + (exam->source.certain ? ")." : ", not checked).");
        }
        return out;
    }

    void not_passed() {
        if (facts_.not_passed.empty()) return;
        const ExamTry& last = facts_.not_passed.back();
        const bool passed_since = std::any_of(facts_.passed.begin(), facts_.passed.end(), [&](const PassedElement& p) {
            return p.element == last.element && p.day >= last.day;
        });
        const bool booked_again = dates_.exam_booked && *dates_.exam_booked > last.day;
        if (passed_since || booked_again || days_between(last.day, today_) > try_shown_days) return;
        ExamStep step{"Not this time", StepTone::plain, {}};
        step.sentences.emplace_back(
            "Many good operators sat a paper twice. You now know how the room feels, and which questions came; that is "
            "worth more than another evening with a book.");
        advise(step, ExamTime::not_passed);
        step.sentences.emplace_back("This stands on your own desk alone. Whether you tell anybody is yours to choose.");
        out_.push_back(std::move(step));
    }

    // Of the application that waits: a paper of an earlier one is too old for it.
    void certificates(ExamStep& step) const {
        for (const PassedElement& p : facts_.passed) {
            const CertificateDay age = certificate_on(p.day, *dates_.exam_passed, clocks_);
            if (age != CertificateDay::over || p.day > *dates_.exam_passed)
                step.sentences.push_back(certificate_sentence(p));
        }
    }

    // A paper that opens no class while another one is missing: its certificate waits for that one.
    void kept() {
        for (const PassedElement& p : facts_.passed) {
            const bool is_used = dates_.exam_passed && p.day <= *dates_.exam_passed;
            const bool opens_one = class_opened(book_, {p.element}) != nullptr;
            if (is_used || opens_one || certificate_on(p.day, today_, clocks_) != CertificateDay::safe) continue;
            const auto left = still_to_pass(book_, facts_, clocks_, today_);
            const auto waits = std::find_if(left.begin(), left.end(),
                                            [&](const ToPass& line) { return has(line.opens->elements, p.element); });
            if (waits == left.end() || waits->elements.empty()) continue;
            std::string words = waits->elements.size() == 1 ? "element " : "elements ";
            for (const std::string& e : waits->elements) words += (&e == &waits->elements.front() ? "" : ", ") + e;
            words = "It opens no class yet; still to pass for " + waits->opens->name + ": " + words + ".";
            out_.push_back({"Passed", StepTone::glad, {certificate_sentence(p), std::move(words)}});
        }
    }

    void passed() {
        if (!is_pending()) return kept();
        if (is_out_of_date()) return out_of_date();
        ExamStep step{dates_.licensed_at_exam ? "Upgrade passed" : "Passed", StepTone::glad, {}};
        certificates(step);
        advise(step, ExamTime::passed);
        for (const DueLine& line : due(dates_, clocks_, today_)) {
            if (line.what == Due::grant_expected || line.what == Due::certificate_doubtful) {
                step.sentences.push_back(line.sentence);
            }
        }
        out_.push_back(std::move(step));
    }

    void out_of_date() {
        ExamStep step{"The certificate has run out", StepTone::caution, {}};
        certificates(step);
        for (const DueLine& line : due(dates_, clocks_, today_)) {
            if (line.what == Due::certificate_ends) step.sentences.push_back(line.sentence);
        }
        step.sentences.emplace_back(dates_.licensed_at_exam
                                        ? "If the register shows the new class meanwhile, say so: 'ladderline exam "
                                          "licence CLASS --granted DAY'."
                                        : "If the register shows your call sign meanwhile, tick 04.06.");
        out_.push_back(std::move(step));
    }

    std::string certificate_sentence(const PassedElement& p) const {
        const Day safe = p.day + clocks_.certificate_safe_days;
        std::string out = "Element " + p.element + ", passed on " + to_iso(p.day);
        out += today_ <= safe ? ": the certificate counts until " + to_iso(safe) + " (" +
                                    std::to_string(days_between(today_, safe)) + " days)"
                              : ": the certificate counted until " + to_iso(safe);
        if (p.confirmed) return out + "; your mentor has seen it.";
        return out + (today_ <= safe ? "; show it to your mentor, who confirms it." : ".");
    }

    void fee() {
        const bool due_now = is_pending() && !is_out_of_date() && !dates_.licensed_at_exam && !dates_.fee_paid;
        if (!due_now) return;
        ExamStep step{"The regulator's fee", StepTone::caution, {}};
        const CountryFact& fee = book_.fact("fee");
        if (fee.value != "none") {
            step.sentences.push_back("It is " + fee.value + " (" + fee.source.rule + ", as of " +
                                     to_iso(fee.source.as_of) +
                                     "), paid to the regulator itself and not to the exam team.");
        }
        if (!dates_.fee_notice) {
            step.sentences.push_back("The notice has not been seen yet. From the day it comes there are " +
                                     std::to_string(clocks_.fee_last_days) +
                                     " calendar days; when it is there: ladderline tick 04.01 --on DAY, the day of "
                                     "the regulator's e-mail, not today.");
        }
        for (const DueLine& line : due(dates_, clocks_, today_)) {
            if (line.what == Due::fee_last_day || line.what == Due::fee_reminder)
                step.sentences.push_back(line.sentence);
        }
        out_.push_back(std::move(step));
    }

    void identifier() {
        const LicenceClass* aimed = upgrade_awaited(book_, facts_, clocks_, today_);
        if (aimed == nullptr) return;
        const std::string& word = aimed->indicator;
        const Day last = *dates_.exam_passed + clocks_.temporary_authority_days;
        ExamStep step{"Until the register shows " + aimed->name, StepTone::plain, {}};
        if (today_ > last) {
            step.tone = StepTone::caution;
            step.sentences.push_back("The temporary rights ended on " + to_iso(last) +
                                     "; use only what the class in the register allows.");
        } else {
            step.sentences.push_back("Where your old class would not do, add " + word + " to your call sign: \"/" +
                                     word + "\" in Morse and data, \"slash " + word + "\" or \"temporary " + word +
                                     "\" by voice (" + aimed->source.rule + ").");
            step.sentences.emplace_back(
                "Where your old class would do, nothing is added. Have the certificate with you.");
            step.sentences.push_back(
                "It ends when the register shows the new class, when the application is turned "
                "down, or after " +
                to_iso(last) + ", whichever comes first.");
        }
        out_.push_back(std::move(step));
    }

    void term() {
        for (const DueLine& line : due(dates_, clocks_, today_)) {
            if (line.what != Due::licence_ends && line.what != Due::grace_ends) continue;
            ExamStep step{line.what == Due::licence_ends ? "Renew the licence" : "The licence has ended",
                          StepTone::caution,
                          {line.sentence}};
            if (!is_lapsed()) {
                advise(step, ExamTime::renewal);
                step.sentences.emplace_back(
                    "When the register shows the new end, say so: 'ladderline exam licence CLASS --expires DAY'.");
            }
            out_.push_back(std::move(step));
        }
    }

    const RuleBook& book_;
    const ExamFacts& facts_;
    const KnownDates& dates_;
    const Clocks& clocks_;
    Day today_;
    std::vector<ExamStep> out_;
};

// The licence as far as credit goes: in force or in grace, or longer ago; none without a known class.
std::optional<bool> unexpired(const ExamFacts& facts, const Clocks& clocks, Day today) {
    if (facts.held_class.empty()) return {};
    return !licence_lapsed(facts.dates, clocks, today);
}

}  // namespace

std::string temporary_identifier(const RuleBook& book, std::string_view from, std::string_view to) {
    const LicenceClass* old_class = book.find_class(from);
    const LicenceClass* new_class = book.find_class(to);
    if (old_class == nullptr || new_class == nullptr || book.rank(*new_class) <= book.rank(*old_class)) return {};
    return new_class->indicator;
}

const LicenceClass* class_opened(const RuleBook& book, const std::vector<std::string>& elements) {
    const LicenceClass* out = nullptr;
    for (const LicenceClass& c : book.classes) {
        if (!c.granted || c.elements.empty()) continue;
        const bool all =
            std::all_of(c.elements.begin(), c.elements.end(), [&](const std::string& e) { return has(elements, e); });
        if (all) out = &c;
    }
    return out;
}

std::vector<CreditView> credits(const RuleBook& book, const ExamFacts& facts, const Clocks& clocks, Day today) {
    std::vector<CreditView> out;
    for (const PassedElement& p : facts.passed) {
        const Day safe = p.day + clocks.certificate_safe_days;
        CreditView credit{p.element, "", safe, false};
        switch (certificate_on(p.day, today, clocks)) {
            case CertificateDay::safe:
                credit.counts = true;
                credit.why = "Passed on " + to_iso(p.day) + "; the certificate counts until " + to_iso(safe) + ".";
                break;
            case CertificateDay::doubtful:
                credit.why =
                    "Passed on " + to_iso(p.day) + "; whether today still counts is doubtful, ask the exam team.";
                break;
            case CertificateDay::over:
                credit.why = "Passed on " + to_iso(p.day) + "; the certificate counted until " + to_iso(safe) + ".";
                break;
        }
        out.push_back(std::move(credit));
    }
    const auto in_force = unexpired(facts, clocks, today);
    const LicenceClass* held = book.find_class(facts.held_class);
    const CreditLine* line =
        in_force && held != nullptr ? book.credit(held->code, *in_force, facts.dates.class_since) : nullptr;
    if (line == nullptr || !line->source.certain) return out;
    const std::string since = line->granted_before ? " granted before " + to_iso(*line->granted_before) : "";
    for (const std::string& element : line->elements) {
        out.push_back(
            {element, "By the licence, class " + held->name + since + " (" + line->source.rule + ").", {}, true});
    }
    return out;
}

std::vector<ToPass> still_to_pass(const RuleBook& book, const ExamFacts& facts, const Clocks& clocks, Day today) {
    std::vector<std::string> counted;
    for (const CreditView& c : credits(book, facts, clocks, today)) {
        if (c.counts) counted.push_back(c.element);
    }
    // Whose licence cannot be renewed any more begins with the lowest class again.
    const bool begins_anew = licence_lapsed(facts.dates, clocks, today);
    const LicenceClass* held = begins_anew ? nullptr : book.find_class(facts.held_class);
    std::vector<ToPass> out;
    for (const LicenceClass& c : book.classes) {
        if (!c.granted || (held != nullptr && book.rank(c) <= book.rank(*held))) continue;
        ToPass line{&c, {}};
        for (const std::string& element : c.elements) {
            if (!has(counted, element)) line.elements.push_back(element);
        }
        out.push_back(std::move(line));
    }
    return out;
}

std::vector<ExamStep> exam_steps(const RuleBook& book, const ExamFacts& facts, const Clocks& clocks, Day today) {
    return Steps(book, facts, clocks, today).all();
}

}  // namespace ladderline::domain
