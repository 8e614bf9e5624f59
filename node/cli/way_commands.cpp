#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/meeting_ends.hpp"
#include "node/commands/named_files.hpp"
#include "node/commands/paper.hpp"
#include "node/commands/path_pause.hpp"
#include "node/commands/today.hpp"
#include "node/commands/way.hpp"
#include "node/commands/way_sheet.hpp"
#include "node/commands/who_ticks.hpp"

namespace ladderline::node::cli {
namespace {

constexpr std::string_view caution =
    "Safety item: never alone. Your local electrical code, your regulator and licensed practice decide; ask your "
    "mentor.";
constexpr std::string_view minor_caution =
    "Safety item: nobody under 18 is alone with one adult here. A guardian's word comes before anything said here.";

std::string item_line(const domain::Edition& edition, domain::ItemId id) {
    const domain::Item* item = edition.find(id);
    return domain::to_text(id) + (item != nullptr ? "  " + item->text : "");
}

// Who ticks it, and how, if that is the person who reads this.
std::string when_done(const Context& context, const WayView& view, const domain::Item& item) {
    const domain::RoleSet roles = domain::may_tick_roles(context.edition, item);
    if (view.owner.id != context.me.id() || !roles.has(domain::Role::newcomer)) {
        return who_ticks(context, view, item);
    }
    if (item.id == domain::known_item::fee_notice_seen) {
        return "When it is there: ladderline tick " + domain::to_text(item.id) +
               " --on DAY (the day of the regulator's e-mail, not today)";
    }
    const bool asks = !item.evidence.empty() && item.evidence != "none" && !item.evidence.starts_with("date");
    return "When it is done: ladderline tick " + domain::to_text(item.id) +
           (asks ? " --evidence \"...\" (" + item.evidence + ", in your words)" : "");
}

Answer next_answer(const Context& context, const WayView& view) {
    const domain::Progress& progress = view.progress;
    if (!progress.next) {
        const std::string said = view.facts.resting ? "Your way rests. Nothing is waiting to be done."
                                                    : "Nothing is left to do on this way.";
        return {said, {{"next", nullptr}, {"said", said}}};
    }
    const domain::NextStep& next = *progress.next;
    const domain::Item* item = context.edition.find(next.item);
    std::vector<std::string> text{"Next step: " + item_line(context.edition, next.item), "Why: " + next.why};
    if (item != nullptr && !item->note.empty()) text.push_back("Note: " + item->note);
    if (item != nullptr && item->safety)
        text.emplace_back(item->gate == domain::ItemGate::minor ? minor_caution : caution);
    if (item != nullptr) text.push_back(when_done(context, view, *item));
    boost::json::object json{{"item", domain::to_text(next.item)}, {"why", next.why}};
    if (item != nullptr) json["text"] = item->text;
    return {lines(text), {{"next", std::move(json)}}};
}

Answer waiting_answer(const Context& context, const WayView& view) {
    std::vector<std::string> text;
    boost::json::array json;
    for (const domain::Waiting& w : view.progress.waiting) {
        text.push_back("- " + w.sentence);
        json.push_back({{"what", w.sentence}, {"since", to_iso(w.since)}});
    }
    for (const domain::DueLine& d : view.due) {
        text.push_back("- " + to_iso(d.day) + " (" + in_days(d.days_left) + "): " + d.sentence);
        json.push_back({{"what", d.sentence}, {"day", to_iso(d.day)}, {"days_left", d.days_left}, {"hard", d.hard}});
    }
    for (const MeetingView& m : view.meetings) {
        if (m.outcome) continue;
        const std::string when = to_iso_minute(m.meeting.start);
        const std::string who = ends_words(context, view, m);
        const bool is_off = is_called_off(view, m, context.today());
        text.push_back("- Arranged contact " + who + ", " + when + " on " + m.meeting.first_frequency + " MHz " +
                       m.meeting.mode + (is_off ? "  [" + std::string(called_off_words) + "]" : ""));
        json.push_back({{"what", "arranged contact"},
                        {"who", who},
                        {"start", when},
                        {"id", to_hex(m.id.view())},
                        {"called_off", is_off}});
    }
    if (text.empty()) text.emplace_back("You are waiting for nobody and nothing.");
    return {lines(text), std::move(json)};
}

std::string state_words(const domain::ItemState& state) {
    std::string words(domain::to_word(state.phase));
    if (state.signature && state.signed_level() != domain::Level::none) {
        words += ", " + std::string(domain::to_word(state.signed_level()));
    }
    if (state.assigned && state.needs_doing()) words += ", asked for";
    return words;
}

Answer way_answer(const Context& context, const WayView& view, bool all) {
    std::vector<std::string> text{view.owner.name + "'s way, edition " + context.edition.edition};
    boost::json::array stages;
    for (const domain::StageCount& count : view.progress.stages) {
        const domain::Stage* stage = context.edition.stage(count.stage);
        const bool current = view.progress.current_stage == count.stage;
        std::string line = std::string(current ? "> " : "  ") + (count.stage < 10 ? "0" : "") +
                           std::to_string(count.stage) + "  " + (stage != nullptr ? stage->title : "") + ": " +
                           std::to_string(count.ticked + count.is_signed) + " of " + std::to_string(count.all);
        text.push_back(std::move(line));
        boost::json::array items;
        for (const domain::Item& item : context.edition.items) {
            if (item.id.stage != count.stage || !domain::applies_to(item, view.owner.is_minor)) continue;
            const domain::ItemState& state = domain::state_of(view.states, item.id);
            if (all || current)
                text.push_back("     " + item_line(context.edition, item.id) + "  [" + state_words(state) + "]");
            items.push_back({{"id", domain::to_text(item.id)}, {"text", item.text}, {"state", state_words(state)}});
        }
        stages.push_back({{"stage", count.stage}, {"items", std::move(items)}});
    }
    if (view.as_of) text.push_back("As of " + to_iso_minute(*view.as_of) + ".");
    return {lines(text), {{"name", view.owner.name}, {"stages", std::move(stages)}}};
}

Result<Answer> sheet_answer(const Context& context, const WayView& view, bool all, const std::string& page) {
    const SheetItems items = all ? SheetItems::all : SheetItems::present;
    if (page.empty()) {
        const std::vector<std::string> sheet = way_sheet_lines(context, view, items);
        return Answer{lines(sheet), {{"lines", boost::json::value_from(sheet)}}};
    }
    TRY(const Done done, write_page(page, way_sheet_page(context, view, items)));
    return answer_of(done);
}

template <class Render>
void add_view(CLI::App& app, CommandLine& out, const char* name, const char* help, Render render) {
    auto* sub = app.add_subcommand(name, help);
    auto who = std::make_shared<std::string>();
    sub->add_option("who", *who, "A newcomer whose way you share; yourself without it");
    sub->callback([&out, who, render] {
        out.command = [who, render](Context& context) -> Result<Answer> {
            TRY(const WayView view, way(context, *who));
            return render(context, view);
        };
    });
}

// The step, and below it that the spare key waits to be written down, if it does.
void add_next(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("next", "The one next step");
    auto who = std::make_shared<std::string>();
    sub->add_option("who", *who, "A newcomer whose way you share; yourself without it");
    sub->callback([&out, who] {
        out.command = [who](Context& context) -> Result<Answer> {
            TRY(const WayView view, way(context, *who));
            Answer answer = next_answer(context, view);
            TRY(const std::string reminder,
                who->empty() ? paper_reminder(context) : Result<std::string>(std::string()));
            if (!reminder.empty()) {
                answer.text += "\n" + reminder;
                answer.json.as_object()["reminder"] = reminder;
            }
            return answer;
        };
    });
}

Answer today_answer(const Today& all) {
    std::vector<std::string> text{"Today, " + to_iso(all.day) + ":"};
    boost::json::array parts;
    for (const TodayPart& part : all.parts) {
        text.push_back((part.is_own ? "Your way" : part.name) + std::string(part.is_resting ? " (resting)" : ""));
        boost::json::array lines_json;
        for (const TodayLine& line : part.lines) {
            const std::string word(to_word(line.kind));
            const std::string days = line.day ? " (" + in_days(days_between(all.day, *line.day)) + ")" : "";
            text.push_back("  " + word + ": " + line.sentence + days);
            boost::json::object one{{"kind", word}, {"what", line.sentence}, {"day", nullptr}};
            if (line.day) one["day"] = to_iso(*line.day);
            lines_json.push_back(std::move(one));
        }
        if (part.lines.empty()) text.emplace_back("  Nothing is asked for today.");
        parts.push_back({{"name", part.name},
                         {"own", part.is_own},
                         {"resting", part.is_resting},
                         {"lines", std::move(lines_json)}});
    }
    if (all.parts.empty())
        text.emplace_back(
            "You share nobody's way yet: a newcomer's code lets you onto theirs ('ladderline join CODE'). An officer "
            "lets "
            "people into the club ('ladderline invite club').");
    boost::json::object json{{"day", to_iso(all.day)}, {"ways", std::move(parts)}};
    if (!all.clock.empty()) {
        text.push_back(all.clock);
        json["clock"] = all.clock;
    }
    return {lines(text), std::move(json)};
}

// A next step alone is no reason to call anybody, nor is a contact that does not take place.
bool something_waits(const Today& all) {
    for (const TodayPart& part : all.parts) {
        for (const TodayLine& line : part.lines) {
            if (line.kind == TodayKind::next_step || line.kind == TodayKind::called_off) continue;
            if (!(part.is_own && line.kind == TodayKind::help)) return true;
        }
    }
    return false;
}

void add_today(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("today", "The day at a glance: your way, and those of your newcomers");
    auto waits = std::make_shared<bool>(false);
    sub->add_flag("--waits", *waits, "Say only whether something waits; exit code 0 if it does, 10 if not");
    sub->callback([&out, waits] {
        out.command = [waits](Context& context) -> Result<Answer> {
            TRY(const Today all, today(context));
            if (!*waits) return today_answer(all);
            if (!something_waits(all)) return Error{Fault::not_yet, "Nothing waits for you today."};
            return Answer{"Something waits for you; 'ladderline today' says what.", {{"waits", true}}};
        };
    });
}

}  // namespace

void add_way_commands(CLI::App& app, CommandLine& out) {
    add_next(app, out);
    add_today(app, out);
    add_view(app, out, "waiting", "What is waited for, with the days left", waiting_answer);
    auto* sub = app.add_subcommand("way", "The whole way, stage by stage");
    auto who = std::make_shared<std::string>();
    auto all = std::make_shared<bool>(false);
    sub->add_option("who", *who, "A newcomer whose way you share; yourself without it");
    sub->add_flag("--all", *all, "Every item of every stage");
    auto sheet = std::make_shared<bool>(false);
    auto page = std::make_shared<std::string>();
    sub->add_flag("--sheet", *sheet, "A sheet to print, with boxes for ticks and signatures");
    sub->add_option("--html", *page, "Write the sheet as a page for a browser's printer")
        ->transform([folder = out.folder](const std::string& name) { return (folder / name).string(); });
    sub->callback([&out, who, all, sheet, page] {
        out.command = [who, all, sheet, page](Context& context) -> Result<Answer> {
            TRY(const WayView view, way(context, *who));
            if (*sheet || !page->empty()) return sheet_answer(context, view, *all, *page);
            return way_answer(context, view, *all);
        };
    });
}

}  // namespace ladderline::node::cli
