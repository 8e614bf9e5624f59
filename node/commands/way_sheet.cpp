#include "node/commands/way_sheet.hpp"

#include "node/commands/items.hpp"
#include "node/commands/own_day.hpp"
#include "node/commands/plain_text.hpp"

namespace ladderline::node {
namespace {

using domain::Item;

// ---- typed back in

std::string_view without_blanks(std::string_view text) {
    const std::size_t first = text.find_first_not_of(" \t\r");
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t\r") + 1 - first);
}

// Takes the first word off.
std::string_view take_word(std::string_view& rest) {
    const std::size_t end = std::min(rest.find_first_of(" \t"), rest.size());
    const std::string_view word = rest.substr(0, end);
    rest = without_blanks(rest.substr(end));
    return word;
}

bool is_item_number(std::string_view word) {
    return word.find('.') != std::string_view::npos && word.find_first_not_of("0123456789.") == std::string_view::npos;
}

// "2026-11-2O" too: a slip in a day is a slip, and not the first of the words.
bool looks_like_day(std::string_view word) {
    return word.size() >= 8 && word.front() >= '0' && word.front() <= '9' && word.find('-') != word.rfind('-');
}

domain::Level take_level(std::string_view& rest) {
    for (const domain::Level level : {domain::Level::with_help, domain::Level::alone, domain::Level::taught_it}) {
        const std::string_view word = domain::to_word(level);
        if (!rest.starts_with(word)) continue;
        const std::string_view after = rest.substr(word.size());
        if (!after.empty() && after.find_first_of(" \t,") != 0) continue;
        rest = without_blanks(after.starts_with(",") ? after.substr(1) : after);
        return level;
    }
    return domain::Level::none;
}

struct SheetLine {
    const Item* item = nullptr;
    std::optional<Day> day;
    domain::Level level = domain::Level::none;
    std::string words;
};

Result<SheetLine> read_line(const domain::Edition& edition, std::string_view line, SheetColumn column) {
    std::string_view rest = line;
    const std::string_view number = take_word(rest);
    if (!is_item_number(number)) {
        return Error{Fault::bad_input, "It begins with '" + std::string(number) +
                                           "', which is no item's number; write it as it stands on the sheet, 0.8."};
    }
    SheetLine out;
    TRY(out.item, domain::find_by_input(edition, number));
    std::string_view after = rest;
    const std::string_view day = take_word(after);
    if (day == "-") rest = after;
    if (looks_like_day(day)) {
        TRY(out.day, parse_day(day));
        rest = after;
    }
    const bool has_level = column == SheetColumn::signatures && out.item->kind == domain::ItemKind::skill;
    if (has_level) out.level = take_level(rest);
    out.words = std::string(rest);
    return out;
}

// The one that it names, else the one that is written down without.
Day day_of_line(Context& context, const SheetLine& line, SheetColumn column) {
    if (line.day) return *line.day;
    return column == SheetColumn::ticks ? tick_day(context, *line.item) : own_day(context);
}

bool stands_already(const WayView& view, const PersonView& me, const SheetLine& line, SheetColumn column, Day day) {
    const domain::ItemState& state = domain::state_of(view.states, line.item->id);
    const auto author = to_domain(me.id);
    if (column == SheetColumn::ticks) {
        return state.tick && state.tick->author == author && state.tick->day == day;
    }
    domain::Level level = line.level;
    if (level == domain::Level::none && line.item->kind == domain::ItemKind::skill) level = domain::Level::alone;
    for (const domain::Mark& mark : state.signatures) {
        if (mark.author == author && mark.day == day && mark.level == level) return true;
    }
    return false;
}

Result<Done> say_line(Context& context, const SheetLinesRequest& request, const SheetLine& line) {
    const std::string item = domain::to_text(line.item->id);
    if (request.column == SheetColumn::ticks) {
        return tick(context, {request.who, item, line.day, line.words, {}, {}, false});
    }
    return sign_off(context, {request.who, item, std::string(domain::to_word(line.level)), line.day, line.words});
}

// ---- printed

constexpr std::string_view style =
    "body{font:12pt/1.3 serif;color:#000;background:#fff;max-width:60em;margin:1em auto;padding:0 1em}"
    "h1{font-size:15pt;margin:.2em 0}h2{font-size:12pt;margin:.8em 0 .2em}"
    "table{border-collapse:collapse;width:100%}"
    "td,th{border:1px solid #000;padding:1mm 2mm;text-align:left;vertical-align:top;font-weight:normal}"
    "tr{break-inside:avoid}.b{white-space:nowrap}.d{width:26mm}.n{width:14mm}p{margin:.2em 0}"
    "@page{size:auto;margin:12mm}@media print{body{margin:0;padding:0}}";

constexpr std::string_view caution =
    "Rows with (!) are about safety: never alone, and a second person confirms. The local electrical code, the "
    "regulator and licensed practice come first.";

std::vector<std::string> help_of_sheet(const std::string& name) {
    return {"A tick is the newcomer's word; a signature is the word of somebody else who saw or heard it.",
            "Levels of a skill: with help, alone, taught it.",
            "Typed back in, each row is a line: 1.17 2026-11-20 alone without a sheet.",
            "The newcomer's column: on the page of the whole way, or ladderline tick --from FILE",
            "The other column: on the page of " + name + ", or ladderline sign \"" + name + "\" --from FILE"};
}

struct Row {
    std::string number;
    std::string text;
    std::string done;  // what stands there already
    std::string seen;
    bool is_skill = false;
    bool is_signed_off = false;  // no signature is wanted
};
struct Part {
    std::string title;
    std::vector<Row> rows;
};

Row row_of(const Item& item, const domain::ItemState& state) {
    Row row;
    row.number = domain::to_text(item.id);
    row.text = (item.safety ? "(!) " : "") + item.text;
    if (item.ticks != domain::TickWord::newcomer) row.text += " (ticked by: " + std::string(to_word(item.ticks)) + ")";
    row.is_skill = item.kind == domain::ItemKind::skill;
    row.is_signed_off = item.signs == domain::SignWord::none;
    if (state.tick) row.done = to_iso(state.tick->day);
    if (state.signature) row.seen = to_iso(state.signature->day);
    return row;
}

bool is_wanted(const WayView& view, const Item& item, SheetItems items) {
    if (!domain::applies_to(item, view.owner.is_minor)) return false;
    if (items == SheetItems::all) return true;
    const domain::ItemState& state = domain::state_of(view.states, item.id);
    const bool is_here = view.progress.current_stage == item.id.stage && !item.only_if_needed;
    const bool lacks_word =
        state.needs_doing() || (state.phase == domain::Phase::ticked && item.signs != domain::SignWord::none);
    return lacks_word && (is_here || state.assigned.has_value());
}

std::vector<Part> parts_of(const Context& context, const WayView& view, SheetItems items) {
    std::vector<Part> out;
    for (const domain::Stage& stage : context.edition.stages) {
        Part part{"Stage " + std::to_string(stage.number) + ": " + stage.title, {}};
        for (const Item& item : context.edition.items) {
            if (item.id.stage != stage.number || !is_wanted(view, item, items)) continue;
            part.rows.push_back(row_of(item, domain::state_of(view.states, item.id)));
        }
        if (!part.rows.empty()) out.push_back(std::move(part));
    }
    return out;
}

std::string title_of(const Context& context, const WayView& view) {
    return "The way of " + view.owner.name + ", edition " + context.edition.edition;
}

std::string as_of(const Context& context) {
    return "As of " + to_iso(context.today()) + ".";
}

// Cut between words; further lines stand below the first one's text.
void add_wrapped(std::vector<std::string>& out, std::string line, std::size_t indent) {
    constexpr std::size_t width = 96;
    while (line.size() > width) {
        const std::size_t blank = line.rfind(' ', width);
        const std::size_t at = blank == std::string::npos || blank <= indent ? width : blank;
        out.push_back(line.substr(0, at));
        line = std::string(indent, ' ') + line.substr(blank == at ? at + 1 : at);
    }
    out.push_back(std::move(line));
}

std::string boxes(const Row& row) {
    std::string out = row.done.empty() ? "[ ] done ____-__-__" : "[x] done " + row.done;
    if (row.is_signed_off) return out;
    out += row.seen.empty() ? "   [ ] seen ____-__-__" : "   [x] seen " + row.seen;
    if (row.is_skill) out += "   level ____________";
    return out + "   by ____________";
}

struct TypedLine {
    std::size_t number = 0;  // from 1
    std::string typed;
    std::string_view line() const { return without_blanks(typed); }
};

// Those that say something. bad_input: none does.
Result<std::vector<TypedLine>> lines_of(const std::string& text) {
    std::vector<TypedLine> out;
    std::size_t number = 0;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        TypedLine one{++number, text.substr(at, end - at)};
        at = end + 1;
        if (!one.line().empty() && one.line().front() != '#') out.push_back(std::move(one));
    }
    if (out.empty())
        return Error{Fault::bad_input, "There is no line to take in; write one item a line, 0.8 2026-11-20."};
    return out;
}

}  // namespace

Result<std::vector<SheetLineRead>> read_sheet_lines(Context& context, const SheetLinesRequest& request) {
    TRY(const auto lines, lines_of(request.text));
    TRY(const WayView view, way(context, request.who));
    TRY(const PersonView me, myself(context, view.circle.id));
    std::vector<SheetLineRead> out;
    for (const TypedLine& one : lines) {
        SheetLineRead& told = out.emplace_back();
        told.number = one.number;
        told.line = one.typed;
        const auto read = read_line(context.edition, one.line(), request.column);
        if (!read) {
            told.sentence = read.error().sentence();
            continue;
        }
        const SheetLine& line = read.value();
        told.item = domain::to_text(line.item->id);
        told.text = line.item->text;
        told.day = day_of_line(context, line, request.column);
        const bool has_level = request.column == SheetColumn::signatures && line.item->kind == domain::ItemKind::skill;
        if (has_level) {
            told.level = domain::to_word(line.level == domain::Level::none ? domain::Level::alone : line.level);
        }
        told.words = line.words;
        told.stood = stands_already(view, me, line, request.column, *told.day);
    }
    return out;
}

Result<SheetTaken> take_sheet_lines(Context& context, const SheetLinesRequest& request) {
    TRY(const auto lines, lines_of(request.text));
    SheetTaken out;
    for (const TypedLine& one : lines) {
        const auto read = read_line(context.edition, one.line(), request.column);
        if (!read) {
            out.left.push_back({one.number, one.typed, read.error().sentence()});
            continue;
        }
        TRY(const WayView view, way(context, request.who));  // a slip in the name is the sheet's, not a line's
        TRY(const PersonView me, myself(context, view.circle.id));
        const SheetLine& line = read.value();
        if (stands_already(view, me, line, request.column, day_of_line(context, line, request.column))) {
            ++out.stood;
            continue;
        }
        const auto said = say_line(context, request, line);
        if (said) {
            ++out.taken;
        } else {
            out.left.push_back({one.number, one.typed, said.error().sentence()});
        }
    }
    return out;
}

std::vector<std::string> way_sheet_lines(const Context& context, const WayView& view, SheetItems items) {
    std::vector<std::string> out{title_of(context, view), as_of(context)};
    for (const Part& part : parts_of(context, view, items)) {
        out.emplace_back();
        out.push_back(part.title);
        for (const Row& row : part.rows) {
            add_wrapped(out, row.number + "  " + row.text, 7);
            out.push_back("       " + boxes(row));
        }
    }
    if (out.size() == 2)
        out.emplace_back("Nothing of this stage is open, and nothing was asked for; see way --sheet --all.");
    out.emplace_back();
    add_wrapped(out, std::string(caution), 0);
    for (const std::string& sentence : help_of_sheet(view.owner.name)) add_wrapped(out, sentence, 0);
    return out;
}

std::string way_sheet_page(const Context& context, const WayView& view, SheetItems items) {
    const std::string title = title_of(context, view);
    std::string out = "<h1>" + html_text(title) + "</h1>\n<p>" + as_of(context) + "</p>\n";
    const std::vector<Part> parts = parts_of(context, view, items);
    if (parts.empty()) out += "<p>Nothing of this stage is open, and nothing was asked for.</p>\n";
    for (const Part& part : parts) {
        out += "<h2>" + html_text(part.title) +
               "</h2>\n<table><tr><th class=\"n\"></th><th>Item</th><th class=\"d\">Done on</th><th class=\"d\">Seen on"
               "</th><th class=\"d\">Level, by</th></tr>\n";
        for (const Row& row : part.rows) {
            const std::string empty = "<span class=\"b\">&#9744;</span>";
            const auto cell = [&](const std::string& day) { return day.empty() ? empty : "&#9745; " + day; };
            out += "<tr><td>" + row.number + "</td><td>" + html_text(row.text) + "</td><td>" + cell(row.done) +
                   "</td><td>" + (row.is_signed_off ? "-" : cell(row.seen)) + "</td><td></td></tr>\n";
        }
        out += "</table>\n";
    }
    out += "<p>" + html_text(caution) + "</p>\n";
    for (const std::string& sentence : help_of_sheet(view.owner.name)) out += "<p>" + html_text(sentence) + "</p>\n";
    return printed_page(title, style, out);
}

}  // namespace ladderline::node
