#pragma once
// A way on paper: a row an item with a box for the newcomer's tick and one for the signature of whoever saw it, in
// black on white; and the rows typed back in, many at once. A row typed back in is a line:
//
//   line = item [day] [level] [words]      0.8 2026-11-20 wrote it down together
//                                          1.17 - alone without a sheet
//
// item is as on the sheet. day is 2026-11-20, "-" or nothing for today. level is a word of levels ("with help",
// "alone", "taught it") and stands only where a signature is given. The words are the evidence of a tick, or what was
// seen. Lines with nothing in them, and lines that begin with '#', are passed over.

#include "node/commands/way.hpp"

namespace ladderline::node {

// Whose column of the sheet: ticks, or signatures.
enum class SheetColumn : std::uint8_t { ticks, signatures };

struct SheetLinesRequest {
    std::string who;  // the newcomer; empty: oneself
    SheetColumn column = SheetColumn::signatures;
    std::string text;
};
struct SheetLineLeft {
    std::size_t number = 0;  // from 1
    std::string line;        // as typed
    std::string sentence;
};
struct SheetTaken {
    std::size_t taken = 0;
    std::size_t stood = 0;  // was said before by the same person, of that day and level
    std::vector<SheetLineLeft> left;
};
// A line as it is understood.
struct SheetLineRead {
    std::size_t number = 0;
    std::string line;
    std::string item;  // "00.08"; empty where `sentence` stands
    std::string text;  // what the item is
    std::optional<Day> day;
    std::string level;  // a word; empty: none is meant
    std::string words;
    bool stood = false;    // was said before
    std::string sentence;  // why it is not understood; else empty
};
// What the lines say; nothing is saved. Whether each may be said is asked when they are. bad_input: there is no line.
Result<std::vector<SheetLineRead>> read_sheet_lines(Context& context, const SheetLinesRequest& request);

// Each good line is said as if it had been typed alone, with the same gates; the others are named each with its own
// sentence. The same sheet typed in twice says nothing twice. bad_input: there is no line at all.
Result<SheetTaken> take_sheet_lines(Context& context, const SheetLinesRequest& request);

// Which items: those of the present stage that are not finished and those that were asked for; or every item.
enum class SheetItems : std::uint8_t { present, all };
// For a terminal's printer: lines of at most 96 characters.
std::vector<std::string> way_sheet_lines(const Context& context, const WayView& view, SheetItems items);
// A page for a browser's printer.
std::string way_sheet_page(const Context& context, const WayView& view, SheetItems items);

}  // namespace ladderline::node
