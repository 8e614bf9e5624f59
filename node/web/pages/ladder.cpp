// Which edition of the ladder this node works by and what it takes, what differs from another one, and for which days
// its rules and pools were right.

#include "node/commands/editions.hpp"
#include "node/commands/study.hpp"
#include "node/domain/ladder/edition_changes.hpp"
#include "node/domain/ladder/rights.hpp"
#include "node/domain/licence/clocks.hpp"
#include "node/web/pages/item_parts.hpp"

namespace ladderline::node::web {
namespace {

std::string signers_of(const domain::Edition& edition, const domain::Item& item) {
    if (item.signs == domain::SignWord::none) return "nobody signs it";
    return "signed by " + domain::to_words(domain::may_sign_roles(edition, item, false));
}

// Safety that is due by the calendar is offered again as the next step, and what a change of the station opens again is
// said there; the rest is advice.
std::string again_words(const domain::Item& item) {
    switch (item.recheck) {
        case domain::Recheck::never:
            return "";
        case domain::Recheck::each_change:
            return "looked at again when power, antenna or place changed";
        case domain::Recheck::each_site:
            return "looked at again at another place";
        case domain::Recheck::each_time:
            return "do it anew each time";
        case domain::Recheck::each_outing:
            return "do it anew on each outing";
        case domain::Recheck::yearly:
            return item.safety ? "looked at again after a year" : "do it again after a year";
        case domain::Recheck::seasonal:
            return item.safety ? "looked at again after a quarter of a year" : "do it again after a quarter of a year";
        case domain::Recheck::clock_change:
            return "do it again when the clocks are changed";
        case domain::Recheck::upgrade:
            return "do it again with a higher class";
    }
    return "";
}

std::string gate_words(domain::ItemGate gate) {
    switch (gate) {
        case domain::ItemGate::none:
            return "";
        case domain::ItemGate::grant:
            return "not before the own call sign is in the register, unless as a guest";
        case domain::ItemGate::minor:
            return "stands before somebody under 18 is paired";
        case domain::ItemGate::exposure:
            return "before the station first transmits, and again after a change";
    }
    return "";
}

// What an item takes, in one line.
std::string takes(const domain::Edition& edition, const domain::Item& item) {
    std::string out = kind_words(item.kind) + "; ticked by " + domain::to_words(domain::may_tick_roles(edition, item)) +
                      "; " + signers_of(edition, item);
    const auto more = [&](const std::string& words) {
        if (!words.empty()) out += "; " + words;
    };
    if (!item.evidence.empty() && item.evidence != "none") more("shown by: " + item.evidence);
    more(gate_words(item.gate));
    more(again_words(item));
    if (item.applies == domain::AppliesTo::minor) more("for those under 18 alone");
    if (item.only_if_needed) more("only if the case comes");
    return out;
}

Html stage_part(const domain::Edition& edition, const domain::Stage& stage) {
    std::size_t count = 0;
    Html items;
    for (const domain::Item& item : edition.items) {
        if (item.id.stage != stage.number) continue;
        ++count;
        items.add("<li>{}{}<p class=\"help\">{}.</p></li>", item_name(item),
                  item.safety ? html(" {}", state_mark(Mark::caution, "safety")) : Html(), takes(edition, item));
    }
    return html(
        "<details id=\"s-{}\"><summary>{}. {} <span class=\"whom\">{}{}</span></summary><ul "
        "class=\"items\">{}</ul></details>",
        stage.number, stage.number, stage.title, count, count == 1 ? " item" : " items", items);
}

Html edition_part(const domain::Edition& edition) {
    std::size_t safety = 0;
    std::size_t with_signature = 0;
    for (const domain::Item& item : edition.items) {
        safety += item.safety ? 1U : 0U;
        with_signature += item.signs != domain::SignWord::none ? 1U : 0U;
    }
    return html(
        "<section><h2>In force here</h2><dl class=\"facts\"><dt>Ladder</dt><dd>{}</dd><dt>Edition</dt><dd>{}</dd>"
        "<dt>Whose</dt><dd>{}</dd><dt>Changes by mentor and newcomer</dt><dd>{}</dd><dt>Size</dt><dd>{} stages, {} "
        "items; {} want somebody's signature, {} are about safety</dd></dl><p>It is the only edition that this program "
        "holds; everybody whose program has it works by the same one. A number never gets another meaning in a later "
        "edition, so what was ticked stays ticked.</p></section>",
        edition.name, edition.edition, edition.owner == "shipped" ? "came with the program" : edition.owner,
        edition.local_changes ? "allowed" : "not allowed", edition.stages.size(), edition.items.size(), with_signature,
        safety);
}

std::string_view kind_of_change(domain::ChangeKind kind) {
    switch (kind) {
        case domain::ChangeKind::added:
            return "new";
        case domain::ChangeKind::gone:
            return "gone";
        case domain::ChangeKind::changed:
            return "changed";
    }
    return "";
}

Html changes_part(const domain::Edition& here, const domain::Edition& other) {
    const domain::EditionChanges changes = domain::changes_between(here, other);
    const std::string title = other.name + ", " + other.edition;
    if (changes.none()) {
        return html("<section><h2>Compared with {}</h2><p>Stages and items are the same.</p></section>", title);
    }
    Table out;
    out.caption = "What is other there than in the edition in force here";
    out.columns = {"Item or stage", "What", "How"};
    for (const domain::StageChange& one : changes.stages) {
        out.rows.push_back({html("Stage {}: {}", one.stage, one.title), text(kind_of_change(one.kind)),
                            one.before.empty() ? text("-") : html("was: {}", one.before)});
    }
    for (const domain::ItemChange& one : changes.items) {
        const Html how = each(one.words, [](const std::string& words) { return html("<li>{}</li>", words); });
        out.rows.push_back({html("<span class=\"call\">{}</span> {}", domain::to_text(one.item), one.text),
                            text(kind_of_change(one.kind)), how.empty() ? text("-") : html("<ul>{}</ul>", how)});
    }
    return html("<section><h2>Compared with {}</h2>{}</section>", title, table(out));
}

Html compare_form(const Scene& scene) {
    const FormOn form(scene, "compare");
    Html inside = hidden("form", "compare");
    inside += file_row(form.required("file", "Text file of the other edition", "",
                                     "Stages and items in one text. It is read and compared, and not kept."),
                       ".txt,.tsv,text/plain");
    inside += button("Compare");
    return html(
        "<section><h2>Compare with another edition</h2><p>For an edition that somebody else wrote, or that your club "
        "is writing: what differs, and the first line that cannot be read.</p>{}</section>",
        file_form(scene.request, url("/ladder/compare"), inside));
}

Result<Html> rules_part() {
    TRY(const auto books, rule_book_dates());
    Table out;
    out.caption = "Rule books that came with the program";
    out.columns = {"Rules of", "Lines", "Not checked", "Right as of"};
    for (const RuleBookDates& book : books) {
        out.rows.push_back({text(book.name), html("{}", book.lines), html("{}", book.uncertain),
                            book.oldest == book.newest ? text(to_iso(book.newest))
                                                       : html("{} to {}", to_iso(book.oldest), to_iso(book.newest))});
    }
    return html(
        "<section id=\"rules\"><h2>Rules</h2>{}<p>What was not checked against the rule in force is answered with "
        "\"not "
        "known\". Your regulator's own text decides.</p></section>",
        table(out));
}

Html clocks_part() {
    Table out;
    out.caption = "Lengths of the clocks on a way";
    out.columns = {"What", "Length", "Why"};
    for (const domain::ClockLine& line : domain::shipped_clock_lines()) {
        out.rows.push_back({text(line.meaning), html("{} {}", line.length, line.unit),
                            html("{}: {}", line.hard ? "a fixed rule" : "a custom", line.source)});
    }
    return html("<details id=\"d-clocks\"><summary>The clocks and where their lengths come from</summary>{}</details>",
                table(out));
}

std::string pool_days(const PoolSummary& pool) {
    if (!pool.valid_from && !pool.valid_until) return "no printed dates";
    return (pool.valid_from ? to_iso(*pool.valid_from) : std::string("...")) + " to " +
           (pool.valid_until ? to_iso(*pool.valid_until) : std::string("..."));
}

Result<Html> pools_part(const Scene& scene) {
    TRY(const auto all, pools(scene.context()));
    Table out;
    out.caption = "Question pools in this store";
    out.columns = {"Pool", "Questions", "For exams from .. to", "Today"};
    for (const PoolSummary& pool : all) {
        out.rows.push_back({text(pool.title), html("{}", pool.questions), text(pool_days(pool)),
                            text(pool.caution.empty() ? "nothing speaks against it" : pool.caution)});
    }
    return html(
        "<section id=\"pools\"><h2>Question pools</h2>{}<p><a href=\"{}\">Take in another pool</a></p></section>",
        table(out), url("/practise/pools"));
}

// What was asked for on every way that can be read here.
Result<Html> asked_part(const Scene& scene) {
    TRY(const auto all, asked_for(scene.context()));
    const domain::Edition& edition = scene.context().edition;
    Html lines;
    for (const AskedFor& one : all) {
        Html items;
        for (const domain::ItemId id : one.items) {
            if (const domain::Item* item = edition.find(id)) items.add("<li>{}</li>", item_name(*item));
        }
        lines.add("<details id=\"d-asked-{}\"><summary>{}: {} asked for{}</summary><ul>{}</ul></details>",
                  key_of(one.whose), one.own ? html("You") : person_name(one.name), one.items.size(),
                  one.latest ? ", the latest on " + to_iso(*one.latest) : std::string(), items);
    }
    const Html officers =
        scene.viewer.is_officer
            ? html(
                  "<p>A club assigns no edition of its own: mentors ask for items on the path of each newcomer, and "
                  "the "
                  "club does not see paths. So an officer finds here what was asked for on the paths they are on; in "
                  "the club stands how far each has come.</p><p><a href=\"{}\">The club</a></p>",
                  url("/club"))
            : Html();
    return html("<section id=\"asked\"><h2>Asked for next</h2>{}{}</section>",
                lines.empty()
                    ? html("<p class=\"empty\">Nothing is asked for on a path that you see. A mentor does that "
                           "on the page of their newcomer.</p>")
                    : lines,
                officers);
}

Result<Response> ladder_with(const Scene& scene, const domain::Edition* other) {
    const domain::Edition& edition = scene.context().edition;
    Page content;
    content.title = "The ladder and its edition";
    if (other != nullptr) content.main = changes_part(edition, *other);
    content.main += edition_part(edition);
    TRY(const Html asked, asked_part(scene));
    content.main += asked;
    content.main.add("<section><h2>Stages and what each item takes</h2>{}</section>",
                     each(edition.stages, [&](const domain::Stage& stage) { return stage_part(edition, stage); }));
    TRY(const Html rules, rules_part());
    content.main += rules;
    content.main += clocks_part();
    TRY(const Html pools_here, pools_part(scene));
    content.main += pools_here;
    content.main += compare_form(scene);
    content.side = notice(Tone::caution, "A list reminds",
                          "Items about safety defer to the local electrical code, your regulator, the exam team's own "
                          "instructions and licensed practice; none of them is a permission.");
    return show(scene, std::move(content), Live::no);
}

Result<Response> ladder_page(const Scene& scene) {
    return ladder_with(scene, nullptr);
}

Result<Response> compare_sent(const Scene& scene) {
    const SentFile* file = scene.request.file(FormOn(scene, "compare").key("file"));
    if (file == nullptr) {
        return ladder_with(scene.back({400, "Choose a file first; nothing was compared.", "file"}), nullptr);
    }
    const auto other = domain::parse_edition(file->bytes);
    if (!other) return ladder_with(scene.back(refusal_of(other.error(), "file")), nullptr);
    return ladder_with(scene, &other.value());
}

}  // namespace

void add_ladder_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/ladder", ladder_page);
    on_post(router, house, "/ladder/compare", compare_sent);
}

}  // namespace ladderline::node::web
