#pragma once
// From the booked exam to the licence: what its owner writes down, and what is of use today.

#include "node/commands/known_dates.hpp"
#include "node/commands/way.hpp"
#include "node/domain/rules/transmit.hpp"

namespace ladderline::node {

struct ExamView {
    std::string name;  // of whoever sits it; empty: without a way of their own
    bool own = false;
    const domain::RuleBook* book = nullptr;
    domain::ExamFacts facts;
    std::vector<domain::ExamStep> steps;  // of use today, in order
    std::vector<domain::CreditView> credits;
    std::vector<domain::ToPass> to_pass;
};
// `who` empty: oneself, with a way or without. Papers that did not pass are in nobody's view but one's own.
Result<ExamView> exam_view(Context& context, std::string_view who);

struct BookedRequest {
    std::optional<Day> day;  // empty: the session is off
    std::string element;     // empty: the first one still to be passed
    std::string place;       // may be empty
};
// bad_input: a day that is past or more than two years ahead, no such element, or a place of more than one short line.
Result<Done> exam_booked(Context& context, const BookedRequest& request);

struct PaperRequest {
    std::string element;
    std::optional<Day> day;  // empty: today
    bool undo = false;       // it was written down by mistake
};
// Sat and not passed: stays on the desk.
Result<Done> exam_took(Context& context, const PaperRequest& request);
// Passed: says so on the way, and ticks the item that the mentor signs for the certificate. Undone, that tick goes too
// while nobody has signed it.
Result<Done> exam_passed(Context& context, const PaperRequest& request);

struct LicenceRequest {
    std::string licence_class;   // code or name; empty: what was said of it is taken back
    std::optional<Day> granted;  // empty: today
    std::optional<Day> expires;
};
// What the register shows.
Result<Done> licence_held(Context& context, const LicenceRequest& request);

struct MayRequest {
    std::string country = "us";
    std::string frequency;
    std::string licence_class;  // "own": what is known of the own licence
    domain::TransmitAsk ask;    // the rest of it
};
Result<domain::TransmitAnswer> may_here(Context& context, const MayRequest& request);

}  // namespace ladderline::node
