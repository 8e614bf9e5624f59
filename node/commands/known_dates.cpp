#include "node/commands/known_dates.hpp"

#include <algorithm>

#include "node/domain/licence/term.hpp"
#include "protocol/base/ensure.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/study_bodies.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::PassedElement;

constexpr std::string_view until_word = " until ";

std::pair<std::string, std::string> first_word(const std::string& text) {
    const std::size_t blank = text.find(' ');
    if (blank == std::string::npos) return {text, ""};
    return {text.substr(0, blank), text.substr(blank + 1)};
}

void take_pass(std::vector<PassedElement>& passed, const KnownDateBody& body) {
    std::erase_if(passed, [&](const PassedElement& p) { return p.element == body.text; });
    if (body.day) passed.push_back({body.text, *body.day, false});
}

// Whoever passed the booked paper at another session needs this one no more, while the certificate counts on its day.
bool is_settled(const std::optional<Day>& booked, const std::string& element, const std::vector<PassedElement>& since) {
    return booked && std::any_of(since.begin(), since.end(), [&](const PassedElement& p) {
               const auto then = domain::certificate_on(p.day, *booked, domain::shipped_clocks());
               return p.element == element && (p.day >= *booked || then == domain::CertificateDay::safe);
           });
}

void take_licence(SaidDates& out, const KnownDateBody& body) {
    KnownLicence licence;
    licence.granted = body.day;
    const std::size_t until = body.text.find(until_word);
    licence.code = body.text.substr(0, until);
    if (until != std::string::npos) {
        const auto day = parse_day(std::string_view(body.text).substr(until + until_word.size()));
        if (day) licence.expires = day.value();
    }
    if (licence.code.empty()) {
        out.licences.clear();
    } else {
        out.licences.push_back(std::move(licence));
    }
}

bool lapsed_on(const domain::KnownDates& dates, Day day) {
    return domain::licence_lapsed(dates, domain::shipped_clocks(), day);
}

// The first day of the class held, as it was said; a renewal or a new licence of the class takes no credit away.
std::optional<Day> said_since(const SaidDates& said, std::string_view held_class) {
    std::optional<Day> out;
    for (const KnownLicence& licence : said.licences) {
        if (licence.code != held_class || !licence.granted) continue;
        if (!out || *licence.granted < *out) out = licence.granted;
    }
    return out;
}

// Passed anew, after a licence that lapsed or a certificate that was not filed in time: what was seen and paid of a fee
// belongs to the earlier application. A further paper leaves it as it is, and so does a pass that was only ticked, or
// written down, some days late.
void drop_old_fee(domain::ExamFacts& facts, const SaidDates& said) {
    domain::KnownDates& dates = facts.dates;
    const domain::Clocks& clocks = domain::shipped_clocks();
    if (!domain::first_licence_pending(dates, clocks) || (!dates.grant && said.passed.empty())) return;
    Day first = *dates.exam_passed;
    for (const PassedElement& p : facts.passed) {
        const bool counts = domain::certificate_on(p.day, *dates.exam_passed, clocks) != domain::CertificateDay::over;
        if (counts) first = std::min(first, p.day);
    }
    for (std::optional<Day>* day : {&dates.fee_notice, &dates.fee_paid}) {
        if (*day && **day + clocks.fee_last_days < first) day->reset();
    }
}

// What the papers passed up to the grant opened; null: nothing. Precondition: the grant is known.
const domain::LicenceClass* class_granted(const domain::ExamFacts& facts) {
    std::vector<std::string> passed;
    for (const PassedElement& p : facts.passed) {
        if (p.day <= *facts.dates.grant) passed.push_back(p.element);
    }
    return domain::class_opened(own_rule_book(), passed);
}

// Class held before `day`: as it was said, else as the first passes opened it. Null: not known.
const domain::LicenceClass* class_before(const domain::ExamFacts& facts, const SaidDates& said, Day day) {
    const domain::RuleBook& book = own_rule_book();
    const domain::LicenceClass* out = nullptr;
    for (const KnownLicence& licence : said.licences) {
        if (licence.granted && *licence.granted < day) out = book.find_class(licence.code);
    }
    if (out != nullptr || !facts.dates.grant || *facts.dates.grant >= day) return out;
    return class_granted(facts);
}

// The dates of the licence as they stood on `day`: a grant said of a later day, such as a renewal, began nothing yet.
domain::KnownDates dates_on(domain::KnownDates before, const SaidDates& said, Day day) {
    for (const KnownLicence& licence : said.licences) {
        if (licence.granted && *licence.granted >= day) continue;
        domain::take_licence(before, licence.granted, licence.expires, domain::shipped_clocks());
    }
    return before;
}

bool licensed_on(const domain::KnownDates& of_way, const SaidDates& said, Day day) {
    const domain::KnownDates then = dates_on(of_way, said, day);
    const bool has_no_day = std::any_of(said.licences.begin(), said.licences.end(),
                                        [](const KnownLicence& licence) { return !licence.granted; });
    const bool held = then.grant ? *then.grant < day : has_no_day;
    return held && !lapsed_on(then, day);
}

// With what counted beside it that day, the paper opens a class above that one, and above the one held. Of a licence
// whose class is not known it is taken to do so.
bool opens_class(const domain::ExamFacts& facts, const SaidDates& said, const PassedElement& paper, bool licensed) {
    const domain::RuleBook& book = own_rule_book();
    const domain::LicenceClass* held = class_before(facts, said, paper.day);
    if (licensed && held == nullptr) return true;
    std::vector<std::string> counted;
    for (const PassedElement& p : facts.passed) {
        const auto age = domain::certificate_on(p.day, paper.day, domain::shipped_clocks());
        if (p.element != paper.element && age != domain::CertificateDay::over) counted.push_back(p.element);
    }
    const domain::CreditLine* credit =
        held != nullptr ? book.credit(held->code, licensed, said_since(said, held->code)) : nullptr;
    if (credit != nullptr && credit->source.certain)
        counted.insert(counted.end(), credit->elements.begin(), credit->elements.end());
    const domain::LicenceClass* without = domain::class_opened(book, counted);
    counted.push_back(paper.element);
    const domain::LicenceClass* opened = domain::class_opened(book, counted);
    const auto is_above = [&](const domain::LicenceClass* c) {
        return c == nullptr || book.rank(*opened) > book.rank(*c);
    };
    return opened != nullptr && is_above(without) && (!licensed || is_above(held));
}

// The day on which the register showed a class above the one held before the upgrade; a renewal shows none.
void see_class(domain::ExamFacts& facts, const SaidDates& said) {
    const domain::RuleBook& book = own_rule_book();
    domain::KnownDates& dates = facts.dates;
    if (!dates.licensed_at_exam) return;
    const domain::LicenceClass* before = class_before(facts, said, *dates.exam_passed);
    for (const KnownLicence& licence : said.licences) {
        if (!licence.granted || *licence.granted < *dates.exam_passed) continue;
        const domain::LicenceClass* shown = book.find_class(licence.code);
        const bool is_above = before == nullptr || (shown != nullptr && book.rank(*shown) > book.rank(*before));
        if (is_above) dates.class_visible = licence.granted;
    }
}

// The first licence's paper, ticked on the way and not said.
void take_ticked_paper(domain::ExamFacts& facts, const domain::States& states) {
    const domain::RuleBook& book = own_rule_book();
    const auto ticked = ticked_on(states, domain::known_item::exam_passed);
    if (!ticked || book.exams.empty()) return;
    const std::string& element = book.exams.front().element;
    for (const PassedElement& p : facts.passed) {
        if (p.element == element) return;
    }
    facts.passed.push_back({element, *ticked, false});
    std::stable_sort(facts.passed.begin(), facts.passed.end(),
                     [](const PassedElement& a, const PassedElement& b) { return a.day < b.day; });
}

// An upgrade that was ticked, and of which no paper was named: the last paper of the next class above the one held.
void take_ticked_upgrade(domain::ExamFacts& facts, const SaidDates& said, const domain::States& states,
                         const domain::PersonId& owner) {
    const auto ticked = ticked_on(states, domain::known_item::upgrade_passed);
    domain::KnownDates& dates = facts.dates;
    const bool was_said = dates.licensed_at_exam || std::any_of(said.passed.begin(), said.passed.end(),
                                                                [&](const auto& p) { return p.day == ticked; });
    if (!ticked || was_said || (dates.exam_passed && *dates.exam_passed > *ticked)) return;
    if (lapsed_on(dates, *ticked)) return;
    dates.exam_passed = ticked;
    dates.licensed_at_exam = true;
    const domain::LicenceClass* held = class_before(facts, said, *ticked);
    if (held == nullptr) return;
    const domain::RuleBook& book = own_rule_book();
    for (const domain::LicenceClass& c : book.classes) {
        if (!c.granted || c.elements.empty() || book.rank(c) <= book.rank(*held)) continue;
        const bool seen = domain::state_of(states, domain::known_item::upgrade_passed).confirmed_by_another(owner);
        facts.passed.push_back({c.elements.back(), *ticked, seen});
        return;
    }
}

// A pass that was only ticked settles the booking as well; a tick does not tell whether it came after it.
void drop_booking_of_ticked(domain::ExamFacts& facts, const SaidDates& said) {
    std::vector<PassedElement> ticked = facts.passed;
    std::erase_if(ticked, [&](const PassedElement& p) {
        return std::any_of(said.passed.begin(), said.passed.end(),
                           [&](const PassedElement& s) { return s.element == p.element; });
    });
    if (is_settled(facts.dates.exam_booked, facts.booked_element, ticked)) facts.dates.exam_booked.reset();
}

}  // namespace

std::optional<Day> ticked_on(const domain::States& states, domain::ItemId item) {
    const domain::ItemState& state = domain::state_of(states, item);
    if (!state.reached()) return std::nullopt;
    return state.tick ? state.tick->day : state.signature->day;
}

Result<SaidDates> said_dates(Context& context, const CircleId& circle, const MemberId& by) {
    TRY(const auto all, shown_history(context.db, circle, kind::known_date));
    SaidDates out;
    std::vector<PassedElement> passed_since;  // the booking: one that is said after the pass is meant, whatever for
    for (const ShownView& view : all) {
        if (view.by != by) continue;
        const auto body = read_payload<KnownDateBody>(view.payload);
        if (!body) continue;
        switch (body->what) {
            case DateKind::exam_booked:
                out.booked = body->day;
                std::tie(out.booked_element, out.booked_place) = first_word(body->text);
                passed_since.clear();
                break;
            case DateKind::exam_passed:
                take_pass(out.passed, *body);
                take_pass(passed_since, *body);
                break;
            case DateKind::granted:
                take_licence(out, *body);
                break;
            case DateKind::fee_notice:
            case DateKind::fee_paid:
            case DateKind::filed:
                break;  // items 04.01 and 04.03 of the ladder say these
        }
    }
    if (is_settled(out.booked, out.booked_element, passed_since)) out.booked.reset();
    std::stable_sort(out.passed.begin(), out.passed.end(),
                     [](const PassedElement& a, const PassedElement& b) { return a.day < b.day; });
    return out;
}

Result<std::vector<domain::ExamTry>> said_tries(Context& context) {
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(const auto all, shown_history(context.db, desk.id, kind::exam_try));
    std::vector<domain::ExamTry> out;
    for (const ShownView& view : all) {
        const auto body = read_payload<ExamTryBody>(view.payload);
        if (!body) continue;
        std::erase_if(out, [&](const domain::ExamTry& t) { return t.element == body->element && t.day == body->day; });
        if (!body->undone) out.push_back({body->element, body->day});
    }
    std::stable_sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.day < b.day; });
    return out;
}

domain::ItemId item_of_pass(const domain::RuleBook& book, std::string_view element, bool licensed) {
    constexpr domain::ItemId further_paper{3, 9};
    if (licensed) return domain::known_item::upgrade_passed;
    const bool first = !book.exams.empty() && book.exams.front().element == element;
    return first ? domain::known_item::exam_passed : further_paper;
}

void merge_said(domain::ExamFacts& facts, const SaidDates& said, const domain::States& states,
                const domain::PersonId& owner) {
    const domain::RuleBook& book = own_rule_book();
    domain::KnownDates& dates = facts.dates;
    dates.exam_booked = said.booked;
    facts.booked_element = said.booked_element;
    facts.booked_place = said.booked_place;
    facts.passed = said.passed;
    take_ticked_paper(facts, states);
    const domain::KnownDates of_way = dates;
    for (const KnownLicence& licence : said.licences) {
        domain::take_licence(dates, licence.granted, licence.expires, domain::shipped_clocks());
        facts.held_class = licence.code;
    }
    dates.class_since = said_since(said, facts.held_class);
    if (facts.held_class.empty() && dates.grant) {
        const auto* opened = class_granted(facts);
        if (opened != nullptr) facts.held_class = opened->code;
        if (opened != nullptr) dates.class_since = dates.grant;
    }
    for (PassedElement& p : facts.passed) {
        const bool licensed = licensed_on(of_way, said, p.day);
        p.confirmed = domain::state_of(states, item_of_pass(book, p.element, licensed)).confirmed_by_another(owner);
        if (!opens_class(facts, said, p, licensed)) continue;  // kept for another paper; nothing waits for it
        if (!dates.exam_passed || *dates.exam_passed <= p.day) {
            dates.exam_passed = p.day;
            dates.licensed_at_exam = licensed;
        }
    }
    take_ticked_upgrade(facts, said, states, owner);
    drop_booking_of_ticked(facts, said);
    drop_old_fee(facts, said);
    see_class(facts, said);
}

const domain::RuleBook& own_rule_book() {
    const auto book = domain::shipped_rule_book("us");
    ENSURE(book.has_value());
    return *book.value();
}

}  // namespace ladderline::node
