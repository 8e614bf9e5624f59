#include "node/commands/log_sheet.hpp"

#include "node/commands/plain_text.hpp"

namespace ladderline::node {
namespace {

constexpr std::string_view style =
    "body{font:12pt/1.3 serif;color:#000;background:#fff;max-width:60em;margin:1em auto;padding:0 1em}"
    "table{border-collapse:collapse;width:100%;table-layout:fixed}"
    "td,th{border:1px solid #000;height:8mm;padding:0 2mm;text-align:left;font-weight:normal}"
    "th:nth-child(1){width:11%}th:nth-child(2){width:19%}th:nth-child(3){width:14%}th:nth-child(4){width:9%}"
    "th:nth-child(5),th:nth-child(6){width:9%}p{margin:.2em 0}"
    "@page{size:auto;margin:12mm}@media print{body{margin:0;padding:0}}";

std::string title(const std::string& call_sign) {
    return "Log" + (call_sign.empty() ? std::string(" of ____________") : " of " + call_sign) +
           "    Day (UTC) ____-__-__    Sheet ___";
}

}  // namespace

std::vector<std::string> sheet_columns() {
    return {"UTC", "Call sign", "MHz", "Mode", "Gave", "Got", "Remark"};
}

std::vector<std::string> sheet_help() {
    return {"One contact a row. Write times in UTC, as 1905; the day of UTC changes in the evening in America.",
            "Frequency and mode may be left out where the whole sheet has the same.",
            "Typed back in, each row is a line: 1905 KD0XAA 146.52 FM 59 57 remark."};
}

std::vector<std::string> sheet_lines_blank(const std::string& call_sign) {
    const std::string rule = "+------+--------------+----------+------+------+------+" + std::string(39, '-') + "+";
    std::vector<std::string> out{
        title(call_sign), "", rule,
        "| UTC  | Call sign    | MHz      | Mode | Gave | Got  | Remark" + std::string(32, ' ') + "|", rule};
    for (int i = 0; i < sheet_rows; ++i) {
        out.push_back("|      |              |          |      |      |      |" + std::string(39, ' ') + "|");
        out.push_back(rule);
    }
    out.emplace_back();
    for (const std::string& sentence : sheet_help()) out.push_back(sentence);
    return out;
}

std::string sheet_page_blank(const std::string& call_sign) {
    std::string out = "<p>" + html_text(title(call_sign)) + "</p>\n<table><tr>";
    std::string empty = "<tr>";
    for (const std::string& column : sheet_columns()) {
        out += "<th>" + column + "</th>";
        empty += "<td></td>";
    }
    out += "</tr>\n";
    for (int i = 0; i < sheet_rows; ++i) out += empty + "</tr>\n";
    out += "</table>\n";
    for (const std::string& sentence : sheet_help()) out += "<p>" + html_text(sentence) + "</p>\n";
    return printed_page("Log sheet", style, out);
}

}  // namespace ladderline::node
