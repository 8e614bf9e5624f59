#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/paper.hpp"
#include "node/commands/state_digests.hpp"

namespace ladderline::node::cli {
namespace {

Answer sheet_answer(const PaperSheet& sheet) {
    boost::json::array groups;
    for (const std::string& group : sheet.groups) groups.push_back(boost::json::value(group));
    boost::json::object json{{"groups", std::move(groups)},
                             {"key", sheet.key},
                             {"fingerprint", sheet.fingerprint},
                             {"printed", to_iso(sheet.printed)},
                             {"restores_identity", sheet.restores_identity},
                             {"written_down", nullptr}};
    std::vector<std::string> text = sheet_lines(sheet);
    boost::json::array said;
    for (const std::string& line : text) said.push_back(boost::json::value(line));
    json["lines"] = std::move(said);
    if (sheet.written_down) {
        json["written_down"] = to_iso(*sheet.written_down);
        text.push_back("You said on " + to_iso(*sheet.written_down) + " that it is written down.");
    } else {
        text.push_back("When it is written down, say so: ladderline paper --confirm \"GROUP GROUP\".");
    }
    return {lines(text), std::move(json)};
}

void add_paper(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("paper", "Your spare key on paper: print it, and say that it is written down");
    auto html = std::make_shared<std::string>();
    auto groups = std::make_shared<std::string>();
    sub->add_option("--html", *html, "Write a sheet to print, with a QR code, into this file");
    sub->add_option("--confirm", *groups, "Two groups of the sheet: it is written down");
    sub->callback([&out, html, groups, folder = out.folder] {
        if (!html->empty() && !groups->empty()) throw CLI::ValidationError("Say --html or --confirm, not both");
        out.paper_here = html->empty() && groups->empty();
        out.command = [html, groups, folder](Context& context) -> Result<Answer> {
            if (!html->empty()) {
                TRY(const Done done, write_sheet(context, folder / *html));
                return answer_of(done);
            }
            if (!groups->empty()) {
                TRY(const Done done, confirm_paper(context, *groups));
                return answer_of(done);
            }
            TRY(const PaperSheet sheet, paper_sheet(context));
            return sheet_answer(sheet);
        };
    });
}

void add_recover(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("recover", "Bring everything back on a new machine: paper key and one peer");
    auto options = std::make_shared<RecoverOptions>();
    sub->add_option("peer", options->peer, "Somebody who shares a circle with you, host:port")->required();
    sub->footer(
        "The passphrase asked for is a new one. Your desk (practice answers) was on the lost machine alone; no "
        "peer has it. Circles that only others share with you come with a further 'recover' and their address.");
    sub->callback([&out, options] { out.recover = *options; });
}

void add_digest(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("digest", "A number for all that is known of each circle, equal on equal nodes");
    sub->group("");  // for those who look for a fault; not in the help
    sub->callback([&out] {
        out.command = [](Context& context) -> Result<Answer> {
            TRY(const auto all, state_digests(context));
            std::vector<std::string> text;
            boost::json::object json;
            for (const CircleDigest& one : all) {
                text.push_back(to_hex(one.circle.view()) + " " + to_hex(one.digest.view()));
                json[to_hex(one.circle.view())] = to_hex(one.digest.view());
            }
            return Answer{lines(text), std::move(json)};
        };
    });
}

}  // namespace

void add_paper_commands(CLI::App& app, CommandLine& out) {
    add_paper(app, out);
    add_recover(app, out);
    add_digest(app, out);
}

}  // namespace ladderline::node::cli
