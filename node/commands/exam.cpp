#include "node/commands/exam.hpp"

#include <algorithm>

#include "node/commands/circles.hpp"
#include "node/commands/items.hpp"
#include "node/commands/own_day.hpp"
#include "node/commands/study_pools.hpp"
#include "node/domain/licence/term.hpp"
#include "node/domain/licence/upgrade.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/study_bodies.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::size_t place_bytes_max = 200;
constexpr std::int32_t booked_ahead_days_max = 731;
constexpr std::string_view class_not_known =
    "No licence class of yours is written down here, so that it is not known. If the register shows you, say so with "
    "'ladderline exam licence CLASS --granted DAY'; until it does, nothing is sent under a call sign of your own.";

// Where one's own dates are said: the path, or the desk while there is none.
Result<CircleView> own_place(Context& context) {
    auto path = own_circle(context, CircleKind::path);
    if (path) return path;
    return own_circle(context, CircleKind::desk);
}

Result<std::string> element_of(const std::string& typed) {
    const domain::RuleBook& book = own_rule_book();
    if (const domain::Exam* exam = book.find_exam(typed)) return exam->element;
    std::string known;
    for (const domain::Exam& exam : book.exams) known += (known.empty() ? "" : ", ") + exam.element;
    return Error{Fault::bad_input, "Say which element it was; there are " + known + ". Nothing was written down."};
}

Result<Day> past_day(Context& context, const std::optional<Day>& day) {
    const Day out = day ? *day : own_day(context);
    if (out > context.today() + 1) {
        return Error{Fault::bad_input, to_iso(out) + " has not come yet; nothing was written down."};
    }
    return out;
}

Result<EventId> say_date(Context& context, DateKind what, std::optional<Day> day, std::string text) {
    TRY(const CircleView place, own_place(context));
    return say(context, place.id, kind::known_date, codec::encode(KnownDateBody{what, day, std::move(text)}));
}

void reckon(ExamView& view, Day today) {
    const domain::Clocks& clocks = domain::shipped_clocks();
    view.steps = domain::exam_steps(*view.book, view.facts, clocks, today);
    view.credits = domain::credits(*view.book, view.facts, clocks, today);
    view.to_pass = domain::still_to_pass(*view.book, view.facts, clocks, today);
}

// What is known of the own licence says that none is in force: it ended, or the first one is waited for.
bool is_without_licence(const domain::ExamFacts& facts, Day today) {
    const domain::Clocks& clocks = domain::shipped_clocks();
    return domain::first_licence_pending(facts.dates, clocks) || domain::licence_ended(facts.dates, clocks, today);
}

// Empty: no licence is in force, or its class is not known.
Result<std::string> own_class(Context& context, const domain::ExamFacts& facts) {
    if (is_without_licence(facts, own_day(context))) return std::string();
    if (!facts.held_class.empty()) return facts.held_class;
    TRY(const CardBody card, own_card(context));
    const domain::LicenceClass* found = own_rule_book().find_class(card.licence_class);
    return found != nullptr ? found->code : std::string();
}

std::string pass_evidence(const std::string& element) {
    return "element " + element;
}

// Ticks the item of passing, unless it is ticked already. Empty where there is no way.
Result<std::string> tick_pass(Context& context, const std::string& element, Day day) {
    const auto own = way(context, "");
    if (!own) return std::string();
    domain::ExamFacts facts = own.value().exam;
    const bool held_before = (facts.dates.grant && *facts.dates.grant < day) || !facts.held_class.empty();
    const bool licensed = held_before && !domain::licence_lapsed(facts.dates, domain::shipped_clocks(), day);
    const domain::ItemId item = item_of_pass(own_rule_book(), element, licensed);
    if (context.edition.find(item) == nullptr) return std::string();
    if (!domain::state_of(own.value().states, item).reached()) {
        TickRequest request;
        request.item = domain::to_text(item);
        request.day = day;
        request.evidence = pass_evidence(element);
        TRY(tick(context, request));
    }
    return domain::to_text(item);
}

// Takes back the tick that came with the pass; one with another day or other words is somebody's own and stays. Empty
// where there is none.
Result<std::string> untick_pass(Context& context, const std::string& element) {
    const auto own = way(context, "");
    if (!own) return std::string();
    const auto& passed = own.value().exam.passed;
    const auto pass = std::find_if(passed.begin(), passed.end(), [&](const auto& p) { return p.element == element; });
    for (const bool licensed : {false, true}) {
        const domain::ItemId item = item_of_pass(own_rule_book(), element, licensed);
        const domain::ItemState& state = domain::state_of(own.value().states, item);
        const bool came_along = pass != passed.end() && state.phase == domain::Phase::ticked && state.tick &&
                                state.tick->day == pass->day && state.tick->text == pass_evidence(element);
        if (!came_along) continue;
        TickRequest request;
        request.item = domain::to_text(item);
        request.undo = true;
        TRY(tick(context, request));
        return request.item;
    }
    return std::string();
}

// The register is only said here; what is sent under the own call sign waits for its tick. Empty where that stands,
// where no licence is in force, or where there is no way.
std::string call_to_tick(Context& context, Day granted) {
    const auto own = way(context, "");
    const domain::ItemId item = domain::known_item::grant_visible;
    if (!own || context.edition.find(item) == nullptr) return {};
    if (domain::state_of(own.value().states, item).reached()) return {};
    if (domain::licence_ended(own.value().dates, domain::shipped_clocks(), own_day(context))) return {};
    return " Now tick your call sign, so that what you send under it can be written down: ladderline tick " +
           domain::to_text(item) + " --on " + to_iso(granted) + " --evidence CALLSIGN.";
}

}  // namespace

Result<ExamView> exam_view(Context& context, std::string_view who) {
    ExamView out;
    out.book = &own_rule_book();
    auto shared = way(context, who);
    if (!shared && !who.empty()) return shared.error();
    if (shared) {
        out.name = shared.value().owner.name;
        out.own = shared.value().owner.id == context.me.id();
        out.facts = std::move(shared.value().exam);
    } else {
        out.own = true;
        TRY(const CircleView desk, own_circle(context, CircleKind::desk));
        TRY(const SaidDates said, said_dates(context, desk.id, context.me.id()));
        merge_said(out.facts, said, {}, to_domain(context.me.id()));
        out.facts.dates.pool_last_day = pool_last_day(context, out.facts);
    }
    if (out.own) {
        TRY(out.facts.not_passed, said_tries(context));
    }
    reckon(out, own_day(context));
    return out;
}

Result<Done> exam_booked(Context& context, const BookedRequest& request) {
    if (!request.day) {
        TRY(const EventId id, say_date(context, DateKind::exam_booked, {}, ""));
        return Done{"No exam is booked any more. Another day will do as well.", id};
    }
    if (*request.day < own_day(context)) {
        return Error{Fault::bad_input, to_iso(*request.day) + " is past; say the day of the session to come."};
    }
    if (days_between(own_day(context), *request.day) > booked_ahead_days_max) {
        return Error{Fault::bad_input, to_iso(*request.day) +
                                           " is more than two years ahead; is the year right? Nothing was written "
                                           "down."};
    }
    std::string element = request.element;
    if (element.empty()) {
        TRY(const ExamView view, exam_view(context, ""));
        for (const domain::ToPass& line : view.to_pass) {
            if (element.empty() && !line.elements.empty()) element = line.elements.front();
        }
    }
    TRY(element, element_of(element));
    const bool one_line = request.place.find('\n') == std::string::npos;
    if (request.place.size() > place_bytes_max || !is_utf8(request.place) || !one_line) {
        return Error{Fault::bad_input, "Say the place in one short line; nothing was written down."};
    }
    const std::string text = request.place.empty() ? element : element + " " + request.place;
    TRY(const EventId id, say_date(context, DateKind::exam_booked, request.day, text));
    return Done{"Booked: element " + element + " on " + to_iso(*request.day) +
                    (request.place.empty() ? "" : ", " + request.place) +
                    ". A week before, what to bring is shown with 'ladderline exam next'.",
                id};
}

Result<Done> exam_took(Context& context, const PaperRequest& request) {
    TRY(const std::string element, element_of(request.element));
    TRY(const Day day, past_day(context, request.day));
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    const ExamTryBody body{element, day, request.undo};
    TRY(const EventId id, say(context, desk.id, kind::exam_try, codec::encode(body)));
    if (request.undo) return Done{"Taken off your desk again.", id};
    return Done{
        "Written on your own desk, and nowhere else. Not this time: you know the room now, and the next paper is "
        "another one. 'ladderline ready' shows where practice helps most; book again when you like.",
        id};
}

Result<Done> exam_passed(Context& context, const PaperRequest& request) {
    TRY(const std::string element, element_of(request.element));
    TRY(const Day day, past_day(context, request.day));
    if (request.undo) {
        TRY(const std::string open, untick_pass(context, element));
        TRY(const EventId id, say_date(context, DateKind::exam_passed, {}, element));
        return Done{"Element " + element + " no longer stands as passed" +
                        (open.empty() ? "; a ticked item of your way is undone with 'tick --undo'."
                                      : ", and " + open + " is open again."),
                    id};
    }
    TRY(const EventId id, say_date(context, DateKind::exam_passed, day, element));
    TRY(const std::string item, tick_pass(context, element, day));
    const Day safe = day + domain::shipped_clocks().certificate_safe_days;
    std::string said = "Well done: element " + element + " passed on " + to_iso(day) +
                       ". The certificate counts until " + to_iso(safe) + ".";
    if (!item.empty()) said += " Show it to your mentor, who confirms it by signing " + item + ".";
    return Done{said + " See 'ladderline exam next'.", id};
}

Result<Done> licence_held(Context& context, const LicenceRequest& request) {
    if (request.licence_class.empty()) {
        TRY(const EventId id, say_date(context, DateKind::granted, {}, ""));
        return Done{"Nothing is known of a licence of yours any more.", id};
    }
    const domain::RuleBook& book = own_rule_book();
    const domain::LicenceClass* held = book.find_class(request.licence_class);
    if (held == nullptr) {
        std::string known;
        for (const auto& c : book.classes) known += (known.empty() ? "" : ", ") + c.code + " (" + c.name + ")";
        return Error{Fault::bad_input, "There is no class '" + request.licence_class + "'; there are " + known +
                                           ". Nothing was written down."};
    }
    TRY(const Day granted, past_day(context, request.granted));
    if (request.expires && *request.expires <= granted) {
        return Error{Fault::bad_input,
                     "A licence ends after the day on which it was granted; nothing was written down."};
    }
    const std::string text = held->code + (request.expires ? " until " + to_iso(*request.expires) : "");
    TRY(const EventId id, say_date(context, DateKind::granted, granted, text));
    return Done{"The register shows " + held->name + " since " + to_iso(granted) +
                    (request.expires ? ", until " + to_iso(*request.expires) : "") + "." +
                    call_to_tick(context, granted),
                id};
}

Result<domain::TransmitAnswer> may_here(Context& context, const MayRequest& request) {
    TRY(const domain::RuleBook* book, domain::shipped_rule_book(request.country));
    domain::TransmitAsk ask = request.ask;
    TRY(ask.frequency_hz, domain::parse_frequency(request.frequency));
    ask.control_class = request.licence_class;
    if (request.licence_class != "own") return domain::may_transmit(*book, ask);
    TRY(const ExamView view, exam_view(context, ""));
    TRY(ask.control_class, own_class(context, view.facts));
    const auto* upgrade = domain::upgrade_usable(*view.book, view.facts, domain::shipped_clocks(), own_day(context));
    if (upgrade != nullptr && ask.pending_class.empty()) ask.pending_class = upgrade->code;
    TRY(domain::TransmitAnswer answer, domain::may_transmit(*book, ask));
    if (ask.control_class.empty() && !is_without_licence(view.facts, own_day(context))) {
        answer.verdict = domain::Verdict::not_known;
        answer.reason = std::string(class_not_known);
    }
    return answer;
}

}  // namespace ladderline::node
