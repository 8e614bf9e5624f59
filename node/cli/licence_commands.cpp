#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/class_view.hpp"
#include "node/commands/exam.hpp"
#include "node/domain/rules/call_series.hpp"
#include "node/domain/rules/call_sign.hpp"

namespace ladderline::node::cli {
namespace {

constexpr std::string_view decides = "The rule in force and the regulator decide; this reminds.";

Result<std::optional<Day>> day_if_said(const std::string& text) {
    if (text.empty()) return std::optional<Day>();
    TRY(const Day day, parse_day(text));
    return std::optional<Day>(day);
}

std::string nearest_words(const domain::TransmitAnswer& a) {
    return "Nearest place for that class and mode: " + domain::frequency_words(*a.nearest_hz) + ".";
}

Answer may_answer(const domain::TransmitAnswer& a) {
    std::vector<std::string> text{std::string(domain::to_word(a.verdict)) + ": " + a.reason};
    text.push_back("Signal: " + domain::frequency_words(a.signal.low_hz) + " to " +
                   domain::frequency_words(a.signal.high_hz) + " (" + a.mode + ")");
    boost::json::array limits;
    for (const domain::PowerLimit& limit : a.limits) {
        text.push_back("At most " + domain::power_words(limit));
        limits.push_back(boost::json::value(domain::power_words(limit)));
    }
    if (!a.indicator.empty()) text.push_back("Behind the call sign: /" + a.indicator);
    for (const std::string& remark : a.remarks) text.push_back("- " + remark);
    if (a.nearest_hz) text.push_back(nearest_words(a));
    if (a.rule != "-") text.push_back("Rule: " + a.rule + " (as of " + to_iso(a.as_of) + ")");
    text.emplace_back(decides);
    boost::json::object json{{"verdict", std::string(domain::to_word(a.verdict))},
                             {"reason", a.reason},
                             {"rule", a.rule},
                             {"low_hz", a.signal.low_hz},
                             {"high_hz", a.signal.high_hz},
                             {"limits", std::move(limits)},
                             {"indicator", a.indicator}};
    if (a.rule != "-") json["as_of"] = to_iso(a.as_of);
    if (a.nearest_hz) json["nearest_hz"] = *a.nearest_hz;
    return {lines(text), std::move(json)};
}

void add_may(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("may", "May one transmit there: class, place, mode and power");
    auto o = std::make_shared<MayRequest>();
    o->licence_class = "own";
    o->ask.mode = "SSB";
    auto leaves = std::make_shared<bool>(false);
    sub->add_option("frequency", o->frequency, "As the radio shows it: 14.25, 14250kHz, 10.368GHz")->required();
    sub->add_option("--mode", o->ask.mode, "CW, SSB, USB, LSB, AM, FM, FT8, RTTY, ...");
    sub->add_option("--class", o->licence_class, "The control operator's class; your own without it; none");
    sub->add_option("--pending", o->ask.pending_class, "An upgrade passed and filed, not in the register yet");
    sub->add_option("--power", o->ask.power_w, "Peak envelope power at the transmitter, watts");
    sub->add_option("--gain", o->ask.gain_dbd, "Antenna over a half-wave dipole less feed line, dB");
    sub->add_option("--width", o->ask.width_hz, "How wide the signal is, Hz");
    sub->add_option("--tone", o->ask.tone_hz, "Where a sound-card signal lies above the carrier, Hz");
    sub->add_option("--country", o->country, "Whose rules: us, ca");
    sub->add_flag("--guest", o->ask.guest_speaks, "Somebody without a licence speaks");
    sub->add_flag("--operator-leaves", *leaves, "The control operator does not stay beside them");
    sub->add_flag("--abroad", o->ask.to_other_country, "To a station of another country");
    sub->callback([&out, o, leaves] {
        o->ask.operator_stays = !*leaves;
        out.command = [o](Context& context) -> Result<Answer> {
            TRY(const domain::TransmitAnswer answer, may_here(context, *o));
            return may_answer(answer);
        };
    });
}

Answer steps_answer(const ExamView& view) {
    std::vector<std::string> text;
    boost::json::array json;
    if (!view.own) text.push_back("What " + view.name + " sees today:");
    for (const domain::ExamStep& step : view.steps) {
        text.push_back(step.title);
        boost::json::array sentences;
        for (const std::string& sentence : step.sentences) {
            text.push_back("  - " + sentence);
            sentences.push_back(boost::json::value(sentence));
        }
        json.push_back({{"title", step.title}, {"sentences", std::move(sentences)}});
    }
    return {lines(text), std::move(json)};
}

std::string elements_words(const std::vector<std::string>& elements) {
    std::string out;
    for (const std::string& e : elements) out += (out.empty() ? "" : ", ") + e;
    return out;
}

Answer credit_answer(const ExamView& view) {
    std::vector<std::string> text;
    boost::json::array credits;
    for (const domain::CreditView& c : view.credits) {
        text.push_back("Element " + c.element + (c.counts ? ": counts. " : ": does not count today. ") + c.why);
        credits.push_back({{"element", c.element}, {"counts", c.counts}, {"why", c.why}});
    }
    if (text.empty()) text.emplace_back("Nothing passed is written down yet.");
    boost::json::array to_pass;
    for (const domain::ToPass& line : view.to_pass) {
        const std::string left =
            line.elements.empty() ? "nothing is left to pass" : "still to pass: " + elements_words(line.elements);
        text.push_back(line.opens->name + ": " + left + ".");
        boost::json::array elements;
        for (const std::string& e : line.elements) elements.push_back(boost::json::value(e));
        to_pass.push_back({{"class", line.opens->code}, {"elements", std::move(elements)}});
    }
    text.emplace_back("The exam team decides what it takes as credit.");
    return {lines(text), {{"credits", std::move(credits)}, {"to_pass", std::move(to_pass)}}};
}

using ViewAnswer = Answer (*)(const ExamView&);
void add_exam_view(CLI::App& exam, CommandLine& out, const char* name, const char* help, ViewAnswer render) {
    auto* sub = exam.add_subcommand(name, help);
    auto who = std::make_shared<std::string>();
    sub->add_option("who", *who, "A newcomer whose way you share; yourself without it");
    sub->callback([&out, who, render] {
        out.command = [who, render](Context& context) -> Result<Answer> {
            TRY(const ExamView view, exam_view(context, *who));
            return render(view);
        };
    });
}

void add_booked(CLI::App& exam, CommandLine& out) {
    auto* sub = exam.add_subcommand("booked", "A session is booked, or off");
    auto o = std::make_shared<BookedRequest>();
    auto day = std::make_shared<std::string>();
    auto off = std::make_shared<bool>(false);
    sub->add_option("day", *day, "As 2026-12-12");
    sub->add_option("--element", o->element, "Which paper; the first one still to be passed without it");
    sub->add_option("--place", o->place, "Where, in a few words");
    sub->add_flag("--off", *off, "No session is booked any more");
    sub->callback([&out, o, day, off] {
        out.command = [o, day, off](Context& context) -> Result<Answer> {
            if (day->empty() != *off) {
                return Error{Fault::bad_input, "Say the day of the session, or --off; nothing was written down."};
            }
            TRY(o->day, day_if_said(*day));
            TRY(const Done done, exam_booked(context, *o));
            return answer_of(done);
        };
    });
}

using PaperCommand = Result<Done> (*)(Context&, const PaperRequest&);
void add_paper(CLI::App& exam, CommandLine& out, const char* name, const char* help, PaperCommand command) {
    auto* sub = exam.add_subcommand(name, help);
    auto o = std::make_shared<PaperRequest>();
    auto day = std::make_shared<std::string>();
    sub->add_option("element", o->element, "Which paper: 2, 3 or 4")->required();
    sub->add_option("--day", *day, "The day it was sat; today without it");
    sub->add_flag("--undo", o->undo, "It was written down by mistake");
    sub->callback([&out, o, day, command] {
        out.command = [o, day, command](Context& context) -> Result<Answer> {
            TRY(o->day, day_if_said(*day));
            TRY(const Done done, command(context, *o));
            return answer_of(done);
        };
    });
}

void add_licence(CLI::App& exam, CommandLine& out) {
    auto* sub = exam.add_subcommand("licence", "What the public register shows of you");
    auto o = std::make_shared<LicenceRequest>();
    auto granted = std::make_shared<std::string>();
    auto expires = std::make_shared<std::string>();
    sub->add_option("class", o->licence_class, "T, General, ...; without it nothing is known any more");
    sub->add_option("--granted", *granted, "Since when that class stands there; today without it");
    sub->add_option("--expires", *expires, "When the licence ends, if the register says so");
    sub->callback([&out, o, granted, expires] {
        out.command = [o, granted, expires](Context& context) -> Result<Answer> {
            TRY(o->granted, day_if_said(*granted));
            TRY(o->expires, day_if_said(*expires));
            TRY(const Done done, licence_held(context, *o));
            return answer_of(done);
        };
    });
}

void add_exam(CLI::App& app, CommandLine& out) {
    auto* exam = app.add_subcommand("exam", "From the booked exam to the licence and its renewal");
    exam->require_subcommand(1);
    add_booked(*exam, out);
    add_paper(*exam, out, "took", "Sat and not passed: stays on your own desk", exam_took);
    add_paper(*exam, out, "passed", "Passed: your mentor confirms the certificate", exam_passed);
    add_licence(*exam, out);
    add_exam_view(*exam, out, "credit", "Which elements count, and what is still to be passed", credit_answer);
    add_exam_view(*exam, out, "next", "What is of use today, and nothing else", steps_answer);
}

Answer class_answer(const ClassView& view) {
    std::vector<std::string> text{view.club + ": " + view.people + " show their study" +
                                  (view.edition.empty() ? "." : " of " + view.edition + ".")};
    boost::json::array weak;
    for (const ClassGroup& g : view.weak) {
        text.push_back("  " + g.group + "  weak for " + g.count + (g.title.empty() ? "" : "  " + g.title));
        weak.push_back({{"group", g.group}, {"count", g.count}});
    }
    if (!view.weak_note.empty()) text.push_back(view.weak_note);
    boost::json::array booked;
    boost::json::array ask;
    for (const ClassPerson& p : view.booked) {
        text.push_back("Exam booked: " + p.name + ", " + to_iso(p.day));
        booked.push_back({{"name", p.name}, {"day", to_iso(p.day)}});
    }
    if (!view.ask.empty()) text.emplace_back("Ask them how it goes; silence needs no reason:");
    for (const ClassPerson& p : view.ask) {
        text.push_back("  " + p.name + ", last practised on " + to_iso(p.day));
        ask.push_back({{"name", p.name}, {"day", to_iso(p.day)}});
    }
    if (!view.minors_note.empty()) text.push_back(view.minors_note);
    if (view.as_of) text.push_back("As of " + to_iso_minute(*view.as_of) + " and later.");
    return {lines(text),
            {{"people", view.people},
             {"edition", view.edition},
             {"weak", std::move(weak)},
             {"booked", std::move(booked)},
             {"ask", std::move(ask)},
             {"as_of", view.as_of ? boost::json::value(to_iso_minute(*view.as_of)) : boost::json::value()}}};
}

void add_class(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("class", "What the club's learners chose to show of their study");
    sub->callback([&out] {
        out.command = [](Context& context) -> Result<Answer> {
            TRY(const ClassView view, class_view(context));
            return class_answer(view);
        };
    });
}

// Form, availability and holder of a call sign, each as far as it is known.
Result<Answer> call_answer(const std::string& typed) {
    TRY(const domain::SplitCall split, domain::split_call(typed));
    std::vector<std::string> text{split.base};
    boost::json::object json{{"call_sign", split.base}};
    const auto holder = domain::holder_of_call(typed);
    json["holder"] = holder ? boost::json::value(holder->holder) : boost::json::value();
    text.push_back(holder ? "Series " + holder->first + " to " + holder->last + ": " + holder->holder +
                                (holder->in_one_source ? " (in one list alone)." : ".")
                          : "Not known whose it is: no series of the ITU's table holds it, or too little was given.");
    const bool is_demo = domain::is_impossible_demo_call(typed);
    json["example_only"] = is_demo;
    if (is_demo) text.emplace_back("It can belong to nobody and is for examples on paper only; never send it.");
    const auto form = domain::parse_us_call_sign(split.base);
    if (form) {
        text.push_back("United States form " + form.value().form() + ".");
        json["form"] = form.value().form();
        if (const auto why = domain::why_not_available(form.value())) text.push_back(*why);
    }
    return Answer{lines(text), std::move(json)};
}

void add_call_sign(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("call-sign", "Its form, and whose series it is from");
    auto typed = std::make_shared<std::string>();
    sub->add_option("call", *typed, "A call sign, or the beginning of one")->required();
    sub->callback([&out, typed] { out.command = [typed](Context&) -> Result<Answer> { return call_answer(*typed); }; });
}

}  // namespace

void add_licence_commands(CLI::App& app, CommandLine& out) {
    add_may(app, out);
    add_exam(app, out);
    add_call_sign(app, out);
    add_class(app, out);
}

}  // namespace ladderline::node::cli
