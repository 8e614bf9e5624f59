// The sheet of a way, typed back in: a newcomer's own ticks, or the column of whoever helps. What the lines say is
// shown before anything is saved.

#include "node/commands/way_sheet.hpp"

#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {
namespace {

constexpr int area_rows = 14;
constexpr std::size_t sheet_chars_max = 60'000;

// Whose sheet it is, from the address: the own way, or that of somebody who is helped.
struct Sheet {
    std::string who;  // a key; empty: the own one
    SheetColumn column = SheetColumn::ticks;

    Url address() const { return who.empty() ? url("/way/sheet") : url("/people/{}/sheet", who); }
};

Sheet sheet_of(const Scene& scene) {
    const std::string who = scene.request.params.text("who");
    return {who, who.empty() ? SheetColumn::ticks : SheetColumn::signatures};
}

std::string meaning_of(const SheetLineRead& line) {
    std::string out = to_iso(line.day.value_or(Day{}));
    if (!line.level.empty()) out += ", " + line.level;
    if (!line.words.empty()) out += ": " + line.words;
    return out;
}

Html state_of(const SheetLineRead& line) {
    if (!line.sentence.empty()) return state_mark(Mark::caution, line.sentence);
    return line.stood ? text("stands already, and is not said twice") : text("will be saved");
}

Html understood_part(const std::vector<SheetLineRead>& lines) {
    if (lines.empty()) return Html();
    Table out;
    out.caption = "What these lines say; nothing is saved yet";
    out.columns = {"Line", "Item", "Day, level and words", "What becomes of it"};
    for (const SheetLineRead& line : lines) {
        const bool read = line.sentence.empty();
        out.rows.push_back({text(std::to_string(line.number)), text(read ? line.item + " " + line.text : line.line),
                            text(read ? meaning_of(line) : std::string()), state_of(line)});
    }
    return html("<section><h2>Is this what stands on the sheet?</h2>{}</section>", table(out));
}

Html left_part(const std::vector<SheetLineLeft>& left) {
    if (left.empty()) return Html();
    return html("<section class=\"notice caution\"><h2>Please look at these lines</h2><ul>{}</ul></section>",
                each(left, [](const SheetLineLeft& one) { return html("<li>{}: {}</li>", one.line, one.sentence); }));
}

Response sheet_page_with(const Scene& scene, const WayView& view, const std::vector<SheetLineRead>& lines,
                         const std::vector<SheetLineLeft>& left) {
    const Sheet sheet = sheet_of(scene);
    const FormOn form(scene, "sheet");
    Field typed = form.required("lines", "One item a line", form.text("lines"),
                                sheet.who.empty() ? "As it stands on the sheet: 0.8 2026-11-20 wrote it down together. "
                                                    "Without a day it is today."
                                                  : "As it stands on the sheet: 1.17 2026-11-20 alone without a sheet. "
                                                    "A level (with help, alone, taught it) for skills.");
    typed.chars_max = sheet_chars_max;
    Html inside = area_row(typed, area_rows);
    inside += button(lines.empty() ? "Show me what they say" : "Show me again");
    if (!lines.empty()) inside += button("Save these lines", "do", "save");
    Page content;
    content.title = sheet.who.empty() ? "Your sheet, typed back in" : "The sheet of " + view.owner.name;
    content.main = left_part(left);
    content.main += understood_part(lines);
    content.main += html("<section><h2>The lines</h2>{}</section>", form.form(sheet.address(), inside));
    content.side = html(
        "<h2>From paper</h2><p>{}</p><p>Each line is saved as if you had said it alone. One that cannot be saved stays "
        "in "
        "the form and says why; the same sheet typed in twice says nothing twice.</p><p>The sheet to print: "
        "<code>ladderline way --html FILE</code>.</p><p><a href=\"{}\">Back</a></p>",
        sheet.who.empty()
            ? "Here your own column is typed in: what you did. Whoever saw it types the other column on their "
              "own page."
            : "Here your column is typed in: what you saw or heard yourself. Sign only that.",
        sheet.who.empty() ? url("/way") : url("/people/{}", sheet.who));
    return show(scene, std::move(content), Live::no);
}

Result<Response> sheet_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), sheet_of(scene).who));
    return sheet_page_with(scene, view, {}, {});
}

std::string counted(std::size_t count, const char* one, const char* many) {
    return std::to_string(count) + " " + (count == 1 ? one : many);
}

std::string taken_words(const SheetTaken& done) {
    std::string out = counted(done.taken, "line is", "lines are") + " saved.";
    if (done.stood > 0) out += " " + counted(done.stood, "stood", "stood") + " already.";
    return out;
}

// The form again, with the lines that are left.
Result<Response> lines_left(const Scene& scene, const WayView& view, const SheetTaken& done) {
    Request again = scene.request;
    again.form = Fields();
    std::string rest;
    for (const SheetLineLeft& one : done.left) rest += one.line + "\n";
    const FormOn form(scene, "sheet");
    for (const auto& [name, value] : scene.request.form.entries()) {
        again.form.add(name, name == form.key("lines") ? rest : value);
    }
    const std::string kept = done.taken > 0 || done.stood > 0 ? taken_words(done) + " " : "Nothing was saved. ";
    Refusal why{400, kept + counted(done.left.size(), "line is", "lines are") + " left; why stands with each.", "lines",
                done.taken > 0};
    return sheet_page_with({scene.house, scene.viewer, again, why}, view, {}, done.left);
}

Result<Response> sheet_sent(const Scene& scene) {
    const Sheet sheet = sheet_of(scene);
    const FormOn form(scene, "sheet");
    const SheetLinesRequest request{sheet.who, sheet.column, form.text("lines")};
    TRY(const WayView view, way(scene.context(), sheet.who));
    if (scene.request.form.get("do") != "save") {
        const auto lines = read_sheet_lines(scene.context(), request);
        if (!lines) return sheet_page_with(scene.back(refusal_of(lines.error(), "lines")), view, {}, {});
        return sheet_page_with(scene, view, lines.value(), {});
    }
    const auto done = take_sheet_lines(scene.context(), request);
    if (!done) return sheet_page_with(scene.back(refusal_of(done.error(), "lines")), view, {}, {});
    if (!done.value().left.empty()) return lines_left(scene, view, done.value());
    const std::uint64_t said = scene.say(Told{taken_words(done.value())});
    return redirect(sheet.who.empty() ? url("/way?said={}", said) : url("/people/{}?said={}", sheet.who, said));
}

}  // namespace

void add_way_sheet_pages(Router& router, const std::shared_ptr<House>& house) {
    for (const char* address : {"/way/sheet", "/people/{who}/sheet"}) {
        on_get(router, house, address, sheet_page);
        on_post(router, house, address, sheet_sent);
    }
}

}  // namespace ladderline::node::web
