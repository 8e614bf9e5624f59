#include "node/web/pages/pair_parts.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::size_t reasons_max = 20;  // of one newcomer

Html reasons_of(const PairLine& line) {
    Html out;
    if (!line.parts.empty()) out.add("<p>Why:</p>{}", sentences(line.parts));
    if (!line.better_elsewhere.empty()) out.add("<p>{}</p>", line.better_elsewhere);
    if (!line.next_best.empty()) out.add("<p>Else:</p>{}", sentences(line.next_best));
    if (!line.reasons_not.empty()) {
        out.add("<p>Cannot be:</p>{}", sentences(first_of(line.reasons_not, reasons_max)));
        if (line.reasons_not.size() > reasons_max)
            out.add("<p>And {} more.</p>", line.reasons_not.size() - reasons_max);
    }
    if (out.empty()) return Html();
    return html("<details id=\"why-{}\"><summary>Reasons</summary>{}</details>", key_of(line.newcomer).substr(0, 16),
                out);
}

Html waiting_words(const PairLine& line) {
    return html("<span class=\"whom\">waiting {} days{}</span>", line.days_waiting,
                line.comes_first ? "; comes first, the mentor could not be reached" : "");
}

}  // namespace

Html and_more(std::size_t all, std::size_t shown) {
    if (all <= shown) return Html();
    return html("<p>And {} more; the field at the top finds anybody.</p>", all - shown);
}

Html sentences(const std::vector<std::string>& lines) {
    return html("<ul>{}</ul>", each(lines, [](const std::string& line) { return html("<li>{}</li>", line); }));
}

Html pair_line(const Scene& scene, const PairLine& line, const PairAddresses& to) {
    Html inside = line.wishes.empty() ? Html() : sentences(line.wishes);
    if (!line.mentor) {
        return html("<li><p><strong>{}</strong>: nobody can be proposed now. {}</p>{}{}</li>",
                    person_name(line.newcomer_name), waiting_words(line), inside, reasons_of(line));
    }
    const std::string newcomer = key_of(line.newcomer);
    const std::string both = line.newcomer_name + " with " + line.mentor_name;
    if (!line.beside.empty()) inside.add("<p>Second adult: {}, who takes that seat first.</p>", line.beside);
    if (to.ask) {
        inside += button_form(scene.request, *to.ask, "Ask both: " + both,
                              {{"newcomer", newcomer}, {"mentor", key_of(*line.mentor)}});
        if (!line.others.empty()) {
            inside += button_form(
                scene.request, *to.ask, "Let " + line.newcomer_name + " choose between two",
                {{"newcomer", newcomer}, {"mentor", key_of(*line.mentor)}, {"other", key_of(line.others.front())}});
        }
    }
    inside += button_form(scene.request, to.agree, "Agree: " + both,
                          {{"newcomer", newcomer}, {"mentor", key_of(*line.mentor)}});
    return html("<li><p><strong>{}</strong> with <strong>{}</strong> {}</p>{}{}</li>", person_name(line.newcomer_name),
                person_name(line.mentor_name), waiting_words(line), inside, reasons_of(line));
}

Html pairing_notice(const Scene& scene) {
    if (!scene.viewer.club) return Html();
    const auto all = my_pairings(scene.context());
    if (!all) return Html();
    std::vector<std::string> words;
    for (const PairOfMine& pair : all.value()) {
        if (pair.waits_for_me())
            words.push_back("A pairing with " + pair.other_name + " is proposed: yes or rather not?");
        if (pair.review_waits_for_me()) {
            words.push_back("You and " + pair.other_name + ", after " + std::to_string(pair.review->after_days) +
                            " days: how does it go?");
        }
    }
    if (words.empty()) return Html();
    return notice(Tone::plain, "Your pairing",
                  html("{}<p><a class=\"button\" href=\"{}\">Answer</a></p>", sentences(words), url("/pairing")));
}

Html pairing_part(const Scene& scene, const Url& agree) {
    const auto proposal = propose_pairs(scene.context());
    if (!proposal) return html("<p class=\"empty\">{}</p>", proposal.error().sentence());
    const PairProposal& p = proposal.value();
    if (p.lines.empty()) {
        return html("<p class=\"empty\">No newcomer is known to wait for a mentor.</p>");
    }
    return html(
        "<p>{} of {} who are not known to have a mentor could be paired; mentors have {} places free. Ask both before "
        "you agree.</p>"
        "<ul class=\"arranged\">{}</ul>{}",
        p.paired, p.newcomers, p.places,
        each(p.lines, [&](const PairLine& line) { return pair_line(scene, line, {agree}); }),
        p.note.empty() ? Html() : html("<p class=\"help\">{}</p>", p.note));
}

}  // namespace ladderline::node::web
