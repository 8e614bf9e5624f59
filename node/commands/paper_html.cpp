#include "node/commands/paper.hpp"
#include "node/commands/plain_text.hpp"
#include "node/commands/qr.hpp"

namespace ladderline::node {
namespace {

Result<std::string> qr_svg(const std::string& text) {
    TRY(const QrPicture picture, qr_picture(text, QrCare::paper));
    const std::string side = std::to_string(picture.side);
    return "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-label=\"The same key as a QR code\" "
           "viewBox=\"0 0 " +
           side + " " + side + "\"><path fill=\"#fff\" d=\"M0,0h" + side + "v" + side + "h-" + side +
           "z\"/><path d=\"" + qr_path(picture) + "\"/></svg>";
}

constexpr std::string_view style =
    "body{font:12pt/1.5 serif;color:#000;background:#fff;max-width:36em;margin:2em auto;padding:0 1em}"
    "ol{font:bold 18pt/1.7 monospace;letter-spacing:.15em;columns:2}svg{width:45mm;height:45mm}"
    "@page{size:auto;margin:20mm}@media print{.screen{display:none}body{margin:0}}";

}  // namespace

Result<std::string> sheet_html(const PaperSheet& sheet) {
    TRY(const std::string code, qr_svg(sheet.key));
    const std::vector<std::string> said = sheet_lines(sheet);
    std::string out = "<h1>" + html_text(said.front()) + "</h1>\n<ol>";
    for (const std::string& group : sheet.groups) out += "<li>" + group + "</li>";
    out += "</ol>\n" + code + "\n";
    // What stands below the groups of the sheet in words.
    for (std::size_t i = 2 + sheet.groups.size(); i < said.size(); ++i) {
        if (!said[i].empty()) out += "<p>" + html_text(said[i]) + "</p>\n";
    }
    out += "<p class=\"screen\">Print this page, then delete the file.</p>\n";
    return printed_page(said.front(), style, out);
}

}  // namespace ladderline::node
