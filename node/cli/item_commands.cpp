#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/help.hpp"
#include "node/commands/items.hpp"
#include "node/commands/named_files.hpp"
#include "node/commands/way_sheet.hpp"

namespace ladderline::node::cli {
namespace {

// An optional day as typed; empty is none.
Result<std::optional<Day>> day_from(const std::string& text) {
    if (text.empty()) return std::optional<Day>();
    TRY(const Day day, parse_day(text));
    return std::optional<Day>(day);
}

void add_from(CLI::App& sub, std::string& file, const std::string& example, const CommandLine& out) {
    sub.add_option("--from", file, "Take in a file with one item a line, as on the sheet of 'way --sheet': " + example)
        ->transform([folder = out.folder](const std::string& name) { return (folder / name).string(); });
}

// Sheets of paper, typed back in.
void take_from(CommandLine& out, SheetLinesRequest request, const std::string& file) {
    out.command = [request, file](Context& context) mutable -> Result<Answer> {
        TRY(request.text, read_named_file(file));
        TRY(const SheetTaken done, take_sheet_lines(context, request));
        if (done.taken == 0 && done.stood == 0) {
            return Error{Fault::bad_input, "Nothing was written down. Line " +
                                               std::to_string(done.left.front().number) + ": " +
                                               done.left.front().sentence};
        }
        std::vector<std::string> said{std::to_string(done.taken) + " written down, " + std::to_string(done.stood) +
                                      " stood already, " + std::to_string(done.left.size()) + " left out."};
        boost::json::array left;
        for (const SheetLineLeft& line : done.left) {
            said.push_back("- Line " + std::to_string(line.number) + ": " + line.sentence);
            left.push_back({{"line", line.number}, {"text", line.line}, {"sentence", line.sentence}});
        }
        return Answer{lines(said), {{"added", done.taken}, {"stood", done.stood}, {"left_out", std::move(left)}}};
    };
}

void add_assign(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("assign", "Ask a newcomer to take items or a whole stage next");
    auto request = std::make_shared<AssignRequest>();
    sub->add_option("who", request->who, "The newcomer")->required();
    sub->add_option("items", request->items, "Items (9.6) or stages (09)")->required();
    sub->callback([&out, request] {
        out.command = [request](Context& context) -> Result<Answer> {
            TRY(const Done done, assign(context, *request));
            return answer_of(done);
        };
    });
}

void add_tick(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("tick", "Mark an item as done, in your own word");
    auto request = std::make_shared<TickRequest>();
    auto day = std::make_shared<std::string>();
    auto file = std::make_shared<std::string>();
    sub->add_option("item", request->item, "The item, as 9.6 or a few of its words");
    sub->add_option("--for", request->who, "A newcomer, for items that a guardian, mentor or club ticks");
    sub->add_option("--on", *day, "The day, as 2026-11-25; today without it");
    sub->add_option("--evidence", request->evidence, "What shows it; for 04.06 your call sign");
    sub->add_option("--guest-of", request->guest_of, "The licensed operator in control, if you were a guest");
    sub->add_option("--with", request->with, "The second person, where an antenna went up or down");
    sub->add_flag("--undo", request->undo, "Take your own tick back");
    add_from(*sub, *file, "0.8 2026-11-20 what shows it", out);
    sub->callback([&out, request, day, file] {
        if (!file->empty()) return take_from(out, {request->who, SheetColumn::ticks, {}}, *file);
        if (request->item.empty()) throw CLI::ValidationError("Say which item, or --from a sheet");
        out.command = [request, day](Context& context) -> Result<Answer> {
            TRY(request->day, day_from(*day));
            TRY(const Done done, tick(context, *request));
            return answer_of(done);
        };
    });
}

void add_sign(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("sign", "Confirm on somebody's way what you saw or heard");
    auto request = std::make_shared<SignRequest>();
    auto day = std::make_shared<std::string>();
    sub->add_option("who", request->who, "The newcomer")->required();
    auto file = std::make_shared<std::string>();
    sub->add_option("item", request->item, "The item, as 9.6 or a few of its words");
    sub->add_option("--level", request->level, "For a skill: with help, alone, taught it (or 2, 3, 4)");
    sub->add_option("--on", *day, "The day, as 2026-11-25; today without it");
    sub->add_option("--saw", request->saw, "What you saw or heard, in a few words");
    add_from(*sub, *file, "1.17 2026-11-20 alone what you saw", out);
    sub->callback([&out, request, day, file] {
        if (!file->empty()) return take_from(out, {request->who, SheetColumn::signatures, {}}, *file);
        if (request->item.empty()) throw CLI::ValidationError("Say which item, or --from a sheet");
        out.command = [request, day](Context& context) -> Result<Answer> {
            TRY(request->day, day_from(*day));
            TRY(const Done done, sign_off(context, *request));
            return answer_of(done);
        };
    });
}

void add_withdraw(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("withdraw", "Take your signature back, with the reason");
    auto request = std::make_shared<WithdrawRequest>();
    sub->add_option("who", request->who, "The newcomer")->required();
    sub->add_option("item", request->item, "The item")->required();
    sub->add_option("--why", request->why, "The reason; the newcomer reads it")->required();
    sub->callback([&out, request] {
        out.command = [request](Context& context) -> Result<Answer> {
            TRY(const Done done, withdraw(context, *request));
            return answer_of(done);
        };
    });
}

void add_aside(CLI::App& app, CommandLine& out, const char* name, const char* help, domain::StatementKind what) {
    auto* sub = app.add_subcommand(name, help);
    auto request = std::make_shared<AsideRequest>();
    request->what = what;
    sub->add_option("item", request->item, "The item")->required();
    sub->callback([&out, request] {
        out.command = [request](Context& context) -> Result<Answer> {
            TRY(const Done done, set_aside(context, *request));
            return answer_of(done);
        };
    });
}

void add_ask(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("ask", "Say that you need a hand, or that it is settled");
    auto topic = std::make_shared<std::string>();
    auto settled = std::make_shared<bool>(false);
    auto day = std::make_shared<std::string>();
    sub->add_option("topic", *topic, "What with, in a few words");
    sub->add_option("--on", *day, "The day you first asked, if it was earlier");
    sub->add_flag("--settled", *settled, "Nothing is asked any more");
    sub->callback([&out, topic, settled, day] {
        if (topic->empty() != *settled) throw CLI::ValidationError("Say what you need a hand with, or --settled");
        out.command = [topic, day](Context& context) -> Result<Answer> {
            TRY(const auto since, day_from(*day));
            TRY(const Done done, ask_for_help(context, *topic, since));
            return answer_of(done);
        };
    });
}

void add_touch(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("touch", "A mentor was in touch with a newcomer");
    auto who = std::make_shared<std::string>();
    auto day = std::make_shared<std::string>();
    sub->add_option("who", *who, "The newcomer")->required();
    sub->add_option("--on", *day, "The day, as 2026-11-25; today without it");
    sub->callback([&out, who, day] {
        out.command = [who, day](Context& context) -> Result<Answer> {
            TRY(const auto on, day_from(*day));
            TRY(const Done done, was_in_touch(context, *who, on));
            return answer_of(done);
        };
    });
}

}  // namespace

void add_item_commands(CLI::App& app, CommandLine& out) {
    add_assign(app, out);
    add_tick(app, out);
    add_sign(app, out);
    add_withdraw(app, out);
    add_ask(app, out);
    add_touch(app, out);
    add_aside(app, out, "skip", "An item is not for you; no reason needed", domain::StatementKind::skip);
    add_aside(app, out, "rest", "Not now; no reason needed", domain::StatementKind::rest);
    add_aside(app, out, "reopen", "Take up an item that was set aside, or have one looked at again",
              domain::StatementKind::reopen);
}

}  // namespace ladderline::node::cli
