// The calendar that is written from what others said (titles and places come from members), read by a strict checker of
// RFC 5545's line and text rules. Input: two texts as pieces.

#include "node/commands/plain_text.hpp"
#include "tests/fuzz/engine/pieces.hpp"

namespace ladderline::fuzz {
namespace {

using namespace node;

// Content lines, unfolded (section 3.1).
std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = text.find("\r\n", at);
        demand(end != std::string::npos, "every line ends in CR LF");
        const std::string line = text.substr(at, end - at);
        demand(line.size() <= 75, "no line is longer than 75 bytes");
        demand(is_utf8(line), "no line is cut inside a character");
        for (const char c : line) {
            const auto byte = static_cast<unsigned char>(c);
            demand((byte >= 0x20 && byte != 0x7F) || c == '\t', "no line holds a control character");
        }
        if (line.starts_with(' ')) {
            demand(!out.empty(), "a calendar does not begin in the middle of a line");
            out.back() += line.substr(1);
        } else {
            out.push_back(line);
        }
        at = end + 2;
    }
    return out;
}

// Section 3.3.11, read back.
std::string plain(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        demand(text[i] != ';' && text[i] != ',', "a text has no bare comma or semicolon");
        if (text[i] != '\\') {
            out += text[i];
            continue;
        }
        demand(++i < text.size(), "a text does not end in a backslash");
        demand(std::string_view("\\;,nN").find(text[i]) != std::string_view::npos, "an escape is a known one");
        out += text[i] == 'n' || text[i] == 'N' ? '\n' : text[i];
    }
    return out;
}

std::string without_controls(std::string_view text) {
    std::string out;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if ((byte >= 0x20 && byte != 0x7F) || c == '\t' || c == '\n') out += c;
    }
    return out;
}

void knock(ByteView input) {
    std::vector<Bytes> pieces = cut_pieces(input);
    pieces.resize(2);
    const std::string title(as_text(pieces[0]));
    const std::string description(as_text(pieces[1]));
    if (!is_utf8(title) || !is_utf8(description)) return;  // what comes in is text (plain_text.hpp)
    const WallTime start{1'764'097'500'000};
    const std::vector<std::string> lines =
        lines_of(calendar({{"00ff", start, 30, title, description, pieces[0].size() % 2 == 1}}, start));
    demand(lines.front() == "BEGIN:VCALENDAR" && lines.back() == "END:VCALENDAR", "a calendar has its two ends");
    std::size_t titles = 0;
    for (const std::string& line : lines) {
        demand(line.find(':') != std::string::npos, "a line has a name and a value");
        if (line.starts_with("SUMMARY:")) {
            ++titles;
            demand(plain(line.substr(8)) == without_controls(title), "a title reads back as it was");
        }
        if (line.starts_with("DESCRIPTION:")) {
            demand(plain(line.substr(12)) == without_controls(description), "a description reads back as it was");
        }
    }
    demand(titles == 1, "no text makes a line of its own");
}

Seed seed(const std::string& name, std::string_view title, std::string_view description) {
    return {name, join_pieces({to_bytes(as_bytes(title)), to_bytes(as_bytes(description))})};
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    out.seeds = {
        seed("plain", "Contact with Ada", "146.520, then 146.550; FM"), seed("lines", "Net", "first\r\nsecond\nthird"),
        seed("long", std::string(90, 'x') + "\xF0\x9F\x93\xBB" + std::string(90, 'y'), "\xC3\xA9\xE2\x86\x92")};
    out.words = {
        "\r\n", "\n", "\r",           "\\", ";", ",", ":", "END:VEVENT", "\xC3\xA9", "\xE2\x86\x92", "\xF0\x9F\x93\xBB",
        "\x7F", "\t", "\r\nSUMMARY:x"};
    out.reshape = [](ByteView input, test::SeededRandom& random) {
        return reshape_pieces(input, random, [](Bytes piece, test::SeededRandom& dice) {
            static const std::vector<std::string> words{"\r\n", "\\", ";", ",", "\xC3\xA9", "\xF0\x9F\x93\xBB", "\x01"};
            const ByteView word = as_bytes(words[below(dice, words.size())]);
            const auto at = static_cast<std::ptrdiff_t>(below(dice, piece.size() + 1));
            piece.insert(piece.begin() + at, word.begin(), word.end());
            return piece;
        });
    };
    out.bytes_max = 16 * 1024;
    out.runs = 8000;
    return out;
}

}  // namespace ladderline::fuzz
