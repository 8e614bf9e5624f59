// Mock papers on paper: the questions with a row of boxes to fill in, and apart from them the marking sheet.

#include <algorithm>

#include "node/commands/mock.hpp"
#include "node/commands/plain_text.hpp"

namespace ladderline::node {
namespace {

constexpr std::size_t boxes_in_a_row = 5;

std::string letter(std::size_t place) {
    return std::string(1, static_cast<char>('A' + place));
}

std::vector<std::string> head_lines(const MockSheet& sheet, const std::string& what) {
    return {what + ": " + sheet.pool, "Paper " + sheet.number + ", drawn " + to_iso(sheet.drawn) +
                                          (sheet.fresh ? ", fresh" : ", at random") + ". " +
                                          std::to_string(sheet.questions.size()) + " questions; " +
                                          std::to_string(sheet.mark) + " right answers pass."};
}

std::string type_back(const MockSheet& sheet) {
    return "Type it back in: ladderline mock --mark " + sheet.number + " --answers \"ABCD?...\", ? for one left open.";
}

// "  1-5    [   ] [   ] [   ] [   ] [   ]"
std::vector<std::string> box_lines(std::size_t questions) {
    std::vector<std::string> out;
    for (std::size_t first = 0; first < questions; first += boxes_in_a_row) {
        const std::size_t end = std::min(questions, first + boxes_in_a_row);
        std::string label = std::to_string(first + 1) + "-" + std::to_string(end);
        label.resize(std::max<std::size_t>(label.size(), 8), ' ');
        std::string line = "  " + label;
        for (std::size_t i = first; i < end; ++i) line += "[   ] ";
        line.pop_back();
        out.push_back(std::move(line));
    }
    return out;
}

std::string key_letters(const MockSheet& sheet) {
    std::string out;
    for (std::size_t i = 0; i < sheet.right_places.size(); ++i) {
        if (i > 0 && i % boxes_in_a_row == 0) out += ' ';
        out += letter(sheet.right_places[i]);
    }
    return out;
}

constexpr std::string_view style =
    "body{font:12pt/1.4 serif;color:#000;background:#fff;max-width:42em;margin:2em auto;padding:0 1em}"
    "section{break-inside:avoid;margin:0 0 1em}section p{margin:.2em 0}ol{list-style:upper-alpha;margin:.2em 0}"
    "table{border-collapse:collapse}td,th{border:1px solid #000;padding:.2em .5em;text-align:left}"
    ".boxes td{width:2.2em;height:2.2em;vertical-align:top;font-size:8pt}"
    "@page{size:auto;margin:15mm}@media print{body{margin:0}.answers{break-before:page}}";

std::string head_html(const std::vector<std::string>& head) {
    return "<h1>" + html_text(head[0]) + "</h1>\n<p>" + html_text(head[1]) + "</p>\n";
}

std::string boxes_html(std::size_t questions) {
    std::string out = "<table class=\"boxes\">";
    for (std::size_t i = 0; i < questions; ++i) {
        if (i % (2 * boxes_in_a_row) == 0) out += i == 0 ? "<tr>" : "</tr><tr>";
        out += "<td>" + std::to_string(i + 1) + "</td>";
    }
    return out + "</tr></table>\n";
}

}  // namespace

std::vector<std::string> paper_lines(const MockSheet& sheet) {
    std::vector<std::string> out = head_lines(sheet, "Mock paper");
    for (std::size_t i = 0; i < sheet.questions.size(); ++i) {
        const ShownQuestion& q = sheet.questions[i];
        out.emplace_back();
        out.push_back(std::to_string(i + 1) + ". " + q.stem);
        if (!q.figure.empty()) out.push_back("   (see figure " + q.figure + ", printed with the pool)");
        for (std::size_t place = 0; place < q.choices.size(); ++place) {
            out.push_back("   " + letter(place) + ". " + q.choices[place]);
        }
    }
    out.emplace_back();
    out.emplace_back("Your answers, one letter a box:");
    for (std::string& line : box_lines(sheet.questions.size())) out.push_back(std::move(line));
    out.push_back(type_back(sheet));
    return out;
}

std::vector<std::string> marking_lines(const MockSheet& sheet) {
    std::vector<std::string> out = head_lines(sheet, "Marking sheet");
    out.emplace_back();
    for (std::size_t i = 0; i < sheet.questions.size(); ++i) {
        std::string number = std::to_string(i + 1);
        number.insert(0, number.size() < 3 ? 3 - number.size() : 0, ' ');
        out.push_back(number + "  " + letter(sheet.right_places[i]) + "  " + sheet.questions[i].id + "  [   ]");
    }
    out.emplace_back();
    out.push_back("In one row: " + key_letters(sheet));
    out.push_back("Right: ____ of " + std::to_string(sheet.questions.size()) + "; " + std::to_string(sheet.mark) +
                  " pass.");
    out.push_back(type_back(sheet));
    return out;
}

std::string paper_page(const MockSheet& sheet) {
    const auto head = head_lines(sheet, "Mock paper");
    std::string body = head_html(head);
    for (std::size_t i = 0; i < sheet.questions.size(); ++i) {
        const ShownQuestion& q = sheet.questions[i];
        body += "<section><p><b>" + std::to_string(i + 1) + ".</b> " + html_text(q.stem) + "</p>";
        if (!q.figure.empty()) body += "<p>(see figure " + html_text(q.figure) + ", printed with the pool)</p>";
        body += "<ol>";
        for (const std::string& choice : q.choices) body += "<li>" + html_text(choice) + "</li>";
        body += "</ol></section>\n";
    }
    body += "<section class=\"answers\"><h2>Answers to paper " + sheet.number + "</h2>\n<p>One letter a box.</p>\n" +
            boxes_html(sheet.questions.size()) + "<p>" + html_text(type_back(sheet)) + "</p></section>\n";
    return printed_page(head[0], style, body);
}

std::string marking_page(const MockSheet& sheet) {
    const auto head = head_lines(sheet, "Marking sheet");
    std::string body = head_html(head) +
                       "<table><tr><th>Number</th><th>Right</th><th>Question</th><th>Choice</th><th>Given</th></tr>\n";
    for (std::size_t i = 0; i < sheet.questions.size(); ++i) {
        const ShownQuestion& q = sheet.questions[i];
        body += "<tr><td>" + std::to_string(i + 1) + "</td><td><b>" + letter(sheet.right_places[i]) + "</b></td><td>" +
                q.id + "</td><td>" + html_text(q.choices[sheet.right_places[i]]) + "</td><td></td></tr>\n";
    }
    body += "</table>\n<p>In one row: " + key_letters(sheet) + "</p>\n<p>Right: ____ of " +
            std::to_string(sheet.questions.size()) + "; " + std::to_string(sheet.mark) + " pass.</p>\n<p>" +
            html_text(type_back(sheet)) + "</p>\n";
    return printed_page(head[0], style, body);
}

}  // namespace ladderline::node
