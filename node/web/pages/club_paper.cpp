#include "node/web/pages/club_paper.hpp"

#include <algorithm>

namespace ladderline::node::web {
namespace {

// As many as fit one sheet together.
constexpr std::size_t pins_max = 6;
constexpr std::size_t needs_lines_max = 30;  // of print; a person takes two or more
constexpr std::size_t why_characters = 62;   // of one line in its column
constexpr std::size_t names_max = 30;
constexpr std::size_t answers_max = 90;

std::string joined(const std::vector<std::string>& words, std::size_t max) {
    std::string out;
    for (std::size_t i = 0; i < std::min(words.size(), max); ++i) out += (out.empty() ? "" : ", ") + words[i];
    if (words.size() > max) out += ", and " + std::to_string(words.size() - max) + " more on the screen";
    return out;
}

std::string more_words(std::size_t all, std::size_t max) {
    return all > max ? "And " + std::to_string(all - max) + " more, on the screen." : std::string();
}

Html part(std::string_view title, const Html& body) {
    return html("<section><h2>{}</h2>{}</section>", title, body);
}

// Up to the day, which stands behind it, or to where the sentence goes on to explain.
std::string first_part(const ReviewPin& pin) {
    std::string out = pin.sentence.substr(0, std::min(pin.sentence.find(';'), pin.sentence.find(to_iso(pin.day))));
    for (const std::string_view end : {" ", " on", " is", "."}) {
        if (out.ends_with(end)) out.resize(out.size() - end.size());
    }
    return out + ":";
}

Html pins(const Review& r) {
    Html lines;
    for (std::size_t i = 0; i < std::min(r.pinned.size(), pins_max); ++i) {
        lines.add("<li><strong>{}</strong>: {} {} ({})</li>", r.pinned[i].name, first_part(r.pinned[i]),
                  to_iso(r.pinned[i].day), days_left_words(r.pinned[i].days_left));
    }
    if (lines.empty()) return html("<p>None is near.</p>");
    return html("<ul>{}</ul><p>{}</p>", lines, more_words(r.pinned.size(), pins_max));
}

std::vector<const ReviewLine*> standing_out(const Review& r) {
    std::vector<const ReviewLine*> out;
    for (const ReviewLine& line : r.lines) {
        if (!line.resting && !line.reasons.empty()) out.push_back(&line);
    }
    return out;
}

std::string calm_words(const Review& r) {
    const auto resting = std::count_if(r.lines.begin(), r.lines.end(), [](auto& line) { return line.resting; });
    const auto calm =
        std::count_if(r.lines.begin(), r.lines.end(), [](auto& line) { return !line.resting && line.reasons.empty(); });
    std::string out = "Nothing stands out for " + std::to_string(calm) + " more; " + std::to_string(resting) +
                      (resting == 1 ? " rests." : " rest.");
    std::string asked;
    for (const AskedLine& line : r.asked) asked += (asked.empty() ? " Asked lately, and fine: " : ", ") + line.name;
    return out + asked + (asked.empty() ? "" : ".");
}

// Largest first, as many as there is room for.
Html needs(const Review& r) {
    const auto lines = standing_out(r);
    Html rows;
    std::size_t used = 0;
    std::size_t shown = 0;
    for (; shown < lines.size(); ++shown) {
        const ReviewLine& line = *lines[shown];
        std::string why;
        for (const std::string& reason : line.reasons) why += (why.empty() ? "" : " ") + reason;
        used += std::max<std::size_t>(2, 1 + why.size() / why_characters);
        if (used > needs_lines_max) break;
        rows.add("<tr><th scope=\"row\">{} {}</th><td>{}</td><td>{}</td><td>{}</td></tr>", line.name,
                 line.call_sign.empty() ? Html() : call_sign(line.call_sign), why,
                 line.stage.empty() ? "done" : line.stage, line.mentor_name.empty() ? "none" : line.mentor_name);
    }
    Html out;
    if (!rows.empty()) {
        out = html(
            "<table><thead><tr><th scope=\"col\">Who</th><th scope=\"col\">Why</th><th scope=\"col\">Stage</th><th "
            "scope=\"col\">Mentor</th></tr></thead><tbody>{}</tbody></table>",
            rows);
    }
    out.add("<p>{} {}</p>", more_words(lines.size(), shown), calm_words(r));
    return out;
}

Html mentors(const Review& r) {
    std::vector<std::string> room;
    for (const MentorLine& m : r.with_room) room.push_back(m.name + " (" + std::to_string(m.places) + ")");
    std::vector<std::string> over;
    for (const MentorLine& m : r.over_five) over.push_back(m.name + " (" + std::to_string(m.carries) + ")");
    Html out = html("<p>With room: {}.</p>", room.empty() ? "nobody has said so" : joined(room, names_max));
    if (!over.empty()) out.add("<p>Carry more than five: {}.</p>", joined(over, names_max));
    return out;
}

}  // namespace

std::string stage_words(const Scene& scene, const std::string& stage) {
    if (stage.empty()) return "all done";
    return stage + " " + stage_title(scene.context().edition, static_cast<std::uint8_t>(std::atoi(stage.c_str())));
}

Html review_on_paper(const Review& r) {
    Html out = html("<p>{} {}</p>", r.as_of_sentence, r.on_air.sentence);
    out += part("Dates that do not move", pins(r));
    out += part("Who needs us; no order of merit", needs(r));
    out += part("Without a mentor",
                html("<p>{}.</p>", r.without_mentor.empty() ? "Everybody who is listed, and does not rest, has one"
                                                            : joined(r.without_mentor, names_max)));
    out += part("Mentors", mentors(r));
    return html("<div class=\"on-paper one-sheet\">{}</div>", out);
}

Html answer_on_paper(const ReviewAnswer& answer) {
    Html lines;
    for (std::size_t i = 0; i < std::min(answer.who.size(), answers_max); ++i) {
        const ReviewedPerson& p = answer.who[i];
        lines.add("<li><strong>{}</strong>{}{}</li>", p.name, p.detail.empty() ? "" : ": ", p.detail);
    }
    if (lines.empty()) return html("<p class=\"on-paper\">{}</p>", answer.none);
    constexpr std::size_t few = 12;  // stand in large print
    if (answer.who.size() <= few) return html("<ul class=\"on-paper\">{}</ul>", lines);
    return html("<div class=\"on-paper one-sheet\"><ul class=\"two-columns\">{}</ul><p>{}</p></div>", lines,
                more_words(answer.who.size(), answers_max));
}

}  // namespace ladderline::node::web
