#include <unistd.h>

#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/club_row.hpp"
#include "node/commands/club_shares.hpp"
#include "node/commands/invite_reach.hpp"
#include "node/commands/own_clubs.hpp"
#include "node/commands/qr.hpp"
#include "node/commands/reach.hpp"
#include "protocol/handshake/check_words.hpp"

namespace ladderline::node::cli {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;

void add_begin(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("begin", "Make your store: who you are, and what you begin as");
    auto request = std::make_shared<BeginRequest>();
    auto seat = std::make_shared<std::string>();
    auto guide = std::make_shared<bool>(false);
    sub->add_option("--name", request->name, "What you want to be called; without it you are asked step by step");
    sub->add_flag("--guide", *guide, "Be asked step by step, also where the answers come from a script");
    sub->add_option("--as", *seat, "newcomer, mentor, guardian, second-adult or officer");
    sub->add_flag("--under-18", request->under_18, "A newcomer who is under 18");
    sub->add_option("--club", request->club, "An officer founds a club of this name");
    sub->add_option("--call", request->call_sign, "Your call sign, if you want it on your card");
    sub->add_option("--locator", request->locator, "Your locator; only four characters are ever shared");
    sub->add_option("--zone", request->zone, "Your time zone, such as America/New_York");
    sub->callback([&out, request, seat, guide] {
        const auto role = parse_role(seat->empty() ? "newcomer" : *seat);
        if (!role) throw CLI::ValidationError(role.error().sentence());
        request->role = role.value();
        out.begin = *request;
        out.begin_asks = *guide || (request->name.empty() && isatty(STDIN_FILENO) != 0);
        out.begin_has_seat = !seat->empty();
    });
}

void add_run(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("run", "Open the pages, and sync with your people until you stop it");
    auto options = std::make_shared<RunOptions>();
    sub->add_option("--pages", options->page_port, "Port of the pages on this machine; 0 takes a free one");
    sub->add_option("--listen", options->listen, "Where other nodes reach this one, host:port; 'no' to listen nowhere");
    sub->add_option("--address", options->address, "Address that invites name, host:port");
    sub->add_option("--look", options->look_minutes, "Minutes between two looks into the drop folders")
        ->check(CLI::Range(1, 1440));
    sub->add_option("--lock-after", options->lock_minutes,
                    "Minutes until pages that nobody uses are locked; 0: never (default 240)")
        ->check(CLI::Range(0, 10080));
    sub->add_flag("!--not-nearby", options->nearby, "Do not call out to members on the same local network");
    auto notify = std::make_shared<bool>(false);
    auto notify_full = std::make_shared<bool>(false);
    sub->add_flag("--notify", *notify, "Say on the desktop that something waits, by notify-send, and nothing more");
    sub->add_flag("--notify-full", *notify_full,
                  "The same with what waits and whose; whoever sees the screen reads it");
    sub->callback([&out, options, notify, notify_full] {
        if (options->listen == "no") options->listen.clear();
        if (*notify) options->notify = RunOptions::Notify::plain;
        if (*notify_full) options->notify = RunOptions::Notify::full;
        out.run = *options;
    });
}

void add_pages(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("pages", "A new address for the pages of a node that runs");
    sub->callback([&out] { out.new_pages_address = true; });
}

void add_feed(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("feed", "Deadlines and arranged contacts for a calendar program on this machine");
    auto anew = std::make_shared<bool>(false);
    auto off = std::make_shared<bool>(false);
    auto* other = sub->add_flag("--anew", *anew, "Another address; the former one leads nowhere");
    sub->add_flag("--off", *off, "No feed any more")->excludes(other);
    sub->callback([&out, anew, off] {
        out.feed = FeedRequest{*off    ? FeedRequest::What::off
                               : *anew ? FeedRequest::What::anew
                                       : FeedRequest::What::show};
    });
}

struct InviteDrawing {
    bool wanted = false;
    bool on_light_screen = false;
};

Result<Answer> invite_answer(const Invite& made, const InviteDrawing& drawing) {
    const std::string until = to_iso_minute(made.expires);
    TRY(const InviteCode code, parse_code(made.code));
    const std::string words = protocol::itu_spelling(check_letters_of(code));
    const std::string day = to_iso(utc_day(made.expires));
    const std::string limits = limits_of_address(code.address);
    const std::string limits_line = limits.empty() ? "" : limits + "\n";
    Answer out{"Hand this code over like a key: whoever has it is let in, once, until " + day + ", " +
                   until.substr(day.size() + 1, 5) +
                   " UTC.\nIf it goes through other hands, compare its check words by voice: " + words + "\n" +
                   limits_line + made.code,
               {{"code", made.code}, {"check_words", words}, {"expires", until}, {"limits", limits}}};
    if (!drawing.wanted) return out;
    TRY(const QrPicture picture, qr_picture(made.code, QrCare::screen));
    const std::string blocks = qr_blocks(picture, drawing.on_light_screen);
    out.text += "\n" + blocks;
    out.json.as_object()["qr"] = blocks;
    return out;
}

void add_invite(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("invite", "A code that lets one person into your path or your club, once");
    auto request = std::make_shared<InviteRequest>();
    auto circle = std::make_shared<std::string>();
    auto seat = std::make_shared<std::string>();
    auto level = std::make_shared<int>(3);
    sub->add_option("circle", *circle, "path or club")->required();
    sub->add_option("--as", *seat, "newcomer, mentor, guardian, second-adult or officer")->required();
    sub->add_option("--level", *level, "Highest skill level they may sign: 2 with help, 3 alone, 4 taught it")
        ->check(CLI::Range(0, 4));
    sub->add_option("--days", request->days, "How many days the code is good for");
    sub->add_option("--address", request->address, "Where your node can be reached, host:port");
    auto drawing = std::make_shared<InviteDrawing>();
    sub->add_flag("--qr", drawing->wanted, "Draw the code as a QR code too");
    sub->add_flag("--light-screen", drawing->on_light_screen, "Draw it for dark letters on a light screen");
    sub->callback([&out, request, circle, seat, level, drawing] {
        const auto role = parse_role(*seat);
        if (!role) throw CLI::ValidationError(role.error().sentence());
        if (*circle != "path" && *circle != "club") {
            throw CLI::ValidationError("'" + *circle + "' is nothing to invite into; say path or club");
        }
        request->circle = *circle == "club" ? CircleKind::club : CircleKind::path;
        request->role = role.value();
        request->level = static_cast<std::uint8_t>(*level);
        if (request->address.empty())
            out.invite_needs_address = std::shared_ptr<std::string>(request, &request->address);
        out.command = [request, drawing](Context& context) -> Result<Answer> {
            TRY(const Invite made, invite(context, *request));
            return invite_answer(made, *drawing);
        };
    });
}

void add_let_in(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("welcome", "Take a member of your club onto your path, without a code");
    auto who = std::make_shared<std::string>();
    auto seat = std::make_shared<std::string>("mentor");
    sub->add_option("who", *who, "Name or call sign")->required();
    sub->add_option("--as", *seat, "mentor, guardian or second-adult");
    sub->callback([&out, who, seat] {
        const auto role = parse_role(*seat);
        if (!role) throw CLI::ValidationError(role.error().sentence());
        out.command = [who, role = role.value()](Context& context) -> Result<Answer> {
            TRY(const Done done, let_onto_path(context, *who, role, protocol::level_max));
            return answer_of(done);
        };
    });
}

void add_card(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("card", "Change what your card says to the circles you are in");
    struct Options {
        CardRequest request;
        std::string times;
        bool rest = false;
        bool back = false;
    };
    auto o = std::make_shared<Options>();
    sub->add_option("--call", o->request.call_sign, "Your call sign");
    sub->add_option("--class", o->request.licence_class, "Your licence class, as T or General; \"\" takes it off");
    sub->add_option("--locator", o->request.locator, "Your locator; four characters are shared");
    sub->add_option("--zone", o->request.zone, "Your time zone, such as America/New_York");
    sub->add_option("--room", o->request.room, "How many newcomers you have room for");
    sub->add_option("--topics", o->request.topics, "What you can help with")->delimiter(',');
    sub->add_option("--bands", o->request.bands, "Bands and modes you use")->delimiter(',');
    sub->add_option("--times", o->times, "Weekly times, as \"Tue 18:00-21:00, Sat 09:00-12:00\"");
    sub->add_flag("--rest", o->rest, "You are resting; no reason needed");
    sub->add_flag("--back", o->back, "You are back");
    sub->callback([&out, o] {
        out.command = [o](Context& context) -> Result<Answer> {
            CardRequest request = o->request;
            if (!o->times.empty()) {
                TRY(request.windows, parse_windows(o->times));
            }
            if (o->rest || o->back) request.resting = o->rest;
            TRY(const Done done, change_card(context, request));
            return answer_of(done);
        };
    });
}

void add_share(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("share", "Let your club hold twelve facts about your way, until a day");
    auto until = std::make_shared<std::string>();
    auto stop = std::make_shared<bool>(false);
    auto club = std::make_shared<std::string>();
    sub->add_option("club", *club, "Which club, if you are in several");
    sub->add_option("--until", *until, "Last day, as 2026-11-25");
    sub->add_flag("--stop", *stop, "No more news to any club");
    sub->callback([&out, until, stop, club] {
        if (until->empty() != *stop) throw CLI::ValidationError("Say either --until DAY or --stop");
        if (*stop && !club->empty()) throw CLI::ValidationError("--stop is for every club; leave the name out");
        out.command = [until, stop, club](Context& context) -> Result<Answer> {
            if (*stop) {
                TRY(const Done done, stop_sharing(context));
                return answer_of(done);
            }
            TRY(const Day day, parse_day(*until));
            TRY(const CircleView meant, club_called(context, *club));
            TRY(const Done done, share_with_club(context, meant, day));
            return answer_of(done);
        };
    });
}

Result<Answer> connections(Context& context) {
    TRY(const auto all, reached(context));
    std::vector<std::string> text;
    boost::json::array json;
    for (const ReachLine& line : all) {
        const std::string where = line.address.empty() ? ", who calls here: " : " at " + line.address + ": ";
        text.push_back(line.name + where + line.state);
        boost::json::array steps;
        for (const ReachStepLine& step : line.steps) {
            text.push_back((step.done ? "  done    " : "  not yet ") + step.what);
            steps.push_back({{"what", step.what}, {"done", step.done}});
        }
        if (!line.why.empty()) text.push_back("  Why: " + line.why);
        if (!line.advice.empty()) text.push_back("  " + line.advice);
        json.push_back({{"name", line.name},
                        {"address", line.address},
                        {"state", line.state},
                        {"steps", std::move(steps)},
                        {"why", line.why},
                        {"advice", line.advice}});
    }
    if (text.empty()) {
        text.push_back("No address is known yet; they come with invites, or by 'ladderline reach NAME HOST:PORT'.");
    }
    text.push_back(
        "Syncing goes over your network, the internet or carried files. Never send it over amateur frequencies.");
    return Answer{lines(text), std::move(json)};
}

void add_reach(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("reach", "Say where somebody's node can be reached, or see how far each call came");
    auto who = std::make_shared<std::string>();
    auto address = std::make_shared<std::string>();
    sub->add_option("who", *who, "Name or call sign");
    sub->add_option("address", *address, "host:port");
    sub->callback([&out, who, address] {
        out.command = [who, address](Context& context) -> Result<Answer> {
            if (who->empty()) return connections(context);
            TRY(const Done done, reach(context, *who, *address));
            return answer_of(done);
        };
    });
    auto* see = app.add_subcommand("connections", "See how far the last call to each node came, and what to look at");
    see->callback([&out] { out.command = connections; });
}

}  // namespace

void add_circle_commands(CLI::App& app, CommandLine& out) {
    add_begin(app, out);
    add_run(app, out);
    add_pages(app, out);
    add_feed(app, out);
    add_invite(app, out);
    add_let_in(app, out);
    add_card(app, out);
    add_share(app, out);
    add_reach(app, out);
}

}  // namespace ladderline::node::cli
