// Exam and licence: what is of use today; whether one may transmit at a place; and the club's class.

#include <algorithm>

#include "node/commands/class_view.hpp"
#include "node/commands/exam.hpp"
#include "node/commands/own_day.hpp"
#include "node/web/pages/page_words.hpp"

namespace ladderline::node::web {
namespace {

Tone tone_of(domain::StepTone tone) {
    switch (tone) {
        case domain::StepTone::caution:
            return Tone::caution;
        case domain::StepTone::glad:
            return Tone::done;
        case domain::StepTone::plain:
            break;
    }
    return Tone::plain;
}

Html steps_part(const Scene& scene, const ExamView& view) {
    return each(view.steps, [&](const domain::ExamStep& step) {
        const Html list = each(step.sentences,
                               [&](const std::string& s) { return html("<li>{}</li>", page_words(scene.viewer, s)); });
        return notice(tone_of(step.tone), step.title, html("<ul>{}</ul>", list));
    });
}

std::vector<Choice> element_choices(const ExamView& view) {
    std::vector<Choice> out;
    for (const domain::Exam& exam : view.book->exams) {
        const domain::LicenceClass* opens = view.book->find_class(exam.opens);
        out.push_back({exam.element, "Element " + exam.element + " (" + (opens != nullptr ? opens->name : "") + ")"});
    }
    return out;
}

// Those that are still given first: a newcomer looks for one of them.
std::vector<Choice> class_choices(const domain::RuleBook& book) {
    std::vector<Choice> out;
    for (const bool given : {true, false}) {
        for (const domain::LicenceClass& c : book.classes) {
            if (c.granted == given) out.push_back({c.code, given ? c.name : c.name + " (no longer given)"});
        }
    }
    return out;
}

std::string first_to_pass(const ExamView& view) {
    for (const domain::ToPass& line : view.to_pass) {
        if (!line.elements.empty()) return line.elements.front();
    }
    return view.book->exams.empty() ? "" : view.book->exams.front().element;
}

Html booking_form(const Scene& scene, const ExamView& view) {
    const FormOn form(scene, "booked");
    Html inside = day_row(form.required("day", "Day of the session"));
    inside += list_row(form.required("element", "Paper", first_to_pass(view)), element_choices(view));
    inside += text_row(form.field("place", "Where, in a few words"));
    inside += button("It is booked");
    return form.form(url("/exam"), inside);
}

// The session that is booked, and the button that takes it off.
Html booked_part(const Scene& scene, const ExamView& view) {
    const auto& booked = view.facts.dates.exam_booked;
    if (!booked) return Html();
    const std::string& place = view.facts.booked_place;
    return html("<p>Booked: {}{}.</p>{}", to_iso(*booked), place.empty() ? "" : ", " + place,
                button_form(scene.request, url("/exam"), "It is off", {{"form", "off"}}, to_iso(*booked)));
}

Html result_form(const Scene& scene, const ExamView& view) {
    const FormOn form(scene, "result");
    const std::string element = view.facts.booked_element.empty() ? first_to_pass(view) : view.facts.booked_element;
    const std::string day = to_iso(view.facts.dates.exam_booked.value_or(own_day(scene.context())));
    Html inside = list_row(form.required("element", "Paper", element), element_choices(view));
    inside += day_row(form.required("day", "Day", day));
    inside += radio_rows(form.required("how", "How it went", "",
                                       "Everybody on your way sees \"Passed\". \"Not this time\" stays on your own "
                                       "desk; nobody else sees it."),
                         {{"yes", "Passed"}, {"no", "Not this time"}});
    inside += button("Write it down");
    return form.form(url("/exam"), inside);
}

Html licence_form(const Scene& scene, const ExamView& view) {
    const FormOn form(scene, "licence");
    Html inside =
        list_row(form.required("class", "Class in the register", view.facts.held_class), class_choices(*view.book));
    inside += day_row(form.required("granted", "Since"));
    inside += day_row(form.field("expires", "Ends, if the register says so"));
    inside += button("The register shows it");
    return form.form(url("/exam"), inside);
}

Html credit_part(const ExamView& view) {
    Html out;
    for (const domain::CreditView& c : view.credits) {
        out.add("<li>Element {}: {} {}</li>", c.element, c.counts ? "counts." : "does not count today.", c.why);
    }
    for (const domain::ToPass& line : view.to_pass) {
        std::string left;
        for (const std::string& e : line.elements) left += (left.empty() ? "" : ", ") + e;
        out.add("<li>{}: {}</li>", line.opens->name,
                left.empty() ? "nothing is left to pass." : "still to be passed: " + left + ".");
    }
    return html("<h2>What counts</h2><ul>{}</ul><p class=\"help\">The exam team decides what it takes as credit.</p>",
                out);
}

Result<Response> exam_page(const Scene& scene) {
    TRY(const ExamView view, exam_view(scene.context(), ""));
    const domain::KnownDates& dates = view.facts.dates;
    const Day today = own_day(scene.context());
    Page content;
    content.title = "Exam and licence";
    content.main = steps_part(scene, view);
    // A form is there on the days on which it is of use.
    const bool session_near = dates.exam_booked && *dates.exam_booked <= today;
    if (session_near) content.main.add("<section><h2>How it went</h2>{}</section>", result_form(scene, view));
    content.main.add("<section><h2>{}</h2>{}{}</section>", dates.exam_booked ? "Another session" : "A session",
                     booked_part(scene, view), booking_form(scene, view));
    if (!session_near) content.main.add("<section><h2>A paper was sat</h2>{}</section>", result_form(scene, view));
    content.main.add("<section><h2>The licence</h2>{}</section>", licence_form(scene, view));
    content.side = credit_part(view);
    content.side.add("<p><a href=\"{}\">May I transmit here?</a></p>", url("/may"));
    content.side.add(
        "<p class=\"help\">The exam team's own instructions and the regulator come before anything said here.</p>");
    return show(scene, std::move(content), Live::no);
}

Result<std::optional<Day>> day_if_typed(const std::string& text) {
    if (text.empty()) return std::optional<Day>();
    TRY(const Day day, parse_day(text));
    return std::optional<Day>(day);
}

Result<Done> exam_deed(const Scene& scene, const FormOn& form) {
    const std::string which = scene.request.form.get("form");
    if (which == "booked") {
        TRY(const Day day, parse_day(form.text("day")));
        return exam_booked(scene.context(), {day, form.text("element"), form.text("place")});
    }
    if (which == "licence" && !form.text("class").empty()) {
        TRY(const auto granted, day_if_typed(form.text("granted")));
        TRY(const auto expires, day_if_typed(form.text("expires")));
        return licence_held(scene.context(), {form.text("class"), granted, expires});
    }
    return Error{Fault::bad_input, "This form is not known here; open the page again. Nothing was written down."};
}

Undo undo_of_paper(const PaperRequest& paper, bool passed, std::string words) {
    return {url("/exam"),
            {{"form", "result"},
             {"result-element", paper.element},
             {"result-day", to_iso(paper.day.value_or(Day{}))},
             {"result-how", passed ? "yes" : "no"},
             {"result-undo", "yes"}},
            std::move(words)};
}

// The word about a paper, and how it is taken back. `before`: what was known until then. No button where it would take
// along what stood already.
Told paper_told(const domain::ExamFacts& before, const PaperRequest& paper, bool passed, const Done& done) {
    Told out{done.sentence};
    const auto same_day = [&](const auto& one) { return one.element == paper.element && one.day == paper.day; };
    const bool stood = std::ranges::any_of(before.passed, [&](const auto& p) { return p.element == paper.element; });
    if (passed && !stood) out.undo = undo_of_paper(paper, true, "Undo");
    if (!passed && std::ranges::any_of(before.passed, same_day)) {
        out.sentence += " Element " + paper.element + " still stands as passed on that day, for everybody on your way.";
        out.undo = undo_of_paper(paper, true, "It was not passed: take \"Passed\" back");
    } else if (!passed && std::ranges::none_of(before.not_passed, same_day)) {
        out.undo = undo_of_paper(paper, false, "Undo");
    }
    return out;
}

Result<Response> result_sent(const Scene& scene, const FormOn& form) {
    const std::string how = form.text("how");
    if (how != "yes" && how != "no") {
        const Error error{Fault::bad_input, "Choose \"Passed\" or \"Not this time\"; nothing was written down."};
        return exam_page(scene.back(refusal_of(error, "how")));
    }
    const auto day = parse_day(form.text("day"));
    if (!day) return exam_page(scene.back(refusal_of(day.error(), "day")));
    const bool passed = how == "yes";
    const PaperRequest paper{form.text("element"), day.value(), form.text("undo") == "yes"};
    TRY(const ExamView before, exam_view(scene.context(), ""));
    const auto done = passed ? exam_passed(scene.context(), paper) : exam_took(scene.context(), paper);
    if (!done) return exam_page(scene.back(refusal_of(done.error())));
    if (paper.undo) return redirect(url("/exam?said={}", scene.say(done.value())));
    const Told told = paper_told(before.facts, paper, passed, done.value());
    return redirect(url("/exam?said={}", scene.say(Done{told.sentence, done.value().id}, told.undo)));
}

// Booked again by one press, unless the day is past by now.
std::optional<Undo> undo_of_off(const domain::ExamFacts& before, Day today) {
    const auto& booked = before.dates.exam_booked;
    if (!booked || *booked < today) return std::nullopt;
    return Undo{url("/exam"),
                {{"form", "booked"},
                 {"booked-day", to_iso(*booked)},
                 {"booked-element", before.booked_element},
                 {"booked-place", before.booked_place}},
                "Undo"};
}

Result<Response> off_sent(const Scene& scene) {
    TRY(const ExamView before, exam_view(scene.context(), ""));
    TRY(const Done done, exam_booked(scene.context(), {}));
    return redirect(url("/exam?said={}", scene.say(done, undo_of_off(before.facts, own_day(scene.context())))));
}

// The first day that cannot be read; empty if the refusal is about something else.
std::string day_at_fault(const FormOn& form, std::string_view which) {
    if (which == "booked") return parse_day(form.text("day")) ? "" : "day";
    for (const char* day : {"granted", "expires"}) {
        if (!day_if_typed(form.text(day))) return day;
    }
    return {};
}

Result<Response> exam_sent(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    const std::string which = scene.request.form.get("form");
    if (which == "result") return result_sent(scene, form);
    if (which == "off") return off_sent(scene);
    const auto done = exam_deed(scene, form);
    if (!done) return exam_page(scene.back(refusal_of(done.error(), day_at_fault(form, which))));
    return redirect(url("/exam?said={}", scene.say(done.value())));
}

// --- May I transmit here?

Html may_result(const domain::TransmitAnswer& a) {
    Html lines;
    lines.add("<p>{}</p><p>The signal: {} to {} ({}).</p>", a.reason, domain::frequency_words(a.signal.low_hz),
              domain::frequency_words(a.signal.high_hz), a.mode);
    for (const domain::PowerLimit& limit : a.limits) lines.add("<p>At most {}.</p>", domain::power_words(limit));
    if (!a.indicator.empty()) lines.add("<p>Behind the call sign: <span class=\"call\">/{}</span></p>", a.indicator);
    if (a.nearest_hz) {
        lines.add("<p>The nearest place for that class and mode: {}.</p>", domain::frequency_words(*a.nearest_hz));
    }
    lines.add("<ul>{}</ul>", each(a.remarks, [](const std::string& r) { return html("<li>{}</li>", r); }));
    if (a.rule != "-") lines.add("<p class=\"help\">{}, as of {}</p>", a.rule, to_iso(a.as_of));
    switch (a.verdict) {
        case domain::Verdict::yes:
            return notice(Tone::done, "Yes", lines);
        case domain::Verdict::no:
            return notice(Tone::problem, "No", lines);
        case domain::Verdict::not_known:
            break;
    }
    return notice(Tone::caution, "Not known", lines);
}

Field may_field(const Scene& scene, std::string name, std::string label, std::string start = {},
                std::string help = {}) {
    Field out{name, std::move(label)};
    const bool asked = scene.request.query.get("frequency") != "";
    out.value = asked ? scene.request.query.text(name) : std::move(start);
    out.help = std::move(help);
    return out;
}

Html may_form(const Scene& scene) {
    std::vector<Choice> classes{{"own", "My own, as written down"}, {"none", "None"}};
    for (const Choice& c : class_choices(own_rule_book())) classes.push_back(c);
    std::vector<Choice> modes{{"SSB", "SSB: speech on the customary sideband"}};
    for (const domain::EmissionMode& m : domain::shipped_emission_modes()) {
        if (m.width_hz > 0) modes.push_back({m.name, m.name + ": " + m.meaning});
    }
    Field frequency =
        may_field(scene, "frequency", "Frequency on the radio", "", "Megahertz, or with its unit: 14.25, 14250 kHz");
    frequency.required = true;
    Html inside = text_row(frequency);
    inside += list_row(may_field(scene, "mode", "Mode", "SSB"), modes);
    inside += list_row(may_field(scene, "class", "Class of the control operator", "own"), classes);
    inside +=
        text_row(may_field(scene, "power", "Power at the transmitter, watts", "", "Leave it empty to ask how much"));
    inside += text_row(may_field(scene, "tone", "Tone of a data signal above the carrier, Hz"));
    inside += check_row(may_field(scene, "guest", "Somebody without a licence speaks, with the operator beside them"));
    inside += button("May I?");
    return get_form(url("/may"), inside);
}

Result<domain::TransmitAnswer> may_asked(const Scene& scene) {
    MayRequest request;
    request.frequency = scene.request.query.text("frequency");
    request.licence_class = scene.request.query.text("class");
    request.ask.mode = scene.request.query.text("mode");
    request.ask.guest_speaks = scene.request.query.get("guest") == "yes";
    const std::string power = scene.request.query.text("power");
    if (!power.empty()) {
        request.ask.power_w = domain::positive_number(power);
        if (!request.ask.power_w) return Error{Fault::bad_input, "Say the power in watts, as 100."};
    }
    const std::string tone = scene.request.query.text("tone");
    if (!tone.empty()) {
        request.ask.tone_hz = domain::whole_number(tone);
        if (!request.ask.tone_hz) return Error{Fault::bad_input, "Say the tone in Hz, as 1500."};
    }
    return may_here(scene.context(), request);
}

Result<Response> may_page(const Scene& scene) {
    Page content;
    content.title = "May I transmit here?";
    if (!scene.request.query.get("frequency").empty()) {
        const auto answer = may_asked(scene);
        content.main += answer ? may_result(answer.value())
                               : notice(Tone::problem, "That could not be asked", answer.error().sentence());
    }
    content.main += may_form(scene);
    content.side = html(
        "<h2>What this is</h2><p>The whole signal is held against the rule book, not the dial alone. What was not "
        "checked against the rule in force is answered with \"not known\". The rule and the regulator decide.</p>");
    return show(scene, std::move(content), Live::no);
}

// --- The class

Html people_list(const std::vector<ClassPerson>& people, std::string_view empty) {
    if (people.empty()) return html("<p class=\"empty\">{}</p>", empty);
    return html("<ul>{}</ul>", each(people, [](const ClassPerson& p) {
                    return html("<li>{} <span class=\"whom\">{}</span></li>", person_name(p.name), to_iso(p.day));
                }));
}

Result<Response> class_page(const Scene& scene) {
    TRY(const ClassView view, class_view(scene.context()));
    Page content;
    content.title = "The class";
    content.main.add("<p>{}: {} show their study{}.</p>", view.club, view.people,
                     view.edition.empty() ? "" : " of " + view.edition);
    Table weak;
    weak.caption = "Groups that are weak for five or more";
    weak.columns = {"Group", "What it is about", "Weak for"};
    weak.empty_sentence = view.weak_note;
    for (const ClassGroup& g : view.weak) weak.rows.push_back({text(g.group), text(g.title), text(g.count)});
    content.main += table(weak);
    if (!view.weak.empty()) content.main.add("<p class=\"help\">{}</p>", view.weak_note);
    content.main.add("<section><h2>Exam booked</h2>{}</section>",
                     people_list(view.booked, "Nobody shows a booked exam."));
    content.main.add(
        "<section><h2>Ask them how it goes</h2>{}<p class=\"help\">They have not practised for a while. "
        "Silence needs no reason, and resting is fine.</p></section>",
        people_list(view.ask, "Nobody who shows their study has been away for long."));
    if (!view.minors_note.empty()) content.main.add("<p>{}</p>", view.minors_note);
    content.side = html(
        "<h2>Where this comes from</h2><p>From members who chose to show it, with <code>ladderline practise --publish"
        "</code>. Nobody's answers are in it, and nobody is ranked.</p>");
    if (view.as_of) content.as_of = time_words(scene.viewer, *view.as_of);
    return show(scene, std::move(content));
}

}  // namespace

void add_licence_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/exam", exam_page);
    on_post(router, house, "/exam", exam_sent);
    on_get(router, house, "/may", may_page);
    on_get(router, house, "/class", class_page);
}

}  // namespace ladderline::node::web
