// Contacts as lines: one while it goes on, many of a net or of a sheet of paper, and the blank sheet.

#include "node/commands/contact_lines.hpp"

#include "node/commands/log_sheet.hpp"
#include "node/web/pages/contact_parts.hpp"

namespace ladderline::node::web {
namespace {

constexpr int area_rows = 12;

// Frequency, band, mode, how, and the host: what stands once for all lines.
Html common_rows(const FormOn& form, const ContactRequest& usual) {
    Html out = text_row(form.field("frequency", "Frequency, MHz", usual.frequency, "Or choose the band below."));
    out += list_row(form.field("band", "Band", usual.frequency.empty() ? usual.band : ""), contact_bands());
    const std::string mode = usual.mode.empty() ? "FM" : usual.mode;
    out += list_row(form.required("mode", "Mode", mode), contact_modes(form.value("mode", mode)));
    out += list_row(form.field("through", "How you reach one another"), contact_ways_through());
    out += call_row(form.field("guest_of", "As a guest: call sign of the licensed operator in control", usual.guest_of,
                               "Leave it empty if you send under your own call sign."));
    return out;
}

LinesRequest common_typed(const FormOn& form) {
    LinesRequest out;
    out.frequency = form.text("frequency");
    out.band = form.text("band");
    out.mode = form.text("mode");
    out.guest_of = form.text("guest_of");
    out.comment = form.text("through");
    out.another = form.text("another") == "yes";
    return out;
}

// --- One line.

Html running_part(const Scene& scene, const RunningContact& running) {
    const FormOn form(scene, "ending");
    const std::string where =
        running.request.frequency.empty() ? running.request.band : running.request.frequency + " MHz";
    const std::string place = where + " " + running.request.mode;
    Html inside = text_row(form.field("sent", "Report you gave", running.request.sent));
    inside += text_row(form.field("received", "Report you were given", running.request.received));
    inside += text_row(form.field("comment", "A word to remember it by", running.request.comment));
    inside += another_row(form, scene);
    inside += button("It ended now: write it down");
    inside += button("Nothing came of it", "do", "drop");
    return html("<section><h2>Going on with {}</h2><p>Begun {}, {}.</p>{}</section>", call_sign(running.request.worked),
                both_clocks(scene.viewer, running.request.start), place, form.form(url("/contact/quick"), inside));
}

Result<Response> quick_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), ""));
    TRY(const auto running, running_contact(scene.context()));
    const FormOn form(scene, "quick");
    Page content;
    content.title = "While you talk";
    content.main = now_clocks(scene);
    if (running) content.main += running_part(scene, *running);
    Html inside = text_row(form.required("line", "Call sign, reports, a word", "",
                                         "As KD0XAA 59 57 Anna near the lake. A time in front, as 1905, is UTC; "
                                         "without one it is now."));
    inside += common_rows(form, usual_contact(scene.context(), view));
    inside += another_row(form, scene);
    inside += button("Write it down");
    if (!running) inside += button("It begins now", "do", "begin");
    content.main += html("<section><h2>{}</h2>{}</section>", running ? "Another contact" : "A contact",
                         form.form(url("/contact/quick"), inside));
    content.side = html("<p><a href=\"{}\">All contacts</a></p><p><a href=\"{}\">Many at once</a></p>", url("/contact"),
                        url("/contact/net"));
    return show(scene, std::move(content), Live::no);
}

Result<Response> ending_sent(const Scene& scene) {
    const FormOn form(scene, "ending");
    TRY(const auto running, running_contact(scene.context()));
    ContactRequest more;
    more.sent = form.text("sent");
    more.received = form.text("received");
    more.comment = form.text("comment");
    more.another = form.text("another") == "yes";
    const bool dropped = scene.request.form.get("do") == "drop";
    const auto done = dropped ? drop_contact(scene.context()) : end_contact(scene.context(), more);
    if (!done) {
        const Refusal why =
            running ? refusal_of_contact(scene, running->request, done.error()) : refusal_of(done.error());
        return quick_page(scene.back(why));
    }
    return redirect(url("/contact/quick?said={}", scene.say(done.value())));
}

Result<Response> quick_sent(const Scene& scene) {
    if (scene.request.form.get("form") == "ending") return ending_sent(scene);
    const FormOn form(scene, "quick");
    LinesRequest typed = common_typed(form);
    typed.text = form.text("line");
    typed.start = scene.context().now();
    const auto request = request_of_line(typed);
    if (!request) return quick_page(scene.back(refusal_of(request.error(), "line")));
    const bool begins = scene.request.form.get("do") == "begin";
    const auto done =
        begins ? begin_contact(scene.context(), request.value()) : log_contact(scene.context(), request.value());
    if (!done) return quick_page(scene.back(refusal_of_contact(scene, request.value(), done.error())));
    return redirect(url("/contact/quick?said={}", scene.say(done.value())));
}

// --- Many lines.

Html left_part(const std::vector<LineLeft>& left) {
    Html items;
    for (const LineLeft& one : left) {
        items.add("<li>Line {}, <span class=\"call\">{}</span>: {}</li>", one.number, one.line, one.sentence);
    }
    if (items.empty()) return {};
    return html("<section class=\"notice caution\"><h2>Please look at these lines</h2><ul>{}</ul></section>", items);
}

Result<Response> net_page_with(const Scene& scene, const std::vector<LineLeft>& left) {
    TRY(const WayView view, way(scene.context(), ""));
    const FormOn form(scene, "net");
    const WallTime now = scene.context().now();
    Html inside = time_rows(form, scene.viewer, now, now);
    inside += common_rows(form, usual_contact(scene.context(), view));
    inside += text_row(form.field("remark", "A word for all of them", "", "As Tuesday net"));
    Field lines = form.required("lines", "One station a line", "",
                                "Call sign, reports, a word: KD0XAA 59 57 Anna. With a time in front, as 1905, a sheet "
                                "of paper is typed in the same way; a line with a day alone, as 2026-11-25, begins a "
                                "new day. Times are by the clock chosen above.");
    lines.chars_max = 60'000;
    inside += area_row(lines, area_rows);
    inside += another_row(form, scene);
    inside += button("Write them down");
    Page content;
    content.title = "Many at once";
    content.main = now_clocks(scene);
    content.main += left_part(left);
    content.main +=
        html("<section><h2>A net, or a sheet of paper</h2>{}</section>", form.form(url("/contact/net"), inside));
    content.side = html(
        "<h2>Nothing is lost</h2><p>Lines that are right are written down. A line that is not stays in the form, with "
        "what is wrong with it.</p><p><a href=\"{}\">Blank log sheet to print</a></p><p><a href=\"{}\">All "
        "contacts</a></p>",
        url("/contact/sheet"), url("/contact"));
    return show(scene, std::move(content), Live::no);
}

Result<Response> net_page(const Scene& scene) {
    return net_page_with(scene, {});
}

std::string counted(std::size_t count, const char* one, const char* many) {
    return std::to_string(count) + " " + (count == 1 ? one : many);
}

// The form again, with the lines that are left in the place of all of them.
Result<Response> net_left(const Scene& scene, const FormOn& form, const LinesTaken& done) {
    Request again = scene.request;
    again.form = Fields();
    for (const auto& [name, value] : scene.request.form.entries()) {
        again.form.add(name, name == form.key("lines") ? done.rest : value);
    }
    bool only_doubles = true;
    for (const LineLeft& one : done.left) only_doubles = only_doubles && one.is_double;
    Refusal why{400, "", only_doubles ? "another" : "lines"};
    why.in_part = done.taken > 0;
    why.sentence = (done.taken > 0 ? counted(done.taken, "contact is", "contacts are") + " written down. " : "") +
                   counted(done.left.size(), "line is", "lines are") +
                   (only_doubles ? " like a contact that is in the log already; if it was another one, tick the box."
                                 : " not; what is wrong stands with each below.");
    const Scene back{scene.house, scene.viewer, again, why};
    return net_page_with(back, done.left);
}

Result<Response> net_sent(const Scene& scene) {
    const FormOn form(scene, "net");
    LinesRequest request = common_typed(form);
    const auto start = read_time(form, scene.viewer);
    if (!start) return net_page(scene.back(refusal_of(start.error(), "clock")));
    request.start = start.value();
    request.text = form.text("lines");
    if (scene.viewer.zone && form.text("which") != "utc") request.zone = scene.viewer.zone;
    const std::string remark = form.text("remark");
    if (!remark.empty()) request.comment += (request.comment.empty() ? "" : ", ") + remark;
    const auto done = log_lines(scene.context(), request);
    if (!done) return net_page(scene.back(refusal_of(done.error(), "lines")));
    if (!done.value().left.empty()) return net_left(scene, form, done.value());
    return redirect(url("/contact?said={}",
                        scene.say(Told{counted(done.value().taken, "contact is", "contacts are") + " written down."})));
}

// --- The sheet.

Result<Response> sheet_page(const Scene& scene) {
    const auto view = way(scene.context(), "");
    Html head;
    Html row;
    for (const std::string& column : sheet_columns()) {
        head.add("<th>{}</th>", column);
        row.add("<td></td>");
    }
    Html rows;
    for (int i = 0; i < sheet_rows; ++i) rows.add("<tr>{}</tr>", row);
    Page content;
    content.title = "Log sheet";
    const std::string call = view ? view.value().call_sign : "";
    content.main = html(
        "<p>Log of {}. Day (UTC) ____-__-__, sheet ___</p><table class=\"sheet\"><thead><tr>{}</tr></thead><tbody>{}"
        "</tbody></table>{}",
        call.empty() ? text("____________") : call_sign(call), head, rows,
        html("<p class=\"help\">{}</p>",
             each(sheet_help(), [](const std::string& sentence) { return html("{} ", sentence); })));
    content.side = html(
        "<div class=\"on-screen\"><h2>On paper</h2><p>Print this page. Afterwards type it in under <a href=\"{}\">Many "
        "at once</a>.</p></div>",
        url("/contact/net"));
    return show(scene, std::move(content), Live::no);
}

}  // namespace

void add_contact_line_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/contact/quick", quick_page);
    on_post(router, house, "/contact/quick", quick_sent);
    on_get(router, house, "/contact/net", net_page);
    on_post(router, house, "/contact/net", net_sent);
    on_get(router, house, "/contact/sheet", sheet_page);
}

}  // namespace ladderline::node::web
