// The exposure worksheet of a station: one form works it out and keeps it, so that what is kept is what stands in it;
// and the list of those that are kept.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "node/web/pages/exposure_drawing.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {
namespace {

struct Asked {
    const char* name;
    const char* label;
    const char* start;
    const char* help;
};

constexpr Asked rows_asked[] = {
    {"mhz", "Frequency, MHz", "146.52", ""},
    {"watt", "Power at the transmitter, watts PEP", "50", ""},
    {"on", "Minutes on the air at a time", "2", ""},
    {"off", "Minutes of listening in between", "3", ""},
    {"loss", "Loss of the feed line, dB", "0", "0 if you do not know: the result is then on the safe side."},
    {"gain", "Gain of the antenna, dBi", "2.15", "2.15 is a half-wave dipole."},
    {"metres", "How near people come to the antenna, metres", "5", ""}};
constexpr const char* height_name = "height";
constexpr const char* reflection_name = "reflection";  // no row: as the usual ground, or as it was kept
constexpr const char* height_label = "Lowest part of the antenna above the ground, metres";

// The address, or the form that was sent.
const Fields& asked_in(const Scene& scene) {
    return scene.request.method == Method::post ? scene.request.form : scene.request.query;
}

std::string asked_text(const Scene& scene, std::string_view name) {
    return asked_in(scene).text(name);
}

// A figure that somebody emptied stays empty: in its place no other is worked with.
std::string typed(const Scene& scene, const Asked& row) {
    return asked_in(scene).has(row.name) ? asked_text(scene, row.name) : row.start;
}

// Before that the figures in the form are examples, and nothing comes out of them.
bool is_asked(const Scene& scene) {
    return std::ranges::any_of(rows_asked, [&](const Asked& row) { return asked_in(scene).has(row.name); });
}

Result<double> number_of(const std::string& text, const char* label, const char* example) {
    char* end = nullptr;
    const double value = std::strtod(text.c_str(), &end);
    if (!text.empty() && *end == '\0' && std::isfinite(value)) return value;
    return Error{Fault::bad_input, std::string(label) + ": write a number, as " + example + "."};
}

Result<StationSheet> sheet_asked(const Scene& scene) {
    double values[std::size(rows_asked)] = {};
    for (std::size_t i = 0; i < std::size(rows_asked); ++i) {
        TRY(values[i], number_of(typed(scene, rows_asked[i]), rows_asked[i].label, rows_asked[i].start));
    }
    StationSheet out;
    const std::string mode_name = asked_text(scene, "mode");
    out.mode = mode_name.empty() ? "fm" : mode_name;
    TRY(const ModeDuty mode, find_mode_duty(out.mode));
    domain::Transmission& t = out.transmission;
    t.frequency_mhz = values[0];
    t.peak_w = values[1];
    t.mode_duty = mode.duty;
    t.on_min = values[2];
    t.off_min = values[3];
    t.loss_db = values[4];
    t.gain_dbi = values[5];
    out.distance_m = values[6];
    if (const std::string height = asked_text(scene, height_name); !height.empty()) {
        TRY(out.height_m, number_of(height, height_label, "6"));
        if (*out.height_m < 0) return Error{Fault::bad_input, "The height of the antenna is 0 to 100,000 m."};
    }
    if (const std::string reflection = asked_text(scene, reflection_name); !reflection.empty()) {
        TRY(t.reflection, number_of(reflection, "Reflection of the ground", "2.56"));
    }
    out.name = asked_text(scene, "keep-name");
    out.antenna = asked_text(scene, "keep-antenna");
    out.place = asked_text(scene, "keep-place");
    return out;
}

Html figure_rows(const Scene& scene) {
    Html out;
    if (const std::string kept = asked_text(scene, reflection_name); !kept.empty())
        out += hidden(reflection_name, kept);
    std::vector<Choice> modes;
    for (const ModeDuty& mode : mode_duties()) modes.push_back({std::string(mode.name), std::string(mode.words)});
    const std::string mode = asked_text(scene, "mode");
    for (const Asked& row : rows_asked) {
        Field field{row.name, row.label, typed(scene, row), row.help};
        field.required = true;
        const auto number = number_of(field.value, row.label, row.start);
        if (scene.refusal && !number) field.problem = number.error().sentence();
        out += text_row(field);
        if (std::string_view(row.name) == "watt") {
            Field what{"mode", "What you send", mode.empty() ? "fm" : mode};
            what.required = true;
            out += list_row(what, modes);
        }
    }
    out += text_row({height_name, height_label, asked_text(scene, height_name), "For the drawing."});
    return out;
}

Html result_table(const Worksheet& sheet) {
    Table out;
    out.caption = "The same in figures";
    out.columns = {"What", "People who know", "Everybody else"};
    const auto row = [&](const char* what, const std::string& informed, const std::string& anybody) {
        out.rows.push_back({text(what), text(informed), text(anybody)});
    };
    const domain::Exposure& a = sheet.informed;
    const domain::Exposure& b = sheet.anybody;
    row("Least distance", at_least(a.least_distance_m), at_least(b.least_distance_m));
    row("Mean power, W", plain_digits(a.average_w), plain_digits(b.average_w));
    row("Limit, mW/cm2", plain_digits(a.limit_mw_cm2), plain_digits(b.limit_mw_cm2));
    row("Where people come, mW/cm2", plain_digits(a.density_mw_cm2), plain_digits(b.density_mw_cm2));
    row("Within the limit", a.is_within ? "yes" : "NO", b.is_within ? "yes" : "NO");
    return table(out);
}

Html result_part(const StationSheet& asked, const Worksheet& sheet) {
    Html lines;
    for (const std::string& line : worksheet_words(sheet)) lines.add("<li>{}</li>", line);
    return html("<section><h2>What comes out</h2><ul>{}</ul><div class=\"beside\">{}{}</div></section>", lines,
                exposure_drawing(sheet, asked.height_m), result_table(sheet));
}

Html keep_part(const Scene& scene, const FormOn& form) {
    Html rows = text_row(
        form.required("name", "Name of the station", asked_text(scene, "keep-name"), "As handheld, home, car"));
    rows += text_row(form.field("antenna", "Its antenna, in a few words", asked_text(scene, "keep-antenna")));
    rows += text_row(form.field("place", "Where it stands, in a few words", asked_text(scene, "keep-place"),
                                "Stays on your own desk, as all of it does"));
    Html buttons = button("Keep this sheet");
    buttons += button("Only note that the station is so now", "do", "changed");
    return html(
        "<section><h2>Keep it</h2><p class=\"help\">What is kept are the figures that stand above when you press, "
        "worked out once more.</p>{}<div class=\"side-by-side\">{}</div></section>",
        rows, buttons);
}

// The first button is what Enter presses: it keeps nothing, and wants no name.
Html worksheet_form(const Scene& scene, const Html& result) {
    const FormOn form(scene, "keep");
    Html inside = figure_rows(scene);
    inside.add("<button type=\"submit\" class=\"main\" name=\"do\" value=\"work\" formnovalidate>Work it out</button>");
    inside += result;
    if (is_asked(scene)) inside += keep_part(scene, form);
    return form.form(url("/exposure"), inside);
}

std::string plain_number(double value) {
    char out[32];
    std::snprintf(out, sizeof out, "%.9g", value);
    return out;
}

Url address_of(const StationSheet& s) {
    const domain::Transmission& t = s.transmission;
    return url(
        "/exposure?mhz={}&watt={}&mode={}&on={}&off={}&loss={}&gain={}&metres={}&height={}&keep-name={}&keep-antenna={}"
        "&"
        "keep-place={}&reflection={}",
        plain_number(t.frequency_mhz), plain_number(t.peak_w), s.mode, plain_number(t.on_min), plain_number(t.off_min),
        plain_number(t.loss_db), plain_number(t.gain_dbi), plain_number(s.distance_m),
        s.height_m ? plain_number(*s.height_m) : "", s.name, s.antenna, s.place, plain_number(t.reflection));
}

Html station_part(const Scene& scene, const StationView& view) {
    Html out = html("<h3>{}</h3>", view.now.name);
    std::string about = view.now.antenna;
    if (!view.now.place.empty()) about += (about.empty() ? "" : ", ") + view.now.place;
    if (!about.empty()) out.add("<p>{}</p>", about);
    if (view.worked) {
        out.add("<p>At least {} for people who know of it, {} for everybody else. Worked out on {}.</p>",
                at_least(view.worked->informed.least_distance_m), at_least(view.worked->anybody.least_distance_m),
                to_iso(view.worked_on));
        const std::string nearer = near_field_words(*view.worked);
        if (!nearer.empty()) out += notice(Tone::caution, "Close to the antenna", html("<p>{}</p>", nearer));
    }
    if (!view.look_again.empty()) {
        const Html reasons = each(view.look_again, [](const std::string& s) { return html("<li>{}</li>", s); });
        out += notice(Tone::caution, "To be looked at again", html("<ul>{}</ul>", reasons));
    }
    out.add("<p><a class=\"again\" href=\"{}\">{}<span class=\"unseen\">: {}</span></a></p>", address_of(view.now),
            view.look_again.empty() ? "See its sheet, or change something" : "Work it out again", view.now.name);
    out += button_form(scene.request, url("/exposure/forget"), "It is no more: " + view.now.name,
                       {{"station", view.now.name}});
    return html("<section class=\"person\">{}</section>", out);
}

Result<Html> stations_part(const Scene& scene) {
    TRY(const auto all, stations(scene.context()));
    Html out;
    for (const StationView& view : all) out += station_part(scene, view);
    if (out.empty()) out = html("<p class=\"empty\">No station is kept here yet. Work one out and keep it.</p>");
    return html("<section><h2>Your stations</h2>{}</section>", out);
}

Result<Response> exposure_page(const Scene& scene) {
    Page content;
    content.title = "How far from the antenna";
    TRY(const Html kept, stations_part(scene));
    content.main = kept;
    Html result;
    if (is_asked(scene)) {
        const auto asked = sheet_asked(scene);
        const auto sheet =
            asked ? worksheet(asked.value().transmission, asked.value().distance_m) : Result<Worksheet>(asked.error());
        result = sheet ? result_part(asked.value(), sheet.value())
                       : notice(Tone::problem, "Please look", sheet.error().sentence());
    }
    content.main.add("<section><h2>Work it out</h2>{}</section>", worksheet_form(scene, result));
    Html cautions;
    for (const std::string& caution : worksheet_cautions()) cautions.add("<p>{}</p>", caution);
    content.side = html("<h2>Be careful</h2>{}", cautions);
    return show(scene, std::move(content), Live::no);
}

// What was typed, as an address that works it out.
Url address_as_typed(const Scene& scene) {
    const auto said = [&](std::string_view name) { return asked_text(scene, name); };
    return url(
        "/exposure?mhz={}&watt={}&mode={}&on={}&off={}&loss={}&gain={}&metres={}&height={}&keep-name={}&keep-antenna={}"
        "&"
        "keep-place={}&reflection={}",
        said("mhz"), said("watt"), said("mode"), said("on"), said("off"), said("loss"), said("gain"), said("metres"),
        said(height_name), said("keep-name"), said("keep-antenna"), said("keep-place"), said(reflection_name));
}

// Said beside what was kept, so that a slip in a figure is seen.
std::string figures_words(const StationSheet& sheet) {
    return "Worked out for " + plain_number(sheet.transmission.peak_w) + " W on " +
           plain_number(sheet.transmission.frequency_mhz) + " MHz, with people " + plain_number(sheet.distance_m) +
           " m away.";
}

Result<Response> keep_sent(const Scene& scene) {
    if (scene.request.form.get("do") == "work") return redirect(address_as_typed(scene));
    const auto asked = sheet_asked(scene);
    if (!asked) return exposure_page(scene.back(refusal_of(asked.error())));
    const bool changed = scene.request.form.get("do") == "changed";
    const auto done =
        changed ? note_change(scene.context(), asked.value()) : keep_sheet(scene.context(), asked.value());
    if (!done) return exposure_page(scene.back(refusal_of(done.error(), asked.value().name.empty() ? "name" : "")));
    const std::string figures = changed ? "" : figures_words(asked.value()) + " ";
    return redirect(url("/exposure?said={}", scene.say(Told{figures + done.value().sentence})));
}

Result<Response> forget_sent(const Scene& scene) {
    const auto done = forget_station(scene.context(), scene.request.form.text("station"));
    if (!done) return done.error();
    return redirect(url("/exposure?said={}", scene.say(done.value())));
}

}  // namespace

void add_exposure_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/exposure", exposure_page);
    on_post(router, house, "/exposure", keep_sent);
    on_post(router, house, "/exposure/forget", forget_sent);
}

}  // namespace ladderline::node::web
